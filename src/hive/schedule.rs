//! What a keeper changes on a hive in the course of a winter: by date, by the temperature outside, or by both.

use super::parts::{Finish, Floor, Layer, Opening, Vent};
use jiff::civil::Date;
use serde::{Serialize, Serializer};

/// Hours over which the outside air is averaged before a keeper acts on it: three days. Own choice: a keeper acts on days that have
/// turned cold, not on a cold night.
pub const MEAN_HOURS: usize = 72;

/// Most changes of one hive.
pub const MOST_CHANGES: usize = 16;

/// Midsummer of the north, month and day, which no winter holds: where the year of a keeper begins.
const MIDSUMMER: (i8, i8) = (6, 21);

/// When a change holds: all that is given must.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct When {
    /// First day on which it holds, month and day; without it, it holds from the winter's start.
    pub from: Option<(i8, i8)>,
    /// Day on which it is undone, month and day; without it, it holds until first forage.
    pub until: Option<(i8, i8)>,
    /// It holds on days before which the outside air was colder than this, degC, in the mean over [`MEAN_HOURS`].
    pub below_c: Option<f64>,
    /// It holds on days before which the outside air was warmer than this, degC, in the same mean.
    pub above_c: Option<f64>,
}

impl When {
    /// Whether it holds on a day, by its dates alone. Dates that run through new year do so here too.
    ///
    /// ```
    /// use overwinter::hive::When;
    /// let when = When { from: Some((11, 15)), until: Some((3, 1)), ..When::default() };
    /// assert!(when.on_day((11, 15)) && when.on_day((2, 28)));
    /// assert!(!when.on_day((11, 14)) && !when.on_day((3, 1)));
    /// ```
    #[must_use]
    pub fn on_day(&self, day: (i8, i8)) -> bool {
        let in_order = |day: (i8, i8)| (day < MIDSUMMER, day);
        let begun = self.from.is_none_or(|from| in_order(from) <= in_order(day));
        let going_on = self
            .until
            .is_none_or(|until| in_order(day) < in_order(until));
        match (self.from, self.until) {
            // From late winter until autumn: both ends of the winter, not its middle.
            (Some(from), Some(until)) if in_order(until) < in_order(from) => begun || going_on,
            _ => begun && going_on,
        }
    }

    /// Whether it holds on a date after days of a mean outside temperature.
    #[must_use]
    pub fn holds(&self, date: Date, mean_c: f64) -> bool {
        self.on_day((date.month(), date.day()))
            && self.below_c.is_none_or(|below_c| mean_c < below_c)
            && self.above_c.is_none_or(|above_c| mean_c > above_c)
    }

    pub(super) fn problem(&self) -> Option<&'static str> {
        let day = |day: Option<(i8, i8)>| {
            // A leap year, so that 29 February is a day.
            day.is_none_or(|(month, day)| Date::new(2000, month, day).is_ok())
        };
        let degrees = |c: Option<f64>| c.is_none_or(f64::is_finite);
        if *self == Self::default() {
            Some("has no condition; give at least one of from, until, below, above")
        } else if !(day(self.from) && day(self.until)) {
            Some("has a date that is no day of the year")
        } else if self.from.is_some() && self.from == self.until {
            Some("ends on the day on which it begins; until must be another day than from")
        } else if !(degrees(self.below_c) && degrees(self.above_c)) {
            Some("has a temperature that is no number")
        } else if self.above_c.zip(self.below_c).is_some_and(|(a, b)| a >= b) {
            Some("never holds; above must be lower than below")
        } else {
            None
        }
    }
}

/// What a change makes otherwise. What it leaves out stays.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Alteration {
    /// Layers outside of the walls, inside to outside; instead of the wrap of an earlier change, if there is one.
    pub wrap: Option<Vec<Layer>>,
    /// Another lid.
    pub lid: Option<Vec<Layer>>,
    /// Another floor.
    pub floor: Option<Floor>,
    /// Other vents.
    pub vents: Option<Vec<Vent>>,
    /// Other entrances.
    pub entrances: Option<Vec<Opening>>,
    /// Another outside of the sides.
    pub side_finish: Option<Finish>,
    /// Another outside of the lid.
    pub lid_finish: Option<Finish>,
}

impl Alteration {
    /// Its layers, surface by surface.
    pub(super) fn surfaces_mut(&mut self) -> impl Iterator<Item = &mut Vec<Layer>> {
        let whole = [&mut self.wrap, &mut self.lid];
        let floor = self.floor.as_mut().and_then(Floor::board_mut);
        whole.into_iter().flatten().chain(floor)
    }

