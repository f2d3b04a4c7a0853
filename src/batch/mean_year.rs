//! The mean year of a station, and the days of a winter that rules find in it.

use crate::scenario::{ForageRule, MonthDay, Season, SeasonDays, StartRule};
use crate::weather::{Record, Variable};
use jiff::civil::Date;

const DAYS: usize = 365;
/// A year without 29 February.
const YEAR: i16 = 2001;
/// Hours a day of temperature without which it does not count (own choice).
const LEAST_HOURS: usize = 20;
/// Days on each side over which the mean year is smoothed: 15 in all (own choice; ten years leave a spread of some 0.6 K then, a
/// tenth of one day's).
const SIDE: usize = 7;
/// Warmth above which degree days count, °C: the usual base for plants of cool climates (common practice).
const GROWTH_BASE_C: f64 = 5.0;

/// Mean of all hours in January, °C, over the days of a record; none without any.
pub(super) fn january_mean_c(record: &Record) -> Option<f64> {
    let january: Vec<f64> = days(record)
        .filter(|(date, _)| date.month() == 1)
        .map(|(_, mean_c)| mean_c)
        .collect();
    (!january.is_empty()).then(|| january.iter().sum::<f64>() / january.len() as f64)
}

/// The season that a rule gives at the station of a record.
///
/// # Errors
/// In words, why it gives none.
pub(super) fn season(record: &Record, rule: &SeasonDays) -> Result<Season, String> {
    let year = MeanYear::new(record);
    let start = match rule.start {
        StartRule::On(day) => day,
        StartRule::Below(c) => year.after_warm(c)?,
    };
    let first_forage = match rule.first_forage {
        ForageRule::On(day) => day,
        ForageRule::Above(c) => year.warm_again(c)?,
        ForageRule::DegreeDays(sum_k_d) => year.grown(sum_k_d)?,
    };
    Season::new(start, first_forage)
}

/// Means over years of each day of a year without 29 February; not a number for days that the record lacks.
struct MeanYear {
    /// Smoothed mean, °C.
    mean_c: Vec<f64>,
    /// Mean of what daily means are above [`GROWTH_BASE_C`], K.
    growth_k: Vec<f64>,
}

impl MeanYear {
    fn new(record: &Record) -> Self {
        let mut count = [0.0; DAYS];
        let mut sum_c = [0.0; DAYS];
        let mut sum_k = [0.0; DAYS];
        for (date, mean_c) in days(record) {
            if let Some(day) = day_of_common_year(date) {
                count[day] += 1.0;
                sum_c[day] += mean_c;
                sum_k[day] += (mean_c - GROWTH_BASE_C).max(0.0);
            }
        }
        let mean = |day: usize| sum_c[day] / count[day];
        let smooth = |day: usize| {
            let around = day + DAYS - SIDE..=day + DAYS + SIDE;
            around.map(|near| mean(near % DAYS)).sum::<f64>() / (2 * SIDE + 1) as f64
        };
        Self {
            mean_c: (0..DAYS).map(smooth).collect(),
            growth_k: (0..DAYS).map(|day| sum_k[day] / count[day]).collect(),
        }
    }

    fn coldest(&self, than_c: f64) -> Result<usize, String> {
        let known = self.mean_c.iter().enumerate().filter(|(_, c)| !c.is_nan());
        let coldest = known.min_by(|(_, a), (_, b)| a.total_cmp(b));
        match coldest {
            Some((day, c)) if *c < than_c => Ok(day),
            Some((_, c)) => Err(format!(
                "the season cannot be found: the coldest time of the mean year is {c:.1} °C, not below {than_c:.1} °C"
            )),
            None => Err(
                "the season cannot be found: the record has no fifteen days in a row".to_owned(),
            ),
        }
    }

    /// The day after the last one before the coldest that is as warm as `c`.
    fn after_warm(&self, c: f64) -> Result<MonthDay, String> {
        let coldest = self.coldest(c)?;
        let back = self.warm(c, (1..DAYS).map(|back| (coldest + DAYS - back) % DAYS))?;
        month_day(back + 1)
    }

    /// The first day after the coldest that is as warm as `c`.
    fn warm_again(&self, c: f64) -> Result<MonthDay, String> {
        let coldest = self.coldest(c)?;
        month_day(self.warm(c, (1..DAYS).map(|on| (coldest + on) % DAYS))?)
    }

    /// The first of some days that is as warm as `c`.
    fn warm(&self, c: f64, days: impl Iterator<Item = usize>) -> Result<usize, String> {
        for day in days {
            let here_c = self.mean_c[day];
            if here_c.is_nan() {
                return Err(format!(
                    "the season cannot be found: the mean year lacks days about {} where it may pass {c:.1} °C",
                    month_day(day)?
                ));
            }
            if here_c >= c {
                return Ok(day);
            }
        }
        Err(format!(
            "the season cannot be found: the mean year is never as warm as {c:.1} °C"
        ))
    }

