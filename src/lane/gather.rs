//! Structures of numbers, and how those of several colonies become one of lanes.

use super::Number;

/// A structure of numbers that has the same shape for several colonies.
///
/// Its numbers differ from colony to colony; everything else in it, and how many numbers its lists hold, is its shape.
pub trait PerLane<N: Number>: Sized {
    /// The same structure with other numbers.
    type Of<M: Number>: PerLane<M>;

    /// Shows every number, always in the same order.
    fn each(&mut self, show: &mut impl FnMut(&mut N));

    /// What a lane holds, in every lane of another.
    fn spread<M: Number>(&self, lane: usize, token: M::Token) -> Self::Of<M>;

    /// Whether another can be the lane beside it.
    fn has_shape_of(&self, other: &Self) -> bool;
}

impl<N: Number> PerLane<N> for N {
    type Of<M: Number> = M;

    #[inline(always)]
    fn each(&mut self, show: &mut impl FnMut(&mut N)) {
        show(self);
    }

    #[inline(always)]
    fn spread<M: Number>(&self, lane: usize, token: M::Token) -> M {
        M::splat_with(token, self.lane(lane))
    }

    fn has_shape_of(&self, _other: &Self) -> bool {
        true
    }
}

impl<N: Number, T: PerLane<N>> PerLane<N> for Vec<T> {
    type Of<M: Number> = Vec<T::Of<M>>;

    #[inline(always)]
    fn each(&mut self, show: &mut impl FnMut(&mut N)) {
        for item in self {
            item.each(show);
        }
    }

    fn spread<M: Number>(&self, lane: usize, token: M::Token) -> Self::Of<M> {
        self.iter().map(|item| item.spread(lane, token)).collect()
    }

    fn has_shape_of(&self, other: &Self) -> bool {
        let pairs = || self.iter().zip(other);
        self.len() == other.len() && pairs().all(|(own, other)| own.has_shape_of(other))
    }
}

impl<N: Number, T: PerLane<N>, const COUNT: usize> PerLane<N> for [T; COUNT] {
    type Of<M: Number> = [T::Of<M>; COUNT];

    #[inline(always)]
    fn each(&mut self, show: &mut impl FnMut(&mut N)) {
        for item in self {
            item.each(show);
        }
    }

    fn spread<M: Number>(&self, lane: usize, token: M::Token) -> Self::Of<M> {
        std::array::from_fn(|number| self[number].spread(lane, token))
    }

    fn has_shape_of(&self, other: &Self) -> bool {
        self.iter()
            .zip(other)
            .all(|(own, other)| own.has_shape_of(other))
    }
}

/// Makes a list so many items long, all of them blank, if it is not so long yet.
#[inline(always)]
pub fn make_long<T: Copy>(list: &mut Vec<T>, length: usize, blank: T) {
    if list.len() != length {
        list.clear();
        list.resize(length, blank);
    }
}

/// Sets a lane of a structure to what another one of the same shape, of one colony, holds.
pub fn set_lane<N: Number, T: PerLane<N>>(into: &mut T, lane: usize, from: &mut T::Of<f64>) {
    let mut numbers = Vec::new();
    from.each(&mut |number| numbers.push(*number));
    let mut numbers = numbers.iter();
    into.each(&mut |number| {
        if let Some(value) = numbers.next() {
            number.set_lane(lane, *value);
        }
    });
}

/// Sets a lane of a structure to what another lane of it holds.
pub fn copy_lane<N: Number, T: PerLane<N>>(structure: &mut T, from: usize, to: usize) {
    structure.each(&mut |number| number.set_lane(to, number.lane(from)));
}

/// `per_lane!(Name { numbers... } like { rest... })` makes a structure of a number [`PerLane`]: its numbers and structures of numbers first, then
/// what lanes have in common.
macro_rules! per_lane {
    ($name:ident { $($number:ident),* $(,)? } like { $($common:ident),* $(,)? }) => {
        impl<N: $crate::lane::Number> $crate::lane::PerLane<N> for $name<N> {
            type Of<M: $crate::lane::Number> = $name<M>;

            #[inline(always)]
            fn each(&mut self, show: &mut impl FnMut(&mut N)) {
                $($crate::lane::PerLane::<N>::each(&mut self.$number, show);)*
            }

            fn spread<M: $crate::lane::Number>(&self, lane: usize, token: M::Token) -> $name<M> {
                $name {
                    $($number: $crate::lane::PerLane::<N>::spread::<M>(&self.$number, lane, token),)*
                    $($common: self.$common.clone(),)*
                }
            }

            fn has_shape_of(&self, other: &Self) -> bool {
                true $(&& $crate::lane::PerLane::<N>::has_shape_of(&self.$number, &other.$number))*
                    $(&& self.$common == other.$common)*
            }
        }
    };
    ($name:ident { $($number:ident),* $(,)? }) => {
        $crate::lane::per_lane!($name { $($number),* } like {});
    };
}
pub(crate) use per_lane;
