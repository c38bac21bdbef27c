//! File → [`Reading`]: every point a log holds, in the order of the file, and what could not be read.
//!
//! The reader is chosen by content, never by the name of the file. One bad point costs that point
//! alone: it goes into the ledger with its line, and reading goes on. The `gpx` crate is not used for
//! logs because it gives up the whole file at the first bad value and cannot say where that stands.
//!
//! ```text
//! input → source (hash, unpack, decode) → sniff (which format) → the reader of the format
//! gpx (elements) ← quick-xml ← counting (lines)      point (values of a point of GPX)
//! ```

mod clock;
mod counting;
mod gpx;
mod igc;
mod input;
mod lines;
mod nmea;
mod point;
mod sniff;
mod source;
mod unpacked;
mod values;

pub use input::called;

use crate::input::InputError;
use crate::track::Reading;
use input::{file_name, open, unreadable};
use sniff::Format;
use source::{Content, Source, UnknownEncoding, decoded_head};
use std::path::Path;

/// What a log is used as, in [`InputFile::role`](crate::input::InputFile::role).
const ROLE: &str = "track";

/// What can be read as a log, for hints.
const ACCEPTED: &str = "a recorded track as GPX 1.0 or 1.1 is accepted, also compressed with gzip";

/// How a log is read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct ReadSettings {
    /// Read a file that breaks off or is ill-formed up to that place, instead of refusing it. The
    /// ledger then holds one [`Finding::Truncated`](crate::track::Finding::Truncated).
    pub salvage: bool,
}

/// Reads a track log; the path `-` stands for standard input.
///
/// # Errors
/// If the file cannot be opened, is in none of the formats that are read, breaks off (unless
/// [salvaged](ReadSettings::salvage)), unpacks to too much, or holds no track point at all. Bad points
/// are no error: they are in the ledger of the reading.
pub fn read(path: &Path, settings: ReadSettings) -> Result<Reading, InputError> {
    let input = open(path)?;
    let path = called(path);
    let content = Content::begin(input).map_err(|cause| unreadable(path, &cause))?;
    let format = sniff::format(&decoded_head(&content.head))
        .map_err(|looks_like| InputError::new(path, None, looks_like, ACCEPTED))?;
    let source = Source::new(content).map_err(|UnknownEncoding(name)| {
        let name = point::bounded(&name);
        InputError::new(
            path,
            Some(1),
            format!("the file declares the unknown encoding \"{name}\""),
            "save it as UTF-8",
        )
    })?;
    match format {
        Format::Gpx => gpx::read(path, source, settings),
        Format::Igc => igc::read(path, source, settings),
        Format::Nmea => nmea::read(path, source, settings),
        Format::Kml => Err(not_read_yet(path, "KML")),
        Format::Kmz => Err(not_read_yet(path, "a zip archive, as KML comes in")),
        Format::GeoJson => Err(not_read_yet(path, "JSON")),
        Format::Table => Err(not_read_yet(path, "a table of separated values")),
    }
}

fn not_read_yet(path: &Path, what: &str) -> InputError {
    let problem = format!("the file looks like {what}, which is not read as a log");
    InputError::new(path, None, problem, ACCEPTED)
}
