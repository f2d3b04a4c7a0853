//! Feed in words.

use crate::colony::{Feed, FeedKind};
use crate::scenario::MonthDay;
use crate::units::{Dimension, Round, System, show};

/// "2 kg of fondant on 1 February".
pub(super) fn feed_words(feed: &Feed, units: System) -> String {
    let what = match feed.kind {
        FeedKind::Fondant => "fondant",
        FeedKind::Sugar => "dry sugar",
        FeedKind::Syrup { .. } => "syrup",
    };
    let (month, day) = feed.on;
    let on = MonthDay { month, day };
    let kg = show(feed.kg, Dimension::Mass, units, Round::Decimals(1));
    format!("{kg} of {what} on {on}")
}
