//! The answer in words and figures.

use crate::ensemble::{Against, Difference, SharedRange, Summary, Verdict};
use crate::report::shared_text::{GIVEN, behind, effect_mass, of_difference};
use crate::units::{Dimension, Round, System, show};
use maud::{Markup, html};

/// Shares of winters whose need is shown.
const SHARES: [f64; 3] = [0.5, 0.8, 0.95];
/// Hours of a day.
const DAY_H: f64 = 24.0;

/// How far an answer is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Stand {
    /// Colonies of each hive that have run.
    pub members: u32,
    /// Colonies of each hive in all.
    pub total: u32,
    /// Winters.
    pub winters: usize,
}

impl Stand {
    pub fn complete(self) -> bool {
        self.members >= self.total
    }
}

fn mass(kg: f64, units: System) -> String {
    together(&show(kg, Dimension::Mass, units, Round::Decimals(1)))
}

/// A number that is not parted from its unit at the end of a line.
fn together(quantity: &str) -> String {
    quantity.replace(' ', "\u{a0}")
}

/// An effect of a hive in mass, to a tenth.
fn effect(kg: f64, units: System) -> String {
    together(&effect_mass(kg, units))
}

fn percent(share: f64) -> String {
    format!("{:.0}\u{a0}%", 100.0 * share)
}

fn points(share: f64) -> String {
    format!("{:.0}\u{a0}points", 100.0 * share)
}

fn days(hours: f64) -> String {
    format!("{:.0}\u{a0}days", hours / DAY_H)
}

fn signed(value: f64, words: &dyn Fn(f64) -> String) -> String {
    // By what is read: a difference that rounds to nothing has no sign.
    let size = words(value.abs());
    let nothing = !size.contains(|c: char| ('1'..='9').contains(&c));
    match value {
        _ if nothing => size,
        value if value < 0.0 => format!("\u{2212}{size}"),
        _ => format!("+{size}"),
    }
}

/// What can be said of the changed hive beside the other: of honey first, then of risk where that can be told.
pub(super) fn verdict(against: &Against, stand: Stand, units: System) -> String {
    let [only_one, only_other, _] = against.starved_pairs;
    if against.need_kg.verdict == Verdict::Same && only_one + only_other == 0 {
        return "Both hives are alike: no pair of colonies differs. Move a control of the changed hive.".to_owned();
    }
    let kg = |kg: f64| effect(kg, units);
    let honey = said(
        &against.need_kg,
        stand,
        &kg,
        ["less honey", "more honey"],
        "The changed hive needs",
    );
    let risk = match against.starved.verdict {
        Verdict::CannotTell | Verdict::Same => {
            format!("It is not clear{} whether fewer starve in it.", yet(stand))
        }
        _ => said(
            &against.starved,
            stand,
            &|share| format!("{:.0}", 100.0 * share),
            ["fewer starve in it", "more starve in it"],
            "Of 100 colonies",
        ),
    };
    let words = ["less honey", "more honey"];
    let shared = of_difference(&against.need_kg, &kg, words);
    let shared = shared.map_or_else(String::new, |words| format!(" {}.", capital(&words)));
    format!("{honey}{shared} {risk}")
}

fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

fn yet(stand: Stand) -> &'static str {
    if stand.complete() { "" } else { " yet" }
}

fn said(
    difference: &Difference,
    stand: Stand,
    size: &dyn Fn(f64) -> String,
    [less, more]: [&str; 2],
    begin: &str,
) -> String {
    let between = |(low, high): (f64, f64)| {
        let (near, far) = if low.abs() < high.abs() {
            (low, high)
        } else {
            (high, low)
        };
        format!("{} to {}", size(near.abs()), size(far.abs()))
    };
    let mean = size(difference.mean.abs());
    let everywhere = |word| {
        format!(
            "{begin} {mean} {word} ({}, sampling), in these winters and in others like them.",
            between(difference.widest())
        )
    };
    let here = |word| {
        let others = if stand.winters == 1 {
            "one winter cannot"
        } else {
            "they cannot"
        };
        format!(
            "{begin} {mean} {word} ({}, sampling) in these winters; {others} tell of others{}.",
            between(difference.draws),
            yet(stand)
        )
    };
    match difference.verdict {
        Verdict::Same => format!("{begin} the same."),
        Verdict::Less => everywhere(less),
        Verdict::More => everywhere(more),
        Verdict::LessHere => here(less),
        Verdict::MoreHere => here(more),
        Verdict::CannotTell => {
            let (low, high) = difference.widest();
            let who = if stand.complete() {
                "No clear effect"
            } else {
                "No clear effect yet"
            };
            if low.is_finite() && high.is_finite() {
                format!(
                    "{who}: anything from {} {less} to {} {more} by sampling.",
                    size(low.min(0.0).abs()),
                    size(high.max(0.0))
                )
            } else {
                format!("{who}.")
            }
        }
    }
}

