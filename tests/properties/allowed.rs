//! Any hive, colony, parameters and course of weather that a scenario allows, drawn at random.

use overwinter::colony::{Colony, Feed, FeedKind, Placement};
use overwinter::hive::{
    Alteration, Cavity, Change, FINISHES, Floor, Framing, Hive, Joints, Layer, Opening,
    ScreenState, Side, Vent, When,
};
use overwinter::material;
use overwinter::parameter::{Parameters, TABLE};
use overwinter::season::{Forcing, Member, Site, Weather};
use overwinter::weather::humidity::saturation_pressure_over_water_pa;
use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use std::f64::consts::TAU;

/// From too few to twice the largest wintering colony; a hundred thousand in a small closed box overheat, as the model has none leave.
const BEES: (f64, f64) = (500.0, 60_000.0);
/// Most sun on a face, W/m2, and most that a black level surface loses to the sky.
const MOST_SUN_W_M2: f64 = 400.0;
const MOST_SKY_W_M2: f64 = 120.0;
/// Most snow against the sides, m: over the lid of most hives.
const MOST_SNOW_M: f64 = 0.9;

/// One season to run.
#[derive(Clone, Debug)]
pub struct Case {
    pub member: Member,
    pub site: Site,
    pub forcing: Forcing,
}

/// Uniform in the logarithm.
fn log_uniform(low: f64, high: f64) -> impl Strategy<Value = f64> {
    (low.ln()..=high.ln()).prop_map(f64::exp)
}

fn layers() -> impl Strategy<Value = Vec<Layer>> {
    let table = material::table();
    let framing = option::weighted(0.2, (0..table.len(), 0.0..=0.9));
    let layer = (0..table.len(), log_uniform(1e-4, 1.0), framing);
    let layers = vec(layer, 1..5).prop_map(move |layers| {
        let layer = |(material, thickness_m, framing): (usize, f64, Option<(usize, f64)>)| Layer {
            framing: framing.map(|(material, share)| Framing {
                material: table[material].clone(),
                share,
            }),
            ..Layer::new(table[material].clone(), thickness_m)
        };
        layers.into_iter().map(layer).collect::<Vec<Layer>>()
    });
    layers.prop_filter("no gap open to the outside innermost", |layers| {
        !layers[0].material.is_vented()
    })
}

fn opening() -> impl Strategy<Value = Opening> {
    (log_uniform(1e-3, 2.0), log_uniform(1e-3, 0.5))
        .prop_map(|(width_m, height_m)| Opening { width_m, height_m })
}

fn floor() -> impl Strategy<Value = Floor> {
    prop_oneof![
        layers().prop_map(Floor::Solid),
        (0.05..=0.95, layers(), 0..3).prop_map(|(free_share, board, state)| Floor::Screened {
            free_share,
            state: match state {
                0 => ScreenState::Open,
                1 => ScreenState::Half(board),
                _ => ScreenState::Closed(board),
            },
        }),
    ]
}

/// By date, by temperature or by both; small openings, as they must fit any hive.
fn change() -> impl Strategy<Value = Change> {
    let dates = option::of(((1_i8..=12, 1_i8..=14), (1_i8..=12, 15_i8..=28)));
    let when = (dates, option::of(-20.0..=15.0)).prop_map(|(dates, below_c)| When {
        from: dates.map(|(from, _)| from),
        until: dates.map(|(_, until)| until),
        // One condition at least.
        below_c: below_c.or(dates.is_none().then_some(0.0)),
        above_c: None,
    });
    let small = (1e-3..=0.1, 1e-3..=0.1);
    let small = small.prop_map(|(width_m, height_m)| Opening { width_m, height_m });
    let vent = (small.clone(), any::<bool>());
    let vent = vent.prop_map(|(opening, corked)| Vent { opening, corked });
    let finish = || (0..FINISHES.len()).prop_map(|number| FINISHES[number].1);
    let what = (
        // A lid or a wrap, so that something is altered.
        prop_oneof![
            layers().prop_map(|lid| (Some(lid), None)),
            layers().prop_map(|wrap| (None, Some(wrap)))
        ],
        option::of(floor()),
        option::of(vec(vent, 0..3)),
        option::of(vec(small, 0..3)),
        (option::of(finish()), option::of(finish())),
    );
    let what = what.prop_map(
        |((lid, wrap), floor, vents, entrances, (side_finish, lid_finish))| Alteration {
            wrap,
            lid,
            floor,
            vents,
            entrances,
            side_finish,
            lid_finish,
        },
    );
    (when, what).prop_map(|(when, what)| Change { when, what })
}

