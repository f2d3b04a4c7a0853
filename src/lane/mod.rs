//! Numbers side by side: the solver's arithmetic, for one colony or for several at once.
//!
//! What a season steps is written once, over a [`Number`]. An `f64` is one colony; a vector of the processor is as many as it has lanes, and
//! no lane ever touches another. Every operation is one that IEEE 754 rounds exactly, or is made of such, and none is fused, so a lane has
//! the bits that an `f64` has, whatever the width.

mod exp;
mod gather;
mod one;
mod several;

pub(crate) use gather::per_lane;
pub use gather::{PerLane, copy_lane, make_long, set_lane};

use std::fmt::Debug;
use std::ops::{Add, BitAnd, BitOr, Div, Mul, Neg, Not, Sub};

/// Whether something holds, lane by lane.
pub trait Mask:
    Copy + Debug + BitAnd<Output = Self> + BitOr<Output = Self> + Not<Output = Self>
{
    /// Whether it holds in any lane.
    fn any(self) -> bool;

    /// Whether it holds in a lane, counted from 0.
    fn holds(self, lane: usize) -> bool;
}

/// One number a lane.
///
/// Branches on a number are choices between two that are both worked out: [`Number::choose`].
pub trait Number:
    Copy
    + Debug
    + Send
    + Sync
    + 'static
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + Div<Output = Self>
    + Neg<Output = Self>
    + Add<f64, Output = Self>
    + Sub<f64, Output = Self>
    + Mul<f64, Output = Self>
    + Div<f64, Output = Self>
{
    /// Proof that the processor has the instructions, without which no number is made.
    type Token: Copy + Debug + Send + Sync;
    /// What comparisons give.
    type Mask: Mask;

    /// Numbers side by side.
    const LANES: usize;

    /// Runs what works on such numbers where the compiler may use their instructions. All that is called in it must be inlined.
    fn vectorize<R>(token: Self::Token, work: impl FnOnce() -> R) -> R;

    /// From what each lane is to hold.
    fn from_lanes(token: Self::Token, of_lane: impl FnMut(usize) -> f64) -> Self;

    /// The same in every lane.
    fn splat_with(token: Self::Token, value: f64) -> Self;

    /// What made it.
    fn token(self) -> Self::Token;

    /// What a lane holds, counted from 0.
    fn lane(self, lane: usize) -> f64;

    /// Sets what a lane holds, counted from 0.
    fn set_lane(&mut self, lane: usize, value: f64);

    /// A constant, in every lane.
    #[inline(always)]
    fn splat(self, value: f64) -> Self {
        Self::splat_with(self.token(), value)
    }

    /// Square root.
    fn sqrt(self) -> Self;

    /// Without its sign.
    fn abs(self) -> Self;

    /// With the sign of another.
    fn copysign(self, sign: Self) -> Self;

    /// Itself where it is more than `other`, else `other`: so too where one of them is no number.
    fn max(self, other: Self) -> Self;

    /// Itself where it is less than `other`, else `other`: so too where one of them is no number.
    fn min(self, other: Self) -> Self;

    /// Less than.
    fn lt(self, other: Self) -> Self::Mask;

    /// Less than or equal to.
    fn le(self, other: Self) -> Self::Mask;

    /// Equal to.
    fn eq_to(self, other: Self) -> Self::Mask;

    /// More than.
    #[inline(always)]
    fn gt(self, other: Self) -> Self::Mask {
        other.lt(self)
    }

    /// More than or equal to.
    #[inline(always)]
    fn ge(self, other: Self) -> Self::Mask {
        other.le(self)
    }

    /// Where it is a number and not boundless.
    #[inline(always)]
    fn finite(self) -> Self::Mask {
        self.abs().lt(self.splat(f64::INFINITY))
    }

    /// `yes` where the mask holds, else `no`.
    fn choose(mask: Self::Mask, yes: Self, no: Self) -> Self;

    /// The same in every lane, as a mask.
    fn mask(self, holds: bool) -> Self::Mask;

    /// The row of a table at its whole part; the first row below, the last beyond, and the first for what is no number.
    #[inline(always)]
    fn look_up<const COLUMNS: usize>(self, table: &[[f64; COLUMNS]]) -> [Self; COLUMNS] {
        let mut columns = [self; COLUMNS];
        for (number, column) in columns.iter_mut().enumerate() {
            *column = Self::from_lanes(
                self.token(),
                #[inline(always)]
                |lane| table[(self.lane(lane) as usize).min(table.len() - 1)][number],
            );
        }
        columns
    }

    /// Times `2^k`, where `shifted` is `k + 1.5 * 2^52`, `k` a whole number, and neither it nor the product leaves the normal numbers.
    fn times_power_of_two(self, shifted: Self) -> Self;

    /// Within two limits.
    #[inline(always)]
    fn within(self, low: f64, high: f64) -> Self {
        self.max(self.splat(low)).min(self.splat(high))
    }

    /// Not below nothing.
    #[inline(always)]
    fn positive(self) -> Self {
        self.max(self.splat(0.0))
    }

    /// On the straight line to another, at a share of the way.
    #[inline(always)]
    fn towards(self, other: Self, share: f64) -> Self {
        self + (other - self) * share
    }

    /// 1 where a mask holds, else 0.
    #[inline(always)]
    fn one_where(self, mask: Self::Mask) -> Self {
        Self::choose(mask, self.splat(1.0), self.splat(0.0))
    }

    /// `e` to its power, within two units in the last place of `libm`'s from -700 to 700; beyond, as it is there. Of operations that every width has, so every lane has the
    /// bits of one number.
    #[inline(always)]
    fn exp(self) -> Self {
        exp::exp(self)
    }
}
