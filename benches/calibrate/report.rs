//! What a fit found: a text, a table of misses and plots of prior against posterior.

use crate::checks::Met;
use crate::copula::quantile;
use crate::leave_out::LeftOut;
use crate::target::Target;
use crate::{LEAST_SIZE, R_HAT};
use overwinter::chart::{Chart, Look, SharedUnknown, SharedUnknowns, Shows, UNKNOWN_PROBABILITIES};
use overwinter::evidence::{Miss, coverage};
use std::error::Error;
use std::fmt::Write;
use std::path::Path;

/// Strongest correlations that are told.
const PAIRS: usize = 12;

pub struct Report<'a> {
    pub target: &'a Target<'a>,
    pub scores: &'a [Vec<f64>],
    pub met: &'a Met,
    pub errors: &'a [Option<f64>],
    pub left_out: &'a [LeftOut],
    pub failures: &'a [String],
}

/// What keeps a fit from being committed.
pub fn failures(
    target: &Target<'_>,
    met: &Met,
    errors: &[Option<f64>],
    left_out: &[LeftOut],
) -> Vec<String> {
    let mut failures = Vec::new();
    if met.r_hat.0 >= R_HAT {
        failures.push(format!("R-hat of {} is {:.4}", met.r_hat.1, met.r_hat.0));
    }
    if met.size.0 < LEAST_SIZE {
        failures.push(format!(
            "the effective size of {} is {:.0}",
            met.size.1, met.size.0
        ));
    }
    for (number, row) in target.evidence().rows.iter().enumerate() {
        if row.measure.is_slow() && target.emulators[number].is_none() {
            failures.push(format!("{}: too few runs for an emulator", row.id));
        }
        let cross = target.emulators[number].as_ref().map_or(0.0, |of| of.error);
        // Twice the error that the fit reckons with, unless it is small beside the measurement.
        if let Some(found) =
            errors[number].filter(|found| *found > (2.0 * cross).max(0.25 * row.sd))
        {
            failures.push(format!(
                "{}: the model is {found:.3} from its emulator, reckoned with were {cross:.3}",
                row.id
            ));
        }
        if left_out[number].miss.z.abs() > 2.0 && row.known_miss.is_none() {
            failures.push(format!(
                "{}: z {:.2} and no known_miss in its row",
                row.id, left_out[number].miss.z
            ));
        }
    }
    failures
}

