//! Times as tables and JSON have them: ISO 8601 with the year first, also with a space for the `T`, or
//! seconds or milliseconds since 1970-01-01 UTC (POSIX.1 calls the former seconds since the Epoch).

use super::values::{Zone, without_leap_second};
use chrono::{DateTime, NaiveDate, NaiveDateTime, NaiveTime, TimeDelta, Utc};

/// In which order a date has its parts.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum DateOrder {
    /// Year, month, day: ISO 8601.
    #[default]
    YearFirst,
    /// Day, month, year.
    DayFirst,
    /// Month, day, year.
    MonthFirst,
}

/// What was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Instant {
    /// A time, as if it were UTC where it says nothing of its zone, and what it says.
    At(DateTime<Utc>, Zone),
    /// The date does not begin with its year, and nobody told the order.
    WhichOrder,
    /// No time.
    Unreadable,
}

/// Seconds since 1970 between which a number is taken for a time: 1973 to 2099. Chosen: the same digits as
/// milliseconds, or as a date without separators, then lie outside.
const EPOCH_S: std::ops::Range<i64> = 100_000_000..4_100_000_000;

/// Reads a time.
pub(super) fn instant(text: &str, order: DateOrder) -> Instant {
    let text = text.trim();
    if let Some(time) = since_epoch(text) {
        return Instant::At(time, Zone::Utc);
    }
    let Some((date, time)) = text.split_once(['T', 't', ' ']) else {
        return if !text.contains(':') && date_of(text, order) == Err(true) {
            Instant::WhichOrder
        } else {
            Instant::Unreadable
        };
    };
    let date = match date_of(date, order) {
        Ok(date) => date,
        Err(true) => return Instant::WhichOrder,
        Err(false) => return Instant::Unreadable,
    };
    let (time, zone_s) = split_zone(time.trim());
    let Some((time, leap)) = time_of(time) else {
        return Instant::Unreadable;
    };
    let at = NaiveDateTime::new(date, time).and_utc() + TimeDelta::seconds(i64::from(leap));
    let at = without_leap_second(at);
    match zone_s {
        Offset::None => Instant::At(at, Zone::None),
        Offset::Seconds(0) => Instant::At(at, Zone::Utc),
        Offset::Seconds(offset) => Instant::At(at - TimeDelta::seconds(offset), Zone::Other),
        Offset::Unreadable => Instant::Unreadable,
    }
}

fn since_epoch(text: &str) -> Option<DateTime<Utc>> {
    let (whole, fraction) = text.split_once('.').unwrap_or((text, ""));
    let digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    if !digits(whole) || !digits(fraction) {
        return None;
    }
    let number: i64 = whole.parse().ok()?;
    if EPOCH_S.contains(&number) {
        return DateTime::from_timestamp(number, nanoseconds(fraction));
    }
    if EPOCH_S.contains(&(number / 1000)) {
        let nanos = TimeDelta::nanoseconds(i64::from(nanoseconds(fraction)) / 1000);
        return Some(DateTime::from_timestamp_millis(number)? + nanos);
    }
    None
}

/// Digits behind the decimal sign of a second; what is smaller than a nanosecond is left out.
pub(super) fn nanoseconds(digits: &str) -> u32 {
    let padded: String = digits.chars().chain("000000000".chars()).take(9).collect();
    padded.parse().unwrap_or(0)
}

/// A date; or whether it is one whose order of parts is not known.
fn date_of(text: &str, order: DateOrder) -> Result<NaiveDate, bool> {
    let number = |text: &str, lengths: &[usize]| -> Result<u32, bool> {
        if lengths.contains(&text.len()) && text.bytes().all(|byte| byte.is_ascii_digit()) {
            text.parse().map_err(|_| false)
        } else {
            Err(false)
        }
    };
    let parts: Vec<&str> = if text.len() == 8 && number(text, &[8]).is_ok() {
        vec![&text[..4], &text[4..6], &text[6..]]
    } else {
        text.split(['-', '/', '.']).collect()
    };
    let &[first, second, third] = parts.as_slice() else {
        return Err(false);
    };
    let year_first = number(first, &[4]).is_ok();
    let (year, month, day) = match order {
        _ if year_first => (first, second, third),
        DateOrder::DayFirst => (third, second, first),
        DateOrder::MonthFirst => (third, first, second),
        DateOrder::YearFirst => {
            let all = [first, second, third];
            return Err(all.iter().all(|part| number(part, &[1, 2, 4]).is_ok()));
        }
    };
    let (year, month, day) = (
        number(year, &[4])?,
        number(month, &[1, 2])?,
        number(day, &[1, 2])?,
    );
    let year = i32::try_from(year).map_err(|_| false)?;
    NaiveDate::from_ymd_opt(year, month, day).ok_or(false)
}

enum Offset {
    None,
    Seconds(i64),
    Unreadable,
}

