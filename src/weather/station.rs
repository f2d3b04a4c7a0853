//! The stations of a file that holds several.

use std::collections::BTreeSet;

use super::error::WeatherError;

/// Station names kept for the error that lists them.
const STATIONS_KEPT: usize = 200;

/// Station names listed in an error.
const STATIONS_SHOWN: usize = 12;

/// Stations met so far.
#[derive(Debug, Default)]
pub(crate) struct Stations {
    names: BTreeSet<String>,
    current: String,
    current_wanted: bool,
}

impl Stations {
    /// Whether a row's station is the one asked for, or the first one met.
    pub(crate) fn wanted(&mut self, name: &str, asked: Option<&str>) -> bool {
        if self.current == name && !self.names.is_empty() {
            return self.current_wanted;
        }
        let first = self.names.is_empty();
        self.current_wanted = match asked {
            Some(asked) => asked.eq_ignore_ascii_case(name),
            None => first || self.names.len() == 1 && self.names.contains(name),
        };
        if self.names.len() < STATIONS_KEPT {
            self.names.insert(name.to_owned());
        }
        self.current.clear();
        self.current.push_str(name);
        self.current_wanted
    }

    /// Ends the file: an error when several stations and none was asked for, or not the one asked for.
    pub(crate) fn check(self, asked: Option<&str>, file: &str) -> Result<(), WeatherError> {
        let file = file.to_owned();
        let mut stations = self
            .names
            .iter()
            .take(STATIONS_SHOWN)
            .map(String::as_str)
            .collect::<Vec<_>>()
            .join(", ");
        if self.names.len() > STATIONS_SHOWN {
            stations += ", ...";
        }
        match asked {
            None if self.names.len() > 1 => Err(WeatherError::SeveralStations {
                file,
                count: self.names.len(),
                stations,
            }),
            Some(wanted)
                if !self.names.is_empty()
                    && !self
                        .names
                        .iter()
                        .any(|name| name.eq_ignore_ascii_case(wanted)) =>
            {
                Err(WeatherError::NoSuchStation {
                    file,
                    wanted: wanted.to_owned(),
                    stations,
                })
            }
            _ => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_a_wish_the_first_station_is_taken_and_a_second_is_an_error() {
        let mut stations = Stations::default();
        assert!(stations.wanted("A", None) && stations.wanted("A", None));
        assert!(!stations.wanted("B", None) && !stations.wanted("B", None));
        let error = stations.check(None, "w.csv").unwrap_err().to_string();
        assert!(error.contains("2 stations (A, B)"), "{error}");
    }

    #[test]
    fn the_station_asked_for_is_taken_whatever_its_case() {
        let mut stations = Stations::default();
        assert!(!stations.wanted("A", Some("b")) && stations.wanted("B", Some("b")));
        assert!(stations.check(Some("b"), "w.csv").is_ok());
    }
}
