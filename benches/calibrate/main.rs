//! Fits the shared unknowns of the model to the evidence.
//!
//! `cargo run --release -p overwinter-benches --bin calibrate` does all of it and writes the posterior, a report and plots to `target/calibrate`; with `--commit` the posterior also to
//! `src/parameter/posterior.toml` and the guide's page on validation to `src/guide`. `-- --quick` is the check that continuous integration runs: a short chain on rows of clusters at rest, and the committed posterior
//! against the model on every row. The same command makes the same bytes. What it does, step by step: `benches/README.md`.

mod checks;
mod copula;
mod design;
mod diagnostics;
mod emulator;
mod leave_out;
mod report;
mod sampler;
mod target;
mod unknowns;

use checks::{copula_draws, differing, emulator_errors, met, moments};
use design::{Design, posterior_points, prior_points};
use leave_out::{draws, left_out};
use overwinter::evidence::{self, Evidence, Predictor};
use overwinter::parameter::posterior::{ChainRow, Posterior};
use overwinter::report::evidence_page;
use sampler::{Chain, Length, chains};
use std::error::Error;
use std::path::Path;
use std::time::Instant;
use target::Target;
use unknowns::{Unknowns, shared};

const SEED: u64 = 17;
/// Points of the prior and of a first posterior that emulators rest on.
const PRIOR_POINTS: u32 = 1400;
const POSTERIOR_POINTS: usize = 600;
/// Points of the posterior that are run by the model itself.
const CHECKED: usize = 200;
/// The chain that the second half of the design is spread over, and those that leave a source out.
const FIRST: Length = Length {
    warm_up: 20_000,
    kept: 1000,
    every: 20,
};
const WITHOUT: Length = Length {
    warm_up: 20_000,
    kept: 1000,
    every: 40,
};
/// The chain that is committed; doubled until chains have met, so often at most.
const LAST: Length = Length {
    warm_up: 40_000,
    kept: 2500,
    every: 40,
};
const DOUBLINGS: u32 = 2;
const R_HAT: f64 = 1.01;
const LEAST_SIZE: f64 = 400.0;
/// The quick chain and what it must reach.
const QUICK: Length = Length {
    warm_up: 20_000,
    kept: 1500,
    every: 40,
};
const QUICK_R_HAT: f64 = 1.05;
const QUICK_DRAWS: u64 = 160;
/// Standard errors that a comparison by draws is widened by.
const NOISE: f64 = 3.0;

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let has = |name: &str| arguments.iter().any(|argument| argument == name);
    if let Some(unknown) = arguments
        .iter()
        .find(|argument| !["--quick", "--commit"].contains(&argument.as_str()))
    {
        return Err(format!("knows no {unknown}; --quick or --commit").into());
    }
    let evidence = Evidence::built_in();
    let predictor = Predictor::new(evidence)?;
    if has("--quick") {
        return quick(evidence, &predictor);
    }
    full(evidence, &predictor, has("--commit"))
}

fn full(
    evidence: &Evidence,
    predictor: &Predictor<'_>,
    commit: bool,
) -> Result<(), Box<dyn Error>> {
    let clock = Instant::now();
    let said = |what: &str| eprintln!("{:6.0} s  {what}", clock.elapsed().as_secs_f64());
    let shared = shared();
    said("points of the prior");
    let mut design = Design::default();
    design.run(predictor, prior_points(&shared, PRIOR_POINTS, SEED as u32));
    let told = design.told(evidence, &shared);
    let unknowns = Unknowns::new(evidence, told.clone());
    said(&format!(
        "{} of {} shared unknowns are told of",
        told.len(),
        shared.len()
    ));
    let emulators = design.emulators(evidence, &told, 0);
    let target = Target::new(predictor, unknowns.clone(), emulators, |_| false);
    let first = pooled(chains(&target, 4, FIRST, SEED));
    said("points of a first posterior");
    let sets = posterior_points(&unknowns, &first, &shared, POSTERIOR_POINTS, SEED as u32);
    design.run(predictor, sets);
    let emulators = design.emulators(evidence, &told, PRIOR_POINTS as usize);
    let target = Target::new(predictor, unknowns.clone(), emulators, |_| false);
    let mut length = LAST;
    let (last, met) = {
        let mut doubled = 0;
        loop {
            said("chains");
            let last = chains(&target, 4, length, SEED);
            let met = met(&target, &last);
            said(&format!(
                "worst R-hat {:.4} ({}), least effective size {:.0} ({}), accepted {:.2}",
                met.r_hat.0, met.r_hat.1, met.size.0, met.size.1, last[0].accepted
            ));
            let is_met = met.r_hat.0 < R_HAT && met.size.0 > LEAST_SIZE;
            if is_met || doubled == DOUBLINGS {
                break (last, met);
            }
            doubled += 1;
            length.warm_up *= 2;
            length.every *= 2;
        }
    };
    let scores = pooled(last);
    said("leaving sources out");
    let left_out = left_out(predictor, &target, &scores, WITHOUT, SEED);
    said("posterior points on the model itself");
    let errors = emulator_errors(&target, predictor, &scores, CHECKED);
    let mut rows = chain_rows(evidence, &draws(&target, &scores));
    for without in left_out.iter().filter(|left| left.refitted) {
        let miss = &without.miss;
        rows[miss.row].without = Some([miss.mean, miss.predictive_sd].map(copula::rounded));
    }
    let made_by = "cargo run --release -p overwinter-benches --bin calibrate";
    let file = copula::posterior(&unknowns, &scores, rows);
    let file = file.ok_or("the correlation of the chain is not positive")?;
    let text = copula::text(&file, made_by);
    let posterior = Posterior::parse(&text)?;
    said("the copula against the chain");
    let sets = copula_draws(&posterior, 4000);
    let off = differing(
        evidence,
        &file.row,
        &by_emulator(&target, &sets),
        0.0,
        |_| true,
    );
    let mut failures = report::failures(&target, &met, &errors, &left_out);
    failures.extend(off.into_iter().map(|off| format!("copula, {off}")));
    let folder = Path::new("target/calibrate");
    let report = report::Report {
        target: &target,
        scores: &scores,
        met: &met,
        errors: &errors,
        left_out: &left_out,
        failures: &failures,
    };
    report.write(folder, &text)?;
    said("the guide's page");
    let held = evidence::held(evidence, &posterior, evidence::SETS, evidence::SEED)?;
    let page = evidence_page::page(&held);
    std::fs::write(folder.join("validation.md"), &page)?;
    println!("{}", report.text());
    if commit {
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
        std::fs::write(root.join("src/parameter/posterior.toml"), &text)?;
        std::fs::write(root.join("src/guide/validation.md"), &page)?;
    }
    said("done");
    if failures.is_empty() {
        Ok(())
    } else {
        Err(format!("{} checks failed", failures.len()).into())
    }
}

