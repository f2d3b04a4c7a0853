//! The labels beside a hive's section.

use super::Look;
use super::grammar::{Area, px, stack};
use super::hive_plan::{Label, Plan};
use super::hive_section::{HiveSection, mesh};
use super::layers::Rect;
use crate::units::System;
use maud::{Markup, html};

impl HiveSection {
    /// Labels from top to bottom with the point, in metres of the drawing, that each is of; heads have none.
    pub(super) fn labelled(&self, plan: &Plan, units: System) -> Vec<Label> {
        let right = |(x, y, width, height): Rect| (x + width, y + 0.5 * height);
        let mut labels = vec![Label::head(self.head(1, units))];
        for (layer, place) in plan.lid_m(self).into_iter().rev() {
            labels.push(Label::of(layer.words(units), right(place)));
        }
        let holes = plan.holes_m(self);
        let (upper, lower): (Vec<_>, Vec<_>) = holes
            .into_iter()
            .partition(|(hole, _)| self.upper.contains(hole));
        for (hole, place) in upper {
            labels.push(Label::of(hole.words(units), right(place)));
        }
        labels.push(Label::head(self.head(0, units)));
        let inside_m = self.inside_m();
        let count = self.wall.len();
        let mut x = plan.wall_m + self.length_m;
        for (number, layer) in self.wall.iter().enumerate() {
            // Spread over the middle of the side, clear of openings at both ends.
            let share = 0.3 + 0.4 * (number as f64 + 0.5) / count as f64;
            let at = (x + 0.5 * layer.thickness_m, plan.lid_m + share * inside_m);
            x += layer.thickness_m;
            labels.push(Label::of(layer.words(units), at));
        }
        labels.push(Label::head(self.head(3, units)));
        for (hole, place) in lower.into_iter().rev() {
            labels.push(Label::of(hole.words(units), right(place)));
        }
        labels.push(Label::head(self.head(2, units)));
        if let Some(free) = self.mesh {
            let at = (plan.wall_m + self.length_m, plan.lid_m + inside_m);
            labels.push(Label::of(mesh(free), at));
        }
        for (layer, place) in plan.floor_m(self) {
            let half = if self.covered < 1.0 {
                ", under half of it"
            } else {
                ""
            };
            labels.push(Label::of(layer.words(units) + half, right(place)));
        }
        labels
    }

    pub(super) fn labels(&self, plan: &Plan, area: Area, look: Look) -> Markup {
        let ink = look.theme.ink();
        let size = plan.label_px;
        let labels = self.labelled(plan, look.units);
        let column = area.left + area.width - plan.column_px;
        let points: Vec<Option<(f64, f64)>> = labels
            .iter()
            .map(|label| label.at_m.map(|at| plan.point(area, at)))
            .collect();
        let wished: Vec<(f64, f64)> = labels
            .iter()
            .enumerate()
            .map(|(number, label)| {
                let own = points[number..].iter().flatten().next();
                let last = points.iter().flatten().last();
                let y = own.or(last).map_or(area.top, |point| point.1);
                (y, plan.height_of(label))
            })
            .collect();
        let tops = stack(&wished, area.top, area.top + plan.height);
        let edge = plan.rect(area, plan.outer_m());
        let bend = edge.0 + edge.2 + 0.5 * size;
        html! {
            @for ((label, top), point) in labels.iter().zip(&tops).zip(&points) {
                @let lines = plan.lines_of(label);
                @if let Some((x, y)) = point {
                    @let to = top + 0.75 * size;
                    polyline points=(format!("{},{} {},{} {},{} {},{}", px(*x), px(*y), px(bend), px(*y), px(column - 0.8 * size), px(to), px(column - 0.3 * size), px(to))) fill="none" stroke=(ink.axis) stroke-width="0.9" {}
                    circle cx=(px(*x)) cy=(px(*y)) r="1.8" fill=(ink.text) stroke=(ink.ground) stroke-width="0.6" {}
                }
                @let first = top + size + if label.at_m.is_none() { 0.35 * size } else { 0.0 };
                @for (number, line) in lines.iter().enumerate() {
                    text x=(px(column)) y=(px(first + 1.2 * size * number as f64)) font-size=(px(size)) fill=(if label.at_m.is_none() { ink.text } else { ink.quiet }) font-weight=(if label.at_m.is_none() { "bold" } else { "normal" }) { (line) }
                }
            }
        }
    }
}
