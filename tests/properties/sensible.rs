//! Hives as keepers build them, cold weather, and colonies at rest in both.

use overwinter::colony::{Cluster, Colony};
use overwinter::hive::vapour::saturation_pa;
use overwinter::hive::{Cavity, Floor, Hive, Joints, Layer, Opening, ScreenState, Vent};
use overwinter::parameter::Parameters;
use overwinter::season::{
    Advance, Balance, Dampness, Forcing, Ledger, Member, Outcome, Site, Solver, Weather, run_with,
};
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::select;
use proptest::strategy::ValueTree as _;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::f64::consts::TAU;
use support::hives::{NO_SUN, SITE, layer, thin_hive};

/// Uniform from the one to the other, in millimetres; given in m.
fn mm(low: f64, high: f64) -> impl Strategy<Value = f64> {
    (low..=high).prop_map(|mm| 1e-3 * mm)
}

/// One layer of one of these materials.
fn one_of(
    names: &'static [&'static str],
    low_mm: f64,
    high_mm: f64,
) -> impl Strategy<Value = Layer> {
    (select(names), mm(low_mm, high_mm)).prop_map(|(name, thickness_m)| layer(name, thickness_m))
}

const FOAMS: &[&str] = &["xps", "eps", "pur"];

/// A board that keepers lay on the outside of a hive.
pub fn insulation() -> impl Strategy<Value = Layer> {
    one_of(
        &["xps", "eps", "pur", "softwood", "wood-fibre-board", "cork"],
        10.0,
        60.0,
    )
}

fn wall() -> impl Strategy<Value = Vec<Layer>> {
    prop_oneof![
        one_of(&["softwood", "plywood"], 10.0, 60.0).prop_map(|wood| vec![wood]),
        one_of(FOAMS, 20.0, 60.0).prop_map(|foam| vec![foam]),
        (one_of(&["softwood"], 10.0, 25.0), one_of(FOAMS, 10.0, 60.0))
            .prop_map(|(wood, foam)| vec![wood, foam]),
    ]
}

fn board() -> impl Strategy<Value = Layer> {
    one_of(&["softwood", "plywood"], 6.0, 25.0)
}

/// A filling over cloth, under a board or a vented roof: vapour goes in from below.
pub fn open_lid() -> impl Strategy<Value = Vec<Layer>> {
    let filling = || one_of(&["shavings", "sawdust", "straw", "sheep-wool"], 30.0, 150.0);
    let cloth = || layer("cotton-cloth", 0.0005);
    prop_oneof![
        (filling(), board()).prop_map(move |(filling, board)| vec![cloth(), filling, board]),
        (filling(), mm(10.0, 30.0)).prop_map(move |(filling, gap_m)| vec![
            cloth(),
            filling,
            layer("vented-air", gap_m),
            layer("steel", 0.0005),
        ]),
    ]
}

fn lid() -> impl Strategy<Value = Vec<Layer>> {
    prop_oneof![
        1 => board().prop_map(|board| vec![board]),
        1 => (board(), one_of(FOAMS, 10.0, 60.0))
            .prop_map(|(board, foam)| vec![board, foam, layer("steel", 0.0005)]),
        2 => open_lid(),
    ]
}

fn floor() -> impl Strategy<Value = Floor> {
    let solid = prop_oneof![
        board().prop_map(|board| vec![board]),
        (board(), one_of(FOAMS, 10.0, 60.0)).prop_map(|(board, foam)| vec![board, foam]),
    ];
    prop_oneof![
        2 => solid.prop_map(Floor::Solid),
        1 => (0.3..=0.7, board(), 0..3).prop_map(|(free_share, board, state)| Floor::Screened {
            free_share,
            state: match state {
                0 => ScreenState::Open,
                1 => ScreenState::Half(vec![board]),
                _ => ScreenState::Closed(vec![board]),
            },
        }),
    ]
}

fn opening(width_mm: (f64, f64), height_mm: (f64, f64)) -> impl Strategy<Value = Opening> {
    (mm(width_mm.0, width_mm.1), mm(height_mm.0, height_mm.1))
        .prop_map(|(width_m, height_m)| Opening { width_m, height_m })
}

