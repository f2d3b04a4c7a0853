//! How far the model is off published values, in standard deviations: a dot each on one scale.

use super::Look;
use super::grammar::{Axis, Describe, Figure, Ranked, Row, Unit};
use crate::units::System;
use serde::{Deserialize, Serialize};

/// Standard deviations beyond which a miss is one.
pub const FAR: f64 = 2.0;
/// Least half width of the scale, standard deviations.
const LEAST: f64 = 3.0;

/// Misses of published values.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Misses {
    /// The values, in the order of the table.
    pub rows: Vec<MissedRow>,
}

/// A published value.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct MissedRow {
    /// What was measured, in words.
    pub words: String,
    /// Observed and the model's range, in words.
    pub figures: String,
    /// Observed less predicted, in standard deviations of both together.
    pub z: f64,
    /// What part of that standard deviation the prediction's own is, 0 to 1.
    pub predictive_share: f64,
    /// Whether the model was fitted to it, or to others only.
    pub fitted: bool,
}

impl Misses {
    fn far(&self) -> usize {
        let fitted = self.rows.iter().filter(|row| row.fitted);
        fitted.filter(|row| row.z.abs() > FAR).count()
    }

    fn spoken(&self) -> String {
        let far = self.rows.iter().filter(|row| row.z.abs() > FAR);
        let far: Vec<String> = far
            .map(|row| format!("{} {:.1}", row.words, row.z))
            .collect();
        if far.is_empty() {
            "None beyond two.".to_owned()
        } else {
            format!("Beyond two: {}.", far.join(", "))
        }
    }
}

impl Describe for Misses {
    fn finding(&self, _: System) -> String {
        let fitted = self.rows.iter().filter(|row| row.fitted).count();
        match self.far() {
            0 => format!("All {fitted} fitted values lie within two standard deviations"),
            1 => format!("One of {fitted} fitted values is missed by over two standard deviations"),
            far => {
                format!(
                    "{far} of {fitted} fitted values are missed by over two standard deviations"
                )
            }
        }
    }

    fn figure(&self, look: Look) -> Figure<'_> {
        let row = |row: &MissedRow| {
            let half = row.predictive_share.clamp(0.0, 1.0);
            let style = look.style(usize::from(!row.fitted), 0.38);
            let words = format!("{}: {:.2} standard deviations", row.words, row.z);
            let ends = Some((row.z - half, row.z + half));
            Row::new(row.words.clone(), row.figures.clone()).estimate(
                (row.z, 0.0),
                ends,
                style,
                0.0,
                words,
            )
        };
        let misses = self.rows.iter().map(|row| row.z.abs() + 0.5);
        let most = misses.fold(LEAST, f64::max).ceil();
        let label = "Standard deviations above (right) or below the model";
        Figure {
            shown: "Published value less the model's, in standard deviations of both together. The model is fitted without the value's own source.".to_owned(),
            described: format!("Ranked rows with a dot each. {}", self.spoken()),
            legend: vec![(look.style(0, 0.38), "fitted".to_owned()), (look.style(1, 0.38), "shown, not fitted".to_owned())],
            notes: vec!["Bars: the part of one standard deviation that is the model's own spread. A long bar means that the model could have been anything.".to_owned()],
            plot: Box::new(Ranked::new(Axis::new(label, Unit::Plain, [-most, most], 7), 1.0, self.rows.iter().map(row).collect())),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(z: f64, fitted: bool) -> MissedRow {
        MissedRow {
            words: "Mantle".to_owned(),
            figures: "10 °C, model 8 to 9".to_owned(),
            z,
            predictive_share: 0.4,
            fitted,
        }
    }

    #[test]
    fn the_title_counts_fitted_values_that_are_far_off() {
        let of = |rows: Vec<MissedRow>| Misses { rows }.finding(System::Metric);
        assert!(of(vec![row(1.0, true), row(5.0, false)]).starts_with("All 1 fitted"));
        assert!(of(vec![row(-2.5, true), row(0.0, true)]).starts_with("One of 2"));
        assert!(of(vec![row(-2.5, true), row(3.0, true)]).starts_with("2 of 2"));
    }

    #[test]
    fn every_value_has_a_mark_at_any_width() {
        for width_px in [320, 960] {
            let look = Look::wide(width_px);
            let rows = vec![row(1.0, true), row(-6.2, false)];
            let svg = Misses { rows }.draw("misses", look, "made");
            assert_eq!(
                svg.matches(".00 standard deviations</title>").count()
                    + svg.matches("-6.20 standard deviations</title>").count(),
                2
            );
            assert!(svg.contains("Beyond two: Mantle -6.2."));
        }
    }
}
