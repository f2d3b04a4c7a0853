//! Several lanes: a vector of the processor.

use super::{Mask, Number};
use fearless_simd::prelude::*;
use fearless_simd::{f64x4, f64x8, mask64x4, mask64x8, u64x4, u64x8};

macro_rules! several {
    ($vector:ident, $mask:ident, $bits:ident, $lanes:literal) => {
        impl<S: Simd> Mask for $mask<S> {
            #[inline(always)]
            fn any(self) -> bool {
                self.any_true()
            }

            #[inline(always)]
            fn holds(self, lane: usize) -> bool {
                self.test(lane)
            }
        }

        impl<S: Simd> Number for $vector<S> {
            type Token = S;
            type Mask = $mask<S>;

            const LANES: usize = $lanes;

            #[inline(always)]
            fn vectorize<R>(token: S, work: impl FnOnce() -> R) -> R {
                token.vectorize(work)
            }

            #[inline(always)]
            fn from_lanes(token: S, of_lane: impl FnMut(usize) -> f64) -> Self {
                Self::from_fn(token, of_lane)
            }

            #[inline(always)]
            fn splat_with(token: S, value: f64) -> Self {
                <Self as SimdBase<S>>::splat(token, value)
            }

            #[inline(always)]
            fn token(self) -> S {
                self.simd
            }

            #[inline(always)]
            fn lane(self, lane: usize) -> f64 {
                self[lane]
            }

            #[inline(always)]
            fn set_lane(&mut self, lane: usize, value: f64) {
                self[lane] = value;
            }

            #[inline(always)]
            fn sqrt(self) -> Self {
                <Self as SimdFloat<S>>::sqrt(self)
            }

            #[inline(always)]
            fn abs(self) -> Self {
                <Self as SimdBase<S>>::abs(self)
            }

            #[inline(always)]
            fn copysign(self, sign: Self) -> Self {
                <Self as SimdFloat<S>>::copysign(self, sign)
            }

            #[inline(always)]
            fn max(self, other: Self) -> Self {
                // What x86 does where one is no number; other processors do otherwise.
                if cfg!(any(target_arch = "x86", target_arch = "x86_64")) {
                    SimdBase::max(self, other)
                } else {
                    self.simd_gt(other).select(self, other)
                }
            }

            #[inline(always)]
            fn min(self, other: Self) -> Self {
                if cfg!(any(target_arch = "x86", target_arch = "x86_64")) {
                    SimdBase::min(self, other)
                } else {
                    self.simd_lt(other).select(self, other)
                }
            }

            #[inline(always)]
            fn lt(self, other: Self) -> $mask<S> {
                self.simd_lt(other)
            }

            #[inline(always)]
            fn le(self, other: Self) -> $mask<S> {
                self.simd_le(other)
            }

            #[inline(always)]
            fn eq_to(self, other: Self) -> $mask<S> {
                self.simd_eq(other)
            }

            #[inline(always)]
            fn choose(mask: $mask<S>, yes: Self, no: Self) -> Self {
                mask.select(yes, no)
            }

            #[inline(always)]
            fn mask(self, holds: bool) -> $mask<S> {
                $mask::splat(self.simd, holds)
            }

            #[inline(always)]
            fn times_power_of_two(self, shifted: Self) -> Self {
                let bits: $bits<S> = self.to_bits();
                let power: $bits<S> = shifted.to_bits();
                Self::from_bits(bits + (power << 52))
            }
        }
    };
}

several!(f64x4, mask64x4, u64x4, 4);
several!(f64x8, mask64x8, u64x8, 8);

#[cfg(test)]
mod tests {
    use super::*;
    use fearless_simd::{Level, dispatch};

    /// Every operation of a vector against that of an `f64`, bit by bit, over values of all kinds.
    #[inline(always)]
    fn has_the_bits_of_one<N: Number>(token: N::Token) {
        let kinds = [
            0.0,
            -0.0,
            1.0,
            -1.0,
            0.3,
            -7.25,
            20.0,
            1e-300,
            1e300,
            -699.5,
            650.25,
            f64::NAN,
            f64::INFINITY,
        ];
        for first in 0..kinds.len() {
            for second in 0..kinds.len() {
                let a = |lane: usize| kinds[(first + lane) % kinds.len()];
                let b = |lane: usize| kinds[(second + 3 * lane) % kinds.len()];
                let (x, y) = (N::from_lanes(token, a), N::from_lanes(token, b));
                let same = |ours: N, one: fn(f64, f64) -> f64, what: &str| {
                    for lane in 0..N::LANES {
                        let (ours, one) = (ours.lane(lane), one(a(lane), b(lane)));
                        let both_none = ours.is_nan() && one.is_nan();
                        assert!(
                            both_none || ours.to_bits() == one.to_bits(),
                            "{what} of {} and {}: {ours} {one}",
                            a(lane),
                            b(lane)
                        );
                    }
                };
                same(x + y, |a, b| a + b, "sum");
                same(x - y, |a, b| a - b, "difference");
                same(x * y, |a, b| a * b, "product");
                same(x / y, |a, b| a / b, "quotient");
                same(x.max(y), Number::max, "larger");
                same(x.min(y), Number::min, "smaller");
                same(x.abs().sqrt(), |a, _| Number::sqrt(Number::abs(a)), "root");
                same(x.copysign(y), Number::copysign, "sign");
                same(x.exp(), |a, _| Number::exp(a), "exponential");
                same(
                    N::choose(x.lt(y) | x.eq_to(y), x, y),
                    |a, b| if a <= b { a } else { b },
                    "choice",
                );
                same(
                    N::choose(!x.finite() & y.ge(x), x, y),
                    |a, b| if !a.finite() && b >= a { a } else { b },
                    "choice of what is not finite",
                );
            }
        }
    }

    #[test]
    fn every_operation_of_every_width_has_the_bits_of_one_number() {
        let level = Level::new();
        dispatch!(level, simd => {
            has_the_bits_of_one::<f64x4<_>>(simd);
            has_the_bits_of_one::<f64x8<_>>(simd);
        });
        let baseline = Level::baseline();
        dispatch!(baseline, simd => {
            has_the_bits_of_one::<f64x4<_>>(simd);
            has_the_bits_of_one::<f64x8<_>>(simd);
        });
    }
}