/// One to three boxes, an entrance, perhaps an upper one and vents; no sun, no changes.
pub fn hive() -> impl Strategy<Value = Hive> {
    let cavity = (
        mm(350.0, 450.0),
        mm(400.0, 500.0),
        mm(160.0, 300.0),
        1_u32..=3,
    );
    let vent = (opening((10.0, 60.0), (10.0, 40.0)), any::<bool>())
        .prop_map(|(opening, corked)| Vent { opening, corked });
    let joints = select(&[Joints::Tight, Joints::Propolised, Joints::Loose][..]);
    let openings = (
        opening((20.0, 300.0), (7.0, 20.0)),
        vec(opening((10.0, 40.0), (10.0, 25.0)), 0..2),
        vec(vent, 0..3),
        joints,
    );
    (cavity, wall(), lid(), floor(), openings).prop_map(
        |((width_m, length_m, box_height_m, boxes), wall, lid, floor, openings)| {
            let (entrance, upper_entrances, vents, joints) = openings;
            Hive {
                name: "sensible".to_owned(),
                cavity: Cavity {
                    width_m,
                    length_m,
                    box_height_m,
                    boxes,
                },
                wall,
                lid,
                floor,
                entrances: vec![entrance],
                upper_entrances,
                vents,
                joints,
                side_finish: NO_SUN,
                lid_finish: NO_SUN,
                ..thin_hive()
            }
        },
    )
}

/// Weather that holds still, at the station, without sun or sky.
#[derive(Clone, Copy, Debug)]
pub struct Cold {
    pub outside_c: f64,
    pub wind_m_s: f64,
    /// Relative humidity over ice.
    pub humidity: f64,
}

impl Cold {
    pub fn weather(self) -> Weather {
        Weather {
            outside_c: self.outside_c,
            wind_m_s: self.wind_m_s,
            pressure_pa: 101_325.0,
            vapour_pa: self.humidity * saturation_pa(self.outside_c),
            ..Weather::default()
        }
    }
}

/// From as cold as a hive ever meets to where thick ones are mild inside.
pub fn cold() -> impl Strategy<Value = Cold> {
    (-40.0..=-10.0, 0.0..=10.0, 0.5..=0.95).prop_map(|(outside_c, wind_m_s, humidity)| Cold {
        outside_c,
        wind_m_s,
        humidity,
    })
}

/// 7,000 to 22,000 bees.
pub fn bees_kg() -> impl Strategy<Value = f64> {
    0.8..=2.5
}

/// Heat that a broodless colony at rest makes after 40 days.
pub fn heat_at_rest_w(
    hive: &Hive,
    p: &Parameters,
    site: &Site,
    bees_kg: f64,
    weather: &Weather,
) -> f64 {
    let mut balance = Balance::new(hive, 0.3, site, p);
    balance.set_colony(Cluster::new(bees_kg, 0.0, p), 15.0);
    let weather = balance.at_hive(weather);
    let mut state = balance.start(&weather);
    let mut solver = Solver::default();
    for _ in 0..40 * 24 {
        let ledger = &mut Ledger::default();
        solver
            .hour(&balance, &mut state, &weather, &weather, ledger)
            .expect("a balance");
    }
    balance.heat_made_w(&state)
}

/// A winter without brood, in which bees die by the calendar alone.
pub fn broodless() -> Parameters {
    Parameters {
        peak_eggs_per_day: 0.0,
        cold_wear: 0.0,
        ..Parameters::default()
    }
}

/// Days of one temperature in the mean, with a daily swing, passing weather, and sun.
#[derive(Clone, Copy, Debug)]
pub struct Days {
    pub days: usize,
    pub mean_c: f64,
    pub day_k: f64,
    pub passing_k: f64,
    pub wind_m_s: f64,
    pub humidity: f64,
    pub sun_w_m2: f64,
    pub sky_w_m2: f64,
}

pub fn days() -> impl Strategy<Value = Days> {
    let course = (20_usize..=60, -25.0..=0.0, 0.0..=6.0, 0.0..=6.0);
    let sky = (0.0..=800.0, 0.0..=100.0);
    (course, 0.0..=8.0, 0.5..=0.95, sky).prop_map(
        |((days, mean_c, day_k, passing_k), wind_m_s, humidity, (sun_w_m2, sky_w_m2))| Days {
            days,
            mean_c,
            day_k,
            passing_k,
            wind_m_s,
            humidity,
            sun_w_m2,
            sky_w_m2,
        },
    )
}

