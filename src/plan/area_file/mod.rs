//! Outlines of areas from files of others: GeoJSON, KML and GPX, told apart by their content.

mod geojson;
mod gpx;
mod kml;

pub(super) use geojson::{document as geojson_document, position as geojson_position};
pub(super) use kml::position as kml_position;

use crate::geodesy::Position;
use crate::input::{InputError, InputFile, whole_named};
use crate::tasking::quantity::shown;
use quick_xml::Reader;
use quick_xml::escape::resolve_predefined_entity;
use quick_xml::events::{BytesRef, Event};
use std::path::Path;

const ACCEPTED: &str = "an area is read from a GeoJSON polygon, a KML polygon, or a GPX file with one \
                        closed route or track";

/// Largest file of outlines or lines, bytes: it is held in memory. Chosen: a hundred thousand corners, more
/// than any outline that is flown.
pub(super) const MOST_BYTES: u64 = 1 << 24;

/// Elements that may be open at once. Chosen: folders are nested by hand, a few deep.
const DEEPEST: usize = 100;

/// Why a file gives no area, or no line.
pub(super) struct Fault {
    pub(super) line: Option<u32>,
    pub(super) problem: String,
    pub(super) hint: String,
}

impl Fault {
    pub(super) fn new(
        line: Option<u32>,
        problem: impl Into<String>,
        hint: impl Into<String>,
    ) -> Self {
        Self {
            line,
            problem: problem.into(),
            hint: hint.into(),
        }
    }
}

/// Corners of the area in the file, in order round it and without repeating the first, and what is
/// remembered of the file.
///
/// # Errors
/// When the file cannot be read, is of none of the formats, or does not hold exactly one outline
/// without holes.
pub fn read(path: &Path) -> Result<(Vec<Position>, InputFile), InputError> {
    let bytes = whole_named(path, MOST_BYTES).map_err(|error| {
        let problem = format!("the area cannot be read: {error}");
        InputError::new(path, None, problem, ACCEPTED)
    })?;
    let corners = read_bytes(path, &bytes)?;
    Ok((corners, InputFile::of("area", path, &bytes)))
}

/// As [`read`], of a file that is in memory; `name` is what messages call it.
///
/// # Errors
/// As [`read`] has them, except those of the medium.
pub fn read_bytes(name: &Path, bytes: &[u8]) -> Result<Vec<Position>, InputError> {
    corners(bytes).map_err(|fault| InputError::new(name, fault.line, fault.problem, fault.hint))
}

fn corners(bytes: &[u8]) -> Result<Vec<Position>, Fault> {
    let (format, text) = document(bytes, ACCEPTED)?;
    match format.as_str() {
        "geojson" => geojson::corners(text),
        "kml" => kml::corners(text),
        "gpx" => gpx::corners(text),
        other => Err(Fault::new(
            None,
            format!("an XML file whose root element is <{other}>"),
            ACCEPTED,
        )),
    }
}

/// The text of a file and its format: `geojson`, or the local name of the root element.
pub(super) fn document<'b>(bytes: &'b [u8], accepted: &str) -> Result<(String, &'b str), Fault> {
    let text = std::str::from_utf8(bytes).map_err(|error| {
        let line = line_at(bytes, error.valid_up_to());
        Fault::new(Some(line), "not UTF-8 text", accepted)
    })?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    match text.trim_start().chars().next() {
        Some('{') => Ok(("geojson".to_owned(), text)),
        Some('<') => Ok((root(text, accepted)?, text)),
        Some(_) => Err(Fault::new(None, "neither GeoJSON, KML nor GPX", accepted)),
        None => Err(Fault::new(None, "the file is empty", accepted)),
    }
}

/// Local name of the root element.
fn root(text: &str, accepted: &str) -> Result<String, Fault> {
    let mut reader = Reader::from_str(text);
    loop {
        match reader.read_event() {
            Ok(Event::Start(element) | Event::Empty(element)) => {
                return Ok(local(element.name().as_ref()).to_owned());
            }
            Ok(Event::DocType(_)) => {
                return Err(Fault::new(
                    Some(line_of(text, &reader)),
                    "has a document type declaration (<!DOCTYPE …>)",
                    "it is not needed and can hide hostile content; export the file again, or delete the \
                     declaration",
                ));
            }
            Ok(Event::Eof) => return Err(Fault::new(None, "holds no XML element", accepted)),
            Ok(_) => {}
            Err(error) => return Err(broken(text, &reader, &error)),
        }
    }
}

