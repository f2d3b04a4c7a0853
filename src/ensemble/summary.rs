//! The answer: what an ensemble's rows say together.

use super::confinement::Confinement;
use super::damp::{Damp, Share};
use super::feeding::Feeding;
use super::members::{MemberRows, largest, mean_of};
use super::plan::Plan;
use super::replicates::Chance;
use super::rows::{Daily, MemberRow};
use super::shared::{Figure, SharedRange};
use super::spill::RowsError;
use super::statistics::{mean, quantile, quantiles_of, sorted};
use crate::colony::{End, HoneyUse};
use crate::season::{Forcing, LossPath};
use jiff::civil::Date;
use serde::Serialize;

/// Shares of winters for which stores are stated.
pub const NEED_SHARES: [f64; 5] = [0.5, 0.8, 0.9, 0.95, 0.99];
/// Quantiles of daily series.
pub const DAY_QUANTILES: [f64; 5] = [0.05, 0.25, 0.5, 0.75, 0.95];

/// Honey that suffices for a share of winters.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Need {
    /// Share of members, 0 to 1.
    pub share: f64,
    /// Honey, kg.
    pub kg: f64,
    /// Interval of it by the chance of the draws, kg.
    pub interval_kg: (f64, f64),
    /// Range of it over what is not known about bees, kg; none with too few sets.
    pub shared: Option<SharedRange>,
    /// What the hive weighs at the start with the honey that it must have by then, which is less where feed comes in time, kg: hive and bees at their median, without rain, snow and
    /// stand.
    pub gross_kg: f64,
}

/// Share of members with one end.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct EndShare {
    /// The end.
    pub end: End,
    /// Members.
    pub count: usize,
    /// Their share, 0 to 1.
    pub share: f64,
    /// Interval of it by the chance of the draws.
    pub interval: (f64, f64),
}

/// Dates on which colonies starved.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct RanOut {
    /// Days after the start of winter by which a twentieth, half and nineteen twentieths of those that starved had done so.
    pub days: [f64; 3],
}

/// Where a share of the heat went.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct HeatShare {
    /// The path.
    pub path: LossPath,
    /// Share of all heat made, 0 to 1.
    pub share: f64,
}

/// One winter of the record.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WinterSummary {
    /// Its label.
    pub label: String,
    /// Members run through it.
    pub members: usize,
    /// Mean outside air, degC.
    pub mean_c: f64,
    /// Coldest hour, degC.
    pub coldest_c: f64,
    /// Median honey needed, kg.
    pub need_kg: f64,
    /// Share of members that starved.
    pub starved: f64,
    /// Longest confinement, days; the median of its members, as those that die early are confined less.
    pub confined_days: f64,
    /// Median of the most faeces that a bee held, as a share of its mass.
    pub gut_share: f64,
}

/// Quantiles of a day over all members.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct DayQuantiles {
    /// Days after the start.
    pub day: usize,
    /// Honey left, kg, at [`DAY_QUANTILES`].
    pub stores_kg: [f64; 5],
    /// Heat made by members alive, W, at [`DAY_QUANTILES`]; NaN when none is.
    pub heat_w: [f64; 5],
    /// What the hives of members alive weigh, kg, at [`DAY_QUANTILES`]; NaN when none is.
    pub gross_kg: [f64; 5],
    /// Share of members alive at its end.
    pub alive: f64,
    /// Mean hours of the day with a wet or frosted lid, of members alive; NaN when none is.
    pub wet_lid_h: f64,
}

/// What the members say together.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Summary {
    /// Members.
    pub members: usize,
    /// First day of the winters in a year whose next has no 29 February: dates of days are those of common years.
    pub start: Date,
    /// Days that every winter has: the last day of those with a 29 February is not among them.
    pub days: usize,
    /// Honey needed, by share of winters.
    pub needs: Vec<Need>,
    /// What the hive weighs at the start with all that is in it but honey, kg: twentieth, median, nineteen twentieths of members.
    pub bare_kg: [f64; 3],
    /// Mean honey needed, kg.
    pub mean_need_kg: f64,
    /// Share of members that starved.
    pub starved: f64,
    /// Interval of [`Summary::starved`] by the chance of the draws: Wilson's, of as many members as would tell as much if each were drawn by itself.
    pub starved_interval: (f64, f64),
    /// Range of [`Summary::starved`] over what is not known about bees; none with too few sets.
    pub starved_shared: Option<SharedRange>,
    /// When, if any did.
    pub ran_out: Option<RanOut>,
    /// Every end.
    pub ends: Vec<EndShare>,
    /// Where the heat went, largest first; shares of the heat made, which with the change of heat stored are one.
    pub heat: Vec<HeatShare>,
    /// Change of heat stored as a share of the heat made.
    pub stored: f64,
    /// Largest imbalance of any member's ledger.
    pub imbalance: f64,
    /// Water in the hive.
    pub damp: Damp,
    /// Bees kept in, and what they hold.
    pub confinement: Confinement,
    /// Mean use of honey to each colony's end.
    pub used: HoneyUse,
    /// What became of feed; none where the scenario gives none.
    pub feeding: Option<Feeding>,
    /// Median honey left out of reach by those that stranded, kg; none when none did.
    pub stranded_kg: Option<f64>,
    /// Median honey left by those alive, kg; none when none is.
    pub left_kg: Option<f64>,
    /// Each winter.
    pub winters: Vec<WinterSummary>,
    /// Each day.
    pub daily: Vec<DayQuantiles>,
}

