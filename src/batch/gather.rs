//! The finished cells of one folder or several, in the order of their plan.

use super::cell::CellRecord;
use super::error::BatchError;
use super::folder::{read_cell, read_plan};
use super::plan::BatchPlan;
use std::path::Path;

/// A whole batch.
#[derive(Debug, Clone, PartialEq)]
pub struct Gathered {
    /// Its plan.
    pub plan: BatchPlan,
    /// Every cell, in the order of the plan.
    pub cells: Vec<CellRecord>,
}

impl Gathered {
    /// Cells that failed, with their reasons.
    pub fn failures(&self) -> impl Iterator<Item = (&CellRecord, &str)> {
        let cells = self.cells.iter();
        cells.filter_map(|cell| Some((cell, cell.failure()?)))
    }
}

/// Reads the cells of a batch from folders that its parts were written to, or from the one of all.
///
/// # Errors
/// [`BatchError`] when the folders are of different batches, or a cell is in none of them.
pub fn gather<P: AsRef<Path>>(folders: &[P]) -> Result<Gathered, BatchError> {
    let [first, others @ ..] = folders else {
        return Err(BatchError::NoPlan {
            path: Path::new("").to_owned(),
            problem: "no folder is named".to_owned(),
        });
    };
    let plan = read_plan(first.as_ref())?;
    for other in others {
        if read_plan(other.as_ref())? != plan {
            return Err(BatchError::Differs {
                first: first.as_ref().to_owned(),
                second: other.as_ref().to_owned(),
            });
        }
    }
    let mut cells = Vec::with_capacity(plan.cells.len());
    let mut missing = Vec::new();
    for cell in &plan.cells {
        let found = folders
            .iter()
            .find_map(|folder| read_cell(folder.as_ref(), cell));
        match found {
            Some(record) => cells.push(record),
            None => missing.push(cell),
        }
    }
    if let Some(first) = missing.first() {
        return Err(BatchError::Unfinished {
            missing: missing.len(),
            of: plan.cells.len(),
            first: plan.words(first),
        });
    }
    Ok(Gathered { plan, cells })
}
