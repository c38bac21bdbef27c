//! `fixes.csv`: the flight fix by fix (RFC 4180).
//!
//! A day at ten fixes a second has 864,000 rows, so numbers are put together digit by digit from whole numbers.

use crate::matching::Phase;
use crate::measure::{Flown, FlownFix};
use crate::report::csv::text_cell;
use chrono::{DateTime, Datelike, Timelike, Utc};
use rayon::prelude::*;

const HEADER: &str = "time_utc,lat_deg,lon_deg,height_ft,ground_speed_kt,course_true_deg,phase,leg,along_nm,xte_m\r\n";
/// Rows of one task.
const ROWS: usize = 4096;
/// Tasks side by side.
const AT_ONCE: usize = 32;
/// Nanoseconds of a second.
const NANOS: u64 = 1_000_000_000;
/// Room for a row.
const ROW_BYTES: usize = 112;

/// The table. Numbers carry their unit in the column's name; what is not known is empty.
#[must_use]
pub fn fixes_csv(flown: &Flown) -> Vec<u8> {
    let legs: Vec<String> = flown.legs().iter().map(|leg| text_cell(leg)).collect();
    let rows = |fixes: &[FlownFix]| {
        let mut text = Vec::with_capacity(fixes.len() * ROW_BYTES);
        for fix in fixes {
            let leg = flown.leg_index(fix).map_or("", |leg| &legs[leg]);
            row(&mut text, fix, leg);
        }
        text
    };
    let mut table = Vec::with_capacity(HEADER.len() + flown.fixes.len() * ROW_BYTES);
    table.extend(HEADER.bytes());
    // Some at a time, so that no more than those are in memory twice.
    for fixes in flown.fixes.chunks(AT_ONCE * ROWS) {
        let parts: Vec<Vec<u8>> = fixes.par_chunks(ROWS).map(rows).collect();
        parts.iter().for_each(|part| table.extend(part));
    }
    table
}

fn row(text: &mut Vec<u8>, fix: &FlownFix, leg: &str) {
    time(text, fix.time);
    text.push(b',');
    fixed(text, fix.position.lat(), 7);
    text.push(b',');
    fixed(text, fix.position.lon(), 7);
    text.push(b',');
    optional(text, fix.height().map(|height| height.ft()), 0);
    text.push(b',');
    fixed(text, fix.ground_speed().kt(), 1);
    text.push(b',');
    // On the ground positions wander, and a course means nothing.
    let course = (fix.phase != Phase::Ground).then(|| rounded_course(fix.course().deg()));
    optional(text, course, 1);
    text.push(b',');
    text.extend(fix.phase.name().bytes());
    text.push(b',');
    text.extend(leg.bytes());
    text.push(b',');
    optional(text, fix.along().map(|along| along.nm()), 4);
    text.push(b',');
    optional(text, fix.xte().map(|xte| xte.m()), 1);
    text.extend(b"\r\n");
}

/// To a tenth of a degree, from 0 to less than 360.
fn rounded_course(deg: f64) -> f64 {
    let rounded = (deg * 10.0).round() / 10.0;
    if rounded >= 360.0 { 0.0 } else { rounded }
}

fn optional(text: &mut Vec<u8>, value: Option<f64>, decimals: u32) {
    if let Some(value) = value {
        fixed(text, value, decimals);
    }
}

/// A number with so many decimals, half away from zero; nothing is ever -0.
fn fixed(text: &mut Vec<u8>, value: f64, decimals: u32) {
    let whole = 10_u64.pow(decimals);
    let scaled = (value.abs() * whole as f64).round() as u64;
    if value < 0.0 && scaled > 0 {
        text.push(b'-');
    }
    digits(text, scaled / whole, 1);
    if decimals > 0 {
        text.push(b'.');
        digits(text, scaled % whole, decimals);
    }
}

/// RFC 3339, with as many decimals of a second as are needed, by threes.
fn time(text: &mut Vec<u8>, time: DateTime<Utc>) {
    let year = u64::try_from(time.year()).unwrap_or_default();
    let date = [
        (year, 4, b'-'),
        (u64::from(time.month()), 2, b'-'),
        (u64::from(time.day()), 2, b'T'),
        (u64::from(time.hour()), 2, b':'),
        (u64::from(time.minute()), 2, b':'),
    ];
    for (number, width, after) in date {
        digits(text, number, width);
        text.push(after);
    }
    // A leap second is the second before it with more than a thousand million nanoseconds.
    let leap = u64::from(time.nanosecond()) / NANOS;
    digits(text, u64::from(time.second()) + leap, 2);
    let nanos = u64::from(time.nanosecond()) % NANOS;
    let decimals = match nanos {
        0 => 0,
        _ if nanos.is_multiple_of(1_000_000) => 3,
        _ if nanos.is_multiple_of(1_000) => 6,
        _ => 9,
    };
    if decimals > 0 {
        text.push(b'.');
        digits(text, nanos / 10_u64.pow(9 - decimals), decimals);
    }
    text.push(b'Z');
}

/// A whole number, with zeros before it up to `width` digits.
fn digits(text: &mut Vec<u8>, number: u64, width: u32) {
    // The largest has twenty.
    let mut buffer = [b'0'; 20];
    let (mut left, mut first) = (number, buffer.len());
    while left > 0 {
        first -= 1;
        buffer[first] = b'0' + (left % 10) as u8;
        left /= 10;
    }
    let first = first.min(buffer.len() - width as usize);
    text.extend(&buffer[first..]);
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::{NaiveDate, SecondsFormat};

    fn written(write: impl Fn(&mut Vec<u8>)) -> String {
        let mut text = Vec::new();
        write(&mut text);
        String::from_utf8(text).unwrap()
    }

    /// Against the formatting of the standard library and of `chrono`.
    #[test]
    fn numbers_and_times_are_written_as_by_others() {
        let mut value = 1e-9_f64;
        while value < 1e8 {
            for decimals in [0, 1, 4, 7] {
                for value in [value, -value] {
                    let text = written(|text| fixed(text, value, decimals));
                    let half =
                        0.5 * 10_f64.powi(-(decimals as i32)) * (1.0 + 1e-9) + value.abs() * 1e-15;
                    let read: f64 = text.parse().unwrap();
                    assert!((read - value).abs() <= half, "{text} for {value}");
                    let places = text.split_once('.').map_or(0, |(_, after)| after.len());
                    assert_eq!(places, decimals as usize, "{text}");
                    assert!(read != 0.0 || !text.starts_with('-'), "{text}");
                }
            }
            value *= 1.37;
        }
        for zero in [0.0, -0.0, -0.04] {
            assert_eq!(written(|text| fixed(text, zero, 1)), "0.0");
        }
        let day = NaiveDate::from_ymd_opt(2026, 2, 9).unwrap();
        for nanos in [
            0,
            500_000_000,
            120_000,
            7,
            999_999_999,
            1_000_000_000,
            1_500_000_000,
        ] {
            let at = day.and_hms_nano_opt(3, 4, 59, nanos).unwrap().and_utc();
            let text = written(|text| time(text, at));
            assert_eq!(text, at.to_rfc3339_opts(SecondsFormat::AutoSi, true));
        }
    }

    #[test]
    fn a_course_stays_below_a_full_turn() {
        assert_eq!(rounded_course(359.97), 0.0);
        assert_eq!(rounded_course(359.94), 359.9);
    }
}
