//! The answer to the controls: both hives through the same winters with the same draws, a few colonies first and then more.

use super::controls::{self, Control};
use super::error::Refusal;
use super::settings::{Pair, Settings};
use super::words::{self, Stand};
use super::{App, charts};
use crate::chart::Theme;
use crate::ensemble::{
    self, Against, EnsembleError, Fate, MemberRows, Plan, RowsError, Summary, Watcher,
};
use crate::report::{self, Comparison};
use crate::scenario::{Prepared, Scenario};
use crate::units::System;
use crate::weather::Record;
use serde::{Deserialize, Serialize};
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};
use tokio::sync::mpsc::Sender;

/// Colonies of each hive in the first answer: with winters of some 15 ms on a core it comes within half a second.
const FIRST: u32 = 10;
/// How often the page is told how far it is.
const TOLD_EVERY: Duration = Duration::from_millis(250);

/// What the page asks.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Asked {
    pub settings: Settings,
    pub look: Look,
}

/// How the page shows it.
#[derive(Clone, Copy, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Look {
    pub us: bool,
    pub dark: bool,
    /// Width of a chart, CSS pixels.
    pub width_px: u32,
}

impl Look {
    pub fn units(self) -> System {
        if self.us { System::Us } else { System::Metric }
    }

    pub fn chart(self) -> crate::chart::Look {
        crate::chart::Look {
            width_px: self.width_px,
            theme: if self.dark { Theme::Dark } else { Theme::Light },
            units: self.units(),
        }
    }
}

/// A line of the answer.
#[derive(Debug, Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub(super) enum Line<'a> {
    /// The settings can be run.
    Started {
        controls: Vec<Control>,
        notes: Vec<String>,
    },
    /// Colonies that have run, of both hives together.
    Progress { done: u32, total: u32 },
    /// What those that have run say.
    Answer {
        members: u32,
        total: u32,
        complete: bool,
        verdict: String,
        figures: String,
        charts: String,
        weather: &'a [String],
        needs_kg: [Vec<f64>; 2],
        starved: [f64; 2],
    },
    /// It cannot be run.
    Failed { problem: String },
}

/// Rows of both hives, all run.
pub(super) struct Finished {
    pub settings: Settings,
    pub units: System,
    pub prepared: [Prepared; 2],
    pub rows: [MemberRows; 2],
}

/// Works the answer out and sends it line by line, until it is complete or nobody listens any more. Blocks.
pub(super) fn work(app: &App, asked: &Asked, pair: &Pair, lines: &Sender<String>) {
    let started = Line::Started {
        controls: controls::controls(&app.base, pair, asked.look.units()),
        notes: controls::notes(pair),
    };
    if !send(lines, &started) {
        return;
    }
    match grown(app, asked, pair, lines) {
        Ok(Some(finished)) => {
            let mut last = app.finished.lock().unwrap_or_else(PoisonError::into_inner);
            *last = Some(Arc::new(finished));
        }
        Ok(None) => {}
        Err(problem) => {
            send(lines, &Line::Failed { problem });
        }
    }
}

/// Whether somebody took the line.
fn send(lines: &Sender<String>, line: &Line<'_>) -> bool {
    let text = serde_json::to_string(line).unwrap_or_default() + "\n";
    lines.blocking_send(text).is_ok()
}

/// The steps in which an ensemble of `total` grows.
fn steps(total: u32) -> Vec<u32> {
    let doubled = std::iter::successors(Some(FIRST), |members| members.checked_mul(2));
    doubled
        .take_while(|members| *members < total)
        .chain([total])
        .collect()
}

fn grown(
    app: &App,
    asked: &Asked,
    pair: &Pair,
    lines: &Sender<String>,
) -> Result<Option<Finished>, String> {
    let record = app
        .weather
        .record(&pair.as_it_is.scenario)
        .map_err(|error| error.to_string())?;
    let mut prepared = together(pair, &record)?;
    let scenarios = pair.scenarios();
    let total = prepared[0].plan.members;
    let known = [0, 1].map(|side| app.known.rows(&scenarios[side].fingerprint, &record));
    // What is known whole is shown at once: only its look is another.
    let sizes = match known.iter().all(|rows| rows.len() == total as usize) {
        true => vec![total],
        false => steps(total),
    };
    let watch = Watch {
        done: AtomicU32::new(0),
        total: 2 * total,
        told: Mutex::new(Instant::now()),
        stop: &app.stop,
        lines,
    };
    let mut rows = [MemberRows::new(), MemberRows::new()];
    let mut interrupted = false;
    for members in sizes {
        for side in [0, 1] {
            let copied = rows[side].copy_from(&known[side], members as usize);
            copied.map_err(|error| error.to_string())?;
            let done = rows[0].len() + rows[1].len();
            watch.done.store(done as u32, Ordering::Relaxed);
            let (plan, rows) = (&mut prepared[side].plan, &mut rows[side]);
            plan.members = members;
            match app.pool.install(|| ensemble::grow(plan, rows, &watch)) {
                Ok(()) => {}
                Err(EnsembleError::Interrupted) => interrupted = true,
                Err(error) => return Err(error.to_string()),
            }
        }
        interrupted = interrupted || {
            let both = Both::new(&scenarios, &prepared, &rows);
            let line = both.and_then(|both| Ok(send(lines, &line(asked, &both, total)?)));
            !line.map_err(|error| error.to_string())?
        };
        if interrupted {
            break;
        }
    }
    for (scenario, rows) in scenarios.iter().zip(&rows) {
        let kept = app.known.keep(&scenario.fingerprint, &record, rows);
        kept.map_err(|error| error.to_string())?;
    }
    Ok((!interrupted).then(|| Finished {
        settings: asked.settings.clone(),
        units: asked.look.units(),
        prepared,
        rows,
    }))
}