fn pooled(chains: Vec<Chain>) -> Vec<Vec<f64>> {
    chains.into_iter().flat_map(|chain| chain.draws).collect()
}

/// Mean and spread of every row over draws.
fn chain_rows(evidence: &Evidence, draws: &[overwinter::evidence::Draw]) -> Vec<ChainRow> {
    let rows = evidence.rows.iter().enumerate();
    rows.map(|(number, row)| {
        let values: Vec<f64> = draws
            .iter()
            .filter_map(|draw| draw.predicted[number])
            .collect();
        let (mean, sd) = moments(values);
        ChainRow {
            id: row.id.clone(),
            mean: copula::rounded(mean),
            sd: copula::rounded(sd),
            without: None,
        }
    })
    .collect()
}

/// Rows of sets of parameters by the emulators of a target.
fn by_emulator(
    target: &Target<'_>,
    sets: &[overwinter::parameter::Parameters],
) -> Vec<Vec<Option<f64>>> {
    use rayon::prelude::*;
    let rows = &target.evidence().rows;
    sets.par_iter()
        .map(|p| {
            let terms = emulator::terms(&target::places(&target.unknowns.rows, p));
            let each = rows.iter().zip(&target.emulators);
            each.map(|(row, emulator)| match emulator {
                Some(emulator) => Some(emulator.at(&terms)),
                None => target.predictor.quick(row, p),
            })
            .collect()
        })
        .collect()
}

/// A minute's check: chains meet on rows of clusters at rest, and the committed posterior gives on the model what its chain gave.
fn quick(evidence: &Evidence, predictor: &Predictor<'_>) -> Result<(), Box<dyn Error>> {
    let shared = shared();
    let mut design = Design::default();
    design.run_quick(predictor, prior_points(&shared, 400, SEED as u32));
    let told = design.told(evidence, &shared);
    let none = vec![None; evidence.rows.len()];
    let target = Target::new(predictor, Unknowns::new(evidence, told), none, |_| false);
    let met = met(&target, &chains(&target, 4, QUICK, SEED));
    println!(
        "{} unknowns of clusters at rest: worst R-hat {:.4} ({}), least effective size {:.0} ({})",
        target.unknowns.rows.len(),
        met.r_hat.0,
        met.r_hat.1,
        met.size.0,
        met.size.1
    );
    let mut failures = Vec::new();
    if met.r_hat.0 > QUICK_R_HAT {
        failures.push(format!("R-hat of {} is {:.4}", met.r_hat.1, met.r_hat.0));
    }
    let posterior = Posterior::built_in();
    let predicted = predictor.all(&copula_draws(posterior, QUICK_DRAWS));
    let chain = &posterior.file().row;
    failures.extend(differing(evidence, chain, &predicted, NOISE, |_| true));
    println!(
        "{} rows held against the chain that the committed posterior is of",
        evidence.rows.len()
    );
    if failures.is_empty() {
        return Ok(());
    }
    for failure in &failures {
        eprintln!("{failure}");
    }
    Err("the committed posterior is not that of this model and evidence; fit it anew: cargo run --release -p overwinter-benches --bin calibrate -- --commit".into())
}
