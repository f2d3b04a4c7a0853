//! All members of an ensemble: in memory while they are few, in a temporary file beyond.

use super::rows::{Daily, MemberDays, MemberRow};
use super::spill::{RowsError, Spill};
use crate::season::MonthlyHeat;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// Members that are held in memory, some 5 kB each; as many at once are put aside when more come (own choice).
const MOST_HELD: usize = 10_000;

/// Rows and days of the members from 0 on, in their order.
///
/// Beyond ten thousand members they are put aside in a temporary file (in `TMPDIR`, or else in `/var/tmp` where there is one), some 4 kB a member, so that
/// memory stays bounded however many they are. What is read back has the same bits.
#[derive(Debug)]
pub struct MemberRows {
    most_held: usize,
    spill: Option<Spill>,
    /// Members put aside.
    aside: usize,
    rows: Vec<MemberRow>,
    days: Vec<MemberDays>,
    monthly_heat: MonthlyHeat,
    stop: Arc<AtomicBool>,
}

impl Default for MemberRows {
    fn default() -> Self {
        Self::holding(MOST_HELD)
    }
}

impl MemberRows {
    /// None yet.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// None yet; at most so many, one or more, are held in memory.
    #[must_use]
    pub fn holding(most: usize) -> Self {
        Self {
            most_held: most.max(1),
            spill: None,
            aside: 0,
            rows: Vec::new(),
            days: Vec::new(),
            monthly_heat: MonthlyHeat::default(),
            stop: Arc::default(),
        }
    }

    /// Looks at no more rows once `stop` is raised: what is made of a million members takes a while.
    pub fn stop_on(&mut self, stop: Arc<AtomicBool>) {
        self.stop = stop;
    }

    fn go_on(&self) -> Result<(), RowsError> {
        if self.stop.load(Ordering::Relaxed) {
            return Err(RowsError::Interrupted);
        }
        Ok(())
    }

    /// How many members there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.aside + self.rows.len()
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Tries the temporary file if so many members in all will need it: a long run should not find halfway that it cannot be made.
    ///
    /// # Errors
    /// [`RowsError`] when it cannot be made. Whether it will have room is not known before.
    pub fn make_ready_for(&mut self, members: usize) -> Result<(), RowsError> {
        if members > self.most_held {
            opened(&mut self.spill)?;
        }
        Ok(())
    }

    /// Adds the next member, whose number is [`MemberRows::len`].
    ///
    /// # Errors
    /// [`RowsError`] when those before it cannot be put aside.
    pub fn push(&mut self, row: MemberRow, days: MemberDays) -> Result<(), RowsError> {
        debug_assert_eq!(row.member as usize, self.len());
        if self.rows.len() == self.most_held {
            opened(&mut self.spill)?.put(&self.rows, &self.days)?;
            self.aside += self.rows.len();
            self.rows.clear();
            self.days.clear();
        }
        self.monthly_heat.add(&days.monthly_heat);
        self.rows.push(row);
        self.days.push(days);
        Ok(())
    }

    /// Adds members up to so many in all that `known` has, none where those have been put aside.
    ///
    /// # Errors
    /// As [`MemberRows::push`].
    pub fn copy_from(&mut self, known: &Self, members: usize) -> Result<(), RowsError> {
        let Some((rows, days)) = known.in_memory() else {
            return Ok(());
        };
        let lacking = rows.iter().zip(days).take(members).skip(self.len());
        for (row, days) in lacking {
            self.push(row.clone(), days.clone())?;
        }
        Ok(())
    }

    /// Rows and days of all members; none where some have been put aside.
    #[must_use]
    pub fn in_memory(&self) -> Option<(&[MemberRow], &[MemberDays])> {
        (self.aside == 0).then_some((self.rows.as_slice(), self.days.as_slice()))
    }

