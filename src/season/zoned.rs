//! One number for each part of the hive's air.

use crate::hive::Zone;
use crate::lane::{Number, per_lane};
use serde::Serialize;

/// A number, or whatever else, of the warm column over the cluster, of the rest of the upper air and of the lower air.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Zoned<N = f64> {
    /// In the seams over the cluster, up to the lid.
    pub column: N,
    /// Beside and above the cluster.
    pub upper: N,
    /// Below it.
    pub lower: N,
}

per_lane!(Zoned {
    column,
    upper,
    lower
});

impl<N: Copy> Zoned<N> {
    /// The same in all of them.
    #[must_use]
    #[inline(always)]
    pub fn all(value: N) -> Self {
        Self {
            column: value,
            upper: value,
            lower: value,
        }
    }

    /// That of one of them.
    #[must_use]
    #[inline(always)]
    pub fn of(&self, zone: Zone) -> N {
        match zone {
            Zone::Column => self.column,
            Zone::Upper => self.upper,
            Zone::Lower => self.lower,
        }
    }

    /// One of them, to be changed.
    #[inline(always)]
    pub(crate) fn of_mut(&mut self, zone: Zone) -> &mut N {
        match zone {
            Zone::Column => &mut self.column,
            Zone::Upper => &mut self.upper,
            Zone::Lower => &mut self.lower,
        }
    }
}

impl Zoned {
    /// With the other sign.
    pub(crate) fn negated(&self) -> Self {
        Self {
            column: -self.column,
            upper: -self.upper,
            lower: -self.lower,
        }
    }
}

impl<N: Number> Zoned<N> {
    /// Adds to one of them.
    #[inline(always)]
    pub(crate) fn add(&mut self, zone: Zone, value: N) {
        let own = self.of_mut(zone);
        *own = *own + value;
    }
}
