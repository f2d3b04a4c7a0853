//! Tests of `shared.rs`.

use super::*;
use crate::ensemble::Draws;
use crate::normal;

/// A made-up response with normal parts: sets, colonies, their meeting, sizes as standard deviations.
struct Toy {
    set: f64,
    colony: f64,
    both: f64,
}

const TOY: Toy = Toy {
    set: 1.0,
    colony: 1.5,
    both: 1.0,
};

impl Toy {
    fn values(&self, seed: u64, crossing: &Crossing, members: u64) -> Vec<(u32, f64)> {
        let draws = Draws::new(seed);
        let z = |of: u64, name: &str| normal::quantile(draws.uniform(of, name));
        let value = |member: u64| {
            let cell = crossing.cell(member);
            let value = self.set * z(cell.set.into(), "set")
                + self.colony * z(cell.colony.into(), "colony")
                + self.both * z(member, "both");
            (member as u32, 10.0 + value)
        };
        (0..members).map(value).collect()
    }

    /// Spread of members of one set.
    fn inner(&self) -> f64 {
        (self.colony * self.colony + self.both * self.both).sqrt()
    }
}

/// Share of sets of a normal figure that lies in a range, by the figure's inverse.
fn covered(range: &SharedRange, set_of: impl Fn(f64) -> f64) -> f64 {
    normal::probability(set_of(range.p95)) - normal::probability(set_of(range.p05))
}

fn seeds() -> u64 {
    // By hand: TWO_LEVEL_SEEDS=100.
    let asked = std::env::var("TWO_LEVEL_SEEDS").ok();
    asked.and_then(|asked| asked.parse().ok()).unwrap_or(20)
}

/// Mean share of true sets in the range, over seeds.
fn coverage(
    members: u64,
    find: impl Fn(&Crossing, &[(u32, f64)]) -> SharedRange,
    set_of: impl Fn(f64) -> f64 + Copy,
) -> f64 {
    let crossing = Crossing::new(10, 100);
    let shares: Vec<f64> = (0..seeds())
        .map(|seed| {
            let values = TOY.values(seed, &crossing, members);
            covered(&find(&crossing, &values), set_of)
        })
        .collect();
    println!(
        "{members} members: {:.3}, {:.3} to {:.3}",
        mean(&shares),
        shares.iter().copied().fold(1.0, f64::min),
        shares.iter().copied().fold(0.0, f64::max),
    );
    mean(&shares)
}

fn of(figure: Figure) -> impl Fn(&Crossing, &[(u32, f64)]) -> SharedRange {
    move |crossing, values| SharedRange::new(crossing, values, figure).expect("sets")
}

#[test]
fn the_range_of_a_mean_holds_nine_tenths_of_the_true_sets() {
    for members in [1000, 2000] {
        let held = coverage(members, of(Figure::Mean), |x| (x - 10.0) / TOY.set);
        assert!((0.87..0.93).contains(&held), "{held}");
    }
}

#[test]
fn the_range_of_a_quantile_holds_nine_tenths_of_the_true_sets() {
    for probability in [0.5, 0.8, 0.95] {
        let shift = TOY.inner() * normal::quantile(probability);
        let set_of = |x| (x - 10.0 - shift) / TOY.set;
        let held = coverage(1000, of(Figure::Quantile(probability)), set_of);
        assert!((0.85..0.95).contains(&held), "{probability}: {held}");
    }
}

