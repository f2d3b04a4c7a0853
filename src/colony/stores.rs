//! Honey by seam and box, and what of it the cluster can reach.
//!
//! Boxes are cut into [`BANDS`] bands each, seams run through all boxes, and the honey of a seam in a band is one number. The cluster
//! hangs from its crown: it covers as many seams and bands as its diameter spans, and along a comb it reaches everything. In the cold it keeps its
//! crown on honey by creeping up its own seams, a band a day; to other seams, and down, it crosses only when it is warmer.
//!
//! Assumptions, said wherever they matter: that a cluster eats only where it sits, how warm the air must be for either move, that the ends
//! of a comb are as near as its middle, and that a cell of this grid is reached as a whole. Where honey stands at the start is a guess too, unless a
//! keeper looks.

use super::combs::{BANDS, Combs, Place, Placement};
use std::ops::Range;

/// Bees move when where they sit they have less than this share of what they find by moving. Own estimate: they stay while there is food, so that
/// cold may find them on little.
const MOVED_FOR: f64 = 0.5;
/// Factor by which one place must hold more than another to count as better: left and right often hold the same, and rounding must not choose between them.
const MORE: f64 = 1.0 + 1e-9;

/// Honey in each seam and band, and where the cluster sits.
#[derive(Clone, Debug, PartialEq)]
pub struct Stores {
    combs: Combs,
    /// Honey that a band of a seam holds when it is full, kg.
    full_kg: f64,
    /// By band from the bottom, in it by seam from the left.
    cells_kg: Vec<f64>,
    /// Middle of the cluster, in seams from the left side.
    middle: f64,
    /// Bands below its crown.
    crown: usize,
}

/// What became of a wish for honey.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Eaten {
    /// Eaten from what was in reach, kg.
    pub eaten_kg: f64,
    /// Wished for and not in reach, kg.
    pub missing_kg: f64,
}

/// Seams and bands under a cluster.
#[derive(Clone, PartialEq)]
struct Reach {
    seams: Range<usize>,
    bands: Range<usize>,
}

impl Stores {
    /// `total_kg` in combs of which a full one holds `full_kg_m2` of honey for its area seen from the side.
    #[must_use]
    pub fn new(total_kg: f64, combs: Combs, placement: &Placement, full_kg_m2: f64) -> Self {
        let seams = combs.seams.max(1) as usize;
        let mut stores = Self {
            combs,
            full_kg: full_kg_m2 * combs.length_m * combs.band_m(),
            cells_kg: vec![0.0; seams * combs.bands()],
            middle: placement.cluster_seam.unwrap_or(0.5 * seams as f64),
            crown: 0,
        };
        let by_seam = shares(&placement.seams, seams);
        for (seam, of_seam) in by_seam.iter().enumerate() {
            let seam_kg = total_kg * of_seam;
            if placement.boxes.is_empty() {
                stores.fill(seam_kg, seam, 0..combs.bands());
                continue;
            }
            let by_box = shares(&placement.boxes, combs.boxes.max(1) as usize);
            for (number, of_box) in by_box.iter().enumerate() {
                stores.fill(seam_kg * of_box, seam, number * BANDS..(number + 1) * BANDS);
            }
        }
        stores.crown = match placement.cluster_box {
            Some(number) => (number as usize + 1) * BANDS,
            None => stores.lowest_honey() + 1,
        };
        stores
    }

    /// All honey in the hive, kg.
    #[must_use]
    pub fn total_kg(&self) -> f64 {
        self.cells_kg.iter().sum()
    }

    /// Honey in each box from the bottom up, kg.
    pub fn boxes_kg(&self) -> impl Iterator<Item = f64> {
        let of_box = self.seams() * BANDS;
        self.cells_kg.chunks(of_box).map(|cells| cells.iter().sum())
    }

    /// Honey in reach of a cluster that covers `seams` seams, kg.
    #[must_use]
    pub fn in_reach_kg(&self, seams: f64) -> f64 {
        self.sum_kg(&self.reach(seams))
    }

    /// Where a cluster that covers `seams` seams is.
    #[must_use]
    pub fn place(&self, seams: f64) -> Place {
        let reach = self.reach(seams);
        Place {
            seam: 0.5 * (reach.seams.start + reach.seams.end) as f64,
            crown_m: reach.bands.end as f64 * self.combs.band_m(),
            in_reach_kg: self.sum_kg(&reach),
        }
    }

    /// Makes all honey `total_kg`, shared between combs as it is now; filled from the top where there is none.
    pub fn set_total(&mut self, total_kg: f64) {
        let now_kg = self.total_kg();
        if now_kg > 0.0 {
            for cell in &mut self.cells_kg {
                *cell *= total_kg / now_kg;
            }
        } else {
            self.store(total_kg);
        }
    }

