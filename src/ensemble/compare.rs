//! Two ensembles of the same draws beside each other: pair by pair, in words of honey, risk, wet and money.

use super::damp::{SPREAD, Share};
use super::paired::{Difference, Verdict};
use super::replicates::Chance;
use super::rows::MemberRow;
use super::shared::{Figure, SharedRange};
use super::statistics::{quantile, sorted};
use crate::colony::End;
use serde::Serialize;

/// Honey by which a pair must differ before one of it is the better, kg: a gram (own choice; rounding lies far below).
const ALIKE_KG: f64 = 0.001;

/// Shares of winters for which stores are stated.
const NEED_SHARES: [f64; 3] = [0.5, 0.8, 0.95];

/// What a comparison keeps of a member.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fate {
    /// Number of the member.
    pub member: u32,
    /// Number of its winter.
    pub winter: usize,
    /// Bees at the start.
    pub bees: f64,
    /// Honey at the start, kg.
    pub stores_kg: f64,
    /// How it ended.
    pub end: End,
    /// Honey that the winter takes when it never lacks any, kg.
    pub need_kg: f64,
    /// The part of it that is used before the first egg, kg.
    pub before_brood_kg: f64,
    /// Bees at its end.
    pub bees_end: f64,
    /// Brood at its end, cells.
    pub brood_end: f64,
    /// Honey left at its end, kg.
    pub left_kg: f64,
    /// Hours with a wet or frosted lid to its end.
    pub wet_lid_h: f64,
}

impl From<&MemberRow> for Fate {
    fn from(row: &MemberRow) -> Self {
        Self {
            member: row.member,
            winter: row.winter,
            bees: row.bees,
            stores_kg: row.stores_kg,
            end: row.end,
            need_kg: row.need_kg,
            before_brood_kg: row.need_before_brood_kg,
            bees_end: row.bees_end,
            brood_end: row.brood.cells,
            left_kg: row.left_kg,
            wet_lid_h: row.wetness.wet_lid_h,
        }
    }
}

impl Fate {
    /// It starved: stores ran out, or none were in reach.
    #[must_use]
    pub fn starved(&self) -> bool {
        matches!(self.end, End::StoresRanOut | End::Stranded)
    }

    /// It did not live to first forage.
    #[must_use]
    pub fn lost(&self) -> bool {
        self.end != End::Alive
    }

    /// Honey that the keeper finds at first forage beside living bees, kg: what the dead leave is robbed, mouldy or of the sick, and counts as none.
    #[must_use]
    pub fn spring_kg(&self) -> f64 {
        if self.lost() { 0.0 } else { self.left_kg }
    }
}

/// One scenario of a comparison by itself.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Side {
    /// Honey that suffices for 50, 80 and 95 % of members, kg.
    pub need_kg: [f64; 3],
    /// Ranges of it over what is not known about bees, kg; none with too few sets.
    pub need_shared: [Option<SharedRange>; 3],
    /// Share that starved.
    pub starved: Share,
    /// Share that died of cold or too few bees.
    pub chilled: Share,
    /// Hours with a wet or frosted lid to each colony's end: twentieth, median, nineteen twentieths.
    pub wet_lid_h: [f64; 3],
    /// Honey left by those alive, kg: the same; none when none is.
    pub left_kg: Option<[f64; 3]>,
}

impl Side {
    /// Of one or more members.
    #[must_use]
    pub fn new(chance: &Chance, fates: &[Fate]) -> Self {
        let of_members_kg: Vec<(u32, f64)> = fates
            .iter()
            .map(|fate| (fate.member, fate.need_kg))
            .collect();
        let all = |value: fn(&Fate) -> f64| sorted(fates.iter().map(value).collect());
        let starved: Vec<(u32, bool)> = fates
            .iter()
            .map(|fate| (fate.member, fate.starved()))
            .collect();
        let lacking_kg: Vec<(u32, f64)> = fates
            .iter()
            .map(|fate| (fate.member, fate.need_kg - fate.stores_kg))
            .collect();
        let needs_kg = all(|fate| fate.need_kg);
        let wet_lid_h = all(|fate| fate.wet_lid_h);
        let alive = fates.iter().filter(|fate| !fate.lost());
        let left_kg = sorted(alive.map(|fate| fate.left_kg).collect());
        Self {
            need_kg: NEED_SHARES.map(|share| quantile(&needs_kg, share)),
            need_shared: NEED_SHARES.map(|share| {
                SharedRange::new(chance.crossing(), &of_members_kg, Figure::Quantile(share))
            }),
            starved: Share::by(chance, &starved, &lacking_kg),
            chilled: share(chance, fates, |fate| fate.end == End::Chilled),
            wet_lid_h: SPREAD.map(|share| quantile(&wet_lid_h, share)),
            left_kg: (!left_kg.is_empty()).then(|| SPREAD.map(|share| quantile(&left_kg, share))),
        }
    }
}