pub fn hive() -> impl Strategy<Value = Hive> {
    let size = (
        log_uniform(0.1, 1.0),
        log_uniform(0.1, 1.0),
        log_uniform(0.1, 1.0),
        1_u32..=5,
        1_u32..=40,
        0.025..=0.06,
    );
    let upper = (
        vec(opening(), 0..2),
        vec((opening(), any::<bool>()), 0..3),
        proptest::sample::select(vec![Joints::Tight, Joints::Propolised, Joints::Loose]),
    );
    let shared = proptest::sample::subsequence(vec![Side::Right, Side::Back, Side::Left], 0..=3);
    let shaded = proptest::sample::subsequence(Side::ALL.to_vec(), 0..=4);
    let shell = (layers(), layers(), floor());
    let paints = (0..FINISHES.len(), 0..FINISHES.len());
    let paint = |number: usize| FINISHES[number].1;
    (
        size,
        shell,
        vec(opening(), 0..3),
        upper,
        (shared, shaded),
        (paints, vec(change(), 0..4)),
    )
        .prop_map(
            move |(
                size,
                (wall, lid, floor),
                entrances,
                (upper_entrances, vents, joints),
                (shared_sides, shaded_sides),
                ((side, lid_paint), changes),
            )| {
                let (width_m, length_m, box_height_m, boxes, frames, comb_pitch_m) = size;
                // No more frames than fit into the width.
                let frames = frames.min((width_m / comb_pitch_m) as u32).max(1);
                // No opening is wider or higher than the hive.
                let within = |opening: Opening| Opening {
                    width_m: opening.width_m.min(width_m),
                    height_m: opening.height_m.min(box_height_m),
                };
                let vent = |(opening, corked)| Vent {
                    opening: within(opening),
                    corked,
                };
                let entrances = entrances.into_iter().map(within).collect();
                Hive {
                    name: "any".to_owned(),
                    cavity: Cavity {
                        width_m,
                        length_m,
                        box_height_m,
                        boxes,
                    },
                    frames,
                    comb_pitch_m,
                    faces_deg: 180.0,
                    wall,
                    lid,
                    floor,
                    entrances,
                    upper_entrances: upper_entrances.into_iter().map(within).collect(),
                    vents: vents.into_iter().map(vent).collect(),
                    joints,
                    shared_sides,
                    shaded_sides,
                    side_finish: paint(side),
                    lid_finish: paint(lid_paint),
                    tare_kg: None,
                    changes,
                }
            },
        )
}

/// Every parameter anywhere between the least and the most that a scenario may set, its ends often.
pub fn parameters() -> impl Strategy<Value = Parameters> {
    let place = prop_oneof![6 => 0.0..=1.0, 1 => Just(0.0), 1 => Just(1.0)];
    let drawn = vec(place, TABLE.len()).prop_map(|places| {
        Parameters::from_rows(|number, row| row.low + places[number] * (row.high - row.low))
    });
    // What a scenario refuses: a band that ends where it begins or before.
    drawn.prop_filter("bands in order", |p| {
        let bands = [
            (p.core_vent_start_c, p.core_vent_full_c),
            (p.fanning_start_c, p.fanning_full_c),
            (p.cold_wear_start_w_kg, p.cold_wear_full_w_kg),
            (p.contraction_full_c, p.contraction_start_c),
            (p.mantle_warm_c, p.mantle_loose_c),
        ];
        bands.iter().all(|(start, full)| start + 0.5 <= *full)
    })
}