    /// What it alters, as a scenario names it.
    #[must_use]
    pub fn parts(&self) -> Vec<&'static str> {
        let Self {
            wrap,
            lid,
            floor,
            vents,
            entrances,
            side_finish,
            lid_finish,
        } = self;
        [
            ("wrap", wrap.is_some()),
            ("lid", lid.is_some()),
            ("floor", floor.is_some()),
            ("vents", vents.is_some()),
            ("entrance", entrances.is_some()),
            ("colour", side_finish.is_some()),
            ("lid colour", lid_finish.is_some()),
        ]
        .into_iter()
        .filter_map(|(part, altered)| altered.then_some(part))
        .collect()
    }
}

/// A change of a hive in the course of a winter.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Change {
    /// When it holds.
    pub when: When,
    /// What it alters.
    pub what: Alteration,
}

/// Which changes of a hive hold, by their number from 0. Serialized as a list of numbers from 1.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct InForce(u16);

impl InForce {
    /// Those of `changes` that hold on a date after days of a mean outside temperature.
    #[must_use]
    pub fn on(changes: &[Change], date: Date, mean_c: f64) -> Self {
        let holding = changes.iter().enumerate();
        holding
            .filter(|(_, change)| change.when.holds(date, mean_c))
            .map(|(number, _)| number)
            .collect()
    }

    /// Whether a change holds.
    #[must_use]
    pub fn has(self, number: usize) -> bool {
        number < MOST_CHANGES && (self.0 >> number) & 1 == 1
    }

    /// Those that hold, in order.
    pub fn numbers(self) -> impl Iterator<Item = usize> {
        (0..MOST_CHANGES).filter(move |number| self.has(*number))
    }
}

/// Numbers from [`MOST_CHANGES`] on, which no valid hive has, are left out.
impl FromIterator<usize> for InForce {
    fn from_iter<I: IntoIterator<Item = usize>>(numbers: I) -> Self {
        let numbers = numbers.into_iter();
        Self(
            numbers
                .filter(|number| *number < MOST_CHANGES)
                .fold(0, |bits, number| bits | (1 << number)),
        )
    }
}

impl Serialize for InForce {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_seq(self.numbers().map(|number| number + 1))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::hive::{Cavity, FINISHES, Hive, ScreenState};

    fn layer(material: &str, thickness_m: f64) -> Layer {
        let material = crate::material::find(material).expect("a material");
        Layer::new(material.clone(), thickness_m)
    }

    fn hive(changes: Vec<Change>) -> Hive {
        Hive {
            upper_entrances: vec![],
            joints: crate::hive::Joints::default(),
            name: "case".to_owned(),
            cavity: Cavity {
                width_m: 0.375,
                length_m: 0.465,
                box_height_m: 0.244,
                boxes: 2,
            },
            frames: 10,
            comb_pitch_m: 0.035,
            faces_deg: 180.0,
            wall: vec![layer("softwood", 0.019)],
            lid: vec![layer("softwood", 0.019)],
            floor: Floor::Screened {
                free_share: 0.6,
                state: ScreenState::Open,
            },
            entrances: vec![],
            vents: vec![],
            shared_sides: vec![],
            shaded_sides: vec![],
            side_finish: FINISHES[0].1,
            lid_finish: FINISHES[0].1,
            tare_kg: None,
            changes,
        }
    }

    fn below_5(what: Alteration) -> Change {
        let when = When {
            below_c: Some(5.0),
            ..When::default()
        };
        Change { when, what }
    }

    fn wrap(material: &str, thickness_m: f64) -> Alteration {
        Alteration {
            wrap: Some(vec![layer(material, thickness_m)]),
            ..Alteration::default()
        }
    }

    #[test]
    fn a_date_alone_reaches_to_the_end_of_its_winter_and_not_into_the_next() {
        let from = When {
            from: Some((11, 15)),
            ..When::default()
        };
        assert!(from.on_day((11, 15)) && from.on_day((1, 1)) && from.on_day((4, 20)));
        assert!(!from.on_day((10, 1)) && !from.on_day((11, 14)));
        let until = When {
            until: Some((3, 1)),
            ..When::default()
        };
        assert!(until.on_day((10, 1)) && until.on_day((2, 29)));
        assert!(!until.on_day((3, 1)) && !until.on_day((4, 20)));
    }

    #[test]
    fn dates_from_late_winter_until_autumn_hold_at_both_ends_of_the_winter() {
        let when = When {
            from: Some((3, 1)),
            until: Some((11, 15)),
            ..When::default()
        };
        assert!(when.on_day((10, 1)) && when.on_day((11, 14)) && when.on_day((3, 1)));
        assert!(!when.on_day((11, 15)) && !when.on_day((1, 1)) && !when.on_day((2, 28)));
    }

