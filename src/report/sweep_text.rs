//! One or two settings over their values, for a terminal, as JSON and as CSV.

use super::shared_text::{behind, cell, effect_mass, span, stands_on};
use super::table::{percent, signed, table};
use super::{Block, CAUTIONS, Document, OutputError, Provenance};
use crate::ensemble::{Difference, Point, SharedRange};
use crate::scenario::{Prepared, Scenario, Setting};
use crate::units::{Dimension, Round, System, show};
use serde::Serialize;

/// Hours of a day.
const DAY_H: f64 = 24.0;

/// The scenario with one value of each setting, and what it gave.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SweptPoint {
    /// A value of each setting, in their order.
    pub values: Vec<String>,
    /// Fingerprint of the scenario with them.
    pub fingerprint: String,
    /// The answer.
    #[serde(flatten)]
    pub point: Point,
}

/// All that the report says.
#[derive(Clone, Copy, Debug)]
pub struct SweepReport<'a> {
    /// The scenario as it is written.
    pub scenario: &'a Scenario,
    /// What was run for the first values.
    pub prepared: &'a Prepared,
    /// One setting or two.
    pub settings: &'a [Setting],
    /// Every value, or pair of values with the second setting's changing fastest.
    pub points: &'a [SweptPoint],
    /// What made it.
    pub provenance: &'a Provenance,
}

#[derive(Serialize)]
struct Output<'a> {
    provenance: &'a Provenance,
    notes: &'a [String],
    settings: Vec<Named<'a>>,
    points: &'a [SweptPoint],
    cautions: [&'static str; CAUTIONS.len()],
}

#[derive(Serialize)]
struct Named<'a> {
    key: &'a str,
    values: &'a [String],
}

impl<'a> SweepReport<'a> {
    /// As JSON has it, in SI units; values of settings as they were written.
    #[must_use]
    pub fn json(&self) -> impl Serialize + 'a {
        let named = |setting: &'a Setting| Named {
            key: &setting.key,
            values: &setting.values,
        };
        Output {
            provenance: self.provenance,
            notes: &self.prepared.notes,
            settings: self.settings.iter().map(named).collect(),
            points: self.points,
            cautions: CAUTIONS,
        }
    }
}

/// `sweep.csv`: a row a value or pair of values, SI units. Its first line is a comment that begins with `#`.
///
/// # Errors
/// [`OutputError::Format`].
pub fn csv(report: &SweepReport<'_>) -> Result<Vec<u8>, OutputError> {
    let mut head: Vec<String> = report.settings.iter().map(|s| s.key.clone()).collect();
    head.push("fingerprint".to_owned());
    for share in ["50", "80", "95"] {
        let ends = ["", "_low", "_high", "_shared_p05", "_shared_p95"];
        head.extend(ends.map(|end| format!("need_q{share}{end}_kg")));
    }
    head.extend(
        [
            "need_mean_kg",
            "starved",
            "starved_low",
            "starved_high",
            "starved_shared_p05",
            "starved_shared_p95",
            "wet_lid_median_h",
            "need_difference_kg",
            "need_difference_low_kg",
            "need_difference_high_kg",
            "need_difference_shared_p05_kg",
            "need_difference_shared_p95_kg",
            "starved_difference",
            "starved_difference_low",
            "starved_difference_high",
            "starved_difference_shared_p05",
            "starved_difference_shared_p95",
        ]
        .map(str::to_owned),
    );
    super::daily::commented_csv(&report.provenance.line(), &head, report.points, |swept| {
        let p = &swept.point;
        let mut cells = swept.values.clone();
        cells.push(swept.fingerprint.clone());
        let needs = p.need_kg.iter().zip(p.need_interval_kg);
        for ((kg, (low, high)), shared) in needs.zip(p.need_shared) {
            cells.extend([*kg, low, high].map(|kg| format!("{kg:.4}")));
            cells.extend(ends_of(shared, 4));
        }
        let (low, high) = p.starved_interval;
        cells.push(format!("{:.4}", p.mean_need_kg));
        cells.extend([p.starved, low, high].map(|share| format!("{share:.5}")));
        cells.extend(ends_of(p.starved_shared, 5));
        cells.push(format!("{:.1}", p.wet_lid_h));
        match p.difference {
            None => cells.extend(vec![String::new(); 10]),
            Some(d) => {
                let of = |d: Difference| [d.mean, d.draws.0, d.draws.1];
                cells.extend(of(d.need_kg).map(|kg| format!("{kg:.4}")));
                cells.extend(ends_of(d.need_kg.shared, 4));
                cells.extend(of(d.starved).map(|share| format!("{share:.5}")));
                cells.extend(ends_of(d.starved.shared, 5));
            }
        }
        cells
    })
}