/// Both scenarios with their winters, cut once: only hives differ.
fn together(pair: &Pair, record: &Record) -> Result<[Prepared; 2], String> {
    let one = pair.as_it_is.scenario.prepare_from(record.clone());
    let one = one.map_err(|error| error.to_string())?;
    let changed = &pair.changed.scenario;
    let mut other = one.clone();
    other.plan = Plan {
        hive: changed.hive.clone(),
        colony: changed.colony.clone(),
        overrides: changed.overrides.clone(),
        ..one.plan.clone()
    };
    Ok([one, other])
}

/// Both hives with what has been found so far.
pub(super) struct Both<'a> {
    pub scenarios: &'a [Scenario; 2],
    pub prepared: &'a [Prepared; 2],
    pub rows: &'a [MemberRows; 2],
    pub summaries: [Summary; 2],
    pub fates: [Vec<Fate>; 2],
    pub comparison: Comparison,
}

impl<'a> Both<'a> {
    pub fn new(
        scenarios: &'a [Scenario; 2],
        prepared: &'a [Prepared; 2],
        rows: &'a [MemberRows; 2],
    ) -> Result<Self, RowsError> {
        let [one, other] = rows;
        let fates = |rows: &MemberRows| rows.values(|row| Fate::from(row));
        let fates = [fates(one)?, fates(other)?];
        let summary = |side: usize| Summary::new(&prepared[side].plan, &rows[side]);
        Ok(Self {
            scenarios,
            prepared,
            rows,
            summaries: [summary(0)?, summary(1)?],
            comparison: Comparison::new(scenarios, prepared, &fates),
            fates,
        })
    }

    /// The changed hive against the other; none where they are not the same draws, which here they are.
    pub fn against(&self) -> Option<&Against> {
        self.comparison.entries[1].against_first.as_ref()
    }

    /// The line below a chart of the hive as it is, 0, or changed, 1; of both it is the first's.
    pub fn source(&self, side: usize) -> String {
        let winters = self.prepared[side].plan.winters.len();
        report::charts::source(&self.comparison.entries[side].provenance, winters)
    }
}

fn line<'a>(asked: &Asked, both: &Both<'a>, total: u32) -> Result<Line<'a>, RowsError> {
    let units = asked.look.units();
    let plan = &both.prepared[0].plan;
    let stand = Stand {
        members: plan.members,
        total,
        winters: plan.winters.len(),
    };
    let against = both.against();
    let [one, other] = &both.summaries;
    let figures = against.map(|against| words::figures([one, other], against, stand, units));
    Ok(Line::Answer {
        members: stand.members,
        total,
        complete: stand.complete(),
        verdict: against.map_or_else(String::new, |against| words::verdict(against, stand, units)),
        figures: figures.map_or_else(String::new, maud::Markup::into_string),
        charts: charts::markup(both, asked.look.chart())?.into_string(),
        weather: &both.prepared[0].notes,
        needs_kg: [one, other].map(|summary| summary.needs.iter().map(|need| need.kg).collect()),
        starved: [one.starved, other.starved],
    })
}

/// Tells the page how far it is, and stops when nobody listens or the program ends.
struct Watch<'a> {
    done: AtomicU32,
    total: u32,
    told: Mutex<Instant>,
    stop: &'a AtomicBool,
    lines: &'a Sender<String>,
}

impl Watcher for Watch<'_> {
    fn finished(&self) {
        let done = self.done.fetch_add(1, Ordering::Relaxed) + 1;
        let Ok(mut told) = self.told.try_lock() else {
            return;
        };
        if told.elapsed() >= TOLD_EVERY {
            *told = Instant::now();
            let line = Line::Progress {
                done,
                total: self.total,
            };
            // One that is not taken at once is left out: the next says more.
            let text = serde_json::to_string(&line).unwrap_or_default() + "\n";
            let _ = self.lines.try_send(text);
        }
    }

    fn stop(&self) -> bool {
        self.stop.load(Ordering::Relaxed) || self.lines.is_closed()
    }
}

/// The settings as they can be run.
///
/// # Errors
/// [`Refusal::Settings`].
pub(super) fn checked(app: &App, asked: &Asked) -> Result<Pair, Refusal> {
    app.base.moved(&asked.settings, asked.look.units())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_ensemble_grows_by_doubling_to_its_whole() {
        assert_eq!(steps(300), [10, 20, 40, 80, 160, 300]);
        assert_eq!(steps(10), [10]);
        assert_eq!(steps(12), [10, 12]);
        assert_eq!(steps(20), [10, 20]);
    }
}
