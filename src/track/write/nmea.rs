//! NMEA 0183 (see `read/nmea.rs` for what is known of it): RMC for each fix, and GGA where it has a height.
//! Speed, course, number of satellites and their like are not in a log, and stay empty.

use super::WriteError;
use super::content::{Content, OutTrack, counted};
use super::minutes::Minutes;
use crate::track::Fix;
use chrono::{DateTime, Datelike, Utc};
use std::fmt::Write;

/// Decimals of the minute of arc: 0.2 mm.
const DECIMALS: u32 = 7;

pub(super) fn bytes(content: &mut Content<'_>) -> Result<Vec<u8>, WriteError> {
    // Years have two digits.
    let fits = |fix: &&Fix| (1980..2080).contains(&fix.time.year());
    if let Some(fix) = content.fixes().find(|fix| !fits(fix)) {
        return Err(WriteError::Year {
            format: "NMEA 0183",
            time: fix.time,
        });
    }
    content.one_run_only("NMEA 0183");
    let mut text = String::new();
    let (mut last, mut of_one_time) = (None, 0);
    for fix in content.tracks.iter().flat_map(OutTrack::fixes) {
        of_one_time += usize::from(last.replace(fix.time.time()) == Some(fix.time.time()));
        sentences(&mut text, fix, content.height_m(fix));
    }
    if of_one_time > 0 {
        content.lost.push(format!(
            "{of_one_time} of the fixes have the time of day of the one before: sentences of one time are read as \
             one fix"
        ));
    }
    if content.fixes().any(|fix| {
        let millimetres = content.height_m(fix).map(|metres| metres * 1000.0);
        millimetres.is_some_and(|mm| (mm - mm.round()).abs() > 1e-6)
    }) {
        let heights = counted(content.with_height(), "height");
        content
            .lost
            .push(format!("{heights} rounded to the millimetre"));
    }
    Ok(text.into_bytes())
}

fn sentences(text: &mut String, fix: &Fix, height_m: Option<f64>) {
    let (time, date) = (time_of_day(fix.time), fix.time.format("%d%m%y"));
    let lat = angle(fix.position.lat(), 2, ["N", "S"]);
    let lon = angle(fix.position.lon(), 3, ["E", "W"]);
    sentence(text, &format!("GPRMC,{time},A,{lat},{lon},,,{date},,,A"));
    if let Some(metres) = height_m {
        sentence(
            text,
            &format!("GPGGA,{time},{lat},{lon},1,,,{metres:.3},M,,M,,"),
        );
    }
}

/// With as many decimals as it has.
fn time_of_day(time: DateTime<Utc>) -> String {
    let whole = time.format("%H%M%S").to_string();
    let decimals = format!("{:09}", time.timestamp_subsec_nanos());
    match decimals.trim_end_matches('0') {
        "" => whole,
        decimals => format!("{whole}.{decimals}"),
    }
}

fn angle(degrees: f64, digits: usize, [positive, negative]: [&str; 2]) -> String {
    let angle = Minutes::of(degrees, DECIMALS);
    let hemisphere = if angle.negative { negative } else { positive };
    format!(
        "{:0digits$}{:02}.{:07},{hemisphere}",
        angle.degrees, angle.minutes, angle.fraction
    )
}

/// The sentence with its check sum: all characters between `$` and `*` by exclusive or.
fn sentence(text: &mut String, body: &str) {
    let sum = body.bytes().fold(0, |sum, byte| sum ^ byte);
    // Writing to a String cannot fail.
    let _ = write!(text, "${body}*{sum:02X}\r\n");
}
