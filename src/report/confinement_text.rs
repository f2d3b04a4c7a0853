//! Bees kept in, in words for a terminal.

use super::Block;
use super::table::percent;
use crate::ensemble::Confinement;

/// Share of members from which dysentery is said to be likely.
const LIKELY: f64 = 0.5;

/// How long bees are confined and what they hold then; a warning where that is likely to be too much.
pub(super) fn section(confinement: &Confinement) -> Vec<Block> {
    let c = confinement;
    let [low_d, median_d, high_d] = c.longest_days;
    let [low, median, high] = c.gut_share.map(percent);
    let (from, to) = c.past_limit.interval;
    let mut said = vec![Block::Line(format!(
        "The longest time without a cleansing flight is {median_d:.0} days (median; {low_d:.0} to {high_d:.0}). Bees then hold \
         {median} of their mass ({low} to {high}),\n\
         more than they can in {} of winters ({} to {}).",
        percent(c.past_limit.share),
        percent(from),
        percent(to),
    ))];
    if c.past_limit.share >= LIKELY {
        said.push(Block::Line(
            "Warning: dysentery is likely; leave only honey that is light in minerals and pollen, or sugar, and let bees out to fly in the sun.".to_owned(),
        ));
    }
    said
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ensemble::Share;
    use crate::report::Document;

    fn with(share: f64) -> String {
        let blocks = section(&Confinement {
            longest_days: [90.0, 120.0, 130.0],
            gut_share: [0.1, 0.2, 0.4],
            past_limit: Share {
                share,
                interval: (0.9 * share, 1.1 * share),
                shared: None,
            },
        });
        Document::new(vec![blocks]).terminal()
    }

    #[test]
    fn a_warning_stands_where_most_members_hold_too_much_and_only_there() {
        assert!(!with(0.2).contains("Warning"));
        assert!(with(0.6).contains("Warning: dysentery is likely"));
        assert!(with(0.2).contains("120 days") && with(0.2).contains("20 % of their mass"));
    }
}
