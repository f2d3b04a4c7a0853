//! Invented places in the manner of those where was measured, and colonies led through their winters.

use overwinter::colony::{Colony, End};
use overwinter::hive::Hive;
use overwinter::parameter::Parameters;
use overwinter::season::{Forcing, Member, Outcome, Site, run};
use overwinter::weather::normals::{Normals, normals_from_toml};
use overwinter::weather::synthesis::{synthesise, write_winters};
use overwinter::weather::{ReadOptions, Season, read_bytes, sample};

const WINTERS: usize = 10;
/// More than any colony here eats.
pub const STORES_KG: f64 = 40.0;

/// Invented, mild and cloudy: the inland of southern Sweden, 3.4 degC in the mean from October to March.
const EKDAL: &str = "
name = 'Ekdal (invented)'
latitude_deg = 57.6
longitude_deg = 12.8
elevation_m = 120.0
utc_offset_h = 1.0
persistence = 0.75
temperature_c     = [0.3, 0.5, 3.3, 7.4, 12.0, 15.4, 17.4, 16.6, 13.0, 8.9, 5.3, 2.1]
daily_range_k     = [4.5, 5.5, 7.5, 9.5, 10.5, 10.0, 9.8, 9.4, 8.4, 6.4, 4.6, 4.2]
daily_mean_sd_k   = [4.2, 4.0, 3.2, 2.9, 3.1, 2.8, 2.6, 2.4, 2.6, 3.0, 3.4, 3.9]
wind_m_s          = [4.4, 4.1, 4.0, 3.7, 3.5, 3.4, 3.3, 3.2, 3.6, 4.0, 4.3, 4.4]
cloud_fraction    = [0.76, 0.72, 0.66, 0.60, 0.58, 0.58, 0.58, 0.58, 0.62, 0.70, 0.76, 0.78]
relative_humidity = [0.88, 0.86, 0.80, 0.74, 0.70, 0.72, 0.75, 0.78, 0.82, 0.86, 0.89, 0.90]
";

/// Invented, cold winters and a quick spring: southern Wisconsin.
const OAKFIELD: &str = "
name = 'Oakfield (invented)'
latitude_deg = 43.1
longitude_deg = -89.4
elevation_m = 260.0
utc_offset_h = -6.0
persistence = 0.66
temperature_c     = [-7.5, -5.3, 1.0, 7.7, 14.0, 19.4, 21.8, 20.7, 16.3, 9.8, 2.8, -4.2]
daily_range_k     = [8.4, 9.0, 10.0, 11.6, 12.2, 12.0, 11.8, 11.6, 12.2, 11.6, 8.8, 7.8]
daily_mean_sd_k   = [6.6, 6.2, 5.8, 5.2, 4.6, 3.6, 2.8, 3.0, 4.3, 4.9, 5.4, 6.2]
wind_m_s          = [3.9, 3.8, 4.0, 4.1, 3.6, 3.2, 2.9, 2.8, 3.1, 3.5, 3.9, 3.8]
cloud_fraction    = [0.66, 0.62, 0.62, 0.59, 0.56, 0.53, 0.48, 0.48, 0.51, 0.55, 0.68, 0.69]
relative_humidity = [0.76, 0.75, 0.72, 0.66, 0.66, 0.69, 0.72, 0.75, 0.75, 0.72, 0.76, 0.79]
";

/// A place and its winters, from a day of the year to another.
pub struct Place {
    pub site: Site,
    pub winters: Vec<Forcing>,
}

impl Place {
    fn new(normals: &Normals, start: &str, end: &str) -> Self {
        let made = synthesise(normals, sample::FIRST_YEAR, WINTERS, sample::SEED).expect("winters");
        let mut text = Vec::new();
        write_winters(normals, sample::SEED, &made, &mut text).expect("a text");
        let record = read_bytes("made.csv", &text, &ReadOptions::default()).expect("a record");
        let season = Season::parse(start, end).expect("two days");
        let winters = record.winters(season).expect("winters").winters;
        assert_eq!(winters.len(), WINTERS);
        let at = &normals.site;
        let site = Site {
            latitude_deg: at.latitude_deg,
            longitude_deg: Some(at.longitude_deg),
            utc_offset_h: Some(at.utc_offset_h),
            elevation_m: Some(at.elevation_m),
            snow: None,
            snow_bank: None,
            shelter: 0.35,
        };
        let forcing = |winter| Forcing::new(winter, &site, 180.0).expect("a sun");
        Self {
            winters: winters.iter().map(forcing).collect(),
            site,
        }
    }

    pub fn in_sweden(end: &str) -> Self {
        Self::new(&normals_from_toml(EKDAL).expect("normals"), "10-01", end)
    }

    pub fn in_wisconsin() -> Self {
        let normals = normals_from_toml(OAKFIELD).expect("normals");
        Self::new(&normals, "10-01", "05-15")
    }

    pub fn in_the_sample() -> Self {
        Self::new(&sample::normals().expect("normals"), "10-01", "04-20")
    }

    /// A colony of `bees_kg` with the default parameters through all winters.
    pub fn run(&self, hive: &Hive, bees_kg: f64) -> Vec<Outcome> {
        self.run_with(hive, bees_kg, &Parameters::default())
    }

    pub fn run_with(&self, hive: &Hive, bees_kg: f64, parameters: &Parameters) -> Vec<Outcome> {
        let parameters = parameters.clone();
        let member = Member {
            hive: hive.clone(),
            colony: Colony {
                bees: bees_kg / parameters.bee_mass_kg,
                stores_kg: STORES_KG,
                ..Colony::default()
            },
            parameters,
        };
        let of = |forcing| {
            let outcome = run(&member, &self.site, forcing).expect("a winter");
            assert_eq!(outcome.end, End::Alive);
            outcome
        };
        self.winters.iter().map(of).collect()
    }

    pub fn mean_c(&self) -> f64 {
        mean(&self.winters, |winter| {
            mean(&winter.instants, |at| at.outside_c)
        })
    }

    /// Honey used and the fall of the hive's weight by month, October first, kg in the mean of the winters.
    pub fn by_month(&self, outcomes: &[Outcome]) -> ([f64; 8], [f64; 8]) {
        let (mut used_kg, mut lost_kg) = ([0.0; 8], [0.0; 8]);
        for (winter, outcome) in self.winters.iter().zip(outcomes) {
            let mut date = winter.start.date();
            let mut before = (0.0, outcome.bare_kg + STORES_KG);
            for day in &outcome.days {
                let month = (usize::try_from(date.month()).expect("a month") + 2) % 12;
                used_kg[month] += (day.used_kg - before.0) / WINTERS as f64;
                lost_kg[month] += (before.1 - day.gross_kg) / WINTERS as f64;
                before = (day.used_kg, day.gross_kg);
                date = date.tomorrow().expect("a date");
            }
        }
        (used_kg, lost_kg)
    }
}

pub fn mean<T>(all: &[T], value: impl Fn(&T) -> f64) -> f64 {
    all.iter().map(value).sum::<f64>() / all.len() as f64
}
