//! A table (RFC 4180, or with tabs), with a header that its own reader knows.

use super::content::Content;
use super::measured_from;
use crate::track::HeightKind;
use crate::track::formula;
use chrono::SecondsFormat;
use csv::{Terminator, WriterBuilder};
use std::io;

pub(super) fn bytes(content: &mut Content<'_>, separator: u8) -> io::Result<Vec<u8>> {
    let height = match content.kind {
        HeightKind::MeanSeaLevel => "height_msl_m",
        HeightKind::Ellipsoid => "height_ellipsoid_m",
        HeightKind::Pressure => "pressure_height_m",
        HeightKind::Unknown => "height_m",
        HeightKind::Mixed => {
            content.lost.push(format!(
                "that heights are {} is not in the table",
                measured_from(content.kind)
            ));
            "height_m"
        }
    };
    let mut table = WriterBuilder::new()
        .delimiter(separator)
        .terminator(Terminator::CRLF)
        .from_writer(Vec::new());
    table.write_record([
        "time_utc",
        "lat",
        "lon",
        height,
        "track_name",
        "track_number",
        "segment",
    ])?;
    for (number, track) in (1..).zip(&content.tracks) {
        let name = track.name.as_deref().unwrap_or_default();
        for (segment, fixes) in (1..).zip(&track.segments) {
            for fix in *fixes {
                table.write_record([
                    fix.time.to_rfc3339_opts(SecondsFormat::AutoSi, true),
                    fix.position.lat().to_string(),
                    fix.position.lon().to_string(),
                    content
                        .height_m(fix)
                        .map_or_else(String::new, |metres| metres.to_string()),
                    formula::guarded(name).into_owned(),
                    i32::to_string(&number),
                    i32::to_string(&segment),
                ])?;
            }
        }
    }
    table
        .into_inner()
        .map_err(|error| io::Error::other(error.to_string()))
}
