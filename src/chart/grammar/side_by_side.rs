//! Plots beside each other where there is room, else under each other.

use super::{Area, Plot};
use crate::chart::Look;
use maud::{Markup, html};

/// Plots with their places.
pub struct SideBySide<'a> {
    /// The plots.
    pub plots: Vec<Box<dyn Plot + 'a>>,
    /// Narrowest plot that stands beside another, sizes of the font; infinite keeps them under each other.
    pub least_em: f64,
    /// Space between those under each other, sizes of the font.
    pub gap_em: f64,
}

impl<'a> SideBySide<'a> {
    /// Beside each other from this width of each on.
    pub fn new(least_em: f64, plots: Vec<Box<dyn Plot + 'a>>) -> Self {
        Self {
            plots,
            least_em,
            gap_em: 1.0,
        }
    }

    /// Under each other at any width.
    pub fn stacked(gap_em: f64, plots: Vec<Box<dyn Plot + 'a>>) -> Self {
        Self {
            plots,
            least_em: f64::INFINITY,
            gap_em,
        }
    }

    /// Width of each of so many and whether they stand beside each other.
    pub fn split(look: Look, width: f64, count: usize, least_em: f64) -> (f64, bool) {
        let count = count.max(1) as f64;
        let one = (width - 2.0 * look.font() * (count - 1.0)) / count;
        if count > 1.0 && one >= least_em * look.font() {
            (one, true)
        } else {
            (width, false)
        }
    }
}

impl Plot for SideBySide<'_> {
    fn height(&self, look: Look, width: f64) -> f64 {
        let (one, beside) = Self::split(look, width, self.plots.len(), self.least_em);
        let heights = self.plots.iter().map(|plot| plot.height(look, one));
        if beside {
            heights.fold(0.0, f64::max)
        } else {
            heights.sum::<f64>()
                + self.gap_em * look.font() * self.plots.len().saturating_sub(1) as f64
        }
    }

    fn draw(&self, look: Look, area: Area, id: &str) -> Markup {
        let (one, beside) = Self::split(look, area.width, self.plots.len(), self.least_em);
        let mut place = Area { width: one, ..area };
        let mut drawn = Vec::new();
        for plot in &self.plots {
            place.height = plot.height(look, one);
            drawn.push(plot.draw(look, place, id));
            if beside {
                place.left += one + 2.0 * look.font();
            } else {
                place.top += place.height + self.gap_em * look.font();
            }
        }
        html! { @for plot in &drawn { (plot) } }
    }
}
