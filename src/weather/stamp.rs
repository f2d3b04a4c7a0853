//! Time stamps as files write them, in minutes since 1970-01-01T00:00 of the clock they are on.

use jiff::SignedDuration;
use jiff::civil::{Date, DateTime};
use jiff::fmt::temporal::Pieces;

/// Minutes in an hour.
pub(crate) const HOUR: i64 = 60;

/// Minutes in a day.
pub(crate) const DAY: i64 = 24 * HOUR;

/// Years that hourly records can be of; a date beyond is a mistake.
const YEARS: std::ops::RangeInclusive<i16> = 1750..=2200;

const EPOCH: DateTime = DateTime::constant(1970, 1, 1, 0, 0, 0, 0);

/// A stamp as written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Stamp {
    /// Minutes on the clock that the text shows.
    pub minute: i64,
    /// Minutes of that clock ahead of UTC, when the text says so.
    pub offset: Option<i64>,
}

/// Minutes of a civil time, seconds rounded down.
pub(crate) fn minutes(time: DateTime) -> i64 {
    time.duration_since(EPOCH).as_secs().div_euclid(60)
}

/// The civil time of minutes; the epoch for minutes outside all calendars, which no reader lets in.
pub(crate) fn civil(minutes: i64) -> DateTime {
    SignedDuration::try_from_mins(minutes)
        .and_then(|duration| EPOCH.checked_add(duration).ok())
        .unwrap_or(EPOCH)
}

/// The civil time of hours since the epoch.
pub(crate) fn civil_hour(hours: i64) -> DateTime {
    civil(hours.saturating_mul(HOUR))
}

/// A stamp as text for messages, to the minute.
pub(crate) fn text(minutes: i64) -> String {
    let t = civil(minutes);
    format!(
        "{:04}-{:02}-{:02} {:02}:{:02}",
        t.year(),
        t.month(),
        t.day(),
        t.hour(),
        t.minute()
    )
}

/// Minutes of a date given in parts; hour 24 is midnight at the end of the day.
pub(crate) fn from_parts(year: i64, month: i64, day: i64, hour: i64, minute: i64) -> Option<i64> {
    let clock = hour.checked_mul(HOUR)?.checked_add(minute)?;
    if !(0..=DAY).contains(&clock) || !(0..=HOUR).contains(&minute) {
        return None;
    }
    let date = Date::new(
        year.try_into().ok()?,
        month.try_into().ok()?,
        day.try_into().ok()?,
    )
    .ok()?;
    YEARS
        .contains(&date.year())
        .then(|| minutes(date.at(0, 0, 0, 0)) + clock)
}

/// Reads `2019-10-01T00:00`, `2019-10-01 00:00`, with seconds or not, with `Z` or an offset such as
/// `+01:00` or not; `24:00` is midnight at the end of the day.
pub(crate) fn parse(text: &str) -> Option<Stamp> {
    let text = text.trim();
    if let Some((date, end)) = text.split_once(['T', ' '])
        && let Some(offset) = end.strip_prefix("24:00")
    {
        let midnight = parse(&format!("{date}T00:00{offset}"))?;
        return Some(Stamp {
            minute: midnight.minute + DAY,
            ..midnight
        });
    }
    let pieces = Pieces::parse(text).ok()?;
    let time = pieces.time()?;
    if !YEARS.contains(&pieces.date().year()) {
        return None;
    }
    Some(Stamp {
        minute: minutes(pieces.date().to_datetime(time)),
        offset: pieces
            .to_numeric_offset()
            .map(|offset| i64::from(offset.seconds()).div_euclid(60)),
    })
}

/// Remembers the last date read: consecutive rows share it.
#[derive(Debug, Default)]
pub(crate) struct DateCache {
    parts: (i64, i64, i64),
    midnight: Option<i64>,
}

impl DateCache {
    /// As [`from_parts`], faster for the same date again.
    pub(crate) fn parts(
        &mut self,
        (year, month, day): (i64, i64, i64),
        hour: i64,
        minute: i64,
    ) -> Option<i64> {
        if self.midnight.is_none() || self.parts != (year, month, day) {
            self.midnight = Some(from_parts(year, month, day, 0, 0)?);
            self.parts = (year, month, day);
        }
        let clock = hour.checked_mul(HOUR)?.checked_add(minute)?;
        ((0..=DAY).contains(&clock) && (0..=HOUR).contains(&minute))
            .then(|| self.midnight.map(|midnight| midnight + clock))?
    }

    /// As [`parse`], faster for `YYYY-MM-DDTHH:MM` and `YYYY-MM-DD HH:MM` with nothing behind, or `:SS`.
    pub(crate) fn parse(&mut self, text: &str) -> Option<Stamp> {
        let bytes = text.as_bytes();
        let plain = matches!(bytes.len(), 16 | 19)
            && bytes[4] == b'-'
            && bytes[7] == b'-'
            && matches!(bytes[10], b'T' | b' ')
            && bytes[13] == b':'
            && (bytes.len() == 16 || bytes[16] == b':');
        let part = |from: usize, to: usize| digits(&bytes[from..to]);
        if plain
            && let (Some(year), Some(month), Some(day), Some(hour), Some(minute)) = (
                part(0, 4),
                part(5, 7),
                part(8, 10),
                part(11, 13),
                part(14, 16),
            )
        {
            let minute = self.parts((year, month, day), hour, minute)?;
            return Some(Stamp {
                minute,
                offset: None,
            });
        }
        parse(text)
    }
}

/// A number of up to nine digits and nothing else.
pub(crate) fn digits(bytes: &[u8]) -> Option<i64> {
    if bytes.is_empty() || bytes.len() > 9 || !bytes.iter().all(u8::is_ascii_digit) {
        return None;
    }
    Some(
        bytes
            .iter()
            .fold(0, |sum, byte| sum * 10 + i64::from(byte - b'0')),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stamps_are_read_with_and_without_offset() {
        let at = |text| parse(text).unwrap();
        let plain = at("2019-10-01T00:00");
        assert_eq!(plain.offset, None);
        assert_eq!(text(plain.minute), "2019-10-01 00:00");
        assert_eq!(at("2019-10-01 00:00:30"), plain);
        assert_eq!(at("2019-10-01T00:00Z").offset, Some(0));
        assert_eq!(at("2019-10-01T00:00-06:00").offset, Some(-360));
        assert_eq!(at("2019-10-01T00:00-06:00").minute, plain.minute);
        assert_eq!(at("2019-09-30T24:00"), plain);
    }

    #[test]
    fn the_cache_reads_what_the_parser_reads() {
        let mut cache = DateCache::default();
        for text in [
            "2019-10-01T00:00",
            "2019-10-01 23:54:00",
            "2020-02-29T12:30",
            "2019-10-01T05:00+01:00",
            "2019-02-29T12:30",
            "2019-10-01T24:00",
            "2019-10-01",
            "yesterday",
            "2019-10-01T7:00",
        ] {
            assert_eq!(cache.parse(text), parse(text), "{text}");
        }
    }

    #[test]
    fn impossible_dates_and_hours_are_no_stamps() {
        assert_eq!(from_parts(2019, 2, 29, 0, 0), None);
        assert_eq!(from_parts(2019, 2, 28, 25, 0), None);
        assert_eq!(from_parts(2019, 13, 1, 0, 0), None);
        assert_eq!(from_parts(i64::MAX, 1, 1, i64::MAX, 0), None);
        assert_eq!(parse("9999-01-01T00:00"), None);
        assert_eq!(
            from_parts(2020, 2, 28, 24, 0),
            from_parts(2020, 2, 29, 0, 0)
        );
    }
}