impl Days {
    pub fn forcing(self) -> Forcing {
        let instant = |hour: usize| {
            let day = hour as f64 / 24.0;
            let outside_c = self.mean_c
                + self.day_k * (TAU * (day - 0.35)).sin()
                + self.passing_k * (TAU * day / 5.3).sin();
            let sun = self.sun_w_m2 * (TAU * (day - 0.25)).sin().max(0.0);
            Weather {
                outside_c,
                wind_m_s: self.wind_m_s * (1.0 + 0.5 * (TAU * day / 3.7).sin()),
                pressure_pa: 100_000.0,
                vapour_pa: self.humidity * saturation_pa(outside_c),
                sun_w_m2: [1.0, 0.4, 0.1, 0.6, 0.5].map(|face| face * sun),
                sky_w_m2: self.sky_w_m2,
                snow_m: 0.0,
            }
        };
        Forcing {
            label: "days".to_owned(),
            start: jiff::civil::date(2021, 12, 1).at(0, 0, 0, 0),
            instants: (0..=24 * self.days).map(instant).collect(),
            daylight: (0..=24 * self.days)
                .map(|hour| (9..16).contains(&(hour % 24)))
                .collect(),
            first_day: -30.0,
        }
    }
}

/// Each hour's end.
#[derive(Clone, Copy, Debug)]
pub struct Hour {
    pub upper_c: f64,
    pub lower_c: f64,
    pub upper_pa: f64,
    pub dampness: Dampness,
}

impl Hour {
    /// Water in films and layers, kg.
    pub fn water_kg(&self) -> f64 {
        let d = &self.dampness;
        d.layers_kg + d.lid.film_kg + d.walls.film_kg + d.floor.film_kg
    }
}

pub fn mean(hours: &[Hour], of: impl Fn(&Hour) -> f64) -> f64 {
    hours.iter().map(of).sum::<f64>() / hours.len() as f64
}

/// The winter of a broodless colony of so many kilograms.
pub fn winter(hive: &Hive, bees_kg: f64, forcing: &Forcing) -> (Outcome, Vec<Hour>) {
    winter_of(hive, bees_kg, forcing, &broodless())
}

/// The same under other parameters.
pub fn winter_of(
    hive: &Hive,
    bees_kg: f64,
    forcing: &Forcing,
    parameters: &Parameters,
) -> (Outcome, Vec<Hour>) {
    let member = Member {
        hive: hive.clone(),
        colony: Colony {
            bees: bees_kg / parameters.bee_mass_kg,
            stores_kg: 40.0,
            ..Colony::default()
        },
        parameters: parameters.clone(),
    };
    let mut hours = Vec::new();
    let mut solver = Solver::default();
    let outcome = run_with(&member, &SITE, forcing, &mut solver, &mut |watch| {
        hours.push(Hour {
            upper_c: watch.state.upper_c,
            lower_c: watch.state.lower_c,
            upper_pa: watch.state.water.upper_pa,
            dampness: watch.dampness,
        });
    });
    (outcome.expect("a winter"), hours)
}

/// The least margin of each direction over `SEARCH_CASES` cases, 500 unless said, all of them printed.
pub fn search<S>(
    cases: S,
    margins: impl Fn(&S::Value) -> Vec<(&'static str, f64)> + Sync,
) -> BTreeMap<&'static str, f64>
where
    S: Strategy + Sync,
{
    let count = std::env::var("SEARCH_CASES").map_or(500, |text| text.parse().expect("a number"));
    let found: Vec<(&'static str, f64, u64)> = (0..count)
        .into_par_iter()
        .flat_map_iter(|number: u64| {
            let mut seed = [0; 32];
            seed[..8].copy_from_slice(&number.to_le_bytes());
            let rng = TestRng::from_seed(RngAlgorithm::ChaCha, &seed);
            let mut runner = TestRunner::new_with_rng(Config::default(), rng);
            let case = cases.new_tree(&mut runner).expect("a case").current();
            let found = margins(&case).into_iter();
            found.map(move |(what, margin)| (what, margin, number))
        })
        .collect();
    let mut least = BTreeMap::new();
    for (what, margin, number) in &found {
        let so_far = least.entry(*what).or_insert((*margin, *number, 0, 0));
        if *margin < so_far.0 {
            (so_far.0, so_far.1) = (*margin, *number);
        }
        so_far.2 += 1;
        so_far.3 += u32::from(*margin < 0.0);
    }
    for (what, (margin, number, cases, below)) in &least {
        println!("{what}: least {margin:.2e} in case {number}; {below} of {cases} below 0");
    }
    let only = |(what, found): (&'static str, (f64, u64, u32, u32))| (what, found.0);
    least.into_iter().map(only).collect()
}