/// Cuts the zone off the end of a time of day.
fn split_zone(text: &str) -> (&str, Offset) {
    for utc in ["Z", "z", "UTC", "utc", "GMT", "gmt"] {
        if let Some(time) = text.strip_suffix(utc) {
            return (time.trim_end(), Offset::Seconds(0));
        }
    }
    let Some(at) = text.rfind(['+', '-']) else {
        return (text, Offset::None);
    };
    let sign = if text[at..].starts_with('-') { -1 } else { 1 };
    let offset = &text[at + 1..];
    let (hours, minutes) = match (offset.split_once(':'), offset.len()) {
        (Some(parts), 5) => parts,
        (None, 4) if offset.is_ascii() => offset.split_at(2),
        (None, 2) => (offset, "00"),
        _ => return (text, Offset::Unreadable),
    };
    let number = |text: &str, most: i64| {
        let digits = text.len() == 2 && text.bytes().all(|byte| byte.is_ascii_digit());
        text.parse::<i64>()
            .ok()
            .filter(|number| digits && *number <= most)
    };
    // xsd:dateTime: offsets within 14 hours.
    match number(hours, 14).zip(number(minutes, 59)) {
        Some((hours, minutes)) => (
            text[..at].trim_end(),
            Offset::Seconds(sign * (hours * 3600 + minutes * 60)),
        ),
        None => (text, Offset::Unreadable),
    }
}

/// `15:04:05.250`, `150405`, with a comma for the point as well (ISO 8601); and whether the second is the
/// one numbered 60.
fn time_of(text: &str) -> Option<(NaiveTime, bool)> {
    let (clock, fraction) = text.split_once(['.', ',']).unwrap_or((text, ""));
    if !clock.is_ascii() || !fraction.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    let parts: Vec<&str> = if clock.len() == 6 && !clock.contains(':') {
        vec![&clock[..2], &clock[2..4], &clock[4..]]
    } else {
        clock.split(':').collect()
    };
    let &[hour, minute, second] = parts.as_slice() else {
        return None;
    };
    let number = |text: &str, shortest: usize| -> Option<u32> {
        let fits = (shortest..=2).contains(&text.len());
        let digits = text.bytes().all(|byte| byte.is_ascii_digit());
        text.parse().ok().filter(|_| fits && digits)
    };
    let (hour, minute, second) = (number(hour, 1)?, number(minute, 2)?, number(second, 2)?);
    let leap = second == 60;
    let second = if leap { 59 } else { second };
    let time = NaiveTime::from_hms_nano_opt(hour, minute, second, nanoseconds(fraction))?;
    Some((time, leap))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str, order: DateOrder) -> String {
        let shown = |at: DateTime<Utc>| at.format("%Y-%m-%dT%H:%M:%S%.f").to_string();
        match instant(text, order) {
            Instant::At(at, Zone::None) => shown(at),
            Instant::At(at, _) => shown(at) + "Z",
            Instant::WhichOrder => "order?".to_owned(),
            Instant::Unreadable => "none".to_owned(),
        }
    }

    /// RFC 3339, 5.8 has the first five examples; the others follow ISO 8601 or were computed by hand:
    /// 2026-05-01 is day 20,574 after 1970-01-01, 15:04:05 second 54,245 of the day.
    #[test]
    fn times_are_read() {
        use DateOrder::{DayFirst, MonthFirst, YearFirst};
        for (text, order, expected) in [
            (
                "1985-04-12T23:20:50.52Z",
                YearFirst,
                "1985-04-12T23:20:50.520Z",
            ),
            (
                "1996-12-19T16:39:57-08:00",
                YearFirst,
                "1996-12-20T00:39:57Z",
            ),
            ("1990-12-31T23:59:60Z", YearFirst, "1991-01-01T00:00:00Z"),
            (
                "1990-12-31T15:59:60-08:00",
                YearFirst,
                "1991-01-01T00:00:00Z",
            ),
            (
                "1937-01-01T12:00:27.87+00:20",
                YearFirst,
                "1937-01-01T11:40:27.870Z",
            ),
            ("2026-05-01 15:04:05", YearFirst, "2026-05-01T15:04:05"),
            ("2026-05-01 15:04:05 UTC", YearFirst, "2026-05-01T15:04:05Z"),
            ("2026/05/01 5:04:05GMT", YearFirst, "2026-05-01T05:04:05Z"),
            ("20260501T150405Z", YearFirst, "2026-05-01T15:04:05Z"),
            (
                "2026-05-01T15:04:05,25+0200",
                YearFirst,
                "2026-05-01T13:04:05.250Z",
            ),
            ("2026-05-01T15:04:05+02", YearFirst, "2026-05-01T13:04:05Z"),
            ("1777647845", YearFirst, "2026-05-01T15:04:05Z"),
            ("1777647845.5", YearFirst, "2026-05-01T15:04:05.500Z"),
            ("1777647845500", YearFirst, "2026-05-01T15:04:05.500Z"),
            ("01/02/2026 15:04:05", YearFirst, "order?"),
            ("31.12.26 15:04:05", YearFirst, "order?"),
            ("01/02/2026 15:04:05", DayFirst, "2026-02-01T15:04:05"),
            ("01/02/2026 15:04:05Z", MonthFirst, "2026-01-02T15:04:05Z"),
            ("2026-05-01 15:04:05", MonthFirst, "2026-05-01T15:04:05"),
            ("31/02/2026 15:04:05", DayFirst, "none"),
            ("01/02/26 15:04:05", DayFirst, "none"),
            ("2026-05-01", YearFirst, "none"),
            ("2026-05-01T15:04", YearFirst, "none"),
            ("2026-05-01T24:00:00Z", YearFirst, "none"),
            ("2026-05-01T3:04:05 PM", YearFirst, "none"),
            ("2026-05-01T15:04:05+99:00", YearFirst, "none"),
            ("20260501", YearFirst, "none"),
            ("20260501150405", YearFirst, "none"),
            ("12", YearFirst, "none"),
            ("", YearFirst, "none"),
            ("é-é-é é:é:é", YearFirst, "none"),
        ] {
            assert_eq!(read(text, order), expected, "{text}");
        }
    }
}
