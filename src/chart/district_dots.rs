//! A quantity of every station against latitude and against the mean of January.

use super::Look;
use super::district::{Dot, Series, View};
use super::district_finding as finding;
use super::grammar::{
    Across, Axis, Figure, Label, Mark, Paragraph, Plot, SideBySide, Style, Unit, Xy, extent, signed,
};
use super::words::{capital, mass, percent};
use crate::batch::{Against, Trend};
use crate::units::Dimension;

/// Marks of a panel up to which intervals are drawn: more would hide each other.
const WHISKERS: usize = 40;
/// Marks of a picture up to which each says what it is when a pointer rests on it: more would make heavy files.
const SPEAKING: usize = 2000;
/// Narrowest panel that stands beside the other, sizes of the font.
const BESIDE_EM: f64 = 20.5;

/// What is shown of each station.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Quantity {
    /// Honey needed in 95 % of winters.
    Need,
    /// Share that starves.
    Risk,
}

impl Quantity {
    /// Its value at a station with its interval.
    fn of(self, dot: &Dot) -> (f64, (f64, f64)) {
        match self {
            Self::Need => dot.need_kg,
            Self::Risk => dot.starved,
        }
    }

    /// Its range over what is not known about bees.
    fn shared(self, dot: &Dot) -> Option<(f64, f64)> {
        match self {
            Self::Need => dot.need_shared_kg,
            Self::Risk => dot.starved_shared,
        }
    }
}

/// The picture; `no_map` says why there is none.
pub(super) fn figure<'a>(
    view: &'a View<'a>,
    quantity: Quantity,
    no_map: Option<&str>,
) -> Figure<'a> {
    let count: usize = view.series.iter().map(|series| series.dots.len()).sum();
    let chart = Chart {
        view,
        look: view.look,
        quantity,
        whiskers: count <= WHISKERS,
        speaking: count <= SPEAKING,
    };
    let mut notes = view.notes.clone();
    if chart.whiskers {
        notes.push("Whiskers: sampling, 95 %. Pale bars: bees not known, 90 %. Marks of one station stand side by side.".to_owned());
    }
    notes.extend(no_map.map(str::to_owned));
    if quantity == Quantity::Need && chart.has_unsure_line() {
        notes.push("Dashed lines: a slope that these stations do not tell from none.".to_owned());
    }
    let series = view.series.iter().enumerate();
    Figure {
        shown: chart.shown(),
        described: "Two panels, by latitude and by mean of January, with a mark for each station and scenario.".to_owned(),
        legend: series.map(|(number, series)| (Style { opacity: 1.0, ..chart.style(number) }, series.name.clone())).collect(),
        notes,
        plot: Box::new(SideBySide::new(BESIDE_EM, [Against::Latitude, Against::January].map(|against| chart.panel(against)).into())),
    }
}

#[derive(Clone, Copy)]
struct Chart<'a> {
    view: &'a View<'a>,
    look: Look,
    quantity: Quantity,
    whiskers: bool,
    speaking: bool,
}

impl<'a> Chart<'a> {
    fn style(&self, number: usize) -> Style {
        let many = self.view.stations() > 200;
        Style {
            opacity: 0.85,
            ..self.look.style(number, if many { 0.22 } else { 0.3 })
        }
    }

    fn shown(&self) -> String {
        let units = self.look.units;
        let stores = self.view.common_stores_kg().map(|kg| mass(kg, units));
        let of = self.view.of_stations();
        match (self.quantity, stores) {
            (Quantity::Need, stores) => {
                let pair = finding::pair(&self.view.series, units).unwrap_or_default();
                let stores = stores.unwrap_or_else(|| "of each".to_owned());
                let comma = if stores == "of each" { "" } else { "," };
                format!(
                    "Honey needed in 95 % of winters, a mark a station; dotted, the stores{comma} {stores}. {}. {pair}",
                    capital(of)
                )
            }
            (Quantity::Risk, Some(stores)) => {
                format!(
                    "Share of colonies that starve with {stores} of stores, a mark a station: {of}."
                )
            }
            (Quantity::Risk, None) => {
                format!(
                    "Share of colonies that starve, each scenario with its own stores, a mark a station: {of}."
                )
            }
        }
    }