/// The figures of both hives beside each other.
pub(super) fn figures(
    summaries: [&Summary; 2],
    against: &Against,
    stand: Stand,
    units: System,
) -> Markup {
    let kg = |kg: f64| mass(kg, units);
    let needs =
        |share: f64| summaries.map(|summary| summary.need(share).map_or(0.0, |need| need.kg));
    let need = |share: f64, words: String| {
        let [one, other] = needs(share);
        let less = signed(other - one, &kg);
        let shared = summaries.map(|summary| summary.need(share).and_then(|need| need.shared));
        let words_of =
            |of: f64, shared: Option<SharedRange>| mass(of, units) + &behind(shared.as_ref(), &kg);
        let cells = [words_of(one, shared[0]), words_of(other, shared[1])];
        (words, cells, less)
    };
    let means = summaries.map(|summary| mass(summary.mean_need_kg, units));
    let rows: [(String, [String; 2], String); 6] = [
        (
            "Honey needed, mean".to_owned(),
            means,
            difference(&against.need_kg, &kg),
        ),
        need(SHARES[0], "Half of winters need at most".to_owned()),
        need(SHARES[1], "80 % of winters need at most".to_owned()),
        need(SHARES[2], "95 % of winters need at most".to_owned()),
        (
            "Colonies that starve".to_owned(),
            summaries.map(|summary| {
                percent(summary.starved) + &behind(summary.starved_shared.as_ref(), &percent)
            }),
            difference(&against.starved, &points),
        ),
        (
            "Time with a wet or frosted lid, median".to_owned(),
            summaries.map(|summary| {
                let [low, median, high] = summary.damp.wet_lid_h;
                format!(
                    "{} ({:.0} to {:.0})",
                    days(median),
                    low / DAY_H,
                    high / DAY_H
                )
            }),
            against
                .wet_lid_h
                .as_ref()
                .map_or_else(|| "no pair lives".to_owned(), |wet| difference(wet, &days)),
        ),
    ];
    html! {
        table {
            caption {
                (stand.members) " colonies of each hive, the same in both, dealt to " (winters(stand.winters)) "."
                @if summaries[0].starved_shared.is_some() { " In brackets: 90 % range, " (GIVEN) "." }
            }
            thead { tr {
                th scope="col" { span.unseen { "What" } }
                th scope="col" { "As it is" }
                th scope="col" { "Changed" }
                th scope="col" { "Difference" }
            } }
            tbody {
                @for (what, [one, other], less) in &rows {
                    tr { th scope="row" { (what) } td { (one) } td { (other) } td { (less) } }
                }
            }
        }
    }
}

fn winters(count: usize) -> String {
    if count == 1 {
        "one winter".to_owned()
    } else {
        format!("{count} winters")
    }
}

/// A mean difference with its range over what is not known about bees, or its widest interval where that is not told yet.
fn difference(difference: &Difference, words: &dyn Fn(f64) -> String) -> String {
    let mean = signed(difference.mean, words);
    if let Some(shared) = difference.shared {
        let (low, high) = shared.range();
        return format!("{mean} ({} to {})", signed(low, words), signed(high, words));
    }
    let (low, high) = difference.widest();
    if low.is_finite() && high.is_finite() {
        format!("{mean} ({} to {})", signed(low, words), signed(high, words))
    } else {
        mean
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colony::End;
    use crate::ensemble::{Chance, Crossing, Fate};

    const WHOLE: Stand = Stand {
        members: 40,
        total: 40,
        winters: 10,
    };

    fn fates(need_kg: impl Fn(u32) -> f64, starve: u32) -> Vec<Fate> {
        let fate = |member| Fate {
            member,
            winter: member as usize % 10,
            bees: 1e4,
            stores_kg: 15.0,
            end: if member < starve {
                End::StoresRanOut
            } else {
                End::Alive
            },
            need_kg: need_kg(member),
            before_brood_kg: 5.0,
            bees_end: 10_000.0,
            brood_end: 2_000.0,
            left_kg: 2.0,
            wet_lid_h: 100.0,
        };
        (0..40).map(fate).collect()
    }

    fn said_of(base: &[Fate], other: &[Fate], stand: Stand) -> String {
        let chance = Chance::plain(Crossing::new(10, 100));
        let against = Against::new(&chance, base, other, None).expect("pairs");
        verdict(&against, stand, System::Metric).replace('\u{a0}', " ")
    }

    #[test]
    fn hives_that_are_alike_are_said_to_be() {
        let base = fates(|_| 12.0, 4);
        assert!(said_of(&base, &base, WHOLE).starts_with("Both hives are alike"));
    }

    #[test]
    fn a_clear_difference_is_said_with_its_interval() {
        let base = fates(|member| 12.0 + f64::from(member % 7), 20);
        let other = fates(
            |member| 11.0 + f64::from(member % 7) + 0.01 * f64::from(member % 3),
            0,
        );
        let said = said_of(&base, &other, WHOLE);
        assert!(
            said.contains(
                "needs 1.0 kg less honey (1.0 kg to 1.0 kg, sampling), in these winters and in others"
            ),
            "{said}"
        );
        assert!(
            said.contains("Of 100 colonies 50 fewer starve in it"),
            "{said}"
        );
    }

    #[test]
    fn what_cannot_be_told_is_said_not_to_be_and_yet_while_it_runs() {
        let base = fates(|_| 12.0, 3);
        // Two sets of five need more, three need less.
        let set = |member: u32| (member / 10 + member % 10) % 5;
        let other = fates(|member| if set(member) < 2 { 13.0 } else { 11.4 }, 2);
        let said = said_of(&base, &other, WHOLE);
        assert!(said.starts_with("No clear effect: anything from"), "{said}");
        assert!(
            said.ends_with("It is not clear whether fewer starve in it."),
            "{said}"
        );
        let early = Stand {
            total: 300,
            ..WHOLE
        };
        let said = said_of(&base, &other, early);
        assert!(
            said.starts_with("No clear effect yet: anything")
                && said.ends_with("It is not clear yet whether fewer starve in it."),
            "{said}"
        );
    }

    #[test]
    fn a_difference_that_rounds_to_nothing_has_no_sign() {
        let kg = |kg: f64| mass(kg, System::Metric);
        assert_eq!(signed(-0.001, &kg), "0.0\u{a0}kg");
        assert_eq!(signed(-0.3, &kg), "\u{2212}0.3\u{a0}kg");
        assert_eq!(signed(0.3, &kg), "+0.3\u{a0}kg");
    }
}
