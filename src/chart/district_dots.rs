//! A quantity of every station against latitude and against the mean of January.

use super::axis::{Axis, Panel, panel};
use super::district::{Dot, Series, View};
use super::district_finding as finding;
use super::label::{shortened, width_em};
use super::mark::Style;
use super::scale::{Ticks, px, signed};
use super::sheet::{Area, Sheet};
use super::words::{capital, mass, percent};
use crate::batch::Against;
use crate::units::{Dimension, System, in_system};
use maud::{Markup, html};

/// Marks of a panel up to which intervals are drawn: more would hide each other.
const WHISKERS: usize = 40;
/// Marks of a picture up to which each says what it is when a pointer rests on it: more would make heavy files.
const SPEAKING: usize = 2000;

/// What is shown of each station.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Quantity {
    /// Honey that suffices in 95 % of winters.
    Need,
    /// Share that starves.
    Risk,
}

/// The picture; `no_map` says why there is none.
pub(super) fn dots(view: &View<'_>, quantity: Quantity, no_map: Option<&str>) -> String {
    let look = view.look;
    let font = look.font();
    let chart = Chart {
        view,
        quantity,
        whiskers: view
            .series
            .iter()
            .map(|series| series.dots.len())
            .sum::<usize>()
            <= WHISKERS,
        speaking: view
            .series
            .iter()
            .map(|series| series.dots.len())
            .sum::<usize>()
            <= SPEAKING,
    };
    let mut notes = view.notes.clone();
    if chart.whiskers {
        notes.push(
            "Whiskers: sampling, 95 %. Pale bars: bees not known, 90 %. Marks of one station stand side by side."
                .to_owned(),
        );
    }
    notes.extend(no_map.map(str::to_owned));
    if quantity == Quantity::Need && chart.unsure_line() {
        notes.push("Dashed lines: a slope that these stations do not tell from none.".to_owned());
    }
    let id = match quantity {
        Quantity::Need => "district-need",
        Quantity::Risk => "district-risk",
    };
    let sheet = Sheet {
        id: &format!("{id}{}", view.suffix),
        look,
        title: match quantity {
            Quantity::Need => finding::need(&view.series, look.units),
            Quantity::Risk => finding::risk(&view.series),
        },
        shown: chart.shown(),
        described: "Two panels, by latitude and by mean of January, with a mark for each station and scenario.".to_owned(),
        key: view.series.iter().enumerate().map(|(number, series)| (chart.style(number), series.name.clone())).collect(),
        notes,
        source: view.source,
    };
    let beside = look.width() >= 45.0 * font;
    let one = (24.0 * font).min(0.75 * look.width());
    let height = if beside { one } else { 2.0 * one + font };
    sheet.draw(height, |area| {
        let gap = 2.0 * font;
        let (first, second) = if beside {
            let width = 0.5 * (area.width - gap);
            (
                Area { width, ..area },
                Area {
                    left: area.left + width + gap,
                    width,
                    ..area
                },
            )
        } else {
            (
                Area {
                    height: one,
                    ..area
                },
                Area {
                    top: area.top + one + font,
                    height: one,
                    ..area
                },
            )
        };
        html! {
            (chart.panel(first, Against::Latitude))
            (chart.panel(second, Against::January))
        }
    })
}

struct Chart<'a> {
    view: &'a View<'a>,
    quantity: Quantity,
    whiskers: bool,
    speaking: bool,
}