    #[test]
    fn all_conditions_of_a_change_must_hold() {
        let when = When {
            from: Some((11, 15)),
            below_c: Some(5.0),
            above_c: Some(-10.0),
            ..When::default()
        };
        let december = jiff::civil::date(2020, 12, 1);
        let october = jiff::civil::date(2020, 10, 10);
        assert!(when.holds(december, 0.0));
        assert!(!when.holds(october, 0.0));
        assert!(!when.holds(december, 5.0) && !when.holds(december, -10.0));
    }

    #[test]
    fn of_two_changes_of_one_part_the_later_wins() {
        let hive = hive(vec![
            below_5(Alteration {
                lid: Some(vec![layer("xps", 0.05)]),
                ..wrap("xps", 0.038)
            }),
            below_5(wrap("straw", 0.05)),
        ]);
        let both = hive.altered([0, 1].into_iter().collect());
        let names = |layers: &[Layer]| -> Vec<String> {
            let names = layers.iter().map(|layer| layer.material.name.to_string());
            names.collect()
        };
        assert_eq!(names(&both.wall), ["softwood", "straw"]);
        assert_eq!(names(&both.lid), ["xps"]);
        let zero = hive.altered(InForce::default());
        assert_eq!(zero.changes, []);
        assert_eq!((&zero.wall, &zero.lid), (&hive.wall, &hive.lid));
    }

    #[test]
    fn loose_fill_is_scaled_in_changes_too() {
        let mut hive = hive(vec![below_5(Alteration {
            floor: Some(Floor::Solid(vec![layer("straw", 0.1)])),
            lid: Some(vec![layer("softwood", 0.02), layer("shavings", 0.1)]),
            ..wrap("straw", 0.05)
        })]);
        let before = hive.changes[0].what.clone();
        hive.scale_loose_fill(1.5);
        let mut after = hive.changes[0].what.clone();
        let mut before = before;
        let conductivity = |layer: &Layer| layer.material.conductivity_w_mk;
        let all = |what: &mut Alteration| -> Vec<f64> {
            let layers = what.surfaces_mut().flat_map(|layers| layers.iter());
            layers.map(conductivity).collect()
        };
        let scales: Vec<f64> = all(&mut after)
            .iter()
            .zip(all(&mut before))
            .map(|(after, before)| after / before)
            .collect();
        assert_eq!(scales, [1.5, 1.0, 1.5, 1.5]);
    }

    #[test]
    #[rustfmt::skip]
    fn a_change_that_is_none_is_refused_by_its_number() {
        let good = below_5(wrap("xps", 0.038));
        let with = |change| hive(vec![good.clone(), change]).validate();
        assert_eq!(with(good.clone()), Ok(()));
        let when = |when| Change { when, what: wrap("xps", 0.038) };
        let two = |from, until| When { from, until, ..When::default() };
        for (change, says) in [
            (when(When::default()), "change[2] has no condition; give at least one of from"),
            (below_5(Alteration::default()), "change[2] changes nothing; give at least one of wrap"),
            (when(two(Some((2, 30)), None)), "change[2] has a date that is no day of the year"),
            (when(two(Some((3, 1)), Some((3, 1)))), "change[2] ends on the day on which it begins"),
            (when(When { below_c: Some(f64::NAN), ..When::default() }), "change[2] has a temperature that is no number"),
            (when(When { below_c: Some(0.0), above_c: Some(0.0), ..When::default() }), "change[2] never holds; above must be lower"),
            (below_5(Alteration { wrap: Some(vec![]), ..Alteration::default() }), "change[2] has a wrap without a layer"),
            (below_5(wrap("xps", 1.5)), "change[2]: wall[2].thickness is 1.5; it must be 0.1 mm to 1 m"),
            (below_5(Alteration { lid: Some(vec![]), ..Alteration::default() }), "change[2]: lid has no layer"),
        ] {
            let error = with(change).expect_err(says).to_string();
            assert!(error.starts_with(says), "{error}");
        }
        let many = vec![good; MOST_CHANGES + 1];
        let error = hive(many).validate().expect_err("too many").to_string();
        assert!(error.contains("more than 16"), "{error}");
    }

    #[test]
    fn changes_in_force_are_written_from_1() {
        let in_force: InForce = [0, 15].into_iter().collect();
        assert_eq!(serde_json::to_string(&in_force).expect("JSON"), "[1,16]");
        assert!(in_force.has(15) && !in_force.has(1) && !in_force.has(16));
    }
}