    /// Shows the rows of consecutive members to `see`, block by block in their order.
    ///
    /// # Errors
    /// [`RowsError`] when they cannot be read back or the caller asks to stop; and what `see` fails of.
    pub fn blocks<E: From<RowsError>>(
        &self,
        mut see: impl FnMut(&[MemberRow]) -> Result<(), E>,
    ) -> Result<(), E> {
        if let Some(spill) = &self.spill {
            for block in 0..spill.blocks() {
                self.go_on()?;
                see(&spill.rows(block)?)?;
            }
        }
        self.go_on()?;
        see(&self.rows)
    }

    /// Shows every row in the order of members.
    ///
    /// # Errors
    /// [`RowsError`] when they cannot be read back or the caller asks to stop.
    pub fn each(&self, mut see: impl FnMut(&MemberRow)) -> Result<(), RowsError> {
        self.blocks(|rows| {
            rows.iter().for_each(&mut see);
            Ok(())
        })
    }

    /// As [`MemberRows::values`], each with the number of its member.
    ///
    /// # Errors
    /// [`RowsError`] when rows cannot be read back.
    pub fn numbered<T>(&self, value: impl Fn(&MemberRow) -> T) -> Result<Vec<(u32, T)>, RowsError> {
        self.values(|row| (row.member, value(row)))
    }

    /// One figure of every member, in their order.
    ///
    /// # Errors
    /// As [`MemberRows::each`].
    pub fn values<T>(&self, value: impl Fn(&MemberRow) -> T) -> Result<Vec<T>, RowsError> {
        let mut values = Vec::with_capacity(self.len());
        self.each(|row| values.push(value(row)))?;
        Ok(values)
    }

    /// One figure of those members that have it, in their order.
    ///
    /// # Errors
    /// As [`MemberRows::each`].
    pub fn values_of_some<T>(
        &self,
        value: impl Fn(&MemberRow) -> Option<T>,
    ) -> Result<Vec<T>, RowsError> {
        let mut values = Vec::new();
        self.each(|row| values.extend(value(row)))?;
        Ok(values)
    }

    /// How many members are so.
    ///
    /// # Errors
    /// As [`MemberRows::each`].
    pub fn count(&self, is: impl Fn(&MemberRow) -> bool) -> Result<usize, RowsError> {
        let mut count = 0;
        self.each(|row| count += usize::from(is(row)))?;
        Ok(count)
    }

    /// The sum of a figure over all members, added in their order.
    ///
    /// # Errors
    /// As [`MemberRows::each`].
    pub fn sum(&self, value: impl Fn(&MemberRow) -> f64) -> Result<f64, RowsError> {
        let mut sum = 0.0;
        self.each(|row| sum += value(row))?;
        Ok(sum)
    }

    /// A figure of one day, counted from 0, of every member in their order; not a number where a member has none.
    ///
    /// # Errors
    /// As [`MemberRows::each`].
    pub fn on_day(&self, day: usize, daily: Daily) -> Result<Vec<f32>, RowsError> {
        self.go_on()?;
        let mut values = Vec::with_capacity(self.len());
        if let Some(spill) = &self.spill {
            for block in 0..spill.blocks() {
                spill.on_day(block, day, daily, &mut values)?;
            }
        }
        values.extend(self.days.iter().map(|days| days.on_day(day, daily)));
        Ok(values)
    }

    /// Heat of all members together, by month.
    #[must_use]
    pub fn monthly_heat(&self) -> &MonthlyHeat {
        &self.monthly_heat
    }
}

fn opened(spill: &mut Option<Spill>) -> Result<&mut Spill, RowsError> {
    Ok(match spill {
        Some(spill) => spill,
        none => none.insert(Spill::new()?),
    })
}

pub(super) fn mean_of(
    rows: &MemberRows,
    value: impl Fn(&MemberRow) -> f64,
) -> Result<f64, RowsError> {
    Ok(rows.sum(value)? / rows.len() as f64)
}