impl Summary {
    /// Summarises `rows` of `plan`, one or more. Figures are looked at one after the other, so that a million members take the memory of a few of them.
    ///
    /// # Errors
    /// [`RowsError`] when rows cannot be read back.
    pub fn new(plan: &Plan, rows: &MemberRows) -> Result<Self, RowsError> {
        let of_members_kg = rows.numbered(|row| row.need_kg)?;
        let needs_kg = sorted(of_members_kg.iter().map(|(_, kg)| *kg).collect());
        let bares_kg = sorted(rows.values(|row| row.bare_kg)?);
        let bare_kg = [0.05, 0.5, 0.95].map(|share| quantile(&bares_kg, share));
        let chance = Chance::new(plan);
        let starved = Share::by(
            &chance,
            &rows.numbered(MemberRow::starved)?,
            &rows.numbered(|row| row.need_kg - row.stores_kg)?,
        );
        let start = plan
            .winters
            .first()
            .and_then(|winter| common(winter.start.date()))
            .unwrap_or(Date::ZERO);
        let days = plan.winters.iter().map(Forcing::days).min().unwrap_or(0);
        let (heat, stored) = heat(rows)?;
        let start_needs_kg = sorted(rows.values(|row| row.start_need_kg)?);
        let need = |share| Need {
            share,
            kg: quantile(&needs_kg, share),
            gross_kg: bare_kg[1] + quantile(&start_needs_kg, share),
            interval_kg: chance.of_quantile(&of_members_kg, &needs_kg, share),
            shared: SharedRange::new(chance.crossing(), &of_members_kg, Figure::Quantile(share)),
        };
        Ok(Self {
            members: rows.len(),
            start,
            days,
            needs: NEED_SHARES.map(need).to_vec(),
            bare_kg,
            mean_need_kg: mean(&needs_kg),
            starved: starved.share,
            starved_interval: starved.interval,
            starved_shared: starved.shared,
            ran_out: ran_out(rows)?,
            ends: ends(&chance, rows)?,
            heat,
            stored,
            imbalance: largest(rows, |row| row.ledger.imbalance().abs())?,
            damp: Damp::new(&chance, rows)?,
            confinement: Confinement::new(&chance, rows)?,
            used: HoneyUse {
                heat_kg: mean_of(rows, |row| row.used.heat_kg)?,
                brood_kg: mean_of(rows, |row| row.used.brood_kg)?,
                activity_kg: mean_of(rows, |row| row.used.activity_kg)?,
            },
            feeding: Feeding::new(rows, plan.colony.feeds.len())?,
            stranded_kg: median_left_kg(rows, End::Stranded)?,
            left_kg: median_left_kg(rows, End::Alive)?,
            winters: winters(plan, rows)?,
            daily: daily(rows, days)?,
        })
    }

    /// Share of members that were chilled or too few.
    #[must_use]
    pub fn chilled(&self) -> f64 {
        let chilled = self.ends.iter().find(|end| end.end == End::Chilled);
        chilled.map_or(0.0, |end| end.share)
    }

    /// A day after the start as a date without its year, which differs between winters: "2 April".
    #[must_use]
    pub fn day_words(&self, day: f64) -> String {
        self.date(day)
            .map_or_else(String::new, |date| date.strftime("%-d %B").to_string())
    }

    /// A day after the start as month and day: "04-02".
    #[must_use]
    pub fn date_words(&self, day: f64) -> String {
        self.date(day)
            .map_or_else(String::new, |date| date.strftime("%m-%d").to_string())
    }

    fn date(&self, day: f64) -> Option<Date> {
        let days = jiff::Span::new().try_days(day.round() as i64).ok()?;
        self.start.checked_add(days).ok()
    }

    /// Honey needed for a share of winters that is one of 0.5, 0.8, 0.9, 0.95 and 0.99.
    #[must_use]
    pub fn need(&self, share: f64) -> Option<&Need> {
        self.needs.iter().find(|need| need.share == share)
    }
}

/// The same day in a year that neither is nor precedes a leap year.
fn common(date: Date) -> Option<Date> {
    Date::new(2001, date.month(), date.day()).ok()
}

fn ends(chance: &Chance, rows: &MemberRows) -> Result<Vec<EndShare>, RowsError> {
    let ends = rows.numbered(|row| row.end)?;
    let of = |end: End| {
        let are: Vec<(u32, bool)> = ends
            .iter()
            .map(|(member, own)| (*member, *own == end))
            .collect();
        let Share {
            share, interval, ..
        } = Share::new(chance, &are);
        EndShare {
            end,
            count: are.iter().filter(|(_, is)| *is).count(),
            share,
            interval,
        }
    };
    Ok(End::ALL.map(of).to_vec())
}

