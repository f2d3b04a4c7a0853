//! The answer: what an ensemble's rows say together.

use super::confinement::Confinement;
use super::damp::Damp;
use super::feeding::Feeding;
use super::plan::Plan;
use super::randomised::Chance;
use super::rows::MemberRow;
use super::statistics::{mean, quantile, sorted, wilson};
use crate::colony::{End, HoneyUse};
use crate::season::Path;
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
    /// Interval of it from the number of members, kg.
    pub interval_kg: (f64, f64),
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
    /// Wilson interval of it.
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
    pub path: Path,
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
    /// Share of members that starved, with its Wilson interval.
    pub starved: f64,
    /// Interval of [`Summary::starved`]: Wilson's, of Sobol draws with as many members as would tell as much if each were drawn by itself.
    pub starved_interval: (f64, f64),
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
    /// Summarises `rows` of `plan`, one or more.
    #[must_use]
    pub fn new(plan: &Plan, rows: &[MemberRow]) -> Self {
        let needs_kg = sorted(rows.iter().map(|row| row.need_kg).collect());
        let bares_kg = sorted(rows.iter().map(|row| row.bare_kg).collect());
        let bare_kg = [0.05, 0.5, 0.95].map(|share| quantile(&bares_kg, share));
        let chance = Chance::new(plan, rows);
        let starved = rows.iter().filter(|row| row.starved()).count();
        let start = plan
            .winters
            .first()
            .and_then(|winter| common(winter.start.date()))
            .unwrap_or(Date::ZERO);
        let days = plan
            .winters
            .iter()
            .map(|winter| winter.days())
            .min()
            .unwrap_or(0);
        let (heat, stored) = heat(rows);
        let start_needs_kg = sorted(rows.iter().map(|row| row.start_need_kg).collect());
        Self {
            members: rows.len(),
            start,
            days,
            needs: NEED_SHARES
                .map(|share| Need {
                    share,
                    kg: quantile(&needs_kg, share),
                    gross_kg: bare_kg[1] + quantile(&start_needs_kg, share),
                    interval_kg: chance.of_quantile(&needs_kg, share),
                })
                .to_vec(),
            bare_kg,
            mean_need_kg: mean(&needs_kg),
            starved: starved as f64 / rows.len() as f64,
            starved_interval: chance.of_share(&|row| row.starved()),
            ran_out: ran_out(rows),
            ends: End::ALL.map(|end| end_share(rows, end)).to_vec(),
            heat,
            stored,
            imbalance: rows
                .iter()
                .map(|row| row.ledger.imbalance().abs())
                .fold(0.0, f64::max),
            damp: Damp::new(rows),
            confinement: Confinement::new(rows),
            used: HoneyUse {
                heat_kg: mean_of(rows, |row| row.used.heat_kg),
                brood_kg: mean_of(rows, |row| row.used.brood_kg),
                activity_kg: mean_of(rows, |row| row.used.activity_kg),
            },
            feeding: Feeding::new(rows, plan.colony.feeds.len()),
            stranded_kg: median_left_kg(rows, End::Stranded),
            left_kg: median_left_kg(rows, End::Alive),
            winters: winters(plan, rows),
            daily: (0..days).map(|day| daily(rows, day)).collect(),
        }
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

fn mean_of(rows: &[MemberRow], value: impl Fn(&MemberRow) -> f64) -> f64 {
    rows.iter().map(value).sum::<f64>() / rows.len() as f64
}

fn end_share(rows: &[MemberRow], end: End) -> EndShare {
    let count = rows.iter().filter(|row| row.end == end).count();
    EndShare {
        end,
        count,
        share: count as f64 / rows.len() as f64,
        interval: wilson(count, rows.len()),
    }
}

/// Median honey left by members with one end, kg; none without any.
fn median_left_kg(rows: &[MemberRow], end: End) -> Option<f64> {
    let of_end = rows.iter().filter(|row| row.end == end);
    let left_kg: Vec<f64> = of_end.map(|row| row.left_kg).collect();
    (!left_kg.is_empty()).then(|| quantile(&sorted(left_kg), 0.5))
}

fn ran_out(rows: &[MemberRow]) -> Option<RanOut> {
    let days: Vec<f64> = rows
        .iter()
        .filter(|row| row.starved())
        .filter_map(|row| row.end_day())
        .map(|day| day as f64)
        .collect();
    if days.is_empty() {
        return None;
    }
    let days = sorted(days);
    Some(RanOut {
        days: [0.05, 0.5, 0.95].map(|share| quantile(&days, share)),
    })
}

/// Shares of all heat made by all members, largest first, and the share that went into storage.
fn heat(rows: &[MemberRow]) -> (Vec<HeatShare>, f64) {
    let made_j: f64 = rows.iter().map(|row| row.ledger.made_j).sum();
    let stored_j: f64 = rows.iter().map(|row| row.ledger.stored_j).sum();
    let mut shares = Path::ALL
        .map(|path| HeatShare {
            path,
            share: rows.iter().map(|row| row.ledger.lost_j(path)).sum::<f64>() / made_j,
        })
        .to_vec();
    shares.sort_by(|a, b| b.share.total_cmp(&a.share));
    (shares, stored_j / made_j)
}

fn winters(plan: &Plan, rows: &[MemberRow]) -> Vec<WinterSummary> {
    plan.winters
        .iter()
        .enumerate()
        .filter_map(|(number, winter)| {
            let own: Vec<&MemberRow> = rows.iter().filter(|row| row.winter == number).collect();
            let outside: Vec<f64> = winter.instants.iter().map(|at| at.outside_c).collect();
            let median = |value: fn(&MemberRow) -> f64| {
                quantile(&sorted(own.iter().map(|row| value(row)).collect()), 0.5)
            };
            (!own.is_empty()).then(|| WinterSummary {
                label: winter.label.clone(),
                members: own.len(),
                mean_c: mean(&outside),
                coldest_c: outside.iter().copied().fold(f64::INFINITY, f64::min),
                need_kg: median(|row| row.need_kg),
                starved: own.iter().filter(|row| row.starved()).count() as f64 / own.len() as f64,
                confined_days: median(|row| row.confined_days),
                gut_share: median(|row| row.gut_share),
            })
        })
        .collect()
}

fn daily(rows: &[MemberRow], day: usize) -> DayQuantiles {
    let at_day = |series: fn(&MemberRow) -> &Vec<f32>| {
        let values = rows.iter().filter_map(|row| series(row).get(day).copied());
        sorted(values.map(f64::from).collect())
    };
    let stores = at_day(|row| &row.daily_stores_kg);
    let heat = at_day(|row| &row.daily_heat_w);
    let gross = at_day(|row| &row.daily_gross_kg);
    DayQuantiles {
        day,
        stores_kg: DAY_QUANTILES.map(|share| quantile(&stores, share)),
        heat_w: DAY_QUANTILES.map(|share| quantile(&heat, share)),
        gross_kg: DAY_QUANTILES.map(|share| quantile(&gross, share)),
        alive: rows.iter().filter(|row| row.alive_after(day)).count() as f64 / rows.len() as f64,
        wet_lid_h: {
            let wet = rows.iter().filter_map(|row| row.daily_wet_lid_h.get(day));
            mean(&wet.map(|hours| f64::from(*hours)).collect::<Vec<_>>())
        },
    }
}