/// Waves of a season, passing weather and days, steps from one hour to the next, gales; -60 to 25 degC.
fn forcing() -> impl Strategy<Value = Forcing> {
    let course = (-30.0..=10.0, 0.0..=20.0, 0.0..=15.0, 0.0..=10.0, 0.0..=TAU);
    let steps = vec((0_usize..24 * 200, -25.0..=25.0), 0..6);
    let air = (0.0..=15.0, 0.0..=25.0, 55_000.0..=106_000.0);
    (30_usize..=200, course, steps, air).prop_map(|(days, course, steps, air)| {
        let (mean_c, season_k, passing_k, day_k, phase) = course;
        let (wind_m_s, gust_m_s, pressure_pa): (f64, f64, f64) = air;
        let instant = |hour: usize| {
            let day = hour as f64 / 24.0;
            let step_k: f64 = steps
                .iter()
                .filter(|(at, _)| (*at..*at + 60).contains(&hour))
                .map(|(_, step_k)| step_k)
                .sum();
            let outside_c: f64 = mean_c - season_k * (TAU * day / 400.0).sin()
                + passing_k * (TAU * day / 5.3 + phase).sin()
                + day_k * (TAU * (day - 0.35)).sin()
                + step_k;
            let outside_c = outside_c.clamp(-60.0, 25.0);
            let humidity = 0.7 + 0.3 * (TAU * day / 3.1 + phase).sin();
            Weather {
                outside_c,
                vapour_pa: humidity * saturation_pressure_over_water_pa(outside_c),
                wind_m_s: (wind_m_s + gust_m_s * (TAU * day / 2.9 + phase).sin()).max(0.0),
                pressure_pa,
                sun_w_m2: [1.0, 0.4, 0.1, 0.6, 0.7].map(|face| {
                    face * (MOST_SUN_W_M2
                        * (TAU * (day - 0.25)).sin()
                        * (1.0 + (TAU * day / 5.3).cos())
                        / 2.0)
                        .max(0.0)
                }),
                sky_w_m2: MOST_SKY_W_M2 * (1.0 + (TAU * day / 5.3).cos()) / 2.0,
                snow_m: MOST_SNOW_M * (TAU * day / 23.0).sin().max(0.0),
            }
        };
        Forcing {
            label: "any".to_owned(),
            start: jiff::civil::date(2021, 10, 1).at(0, 0, 0, 0),
            instants: (0..=24 * days).map(instant).collect(),
            daylight: (0..=24 * days)
                .map(|hour| (9..16).contains(&(hour % 24)))
                .collect(),
            first_day: -91.0,
        }
    })
}

/// Feed of any kind on any day from October to March.
fn feed() -> impl Strategy<Value = Feed> {
    let kind = prop_oneof![
        Just(FeedKind::Fondant),
        Just(FeedKind::Sugar),
        (0.3..=0.75).prop_map(|sugar_share| FeedKind::Syrup { sugar_share }),
    ];
    let on = ((10_i8..=15), 1_i8..=28).prop_map(|(month, day)| ((month - 1) % 12 + 1, day));
    (on, kind, log_uniform(0.1, 60.0)).prop_map(|(on, kind, kg)| Feed { on, kind, kg })
}

/// Where honey and cluster are, known or not.
fn placement() -> impl Strategy<Value = Placement> {
    (
        vec(0.0..=1.0, 0..=10),
        vec(0.0..=1.0, 0..=12),
        option::of(0_u32..10),
        option::of(0.0..=12.0),
    )
        .prop_map(|(boxes, seams, cluster_box, cluster_seam)| Placement {
            boxes,
            seams,
            cluster_box,
            cluster_seam,
        })
}

pub fn case() -> impl Strategy<Value = Case> {
    let colony = (
        (log_uniform(BEES.0, BEES.1), log_uniform(0.1, 200.0)),
        placement(),
        vec(feed(), 0..4),
    )
        .prop_map(|((bees, stores_kg), placement, feeds)| Colony {
            bees,
            stores_kg,
            placement,
            feeds,
        });
    let site = (0.0..=90.0, 0.0..=1.0).prop_map(|(latitude_deg, shelter)| Site {
        latitude_deg,
        longitude_deg: None,
        utc_offset_h: None,
        snow: None,
        snow_bank: None,
        elevation_m: None,
        shelter,
    });
    (hive(), colony, parameters(), site, forcing()).prop_map(
        |(hive, mut colony, parameters, site, forcing)| Case {
            member: Member {
                colony: {
                    // No more honey than the boxes hold.
                    let inside_m3 = hive.cavity.plan_m2() * hive.cavity.height_m();
                    colony.stores_kg = colony.stores_kg.min(1_000.0 * inside_m3);
                    colony
                },
                hive,
                parameters,
            },
            site,
            forcing,
        },
    )
}
