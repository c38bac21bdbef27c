//! What the values of a point mean, the same in every format: a place, a time, a height.

pub(super) use crate::characters::bounded;

use crate::geodesy::Position;
use crate::track::{Finding, Ledger, LocalTime};
use crate::units::Length;
use chrono::{DateTime, Datelike, NaiveDateTime, Utc};
use std::ops::RangeInclusive;

/// Heights that a search aircraft can have, metres. Chosen: below the lowest shore on earth (430 m
/// under the sea) with room for barometric error, and above any aircraft; numbers beyond are marks for
/// "no height", such as -9999 or 65535.
const PLAUSIBLE_HEIGHT_M: RangeInclusive<f64> = -1000.0..=30_000.0;

/// Years that a time may have: four digits, as in RFC 3339. Chosen: with more, which `xsd:dateTime` allows, a
/// sum of times could leave the calendar.
pub(in crate::track) const YEARS: RangeInclusive<i32> = 0..=9999;

/// A place in degrees, or why it is none.
pub(super) fn place(lat: f64, lon: f64) -> Result<Position, Finding> {
    if lat.abs() > 90.0 || lon.abs() > 180.0 {
        return Err(Finding::OutOfRange);
    }
    if lat == 0.0 && lon == 0.0 {
        return Err(Finding::NullIsland);
    }
    Position::new(lat, lon).ok_or(Finding::Unreadable)
}

/// A finite number.
pub(super) fn number(text: &str) -> Option<f64> {
    text.trim()
        .parse()
        .ok()
        .filter(|value: &f64| value.is_finite())
}

/// What a time says about its zone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Zone {
    /// Nothing.
    None,
    /// That it is UTC, or the format says so.
    Utc,
    /// How far its own zone is from UTC.
    Other,
}

/// The moment that a time is, which was read as if it were UTC where it says nothing else; and what is
/// to be said about it in the ledger, if anything.
pub(super) fn moment(
    time: DateTime<Utc>,
    zone: Zone,
    local: Option<LocalTime>,
) -> (DateTime<Utc>, Option<Finding>) {
    match (zone, local) {
        (Zone::None, Some(local)) => (local.to_utc(time), Some(Finding::LocalTime)),
        (Zone::Utc, Some(local)) if local.despite_utc => {
            (local.to_utc(time), Some(Finding::LocalTime))
        }
        (Zone::None, None) => (time, Some(Finding::NoZone)),
        (Zone::Utc | Zone::Other, _) => (time, None),
    }
}

/// A time of type `xsd:dateTime`, as GPX and KML have it, taken as UTC if it gives no zone, and what it
/// says about its zone. What is no such time is given back as the finding.
pub(super) fn xsd_time(text: &str) -> Result<(DateTime<Utc>, Zone), Finding> {
    let text = text.trim();
    if text.is_empty() {
        return Err(Finding::NoTime);
    }
    if let Ok(time) = DateTime::parse_from_rfc3339(text) {
        let zone = match time.offset().local_minus_utc() {
            0 => Zone::Utc,
            _ => Zone::Other,
        };
        return Ok((without_leap_second(time.to_utc()), zone));
    }
    NaiveDateTime::parse_from_str(text, "%Y-%m-%dT%H:%M:%S%.f")
        .ok()
        .filter(|time| YEARS.contains(&time.year()))
        .map(|time| (without_leap_second(time.and_utc()), Zone::None))
        .ok_or(Finding::BadTime)
}

/// A second numbered 60 becomes the first of the next minute, as clocks that know no leap seconds
/// count; else differences of times would come out a second short.
pub(super) fn without_leap_second(time: DateTime<Utc>) -> DateTime<Utc> {
    const SECOND_NS: u32 = 1_000_000_000;
    match time.timestamp_subsec_nanos().checked_sub(SECOND_NS) {
        None => time,
        Some(nanos) => DateTime::from_timestamp(time.timestamp() + 1, nanos).unwrap_or(time),
    }
}

/// The values of a point by name, as its file has them, for the ledger: `lat="47.5" lon="12" time="noon"`. What is
/// not given is left out.
pub(super) fn point<const N: usize>(values: [(&str, Option<&str>); N]) -> String {
    let mut text = String::new();
    for (name, value) in values {
        let Some(value) = value else {
            continue;
        };
        if !text.is_empty() {
            text.push(' ');
        }
        text.push_str(name);
        text.push_str("=\"");
        text.push_str(&bounded(value));
        text.push('"');
    }
    text
}

/// The height that `metres` are, or an entry in the ledger that they are none, with all that was recorded of the
/// point.
pub(super) fn height(
    metres: Option<f64>,
    raw: impl FnOnce() -> String,
    line: u32,
    ledger: &mut Ledger,
) -> Option<Length> {
    let height = metres.and_then(plausible_height);
    if height.is_none() {
        ledger.add(line, Finding::BadHeight, raw());
    }
    height
}

/// The height that so many metres are, if an aircraft can have it.
pub(super) fn plausible_height(metres: f64) -> Option<Length> {
    PLAUSIBLE_HEIGHT_M
        .contains(&metres)
        .then(|| Length::from_m(metres))
}
