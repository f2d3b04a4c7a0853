//! A quadratic regression of slow rows on the unknowns, with its cross-validated error.

use nalgebra::{DMatrix, DVector};

/// Ridge on the normal equations of standardised columns: only against columns that a design happens to make alike.
const RIDGE: f64 = 1e-8;
/// Standard errors from zero at which an effect is one (own choice: of a thousand effects that are none, one in ten fits would show one).
const SURE: f64 = 4.0;

/// The regression of one row.
#[derive(Clone, Debug)]
pub struct Emulator {
    coefficients: DVector<f64>,
    /// Standard errors of the coefficients.
    standard_errors: DVector<f64>,
    logarithmic: bool,
    /// Root mean square of leave-one-out errors, in the row's unit.
    pub error: f64,
}

/// Terms of a full quadratic in places of -1 to 1.
pub fn terms(places: &[f64]) -> Vec<f64> {
    let mut terms = vec![1.0];
    terms.extend(places);
    for (number, a) in places.iter().enumerate() {
        terms.extend(places[number..].iter().map(|b| a * b));
    }
    terms
}

impl Emulator {
    /// Fits values at points, given by their terms; values that are none are left out. In the logarithm where asked and all are above zero. The error is that of the
    /// points from `judged` on. None with too few points.
    pub fn fit(
        terms: &[Vec<f64>],
        values: &[Option<f64>],
        logarithmic: bool,
        judged: usize,
    ) -> Option<Self> {
        let known: Vec<(&Vec<f64>, f64)> = terms
            .iter()
            .zip(values)
            .filter_map(|(terms, value)| Some((terms, (*value)?)))
            .collect();
        let unjudged = values[..judged.min(values.len())].iter().flatten().count();
        let columns = terms.first()?.len();
        if known.len() < columns + columns / 2 {
            return None;
        }
        let logarithmic = logarithmic && known.iter().all(|(_, value)| *value > 0.0);
        let of = |value: f64| if logarithmic { libm::log(value) } else { value };
        let x = DMatrix::from_fn(known.len(), columns, |row, column| known[row].0[column]);
        let y = DVector::from_iterator(known.len(), known.iter().map(|(_, value)| of(*value)));
        let mut normal = x.tr_mul(&x);
        for diagonal in 0..columns {
            normal[(diagonal, diagonal)] += RIDGE * known.len() as f64;
        }
        let factor = normal.cholesky()?;
        let coefficients = factor.solve(&x.tr_mul(&y));
        let fitted = &x * &coefficients;
        let freedom = (known.len() - columns) as f64;
        let variance = (&y - &fitted).norm_squared() / freedom;
        let inverse = factor.inverse();
        let standard_errors = inverse.diagonal().map(|own| (own * variance).sqrt());
        // Leave-one-out errors of a linear regression: residual over one less leverage (Allen 1974, PRESS).
        let whitened = factor.l().solve_lower_triangular(&x.transpose())?;
        let squares: Vec<f64> = (unjudged..known.len())
            .map(|row| {
                let leverage = whitened.column(row).norm_squared().min(0.999);
                let off = (y[row] - fitted[row]) / (1.0 - leverage);
                let left_out = y[row] - off;
                let error = if logarithmic {
                    libm::exp(left_out) - known[row].1
                } else {
                    off
                };
                error * error
            })
            .collect();
        Some(Self {
            coefficients,
            standard_errors,
            logarithmic,
            error: (squares.iter().sum::<f64>() / squares.len() as f64).sqrt(),
        })
    }

    pub fn at(&self, terms: &[f64]) -> f64 {
        let pairs = self.coefficients.iter().zip(terms);
        let sum = pairs.map(|(coefficient, term)| coefficient * term).sum();
        if self.logarithmic {
            libm::exp(sum)
        } else {
            sum
        }
    }

    /// By how much a term moves the row between its ends of -1 and 1, in the regression's own scale; nothing where that may be chance.
    pub fn effect(&self, term: usize) -> f64 {
        let (value, error) = (self.coefficients[term], self.standard_errors[term]);
        if value.abs() > SURE * error {
            2.0 * value.abs()
        } else {
            0.0
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points() -> Vec<Vec<f64>> {
        (0..60)
            .map(|i| {
                let at =
                    |prime: u32| 2.0 * (f64::from(i + 1) * f64::from(prime).sqrt()).fract() - 1.0;
                vec![at(2), at(3), at(5)]
            })
            .collect()
    }

    #[test]
    fn a_quadratic_is_met_without_error_and_its_main_effect_is_told() {
        let of = |x: &[f64]| 3.0 + 2.0 * x[0] - x[1] * x[2] + 0.5 * x[2] * x[2];
        let all: Vec<Vec<f64>> = points().iter().map(|x| terms(x)).collect();
        let values: Vec<Option<f64>> = points().iter().map(|x| Some(of(x))).collect();
        let emulator = Emulator::fit(&all, &values, false, 0).expect("a fit");
        assert!(emulator.error < 1e-5, "{}", emulator.error);
        assert!((emulator.effect(1) - 4.0).abs() < 1e-4);
        assert!((emulator.effect(9) - 1.0).abs() < 1e-4);
        assert!(emulator.effect(4) < 1e-4, "nothing by the first square");
        let x = [0.3, -0.4, 0.9];
        assert!((emulator.at(&terms(&x)) - of(&x)).abs() < 1e-4);
    }

    #[test]
    fn its_error_is_that_of_leaving_each_point_out() {
        let of = |x: &[f64]| (3.0 * x[0]).sin() + x[1];
        let all: Vec<Vec<f64>> = points().iter().map(|x| terms(x)).collect();
        let values: Vec<Option<f64>> = points().iter().map(|x| Some(of(x))).collect();
        let whole = Emulator::fit(&all, &values, false, 0).expect("a fit");
        let mut square = 0.0;
        for left in 0..all.len() {
            let mut values = values.clone();
            values[left] = None;
            let part = Emulator::fit(&all, &values, false, 0).expect("a fit");
            square += (part.at(&all[left]) - of(&points()[left])).powi(2);
        }
        let expected = (square / all.len() as f64).sqrt();
        assert!((whole.error / expected - 1.0).abs() < 1e-4);
    }
}
