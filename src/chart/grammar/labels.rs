//! The one placer of labels in a panel: where no mark and no other label is, else nowhere.

use super::{Area, BOLD, Mark, Panel, halo, px, width_em};
use crate::chart::Look;
use maud::{Markup, html};

/// Steps of a callout away from its point, at most.
const STEPS: usize = 16;

/// A label of a point or of a level line.
#[derive(Debug, Clone, PartialEq)]
pub struct Label {
    /// What it is of, in SI.
    pub at: (f64, f64),
    /// Its lines.
    pub lines: Vec<String>,
    /// Where it may stand.
    pub kind: LabelKind,
    /// Size, in sizes of the font.
    pub size_em: f64,
}

/// Where a label may stand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LabelKind {
    /// Beside its point, so many pixels from it; else left out.
    Beside(f64),
    /// Beside its point or as far from it as need be, with a line to it; the first line is bold.
    Callout,
    /// At either end of its level line, above or below; else left out.
    Rule,
}

impl Label {
    /// Beside a point, `gap_px` from it.
    pub fn beside(at: (f64, f64), words: String, gap_px: f64) -> Self {
        Self {
            at,
            lines: vec![words],
            kind: LabelKind::Beside(gap_px),
            size_em: 0.8,
        }
    }

    /// Near a point, with a line to it.
    pub fn callout(at: (f64, f64), lines: [String; 2]) -> Self {
        Self {
            at,
            lines: lines.to_vec(),
            kind: LabelKind::Callout,
            size_em: 1.0,
        }
    }

    /// On a level line through the panel.
    pub fn rule(y: f64, words: String) -> Self {
        Self {
            at: (f64::NEG_INFINITY, y),
            lines: vec![words],
            kind: LabelKind::Rule,
            size_em: 0.85,
        }
    }

    fn width(&self, size: f64) -> f64 {
        let wider = if self.kind == LabelKind::Callout {
            BOLD
        } else {
            1.0
        };
        let widths = self.lines.iter().map(|line| width_em(line));
        wider * size * widths.fold(0.0, f64::max)
    }

    /// Left ends and first base lines, what is best first, px.
    fn places(&self, (x, y): (f64, f64), inner: Area, size: f64) -> Vec<(f64, f64)> {
        let (width, deep) = (
            self.width(size),
            1.25 * size * (self.lines.len() as f64 - 1.0),
        );
        let (left, right) = (inner.left + 4.0, inner.left + inner.width - width);
        match self.kind {
            LabelKind::Beside(gap) => vec![
                (x + gap, y + 0.35 * size),
                (x - gap - width, y + 0.35 * size),
                (x - 0.5 * width, y - gap - 0.1 * size),
                (x - 0.5 * width, y + gap + 0.8 * size),
            ],
            LabelKind::Rule => {
                let (above, below) = (y - 0.35 * size, y + 1.1 * size);
                vec![(left, above), (right, above), (left, below), (right, below)]
            }
            LabelKind::Callout => {
                let near = (x + 0.5 * size).min(right).max(inner.left);
                let up = |step: usize| y - 0.8 * size - deep - 0.6 * size * step as f64;
                let down = |step: usize| y + 1.4 * size + 0.6 * size * step as f64;
                let aside = (x - 0.5 * size - width).max(inner.left);
                let around = |step| [(near, up(step)), (near, down(step)), (aside, down(step))];
                (0..STEPS).flat_map(around).collect()
            }
        }
    }
}

/// Left, top, right and bottom, px.
type Bounds = (f64, f64, f64, f64);

/// What is taken in a panel.
#[derive(Debug)]
pub struct Placer {
    inner: Area,
    /// What no label may lie on.
    hard: Vec<Bounds>,
    /// What a label rather does not lie on.
    soft: Vec<Bounds>,
}

