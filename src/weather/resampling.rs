//! More winters than a record has: recorded ones cut into blocks of days and joined anew.
//!
//! A resampled winter is a list of [`Source`]s, one for each hour: which recorded winter and which of its
//! hours stands there. The rows themselves are never altered, so all variables of an hour stay together
//! and so does the hour of the day. Each block comes from within a few days of its place in the calendar,
//! from another winter than the block before, and starts where the temperature is within a bound of what
//! the block before would have gone on with.
//!
//! Blocks of one resampled winter come from a few winters of like mean temperature (its companions), for
//! if they came from all winters alike, every resampled winter would be near the mean of the record and
//! hard winters would be lost. This is the block bootstrap (Künsch 1989, Ann. Stat. 17:1217) with
//! the matched joints of Carlstein et al. 1998, Bernoulli 4:305.
//!
//! **What is kept and what is not** (measured in `tests/weather/resampled_winters.rs` on 20 winters, and by hand
//! on a dozen records of 10 and 20): monthly means to about 0.5 K, spread and autocorrelation of daily
//! means, length of cold spells, and ties between variables are those of the record. The spread of whole
//! winters is 0 to 13 % too small (5 to 24 % without companions), and memory beyond a block's length is lost
//! but for companions and joints. No hour is colder than the coldest recorded one. At a joint only
//! temperature is bounded (fewer than 1 % of joints go beyond, for want of a better one); the other
//! variables jump as between any two midnights of the season, on average 2 m/s, 8 hPa, 0.4 of the sky and
//! 2.6 K of dew point. Radiation may belong to a day up to the window away.
//!
//! ```
//! use overwinter::weather::resampling::{Blocks, gather, resample};
//!
//! let cold: Vec<f64> = (0..2_400).map(|hour| -10.0 + f64::from(hour % 24) / 4.0).collect();
//! let mild: Vec<f64> = cold.iter().map(|t| t + 2.0).collect();
//! let colder: Vec<f64> = cold.iter().map(|t| t - 1.0).collect();
//! let record = [&cold[..], &mild[..], &colder[..]];
//! let sources = resample(&record, 2_400, &Blocks::default(), 1, 0)?;
//! let temperatures = gather(&record, &sources).ok_or("no such hour")?;
//! assert_eq!(temperatures.len(), 2_400);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod winters;

use rand::rngs::ChaCha12Rng;
use rand::{RngExt, SeedableRng};
use thiserror::Error;

use super::humidity::{dew_point_c, relative_humidity_fraction};

pub use self::winters::{resample_winters, warm_winter};

const DAY_H: usize = 24;

/// How winters are cut and joined. The defaults are own estimates: blocks long enough to hold a passing
/// high or low whole, short enough that many can be put together.
#[derive(Debug, Clone, PartialEq)]
pub struct Blocks {
    /// Shortest block, days; at least 1.
    pub shortest_days: usize,
    /// Longest block, days; at least the shortest, at most 60.
    pub longest_days: usize,
    /// How far a block may be from its place in the calendar, days; at most 45.
    pub window_days: usize,
    /// Largest jump of temperature at a joint, K. When no companion offers less, any winter of the record
    /// may; when none does, the smallest jump is taken.
    pub joint_k: f64,
    /// Number of winters that one resampled winter is made of, or up to two more; without a number a third
    /// of the record, at least three.
    pub companions: Option<usize>,
}

impl Default for Blocks {
    fn default() -> Self {
        Self {
            shortest_days: 7,
            longest_days: 14,
            window_days: 10,
            joint_k: 2.0,
            companions: None,
        }
    }
}

/// Where an hour of a resampled winter comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Source {
    /// Index of the recorded winter.
    pub winter: usize,
    /// Index of the hour within it.
    pub hour: usize,
}

/// A record or a setting that cannot be resampled.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ResamplingError {
    /// Too few winters.
    #[error(
        "resampling needs at least 2 recorded winters and is of use from about 8; the record has {found}"
    )]
    Winters {
        /// Number of winters given.
        found: usize,
    },
    /// A winter that does not reach the length asked for.
    #[error(
        "winter {winter} of the record has {found} hours, {wanted} are needed (one day less is \
         allowed, for leap years): leave it out or shorten the season"
    )]
    Length {
        /// Index of the winter, from 0.
        winter: usize,
        /// Its hours.
        found: usize,
        /// The hours asked for.
        wanted: usize,
    },
    /// A temperature that is no number.
    #[error(
        "winter {winter} of the record, hour {hour}: the temperature is {value}; fill gaps first"
    )]
    Temperature {
        /// Index of the winter, from 0.
        winter: usize,
        /// Index of the hour, from 0.
        hour: usize,
        /// The value.
        value: f64,
    },
    /// A setting out of range.
    #[error("resampling: {field} is {value}, allowed is {allowed}")]
    Setting {
        /// The setting.
        field: &'static str,
        /// Its value.
        value: f64,
        /// The range in words.
        allowed: &'static str,
    },
}

