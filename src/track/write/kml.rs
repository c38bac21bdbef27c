//! KML 2.3 (OGC 12-007r2): a `Placemark` for each track, a `Track` for each segment.

use super::content::{Content, OutTrack};
use super::xml::{close_line, declaration, element_line, line_feed, open_line, open_with};
use crate::track::Fix;
use chrono::SecondsFormat;
use quick_xml::Writer;
use std::io::{self, Cursor, Write};
use zip::write::{SimpleFileOptions, ZipWriter};

type Xml = Writer<Vec<u8>>;

/// Name of the document in an archive. 12-007r2 and 07-147r2 leave it open; common practice, no source.
const IN_ARCHIVE: &str = "doc.kml";

pub(super) fn bytes(content: &Content<'_>) -> io::Result<Vec<u8>> {
    let mut xml = Writer::new(Vec::new());
    declaration(&mut xml)?;
    open_with(
        &mut xml,
        "kml",
        &[("xmlns", "http://www.opengis.net/kml/2.3")],
    )?;
    line_feed(&mut xml)?;
    open_line(&mut xml, "Document")?;
    for track in &content.tracks {
        placemark(&mut xml, content, track)?;
    }
    close_line(&mut xml, "Document")?;
    close_line(&mut xml, "kml")?;
    Ok(xml.into_inner())
}

/// The same in a zip archive.
pub(super) fn packed(content: &Content<'_>) -> io::Result<Vec<u8>> {
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    archive.start_file(IN_ARCHIVE, SimpleFileOptions::default())?;
    archive.write_all(&bytes(content)?)?;
    Ok(archive.finish()?.into_inner())
}

fn placemark(xml: &mut Xml, content: &Content<'_>, track: &OutTrack<'_>) -> io::Result<()> {
    open_line(xml, "Placemark")?;
    if let Some(name) = &track.name {
        element_line(xml, "name", name)?;
    }
    let several = track.segments.len() > 1;
    if several {
        open_line(xml, "MultiTrack")?;
    }
    for segment in &track.segments {
        of_segment(xml, content, segment)?;
    }
    if several {
        close_line(xml, "MultiTrack")?;
    }
    close_line(xml, "Placemark")
}

fn of_segment(xml: &mut Xml, content: &Content<'_>, segment: &[Fix]) -> io::Result<()> {
    open_line(xml, "Track")?;
    let any_height = segment.iter().any(|fix| content.height_m(fix).is_some());
    let mode = if any_height {
        "absolute"
    } else {
        "clampToGround"
    };
    element_line(xml, "altitudeMode", mode)?;
    for fix in segment {
        let time = fix.time.to_rfc3339_opts(SecondsFormat::AutoSi, true);
        element_line(xml, "when", &time)?;
    }
    for fix in segment {
        let (lon, lat) = (fix.position.lon(), fix.position.lat());
        let coordinates = match content.height_m(fix) {
            Some(metres) => format!("{lon} {lat} {metres}"),
            None => format!("{lon} {lat}"),
        };
        element_line(xml, "coord", &coordinates)?;
    }
    close_line(xml, "Track")
}