    fn up(&self) -> Axis {
        let (label, dimension) = match self.quantity {
            Quantity::Need => ("Honey needed", self.look.unit(Dimension::Mass)),
            Quantity::Risk => ("Share that starves", Unit::Percent),
        };
        let dots = self.view.series.iter().flat_map(|series| &series.dots);
        let all = dots.flat_map(|dot| {
            let (value, (_, high)) = self.quantity.of(dot);
            let shared = self.quantity.shared(dot).map(|(_, most)| most);
            let ends = [high].into_iter().chain(shared).filter(|_| self.whiskers);
            ends.chain([value])
        });
        let least = match self.quantity {
            Quantity::Need => 1e-3,
            Quantity::Risk => 0.1,
        };
        let stores = self.view.series.iter().map(|series| series.stores_kg);
        let stores = stores.filter(|_| self.quantity == Quantity::Need);
        Axis::new(label, dimension, all.chain(stores).chain([0.0, least]), 7)
    }

    fn panel(self, against: Against) -> Box<dyn Plot + 'a> {
        let all = self.view.series.iter().flat_map(|series| &series.dots);
        let (least, most) = extent(all.filter_map(|dot| dot.at(against)));
        let (label, unit, none) = match against {
            Against::January => (
                "January mean",
                self.look.unit(Dimension::Temperature),
                "No station's January is in its record.",
            ),
            _ => (
                "Latitude, degrees north",
                Unit::Plain,
                "No station's latitude is known.",
            ),
        };
        if least > most {
            return Box::new(Paragraph(none.to_owned()));
        }
        // Marks at the ends keep clear of the edges.
        let spread = 0.02 * (most - least);
        let across = Axis::new(label, unit, [least - spread, most + spread], 7);
        let mut marks = Vec::new();
        let need = self.quantity == Quantity::Need;
        if need {
            let stores = self.stores().into_iter();
            marks
                .extend(stores.map(|(kg, _, color)| Mark::rule(kg).stroke(color, 1.5).dash("2 3")));
        }
        let series = || self.view.series.iter().enumerate();
        if self.whiskers {
            marks.extend(
                series().flat_map(|(number, series)| self.intervals(number, series, against)),
            );
        }
        if need {
            marks
                .extend(series().filter_map(|(number, series)| self.line(number, series, against)));
        }
        marks.extend(self.order().filter_map(|(number, dot)| {
            let mark = Mark::symbol(
                (dot.at(against)?, self.quantity.of(dot).0),
                self.style(number),
            );
            let mark = mark.shift(self.dodge(number));
            let words = self
                .speaking
                .then(|| self.words(&self.view.series[number], dot));
            Some(match words {
                Some(words) => mark.says(words),
                None => mark,
            })
        }));
        if need {
            let labels = self
                .stores()
                .into_iter()
                .map(|(kg, words, _)| Label::rule(kg, words));
            marks.push(Mark::labels(labels.collect()));
        }
        let height = (24.0 * self.look.font()).min(0.75 * self.look.width());
        Box::new(Xy {
            height,
            ..Xy::new(self.look, Across::Numbers(across), self.up(), marks)
        })
    }

    /// Marks of one station are drawn beside each other where intervals are, else on each other.
    fn dodge(&self, number: usize) -> f64 {
        let middle = 0.5 * (self.view.series.len() as f64 - 1.0);
        let step = if self.whiskers {
            0.45 * self.look.font()
        } else {
            0.0
        };
        step * (number as f64 - middle)
    }

    /// All marks, station by station, each station with another scenario first: no scenario hides the others.
    fn order(&self) -> impl Iterator<Item = (usize, &'a Dot)> {
        let (view, count) = (self.view, self.view.series.len());
        (0..view.stations()).flat_map(move |station| {
            (0..count).filter_map(move |turn| {
                let number = (station + turn) % count;
                Some((number, view.series[number].dots.get(station)?))
            })
        })
    }

    fn words(&self, series: &Series<'_>, dot: &Dot) -> String {
        let (value, (low, high)) = self.quantity.of(dot);
        let [value, low, high] = [value, low, high].map(|value| match self.quantity {
            Quantity::Need => mass(value, self.look.units),
            Quantity::Risk => percent(value),
        });
        let mut words = format!(
            "{}, {}: {value} ({low} to {high})",
            dot.station, series.name
        );
        if let Some(latitude) = dot.latitude_deg {
            words += &format!(", {latitude:.1}° N");
        }
        if let Some(january) = dot.january_c {
            let unit = self.look.unit(Dimension::Temperature);
            words += &format!(
                ", January {} {}",
                signed(unit.shown(january), 1),
                unit.symbol()
            );
        }
        words
    }

    fn intervals(&self, number: usize, series: &Series<'_>, against: Against) -> Vec<Mark<'a>> {
        let (color, dodge) = (self.style(number).color(), self.dodge(number));
        let dots = || {
            series
                .dots
                .iter()
                .filter_map(|dot| Some((dot.at(against)?, dot)))
        };
        let pale =
            dots().filter_map(|(x, dot)| Some(Mark::interval(x, self.quantity.shared(dot)?)));
        let pale = pale.map(|mark| mark.pale(color, 0.35 * self.look.font(), 0.25).shift(dodge));
        let ends = dots().map(|(x, dot)| (x, self.quantity.of(dot).1));
        let ends = ends.filter(|(_, (low, high))| low.is_finite() && high.is_finite());
        let ends = ends.map(|(x, ends)| Mark::interval(x, ends).pale(color, 1.2, 0.6).shift(dodge));
        pale.chain(ends).collect()
    }

    /// The line of least squares over the stations that it is of, cut off where honey would be less than none.
    fn line(&self, number: usize, series: &Series<'_>, against: Against) -> Option<Mark<'a>> {
        let trend = series
            .trends
            .iter()
            .find(|trend| trend.against == against)?;
        let (least, most) = extent(series.dots.iter().filter_map(|dot| dot.at(against)));
        let end = |at: f64| (at, (trend.at_zero_kg + trend.slope_kg * at).max(0.0));
        let line = Mark::line(vec![end(least), end(most)]).stroke(self.style(number).color(), 2.0);
        Some(if is_sure(series, trend) {
            line
        } else {
            line.dash("6 5")
        })
    }

    fn has_unsure_line(&self) -> bool {
        let lines = self
            .view
            .series
            .iter()
            .flat_map(|series| series.trends.iter().map(move |trend| (series, trend)));
        let mut drawn = lines.filter(|(_, trend)| trend.against != Against::Parallel40);
        drawn.any(|(series, trend)| !is_sure(series, trend))
    }

    /// Stores: one line for all scenarios, or one each; with words and colour.
    fn stores(&self) -> Vec<(f64, String, &'static str)> {
        let say = |kg: f64| format!("stores {}", mass(kg, self.look.units));
        if let Some(kg) = self.view.common_stores_kg() {
            return vec![(kg, say(kg), self.look.theme.ink().text)];
        }
        let own = self.view.series.iter().enumerate();
        own.map(|(number, series)| {
            let words = format!("{} ({})", say(series.stores_kg), series.name);
            (series.stores_kg, words, self.style(number).color())
        })
        .collect()
    }
}

/// Whether the stations tell the slope of a line from none.
fn is_sure(series: &Series<'_>, trend: &Trend) -> bool {
    let at = series
        .dots
        .iter()
        .filter(|dot| dot.at(trend.against).is_some());
    finding::is_told(trend.r2, at.count())
}
