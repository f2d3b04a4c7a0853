//! Heat by calendar month: what each month of a winter made, stored and lost.

use super::ledger::{Ledger, LossPath};

/// Hours of a day.
const DAY_H: f64 = 24.0;

/// The heat of one month.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct MonthHeat {
    /// Hours of it that the colony lived, to the end of its last day.
    pub lived_h: f64,
    /// Made by the bees, J.
    pub made_j: f64,
    /// Stored, J; negative when the hive has cooled.
    pub stored_j: f64,
    /// Lost, in the order of [`LossPath::ALL`], J.
    pub paths_j: [f64; LossPath::ALL.len()],
}

/// The heat of each calendar month, January first.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct MonthlyHeat([MonthHeat; 12]);

impl MonthlyHeat {
    /// The heat of a month, 1 to 12; none of any other.
    #[must_use]
    pub fn of(&self, month: i8) -> Option<&MonthHeat> {
        let number = usize::try_from(month).ok()?.checked_sub(1)?;
        self.0.get(number)
    }

    /// Adds the heat of another colony, month by month.
    pub(crate) fn add(&mut self, other: &Self) {
        for (heat, other) in self.0.iter_mut().zip(&other.0) {
            heat.lived_h += other.lived_h;
            heat.made_j += other.made_j;
            heat.stored_j += other.stored_j;
            for (sum_j, lost_j) in heat.paths_j.iter_mut().zip(other.paths_j) {
                *sum_j += lost_j;
            }
        }
    }

    /// Books a day by the ledger at its two midnights.
    pub(super) fn book(&mut self, month: i8, before: &Ledger, after: &Ledger) {
        let number = usize::try_from(month)
            .ok()
            .and_then(|month| month.checked_sub(1));
        let Some(heat) = number.and_then(|number| self.0.get_mut(number)) else {
            return;
        };
        heat.lived_h += DAY_H;
        heat.made_j += after.made_j - before.made_j;
        heat.stored_j += after.stored_j - before.stored_j;
        for (path, lost_j) in heat.paths_j.iter_mut().enumerate() {
            *lost_j += after.paths_j[path] - before.paths_j[path];
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_goes_to_its_month_alone() {
        let before = Ledger::default();
        let mut after = Ledger {
            made_j: 10.0,
            stored_j: -2.0,
            ..Ledger::default()
        };
        after.lose(LossPath::Lid, 12.0);
        let mut heat = MonthlyHeat::default();
        heat.book(12, &before, &after);
        let december = MonthHeat {
            lived_h: 24.0,
            made_j: 10.0,
            stored_j: -2.0,
            paths_j: after.paths_j,
        };
        assert_eq!(heat.of(12), Some(&december));
        assert_eq!(heat.of(1), Some(&MonthHeat::default()));
        assert_eq!((heat.of(0), heat.of(13)), (None, None));
    }
}