/// The largest of a figure that is nowhere below zero.
pub(super) fn largest(
    rows: &MemberRows,
    value: impl Fn(&MemberRow) -> f64,
) -> Result<f64, RowsError> {
    let mut largest = 0.0_f64;
    rows.each(|row| largest = largest.max(value(row)))?;
    Ok(largest)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ensemble::{self, Plan, Sampling, StoresAdvice, Summary};
    use crate::scenario;

    /// A few members of the built-in scenario, some of which starve.
    fn few() -> (Plan, Vec<Vec<f64>>, MemberRows) {
        let mut scenario = scenario::built_in();
        scenario.colony.stores_kg = 12.0;
        let mut prepared = scenario.prepare().expect("a plan");
        prepared.plan.members = 37;
        let rows = ensemble::run(&prepared.plan, &()).expect("an ensemble");
        (prepared.plan, prepared.before_c, rows)
    }

    /// The same members, of which so many are held in memory at once.
    fn held(of: &MemberRows, most: usize) -> MemberRows {
        let mut rows = MemberRows::holding(most);
        rows.copy_from(of, of.len()).expect("a disk");
        rows
    }

    #[test]
    fn members_put_aside_come_back_with_their_bits() {
        let (_, _, rows) = few();
        let (own, days) = rows.in_memory().expect("few");
        for most in [1, 5, 36, 37] {
            let some_aside = held(&rows, most);
            assert_eq!(some_aside.in_memory().is_none(), most < 37);
            assert_eq!(some_aside.len(), 37);
            assert_eq!(some_aside.values(MemberRow::clone).expect("a disk"), own);
            let day = |number, daily| {
                let all = days.iter().map(|days| days.on_day(number, daily).to_bits());
                all.collect::<Vec<_>>()
            };
            // Members end on different days, and none has the last.
            for number in [0, 1, 100, 150, 211, 400] {
                for daily in Daily::ALL {
                    let values = some_aside.on_day(number, daily).expect("a disk");
                    let bits: Vec<u32> = values.into_iter().map(f32::to_bits).collect();
                    assert_eq!(bits, day(number, daily), "day {number}, {daily:?}");
                }
            }
            assert_eq!(some_aside.monthly_heat(), rows.monthly_heat());
        }
    }

    #[test]
    fn members_put_aside_give_the_same_answer() {
        let (mut plan, before_c, rows) = few();
        let some_aside = held(&rows, 5);
        for sampling in [Sampling::Plain, Sampling::Sobol] {
            plan.sampling = sampling;
            let answer = |rows: &MemberRows| {
                let summary = Summary::new(&plan, rows).expect("a disk");
                let advice = StoresAdvice::new(&plan, rows, &summary, &before_c);
                // Debug text tells every number to its last bit, and those that are none as alike.
                format!("{summary:?}{:?}", advice.expect("a disk"))
            };
            assert_eq!(answer(&rows), answer(&some_aside));
        }
    }

    #[test]
    fn an_ensemble_grows_on_members_put_aside() {
        let (plan, _, rows) = few();
        let mut grown = MemberRows::holding(5);
        for members in [3, 5, 6, 37] {
            let plan = Plan {
                members,
                ..plan.clone()
            };
            ensemble::grow(&plan, &mut grown, &()).expect("an ensemble");
            assert_eq!(grown.len(), members as usize);
        }
        let (own, _) = rows.in_memory().expect("few");
        assert_eq!(grown.values(MemberRow::clone).expect("a disk"), own);
    }

    #[test]
    fn no_more_is_looked_at_once_asked_to_stop() {
        let (plan, _, mut rows) = few();
        let stop = Arc::new(AtomicBool::new(false));
        rows.stop_on(Arc::clone(&stop));
        assert!(Summary::new(&plan, &rows).is_ok());
        stop.store(true, Ordering::Relaxed);
        let stopped = Err(RowsError::Interrupted);
        assert_eq!(Summary::new(&plan, &rows), stopped);
        assert_eq!(rows.on_day(0, Daily::HeatW), Err(RowsError::Interrupted));
    }

    #[test]
    fn members_put_aside_are_not_copied() {
        let (_, _, rows) = few();
        let mut copy = MemberRows::new();
        copy.copy_from(&held(&rows, 5), 37).expect("nothing");
        assert!(copy.is_empty());
        copy.copy_from(&rows, 9).expect("memory");
        copy.copy_from(&rows, 4).expect("memory");
        assert_eq!(copy.len(), 9);
    }
}
