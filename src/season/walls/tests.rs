//! Snow against a side, by hand.

use super::*;
use crate::hive::{FINISHES, Layer};
use crate::material;

const BANK_M2K_W: f64 = 1.2;
const WEATHER: Weather = Weather {
    outside_c: -8.0,
    wind_m_s: 1.5,
    pressure_pa: 101_325.0,
    sun_w_m2: [400.0, 0.0, 0.0, 0.0, 200.0],
    vapour_pa: 250.0,
    sky_w_m2: 60.0,
    snow_m: 0.0,
};

/// The upper half of a front 0.5 m high and 0.4 m wide, and a lid of the same boards.
fn chains() -> Vec<Chain> {
    let wood = material::find("softwood").expect("softwood").clone();
    let layers = [Layer::new(wood, 0.019)];
    let front = (Face::Side(Side::Front), Zone::Upper, Orientation::Vertical);
    let lid = (Face::Lid, Zone::Upper, Orientation::Lid);
    let mut chains = vec![
        Chain::new(front, &layers, 0.1, 0.9),
        Chain::new(lid, &layers, 0.2, 1.8),
    ];
    chains[0].edges_m = [0.25, 0.5];
    for chain in &mut chains {
        chain.finish = FINISHES[0].1;
    }
    chains
}

/// From the last node to the outside, W/K, and the lift by sun and sky, K, of front and lid.
fn outside(snow_m: f64) -> [(f64, f64); 2] {
    let mut films = Films::default();
    let weather = Weather { snow_m, ..WEATHER };
    Walls::new(&chains(), BANK_M2K_W).outside_films(&weather, &mut films);
    [0, 1].map(|number| (films.outside_w_k[number], films.lift_k[number]))
}

#[test]
fn a_fifth_of_a_side_under_snow_loses_through_it_and_sees_no_sun() {
    let front = &chains()[0];
    let finish = front.finish;
    let film_w_m2k = film::outside_w_m2k(WEATHER.wind_m_s, WEATHER.outside_c, finish.emissivity);
    let last_m2k_w = front.last_k_w * front.outside_m2;
    let free_w_k = 0.8 * front.outside_m2 / (last_m2k_w + 1.0 / film_w_m2k);
    let banked_w_k = 0.2 * front.outside_m2 / (last_m2k_w + BANK_M2K_W);
    let gained_w_m2 = 400.0 * finish.absorptance - 0.5 * finish.emissivity * 60.0;
    let [(outside_w_k, lift_k), _] = outside(0.30);
    assert!((outside_w_k / (free_w_k + banked_w_k) - 1.0).abs() < 1e-12);
    // What reaches the wall by the free way alone.
    let gained_w = outside_w_k * lift_k;
    assert!((gained_w / (free_w_k * gained_w_m2 / film_w_m2k) - 1.0).abs() < 1e-12);
}

#[test]
fn snow_below_a_part_of_a_side_does_nothing_and_above_it_no_more_than_cover_it() {
    let [front, lid] = outside(0.0);
    assert_eq!(outside(0.25)[0], front);
    let [covered, under] = outside(0.5);
    assert!(covered.0 < 0.3 * front.0);
    assert_eq!(covered.1, 0.0);
    assert_eq!(outside(3.0)[0], covered);
    assert_eq!(under, lid, "a lid is never covered");
}
