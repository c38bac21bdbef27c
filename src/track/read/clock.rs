//! Times of day without a date, and dates with two digits for the year.

use super::instant::nanoseconds;
use chrono::{DateTime, NaiveDate, NaiveTime, TimeDelta, Utc};

const DAY_S: u32 = 86_400;

/// A time of day since midnight. A second numbered 60 is the first of the next minute.
pub(super) type TimeOfDay = TimeDelta;

/// `hhmmss` with as many decimals of a second as there are in `decimals`.
pub(super) fn time_of_day(hhmmss: &str, decimals: &str) -> Option<TimeOfDay> {
    let [hours, minutes, seconds] = pairs(hhmmss)?;
    if hours > 23 || minutes > 59 || seconds > 60 || decimals.bytes().any(|b| !b.is_ascii_digit()) {
        return None;
    }
    let seconds = (hours * 60 + minutes) * 60 + seconds;
    Some(
        TimeDelta::seconds(i64::from(seconds))
            + TimeDelta::nanoseconds(i64::from(nanoseconds(decimals))),
    )
}

/// `ddmmyy`. Years from 80 on are those of the last century: common practice, no source; GPS time
/// begins in 1980.
pub(super) fn date(ddmmyy: &str) -> Option<NaiveDate> {
    let [day, month, year] = pairs(ddmmyy)?;
    let century = if year >= 80 { 1900 } else { 2000 };
    NaiveDate::from_ymd_opt(i32::try_from(century + year).ok()?, month, day)
}

/// Six digits as three numbers.
fn pairs(text: &str) -> Option<[u32; 3]> {
    if text.len() != 6 || !text.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    Some([
        text[..2].parse().ok()?,
        text[2..4].parse().ok()?,
        text[4..].parse().ok()?,
    ])
}

/// That time on that day.
pub(super) fn on(date: NaiveDate, time: TimeOfDay) -> DateTime<Utc> {
    date.and_time(NaiveTime::MIN).and_utc() + time
}

/// The moment of that time of day that is nearest to `reference`, so that times run on over midnight
/// whichever way. Chosen: steps of more than half a day are not told from midnight.
pub(super) fn nearest(time: TimeOfDay, reference: DateTime<Utc>) -> DateTime<Utc> {
    let same_day = on(reference.date_naive(), time);
    let day = TimeDelta::seconds(i64::from(DAY_S));
    let half_day = TimeDelta::seconds(i64::from(DAY_S / 2));
    if same_day - reference < -half_day {
        same_day + day
    } else if same_day - reference > half_day {
        same_day - day
    } else {
        same_day
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_and_dates_are_read_or_refused() {
        let time = |text, decimals| time_of_day(text, decimals).map(|time| time.num_milliseconds());
        // 16:02:40 is 57760 s after midnight.
        assert_eq!(time("160240", ""), Some(57_760_000));
        assert_eq!(time("160240", "5"), Some(57_760_500));
        assert_eq!(time("160240", "1234567891234"), Some(57_760_123));
        assert_eq!(time("235960", ""), Some(86_400_000));
        for (text, decimals) in [
            ("240000", ""),
            ("006000", ""),
            ("000061", ""),
            ("16024", ""),
            ("1602+0", ""),
            ("160240", "5a"),
            ("16\u{e9}240", ""),
        ] {
            assert_eq!(time(text, decimals), None, "{text}.{decimals}");
        }
        let ymd = |y, m, d| NaiveDate::from_ymd_opt(y, m, d);
        assert_eq!(date("160701"), ymd(2001, 7, 16));
        assert_eq!(date("230394"), ymd(1994, 3, 23));
        assert_eq!(date("290224"), ymd(2024, 2, 29));
        for text in ["290223", "000126", "011326", "1012026", ""] {
            assert_eq!(date(text), None, "{text}");
        }
    }

    #[test]
    fn the_nearest_day_is_taken_on_both_sides_of_midnight() {
        let at = |text: &str| text.parse::<DateTime<Utc>>().unwrap();
        for (time, reference, expected) in [
            ("000001", "2026-12-31T23:59:59Z", "2027-01-01T00:00:01Z"),
            ("235959", "2027-01-01T00:00:01Z", "2026-12-31T23:59:59Z"),
            ("120001", "2026-05-01T12:00:00Z", "2026-05-01T12:00:01Z"),
            ("060000", "2026-05-01T17:59:00Z", "2026-05-01T06:00:00Z"),
        ] {
            let time = time_of_day(time, "").unwrap();
            assert_eq!(nearest(time, at(reference)), at(expected));
        }
    }
}
