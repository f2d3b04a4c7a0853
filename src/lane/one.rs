//! One lane: a plain `f64`.

use super::{Mask, Number};

impl Mask for bool {
    #[inline(always)]
    fn any(self) -> bool {
        self
    }

    #[inline(always)]
    fn holds(self, _lane: usize) -> bool {
        self
    }
}

impl Number for f64 {
    type Token = ();
    type Mask = bool;

    const LANES: usize = 1;

    #[inline(always)]
    fn vectorize<R>((): (), work: impl FnOnce() -> R) -> R {
        work()
    }

    #[inline(always)]
    fn from_lanes((): (), mut of_lane: impl FnMut(usize) -> f64) -> Self {
        of_lane(0)
    }

    #[inline(always)]
    fn splat_with((): (), value: f64) -> Self {
        value
    }

    #[inline(always)]
    fn token(self) {}

    #[inline(always)]
    fn lane(self, _lane: usize) -> f64 {
        self
    }

    #[inline(always)]
    fn set_lane(&mut self, _lane: usize, value: f64) {
        *self = value;
    }

    #[inline(always)]
    fn sqrt(self) -> Self {
        f64::sqrt(self)
    }

    #[inline(always)]
    fn abs(self) -> Self {
        f64::abs(self)
    }

    #[inline(always)]
    fn copysign(self, sign: Self) -> Self {
        f64::copysign(self, sign)
    }

    #[inline(always)]
    fn max(self, other: Self) -> Self {
        if self > other { self } else { other }
    }

    #[inline(always)]
    fn min(self, other: Self) -> Self {
        if self < other { self } else { other }
    }

    #[inline(always)]
    fn lt(self, other: Self) -> bool {
        self < other
    }

    #[inline(always)]
    fn le(self, other: Self) -> bool {
        self <= other
    }

    #[inline(always)]
    fn eq_to(self, other: Self) -> bool {
        self == other
    }

    #[inline(always)]
    fn choose(mask: bool, yes: Self, no: Self) -> Self {
        if mask { yes } else { no }
    }

    #[inline(always)]
    fn mask(self, holds: bool) -> bool {
        holds
    }

    #[inline(always)]
    fn times_power_of_two(self, shifted: Self) -> Self {
        f64::from_bits(self.to_bits().wrapping_add(shifted.to_bits() << 52))
    }
}