/// Both ends of a range over what is not known about bees, empty where it is not told.
fn ends_of(shared: Option<SharedRange>, decimals: usize) -> [String; 2] {
    shared.map_or_else(Default::default, |shared| {
        [shared.p05, shared.p95].map(|end| format!("{end:.decimals$}"))
    })
}

/// The report as text.
#[must_use]
pub fn text(report: &SweepReport<'_>, units: System) -> String {
    document(report, units).terminal()
}

/// The report, block by block.
#[must_use]
pub fn document(report: &SweepReport<'_>, units: System) -> Document {
    let mut parts = vec![answer(report, units)];
    match report.settings {
        [rows, columns] => parts.extend(grids(rows, columns, report.points, units)),
        _ => parts.push(one(report, units)),
    }
    let differences = match report.settings {
        [_, _] => {
            "Differences to the first pair of values, member by member, and 95 % intervals stand in the JSON and in the files of --out."
        }
        _ => {
            "Differences are to the first value, member by member; sampling intervals tell what other draws could give, not other winters."
        }
    };
    parts.push(vec![Block::Paragraph(format!(
        "The same colonies in the same winters at every value. {differences}"
    ))]);
    parts.push(notes(report));
    Document::new(parts)
}

fn mass(kg: f64, units: System) -> String {
    show(kg, Dimension::Mass, units, Round::Decimals(1))
}

fn days(hours: f64) -> String {
    format!("{:.0} d", hours / DAY_H)
}

fn answer(report: &SweepReport<'_>, units: System) -> Vec<Block> {
    let winters = report.prepared.plan.winters.len();
    let keys: Vec<&str> = report.settings.iter().map(|s| s.key.as_str()).collect();
    let need = |swept: &&SweptPoint| swept.point.need_kg[1];
    let least = report
        .points
        .iter()
        .min_by(|a, b| need(a).total_cmp(&need(b)));
    let most = report
        .points
        .iter()
        .max_by(|a, b| need(a).total_cmp(&need(b)));
    let said = |point: Option<&SweptPoint>| {
        point.map_or_else(String::new, |swept| {
            format!(
                "{} with {}",
                mass(need(&swept), units),
                swept.values.join(" and ")
            )
        })
    };
    let risk = |swept: &SweptPoint| swept.point.starved;
    let risks = || report.points.iter().map(risk);
    vec![
        Block::Head(format!(
            "{}: {} over {} value{}, {} members each over {winters} winter{}, {} in all",
            report.scenario.name,
            keys.join(" and "),
            report.points.len(),
            if report.points.len() == 1 { "" } else { "s" },
            report.prepared.plan.members,
            if winters == 1 { "" } else { "s" },
            report.points.len() * report.prepared.plan.members as usize
        )),
        Block::answer(
            "Honey need",
            format!("in 80 % of winters from {} to {}", said(least), said(most)),
        ),
        Block::answer(
            "Risk",
            format!(
                "from {} to {} starve",
                percent(risks().fold(1.0, f64::min)),
                percent(risks().fold(0.0, f64::max))
            ),
        ),
    ]
}

