//! Share of winters that need more honey than there is, against the stores.

use super::Look;
use super::grammar::{Across, Axis, Describe, Figure, Label, Mark, Ticks, Unit, Xy};
use super::words::{capital, counted, mass, no_question, percent, starved_in_run};
use crate::units::{Dimension, System};
use serde::{Deserialize, Serialize};

/// The share below which stores are marked as those of small risk (own choice: a winter in twenty).
pub const SMALL: f64 = 0.05;
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

    /// Bands and curve.
    fn curve(&self, look: Look) -> Vec<Mark<'_>> {
        let color = look.theme.series(0);
        let quiet = look.theme.ink().quiet;
        let band = |ends: &dyn Fn(&RiskAt) -> (f64, f64)| {
            let points = self.points.iter();
            Mark::band(
                points
                    .map(|point| (point.stores_kg, ends(point).0, ends(point).1))
                    .collect(),
            )
        };
        let shared = self.has_shared().then(|| {
            let band = band(&|point| point.shared.unwrap_or_default());
            band.fill(quiet, 0.13)
                .pale(quiet, 1.0, 0.7)
                .dash("4 4")
                .says("bees not known, 90 %")
        });
        let sampling = band(&|point| point.interval)
            .fill(color, 0.22)
            .says("95 % interval");
        let points = self
            .points
            .iter()
            .map(|point| (point.stores_kg, point.share))
            .collect();
        shared
            .into_iter()
            .chain([sampling, Mark::line(points).stroke(color, 2.5)])
            .collect()
    }
}

impl Describe for Risk {
    fn finding(&self, units: System) -> String {
        if let Some(words) = no_question(self.chilled) {
            return words;
        }
        if self.members == 1 {
            return "One winter cannot tell how the risk falls with stores".to_owned();
        }
        let own = capital(format!(
            "{} of winters need more than {} of {}",
            percent(self.own.share),
            mass(self.own.stores_kg, units),
            self.what()
        ));
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

    fn figure(&self, look: Look) -> Figure<'_> {
        let (units, ink) = (look.units, look.theme.ink());
        let own = (self.own.stores_kg, self.own.share);
        let [share, low, high] =
            [self.own.share, self.own.interval.0, self.own.interval.1].map(percent);
        let says = format!(
            "{}: {share} of winters need more, {low} to {high}",
            mass(own.0, units)
        );
        let lines = [
            format!("{} {}", self.what(), mass(own.0, units)),
            format!("{share} need more"),
        ];
        let mut marks = if self.points.is_empty() {
            Vec::new()
        } else {
            self.curve(look)
        };
        marks.push(
            Mark::rule(SMALL)
                .stroke(ink.axis, 1.2)
                .dash("5 4")
                .says("5 %"),
        );
        marks.push(Mark::line(vec![own, (own.0, f64::NEG_INFINITY)]).stroke(ink.text, 1.5));
        let mut labels = vec![Label::callout(own, lines)];
        if let Some(kg) = self.small_kg {
            let [small, from] = [percent(SMALL), mass(kg, units)];
            let says = format!("under {small} from {from} on");
            marks.push(Mark::symbol((kg, SMALL), look.style(3, 0.5)).says(says));
            labels.push(Label::callout(
                (kg, SMALL),
                [format!("under {small} from"), format!("{from} on")],
            ));
        }
        marks.push(Mark::symbol(own, look.style(1, 0.5)).says(says));
        // From the right, since the curve falls: what stands left of another goes above it.
        labels.sort_by(|a, b| b.at.0.total_cmp(&a.at.0));
        marks.push(Mark::labels(labels));
        let across = if self.fed_kg > 0.0 {
            "Stores with feed in autumn"
        } else {
            "Stores in autumn"
        };
        let stores = self.points.iter().map(|point| point.stores_kg);
        let across = Axis::new(across, look.unit(Dimension::Mass), stores, 9);
        let up = Axis {
            label: "Winters that need more".to_owned(),
            unit: Unit::Percent,
            ticks: Ticks::over(0.0, 100.0, 6),
            suffix: "\u{a0}%",
        };
        Figure {
            shown: format!("Share of {} that need more honey than there is in autumn.", counted(self.members, "winter")),
            described: "A curve that falls from the upper left to the lower right, with a band round it and a mark at the scenario's stores.".to_owned(),
            legend: Vec::new(),
            notes: self.notes(units),
            plot: Box::new(Xy::new(look, Across::Numbers(across), up, marks)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::metric;
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
        assert!(metric(&falling(1000, 20.5)).ends_with("under 5\u{a0}% from 19.5\u{a0}kg on"));
    }

    #[test]
    fn few_members_cannot_tell_a_small_risk() {
        let few = falling(20, 20.5);
        assert_eq!(few.surely_small_kg, None);
        assert!(
            metric(&few).ends_with("these 20 are too few to tell what it takes for under 5\u{a0}%")
        );
        // More can, but not at stores just past the mark.
        assert!(
            metric(&falling(1000, 19.6))
                .ends_with("these 1000 cannot tell whether that is under 5\u{a0}%")
        );
        assert!(
            few.draw("risk", Look::default(), "")
                .contains("With 20 members the band never falls below")
        );
        assert!(metric(&falling(1, 15.0)).starts_with("One winter cannot tell"));
    }

    #[test]
    fn colonies_that_die_of_cold_make_honey_no_question() {
        let cold = Risk {
            chilled: 0.6,
            ..falling(100, 15.0)
        };
        assert!(metric(&cold).starts_with("Honey is not the question"));
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
