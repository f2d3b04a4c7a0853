//! The same scenario with another hive: one of the library in place of its own.

use std::path::Path;

use thiserror::Error;

use super::colony::most_honey_kg;
use super::fingerprint::fingerprint;
use super::library::{self, Part};
use super::reading::parse_hive;
use super::table::nearest;
use super::{Scenario, ScenarioError};
use crate::hive::Hive;

/// Why a hive cannot take another's place.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ExchangeError {
    /// The library has no such hive.
    #[error("{name:?} is no hive of the library{}; it has: {}", .nearest.map_or_else(String::new, |name| format!(", nearest is '{name}'")), known.join(", "))]
    Unknown {
        /// The name as given.
        name: String,
        /// The name most like it.
        nearest: Option<&'static str>,
        /// All hives of the library.
        known: Vec<&'static str>,
    },
    /// What the scenario says of its colony cannot be in that hive.
    #[error("the colony of {scenario} cannot stand in {hive}: {problem}")]
    Misfit {
        /// Name of the scenario.
        scenario: String,
        /// Name of the hive.
        hive: &'static str,
        /// Why not, and what to do.
        problem: String,
    },
    /// The hive's own text.
    #[error(transparent)]
    Scenario(#[from] ScenarioError),
}

impl Scenario {
    /// This scenario with a hive of the library: it faces as the old one and has the same sides shaded and shared; changes in the course of the winter and
    /// the tare were the old hive's and go with it. The price is that of `[prices.library]`, if it is there.
    ///
    /// ```
    /// let sample = overwinter::scenario::built_in();
    /// let foam = sample.with_library_hive("foam-two-boxes")?;
    /// assert_eq!(foam.colony, sample.colony);
    /// assert_ne!(foam.fingerprint, sample.fingerprint);
    /// # Ok::<(), overwinter::scenario::ExchangeError>(())
    /// ```
    ///
    /// # Errors
    /// A name that the library does not have; honey, boxes or seams of the colony that the hive has no place for.
    pub fn with_library_hive(&self, name: &str) -> Result<Self, ExchangeError> {
        let known = library::names(Part::Hive);
        let plain = name.trim().to_lowercase().replace([' ', '_'], "-");
        let Some(taken) = known.iter().copied().find(|known| *known == plain) else {
            return Err(ExchangeError::Unknown {
                name: name.to_owned(),
                nearest: nearest(&plain, known.iter().copied()),
                known,
            });
        };
        let text = format!("[hive]\nfrom = \"{taken}\"");
        let old = &self.hive;
        let hive = Hive {
            faces_deg: old.faces_deg,
            shaded_sides: old.shaded_sides.clone(),
            shared_sides: old.shared_sides.clone(),
            ..parse_hive(&text, Path::new(taken))?
        };
        if let Some(problem) = self.misfit(&hive) {
            return Err(ExchangeError::Misfit {
                scenario: self.name.clone(),
                hive: taken,
                problem,
            });
        }
        let mut other = self.clone();
        other.name = taken.to_owned();
        other.hive = hive;
        let priced = self.prices.library.iter().find(|(name, _)| *name == taken);
        other.prices.hive = priced.map(|(_, price)| *price);
        other.fingerprint = fingerprint(&other);
        Ok(other)
    }

    /// What of the colony a hive has no place for.
    fn misfit(&self, hive: &Hive) -> Option<String> {
        let colony = &self.colony;
        let placement = &colony.placement;
        let (boxes, seams) = (hive.cavity.boxes as usize, hive.frames as usize);
        let most_kg = most_honey_kg(hive);
        if colony.stores_kg > most_kg {
            return Some(format!(
                "its boxes hold {most_kg:.0} kg of honey at the very most, and stores are {:.1} kg",
                colony.stores_kg
            ));
        }
        let of = |given: usize, has: usize, key: &str, what: &str| {
            (given != 0 && given != has).then(|| {
                format!("colony.{key} is for {given} {what}, and it has {has}; leave {key} out to compare hives of different size")
            })
        };
        let cluster_box = placement.cluster_box.map(|number| number as usize + 1);
        let cluster_seam = placement.cluster_seam.map(|seam| seam + 0.5);
        of(placement.boxes.len(), boxes, "stores_by_box", "boxes")
            .or_else(|| of(placement.seams.len(), seams, "stores_by_seam", "seams"))
            .or_else(|| {
                let number = cluster_box.filter(|number| *number > boxes)?;
                Some(format!("colony.cluster_box is {number}, and it has {boxes}; leave cluster_box out to compare hives of different size"))
            })
            .or_else(|| {
                let seam = cluster_seam.filter(|seam| *seam > f64::from(hive.frames))?;
                Some(format!("colony.cluster_seam is {seam}, and it has {seams}; leave cluster_seam out to compare hives of different size"))
            })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::{built_in, parse, starter};

    #[test]
    fn the_hive_stands_as_the_old_one_stood_and_keeps_none_of_its_changes() {
        let text = starter()
            .replace("faces = \"south\"", "faces = \"east\"\ntare = \"24 kg\"")
            .replace(
                "[colony]",
                "[[hive.change]]\nfrom = \"1 December\"\nvents = \"corked\"\n[colony]",
            );
        let text = format!("{text}\n[prices]\nhive = 100\nlibrary = {{ foam-two-boxes = 190 }}");
        let scenario = parse(&text, Path::new("yard.toml")).expect("a scenario");
        let foam = scenario.with_library_hive("Foam two boxes").expect("known");
        assert_eq!(foam.hive.faces_deg, 90.0);
        assert!(foam.hive.changes.is_empty() && foam.hive.tare_kg.is_none());
        assert_eq!(
            (scenario.prices.hive, foam.prices.hive),
            (Some(100.0), Some(190.0))
        );
    }

    #[test]
    fn a_name_that_is_not_in_the_library_is_answered_with_the_nearest() {
        let error = built_in()
            .with_library_hive("foam-two-box")
            .expect_err("unknown");
        assert!(
            error.to_string().contains("nearest is 'foam-two-boxes'"),
            "{error}"
        );
    }

    #[test]
    fn what_the_colony_says_of_boxes_must_fit() {
        let text = starter().replace("[colony]", "[colony]\nstores_by_box = [1, 4]");
        let scenario = parse(&text, Path::new("yard.toml")).expect("a scenario");
        assert!(scenario.with_library_hive("foam-two-boxes").is_ok());
        let error = scenario
            .with_library_hive("thin-softwood-one-box")
            .expect_err("one box");
        assert!(
            error
                .to_string()
                .contains("stores_by_box is for 2 boxes, and it has 1"),
            "{error}"
        );
    }
}
