//! Records of a flight recorder after the IGC's specification (see `read/igc.rs` for it), unsigned.
//!
//! Times have milliseconds and minutes of arc six decimals, by the columns TDS, LAD and LOD of the I record.

use super::content::{Content, counted};
use super::minutes::Minutes;
use super::{WriteError, WriteSettings, measured_from};
use crate::track::{Fix, HeightKind};
use chrono::{DateTime, Datelike, SubsecRound, TimeDelta, Utc};
use std::fmt::Write;

/// Readers take a time of day for that of the day that brings it nearest; where the step is half a day or
/// more, the date is written again.
const MOST_WITHOUT_DATE: TimeDelta = TimeDelta::hours(11);

/// Decimals of the minute of arc: three in the record itself, three in its added columns.
const DECIMALS: u32 = 6;

/// Which column the heights stand in.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Column {
    Gnss,
    Pressure,
    None,
}

pub(super) fn bytes(
    content: &mut Content<'_>,
    settings: WriteSettings,
) -> Result<Vec<u8>, WriteError> {
    let years = content.fixes().map(|fix| fix.time);
    if let Some(time) = years.into_iter().find(|time| !fits(*time)) {
        return Err(WriteError::Year {
            format: "IGC",
            time,
        });
    }
    content.one_run_only("IGC");
    let finer = |fix: &Fix| !fix.time.timestamp_subsec_nanos().is_multiple_of(1_000_000);
    match content.fixes().filter(|fix| finer(fix)).count() {
        0 => {}
        count => content.lost.push(format!(
            "{} rounded to the millisecond",
            counted(count, "time")
        )),
    }
    let column = column(content, settings);
    // The code of makers that have none of their own (from memory), as nobody made this record.
    let mut text = "AXXX000 converted, not signed\r\n".to_owned();
    text.push_str("HFDTM100GPSDATUM:WGS84\r\n");
    match (column, content.kind) {
        (Column::Gnss, HeightKind::MeanSeaLevel) => text.push_str("HFALGALTGPS:GEO\r\n"),
        (Column::Gnss, HeightKind::Ellipsoid) => text.push_str("HFALGALTGPS:ELL\r\n"),
        (Column::Gnss, _) => text.push_str("HFALGALTGPS:NKM\r\n"),
        (Column::Pressure, _) => text.push_str("HFALPALTPRESSURE:ISA\r\n"),
        (Column::None, _) => {}
    }
    text.push_str("I033638LAD3941LOD4244TDS\r\n");
    let (mut last, mut repeated) = (None::<Record>, 0);
    for fix in content
        .tracks
        .iter()
        .flat_map(super::content::OutTrack::fixes)
    {
        let record = Record::of(fix, column);
        let dated = last
            .as_ref()
            .is_some_and(|last| (record.time - last.time).abs() < MOST_WITHOUT_DATE);
        if !dated {
            let date = record.time.format("%d%m%y");
            // Writing to a String cannot fail.
            let _ = write!(text, "HFDTEDATE:{date},01\r\n");
        }
        let same_place = last.as_ref().is_some_and(|last| last.place == record.place);
        repeated += usize::from(!record.three_d && same_place);
        record.write(&mut text);
        last = Some(record);
    }
    if repeated > 0 {
        content.lost.push(format!(
            "{} without a height at the place of the one before: IGC cannot tell such a one from a receiver \
             without a fix, and it is read as that",
            counted_fixes(repeated)
        ));
    }
    Ok(text.into_bytes())
}

fn counted_fixes(count: usize) -> String {
    match count {
        1 => "1 fix".to_owned(),
        count => format!("{count} fixes"),
    }
}

/// Years have two digits, which mean 1980 to 2079.
fn fits(time: DateTime<Utc>) -> bool {
    (1980..2080).contains(&time.round_subsecs(3).year())
}

/// Where heights go, and what is lost of them.
fn column(content: &mut Content<'_>, settings: WriteSettings) -> Column {
    let with_height = content.with_height();
    if with_height == 0 {
        return Column::None;
    }
    let all = with_height == content.fixes().count();
    let heights = counted(with_height, "height");
    let are = measured_from(content.kind);
    let rounded = |content: &Content<'_>| {
        let mut heights = content.fixes().filter_map(|fix| fix.height.get());
        heights.any(|height| height.m().fract() != 0.0)
    };
    let column = match content.kind {
        HeightKind::Pressure if !all => {
            content.lost.push(format!(
                "{heights} left out: they are {are}, and IGC cannot tell a fix without one from one at 0 m"
            ));
            return Column::None;
        }
        HeightKind::Pressure => Column::Pressure,
        HeightKind::Mixed if !settings.heights_as_they_are => {
            content.lost.push(format!(
                "{heights} left out: they are {are}, which IGC cannot express; --heights-as-they-are writes them \
                 all the same"
            ));
            return Column::None;
        }
        HeightKind::Mixed => {
            content.lost.push(format!(
                "{heights} written as of unknown datum: they are {are}"
            ));
            Column::Gnss
        }
        _ => Column::Gnss,
    };
    if content.fixes().all(|fix| metres(fix).unwrap_or(0) == 0) {
        content.lost.push(format!(
            "{heights} left out: all of them are 0 m, which IGC takes for none"
        ));
        return Column::None;
    }
    if rounded(content) {
        content.lost.push(format!("{heights} rounded to the metre"));
    }
    column
}

/// Height of a fix to the metre.
fn metres(fix: &Fix) -> Option<i64> {
    // A cast within range: heights are those of aircraft.
    fix.height.get().map(|height| height.m().round() as i64)
}

/// What stands in one record.
struct Record {
    time: DateTime<Utc>,
    /// Latitude and longitude as written.
    place: String,
    /// Their further decimals.
    more: String,
    three_d: bool,
    pressure: i64,
    gnss: i64,
}

impl Record {
    fn of(fix: &Fix, column: Column) -> Self {
        let metres = metres(fix);
        let lat = Minutes::of(fix.position.lat(), DECIMALS);
        let lon = Minutes::of(fix.position.lon(), DECIMALS);
        let half = |angle: &Minutes| (angle.fraction / 1000, angle.fraction % 1000);
        let ((lat_near, lat_far), (lon_near, lon_far)) = (half(&lat), half(&lon));
        Self {
            time: fix.time.round_subsecs(3),
            place: format!(
                "{:02}{:02}{lat_near:03}{}{:03}{:02}{lon_near:03}{}",
                lat.degrees,
                lat.minutes,
                if lat.negative { 'S' } else { 'N' },
                lon.degrees,
                lon.minutes,
                if lon.negative { 'W' } else { 'E' },
            ),
            more: format!("{lat_far:03}{lon_far:03}"),
            // Two dimensions where others have three; a log without any height is not marked.
            three_d: column != Column::Gnss || metres.is_some(),
            pressure: metres.filter(|_| column == Column::Pressure).unwrap_or(0),
            gnss: metres.filter(|_| column == Column::Gnss).unwrap_or(0),
        }
    }

    fn write(&self, text: &mut String) {
        let (time, place, more) = (self.time.format("%H%M%S"), &self.place, &self.more);
        let validity = if self.three_d { 'A' } else { 'V' };
        let millis = self.time.timestamp_subsec_millis();
        // Five characters, the first a minus sign below the datum. Writing to a String cannot fail.
        let _ = write!(
            text,
            "B{time}{place}{validity}{:05}{:05}{more}{millis:03}\r\n",
            self.pressure, self.gnss
        );
    }
}