    /// Adds honey evenly to the crown of a cluster that covers `seams` seams, where it is at once in reach.
    pub fn lay_over(&mut self, feed_kg: f64, seams: f64) {
        let reach = self.reach(seams);
        let crown = reach.bands.end - 1;
        let each_kg = feed_kg / reach.seams.len() as f64;
        for seam in reach.seams {
            *self.cell(seam, crown) += each_kg;
        }
    }

    /// Honey that the combs still hold, kg.
    #[must_use]
    pub fn room_kg(&self) -> f64 {
        let room = self.cells_kg.iter().map(|kg| (self.full_kg - kg).max(0.0));
        room.sum()
    }

    /// Stores honey as bees do in warm weather: where there is room, from the top down; evenly everywhere when there is none.
    pub fn store(&mut self, honey_kg: f64) {
        let mut left_kg = honey_kg;
        let seams = self.seams();
        for cells in self.cells_kg.chunks_mut(seams).rev() {
            let room_kg: f64 = cells.iter().map(|kg| (self.full_kg - kg).max(0.0)).sum();
            if left_kg <= 0.0 || room_kg <= 0.0 {
                continue;
            }
            let share = (left_kg / room_kg).min(1.0);
            for kg in cells {
                *kg += share * (self.full_kg - *kg).max(0.0);
            }
            left_kg -= share * room_kg;
        }
        if left_kg > 0.0 {
            let each_kg = left_kg / self.cells_kg.len() as f64;
            self.cells_kg.iter_mut().for_each(|kg| *kg += each_kg);
        }
    }

    /// Moves a cluster that covers `seams` seams to where most honey is in reach, if that is twice as much as where it sits; whether it did.
    pub fn cross(&mut self, seams: f64) -> bool {
        let here = self.reach(seams);
        let (width, height) = (here.seams.len(), here.bands.len());
        let here_kg = self.sum_kg(&here);
        let mut best = (here_kg, here.clone());
        for first in 0..=self.seams() - width {
            for lowest in 0..=self.combs.bands() - height {
                let there = Reach {
                    seams: first..first + width,
                    bands: lowest..lowest + height,
                };
                let there_kg = self.sum_kg(&there);
                if there_kg > MORE * best.0 {
                    best = (there_kg, there);
                }
            }
        }
        let (best_kg, best) = best;
        if best_kg <= here_kg / MOVED_FOR {
            return false;
        }
        self.crown = best.bands.end;
        if best.seams != here.seams {
            self.middle = 0.5 * (best.seams.start + best.seams.end) as f64;
        }
        self.hang(seams);
        true
    }

    /// Lets a cluster that covers `seams` seams creep up by a band where its crown has eaten half of what a band above it holds.
    pub fn climb(&mut self, seams: f64) {
        self.hang(seams);
        let reach = self.reach(seams);
        let crown = self.crown.clamp(1, self.combs.bands());
        let band_kg = |band| self.band_kg(band, &reach.seams);
        let above_kg = (crown..self.combs.bands()).map(band_kg).fold(0.0, f64::max);
        if band_kg(crown - 1) < MOVED_FOR * above_kg {
            self.crown = crown + 1;
        }
    }

    /// Hangs the crown of a cluster that covers `seams` seams in the uppermost honey that it covers, so that it stays there as the cluster draws
    /// together; where it covers none, the crown stays.
    fn hang(&mut self, seams: f64) {
        let Reach { seams, mut bands } = self.reach(seams);
        let top = bands.rfind(|band| self.band_kg(*band, &seams) > 0.0);
        self.crown = top.map_or(self.crown, |top| top + 1);
    }

    /// Eats up to `wish_kg` of what is in reach, everywhere in proportion to what is there.
    pub fn eat(&mut self, wish_kg: f64, seams: f64) -> Eaten {
        self.hang(seams);
        let reach = self.reach(seams);
        let reach_kg = self.sum_kg(&reach);
        let left = if wish_kg < reach_kg {
            1.0 - wish_kg / reach_kg
        } else {
            0.0
        };
        for band in reach.bands {
            for seam in reach.seams.clone() {
                *self.cell(seam, band) *= left;
            }
        }
        let eaten_kg = wish_kg.min(reach_kg);
        Eaten {
            eaten_kg,
            missing_kg: wish_kg - eaten_kg,
        }
    }

    fn seams(&self) -> usize {
        self.combs.seams.max(1) as usize
    }

    fn cell(&mut self, seam: usize, band: usize) -> &mut f64 {
        let seams = self.seams();
        &mut self.cells_kg[band * seams + seam]
    }