fn share(chance: &Chance, fates: &[Fate], is: impl Fn(&Fate) -> bool) -> Share {
    let are: Vec<(u32, bool)> = fates.iter().map(|fate| (fate.member, is(fate))).collect();
    Share::new(chance, &are)
}

/// Prices of a comparison, in any one currency.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Prices {
    /// Of a kilogram of honey, or of the feed that stands for it.
    pub honey_per_kg: f64,
    /// Of a colony that must be replaced; 0 counts none.
    pub colony: f64,
    /// What the other hive costs more than the base.
    pub extra: f64,
    /// Winters that a hive lasts.
    pub lasts_winters: f64,
}

/// What the other hive pays.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Money {
    /// What it was reckoned with.
    pub prices: Prices,
    /// Saved in a winter: honey not needed and colonies not lost, at their prices; below zero it costs more every winter.
    pub saved_per_winter: Difference,
    /// Its extra price over the honey that it saves as long as it lasts, per kg; none where it saves none.
    pub per_kg_saved: Option<f64>,
    /// Winters after which it has paid itself back; none where it does not.
    pub winters_to_pay_back: Option<f64>,
    /// 95 % interval of them, from the widest of the savings; the second is none where it may never.
    pub pay_back_interval: Option<(f64, Option<f64>)>,
}

/// One scenario against the first, pair by pair: each difference is its own less the first's.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Against {
    /// Mean honey needed, kg.
    pub need_kg: Difference,
    /// The part of it before the first egg, and from then on, kg: what a warmer hive saves before brood, more brood may take after.
    pub before_brood_kg: Difference,
    /// The rest of it.
    pub with_brood_kg: Difference,
    /// Mean bees at first forage, of pairs in which both live to it; none without such pairs.
    pub spring_bees: Option<Difference>,
    /// The same of brood, cells.
    pub spring_brood: Option<Difference>,
    /// Share of members that starve.
    pub starved: Difference,
    /// Share that does not live to first forage, whatever the cause.
    pub lost: Difference,
    /// Mean hours of wet or frosted lid, of pairs in which both live to first forage, as the dead have had fewer hours; none without such pairs.
    pub wet_lid_h: Option<Difference>,
    /// Mean honey left beside living bees at first forage, kg.
    pub spring_kg: Difference,
    /// Share of pairs in which it needs less honey.
    pub needs_less: Share,
    /// Share of pairs in which it needs more; the rest are alike to a gram.
    pub needs_more: Share,
    /// Winters in whose mean it needs less honey, and winters in all.
    pub winters_needing_less: (usize, usize),
    /// Pairs in which only the first starved, only this one did, both did.
    pub starved_pairs: [usize; 3],
    /// What it pays; none without prices.
    pub money: Option<Money>,
}

