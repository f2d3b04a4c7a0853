//! Share of winters that need more honey than there is, against the stores.

use super::Look;
use super::axis::{Axis, panel};
use super::label::{BOLD, width_em};
use super::mark::{Style, title};
use super::scale::{Ticks, px};
use super::sheet::{Area, Sheet};
use super::words::{counted, mass, percent, starved_in_run};
use crate::units::{Dimension, System, in_system};
use maud::html;
use serde::{Deserialize, Serialize};

/// The share below which stores are marked as those of small risk (own choice: a winter in twenty).
pub const SMALL: f64 = 0.05;
/// Share of colonies lost to cold from which honey is not the question.
const MOST: f64 = 0.5;

/// Risk over stores.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Risk {
    /// The curve, from the least stores to the most.
    pub points: Vec<RiskAt>,
    /// At what the scenario has.
    pub own: RiskAt,
    /// What of that its feed brings in the mean, kg.
    pub fed_kg: f64,
    /// The least stores with a share below [`SMALL`], kg; none with so few members that one is more.
    pub small_kg: Option<f64>,
    /// The least stores for which all of the interval is below it, kg; none where the members are too few to tell.
    pub surely_small_kg: Option<f64>,
    /// Winters run: drawn colonies in winters.
    pub members: usize,
    /// Share of colonies that starved in the run.
    pub starved: f64,
    /// Share that were chilled or too few.
    pub chilled: f64,
}

/// The share at some stores.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct RiskAt {
    /// Stores and feed together, kg.
    pub stores_kg: f64,
    /// Share that needs more.
    pub share: f64,
    /// Its 95 % interval.
    pub interval: (f64, f64),
    /// Its range over what is not known about bees; none where it is not told.
    #[serde(default)]
    pub shared: Option<(f64, f64)>,
}

impl Risk {
    fn has_shared(&self) -> bool {
        self.points.iter().all(|point| point.shared.is_some())
    }

