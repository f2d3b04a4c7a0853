//! The posterior density: prior and likelihood, quick rows by the steady solver itself and slow ones by their emulators.

use crate::emulator::{Emulator, terms};
use crate::sampler::LogDensity;
use crate::unknowns::{Unknowns, place};
use overwinter::evidence::likelihood::{Discrepancy, log_likelihood};
use overwinter::evidence::{Draw, Evidence, Predictor};
use overwinter::parameter::{Parameters, TABLE};

/// What is sampled.
pub struct Target<'a> {
    pub predictor: &'a Predictor<'a>,
    pub unknowns: Unknowns,
    /// By number of row; none for quick rows.
    pub emulators: Vec<Option<Emulator>>,
    /// Numbers of the fitted rows of each source.
    pub sources: Vec<Vec<usize>>,
}

impl<'a> Target<'a> {
    /// All sources but those of which `leaves` says so, and of them the rows that can be predicted.
    pub fn new(
        predictor: &'a Predictor<'a>,
        unknowns: Unknowns,
        emulators: Vec<Option<Emulator>>,
        leaves: impl Fn(&str) -> bool,
    ) -> Self {
        let evidence = predictor.evidence();
        let can = |row: &usize| !evidence.rows[*row].measure.is_slow() || emulators[*row].is_some();
        let sources = evidence.sources().into_iter();
        let sources = sources
            .filter(|(source, _)| !leaves(source))
            .map(|(_, rows)| rows.into_iter().filter(can).collect::<Vec<_>>())
            .filter(|rows| !rows.is_empty());
        Self {
            sources: sources.collect(),
            predictor,
            unknowns,
            emulators,
        }
    }

    pub fn evidence(&self) -> &'a Evidence {
        self.predictor.evidence()
    }

    /// Root mean square errors of the emulators, by number of row.
    pub fn emulator_sd(&self) -> Vec<f64> {
        let errors = self.emulators.iter();
        errors
            .map(|emulator| emulator.as_ref().map_or(0.0, |emulator| emulator.error))
            .collect()
    }

    /// The figures of all rows that can be predicted.
    pub fn predicted(&self, scores: &[f64]) -> Vec<Option<f64>> {
        self.predicted_of(scores, |_| true)
    }

    fn predicted_of(&self, scores: &[f64], wanted: impl Fn(usize) -> bool) -> Vec<Option<f64>> {
        let parameters = self.unknowns.parameters(scores);
        let terms = terms(&places(&self.unknowns.rows, &parameters));
        let rows = self.evidence().rows.iter().enumerate();
        rows.map(|(number, row)| {
            if !wanted(number) {
                return None;
            }
            match &self.emulators[number] {
                Some(emulator) => Some(emulator.at(&terms)),
                None => self.predictor.quick(row, &parameters),
            }
        })
        .collect()
    }

    pub fn draw(&self, scores: &[f64]) -> Draw {
        Draw {
            predicted: self.predicted(scores),
            discrepancy: self.unknowns.discrepancy(scores),
        }
    }

    fn log_likelihood(&self, predicted: &[Option<f64>], discrepancy: &Discrepancy) -> f64 {
        let sd = self.emulator_sd();
        let sources = self.sources.iter();
        sources
            .map(|rows| log_likelihood(self.evidence(), rows, predicted, &sd, discrepancy))
            .sum()
    }
}

/// Where parameters stand in their ranges, in the order of their numbers.
pub fn places(rows: &[usize], parameters: &Parameters) -> Vec<f64> {
    let places = rows.iter().map(|number| {
        let row = &TABLE[*number];
        place(row, parameters.get(row.name).unwrap_or(row.default))
    });
    places.collect()
}

impl LogDensity for Target<'_> {
    fn dimension(&self) -> usize {
        self.unknowns.count()
    }

    fn log_density(&self, at: &[f64]) -> f64 {
        let wanted = |row| self.sources.iter().any(|rows| rows.contains(&row));
        let predicted = self.predicted_of(at, wanted);
        let log = Unknowns::log_prior(at)
            + self.log_likelihood(&predicted, &self.unknowns.discrepancy(at));
        if log.is_nan() { f64::NEG_INFINITY } else { log }
    }
}