impl Placer {
    /// For the labels of a panel with these marks.
    pub fn new(panel: &Panel, marks: &[Mark<'_>]) -> Self {
        let (hard, soft) = marks
            .iter()
            .fold((Vec::new(), Vec::new()), |mut taken, mark| {
                mark.takes(panel, &mut taken.0, &mut taken.1);
                taken
            });
        Self {
            inner: panel.inner,
            hard,
            soft,
        }
    }

    /// Left end and first base line of a label; none where nothing is free.
    pub fn place(&mut self, label: &Label, at: (f64, f64), size: f64) -> Option<(f64, f64)> {
        let (width, inner) = (label.width(size), self.inner);
        let more = 1.25 * size * (label.lines.len() as f64 - 1.0);
        let bounds = |(left, base): (f64, f64)| {
            (
                left,
                base - 0.85 * size,
                left + width,
                base + 0.25 * size + more,
            )
        };
        let meets = |a: Bounds, b: &Bounds| a.0 < b.2 && b.0 < a.2 && a.1 < b.3 && b.1 < a.3;
        let inside = |a: Bounds| {
            a.0 >= inner.left
                && a.2 <= inner.left + inner.width + 1e-6
                && a.1 >= inner.top
                && a.3 <= inner.top + inner.height
        };
        let free = |own: Bounds, taken: &[Bounds]| !taken.iter().any(|other| meets(own, other));
        let places = label.places(at, inner, size);
        let open =
            |place: &&(f64, f64)| inside(bounds(**place)) && free(bounds(**place), &self.hard);
        let clear = |place: &&(f64, f64)| open(place) && free(bounds(**place), &self.soft);
        let found = places
            .iter()
            .find(clear)
            .or_else(|| places.iter().find(open));
        let found = *found?;
        self.hard.push(bounds(found));
        Some(found)
    }

    /// Labels that find a place.
    pub fn draw(&mut self, look: Look, panel: &Panel, labels: &[Label]) -> Markup {
        let (font, ink) = (look.font(), look.theme.ink());
        let mut placed = Vec::new();
        for label in labels {
            let (at, size) = (
                (panel.x.at(label.at.0), panel.y.at(label.at.1)),
                label.size_em * font,
            );
            if let Some(place) = self.place(label, at, size) {
                placed.push((label, at, place, size));
            }
        }
        html! {
            @for (label, (x, y), (left, base), size) in placed {
                @if label.kind == LabelKind::Callout {
                    @let foot = base + 1.25 * size * (label.lines.len() as f64 - 1.0) + 0.35 * size;
                    @let (from, to) = if foot < y { (y - 0.6 * font, foot) } else { (y + 0.6 * font, base - 0.9 * size) };
                    @if (from - to).abs() > 0.5 * font && (y - from) * (from - to) > 0.0 {
                        line x1=(px(x)) x2=(px(x)) y1=(px(from)) y2=(px(to)) stroke=(ink.quiet) stroke-width="1" {}
                    }
                }
                @for (number, line) in label.lines.iter().enumerate() {
                    @let bold = number == 0 && label.kind == LabelKind::Callout;
                    (halo(look, (left, base + 1.25 * size * number as f64), size, "start", bold, line))
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Scale, Unit};
    use super::*;

    /// Values are pixels.
    fn panel() -> Panel {
        let scale = |ends| Scale {
            unit: Unit::Plain,
            values: ends,
            pixels: ends,
        };
        Panel::new(scale((0.0, 400.0)), scale((300.0, 0.0)), html! {})
    }

    #[test]
    fn labels_of_one_point_stand_on_its_four_sides_and_the_rest_are_left_out() {
        let mut placer = Placer::new(&panel(), &[]);
        let label = Label::beside((200.0, 150.0), "7 %".to_owned(), 8.0);
        let placed = (0..9).filter_map(|_| placer.place(&label, label.at, 12.0));
        assert_eq!(placed.count(), 4);
    }

    #[test]
    fn a_callout_stands_clear_of_a_band_and_of_other_callouts() {
        let band: Vec<_> = (0..=40)
            .map(|x| {
                (
                    10.0 * f64::from(x),
                    6.0 * f64::from(x),
                    8.0 * f64::from(x) + 40.0,
                )
            })
            .collect();
        let mut placer = Placer::new(&panel(), &[Mark::band(band)]);
        let words = || ["stores 15.0 kg".to_owned(), "9 % need more".to_owned()];
        let place = |placer: &mut Placer, at: (f64, f64)| {
            placer.place(&Label::callout(at, words()), at, 10.0)
        };
        let first = place(&mut placer, (200.0, 140.0)).expect("a place");
        let second = place(&mut placer, (240.0, 170.0)).expect("a place");
        for (left, base) in [first, second] {
            assert!(
                base + 12.5 < 0.6 * left || base - 10.0 > 0.8 * left + 40.0,
                "{left} {base}"
            );
        }
        assert!((first.1 - second.1).abs() > 20.0 || (first.0 - second.0).abs() > 80.0);
    }
}
