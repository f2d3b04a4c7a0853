//! The runs that emulators rest on: points of the unknowns with what the model gives there.

use crate::emulator::{Emulator, terms};
use crate::target::places;
use crate::unknowns::Unknowns;
use overwinter::evidence::{Evidence, Predictor};
use overwinter::parameter::{Parameters, TABLE};

/// A parameter is fitted when its main effect moves a row by this share of the row's standard deviation over its range (own choice).
const TOLD: f64 = 0.2;

/// Points with the model's figures.
#[derive(Default)]
pub struct Design {
    pub sets: Vec<Parameters>,
    /// By point, then by number of row.
    pub values: Vec<Vec<Option<f64>>>,
}

impl Design {
    /// Runs the model at more points.
    pub fn run(&mut self, predictor: &Predictor<'_>, sets: Vec<Parameters>) {
        self.values.extend(predictor.all(&sets));
        self.sets.extend(sets);
    }

    /// The same for rows that need no hours to be stepped.
    pub fn run_quick(&mut self, predictor: &Predictor<'_>, sets: Vec<Parameters>) {
        let rows = &predictor.evidence().rows;
        let each = sets
            .iter()
            .map(|p| rows.iter().map(|row| predictor.quick(row, p)).collect());
        self.values.extend(each);
        self.sets.extend(sets);
    }

    /// Emulators of slow rows in the parameters of these numbers, their errors judged on the points from `judged` on.
    pub fn emulators(
        &self,
        evidence: &Evidence,
        rows: &[usize],
        judged: usize,
    ) -> Vec<Option<Emulator>> {
        let all: Vec<Vec<f64>> = self.sets.iter().map(|p| terms(&places(rows, p))).collect();
        let each = evidence.rows.iter().enumerate().map(|(number, row)| {
            let logarithmic = evidence.kinds[row.kind].of_value;
            row.measure
                .is_slow()
                .then(|| Emulator::fit(&all, &self.column(number), logarithmic, judged))
                .flatten()
        });
        each.collect()
    }

    fn column(&self, row: usize) -> Vec<Option<f64>> {
        self.values.iter().map(|values| values[row]).collect()
    }

    /// Of parameters those that a fitted row tells anything of.
    pub fn told(&self, evidence: &Evidence, rows: &[usize]) -> Vec<usize> {
        // Main effects need no products of unknowns: linear and square terms only.
        let main: Vec<Vec<f64>> = self
            .sets
            .iter()
            .map(|p| {
                let places = places(rows, p);
                let squares = places.iter().map(|x| x * x);
                let mut terms = vec![1.0];
                terms.extend(&places);
                terms.extend(squares);
                terms
            })
            .collect();
        let fitted: Vec<(usize, Emulator)> = (0..evidence.rows.len())
            .filter(|row| evidence.rows[*row].is_fitted())
            .filter_map(|row| Some((row, Emulator::fit(&main, &self.column(row), false, 0)?)))
            .collect();
        let tells = |number: usize| {
            fitted.iter().any(|(row, emulator)| {
                let square = 0.5 * emulator.effect(1 + rows.len() + number);
                emulator.effect(1 + number).max(square) > TOLD * evidence.rows[*row].sd
            })
        };
        (0..rows.len())
            .filter(|number| tells(*number))
            .map(|number| rows[number])
            .collect()
    }
}

/// Points spread by the prior over the parameters of these numbers, the others at their middle; Sobol points, so each part of the space has its share.
pub fn prior_points(rows: &[usize], count: u32, seed: u32) -> Vec<Parameters> {
    (0..count)
        .map(|index| {
            Parameters::from_rows(|number, row| {
                let own = rows.iter().position(|fitted| *fitted == number);
                own.map_or(row.default, |dimension| {
                    row.quantile(point(index, dimension, seed))
                })
            })
        })
        .collect()
}

/// Points of a chain, spread evenly over its draws; parameters that it does not have are spread by the prior.
pub fn posterior_points(
    unknowns: &Unknowns,
    draws: &[Vec<f64>],
    shared: &[usize],
    count: usize,
    seed: u32,
) -> Vec<Parameters> {
    (0..count)
        .map(|index| {
            let fitted = unknowns.parameters(&draws[(2 * index + 1) * draws.len() / (2 * count)]);
            Parameters::from_rows(|number, row| {
                let is_fitted = unknowns.rows.contains(&number);
                match shared.iter().position(|other| *other == number) {
                    Some(dimension) if !is_fitted => {
                        row.quantile(point(index as u32, dimension, seed))
                    }
                    _ => fitted.get(TABLE[number].name).unwrap_or(row.default),
                }
            })
        })
        .collect()
}

fn point(index: u32, dimension: usize, seed: u32) -> f64 {
    let dimension = dimension as u32 % sobol_burley::NUM_DIMENSIONS;
    f64::from(sobol_burley::sample(index, dimension, seed)) + 0.5 / f64::from(1_u32 << 24)
}
