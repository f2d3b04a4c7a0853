//! What the members of one value of a setting say, and how they differ from those of the first.

use super::damp::Share;
use super::paired::Difference;
use super::replicates::Chance;
use super::rows::MemberRow;
use super::shared::{Figure, SharedRange};
use super::statistics::{mean, quantile, sorted};
use serde::Serialize;

/// Shares of winters for which stores are stated.
const NEED_SHARES: [f64; 3] = [0.5, 0.8, 0.95];

/// What is kept of a member.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Kept {
    /// Number of the member.
    pub member: u32,
    /// Honey needed, kg.
    pub need_kg: f64,
    /// Honey at the start, kg.
    pub stores_kg: f64,
    /// Whether it starved.
    pub starved: bool,
    /// Hours with a wet or frosted lid.
    pub wet_lid_h: f64,
}

impl From<&MemberRow> for Kept {
    fn from(row: &MemberRow) -> Self {
        Self {
            member: row.member,
            need_kg: row.need_kg,
            stores_kg: row.stores_kg,
            starved: row.starved(),
            wet_lid_h: row.wetness.wet_lid_h,
        }
    }
}

/// One value's answer.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Point {
    /// Honey needed in 50, 80 and 95 % of winters, kg.
    pub need_kg: [f64; 3],
    /// Intervals of it by the chance of the draws, kg.
    pub need_interval_kg: [(f64, f64); 3],
    /// Ranges of it over what is not known about bees, kg; none with too few sets.
    pub need_shared: [Option<SharedRange>; 3],
    /// Mean honey needed, kg.
    pub mean_need_kg: f64,
    /// Share of members that starved.
    pub starved: f64,
    /// Interval of it by the chance of the draws.
    pub starved_interval: (f64, f64),
    /// Range of it over what is not known about bees; none with too few sets.
    pub starved_shared: Option<SharedRange>,
    /// Median hours with a wet or frosted lid.
    pub wet_lid_h: f64,
    /// Against the first value, member by member; none for the first itself and where the winters are others.
    pub difference: Option<FromFirst>,
}

/// This value less the first, over the same colonies in the same winters.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct FromFirst {
    /// Mean honey needed, kg.
    pub need_kg: Difference,
    /// Share that starved.
    pub starved: Difference,
}

impl Point {
    /// Of one or more members, and of the first value's, when those are the same colonies in the same winters.
    ///
    /// Differences are those of a comparison ([`Difference`]).
    #[must_use]
    pub fn new(chance: &Chance, members: &[Kept], first: Option<&[Kept]>) -> Self {
        let of_members_kg: Vec<(u32, f64)> = members
            .iter()
            .map(|kept| (kept.member, kept.need_kg))
            .collect();
        let needs_kg = sorted(members.iter().map(|kept| kept.need_kg).collect());
        let wet_h = sorted(members.iter().map(|kept| kept.wet_lid_h).collect());
        let starved: Vec<(u32, bool)> = members
            .iter()
            .map(|kept| (kept.member, kept.starved))
            .collect();
        let lacking_kg: Vec<(u32, f64)> = members
            .iter()
            .map(|kept| (kept.member, kept.need_kg - kept.stores_kg))
            .collect();
        let starved = Share::by(chance, &starved, &lacking_kg);
        Self {
            need_kg: NEED_SHARES.map(|share| quantile(&needs_kg, share)),
            need_interval_kg: NEED_SHARES
                .map(|share| chance.of_quantile(&of_members_kg, &needs_kg, share)),
            need_shared: NEED_SHARES.map(|share| {
                SharedRange::new(chance.crossing(), &of_members_kg, Figure::Quantile(share))
            }),
            mean_need_kg: mean(&needs_kg),
            starved: starved.share,
            starved_interval: starved.interval,
            starved_shared: starved.shared,
            wet_lid_h: quantile(&wet_h, 0.5),
            difference: first.and_then(|first| FromFirst::new(chance, members, first)),
        }
    }
}

