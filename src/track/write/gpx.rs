//! GPX 1.1 (topografix.com/GPX/1/1), a point a line.

use super::content::{Content, OutTrack};
use super::xml::{
    close, close_line, declaration, element, element_line, line_feed, open_line, open_with,
};
use crate::track::Fix;
use chrono::SecondsFormat;
use quick_xml::Writer;
use std::io::{self, Write};

/// How many decimals numbers have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Decimals {
    /// As many as it takes to read the same number back.
    Exact,
    /// Seven of a degree, one of a metre, three of a second where they are needed: as receivers write.
    OfReceivers,
}

/// Lines before the first point of a track that has a name.
const LINES_BEFORE_POINTS: usize = 5;

/// The line on which the point with this index stands in a file of one track with a name and one segment.
pub(crate) fn line_of_point(index: usize) -> u32 {
    u32::try_from(index + LINES_BEFORE_POINTS + 1).unwrap_or(u32::MAX)
}

/// Writes fixes as one track of one segment.
///
/// # Errors
/// Those of the writer.
pub fn write_gpx(
    to: impl Write,
    creator: &str,
    name: &str,
    fixes: &[Fix],
    decimals: Decimals,
) -> io::Result<()> {
    let track = OutTrack {
        name: Some(name.into()),
        segments: vec![fixes],
    };
    let height = |fix: &Fix| fix.height.get().map(crate::units::Length::m);
    document(to, creator, &[track], decimals, &height)
}

pub(super) fn bytes(content: &Content<'_>) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    let creator = concat!("overflown ", env!("CARGO_PKG_VERSION"));
    let height = |fix: &Fix| content.height_m(fix);
    document(
        &mut bytes,
        creator,
        &content.tracks,
        Decimals::Exact,
        &height,
    )?;
    Ok(bytes)
}

fn document(
    to: impl Write,
    creator: &str,
    tracks: &[OutTrack<'_>],
    decimals: Decimals,
    height: &dyn Fn(&Fix) -> Option<f64>,
) -> io::Result<()> {
    let mut xml = Writer::new(to);
    declaration(&mut xml)?;
    let attributes = [
        ("version", "1.1"),
        ("creator", creator),
        ("xmlns", "http://www.topografix.com/GPX/1/1"),
    ];
    open_with(&mut xml, "gpx", &attributes)?;
    line_feed(&mut xml)?;
    for track in tracks {
        open_line(&mut xml, "trk")?;
        if let Some(name) = &track.name {
            element_line(&mut xml, "name", name)?;
        }
        for segment in &track.segments {
            open_line(&mut xml, "trkseg")?;
            for fix in *segment {
                point(&mut xml, fix, decimals, height(fix))?;
            }
            close_line(&mut xml, "trkseg")?;
        }
        close_line(&mut xml, "trk")?;
    }
    close_line(&mut xml, "gpx")?;
    xml.into_inner().flush()
}

fn point<W: Write>(
    xml: &mut Writer<W>,
    fix: &Fix,
    decimals: Decimals,
    height_m: Option<f64>,
) -> io::Result<()> {
    let degrees = |degrees: f64| match decimals {
        Decimals::Exact => degrees.to_string(),
        Decimals::OfReceivers => format!("{degrees:.7}"),
    };
    let (lat, lon) = (degrees(fix.position.lat()), degrees(fix.position.lon()));
    open_with(xml, "trkpt", &[("lat", &lat), ("lon", &lon)])?;
    if let Some(metres) = height_m {
        let metres = match decimals {
            Decimals::Exact => metres.to_string(),
            Decimals::OfReceivers => format!("{metres:.1}"),
        };
        element(xml, "ele", &metres)?;
    }
    let precision = match decimals {
        Decimals::Exact => SecondsFormat::AutoSi,
        Decimals::OfReceivers if fix.time.timestamp_subsec_millis() == 0 => SecondsFormat::Secs,
        Decimals::OfReceivers => SecondsFormat::Millis,
    };
    element(xml, "time", &fix.time.to_rfc3339_opts(precision, true))?;
    close(xml, "trkpt")?;
    line_feed(xml)
}
