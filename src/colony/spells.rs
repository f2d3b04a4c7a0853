//! Warm and cold hours in a row: what lets a cluster move and what kills it.

use crate::lane::{Number, per_lane};
use crate::parameter::Parameters;

/// Spells of a colony up to an hour, and what came of them since the last midnight.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spells<N = f64> {
    climb_air_c: N,
    cross_air_c: N,
    move_hours: N,
    chill_mantle_c: N,
    chill_hours: N,
    /// Hours in a row in which the air was warm enough to climb, and to cross.
    climb_h: N,
    cross_h: N,
    /// Hours in a row in which the mantle was too cold.
    chill_h: N,
    /// 1 where they were enough on this day, else 0.
    climbs: N,
    crosses: N,
    chilled: N,
}

per_lane!(Spells {
    climb_air_c,
    cross_air_c,
    move_hours,
    chill_mantle_c,
    chill_hours,
    climb_h,
    cross_h,
    chill_h,
    climbs,
    crosses,
    chilled,
});

impl Spells {
    /// Before the first hour.
    #[must_use]
    pub fn new(parameters: &Parameters) -> Self {
        let p = parameters;
        Self {
            climb_air_c: p.climb_air_c,
            cross_air_c: p.move_air_c,
            move_hours: p.move_hours,
            chill_mantle_c: p.chill_mantle_c,
            chill_hours: p.chill_hours,
            climb_h: 0.0,
            cross_h: 0.0,
            chill_h: 0.0,
            climbs: 0.0,
            crosses: 0.0,
            chilled: 0.0,
        }
    }

    /// Whether the cluster could climb on this day.
    #[must_use]
    pub fn could_climb(&self) -> bool {
        self.climbs > 0.0
    }

    /// Whether it could cross to other combs on this day.
    #[must_use]
    pub fn could_cross(&self) -> bool {
        self.crosses > 0.0
    }

    /// Whether the cold was too long for it at any hour of this day.
    #[must_use]
    pub fn chilled(&self) -> bool {
        self.chilled > 0.0
    }

    /// From here on no cold lies behind it.
    pub fn forget_cold(&mut self) {
        (self.chill_h, self.chilled) = (0.0, 0.0);
    }
}

impl<N: Number> Spells<N> {
    /// Forgets what the last day allowed, as a new one begins. Spells go on.
    #[inline(always)]
    pub fn begin_day(&mut self) {
        let zero = self.climbs.splat(0.0);
        (self.climbs, self.crosses, self.chilled) = (zero, zero, zero);
    }

    /// Takes note of an hour's mantle, the air right beside it, in which bees climb their own combs, and that over the cluster, by which they cross to
    /// others.
    #[inline(always)]
    pub fn hour(&mut self, mantle_c: N, beside_c: N, column_c: N) {
        self.climb_h = longer(self.climb_h, beside_c.ge(self.climb_air_c));
        self.cross_h = longer(self.cross_h, column_c.ge(self.cross_air_c));
        self.chill_h = longer(self.chill_h, mantle_c.lt(self.chill_mantle_c));
        self.climbs = noted(self.climbs, self.climb_h, self.move_hours);
        self.crosses = noted(self.crosses, self.cross_h, self.move_hours);
        self.chilled = noted(self.chilled, self.chill_h, self.chill_hours);
    }
}

/// An hour more where a spell goes on, else none.
#[inline(always)]
fn longer<N: Number>(hours: N, goes_on: N::Mask) -> N {
    N::choose(goes_on, hours + 1.0, hours.splat(0.0))
}

/// 1 where the hours are enough, else as it was.
#[inline(always)]
fn noted<N: Number>(was: N, hours: N, enough: N) -> N {
    N::choose(hours.ge(enough), was.splat(1.0), was)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fifty_cold_hours_in_a_row_kill_and_forty_nine_do_not() {
        let mut spells = Spells::new(&Parameters::default());
        let mut hours = |count: u32, mantle_c: f64| {
            for _ in 0..count {
                spells.hour(mantle_c, -10.0, -10.0);
            }
            spells.chilled()
        };
        assert!(!hours(49, 3.0));
        assert!(!hours(1, 8.0));
        assert!(!hours(49, 3.0));
        assert!(hours(1, 3.0));
    }

    #[test]
    fn warm_hours_must_come_in_a_row_and_may_begin_the_day_before() {
        let p = Parameters::default();
        let mut spells = Spells::new(&p);
        let warm = |spells: &mut Spells, count: u32| {
            (0..count).for_each(|_| spells.hour(20.0, 9.0, p.move_air_c));
        };
        let enough = p.move_hours as u32;
        warm(&mut spells, enough - 1);
        spells.hour(20.0, 9.0, p.move_air_c - 0.1);
        warm(&mut spells, enough - 1);
        assert!(!spells.could_cross());
        spells.begin_day();
        warm(&mut spells, 1);
        assert!(spells.could_cross() && spells.could_climb() && !spells.chilled());
        spells.begin_day();
        assert!(!spells.could_cross());
    }
}