#[test]
fn the_range_of_a_share_holds_nine_tenths_of_the_true_sets() {
    let limit = 12.0;
    let are = |values: &[(u32, f64)]| -> Vec<(u32, bool)> {
        let above = values
            .iter()
            .map(|(member, value)| (*member, *value > limit));
        above.collect()
    };
    let find = |crossing: &Crossing, values: &[(u32, f64)]| {
        SharedRange::of_share(crossing, &are(values)).expect("sets")
    };
    let find_by = |crossing: &Crossing, values: &[(u32, f64)]| {
        SharedRange::of_share_by(crossing, &are(values), values).expect("sets")
    };
    // A set's share falls with what it adds; ends beyond 0 or 1 hold all.
    let set_of = |share: f64| {
        let share = share.clamp(1e-9, 1.0 - 1e-9);
        (limit - 10.0 + TOY.inner() * normal::quantile(share)) / TOY.set
    };
    let held = coverage(1000, find, set_of);
    assert!((0.84..0.96).contains(&held), "{held}");
    // What is added beyond the mean is never less than nothing, so that it is rather too wide.
    let held = coverage(1000, find_by, set_of);
    assert!((0.88..0.97).contains(&held), "{held}");
}

#[test]
fn a_share_of_none_has_a_range_where_its_values_come_near() {
    let crossing = Crossing::new(10, 100);
    let values = TOY.values(3, &crossing, 1000);
    let none: Vec<(u32, bool)> = (0..1000).map(|member| (member, false)).collect();
    let plain = SharedRange::of_share(&crossing, &none).expect("sets");
    assert_eq!(plain.range(), (0.0, 0.0));
    let by = SharedRange::of_share_by(&crossing, &none, &values).expect("sets");
    assert!(by.p05 == 0.0 && by.p95 > 0.0 && by.p95 < 0.05, "{by:?}");
}

#[test]
fn twice_the_colonies_move_the_range_by_less_than_a_tenth_of_its_width() {
    let crossing = Crossing::new(10, 100);
    for figure in [Figure::Mean, Figure::Quantile(0.8)] {
        let moved = (0..seeds()).map(|seed| {
            let values = TOY.values(seed, &crossing, 2000);
            let found = |members: usize| {
                SharedRange::new(&crossing, &values[..members], figure).expect("sets")
            };
            let (once, twice) = (found(1000), found(2000));
            let width = |range: &SharedRange| range.p95 - range.p05;
            (width(&twice) / width(&once) - 1.0).abs()
        });
        let moved = mean(&moved.collect::<Vec<_>>());
        println!("{figure:?}: {moved:.3}");
        assert!(moved < 0.1, "{figure:?}: {moved}");
    }
}

#[test]
fn without_anything_shared_the_range_collapses() {
    let crossing = Crossing::new(10, 100);
    let none = Toy { set: 0.0, ..TOY };
    for figure in [Figure::Mean, Figure::Quantile(0.5)] {
        let widths = (0..seeds()).map(|seed| {
            let values = none.values(seed, &crossing, 1000);
            let range = SharedRange::new(&crossing, &values, figure).expect("sets");
            range.p95 - range.p05
        });
        let width = mean(&widths.collect::<Vec<_>>());
        // Sets of ten colonies of their own would spread over 3.3 standard deviations of 1.8 over the root of ten.
        println!("{figure:?}: {width:.3}");
        assert!(
            width < 0.25 * 3.3 * none.inner() / 10.0_f64.sqrt(),
            "{width}"
        );
    }
    let alike: Vec<(u32, f64)> = (0..1000).map(|member| (member, 3.0)).collect();
    let range = SharedRange::new(&crossing, &alike, Figure::Mean).expect("sets");
    assert!(range.p95 - range.p05 < 1e-12 && (range.p50 - 3.0).abs() < 1e-12);
}

#[test]
fn fewer_than_ten_complete_sets_tell_no_range() {
    let crossing = Crossing::new(10, 100);
    let values = TOY.values(1, &crossing, 1000);
    let found = |members: usize| {
        let range = SharedRange::new(&crossing, &values[..members], Figure::Mean);
        range.map(|range| (range.sets, range.colonies))
    };
    assert_eq!(found(99), None);
    assert_eq!(found(100), Some((10, 10)));
    assert_eq!(found(999), Some((95, 10)));
    assert_eq!(found(1000), Some((100, 10)));
    // Members out of order or missing are no table.
    assert!(SharedRange::new(&crossing, &values[1..], Figure::Mean).is_none());
}