impl Chart<'_> {
    fn style(&self, number: usize) -> Style {
        let many = self.view.stations() > 200;
        Style {
            number,
            theme: self.view.look.theme,
            radius_px: self.view.look.font() * if many { 0.22 } else { 0.3 },
        }
    }

    fn shown(&self) -> String {
        let units = self.view.look.units;
        let stores = self.view.common_stores_kg().map(|kg| mass(kg, units));
        let of = self.view.of_stations();
        match self.quantity {
            Quantity::Need => {
                let pair = finding::pair(&self.view.series, units).unwrap_or_default();
                let dotted = match &stores {
                    Some(stores) => format!("dotted, the stores, {stores}"),
                    None => "dotted, the stores of each".to_owned(),
                };
                format!(
                    "Honey that suffices in 95 % of winters, a mark a station; {dotted}. {}. {pair}",
                    capital(of)
                )
            }
            Quantity::Risk => match stores {
                Some(stores) => format!(
                    "Share of colonies that starve with {stores} of stores, a mark a station: {of}."
                ),
                None => format!(
                    "Share of colonies that starve, each scenario with its own stores, a mark a station: {of}."
                ),
            },
        }
    }

    /// The quantity as it is drawn, with its interval.
    fn value(&self, dot: &Dot) -> (f64, (f64, f64)) {
        let (value, (low, high)) = match self.quantity {
            Quantity::Need => dot.need_kg,
            Quantity::Risk => dot.starved,
        };
        (self.drawn(value), (self.drawn(low), self.drawn(high)))
    }

    /// Its range over what is not known about bees, as it is drawn.
    fn shared(&self, dot: &Dot) -> Option<(f64, f64)> {
        let (low, high) = match self.quantity {
            Quantity::Need => dot.need_shared_kg?,
            Quantity::Risk => dot.starved_shared?,
        };
        Some((self.drawn(low), self.drawn(high)))
    }

    fn drawn(&self, value: f64) -> f64 {
        match self.quantity {
            Quantity::Need => in_system(value, Dimension::Mass, self.view.look.units).0,
            Quantity::Risk => 100.0 * value,
        }
    }

    fn place(&self, dot: &Dot, against: Against) -> Option<f64> {
        let at = dot.at(against)?;
        Some(match against {
            Against::January => in_system(at, Dimension::Temperature, self.view.look.units).0,
            Against::Latitude | Against::Parallel40 => at,
        })
    }

    fn up(&self) -> Axis {
        let mut most: f64 = match self.quantity {
            Quantity::Need => 0.0,
            Quantity::Risk => 10.0,
        };
        for dot in self.view.series.iter().flat_map(|series| &series.dots) {
            let (value, (_, high)) = self.value(dot);
            let high = self.shared(dot).map_or(high, |(_, most)| most.max(high));
            most = most.max(value);
            if self.whiskers && high.is_finite() {
                most = most.max(high);
            }
        }
        if self.quantity == Quantity::Need {
            for series in &self.view.series {
                most = most.max(self.drawn(series.stores_kg));
            }
        }
        Axis {
            words: match (self.quantity, self.view.look.units) {
                (Quantity::Need, System::Metric) => "Honey needed, kg".to_owned(),
                (Quantity::Need, System::Us) => "Honey needed, lb".to_owned(),
                (Quantity::Risk, _) => "Share that starves, %".to_owned(),
            },
            ticks: Ticks::over(0.0, most.max(1e-3), 7),
            after: "",
        }
    }

    fn across(&self, against: Against, values: &[f64]) -> Axis {
        let least = values.iter().copied().fold(f64::INFINITY, f64::min);
        let most = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        Axis {
            words: match (against, self.view.look.units) {
                (Against::January, System::Metric) => "January mean, °C".to_owned(),
                (Against::January, System::Us) => "January mean, °F".to_owned(),
                _ => "Latitude, degrees north".to_owned(),
            },
            // Marks at the ends keep clear of the edges.
            ticks: Ticks::over(
                least - 0.02 * (most - least),
                most + 0.02 * (most - least),
                7,
            ),
            after: "",
        }
    }

    fn panel(&self, area: Area, against: Against) -> Markup {
        let look = self.view.look;
        let all = self.view.series.iter().flat_map(|series| &series.dots);
        let values: Vec<f64> = all.filter_map(|dot| self.place(dot, against)).collect();
        if values.is_empty() {
            let words = match against {
                Against::January => "No station's January is in its record.",
                _ => "No station's latitude is known.",
            };
            let font = look.font();
            return html! {
                text x=(px(area.left + 0.5 * area.width)) y=(px(area.top + 0.5 * area.height)) font-size=(px(font)) fill=(look.theme.ink().quiet) text-anchor="middle" { (words) }
            };
        }
        let panel = panel(look, area, &self.across(against, &values), &self.up());
        html! {
            (panel.frame)
            @if self.quantity == Quantity::Need { (self.stores(&panel)) }
            @if self.whiskers {
                @for (number, series) in self.view.series.iter().enumerate() { (self.intervals(&panel, number, series, against)) }
            }
            @for (number, series) in self.view.series.iter().enumerate() {
                @if let Some(line) = self.line(&panel, number, series, against) { (line) }
            }
            g fill-opacity="0.85" {
                @for (number, dot) in self.order() {
                    @if let Some(mark) = self.mark(&panel, number, dot, against) { (mark) "\n" }
                }
            }
            @if self.quantity == Quantity::Need { (self.stores_words(&panel, against)) }
        }
    }

    /// Marks of one station are drawn beside each other where intervals are, else on each other.
    fn beside(&self, number: usize) -> f64 {
        if self.whiskers {
            let middle = 0.5 * (self.view.series.len() as f64 - 1.0);
            0.45 * self.view.look.font() * (number as f64 - middle)
        } else {
            0.0
        }
    }

    /// All marks, station by station, each station with another scenario first: no scenario hides the others.
    fn order(&self) -> impl Iterator<Item = (usize, &Dot)> {
        let count = self.view.series.len();
        (0..self.view.stations()).flat_map(move |station| {
            (0..count).filter_map(move |turn| {
                let number = (station + turn) % count;
                Some((number, self.view.series[number].dots.get(station)?))
            })
        })
    }

    /// The pixel of a station's mark.
    fn spot(
        &self,
        panel: &Panel,
        number: usize,
        dot: &Dot,
        against: Against,
    ) -> Option<(f64, f64)> {
        let x = panel.x.at(self.place(dot, against)?) + self.beside(number);
        Some((x, panel.y.at(self.value(dot).0)))
    }

    fn mark(&self, panel: &Panel, number: usize, dot: &Dot, against: Against) -> Option<Markup> {
        let words = self
            .speaking
            .then(|| self.words(&self.view.series[number], dot));
        Some(
            self.style(number)
                .mark(self.spot(panel, number, dot, against)?, words.as_deref()),
        )
    }

    fn words(&self, series: &Series<'_>, dot: &Dot) -> String {
        let units = self.view.look.units;
        let ((value, (low, high)), says): (_, &dyn Fn(f64) -> String) = match self.quantity {
            Quantity::Need => (dot.need_kg, &|kg| mass(kg, units)),
            Quantity::Risk => (dot.starved, &percent),
        };
        let mut words = format!(
            "{}, {}: {} ({} to {})",
            dot.station,
            series.name,
            says(value),
            says(low),
            says(high)
        );
        if let Some(latitude) = dot.latitude_deg {
            words += &format!(", {latitude:.1}° N");
        }
        if let Some(january) = dot.january_c {
            let (january, unit) = in_system(january, Dimension::Temperature, units);
            words += &format!(", January {} {unit}", signed(january, 1));
        }
        words
    }

    fn intervals(
        &self,
        panel: &Panel,
        number: usize,
        series: &Series<'_>,
        against: Against,
    ) -> Markup {
        let ends = series.dots.iter().filter_map(|dot| {
            let x = panel.x.at(self.place(dot, against)?) + self.beside(number);
            let (_, (low, high)) = self.value(dot);
            (low.is_finite() && high.is_finite())
                .then(|| (px(x), px(panel.y.at(low)), px(panel.y.at(high))))
        });
        let pale = series.dots.iter().filter_map(|dot| {
            let x = panel.x.at(self.place(dot, against)?) + self.beside(number);
            let (low, high) = self.shared(dot)?;
            Some((px(x), px(panel.y.at(low)), px(panel.y.at(high))))
        });
        html! {
            g stroke=(self.style(number).color()) stroke-width=(px(0.35 * self.view.look.font())) stroke-opacity="0.25" {
                @for (x, low, high) in pale { line x1=(x) x2=(x) y1=(low) y2=(high) {} }
            }
            g stroke=(self.style(number).color()) stroke-width="1.2" stroke-opacity="0.6" {
                @for (x, low, high) in ends { line x1=(x) x2=(x) y1=(low) y2=(high) {} }
            }
        }
    }

    /// The line of least squares over the stations that it is of, cut off where honey would be less than none.
    fn line(
        &self,
        panel: &Panel,
        number: usize,
        series: &Series<'_>,
        against: Against,
    ) -> Option<Markup> {
        if self.quantity != Quantity::Need {
            return None;
        }
        let trend = series
            .trends
            .iter()
            .find(|trend| trend.against == against)?;
        let at = series.dots.iter().filter_map(|dot| dot.at(against));
        let (least, most) = at
            .clone()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), at| {
                (least.min(at), most.max(at))
            });
        let end = |at: f64| {
            let x = match against {
                Against::January => in_system(at, Dimension::Temperature, self.view.look.units).0,
                _ => at,
            };
            let kg = trend.at_zero_kg + trend.slope_kg * at;
            (px(panel.x.at(x)), px(panel.y.at(self.drawn(kg.max(0.0)))))
        };
        let (from, to) = (end(least), end(most));
        let dashes = (!finding::told(trend.r2, at.count())).then_some("6 5");
        Some(html! {
            line x1=(from.0) y1=(from.1) x2=(to.0) y2=(to.1) stroke=(self.style(number).color()) stroke-width="2" stroke-dasharray=[dashes] {}
        })
    }

    fn unsure_line(&self) -> bool {
        self.view.series.iter().any(|series| {
            series.trends.iter().any(|trend| {
                let at = series
                    .dots
                    .iter()
                    .filter(|dot| dot.at(trend.against).is_some());
                matches!(trend.against, Against::Latitude | Against::January)
                    && !finding::told(trend.r2, at.count())
            })
        })
    }

    /// Stores: one line for all scenarios, or one each.
    fn all_stores(&self) -> Vec<(f64, String, &'static str)> {
        let units = self.view.look.units;
        let ink = self.view.look.theme.ink();
        match self.view.common_stores_kg() {
            Some(kg) => vec![(kg, format!("stores {}", mass(kg, units)), ink.text)],
            None => {
                let own = self.view.series.iter().enumerate();
                own.map(|(number, series)| {
                    let words =
                        format!("stores {} ({})", mass(series.stores_kg, units), series.name);
                    (series.stores_kg, words, self.style(number).color())
                })
                .collect()
            }
        }
    }

    fn stores(&self, panel: &Panel) -> Markup {
        let inner = panel.inner;
        html! {
            @for (kg, _, color) in self.all_stores() {
                @let y = px(panel.y.at(self.drawn(kg)));
                line x1=(px(inner.left)) x2=(px(inner.left + inner.width)) y1=(y) y2=(y) stroke=(color) stroke-width="1.5" stroke-dasharray="2 3" {}
            }
        }
    }

    /// Words of the stores by their lines, where the fewest marks are: above at either end, a single one also below. Several are pushed apart.
    fn stores_words(&self, panel: &Panel, against: Against) -> Markup {
        let look = self.view.look;
        let (font, ink) = (0.85 * look.font(), look.theme.ink());
        let inner = panel.inner;
        let spots: Vec<(f64, f64)> = self
            .order()
            .filter_map(|(number, dot)| self.spot(panel, number, dot, against))
            .collect();
        let mut stores = self.all_stores();
        stores.sort_by(|a, b| a.0.total_cmp(&b.0));
        let alone = stores.len() == 1;
        let mut words = Vec::new();
        let mut last = f64::INFINITY;
        for (kg, own, _) in stores {
            let line = panel.y.at(self.drawn(kg));
            last = (line - 0.35 * font).min(last - 1.2 * font);
            let own = shortened(&own, inner.width / font);
            let width = width_em(&own) * font;
            let (left, right) = (inner.left + 4.0, inner.left + inner.width - width);
            let below = line + 1.1 * font;
            let places = [(left, last), (right, last), (left, below), (right, below)];
            let hidden = |(x, y): &(f64, f64)| {
                let near = |(at, up): &&(f64, f64)| {
                    (x - font..x + width + font).contains(at)
                        && (y - 1.3 * font..y + 0.6 * font).contains(up)
                };
                spots.iter().filter(near).count()
            };
            let open = if alone { &places[..] } else { &places[..2] };
            // Where no place is free, the line above the picture says what the dotted line is.
            let best = open.iter().min_by_key(|place| hidden(place));
            if let Some((x, y)) = best.filter(|place| !alone || hidden(place) == 0) {
                words.push((*x, *y, own));
            }
        }
        html! {
            g font-size=(px(font)) fill=(ink.text) paint-order="stroke" stroke=(ink.ground) stroke-width="3" stroke-linejoin="round" {
                @for (x, y, words) in &words { text x=(px(*x)) y=(px(*y)) { (words) } }
            }
        }
    }
}