    fn what(&self) -> &'static str {
        if self.fed_kg > 0.0 {
            "stores and feed"
        } else {
            "stores"
        }
    }

    pub(super) fn finding(&self, units: System) -> String {
        if self.chilled >= MOST {
            return format!(
                "Honey is not the question: {} of colonies die of cold or too few bees, whatever the stores",
                percent(self.chilled)
            );
        }
        if self.members == 1 {
            return "One winter cannot tell how the risk falls with stores".to_owned();
        }
        let own = format!(
            "{} of winters need more than {} of {}",
            percent(self.own.share),
            mass(self.own.stores_kg, units),
            self.what()
        );
        let (small, kg) = (percent(SMALL), |kg| mass(kg, units));
        let (Some(least), Some(sure)) = (self.small_kg, self.surely_small_kg) else {
            return format!(
                "{own}; these {} are too few to tell what it takes for under {small}",
                self.members
            );
        };
        if self.own.stores_kg < least {
            return format!("{own}; for under {small} it takes {}", kg(least));
        }
        if self.own.stores_kg >= sure {
            return format!("{own}; under {small} from {} on", kg(least));
        }
        format!(
            "{own}; these {} cannot tell whether that is under {small}",
            self.members
        )
    }

    fn notes(&self, units: System) -> Vec<String> {
        let mut notes = vec![format!(
            "It counts winters that need more than exactly so much. {}",
            starved_in_run(self.starved)
        )];
        notes.push("Band: sampling, 95 %, not of the years.".to_owned());
        if self.has_shared() {
            notes.push("Pale, dashed: bees not known, 90 %.".to_owned());
        }
        notes.push(match self.surely_small_kg {
            Some(kg) => format!("All of the band is below {} from {} on.", percent(SMALL), mass(kg, units)),
            None => format!("With {} the band never falls below {}: more are needed to be sure of so small a risk.", counted(self.members, "member"), percent(SMALL)),
        });
        notes
    }

    pub(super) fn draw(&self, key: &str, look: Look, source: &str) -> String {
        let (units, font, ink) = (look.units, look.font(), look.theme.ink());
        let honey = |kg: f64| in_system(kg, Dimension::Mass, units);
        let sheet = Sheet {
            id: key,
            look,
            title: self.finding(units),
            shown: format!("Share of {} that need more honey than there is in autumn.", counted(self.members, "winter")),
            described: "A curve that falls from the upper left to the lower right, with a band round it and a mark at the scenario's stores.".to_owned(),
            key: Vec::new(),
            notes: self.notes(units),
            source,
        };
        let stores = || self.points.iter().map(|point| honey(point.stores_kg).0);
        let across = Axis {
            words: format!(
                "{} in autumn, {}",
                if self.fed_kg > 0.0 {
                    "Stores with feed"
                } else {
                    "Stores"
                },
                honey(0.0).1
            ),
            ticks: Ticks::over(
                stores().fold(f64::INFINITY, f64::min),
                stores().fold(0.0, f64::max),
                9,
            ),
            after: "",
        };
        let up = Axis {
            words: "Winters that need more".to_owned(),
            ticks: Ticks::over(0.0, 100.0, 6),
            after: "\u{a0}%",
        };
        let style = |number| Style {
            number,
            theme: look.theme,
            radius_px: 0.5 * font,
        };
        sheet.draw((26.0 * font).min(0.75 * look.width()), |area| {
            let panel = panel(look, area, &across, &up);
            let inner = panel.inner;
            let at = |kg: f64, share: f64| (panel.x.at(honey(kg).0), panel.y.at(100.0 * share));
            let path = |share: &dyn Fn(&RiskAt) -> f64, back: bool| {
                let point = |point: &RiskAt| {
                    let (x, y) = at(point.stores_kg, share(point));
                    format!("{},{}", px(x), px(y))
                };
                let points: Vec<String> = if back { self.points.iter().rev().map(point).collect() } else { self.points.iter().map(point).collect() };
                points.join("L")
            };
            let own = at(self.own.stores_kg, self.own.share);
            let own_words = [format!("{} {}", self.what(), mass(self.own.stores_kg, units)), format!("{} need more", percent(self.own.share))];
            let small = self.small_kg.map(|kg| (kg, at(kg, SMALL)));
            let mut spots = vec![(own, own_words)];
            if let Some((kg, spot)) = small {
                spots.push((spot, [format!("under {} from", percent(SMALL)), format!("{} on", mass(kg, units))]));
            }
            let band = |x: f64| {
                // Of the points round a place, the upper limit of the left and the lower limit of the right one: the curve falls.
                let left = self.points.iter().rev().find(|point| at(point.stores_kg, 0.0).0 <= x);
                let right = self.points.iter().find(|point| at(point.stores_kg, 0.0).0 >= x);
                let y = |share: f64| at(0.0, share).1;
                let top = |point: &RiskAt| point.interval.1.max(point.shared.map_or(0.0, |(_, high)| high));
                let foot = |point: &RiskAt| point.interval.0.min(point.shared.map_or(1.0, |(low, _)| low));
                (y(left.map_or(1.0, top)), y(right.map_or(0.0, foot)))
            };
            let placed = place(font, &spots, inner, band);
            let color = style(0).color();
            html! {
                (panel.frame)
                @if !self.points.is_empty() {
                    @if self.has_shared() {
                        @let end = |point: &RiskAt, high: bool| point.shared.map_or(0.0, |(least, most)| if high { most } else { least });
                        path d={ "M" (path(&|point| end(point, false), false)) "L" (path(&|point| end(point, true), true)) "Z" } fill=(ink.quiet) fill-opacity="0.13" stroke=(ink.quiet) stroke-opacity="0.7" stroke-width="1" stroke-dasharray="4 4" { (title(Some("bees not known, 90 %"))) } "\n"
                    }
                    path d={ "M" (path(&|point| point.interval.0, false)) "L" (path(&|point| point.interval.1, true)) "Z" } fill=(color) fill-opacity="0.22" { (title(Some("95 % interval"))) } "\n"
                    path d={ "M" (path(&|point| point.share, false)) } fill="none" stroke=(color) stroke-width="2.5" stroke-linejoin="round" {} "\n"
                }
                line x1=(px(inner.left)) x2=(px(inner.left + inner.width)) y1=(px(at(0.0, SMALL).1)) y2=(px(at(0.0, SMALL).1)) stroke=(ink.axis) stroke-width="1.2" stroke-dasharray="5 4" { (title(Some("5 %"))) }
                line x1=(px(own.0)) x2=(px(own.0)) y1=(px(own.1)) y2=(px(inner.top + inner.height)) stroke=(ink.text) stroke-width="1.5" {}
                @if let Some((kg, spot)) = small {
                    (style(3).mark(spot, Some(&format!("under {} from {} on", percent(SMALL), mass(kg, units))))) "\n"
                }
                (style(1).mark(own, Some(&format!("{}: {} of winters need more, {} to {}", mass(self.own.stores_kg, units), percent(self.own.share), percent(self.own.interval.0), percent(self.own.interval.1))))) "\n"
                g stroke=(ink.quiet) stroke-width="1" {
                    @for ((spot, _), (_, base)) in spots.iter().zip(&placed) {
                        @let to = base + 1.6 * font;
                        @if to < spot.1 - 0.8 * font {
                            line x1=(px(spot.0)) x2=(px(spot.0)) y1=(px(spot.1 - 0.6 * font)) y2=(px(to)) {}
                        }
                    }
                }
                g font-size=(px(font)) fill=(ink.text) paint-order="stroke" stroke=(ink.ground) stroke-width="4" stroke-linejoin="round" {
                    @for ((x, y), (_, lines)) in placed.iter().zip(&spots) {
                        @for (number, line) in lines.iter().enumerate() {
                            text x=(px(*x)) y=(px(y + 1.25 * font * number as f64)) font-weight=[(number == 0).then_some("bold")] { (line) }
                        }
                    }
                }
            }
        })
    }
}