/// Draws one resampled winter.
///
/// `temperatures_c` are the recorded winters, hour by hour, all from the same calendar day and hour on
/// (leap days shift the later part by a day, which is of no account); a block starts in a whole day of
/// its winter. `hours` is the length wanted.
/// `index` numbers the resampled winters: each has its own ChaCha12 stream, so the same seed and
/// index give the same winter whatever else is drawn.
///
/// # Errors
/// [`ResamplingError`] for fewer than two winters, a winter too short, a temperature that is not finite,
/// or a setting out of range.
pub fn resample(
    temperatures_c: &[&[f64]],
    hours: usize,
    blocks: &Blocks,
    seed: u64,
    index: u64,
) -> Result<Vec<Source>, ResamplingError> {
    let record: Vec<&[f64]> = temperatures_c
        .iter()
        .map(|winter| whole_days(winter))
        .collect();
    check(&record, hours, blocks)?;
    let mut rng = ChaCha12Rng::seed_from_u64(seed);
    rng.set_stream(index);
    let all: Vec<usize> = (0..record.len()).collect();
    let companions = companions(&record, blocks, &mut rng);

    let mut sources: Vec<Source> = Vec::with_capacity(hours);
    while sources.len() < hours {
        let mut joints = joints(&record, &companions, blocks, &sources);
        if joints.within.is_empty() {
            joints = self::joints(&record, &all, blocks, &sources);
        }
        let start = joints
            .draw(&mut rng)
            .ok_or(ResamplingError::Winters { found: 1 })?;
        let spread = blocks.longest_days - blocks.shortest_days + 1;
        let length = DAY_H * (blocks.shortest_days + pick(&mut rng, spread));
        let mut end = record[start.winter].len().min(start.hour + length);
        // The hours of the last, broken day go with the block before, where its winter has them.
        let left = hours.saturating_sub(sources.len() + end - start.hour);
        if left < DAY_H && end + left <= temperatures_c[start.winter].len() {
            end += left;
        }
        sources.extend((start.hour..end).map(|hour| Source {
            winter: start.winter,
            hour,
        }));
    }
    sources.truncate(hours);
    Ok(sources)
}

/// Rows of a record by their sources; nothing when a source is outside the record.
pub fn gather<T: Clone>(winters: &[&[T]], sources: &[Source]) -> Option<Vec<T>> {
    sources
        .iter()
        .map(|s| winters.get(s.winter)?.get(s.hour).cloned())
        .collect()
}

/// Temperature and dew point, °C, of air made warmer by `shift_k` at the same relative humidity, as
/// warming has left it so far (from memory: IPCC AR6, chapter 8; over land it falls slightly). A
/// negative shift cools.
pub fn warmed(temperature_c: f64, dew_point_c_before: f64, shift_k: f64) -> (f64, f64) {
    let humidity = relative_humidity_fraction(temperature_c, dew_point_c_before);
    let warmer = temperature_c + shift_k;
    (warmer, dew_point_c(warmer, humidity))
}

fn whole_days(winter: &[f64]) -> &[f64] {
    &winter[..winter.len() / DAY_H * DAY_H]
}