    /// The day by which so many degree days have gathered since 1 January.
    fn grown(&self, sum_k_d: f64) -> Result<MonthDay, String> {
        let mut left = sum_k_d;
        for (day, growth_k) in self.growth_k.iter().enumerate() {
            if growth_k.is_nan() {
                return Err(format!(
                    "the season cannot be found: the mean year lacks {} before it has {sum_k_d} degree days",
                    month_day(day)?
                ));
            }
            left -= growth_k;
            if left <= 0.0 {
                return month_day(day);
            }
        }
        Err(format!(
            "the season cannot be found: the mean year has less than {sum_k_d} degree days"
        ))
    }
}

/// Days of a record with their mean temperature, those of too few hours left out.
fn days(record: &Record) -> impl Iterator<Item = (Date, f64)> {
    let series = record.series(Variable::Temperature).unwrap_or_default();
    let first = record.first();
    let hour = usize::try_from(first.hour()).unwrap_or(0);
    // What comes before the first midnight is no whole day.
    let skipped = (24 - hour) % 24;
    let mut date = first.date();
    if skipped > 0 {
        date = date.tomorrow().unwrap_or(date);
    }
    let whole = series.get(skipped..).unwrap_or_default().chunks_exact(24);
    whole.filter_map(move |hours| {
        let today = date;
        date = date.tomorrow().unwrap_or(date);
        let known: Vec<f64> = hours.iter().copied().filter(|c| !c.is_nan()).collect();
        (known.len() >= LEAST_HOURS)
            .then(|| (today, known.iter().sum::<f64>() / known.len() as f64))
    })
}

/// From 0; none for 29 February.
fn day_of_common_year(date: Date) -> Option<usize> {
    let same = Date::new(YEAR, date.month(), date.day()).ok()?;
    usize::try_from(same.day_of_year() - 1).ok()
}

fn month_day(day: usize) -> Result<MonthDay, String> {
    let days = i32::try_from(day % DAYS).unwrap_or(0);
    Date::new(YEAR, 1, 1)
        .ok()
        .map(|first| first.saturating_add(jiff::Span::new().days(days)))
        .and_then(|date| MonthDay::new(date.month(), date.day()))
        .ok_or_else(|| format!("no day {day} in a year"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::weather::{ReadOptions, read_bytes};

    /// Two years whose days rise and fall by a quarter of a degree, coldest (-20.5 °C) on 15 January.
    fn record() -> Record {
        let mut text = String::from("time,temperature_c\n");
        let mut date = jiff::civil::date(2010, 1, 1);
        while date.year() < 2012 {
            let day = f64::from(date.day_of_year());
            let from_coldest = (day - 15.0).abs().min(365.0 - (day - 15.0).abs());
            for hour in 0..24 {
                let swing = if hour % 2 == 0 { 1.0 } else { -1.0 };
                let c = 0.25 * from_coldest - 20.5 + swing;
                text += &format!("{date}T{hour:02}:00,{c}\n");
            }
            date = date.tomorrow().expect("a day");
        }
        read_bytes("mine.csv", text.as_bytes(), &ReadOptions::default()).expect("a record")
    }

    fn days_of(start: StartRule, first_forage: ForageRule) -> Result<Season, String> {
        season(
            &record(),
            &SeasonDays {
                start,
                first_forage,
            },
        )
    }

    #[test]
    fn a_winter_begins_and_ends_where_the_mean_year_passes_the_rules_warmth() {
        // 10 °C is passed 122 days from the coldest: on 17 May and 15 September.
        let season = days_of(StartRule::Below(10.0), ForageRule::Above(10.0)).expect("a season");
        assert_eq!(season.start.to_string(), "16 September");
        assert_eq!(season.first_forage.to_string(), "17 May");
    }

    #[test]
    fn degree_days_are_summed_from_january() {
        // Above 5 °C from the 102nd day on; 0.25 k is the growth of the k-th after it: 7 K d after 7.
        let season =
            days_of(StartRule::Below(10.0), ForageRule::DegreeDays(7.0)).expect("a season");
        assert_eq!(season.first_forage.to_string(), "4 May");
    }

    #[test]
    fn a_year_that_does_not_pass_the_warmth_is_told() {
        let cold = days_of(StartRule::Below(-19.0), ForageRule::Above(-19.0));
        assert!(
            cold.unwrap_err().contains("to first_forage"),
            "too short a winter"
        );
        let warm = days_of(StartRule::Below(-20.9), ForageRule::Above(10.0));
        assert!(warm.unwrap_err().contains("not below -20.9"));
    }

    #[test]
    fn january_is_the_mean_of_its_days() {
        // 15 days from the coldest on one side sum to 105, 16 on the other to 136: 241 quarters of a degree over 31 days.
        let mean_c = january_mean_c(&record()).expect("January");
        assert!(
            (mean_c - (0.25 * 241.0 / 31.0 - 20.5)).abs() < 1e-9,
            "{mean_c}"
        );
    }
}
