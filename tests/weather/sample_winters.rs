//! The sample that comes with the program, read as any user's file is.

use overwinter::weather::sample::{WINTERS, WINTERS_CSV, WINTERS_FILE, normals};
use overwinter::weather::{ReadOptions, Season, Variable, read_bytes};

#[test]
fn the_sample_is_ten_whole_winters_that_need_no_repair() {
    let record = read_bytes(WINTERS_FILE, WINTERS_CSV, &ReadOptions::default())
        .expect("the sample is in the plain layout");
    assert_eq!(record.files[0].layout, "plain");
    let site = normals().expect("the normals are sound").site;
    assert_eq!(record.place.latitude, Some(site.latitude_deg));
    assert_eq!(record.place.longitude, Some(site.longitude_deg));
    assert_eq!(record.place.elevation_m, Some(site.elevation_m));
    assert_eq!(record.place.utc_offset_h, Some(site.utc_offset_h));
    for (start, end) in [("10-01", "04-15"), ("09-15", "05-31")] {
        let season = Season::parse(start, end).expect("two days");
        let found = record.winters(season).expect("whole winters");
        assert_eq!(
            found.winters.len(),
            WINTERS,
            "{start} to {end}: {:?}",
            found.refused
        );
        for winter in &found.winters {
            for variable in [
                Variable::Temperature,
                Variable::DewPoint,
                Variable::Wind,
                Variable::Cloud,
                Variable::Pressure,
                Variable::Global,
            ] {
                let repairs = winter.repairs.get(&variable);
                assert_eq!(
                    repairs.map(overwinter::weather::gaps::Repairs::total),
                    Some(0),
                    "{} {variable:?}",
                    winter.label
                );
            }
            assert!(winter.warnings.is_empty(), "{:?}", winter.warnings);
        }
    }
}
