//! Vapour carried between the parts of the air, and to and from outside.

use super::VapourAir;
use crate::lane::Number;
use crate::season::zoned::Zoned;

impl<N: Number> VapourAir<N> {
    /// Vapour pressures of air that holds so much water, mist counted in, Pa.
    #[inline(always)]
    pub(super) fn vapour_pa(&self, zones_pa: &Zoned<N>) -> Zoned<N> {
        Zoned {
            column: zones_pa.column.min(self.saturation.column.pa),
            upper: zones_pa.upper.min(self.saturation.upper.pa),
            lower: zones_pa.lower.min(self.saturation.lower.pa),
        }
    }

    /// All that carries vapour to and from each part of the air, kg/(s Pa).
    #[inline(always)]
    pub(super) fn through(&self) -> Zoned<N> {
        Zoned {
            column: self.column,
            upper: self.column + self.zones + self.up + self.down + self.upper,
            lower: self.zones + self.up + self.down + self.lower,
        }
    }

    /// Vapour that each part of the air gains by exchange, surfaces and bees, kg/s.
    #[inline(always)]
    pub(super) fn vapour_gains(
        &self,
        vapour_pa: &Zoned<N>,
        (takes, gives): (&Zoned<N>, &Zoned<N>),
        made_kg_s: N,
    ) -> Zoned<N> {
        let p = vapour_pa;
        let risen = self.column * (p.column - p.upper);
        Zoned {
            column: made_kg_s - risen + gives.column - takes.column * p.column,
            upper: risen
                + (self.zones + self.up) * (p.lower - p.upper)
                + (self.upper + self.down) * (self.outside_pa - p.upper)
                + gives.upper
                - takes.upper * p.upper,
            lower: (self.zones + self.down) * (p.upper - p.lower)
                + (self.lower + self.up) * (self.outside_pa - p.lower)
                + gives.lower
                - takes.lower * p.lower,
        }
    }
}