fn check(record: &[&[f64]], hours: usize, blocks: &Blocks) -> Result<(), ResamplingError> {
    if record.len() < 2 {
        return Err(ResamplingError::Winters {
            found: record.len(),
        });
    }
    for (winter, temperatures) in record.iter().enumerate() {
        if temperatures.len() < DAY_H || temperatures.len() + DAY_H < hours {
            let found = temperatures.len();
            return Err(ResamplingError::Length {
                winter,
                found,
                wanted: hours.max(DAY_H),
            });
        }
        if let Some(hour) = temperatures.iter().position(|t| !t.is_finite()) {
            let value = temperatures[hour];
            return Err(ResamplingError::Temperature {
                winter,
                hour,
                value,
            });
        }
    }
    let setting = |ok: bool, field, value, allowed| {
        if ok {
            Ok(())
        } else {
            Err(ResamplingError::Setting {
                field,
                value,
                allowed,
            })
        }
    };
    let Blocks {
        shortest_days,
        longest_days,
        window_days,
        joint_k,
        companions,
    } = blocks;
    setting(
        (1..=60).contains(shortest_days),
        "the shortest block",
        *shortest_days as f64,
        "1 to 60 days",
    )?;
    setting(
        (*shortest_days..=60).contains(longest_days),
        "the longest block",
        *longest_days as f64,
        "the shortest block to 60 days",
    )?;
    setting(
        (1..=45).contains(window_days),
        "the calendar window",
        *window_days as f64,
        "1 to 45 days",
    )?;
    setting(
        *joint_k >= 0.0,
        "the jump at a joint",
        *joint_k,
        "0 K or more",
    )?;
    let companions = companions.unwrap_or(2);
    setting(
        companions >= 2,
        "the number of companions",
        companions as f64,
        "2 or more",
    )
}

/// Winters of like mean temperature. The record, sorted by mean, is cut into groups at random and one
/// group is drawn in proportion to its size, so that every winter is as likely as the others (those
/// nearest to one drawn would have the middling winters too often).
fn companions(record: &[&[f64]], blocks: &Blocks, rng: &mut ChaCha12Rng) -> Vec<usize> {
    let mean = |winter: &usize| record[*winter].iter().sum::<f64>() / record[*winter].len() as f64;
    let mut winters: Vec<usize> = (0..record.len()).collect();
    // A stable sort: winters of equal mean stay in the order of the record.
    winters.sort_by(|a, b| mean(a).total_cmp(&mean(b)));
    let size = blocks
        .companions
        .unwrap_or((record.len() / 3).max(3))
        .min(record.len());
    let drawn = pick(rng, winters.len());
    let first_cut = pick(rng, size);
    // No group at either end is so small that its blocks would come from one or two winters.
    let fewest = size.min(3);
    let cuts = (first_cut..winters.len()).step_by(size);
    let (mut from, mut to) = (0, winters.len());
    for cut in cuts.filter(|cut| *cut >= fewest && *cut + fewest <= winters.len()) {
        if cut <= drawn {
            from = cut;
        } else {
            to = to.min(cut);
        }
    }
    winters[from..to].to_vec()
}

/// Where the next block may start.
#[derive(Default)]
struct Joints {
    /// Starts whose jump of temperature is within the bound.
    within: Vec<Source>,
    /// The start with the smallest jump, and that jump.
    best: Option<(f64, Source)>,
}

impl Joints {
    fn draw(&self, rng: &mut ChaCha12Rng) -> Option<Source> {
        match self.within.len() {
            0 => self.best.map(|(_, source)| source),
            count => Some(self.within[pick(rng, count)]),
        }
    }
}

fn joints(record: &[&[f64]], winters: &[usize], blocks: &Blocks, sources: &[Source]) -> Joints {
    let here = sources.len();
    let last = sources.last();
    // What the block before would have gone on with, or its last hour at the end of its winter.
    let expected = last.map(|source| {
        let winter = record[source.winter];
        winter[(source.hour + 1).min(winter.len() - 1)]
    });
    let mut joints = Joints::default();
    for &winter in winters
        .iter()
        .filter(|w| last.is_none_or(|last| last.winter != **w))
    {
        let last_start = record[winter].len() - DAY_H;
        // As far back as forth, also at the ends of the season: else its first weeks would be too cold
        // and its last ones too. A winter a day short still has a start for the last day, the day before.
        let reach = (blocks.window_days * DAY_H)
            .min(here)
            .min(last_start.saturating_sub(here));
        let (earliest, latest) = (
            (here - reach).min(last_start),
            (here + reach).min(last_start),
        );
        // The hour of the day is kept: whole days from here, back and forth.
        for hour in (earliest..=latest).step_by(DAY_H) {
            let jump = expected.map_or(0.0, |expected| (record[winter][hour] - expected).abs());
            let source = Source { winter, hour };
            if jump <= blocks.joint_k {
                joints.within.push(source);
            }
            if joints.best.is_none_or(|(smallest, _)| jump < smallest) {
                joints.best = Some((jump, source));
            }
        }
    }
    joints
}

/// A number below `count`, each as likely as the other to 2^-64.
fn pick(rng: &mut ChaCha12Rng, count: usize) -> usize {
    ((u128::from(rng.random::<u64>()) * count as u128) >> 64) as usize
}

#[cfg(test)]
mod tests;
