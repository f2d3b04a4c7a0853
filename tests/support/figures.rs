//! Figures of the model that are held against published ones, and kept where they miss them.

use overwinter::colony::bees::{Bees, Toil};
use overwinter::hive::Hive;
use overwinter::hive::heatloss::{HeatLoss, Pair};
use overwinter::parameter::Parameters;
use overwinter::scenario::parse_hive;
use std::path::Path;

/// No wind.
pub const STILL_M_S: f64 = 0.0;
/// Gives ISO 6946 its outside resistance of 0.04 m2K/W.
pub const STANDARD_WIND_M_S: f64 = 4.0;
/// Two deep boxes of larch with a quilt of shavings.
pub const LARCH: &str = "from = 'thin-softwood-two-boxes'\nwall = '25 mm larch'\nfloor = ['25 mm larch']\nlid = 'shavings-lid'";
/// As narrow as boxes for natural comb are.
pub const SMALL: &str =
    "frames = 8\ncavity = { width = '300 mm', length = '300 mm', box_height = '210 mm' }";
/// A tree with a thick wall.
pub const THICK_LOG: &str = "from = 'hollow-log'\nwall = '150 mm softwood'";
/// The third of it that bees warm.
pub const UPPER_THIRD: &str = "from = 'hollow-log'\nwall = '150 mm softwood'\ncavity = { width = '204 mm', length = '204 mm', box_height = '370 mm' }";

/// A hive of these keys.
pub fn hive(keys: &str) -> Hive {
    parse_hive(&format!("[hive]\n{keys}"), Path::new("case.toml")).expect("a hive")
}

fn loss(keys: &str, wind_m_s: f64) -> HeatLoss {
    let pair = Pair {
        inside_c: 10.0,
        outside_c: -10.0,
        wind_m_s,
    };
    HeatLoss::new(&hive(keys), pair, &Parameters::default())
}

/// Conductance of all surfaces with their edges, at 10 degC inside and -10 degC outside.
pub fn surfaces_w_k(keys: &str, wind_m_s: f64) -> f64 {
    loss(keys, wind_m_s).surfaces_w_k()
}

/// As [`surfaces_w_k`] without what goes through the floor: a part of a cavity that goes on below.
pub fn above_the_floor_w_k(keys: &str, wind_m_s: f64) -> f64 {
    let loss = loss(keys, wind_m_s);
    let surfaces = loss
        .surfaces
        .iter()
        .filter(|surface| surface.name != "floor");
    surfaces.map(|surface| surface.conductance_w_k).sum()
}

/// A thousand bees reared in the hive.
pub fn reared() -> Bees {
    let mut bees = Bees::new(0.0);
    bees.end_day(1_000.0, Toil::default(), &Parameters::default());
    bees
}

/// Days that bees live on average, who nurse and feel the cold so much all along.
pub fn mean_life_d(mut bees: Bees, toil: Toil) -> f64 {
    let p = Parameters::default();
    let start = bees.total();
    let mut sum_d = 0.0;
    for _ in 0..5_000 {
        let before = bees.total();
        bees.end_day(0.0, toil, &p);
        sum_d += 0.5 * (before + bees.total());
    }
    sum_d / start
}
