//! Cutting pieces from sheets of one size, with straight cuts from edge to edge, as a table saw or a knife makes them.

use cut_optimizer_2d::{CutPiece, Error, Optimizer, PatternDirection, StockPiece};
use serde::Serialize;

/// Lengths are cut to whole steps of this, m.
const STEP_M: f64 = 1e-4;
/// Seed of the search for a layout; any gives a valid one.
const SEED: u64 = 1;

/// Most pieces that are laid out together: a tenth of a second or two. Own choice.
pub const BATCH: usize = 60;

/// Sheets as they are sold, and the saw.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Sheet {
    /// Width, m.
    pub width_m: f64,
    /// Length, m.
    pub length_m: f64,
    /// Width of the cut, m; 0 for a knife.
    pub kerf_m: f64,
}

impl Sheet {
    /// Area, m2.
    #[must_use]
    pub fn area_m2(&self) -> f64 {
        self.width_m * self.length_m
    }
}

/// Pieces of one size; they may be turned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Blank {
    /// One edge, m.
    pub length_m: f64,
    /// The other, m.
    pub width_m: f64,
    /// How many.
    pub number: u32,
}

/// A piece on its sheet.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Placed {
    /// Its size by number in the list that was cut, from 0.
    pub blank: usize,
    /// From the sheet's corner along its width, m.
    pub x_m: f64,
    /// From the sheet's corner along its length, m.
    pub y_m: f64,
    /// Extent along the sheet's width, m.
    pub width_m: f64,
    /// Extent along the sheet's length, m.
    pub length_m: f64,
}

/// Where all pieces are cut from.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Layout {
    /// The pieces of each sheet that is needed.
    pub sheets: Vec<Vec<Placed>>,
    /// Sizes, by number in the list, that no sheet is large enough for.
    pub too_large: Vec<usize>,
}

/// Lays `blanks` out on sheets.
///
/// The layout is searched for, not proved best: another may need fewer sheets, none of the pieces more. Sizes are rounded to 0.1 mm.
/// More than [`BATCH`] pieces are cut in batches, for the search grows with their square or worse; each batch begins a sheet.
#[must_use]
pub fn lay_out(blanks: &[Blank], sheet: &Sheet) -> Layout {
    let mut layout = Layout::default();
    let numbers = blanks.iter().enumerate();
    let pieces = numbers.flat_map(|(number, blank)| (0..blank.number).map(move |_| number));
    for batch in pieces.collect::<Vec<_>>().chunks(BATCH) {
        lay_out_batch(batch, blanks, sheet, &mut layout);
    }
    layout.too_large.sort_unstable();
    layout
}

/// Adds pieces, each by the number of its size, to a layout.
fn lay_out_batch(batch: &[usize], blanks: &[Blank], sheet: &Sheet, layout: &mut Layout) {
    loop {
        let fitting = batch
            .iter()
            .filter(|blank| !layout.too_large.contains(blank));
        let mut optimizer = Optimizer::new();
        optimizer
            .add_stock_piece(StockPiece {
                width: steps(sheet.width_m),
                length: steps(sheet.length_m),
                pattern_direction: PatternDirection::None,
                price: 0,
                quantity: None,
            })
            .add_cut_pieces(fitting.map(|blank| piece(*blank, &blanks[*blank])))
            .set_cut_width(steps(sheet.kerf_m))
            .set_random_seed(SEED);
        match optimizer.optimize_guillotine(|_| {}) {
            Ok(solution) => {
                let sheets = solution.stock_pieces.iter();
                let sheets = sheets.map(|sheet| sheet.cut_pieces.iter().map(placed).collect());
                layout.sheets.extend(sheets);
                return;
            }
            // One size fewer each time, so this ends.
            Err(Error::NoFitForCutPiece(piece)) => {
                layout.too_large.push(piece.external_id.unwrap_or_default());
            }
        }
    }
}

fn piece(number: usize, blank: &Blank) -> CutPiece {
    CutPiece {
        quantity: 1,
        external_id: Some(number),
        width: steps(blank.width_m),
        length: steps(blank.length_m),
        pattern_direction: PatternDirection::None,
        can_rotate: true,
    }
}

fn placed(piece: &cut_optimizer_2d::ResultCutPiece) -> Placed {
    let metres = |steps: usize| steps as f64 * STEP_M;
    Placed {
        blank: piece.external_id.unwrap_or_default(),
        x_m: metres(piece.x),
        y_m: metres(piece.y),
        width_m: metres(piece.width),
        length_m: metres(piece.length),
    }
}

