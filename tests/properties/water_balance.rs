//! Water is neither lost nor made in a winter, whatever the keeper does to the hive.

use overwinter::hive::{Alteration, Change, Floor, Hive, Opening, ScreenState, Vent, When};
use overwinter::season::{Forcing, Outcome, Site, run};
use overwinter::weather::sample::{WINTERS_CSV, WINTERS_FILE, normals};
use overwinter::weather::{ReadOptions, Season, read_bytes};
use support::hives::{layer, member, thin_hive};

/// A whole winter of the sample.
fn sample_winter(number: usize) -> (Forcing, Site) {
    let record =
        read_bytes(WINTERS_FILE, WINTERS_CSV, &ReadOptions::default()).expect("the sample");
    let season = Season::parse("10-01", "04-15").expect("two days");
    let winters = record.winters(season).expect("whole winters").winters;
    let place = normals().expect("sound normals").site;
    let site = Site {
        latitude_deg: place.latitude_deg,
        longitude_deg: Some(place.longitude_deg),
        utc_offset_h: Some(place.utc_offset_h),
        elevation_m: Some(place.elevation_m),
        snow: None,
        snow_bank: None,
        shelter: 0.35,
    };
    let forcing = Forcing::new(&winters[number], &site, 180.0).expect("a place on Earth");
    (forcing, site)
}

/// A lid of shavings under a vented roof, mesh below, a vent; in the cold the mesh is closed and the vent corked, in midwinter there is a wrap.
fn busy_hive() -> Hive {
    let screened = |state| Floor::Screened {
        free_share: 0.6,
        state,
    };
    let vents = |corked| {
        let opening = Opening {
            width_m: 0.02,
            height_m: 0.02,
        };
        vec![Vent { opening, corked }]
    };
    let in_the_cold = Change {
        when: When {
            below_c: Some(0.0),
            ..When::default()
        },
        what: Alteration {
            floor: Some(screened(ScreenState::Closed(vec![layer("plywood", 0.006)]))),
            vents: Some(vents(true)),
            ..Alteration::default()
        },
    };
    let in_midwinter = Change {
        when: When {
            from: Some((12, 1)),
            until: Some((2, 15)),
            ..When::default()
        },
        what: Alteration {
            wrap: Some(vec![layer("xps", 0.038)]),
            ..Alteration::default()
        },
    };
    Hive {
        lid: vec![
            layer("cotton-cloth", 0.0005),
            layer("shavings", 0.1),
            layer("vented-air", 0.02),
            layer("steel", 0.0005),
        ],
        floor: screened(ScreenState::Open),
        vents: vents(false),
        changes: vec![in_the_cold, in_midwinter],
        ..thin_hive()
    }
}

#[test]
fn no_water_is_lost_in_a_whole_winter_of_a_hive_that_is_changed_again_and_again() {
    for number in [0, 4, 9] {
        let (forcing, site) = sample_winter(number);
        let Outcome { ledger, days, .. } =
            run(&member(busy_hive()), &site, &forcing).expect("a winter");
        let water = &ledger.water;
        assert!(water.made_kg > 3.0, "{water:?}");
        assert!(water.imbalance().abs() < 1e-9, "{}", water.imbalance());
        // Each change came and went, and the filling took water up.
        for change in 0..2 {
            let held = days.iter().filter(|day| day.changes.has(change)).count();
            assert!(
                (10..days.len()).contains(&held),
                "change {change}: {held} days"
            );
        }
        assert!(water.layers_kg > 0.0 && water.air_kg > 0.0, "{water:?}");
    }
}