impl Against {
    /// Compares members of two ensembles, which must be the same draws, of this chance, in the same winters, in the same order; `None` where they are not, or there are
    /// none.
    #[must_use]
    pub fn new(
        chance: &Chance,
        base: &[Fate],
        other: &[Fate],
        prices: Option<Prices>,
    ) -> Option<Self> {
        let alike = |(a, b): (&Fate, &Fate)| (a.member, a.winter) == (b.member, b.winter);
        if base.len() != other.len() || !base.iter().zip(other).all(alike) {
            return None;
        }
        let pairs: Vec<(&Fate, &Fate)> = base.iter().zip(other).collect();
        let means = |value: &dyn Fn(&Fate) -> f64| {
            let values = pairs.iter().map(|(a, b)| (a.member, value(b) - value(a)));
            Difference::of_crossed_means(chance.crossing(), &values.collect::<Vec<_>>())
        };
        let risks = |is: fn(&Fate) -> bool| {
            let pairs = pairs.iter().map(|(a, b)| (a.member, is(a), is(b)));
            Difference::of_crossed_risks(chance.crossing(), &pairs.collect::<Vec<_>>())
        };
        let need_kg = means(&|fate| fate.need_kg)?;
        let of_living = |value: fn(&Fate) -> f64| {
            let both_live = pairs.iter().filter(|(a, b)| !a.lost() && !b.lost());
            let values = both_live.map(|(a, b)| (a.member, value(b) - value(a)));
            Difference::of_crossed_means(chance.crossing(), &values.collect::<Vec<_>>())
        };
        let count =
            |is: &dyn Fn(&Fate, &Fate) -> bool| pairs.iter().filter(|(a, b)| is(a, b)).count();
        let counted = |is: &dyn Fn(&Fate, &Fate) -> bool| {
            let are = pairs.iter().map(|(a, b)| (a.member, is(a, b)));
            Share::new(chance, &are.collect::<Vec<_>>())
        };
        let money = prices.and_then(|prices| {
            let cost = |fate: &Fate| {
                let colony = if fate.lost() { prices.colony } else { 0.0 };
                fate.need_kg * prices.honey_per_kg + colony
            };
            Some(Money::new(prices, need_kg, means(&|fate| -cost(fate))?))
        });
        Some(Self {
            need_kg,
            before_brood_kg: means(&|fate| fate.before_brood_kg)?,
            with_brood_kg: means(&|fate| fate.need_kg - fate.before_brood_kg)?,
            spring_bees: of_living(|fate| fate.bees_end),
            spring_brood: of_living(|fate| fate.brood_end),
            starved: risks(Fate::starved)?,
            lost: risks(Fate::lost)?,
            wet_lid_h: of_living(|fate| fate.wet_lid_h),
            spring_kg: means(&Fate::spring_kg)?,
            needs_less: counted(&|a, b| b.need_kg < a.need_kg - ALIKE_KG),
            needs_more: counted(&|a, b| b.need_kg > a.need_kg + ALIKE_KG),
            winters_needing_less: winters_needing_less(&pairs),
            starved_pairs: [
                count(&|a, b| a.starved() && !b.starved()),
                count(&|a, b| !a.starved() && b.starved()),
                count(&|a, b| a.starved() && b.starved()),
            ],
            money,
        })
    }
}

impl Money {
    fn new(prices: Prices, need_kg: Difference, saved_per_winter: Difference) -> Self {
        let saved_kg = -need_kg.mean;
        let pays = |saved: f64| (saved > 0.0 && prices.extra > 0.0).then(|| prices.extra / saved);
        let (least, most) = saved_per_winter.widest();
        Self {
            prices,
            saved_per_winter,
            per_kg_saved: (saved_kg > 0.0 && need_kg.verdict != Verdict::CannotTell)
                .then(|| prices.extra / (prices.lasts_winters * saved_kg)),
            winters_to_pay_back: pays(saved_per_winter.mean),
            pay_back_interval: pays(most).map(|soonest| (soonest, pays(least))),
        }
    }
}