fn steps(length_m: f64) -> usize {
    // Lengths are a few metres at most, so they fit.
    (length_m / STEP_M).round().max(0.0) as usize
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn sheet(width_m: f64, length_m: f64, kerf_m: f64) -> Sheet {
        Sheet {
            width_m,
            length_m,
            kerf_m,
        }
    }

    fn blank(length_m: f64, width_m: f64, number: u32) -> Blank {
        Blank {
            length_m,
            width_m,
            number,
        }
    }

    #[test]
    fn the_saw_takes_its_part_of_the_sheet() {
        let quarters = [blank(1.0, 0.5, 4)];
        assert_eq!(lay_out(&quarters, &sheet(1.0, 2.0, 0.0)).sheets.len(), 1);
        // Three cuts of 3 mm: the fourth quarter is 9 mm too wide for the rest.
        let sawn = lay_out(&quarters, &sheet(1.0, 2.0, 0.003));
        assert_eq!(sawn.sheets.iter().map(Vec::len).collect::<Vec<_>>(), [3, 1]);
        assert_eq!(
            lay_out(&quarters, &sheet(1.0, 2.009, 0.003)).sheets.len(),
            1
        );
    }

    #[test]
    fn a_piece_is_turned_when_it_fits_only_so() {
        let turned = lay_out(&[blank(1.2, 2.4, 1)], &sheet(2.4, 1.2, 0.003));
        assert_eq!((turned.sheets.len(), turned.too_large.len()), (1, 0));
    }

    #[test]
    fn what_is_larger_than_a_sheet_is_said_and_the_rest_is_cut() {
        let blanks = [blank(1.3, 1.3, 2), blank(0.4, 0.4, 3), blank(3.0, 0.1, 1)];
        let layout = lay_out(&blanks, &sheet(1.22, 2.44, 0.003));
        assert_eq!(layout.too_large, [0, 2]);
        assert_eq!(layout.sheets.len(), 1);
        assert!(layout.sheets[0].iter().all(|placed| placed.blank == 1));
        assert_eq!(layout.sheets[0].len(), 3);
    }

    #[test]
    fn nothing_to_cut_needs_no_sheet() {
        assert_eq!(lay_out(&[], &sheet(1.0, 1.0, 0.0)), Layout::default());
    }

    #[test]
    fn more_pieces_than_a_batch_are_all_cut() {
        let many = [blank(0.4, 0.3, 70), blank(2.0, 2.0, 70)];
        let layout = lay_out(&many, &sheet(1.22, 2.44, 0.003));
        assert_eq!(layout.sheets.iter().map(Vec::len).sum::<usize>(), 70);
        assert_eq!(layout.too_large, [1]);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]
        #[test]
        fn pieces_lie_within_their_sheet_a_cut_apart_and_none_is_lost(
            sizes in proptest::collection::vec((10_u32..1_220, 10_u32..1_220, 1_u32..9), 1..6),
            kerf_mm in 0_u32..8,
        ) {
            let m = |mm: u32| f64::from(mm) * 1e-3;
            let sheet = sheet(1.22, 2.44, m(kerf_mm));
            let blanks: Vec<Blank> = sizes.iter().map(|(length, width, number)| blank(m(*length), m(*width), *number)).collect();
            let layout = lay_out(&blanks, &sheet);
            prop_assert!(layout.too_large.is_empty());
            // Steps of 0.1 mm are exact to a few units in the last place.
            let slack = 1e-9;
            for pieces in &layout.sheets {
                for (at, a) in pieces.iter().enumerate() {
                    prop_assert!(a.x_m + a.width_m <= sheet.width_m + slack && a.y_m + a.length_m <= sheet.length_m + slack);
                    for b in &pieces[..at] {
                        let apart = |a0: f64, a_long: f64, b0: f64, b_long: f64| {
                            a0 + a_long + sheet.kerf_m <= b0 + slack || b0 + b_long + sheet.kerf_m <= a0 + slack
                        };
                        prop_assert!(apart(a.x_m, a.width_m, b.x_m, b.width_m) || apart(a.y_m, a.length_m, b.y_m, b.length_m), "{a:?} {b:?}");
                    }
                }
            }
            for (number, blank) in blanks.iter().enumerate() {
                let placed: Vec<&Placed> = layout.sheets.iter().flatten().filter(|placed| placed.blank == number).collect();
                prop_assert_eq!(placed.len(), blank.number as usize);
                let area_m2 = blank.length_m * blank.width_m;
                prop_assert!(placed.iter().all(|placed| (placed.width_m * placed.length_m - area_m2).abs() < 1e-9));
            }
            let area_m2: f64 = blanks.iter().map(|blank| blank.length_m * blank.width_m * f64::from(blank.number)).sum();
            prop_assert!(layout.sheets.len() as f64 * sheet.area_m2() >= area_m2 - slack);
        }
    }
}