/// The characters that a reference such as `&amp;` or `&#48;` stands for.
pub(super) fn referenced(
    text: &str,
    reader: &Reader<&[u8]>,
    reference: &BytesRef,
) -> Result<String, Fault> {
    let name: &str = reference;
    if let Some(known) = resolve_predefined_entity(name) {
        return Ok(known.to_owned());
    }
    match reference.resolve_char_ref() {
        Ok(Some(char)) => Ok(char.to_string()),
        _ => Err(Fault::new(
            Some(line_of(text, reader)),
            format!("the entity {} is not declared", shown(name)),
            "export the file again",
        )),
    }
}

/// Enters an element of this name, unless that goes too deep.
pub(super) fn enter(
    open: &mut Vec<String>,
    name: &str,
    text: &str,
    reader: &Reader<&[u8]>,
) -> Result<(), Fault> {
    if open.len() == DEEPEST {
        return Err(Fault::new(
            Some(line_of(text, reader)),
            format!("the elements are nested more than {DEEPEST} deep"),
            "take what is wanted out of its folders",
        ));
    }
    open.push(local(name).to_owned());
    Ok(())
}

/// Whether the innermost open elements are these.
pub(super) fn ends_with(open: &[String], tail: &[&str]) -> bool {
    open.len() >= tail.len() && open[open.len() - tail.len()..].iter().eq(tail)
}

/// A name without its namespace prefix.
pub(super) fn local(name: &str) -> &str {
    name.rsplit(':').next().unwrap_or(name)
}

pub(super) fn broken(text: &str, reader: &Reader<&[u8]>, error: &quick_xml::Error) -> Fault {
    Fault::new(
        Some(line_of(text, reader)),
        format!("the XML breaks off or is ill-formed: {error}"),
        "export the file again",
    )
}

/// Line on which the reader stands.
pub(super) fn line_of(text: &str, reader: &Reader<&[u8]>) -> u32 {
    let at = usize::try_from(reader.buffer_position()).unwrap_or(usize::MAX);
    line_at(text.as_bytes(), at)
}

fn line_at(bytes: &[u8], offset: usize) -> u32 {
    let before = &bytes[..offset.min(bytes.len())];
    1 + before.iter().filter(|byte| **byte == b'\n').count() as u32
}

/// A place from the longitude and latitude of a file, which come in that order in GeoJSON and KML.
pub(super) fn place(lon_deg: f64, lat_deg: f64) -> Result<Position, String> {
    Position::new(lat_deg, lon_deg).ok_or_else(|| {
        format!("longitude {lon_deg}, latitude {lat_deg} is not a place on the earth")
    })
}

/// The corners of a closed ring: the last position repeats the first (RFC 7946, 3.1.6; KML 2.3,
/// LinearRing) and goes, as does a corner given twice in a row.
fn ring(mut corners: Vec<Position>) -> Result<Vec<Position>, String> {
    match (corners.first(), corners.last()) {
        (Some(first), Some(last)) if first != last => {
            return Err(format!(
                "the outline is not closed: it begins at {first} and ends at {last}"
            ));
        }
        _ => {}
    }
    corners.dedup();
    corners.pop();
    Ok(corners)
}

/// What to do about an open outline.
const CLOSE: &str = "repeat the first position at the end";

/// The only one of the outlines found.
fn only_one<T>(found: Vec<T>, what: &str) -> Result<T, Fault> {
    let count = found.len();
    let mut found = found.into_iter();
    match (found.next(), found.next()) {
        (Some(one), None) => Ok(one),
        (None, _) => Err(Fault::new(None, format!("holds no {what}"), ACCEPTED)),
        _ => Err(Fault::new(
            None,
            format!("holds {count} of what could be the area ({what})"),
            "leave just one in the file",
        )),
    }
}