    /// Under a cluster that is `seams` wide and as high: whole seams and bands, at least one of each, inside the hive.
    fn reach(&self, seams: f64) -> Reach {
        let whole = |count: f64, all: usize| (count.round().max(1.0) as usize).min(all);
        let all = self.seams();
        let width = whole(seams, all);
        let left = (self.middle - 0.5 * width as f64).round().max(0.0) as usize;
        let first = left.min(all - width);
        let bands = self.combs.bands();
        let height = whole(seams * self.combs.pitch_m / self.combs.band_m(), bands);
        let crown = self.crown.clamp(height, bands);
        Reach {
            seams: first..first + width,
            bands: crown - height..crown,
        }
    }

    fn band_kg(&self, band: usize, seams: &Range<usize>) -> f64 {
        let first = band * self.seams();
        self.cells_kg[first + seams.start..first + seams.end]
            .iter()
            .sum()
    }

    fn sum_kg(&self, reach: &Reach) -> f64 {
        let bands = reach.bands.clone();
        bands.map(|band| self.band_kg(band, &reach.seams)).sum()
    }

    /// Fills bands of a seam from the top, and all of them alike with what is more than they hold.
    fn fill(&mut self, honey_kg: f64, seam: usize, bands: Range<usize>) {
        let over_kg = (honey_kg - self.full_kg * bands.len() as f64).max(0.0);
        let each_over_kg = over_kg / bands.len() as f64;
        let mut left_kg = honey_kg - over_kg;
        let full_kg = self.full_kg;
        for band in bands.rev() {
            let here_kg = left_kg.min(full_kg);
            *self.cell(seam, band) = here_kg + each_over_kg;
            left_kg -= here_kg;
        }
    }

    /// The lowest band with half of what the fullest holds; the topmost where there is no honey, for there bees would store it.
    fn lowest_honey(&self) -> usize {
        let bands_kg: Vec<f64> = self
            .cells_kg
            .chunks(self.seams())
            .map(|cells| cells.iter().sum())
            .collect();
        let fullest_kg = bands_kg.iter().copied().fold(0.0, f64::max);
        let is_honey = |kg: &f64| *kg > 0.0 && *kg >= 0.5 * fullest_kg;
        let lowest = bands_kg.iter().position(is_honey);
        lowest.unwrap_or(bands_kg.len() - 1)
    }
}