/// Median honey left by members with one end, kg; none without any.
fn median_left_kg(rows: &MemberRows, end: End) -> Result<Option<f64>, RowsError> {
    let left_kg = rows.values_of_some(|row| (row.end == end).then_some(row.left_kg))?;
    Ok((!left_kg.is_empty()).then(|| quantile(&sorted(left_kg), 0.5)))
}

fn ran_out(rows: &MemberRows) -> Result<Option<RanOut>, RowsError> {
    let days = rows.values_of_some(|row| {
        let day = row.end_day().filter(|_| row.starved());
        day.map(|day| day as f64)
    })?;
    if days.is_empty() {
        return Ok(None);
    }
    let days = sorted(days);
    Ok(Some(RanOut {
        days: [0.05, 0.5, 0.95].map(|share| quantile(&days, share)),
    }))
}

/// Shares of all heat made by all members, largest first, and the share that went into storage.
fn heat(rows: &MemberRows) -> Result<(Vec<HeatShare>, f64), RowsError> {
    let (mut made_j, mut stored_j, mut paths_j) = (0.0, 0.0, [0.0; LossPath::ALL.len()]);
    rows.each(|row| {
        made_j += row.ledger.made_j;
        stored_j += row.ledger.stored_j;
        for (sum_j, path) in paths_j.iter_mut().zip(LossPath::ALL) {
            *sum_j += row.ledger.lost_j(path);
        }
    })?;
    let mut shares = LossPath::ALL
        .map(|path| HeatShare {
            path,
            share: paths_j[path as usize] / made_j,
        })
        .to_vec();
    shares.sort_by(|a, b| b.share.total_cmp(&a.share));
    Ok((shares, stored_j / made_j))
}

fn winters(plan: &Plan, rows: &MemberRows) -> Result<Vec<WinterSummary>, RowsError> {
    let medians = |value: fn(&MemberRow) -> f64| {
        let mut of_winters = vec![Vec::new(); plan.winters.len()];
        rows.each(|row| {
            if let Some(of_winter) = of_winters.get_mut(row.winter) {
                of_winter.push(value(row));
            }
        })?;
        let median = |values: Vec<f64>| quantile(&sorted(values), 0.5);
        Ok::<Vec<f64>, RowsError>(of_winters.into_iter().map(median).collect())
    };
    let needs_kg = medians(|row| row.need_kg)?;
    let confined_days = medians(|row| row.confined_days)?;
    let gut_shares = medians(|row| row.gut_share)?;
    let mut counts = vec![(0, 0); plan.winters.len()];
    rows.each(|row| {
        if let Some((members, starved)) = counts.get_mut(row.winter) {
            *members += 1;
            *starved += usize::from(row.starved());
        }
    })?;
    let summary = |(number, winter): (usize, &Forcing)| {
        let (members, starved) = counts[number];
        let outside: Vec<f64> = winter.instants.iter().map(|at| at.outside_c).collect();
        (members > 0).then(|| WinterSummary {
            label: winter.label.clone(),
            members,
            mean_c: mean(&outside),
            coldest_c: outside.iter().copied().fold(f64::INFINITY, f64::min),
            need_kg: needs_kg[number],
            starved: starved as f64 / members as f64,
            confined_days: confined_days[number],
            gut_share: gut_shares[number],
        })
    };
    Ok(plan
        .winters
        .iter()
        .enumerate()
        .filter_map(summary)
        .collect())
}

fn daily(rows: &MemberRows, days: usize) -> Result<Vec<DayQuantiles>, RowsError> {
    // Those that ended on each day, and on any later one in the last place.
    let mut ended = vec![0_usize; days + 1];
    rows.each(|row| {
        if let Some(day) = row.end_day() {
            ended[day.min(days)] += 1;
        }
    })?;
    let mut alive = rows.len();
    let mut quantiles = Vec::with_capacity(days);
    for (day, ended) in ended.into_iter().enumerate().take(days) {
        alive -= ended;
        let quantiles_of = |daily| {
            let mut values = known_on_day(rows, day, daily)?;
            Ok::<_, RowsError>(quantiles_of(&mut values, DAY_QUANTILES))
        };
        quantiles.push(DayQuantiles {
            day,
            stores_kg: quantiles_of(Daily::StoresKg)?,
            heat_w: quantiles_of(Daily::HeatW)?,
            gross_kg: quantiles_of(Daily::GrossKg)?,
            alive: alive as f64 / rows.len() as f64,
            wet_lid_h: mean(&known_on_day(rows, day, Daily::WetLidH)?),
        });
    }
    Ok(quantiles)
}

/// A figure of a day, of the members that have it.
fn known_on_day(rows: &MemberRows, day: usize, daily: Daily) -> Result<Vec<f64>, RowsError> {
    let values = rows.on_day(day, daily)?.into_iter().map(f64::from);
    Ok(values.filter(|value| !value.is_nan()).collect())
}
