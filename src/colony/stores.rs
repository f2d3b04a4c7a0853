//! Honey by seam, and what of it the cluster can reach.
//!
//! Assumption, said wherever it matters: a cluster eats only from the seams it covers and crosses to others only when the
//! upper air has been warm enough for some hours. Where honey stands within a seam is not followed.

/// Honey in each seam, and where the cluster sits.
#[derive(Clone, Debug, PartialEq)]
pub struct Stores {
    seams_kg: Vec<f64>,
    /// Middle of the cluster, in seams from the left side.
    middle: f64,
}

/// What became of a wish for honey.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Eaten {
    /// Eaten from the seams in reach, kg.
    pub eaten_kg: f64,
    /// Wished for and not in reach, kg.
    pub missing_kg: f64,
}

impl Stores {
    /// `total_kg` spread evenly over `seams` seams, the cluster in the middle of them.
    #[must_use]
    pub fn new(total_kg: f64, seams: u32) -> Self {
        let seams = seams.max(1) as usize;
        Self {
            seams_kg: vec![total_kg / seams as f64; seams],
            middle: 0.5 * seams as f64,
        }
    }

    /// All honey in the hive, kg.
    #[must_use]
    pub fn total_kg(&self) -> f64 {
        self.seams_kg.iter().sum()
    }

    /// Honey in the seams of a cluster that covers `seams` of them, kg.
    #[must_use]
    pub fn in_reach_kg(&self, seams: f64) -> f64 {
        self.seams_kg[self.covered(seams)].iter().sum()
    }

    /// Makes all honey `total_kg`, shared between seams as it is now; evenly where there is none.
    pub fn set_total(&mut self, total_kg: f64) {
        let now_kg = self.total_kg();
        let seams = self.seams_kg.len() as f64;
        for seam in &mut self.seams_kg {
            *seam = if now_kg > 0.0 {
                *seam * (total_kg / now_kg)
            } else {
                total_kg / seams
            };
        }
    }

    /// Adds honey evenly to the seams of a cluster that covers `seams` of them.
    pub fn lay_over(&mut self, feed_kg: f64, seams: f64) {
        let covered = self.covered(seams);
        let each_kg = feed_kg / covered.len() as f64;
        for seam in &mut self.seams_kg[covered] {
            *seam += each_kg;
        }
    }

    /// Moves a cluster that covers `seams` to where most honey is in reach; it stays where nothing is better.
    pub fn move_cluster(&mut self, seams: f64) {
        let width = self.covered(seams).len();
        let reach = |first: usize| self.seams_kg[first..first + width].iter().sum::<f64>();
        let here = self.covered(seams).start;
        let mut best = here;
        for first in 0..=self.seams_kg.len() - width {
            if reach(first) > reach(best) {
                best = first;
            }
        }
        if best != here {
            self.middle = best as f64 + 0.5 * width as f64;
        }
    }

    /// Eats up to `wish_kg` from the seams in reach, from each in proportion to what it holds.
    pub fn eat(&mut self, wish_kg: f64, seams: f64) -> Eaten {
        let reach_kg = self.in_reach_kg(seams);
        let covered = self.covered(seams);
        if wish_kg >= reach_kg {
            self.seams_kg[covered].fill(0.0);
            return Eaten {
                eaten_kg: reach_kg,
                missing_kg: wish_kg - reach_kg,
            };
        }
        let left = 1.0 - wish_kg / reach_kg;
        for seam in &mut self.seams_kg[covered] {
            *seam *= left;
        }
        Eaten {
            eaten_kg: wish_kg,
            missing_kg: 0.0,
        }
    }

    /// Seams under a cluster of that width: whole seams, at least one, inside the hive.
    fn covered(&self, seams: f64) -> std::ops::Range<usize> {
        let all = self.seams_kg.len();
        let width = (seams.round().max(1.0) as usize).min(all);
        let left = (self.middle - 0.5 * width as f64).round().max(0.0) as usize;
        let first = left.min(all - width);
        first..first + width
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn honey_eaten_and_left_is_all_the_honey() {
        let mut stores = Stores::new(20.0, 9);
        let eaten = stores.eat(3.0, 4.2).eaten_kg;
        assert!((stores.total_kg() + eaten - 20.0).abs() < 1e-12);
    }

    #[test]
    fn a_cluster_that_cannot_move_starves_with_honey_in_other_seams() {
        let mut stores = Stores::new(20.0, 10);
        let eaten = stores.eat(30.0, 4.0);
        assert_eq!(eaten.eaten_kg, 8.0);
        assert_eq!(eaten.missing_kg, 22.0);
        assert_eq!(stores.total_kg(), 12.0);
        assert_eq!(stores.in_reach_kg(4.0), 0.0);
        // Three full seams lie on either side of the four that are empty.
        stores.move_cluster(4.0);
        assert_eq!(stores.in_reach_kg(4.0), 6.0);
    }

    #[test]
    fn feed_over_the_cluster_is_in_its_reach_and_a_new_total_keeps_the_shares() {
        let mut stores = Stores::new(20.0, 10);
        stores.eat(30.0, 4.0);
        stores.lay_over(2.0, 4.0);
        assert_eq!(stores.in_reach_kg(4.0), 2.0);
        stores.set_total(7.0);
        assert!((stores.in_reach_kg(4.0) - 1.0).abs() < 1e-12);
        assert!((stores.total_kg() - 7.0).abs() < 1e-12);
        stores.set_total(0.0);
        stores.set_total(5.0);
        assert!((stores.in_reach_kg(4.0) - 2.0).abs() < 1e-12);
    }

    #[test]
    fn a_cluster_wider_than_the_hive_reaches_everything() {
        assert_eq!(Stores::new(9.0, 3).in_reach_kg(12.0), 9.0);
    }
}
