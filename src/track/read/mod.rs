//! File → [`Reading`]: every point a log holds, in the order of the file, and what could not be read.
//!
//! The reader is chosen by content, never by the name of the file. One bad point costs that point
//! alone: it goes into the ledger with its line, and reading goes on. The `gpx` crate is not used for
//! logs because it gives up the whole file at the first bad value and cannot say where that stands.
//!
//! ```text
//! input → source (hash, unpack, decode) → sniff (which format) → the reader of the format
//! gpx (elements) ← xml (events) ← counting (lines)
//! point (the values of a point of GPX), plain (all of a point as most write it) ← values (what they mean, the same in every format)
//! limits (how much of a log is read)
//! igc (records), nmea (sentences) ← lines      times of day without a date ← clock
//! ```

mod begun;
mod clock;
mod columns;
mod counting;
mod digest;
mod geojson;
mod gpx;
mod header;
mod igc;
mod input;
mod instant;
mod json;
mod kml;
mod kmz;
mod limits;
mod lines;
mod nmea;
mod plain;
mod point;
mod sniff;
mod source;
mod table;
mod unpacked;
mod values;
mod xml;

pub use columns::{Columns, HeightUnit};
pub use input::called;
pub use instant::DateOrder;

pub(super) use values::YEARS;

use crate::input::InputError;
use crate::track::{LocalTime, Reading, Taken};
use input::{file_name, open, unreadable};
use sniff::Format;
use source::{Content, Source, UnknownEncoding, decoded_head};
use std::io;
use std::path::Path;

/// What a log is used as, in [`InputFile::role`](crate::input::InputFile::role).
pub const ROLE: &str = "track";

/// What can be read as a log, for hints.
const ACCEPTED: &str = "a recorded track as GPX 1.0 or 1.1 is accepted, or as IGC, NMEA 0183, KML, KMZ, GeoJSON \
                        or a table with a header, also compressed with gzip";

/// How a log is read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct ReadSettings {
    /// Read a file that breaks off or is ill-formed up to that place, instead of refusing it. The
    /// ledger then holds one [`Finding::Truncated`](crate::track::Finding::Truncated).
    pub salvage: bool,
    /// Times are local.
    pub local: Option<LocalTime>,
    /// Make up the times of lines that have one span of time (KML), spread along them by distance, instead of
    /// refusing them. The ledger then holds one
    /// [`Finding::SpreadTimes`](crate::track::Finding::SpreadTimes) for each of them.
    pub spread_times: bool,
}

/// Reads a track log; the path `-` stands for standard input.
///
/// # Errors
/// If the file cannot be opened, is in none of the formats that are read, breaks off (unless
/// [salvaged](ReadSettings::salvage)), unpacks to too much, or holds no track point at all. Bad points
/// are no error: they are in the ledger of the reading.
pub fn read(path: &Path, settings: ReadSettings) -> Result<Reading, InputError> {
    read_as(path, settings, None)
}

/// Reads a track log that is a table, whose columns are given.
///
/// # Errors
/// As [`read`] has them; and if the file is no table.
pub fn read_table(
    path: &Path,
    settings: ReadSettings,
    columns: Columns,
) -> Result<Reading, InputError> {
    read_as(path, settings, Some(columns))
}

/// Reads a track log that is in memory, such as one that was sent; `name` is what messages call it. With
/// columns it is a table.
///
/// # Errors
/// As [`read`] and [`read_table`] have them, except those of the medium.
pub fn read_bytes(
    name: &Path,
    bytes: &[u8],
    settings: ReadSettings,
    columns: Option<Columns>,
) -> Result<Reading, InputError> {
    let input = Box::new(io::Cursor::new(bytes.to_vec()));
    read_from(input, name, settings, columns)
}

fn read_as(
    path: &Path,
    settings: ReadSettings,
    columns: Option<Columns>,
) -> Result<Reading, InputError> {
    read_from(open(path)?, called(path), settings, columns)
}

fn read_from(
    input: Box<dyn io::Read>,
    path: &Path,
    settings: ReadSettings,
    columns: Option<Columns>,
) -> Result<Reading, InputError> {
    let content = Content::begin(input).map_err(|cause| unreadable(path, &cause))?;
    let head = decoded_head(&content.head);
    let format = if columns.is_some() {
        sniff::table(&head)
    } else {
        sniff::format(&head)
    };
    let format = format.map_err(|looks_like| InputError::new(path, None, looks_like, ACCEPTED))?;
    let source =
        Source::new(content).map_err(|UnknownEncoding(name)| unknown_encoding(path, &name))?;
    let reading = match format {
        Format::Gpx => gpx::read(path, source, settings),
        Format::Igc => igc::read(path, source, settings),
        Format::Nmea => nmea::read(path, source, settings),
        Format::Kml => kml::read(path, source, settings),
        Format::Kmz => kmz::read(path, source, settings),
        Format::GeoJson => geojson::read(path, source, settings),
        Format::Table => table::read(path, source, settings, columns),
    }?;
    Ok(Reading {
        taken: Taken {
            local_time: settings.local,
            spread_times: settings.spread_times,
            ..reading.taken
        },
        ..reading
    })
}

fn unknown_encoding(path: &Path, name: &str) -> InputError {
    let name = values::bounded(name);
    InputError::new(
        path,
        Some(1),
        format!("the file declares the unknown encoding \"{name}\""),
        "save it as UTF-8",
    )
}