impl FromFirst {
    /// Of members, pair by pair; none without a pair.
    fn new(chance: &Chance, members: &[Kept], first: &[Kept]) -> Option<Self> {
        let crossing = chance.crossing();
        let pairs = || members.iter().zip(first);
        let needs_kg: Vec<_> = pairs()
            .map(|(own, first)| (first.member, own.need_kg - first.need_kg))
            .collect();
        let starved: Vec<_> = pairs()
            .map(|(own, first)| (first.member, first.starved, own.starved))
            .collect();
        Some(Self {
            need_kg: Difference::of_crossed_means(crossing, &needs_kg)?,
            starved: Difference::of_crossed_risks(crossing, &starved)?,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ensemble::{Crossing, Draws, Sampling, Verdict};

    fn chance() -> Chance {
        Chance::plain(Crossing::new(10, 20))
    }

    fn colonies(seed: u64, count: u64, gain_kg: f64) -> Vec<Kept> {
        let draws = Draws::crossed(seed, Crossing::new(10, 20), Sampling::Plain);
        let colony = |member| {
            let need_kg = 10.0 + 6.0 * draws.uniform(member, "bees")
                - gain_kg * draws.uniform(member, "resting_w_kg");
            Kept {
                member: member as u32,
                need_kg,
                stores_kg: 14.0,
                starved: need_kg > 14.0,
                wet_lid_h: need_kg,
            }
        };
        (0..count).map(colony).collect()
    }

    #[test]
    fn a_value_like_the_first_differs_by_nothing_and_its_risk_may_still() {
        let members = colonies(1, 200, 0.0);
        let point = Point::new(&chance(), &members, Some(&members));
        let difference = point.difference.unwrap();
        assert_eq!(difference.need_kg.draws, (0.0, 0.0));
        assert_eq!(difference.need_kg.verdict, Verdict::Same);
        // Tango's limits without a discordant pair are z^2 / (n + z^2).
        let (low, high) = difference.starved.draws;
        assert!(low < 0.0 && high > 0.0 && high - low < 0.04, "{low} {high}");
        assert_eq!(difference.starved.verdict, Verdict::CannotTell);
        assert_eq!(Point::new(&chance(), &members, None).difference, None);
    }

    #[test]
    fn intervals_of_a_difference_hold_it_about_as_often_as_said() {
        // Need: 2 v less in the mean, 1 kg, v of twenty sets. Risk: P(6 u > 4) = 1/3, P(6 u - 2 v > 4) = 1/3 - 1/6.
        let (mut need, mut risk) = (0, 0);
        for seed in 0..400 {
            let (first, gained) = (colonies(seed, 200, 0.0), colonies(seed, 200, 2.0));
            let difference = Point::new(&chance(), &gained, Some(&first))
                .difference
                .unwrap();
            let holds = |(low, high): (f64, f64), value: f64| low <= value && value <= high;
            need += u32::from(holds(difference.need_kg.draws, -1.0));
            risk += u32::from(holds(difference.starved.draws, -1.0 / 6.0));
        }
        // 380 of 400, three standard deviations of 4.4.
        assert!(
            (366..=394).contains(&need) && (366..=396).contains(&risk),
            "{need} {risk}"
        );
    }

    #[test]
    fn pairs_tell_more_than_the_same_number_apart() {
        let (first, gained) = (colonies(3, 400, 0.0), colonies(3, 400, 0.5));
        let paired = Point::new(&chance(), &gained, Some(&first))
            .difference
            .unwrap();
        let apart = Point::new(&chance(), &colonies(4, 400, 0.5), Some(&first))
            .difference
            .unwrap();
        let width = |d: FromFirst| d.need_kg.draws.1 - d.need_kg.draws.0;
        assert!(width(paired) < 0.2 * width(apart));
    }
}