/// Two lines of words for each spot, above the band and right of the spot, or as far right as there is room: left edge and base of the first. The curve falls,
/// so where two would touch the left one is raised above the right one; one without room above stands below the band. `band` gives the band's upper and lower
/// edge at a place.
fn place(
    font: f64,
    spots: &[((f64, f64), [String; 2])],
    inner: Area,
    band: impl Fn(f64) -> (f64, f64),
) -> Vec<(f64, f64)> {
    let wide = |words: &[String; 2]| {
        let widths = words.iter().map(|line| width_em(line));
        widths.fold(0.0, f64::max) * BOLD * font
    };
    let mut order: Vec<usize> = (0..spots.len()).collect();
    order.sort_by(|a, b| spots[*b].0.0.total_cmp(&spots[*a].0.0));
    let mut placed = vec![(0.0, 0.0); spots.len()];
    let mut last: Option<(f64, f64)> = None;
    for number in order {
        let ((x, y), words) = &spots[number];
        let right = inner.left + inner.width - wide(words);
        let left = (x + 0.5 * font).min(right).max(inner.left);
        let mut base = band(left).0.min(y - 0.6 * font) - 1.8 * font;
        if let Some((next_left, next_base)) = last
            && left + wide(words) + 0.5 * font > next_left
        {
            base = base.min(next_base - 2.8 * font);
        }
        if base < inner.top + font {
            let below = band(left + wide(words)).1.max(*y) + 1.4 * font;
            base = below.min(inner.top + inner.height - 2.0 * font);
        }
        placed[number] = (left, base);
        last = Some((left, base));
    }
    placed
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ensemble::statistics::wilson;

    fn falling(members: usize, own_kg: f64) -> Risk {
        let at = |stores_kg: f64| {
            let share = ((20.0 - stores_kg) / 10.0).clamp(0.0, 1.0);
            RiskAt {
                stores_kg,
                share,
                interval: wilson((share * members as f64).round() as usize, members),
                shared: None,
            }
        };
        let points: Vec<RiskAt> = (0..=40)
            .map(|step| at(9.0 + 0.3 * f64::from(step)))
            .collect();
        let sure = points.iter().find(|point| point.interval.1 < SMALL);
        Risk {
            own: at(own_kg),
            fed_kg: 0.0,
            small_kg: Some(19.5),
            surely_small_kg: sure.map(|point| point.stores_kg),
            members,
            starved: 0.2,
            chilled: 0.0,
            points,
        }
    }

    #[test]
    fn the_title_says_what_it_takes_for_a_small_risk() {
        assert_eq!(
            falling(1000, 15.0).finding(System::Metric),
            "50\u{a0}% of winters need more than 15.0\u{a0}kg of stores; for under 5\u{a0}% it takes 19.5\u{a0}kg"
        );
        assert!(
            falling(1000, 20.5)
                .finding(System::Metric)
                .ends_with("under 5\u{a0}% from 19.5\u{a0}kg on")
        );
    }

    #[test]
    fn few_members_cannot_tell_a_small_risk() {
        let few = falling(20, 20.5);
        assert_eq!(few.surely_small_kg, None);
        assert!(
            few.finding(System::Metric)
                .ends_with("these 20 are too few to tell what it takes for under 5\u{a0}%")
        );
        // More can, but not at stores just past the mark.
        assert!(
            falling(1000, 19.6)
                .finding(System::Metric)
                .ends_with("these 1000 cannot tell whether that is under 5\u{a0}%")
        );
        assert!(
            few.draw("risk", Look::default(), "")
                .contains("With 20 members the band never falls below")
        );
        assert!(
            falling(1, 15.0)
                .finding(System::Metric)
                .starts_with("One winter cannot tell")
        );
    }

    #[test]
    fn words_stand_clear_of_the_band_and_of_each_other() {
        let inner = Area {
            left: 0.0,
            top: 0.0,
            width: 400.0,
            height: 300.0,
        };
        let band = |x: f64| (0.6 * x, 0.8 * x + 40.0);
        let words = || ["stores 15.0 kg".to_owned(), "9 % need more".to_owned()];
        let spots = [((200.0, 140.0), words()), ((240.0, 170.0), words())];
        let placed = place(10.0, &spots, inner, band);
        assert!(placed[0].1 + 12.5 < placed[1].1 - 10.0, "{placed:?}");
        for (left, base) in placed {
            assert!(base + 12.5 < band(left).0, "{left} {base}");
        }
        // At the upper left there is no room above.
        let first = place(10.0, &[((10.0, 8.0), words())], inner, band)[0];
        assert!(first.1 - 10.0 > 0.8 * first.0 + 40.0, "{first:?}");
    }

    #[test]
    fn colonies_that_die_of_cold_make_honey_no_question() {
        let cold = Risk {
            chilled: 0.6,
            ..falling(100, 15.0)
        };
        assert!(
            cold.finding(System::Metric)
                .starts_with("Honey is not the question")
        );
    }

    #[test]
    fn the_mark_of_the_stores_says_the_share_and_its_interval() {
        let drawn = falling(1000, 15.0).draw("risk", Look::default(), "");
        assert!(
            drawn.contains("15.0\u{a0}kg: 50\u{a0}% of winters need more, 47\u{a0}% to 53\u{a0}%")
        );
        assert!(drawn.contains("stores 15.0\u{a0}kg") && drawn.contains("19.5\u{a0}kg on"));
    }
}