impl Report<'_> {
    /// As printed.
    pub fn text(&self) -> String {
        let mut text = String::new();
        let evidence = self.target.evidence();
        let _ = writeln!(
            text,
            "worst R-hat {:.4} ({}), least effective size {:.0} ({})\n",
            self.met.r_hat.0, self.met.r_hat.1, self.met.size.0, self.met.size.1
        );
        let _ = writeln!(
            text,
            "{:<20} {:>9} {:>8} {:>9} {:>9} {:>9} {:>6} {:>5} {:>9} {:>9}",
            "row", "observed", "sd", "p05", "p50", "p95", "z", "k", "emulator", "on points"
        );
        for (number, row) in evidence.rows.iter().enumerate() {
            let LeftOut { miss, refitted } = &self.left_out[number];
            let k = match (refitted, miss.k) {
                (true, _) => "fit".to_owned(),
                (false, Some(k)) => format!("{k:.2}"),
                _ => "-".to_owned(),
            };
            let error = |error: Option<f64>| error.map_or("-".to_owned(), |of| format!("{of:.3}"));
            let _ = writeln!(
                text,
                "{:<20} {:>9.3} {:>8.3} {:>9.3} {:>9.3} {:>9.3} {:>6.2} {k:>5} {:>9} {:>9}{}",
                row.id,
                row.observed,
                row.sd,
                miss.model[0],
                miss.model[1],
                miss.model[2],
                miss.z,
                error(self.target.emulators[number].as_ref().map(|of| of.error)),
                error(self.errors[number]),
                if row.is_fitted() { "" } else { "  not fitted" }
            );
        }
        let misses: Vec<Miss> = self.left_out.iter().map(|of| of.miss.clone()).collect();
        for share in [0.5, 0.9] {
            let (within, of) = coverage(evidence, &misses, share);
            let _ = writeln!(
                text,
                "{within} of {of} fitted rows within the range of {:.0} %",
                100.0 * share
            );
        }
        self.marginals(&mut text);
        self.correlations(&mut text);
        for failure in self.failures {
            let _ = writeln!(text, "FAILED: {failure}");
        }
        text
    }

    fn values(&self, number: usize) -> Vec<f64> {
        let unknowns = &self.target.unknowns;
        let mut values: Vec<f64> = self
            .scores
            .iter()
            .map(|draw| unknowns.value(number, draw[number]))
            .collect();
        values.sort_by(f64::total_cmp);
        values
    }

    fn marginals(&self, text: &mut String) {
        let _ = writeln!(
            text,
            "\n{:<32} {:>9} {:>9} {:>9}   {:>9} {:>9} {:>9}",
            "unknown", "prior 5%", "50%", "95%", "post. 5%", "50%", "95%"
        );
        for (number, name) in self.target.unknowns.names().iter().enumerate() {
            let values = self.values(number);
            let prior = |z: f64| self.target.unknowns.value(number, z);
            let of = |p: f64| quantile(&values, p);
            let _ = writeln!(
                text,
                "{name:<32} {:>9.4} {:>9.4} {:>9.4}   {:>9.4} {:>9.4} {:>9.4}",
                prior(-1.645),
                prior(0.0),
                prior(1.645),
                of(0.05),
                of(0.5),
                of(0.95)
            );
        }
    }

    fn correlations(&self, text: &mut String) {
        let names = self.target.unknowns.names();
        let n = self.scores.len() as f64;
        let mean = |number: usize| self.scores.iter().map(|draw| draw[number]).sum::<f64>() / n;
        let means: Vec<f64> = (0..names.len()).map(mean).collect();
        let product = |a: usize, b: usize| {
            let products = self.scores.iter();
            products
                .map(|draw| (draw[a] - means[a]) * (draw[b] - means[b]))
                .sum::<f64>()
        };
        let mut pairs = Vec::new();
        for a in 0..names.len() {
            for b in 0..a {
                let correlation = product(a, b) / (product(a, a) * product(b, b)).sqrt();
                pairs.push((correlation, b, a));
            }
        }
        pairs.sort_by(|x, y| y.0.abs().total_cmp(&x.0.abs()));
        let _ = writeln!(text, "\nstrongest correlations");
        for (correlation, a, b) in pairs.into_iter().take(PAIRS) {
            let _ = writeln!(text, "{correlation:>6.2}  {} and {}", names[a], names[b]);
        }
    }

    /// Writes posterior, report and plots.
    pub fn write(&self, folder: &Path, posterior: &str) -> Result<(), Box<dyn Error>> {
        std::fs::create_dir_all(folder)?;
        std::fs::write(folder.join("posterior.toml"), posterior)?;
        std::fs::write(folder.join("report.txt"), self.text())?;
        let chart = Chart::new("shared-unknowns", Shows::SharedUnknowns(self.plot()));
        for (name, bytes) in chart.files(Look::default(), "")? {
            std::fs::write(folder.join(name), bytes)?;
        }
        Ok(())
    }

    fn plot(&self) -> SharedUnknowns {
        let unknowns = &self.target.unknowns;
        let fitted = (0..unknowns.rows.len()).filter_map(|number| {
            let row = unknowns.parameter(number)?;
            let values = self.values(number);
            Some(SharedUnknown::new(
                row,
                UNKNOWN_PROBABILITIES.map(|p| quantile(&values, p)),
            ))
        });
        SharedUnknowns {
            unknowns: fitted.collect(),
        }
    }
}
