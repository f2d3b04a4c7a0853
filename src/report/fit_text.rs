//! What a hive's weights told, for a terminal and as JSON.

use super::Provenance;
use super::learning_text::meaning;
use super::table::{Rows, lines, paragraph, percent, table};
use crate::fit::{FORMAT, Fit, Fitted, Forecast, Interval, SharedPart};
use crate::parameter;
use crate::scenario::{Prepared, Scenario};
use crate::units::{Dimension, Round, System, show};
use serde::Serialize;

/// What a reader must know before he believes a fit.
pub const FIT_CAUTIONS: [&str; 5] = [
    "A fit holds for the model: what the model does wrong, the fitted numbers take up. Water in wood is the weakest part, and a damp hive that gains weight hides honey used.",
    "Steps beyond what a colony does in a day are left out: a gain of more than 0.15 kg, the three days after it in which rain dries and snow melts, a loss of more than 0.3 kg, days of \
     feeding; limits are wider for a coarse scale. Slow changes that no step shows, as snow that sublimes, stay in.",
    "A scale tells the use of honey, and hardly what caused it: more bees, a higher resting rate and a thinner film look alike. So the single numbers stay wide while honey used is known well.",
    "One hive in one winter tells little of all bees, and what its keeper got wrong in the scenario counts as theirs. Weights of more hives tell more.",
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

/// Shared unknowns that the text names.
const NAMED: usize = 5;
/// Least share by which one must have become narrower to be named.
const NARROWER: f64 = 0.05;

#[derive(Serialize)]
struct Output<'a> {
    format: u32,
    parameters: String,
    provenance: &'a Provenance,
    scale: &'a str,
    fit: &'a Fit,
    thin: bool,
    snippet: String,
    cautions: [&'static str; FIT_CAUTIONS.len()],
    shared: SharedPart,
}

impl<'a> FitReport<'a> {
    /// As JSON has it, in SI units.
    #[must_use]
    pub fn json(&self) -> impl Serialize + 'a {
        Output {
            format: FORMAT,
            parameters: parameter::fingerprint(),
            provenance: self.provenance,
            scale: self.scale,
            fit: self.fit,
            thin: self.fit.is_thin(),
            snippet: snippet(self),
            cautions: FIT_CAUTIONS,
            shared: SharedPart::new(self.fit),
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
    head.push(format!("Last autumn     {}", verdict(&fit.forecast)));
    let notes = report
        .prepared
        .notes
        .iter()
        .map(|note| format!("Note: {note}."));
    let notes = notes.chain(FIT_CAUTIONS.map(str::to_owned));
    let mut parts = vec![head.join("\n")];
    if !fit.forecast.spans.is_empty() {
        parts.push(forecast(&fit.forecast, units));
    }
    parts.push(format!(
        "{}\n{}",
        lines(&before_and_after("This colony", fit.fitted.iter())),
        paragraph(
            "Bees are those at the start of the winter, brood starts on a day of the year (1 January is 1). Intervals hold what else is uncertain in the scenario."
        )
    ));
    parts.push(all_bees(fit));
    parts.push(format!(
        "To paste into the scenario:\n\n{}",
        snippet(report)
    ));
    format!(
        "{}\n{}\nMade by {}.\n",
        parts.join("\n\n"),
        notes.collect::<Vec<_>>().join("\n"),
        report.provenance.line()
    )
}

/// A row for each.
fn before_and_after<'a>(head: &str, all: impl Iterator<Item = &'a Fitted>) -> Rows {
    let mut rows = table([
        head,
        "before",
        "90 % interval",
        "after",
        "90 % interval",
        "narrower by",
    ]);
    for fitted in all {
        let Interval { prior, posterior } = fitted.interval;
        let number = |value| number(fitted, value);
        let interval = |of: [f64; 5]| format!("{} to {}", number(of[0]), number(of[4]));
        rows.add_row([
            fitted.name.to_owned(),
            number(prior[2]),
            interval(prior),
            number(posterior[2]),
            interval(posterior),
            percent(narrower(fitted)),
        ]);
    }
    rows
}

/// Share by which the interval of 90 % has become narrower.
fn narrower(fitted: &Fitted) -> f64 {
    let width = |of: [f64; 5]| of[4] - of[0];
    let Interval { prior, posterior } = fitted.interval;
    if width(prior) > 0.0 {
        (1.0 - width(posterior) / width(prior)).max(0.0)
    } else {
        0.0
    }
}

/// What the weights say of all bees.
fn all_bees(fit: &Fit) -> String {
    let mut told: Vec<&Fitted> = fit.shared.iter().map(|own| &own.fitted).collect();
    told.retain(|own| narrower(own) >= NARROWER);
    told.sort_by(|a, b| narrower(b).total_cmp(&narrower(a)));
    if told.is_empty() {
        return "Of all bees these weights tell next to nothing.".to_owned();
    }
    told.truncate(NAMED);
    let meant: Vec<String> = told
        .iter()
        .map(|own| format!("{}: {}", own.name, meaning(own.name)))
        .collect();
    format!(
        "{}\n{}",
        lines(&before_and_after("All bees", told.into_iter())),
        paragraph(&format!(
            "{}. fit.json (--out) holds draws of these together, and nothing of this colony's own; use them for others with `overwinter compare --with fit.json`.",
            meant.join("; ")
        ))
    )
}

/// Whether the forecast held, in a line.
fn verdict(forecast: &Forecast) -> String {
    let of = forecast.spans.len();
    let Some(held) = forecast.held else {
        return "no week of weights in a row to hold it against".to_owned();
    };
    let spans = if of == 1 { "span" } else { "spans" };
    let said = format!(
        "the forecast from {} {}: {} of {of} {spans} inside the 90 % range",
        forecast.from,
        if held { "held" } else { "did not hold" },
        forecast.inside
    );
    if held {
        return said;
    }
    let off: f64 = forecast.spans.iter().map(|span| span.z).sum();
    let way = if off > 0.0 { "more" } else { "less" };
    format!("{said}; the hive lost {way} than foreseen")
}

/// Weight lost span by span, as foreseen and as it was.
fn forecast(forecast: &Forecast, units: System) -> String {
    let kg = |kg: f64| show(kg, Dimension::Mass, units, Round::Decimals(2));
    let mut rows = table(["Weight lost", "foreseen", "5 to 95 %", "was", "z"]);
    for span in &forecast.spans {
        let (low, high) = span.range_kg;
        rows.add_row([
            format!("{} to {}", span.days.0, span.days.1),
            kg(span.foreseen_kg),
            format!("{} to {}", kg(low), kg(high)),
            kg(span.lost_kg),
            format!("{:+.1}", span.z),
        ]);
    }
    format!(
        "{}\n{}",
        lines(&rows),
        paragraph(
            "Foreseen by the scenario without the weights, in the weather that came. z: standard deviations by which more was lost than foreseen."
        )
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
        _ if value.abs() < 0.001 => format!("{value:.1e}"),
        _ if value.abs() < 0.1 => format!("{value:.3}"),
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
