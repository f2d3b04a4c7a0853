//! What a hive's weights told, for a terminal and as JSON.

use super::Provenance;
use super::table::{lines, paragraph, percent, table};
use crate::fit::{Fit, Fitted, Interval};
use crate::parameter;
use crate::scenario::{Prepared, Scenario};
use crate::units::{Dimension, Round, System, show};
use serde::Serialize;

/// What a reader must know before he believes a fit.
pub const FIT_CAUTIONS: [&str; 4] = [
    "A fit holds for the model: what the model does wrong, the fitted numbers take up. Water in wood is the weakest part, and a damp hive that gains weight hides honey used.",
    "Steps beyond what a colony does in a day are left out: a gain of more than 0.15 kg, the three days after it in which rain dries and snow melts, a loss of more than 0.3 kg, days of \
     feeding; limits are wider for a coarse scale. Slow changes that no step shows, as snow that sublimes, stay in.",
    "A scale tells the use of honey, and hardly what caused it: more bees, a higher resting rate and a thinner film look alike. So the single numbers stay wide while honey used is known well.",
    "Ranges pasted into a scenario are drawn each by itself; what the weights say of them together is lost, and the honey used spreads wider than fitted.",
];

/// All that the report says.
#[derive(Clone, Copy, Debug)]
pub struct FitReport<'a> {
    /// The fit.
    pub fit: &'a Fit,
    /// The scenario.
    pub scenario: &'a Scenario,
    /// Its weather.
    pub prepared: &'a Prepared,
    /// File of the weights.
    pub scale: &'a str,
    /// What made it; its members are the draws.
    pub provenance: &'a Provenance,
}

#[derive(Serialize)]
struct Output<'a> {
    provenance: &'a Provenance,
    scale: &'a str,
    fit: &'a Fit,
    thin: bool,
    snippet: String,
    cautions: [&'static str; 4],
}

impl<'a> FitReport<'a> {
    /// As JSON has it, in SI units.
    #[must_use]
    pub fn json(&self) -> impl Serialize + 'a {
        Output {
            provenance: self.provenance,
            scale: self.scale,
            fit: self.fit,
            thin: self.fit.is_thin(),
            snippet: snippet(self),
            cautions: FIT_CAUTIONS,
        }
    }
}

/// The report as text.
#[must_use]
pub fn text(report: &FitReport<'_>, units: System) -> String {
    let fit = report.fit;
    let kg = |kg: f64| show(kg, Dimension::Mass, units, Round::Decimals(2));
    let of = |[low, _, median, _, high]: [f64; 5]| {
        format!("{} ({} to {})", kg(median), kg(low), kg(high))
    };
    let Interval { prior, posterior } = fit.used_kg;
    let mut head = vec![
        format!(
            "{}: {} fitted to winter {}, {} to {}",
            report.scenario.name, report.scale, fit.winter, fit.days.0, fit.days.1
        ),
        format!(
            "Honey used      {}; before the weights {}",
            of(posterior),
            of(prior)
        ),
        format!(
            "Weights         {} days read, {} steps fitted to, {} left out{}",
            fit.readings.0,
            fit.kept,
            fit.cuts.len(),
            cuts(fit)
        ),
        format!(
            "Draws           {} of which {:.0} count{}",
            fit.draws,
            fit.effective,
            if fit.is_thin() {
                ": too few to trust the intervals; ask for more with --draws"
            } else {
                ""
            }
        ),
    ];
    if fit.readings.1 > 0 {
        head.push(format!(
            "Left out        {} days of weights outside that winter",
            fit.readings.1
        ));
    }
    let mut rows = table([
        "Fitted",
        "before",
        "90 % interval",
        "after",
        "90 % interval",
        "narrower by",
    ]);
    for fitted in &fit.fitted {
        let Interval { prior, posterior } = fitted.interval;
        let number = |value| number(fitted, value);
        let interval = |of: [f64; 5]| format!("{} to {}", number(of[0]), number(of[4]));
        let width = |of: [f64; 5]| of[4] - of[0];
        rows.add_row([
            fitted.name.to_owned(),
            number(prior[2]),
            interval(prior),
            number(posterior[2]),
            interval(posterior),
            percent((1.0 - width(posterior) / width(prior)).max(0.0)),
        ]);
    }
    let notes = report
        .prepared
        .notes
        .iter()
        .map(|note| format!("Note: {note}."));
    let notes = notes.chain(FIT_CAUTIONS.map(str::to_owned));
    format!(
        "{}\n\n{}\n{}\n\nTo paste into the scenario:\n\n{}\n{}\nMade by {}.\n",
        head.join("\n"),
        lines(&rows),
        paragraph(
            "Bees are those at the start of the winter, brood starts on a day of the year (1 January is 1). Intervals hold what else is uncertain in the scenario."
        ),
        snippet(report),
        notes.collect::<Vec<_>>().join("\n"),
        report.provenance.line()
    )
}

/// `fitted.toml`: the lines to paste into the scenario, after a comment that says what made them.
#[must_use]
pub fn toml(report: &FitReport<'_>) -> String {
    format!(
        "# Fitted to {}, {} to {}.\n# Made by {}.\n{}",
        report.scale,
        report.fit.days.0,
        report.fit.days.1,
        report.provenance.line(),
        snippet(report)
    )
}

/// Steps left out by reason.
fn cuts(fit: &Fit) -> String {
    let counted = ["gain", "drying", "loss", "fed"].map(|why| {
        let cuts = fit.cuts.iter().filter(|cut| cut.why == why);
        (why, cuts.count())
    });
    let said: Vec<String> = counted
        .iter()
        .filter(|(_, count)| *count > 0)
        .map(|(why, count)| format!("{count} {why}"))
        .collect();
    if said.is_empty() {
        return String::new();
    }
    format!(" ({})", said.join(", "))
}

fn number(fitted: &Fitted, value: f64) -> String {
    match fitted.name {
        "bees" | "peak_eggs_per_day" => format!("{value:.0}"),
        _ => format!("{value:.2}"),
    }
}

/// Lines of a scenario: bees with their spread, parameters as ranges within what the table allows.
fn snippet(report: &FitReport<'_>) -> String {
    let mut colony = String::new();
    let mut parameters = String::new();
    for fitted in &report.fit.fitted {
        let [low, _, median, _, high] = fitted.interval.posterior;
        if fitted.name == "bees" {
            // Half of a 90 % interval is 1.645 standard deviations of a normal distribution.
            let spread = (high - low) / (2.0 * 1.645 * median);
            colony = format!(
                "[colony]\nbees = {median:.0}\nspread = \"{:.1} %\"\n",
                100.0 * spread
            );
        } else if let Some(row) = parameter::find(fitted.name) {
            let within = |value: f64| value.clamp(row.low, row.high);
            parameters += &format!(
                "{} = {{ low = {:.4}, mode = {:.4}, high = {:.4} }}\n",
                fitted.name,
                within(fitted.range.0),
                within(median),
                within(fitted.range.1)
            );
        }
    }
    format!("{colony}[parameters]\n{parameters}")
}
