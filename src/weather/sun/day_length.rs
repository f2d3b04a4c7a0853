//! How long a day is.

/// Hours from sunrise to sunset at a latitude, degrees north, on a day of the year (1 January is 1; days before it 0 and below).
///
/// Declination by Cooper 1969 (Solar Energy 12:333, good to half a degree), the sun's upper rim seen through the air at -0.833 degrees: right to
/// some minutes below 60 degrees. 0 in the polar night, 24 where the sun does not set.
///
/// ```
/// use overwinter::weather::sun::day_length_h;
/// assert!((day_length_h(47.4, 355.0) - 8.43).abs() < 0.05); // Zurich on 21 December: 8 h 26 min
/// assert!((day_length_h(0.0, 80.0) - 12.1).abs() < 0.05);
/// ```
#[must_use]
pub fn day_length_h(latitude_deg: f64, day: f64) -> f64 {
    let turn = std::f64::consts::TAU * (284.0 + day) / 365.0;
    let (sin_declination, cos_declination) = libm::sincos((23.45 * libm::sin(turn)).to_radians());
    let (sin_latitude, cos_latitude) = libm::sincos(latitude_deg.to_radians());
    let rim = libm::sin((-0.833_f64).to_radians());
    let reach = cos_latitude * cos_declination;
    let cos_hour = (rim - sin_latitude * sin_declination) / reach;
    24.0 / std::f64::consts::PI * libm::acos(cos_hour.clamp(-1.0, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_lengthen_from_december_to_june_and_faster_in_the_north() {
        for latitude_deg in [30.0, 47.0, 60.0] {
            let lengths: Vec<f64> = (-9..=170)
                .map(|day| day_length_h(latitude_deg, f64::from(day)))
                .collect();
            assert!(lengths.is_sorted());
        }
        let rise_h =
            |latitude_deg: f64| day_length_h(latitude_deg, 45.0) - day_length_h(latitude_deg, 15.0);
        assert!(rise_h(60.0) > 2.0 * rise_h(40.0));
    }

    #[test]
    fn the_pole_has_one_night_and_one_day() {
        assert_eq!(day_length_h(90.0, 20.0), 0.0);
        assert_eq!(day_length_h(90.0, 172.0), 24.0);
    }
}
