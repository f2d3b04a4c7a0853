//! Hives that several tests share, and a steady state of one.

use overwinter::colony::{Cluster, Colony};
use overwinter::hive::vapour::saturation_pa;
use overwinter::hive::{Cavity, FINISHES, Finish, Floor, Hive, Joints, Layer, Opening, Vent};
use overwinter::material;
use overwinter::parameter::Parameters;
use overwinter::season::{
    Balance, Forcing, Ledger, Member, Site, Solver, State, Weather, column_share,
};

/// A layer of a material of the table.
pub fn layer(name: &str, thickness_m: f64) -> Layer {
    Layer::new(
        material::find(name).expect("a known material").clone(),
        thickness_m,
    )
}

/// Takes up no sun, radiates as paint does.
pub const NO_SUN: Finish = Finish {
    absorptance: 0.0,
    emissivity: 0.9,
};

/// A hive with its sides and lid in a colour of the table.
pub fn painted(hive: &Hive, name: &str) -> Hive {
    let (_, finish) = FINISHES
        .iter()
        .find(|(known, _)| *known == name)
        .expect("a finish");
    Hive {
        side_finish: *finish,
        lid_finish: *finish,
        ..hive.clone()
    }
}

/// Two ten-frame boxes of 19 mm softwood with a 200 mm by 15 mm entrance.
pub fn thin_hive() -> Hive {
    Hive {
        name: "thin softwood".to_owned(),
        cavity: Cavity {
            width_m: 0.375,
            length_m: 0.47,
            box_height_m: 0.244,
            boxes: 2,
        },
        frames: 10,
        comb_pitch_m: 0.035,
        faces_deg: 180.0,
        wall: vec![layer("softwood", 0.019)],
        lid: vec![layer("softwood", 0.019)],
        floor: Floor::Solid(vec![layer("softwood", 0.019)]),
        entrances: vec![Opening {
            width_m: 0.2,
            height_m: 0.015,
        }],
        upper_entrances: vec![],
        vents: vec![],
        joints: Joints::Propolised,
        shared_sides: vec![],
        shaded_sides: vec![],
        side_finish: NO_SUN,
        lid_finish: NO_SUN,
        tare_kg: None,
        changes: vec![],
    }
}

/// The thin hive with 38 mm of foam outside on walls and floor and 75 mm of shavings under the lid.
pub fn foam_hive() -> Hive {
    Hive {
        name: "foam".to_owned(),
        wall: vec![layer("softwood", 0.019), layer("xps", 0.038)],
        lid: vec![layer("shavings", 0.075), layer("softwood", 0.019)],
        floor: Floor::Solid(vec![layer("softwood", 0.019), layer("xps", 0.038)]),
        ..thin_hive()
    }
}

/// A hive so leaky that its air is the outside's.
pub fn incubator() -> Hive {
    let mut hive = thin_hive();
    hive.entrances[0].width_m = 2.0;
    hive.entrances[0].height_m = 0.5;
    hive.vents.push(Vent {
        opening: hive.entrances[0],
        corked: false,
    });
    hive
}

/// An open yard in the north.
pub const SITE: Site = Site {
    latitude_deg: 48.0,
    longitude_deg: Some(-94.0),
    utc_offset_h: Some(-6.0),
    snow: None,
    snow_bank: None,
    elevation_m: Some(350.0),
    shelter: 0.35,
};

/// A broodless colony of `bees_kg` at rest in `hive` under unchanging weather at the hive; its balance and state.
pub fn steady(
    hive: &Hive,
    parameters: &Parameters,
    bees_kg: f64,
    outside_c: f64,
    wind_m_s: f64,
) -> (Balance, State) {
    let share = column_share(hive, bees_kg, parameters);
    let mut balance = Balance::new(hive, share, &SITE, parameters);
    balance.set_colony(Cluster::new(bees_kg, 0.0, parameters), 15.0);
    let weather = Weather {
        outside_c,
        wind_m_s,
        pressure_pa: 101_325.0,
        vapour_pa: 0.8 * saturation_pa(outside_c),
        ..Weather::default()
    };
    let mut state = balance.start(&weather);
    let mut solver = Solver::default();
    for _ in 0..40 * 24 {
        solver
            .step(
                &balance,
                &mut state,
                (&weather, &weather),
                3600.0,
                &mut Ledger::default(),
            )
            .expect("a balance");
    }
    (balance, state)
}

/// A winter of sums of sines: seasons, days, passing weather of 4 to 17 days, cold snaps to about -32 degC, wind to 9 m/s,
/// sun to 600 W/m2, clear and covered skies, 65 to 95 % of humidity.
pub fn sine_winter(days: usize) -> Forcing {
    let tau = std::f64::consts::TAU;
    let instants = (0..=24 * days)
        .map(|hour| {
            let day = hour as f64 / 24.0;
            let season = -12.0 * (std::f64::consts::PI * day / 200.0).sin();
            let weather = 5.0 * (tau * day / 6.3).sin()
                + 4.0 * (tau * day / 4.1 + 1.0).sin()
                + 4.5 * (tau * day / 17.0 + 2.0).sin();
            let noon = 4.0 * (tau * (day - 0.33)).sin();
            let outside_c = 4.0 + season + weather + noon;
            let humidity = 0.8 + 0.15 * (tau * day / 2.9).sin();
            Weather {
                outside_c,
                vapour_pa: humidity * saturation_pa(outside_c),
                wind_m_s: 3.0 + 3.0 * (tau * day / 3.7).sin() + 1.5 * (tau * day / 0.9).sin(),
                pressure_pa: 97_000.0 + 1_500.0 * (tau * day / 5.2).sin(),
                sun_w_m2: [1.0, 0.5, 0.1, 0.6, 0.8]
                    .map(|face| face * 600.0 * (tau * (day - 0.25)).sin()),
                sky_w_m2: 50.0 + 50.0 * (tau * day / 4.1).sin(),
                snow_m: 0.0,
            }
        })
        .map(|weather| Weather {
            wind_m_s: weather.wind_m_s.max(0.0),
            sun_w_m2: weather.sun_w_m2.map(|sun| sun.max(0.0)),
            ..weather
        })
        .collect::<Vec<_>>();
    Forcing {
        label: "sines".to_owned(),
        start: jiff::civil::date(2021, 10, 1).at(0, 0, 0, 0),
        daylight: (0..instants.len())
            .map(|hour| (9..16).contains(&(hour % 24)))
            .collect(),
        instants,
        first_day: -91.0,
    }
}

/// A colony of 16,000 bees with honey enough in `hive`, every parameter at its default.
pub fn member(hive: Hive) -> Member {
    Member {
        hive,
        colony: Colony {
            bees: 16_000.0,
            stores_kg: 30.0,
            ..Colony::default()
        },
        parameters: Parameters::default(),
    }
}

/// A scenario of one wooden box with the keys of its `[weather]`, from 1 November to 20 December.
pub fn one_box(weather: &str) -> String {
    format!(
        r#"
[site]
latitude = 47.2
longitude = -94.1
elevation = "350 m"
shelter = "hedge"
[weather]
{weather}
[season]
start = "1 November"
first_forage = "20 December"
[hive]
boxes = 1
frames = 10
wall = "19 mm softwood"
lid = "19 mm softwood"
floor = "19 mm softwood"
entrance = {{ width = "150 mm", height = "10 mm" }}
[colony]
bees = 15000
stores = "15 kg"
"#
    )
}