/// The table of one setting.
fn one(report: &SweepReport<'_>, units: System) -> Vec<Block> {
    let key = report.settings.first().map_or("", |setting| &setting.key);
    let mut rows = table([
        key,
        "50 % of winters",
        "80 %",
        "bees not known",
        "95 %",
        "starve",
        "bees not known",
        "sampling",
        "wet lid",
        "need against first",
        "bees not known",
        "sampling",
        "risk",
        "bees not known",
        "sampling",
    ]);
    for swept in report.points {
        let p = &swept.point;
        let (low, high) = p.starved_interval;
        let mut cells = vec![swept.values.join(", ")];
        let words = |kg| mass(kg, units);
        let [half, most, nearly_all] = p.need_kg.map(words);
        cells.extend([
            half,
            most,
            cell(p.need_shared[1].as_ref(), &words),
            nearly_all,
            percent(p.starved),
            cell(p.starved_shared.as_ref(), &percent),
            span((low, high), &percent),
            days(p.wet_lid_h),
        ]);
        match p.difference {
            None => cells.extend(["-", "", "", "-", "", ""].map(str::to_owned)),
            Some(d) => {
                let (low, high) = d.need_kg.draws;
                let kg = |kg| signed(mass(kg, units));
                let (lower, higher) = d.starved.draws;
                let points = |share: f64| format!("{:+.1}", 100.0 * share);
                cells.extend([
                    signed(effect_mass(d.need_kg.mean, units)),
                    cell(d.need_kg.shared.as_ref(), &kg),
                    span((low, high), &kg),
                    format!("{} pt", points(d.starved.mean)),
                    cell(d.starved.shared.as_ref(), &points),
                    format!("{} to {}", points(lower), points(higher)),
                ]);
            }
        }
        rows.add_row(cells);
    }
    let first = report.points.first();
    let shared = first.and_then(|swept| swept.point.starved_shared);
    let said = format!(
        "{} The range behind 80 % is of that need. Sampling: 95 % interval by the chance of colonies and sets. Wet lid is the median of the days with a wet or frosted lid; pt are points of \
         per cent.",
        stands_on(shared.as_ref(), &report.prepared.plan.crossing())
    );
    vec![Block::Table(rows), Block::Paragraph(said)]
}

/// Need, risk and wet lid of two settings, the first downward and the second across.
fn grids(
    rows: &Setting,
    columns: &Setting,
    points: &[SweptPoint],
    units: System,
) -> Vec<Vec<Block>> {
    let grid = |title: &str, cell: &dyn Fn(&Point) -> String| {
        let head =
            std::iter::once(rows.key.as_str()).chain(columns.values.iter().map(String::as_str));
        let mut grid = table(head);
        for (value, across) in rows.values.iter().zip(points.chunks(columns.values.len())) {
            let cells = across.iter().map(|swept| cell(&swept.point));
            grid.add_row(std::iter::once(value.clone()).chain(cells));
        }
        vec![
            Block::Head(format!("{title}, {} across", columns.key)),
            Block::Table(grid),
        ]
    };
    let need = |p: &Point, place: usize| {
        let words = |kg| mass(kg, units);
        words(p.need_kg[place]) + &behind(p.need_shared[place].as_ref(), &words)
    };
    vec![
        grid("Honey for 80 % of winters", &|p| need(p, 1)),
        grid("Honey for 95 % of winters", &|p| need(p, 2)),
        grid("Share that starves", &|p| {
            percent(p.starved) + &behind(p.starved_shared.as_ref(), &percent)
        }),
        grid("Days with a wet or frosted lid, median", &|p| {
            days(p.wet_lid_h)
        }),
    ]
}

fn notes(report: &SweepReport<'_>) -> Vec<Block> {
    let prepared = report.prepared;
    let mut notes = Vec::new();
    let compared = report
        .points
        .iter()
        .filter(|swept| swept.point.difference.is_some());
    if compared.count() + 1 < report.points.len() {
        notes.push(
            "Note: the winters differ between values, so members cannot be paired and differences to the first value are left out.".to_owned(),
        );
    }
    notes.extend(prepared.notes.iter().map(|note| format!("Note: {note}.")));
    let refused = prepared.refused.iter();
    notes.extend(refused.map(|(label, why)| format!("Left out: winter {label}: {why}.")));
    notes.extend(CAUTIONS.map(str::to_owned));
    notes.push(format!("Made by {}.", report.provenance.line()));
    notes.into_iter().map(Block::Note).collect()
}
