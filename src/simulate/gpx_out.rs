//! Writing a track as GPX 1.1 (topografix.com/GPX/1/1): one track of one segment, a point a line.

use crate::characters::harmless;
use crate::track::Fix;
use chrono::SecondsFormat;
use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesEnd, BytesStart, BytesText, Event};
use std::io::{self, Write};

/// Lines before the first point.
const LINES_BEFORE_POINTS: usize = 5;

/// The line on which the point with this index stands in the file written here.
pub(super) fn line_of_point(index: usize) -> u32 {
    u32::try_from(index + LINES_BEFORE_POINTS + 1).unwrap_or(u32::MAX)
}

/// Writes the fixes as a GPX 1.1 track. Positions have seven decimals, heights one; times have
/// milliseconds where they are needed. A hole in the record is only that: points missing from the
/// one segment.
///
/// # Errors
/// Those of the writer.
pub fn write(to: impl Write, name: &str, fixes: &[Fix]) -> io::Result<()> {
    let mut xml = Writer::new(to);
    xml.write_event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)))?;
    line_feed(&mut xml)?;
    let creator = concat!("overflown ", env!("CARGO_PKG_VERSION"), " rehearse");
    xml.write_event(Event::Start(BytesStart::new("gpx").with_attributes([
        ("version", "1.1"),
        ("creator", creator),
        ("xmlns", "http://www.topografix.com/GPX/1/1"),
    ])))?;
    line_feed(&mut xml)?;
    open(&mut xml, "trk")?;
    line_feed(&mut xml)?;
    element(&mut xml, "name", &harmless(name))?;
    line_feed(&mut xml)?;
    open(&mut xml, "trkseg")?;
    line_feed(&mut xml)?;
    for fix in fixes {
        point(&mut xml, fix)?;
        line_feed(&mut xml)?;
    }
    for tag in ["trkseg", "trk", "gpx"] {
        close(&mut xml, tag)?;
        line_feed(&mut xml)?;
    }
    xml.into_inner().flush()
}

fn point<W: Write>(xml: &mut Writer<W>, fix: &Fix) -> io::Result<()> {
    let lat = format!("{:.7}", fix.position.lat());
    let lon = format!("{:.7}", fix.position.lon());
    let start =
        BytesStart::new("trkpt").with_attributes([("lat", lat.as_str()), ("lon", lon.as_str())]);
    xml.write_event(Event::Start(start))?;
    if let Some(height) = fix.height {
        element(xml, "ele", &format!("{:.1}", height.m()))?;
    }
    let precision = if fix.time.timestamp_subsec_millis() == 0 {
        SecondsFormat::Secs
    } else {
        SecondsFormat::Millis
    };
    element(xml, "time", &fix.time.to_rfc3339_opts(precision, true))?;
    close(xml, "trkpt")
}

fn element<W: Write>(xml: &mut Writer<W>, tag: &str, text: &str) -> io::Result<()> {
    open(xml, tag)?;
    xml.write_event(Event::Text(BytesText::new(text)))?;
    close(xml, tag)
}

fn open<W: Write>(xml: &mut Writer<W>, tag: &str) -> io::Result<()> {
    xml.write_event(Event::Start(BytesStart::new(tag)))
}

fn close<W: Write>(xml: &mut Writer<W>, tag: &str) -> io::Result<()> {
    xml.write_event(Event::End(BytesEnd::new(tag)))
}

fn line_feed<W: Write>(xml: &mut Writer<W>) -> io::Result<()> {
    xml.get_mut().write_all(b"\n")
}