/// Weights as shares of their sum, as many as asked; alike where there are none, or none that are more than nothing.
fn shares(weights: &[f64], count: usize) -> Vec<f64> {
    let of = |number: usize| weights.get(number).copied().unwrap_or(0.0).max(0.0);
    let sum: f64 = (0..count).map(of).sum();
    if sum > 0.0 {
        (0..count).map(|number| of(number) / sum).collect()
    } else {
        vec![1.0 / count as f64; count]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two boxes of bands 5 cm high and 40 cm long, seams 5 cm apart, a kilogram in a full band: a cluster is as many bands high as seams wide.
    fn combs(seams: u32) -> Combs {
        Combs {
            seams,
            boxes: 2,
            pitch_m: 0.05,
            box_height_m: 0.2,
            length_m: 0.4,
        }
    }
    const FULL_KG_M2: f64 = 50.0;

    fn stores(total_kg: f64, seams: u32, placement: &Placement) -> Stores {
        Stores::new(total_kg, combs(seams), placement, FULL_KG_M2)
    }

    fn placed(total_kg: f64, seams: u32) -> Stores {
        stores(total_kg, seams, &Placement::default())
    }

    #[test]
    fn honey_eaten_and_left_is_all_the_honey() {
        let mut stores = placed(20.0, 9);
        let eaten = stores.eat(3.0, 4.2).eaten_kg;
        assert!((stores.total_kg() + eaten - 20.0).abs() < 1e-12);
    }

    #[test]
    fn honey_fills_a_hive_from_the_top_and_the_cluster_hangs_in_the_lowest_of_it() {
        let stores = placed(25.0, 10);
        let boxes: Vec<f64> = stores.boxes_kg().collect();
        assert!(boxes[0].abs() < 1e-12 && (boxes[1] - 25.0).abs() < 1e-9);
        // Two bands and a half of ten kilograms: the crown is in the half band.
        let place = stores.place(4.0);
        assert!((place.crown_m - 0.3).abs() < 1e-12, "{place:?}");
        assert!((place.in_reach_kg - 2.0).abs() < 1e-9, "{place:?}");
        assert_eq!(place.seam, 5.0);
    }

    #[test]
    fn a_keeper_who_looked_says_where_honey_and_cluster_are() {
        let placement = Placement {
            boxes: vec![1.0, 3.0],
            seams: vec![1.0, 0.0, 0.0, 1.0],
            cluster_box: Some(0),
            cluster_seam: Some(0.5),
        };
        let stores = stores(8.0, 4, &placement);
        let boxes: Vec<f64> = stores.boxes_kg().collect();
        assert!((boxes[0] - 2.0).abs() < 1e-12 && (boxes[1] - 6.0).abs() < 1e-12);
        let place = stores.place(1.0);
        assert_eq!((place.seam, place.in_reach_kg), (0.5, 1.0));
        assert!((place.crown_m - 0.2).abs() < 1e-12);
    }

    #[test]
    fn more_honey_than_the_combs_hold_is_kept_all_the_same() {
        let stores = placed(100.0, 5);
        assert!((stores.total_kg() - 100.0).abs() < 1e-9);
    }

    #[test]
    fn a_cluster_follows_its_honey_up_and_stays_below_it() {
        let mut stores = placed(30.0, 10);
        let crown = |stores: &Stores| stores.place(4.0).crown_m;
        assert!((crown(&stores) - 0.3).abs() < 1e-12);
        stores.climb(4.0);
        assert!(
            (crown(&stores) - 0.3).abs() < 1e-12,
            "its crown is on honey"
        );
        stores.eat(2.1, 4.0);
        stores.climb(4.0);
        assert!((crown(&stores) - 0.35).abs() < 1e-12);
        for _ in 0..20 {
            stores.eat(1.0, 4.0);
            stores.climb(4.0);
        }
        // All twelve kilograms of its own seams, and nothing beside them.
        assert!((crown(&stores) - 0.4).abs() < 1e-12);
        assert!((stores.total_kg() - 18.0).abs() < 1e-9);
        assert_eq!(stores.in_reach_kg(4.0), 0.0);
    }

    #[test]
    fn a_cluster_that_draws_together_stays_in_its_honey() {
        let mut stores = placed(40.0, 10);
        stores.eat(1.0, 8.0);
        let high_m = stores.place(8.0).crown_m;
        stores.eat(1.0, 3.0);
        assert_eq!(stores.place(3.0).crown_m, high_m);
        // Loose and higher than its honey, it does not keep its crown above it.
        let placement = Placement {
            boxes: vec![1.0, 0.0],
            cluster_box: Some(0),
            ..Placement::default()
        };
        let mut low = super::tests::stores(5.0, 10, &placement);
        low.eat(0.1, 6.0);
        low.climb(6.0);
        assert!((low.place(2.0).crown_m - 0.2).abs() < 1e-12);
    }

    #[test]
    fn a_cluster_that_cannot_move_starves_with_honey_above_and_beside_it() {
        let mut stores = placed(30.0, 10);
        let eaten = stores.eat(30.0, 4.0);
        assert_eq!((eaten.eaten_kg, eaten.missing_kg), (4.0, 26.0));
        assert_eq!(stores.in_reach_kg(4.0), 0.0);
        // Three bands of three seams that are full, and two of a fourth.
        assert!(stores.cross(4.0));
        assert!((stores.in_reach_kg(4.0) - 11.0).abs() < 1e-9 && stores.place(4.0).seam < 5.0);
        stores.eat(2.0, 4.0);
        assert!(!stores.cross(4.0), "it has enough");
    }

    #[test]
    fn feed_over_the_cluster_is_in_its_reach_and_a_new_total_keeps_the_shares() {
        let mut stores = placed(20.0, 10);
        stores.eat(30.0, 4.0);
        stores.lay_over(2.0, 4.0);
        assert_eq!(stores.in_reach_kg(4.0), 2.0);
        let before_kg = stores.total_kg();
        stores.set_total(0.5 * before_kg);
        assert!((stores.in_reach_kg(4.0) - 1.0).abs() < 1e-12);
        assert!((stores.total_kg() - 0.5 * before_kg).abs() < 1e-12);
        stores.set_total(0.0);
        stores.set_total(5.0);
        assert!((stores.total_kg() - 5.0).abs() < 1e-12);
    }

    #[test]
    fn stored_syrup_fills_empty_combs_from_the_top() {
        let mut stores = placed(10.0, 10);
        stores.store(12.0);
        assert!((stores.total_kg() - 22.0).abs() < 1e-9);
        assert!((stores.place(10.0).in_reach_kg - stores.total_kg()).abs() < 1e-9);
        stores.store(100.0);
        assert!((stores.total_kg() - 122.0).abs() < 1e-9);
    }

    #[test]
    fn a_cluster_as_large_as_the_hive_reaches_everything() {
        assert!((placed(9.0, 3).in_reach_kg(12.0) - 9.0).abs() < 1e-12);
    }
}