/// Winters in whose mean the second of the pairs needs less honey, and all.
fn winters_needing_less(pairs: &[(&Fate, &Fate)]) -> (usize, usize) {
    let most = pairs.iter().map(|(a, _)| a.winter + 1).max().unwrap_or(0);
    let mut sums: Vec<Option<f64>> = vec![None; most];
    for (a, b) in pairs {
        *sums[a.winter].get_or_insert(0.0) += b.need_kg - a.need_kg;
    }
    let run = sums.iter().flatten();
    (run.clone().filter(|sum| **sum < 0.0).count(), run.count())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ensemble::{Crossing, Draws};

    fn chance() -> Chance {
        Chance::plain(Crossing::new(10, 100))
    }

    fn fate(member: u32, need_kg: f64, end: End) -> Fate {
        Fate {
            member,
            winter: member as usize % 10,
            bees: 15_000.0,
            stores_kg: 15.0,
            end,
            need_kg,
            before_brood_kg: 0.5 * need_kg,
            bees_end: 10_000.0,
            brood_end: 2_000.0,
            left_kg: 15.0 - need_kg,
            wet_lid_h: 100.0,
        }
    }

    #[test]
    fn every_pair_is_counted_once() {
        let base = [
            fate(0, 10.0, End::Alive),
            fate(1, 16.0, End::StoresRanOut),
            fate(2, 16.0, End::Stranded),
            fate(3, 12.0, End::Alive),
        ];
        let other = [
            fate(0, 9.0, End::Alive),
            fate(1, 12.0, End::Alive),
            fate(2, 17.0, End::StoresRanOut),
            fate(3, 12.0, End::Chilled),
        ];
        let against = Against::new(&chance(), &base, &other, None).expect("pairs");
        assert_eq!(against.starved_pairs, [1, 0, 1]);
        assert_eq!(
            (against.needs_less.share, against.needs_more.share),
            (0.5, 0.25)
        );
        assert_eq!(against.winters_needing_less, (2, 4));
        assert_eq!((against.starved.mean, against.lost.mean), (-0.25, 0.0));
        assert!((against.need_kg.mean + 1.0).abs() < 1e-12);
        assert_eq!(against.wet_lid_h.expect("one pair").pairs, 1);
        // 6 + 3 of the living against 5 + 3: what the dead leave is none.
        assert!((against.spring_kg.mean - 0.25).abs() < 1e-12);
        assert!(against.money.is_none());
    }

    #[test]
    fn other_draws_are_no_pairs() {
        let base = [fate(0, 10.0, End::Alive)];
        assert!(Against::new(&chance(), &base, &[fate(1, 9.0, End::Alive)], None).is_none());
        assert!(Against::new(&chance(), &base, &[], None).is_none());
    }

    #[test]
    fn money_counts_honey_and_colonies_and_says_when_it_may_never_come_back() {
        let prices = Prices {
            honey_per_kg: 10.0,
            colony: 100.0,
            extra: 60.0,
            lasts_winters: 10.0,
        };
        let draws = Draws::new(3);
        let base: Vec<Fate> = (0..100)
            .map(|i| fate(i, 12.0, if i < 10 { End::Stranded } else { End::Alive }))
            .collect();
        let other: Vec<Fate> = (0..100)
            .map(|i| {
                fate(
                    i,
                    10.0 + 0.1 * draws.uniform(u64::from(i), "need"),
                    End::Alive,
                )
            })
            .collect();
        let money = Against::new(&chance(), &base, &other, Some(prices))
            .and_then(|against| against.money)
            .expect("money");
        // 1.95 kg at 10 and a tenth of a colony at 100.
        assert!((money.saved_per_winter.mean - 29.5).abs() < 0.1);
        let winters = money.winters_to_pay_back.expect("it pays");
        assert!((winters - 60.0 / 29.5).abs() < 0.02);
        assert!((money.per_kg_saved.expect("it saves") - 60.0 / 19.5).abs() < 0.02);
        let (soonest, latest) = money.pay_back_interval.expect("it pays");
        assert!(soonest < winters && latest.expect("it pays") > winters);
        let back = Against::new(&chance(), &other, &base, Some(prices))
            .and_then(|against| against.money)
            .expect("money");
        assert_eq!((back.winters_to_pay_back, back.per_kg_saved), (None, None));
    }

    /// Winters and draws of a made-up response: with 10 winters the interval of winters must hold the mean of all winters, and that of the draws the
    /// mean of these ones.
    #[test]
    fn intervals_of_a_made_up_response_hold_the_truth_as_often_as_said() {
        let (repeats, members) = (1_000_u64, 160_u32);
        let mut held = [0_u32; 3];
        for repeat in 0..repeats {
            let draws = Draws::new(repeat);
            let normal = |i, name: &str| crate::normal::quantile(draws.uniform(i, name));
            let winter = |w: u64| -1.0 + 0.8 * normal(w, "winter");
            let pair = |i: u32| {
                (
                    i as usize % 10,
                    winter(u64::from(i % 10)) + libm::exp(0.4 * normal(u64::from(i), "a"))
                        - 1.083_287,
                )
            };
            let values: Vec<_> = (0..members).map(pair).collect();
            let difference = Difference::of_means(&values).expect("pairs");
            let here = (0..10).map(winter).sum::<f64>() / 10.0;
            let holds =
                |(low, high): (f64, f64), truth: f64| u32::from((low..=high).contains(&truth));
            held[0] += holds(difference.draws, here);
            held[1] += holds(difference.winters.expect("winters"), -1.0);
            // Risks: 18 and 13 in a hundred, mostly in the same colonies.
            let risks: Vec<_> = (0..members)
                .map(|i| {
                    let u = draws.uniform(u64::from(i), "risk");
                    (
                        i as usize % 10,
                        u < 0.18,
                        (0.08..0.18).contains(&u) || u > 0.97,
                    )
                })
                .collect();
            let risk = Difference::of_risks(&risks).expect("pairs");
            held[2] += holds(risk.draws, -0.05);
        }
        println!(
            "of {repeats}: means by draws {}, by winters {}, risks {}",
            held[0], held[1], held[2]
        );
        // 95 % of 1000, give or take three standard deviations of 7; risks are whole numbers.
        for count in held {
            assert!((929..=971).contains(&count), "{held:?}");
        }
    }
}
