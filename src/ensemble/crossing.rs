//! How members are crossed: which of them share the unknowns of all colonies, which the colony, which the winter.
//!
//! A *set* holds one value of everything that all colonies share ([`Scope::Shared`](crate::parameter::Scope::Shared)); a *colony* holds everything else. Sets that are
//! run with the same colonies in the same winters differ by what is not known about bees alone, so few colonies tell how far that moves an answer.

use serde::Serialize;

/// Sets that have their colonies in common. Were they all run with the same ones, a thousand members would hold ten colonies, and the risk of starving would hang
/// on those; were none, the chance of the colonies would blur what sets differ by. Of five sets in common, four fifths of the comparisons are kept, and a thousand
/// members hold two hundred colonies (own choice).
pub const SETS_TOGETHER: u32 = 5;
/// Fewest colonies that a set gets at once (own choice).
const FEWEST_COLONIES: u32 = 10;
/// Most winters that every set is to see before another comes: with more, a thousand members would hold too few sets (own choice).
const MOST_SEEN: u32 = 40;

/// The order in which members go through sets, colonies and winters.
///
/// A member's place depends on its number, on how many winters there are and how many sets, not on how many members are run: an ensemble grows by members
/// that come later. Members of a *group* are [`SETS_TOGETHER`] sets crossed with a block of colonies; groups follow each other until all sets are complete, and then
/// the sets come again with other colonies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Crossing {
    winters: u32,
    sets: u32,
    block: u32,
}

/// Where a member stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Cell {
    /// Number of its set of shared unknowns.
    pub set: u32,
    /// Number of its colony.
    pub colony: u32,
    /// Number of its winter.
    pub winter: usize,
}

impl Crossing {
    /// Of so many winters, one or more, and so many sets, which are rounded up to a multiple of [`SETS_TOGETHER`].
    ///
    /// ```
    /// use overwinter::ensemble::Crossing;
    /// let crossing = Crossing::new(10, 100);
    /// // Members 7 and 17 are one colony in one winter under two sets of shared unknowns.
    /// let (a, b) = (crossing.cell(7), crossing.cell(17));
    /// assert_eq!((a.colony, a.winter), (b.colony, b.winter));
    /// assert_ne!(a.set, b.set);
    /// assert_eq!(crossing.members(), 1000);
    /// ```
    #[must_use]
    pub fn new(winters: u32, sets: u32) -> Self {
        let winters = winters.max(1);
        let block = if winters <= MOST_SEEN {
            winters * FEWEST_COLONIES.div_ceil(winters)
        } else {
            FEWEST_COLONIES
        };
        Self {
            winters,
            sets: sets.div_ceil(SETS_TOGETHER).max(1) * SETS_TOGETHER,
            block,
        }
    }

    /// Where a member stands. Within a group it goes along diagonals, so that a few members have several sets already.
    #[must_use]
    pub fn cell(&self, member: u64) -> Cell {
        let group = member / self.group_members();
        let within = member % self.group_members();
        let (turn, column) = (within / self.block(), within % self.block());
        let together = u64::from(SETS_TOGETHER);
        let set = group % self.groups() * together + (turn + column) % together;
        Cell {
            set: set as u32,
            colony: (group * self.block() + column) as u32,
            winter: (member % u64::from(self.winters)) as usize,
        }
    }

    /// Sets of shared unknowns.
    #[must_use]
    pub fn sets(&self) -> usize {
        self.sets as usize
    }

    /// Members that give every set its first colonies.
    #[must_use]
    pub fn members(&self) -> u64 {
        self.groups() * self.group_members()
    }

    /// Colonies that a set gets at once.
    pub(super) fn block(&self) -> u64 {
        u64::from(self.block)
    }

    /// Groups of sets that have their colonies in common.
    pub(super) fn groups(&self) -> u64 {
        u64::from(self.sets / SETS_TOGETHER)
    }

    /// Members of a group and one block of colonies.
    pub(super) fn group_members(&self) -> u64 {
        u64::from(SETS_TOGETHER) * self.block()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    #[test]
    fn every_set_of_a_group_meets_each_of_its_colonies_once_in_one_winter() {
        for winters in [1, 3, 7, 10, 11, 14, 30, 40] {
            let crossing = Crossing::new(winters, 20);
            let all = 2 * crossing.members();
            let cells: Vec<Cell> = (0..all).map(|member| crossing.cell(member)).collect();
            let pairs: HashSet<_> = cells.iter().map(|cell| (cell.set, cell.colony)).collect();
            assert_eq!(pairs.len() as u64, all, "{winters}");
            let winters_of: HashSet<_> = cells
                .iter()
                .map(|cell| (cell.colony, cell.winter))
                .collect();
            let colonies: HashSet<_> = cells.iter().map(|cell| cell.colony).collect();
            assert_eq!(winters_of.len(), colonies.len(), "{winters}");
            assert_eq!(colonies.len() as u64 * u64::from(SETS_TOGETHER), all);
            for set in 0..20 {
                let own = cells.iter().filter(|cell| cell.set == set).count() as u64;
                assert_eq!(own, 2 * crossing.block(), "{winters}");
            }
        }
    }

    #[test]
    fn with_very_many_winters_sets_still_come_soon() {
        let crossing = Crossing::new(1000, 100);
        assert_eq!((crossing.members(), crossing.sets()), (1000, 100));
        let winters: HashSet<_> = (0..1000)
            .map(|member| crossing.cell(member).winter)
            .collect();
        assert_eq!(winters.len(), 1000);
    }

    #[test]
    fn a_few_members_have_several_sets() {
        let crossing = Crossing::new(10, 100);
        let sets: HashSet<_> = (0..10).map(|member| crossing.cell(member).set).collect();
        assert_eq!(sets.len(), SETS_TOGETHER as usize);
    }
}
