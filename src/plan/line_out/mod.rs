//! Planned lines → a file of any of the formats that [`line_file`](super::line_file) reads, with what that format
//! cannot hold said beside it.

mod geojson;
mod gpx;
mod kml;
mod table;

use super::line_file::Line;
use std::path::Path;
use std::str::FromStr;

/// A format that planned lines are written in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LineFormat {
    /// Routes of GPX 1.1.
    Gpx,
    /// `LineString`s of KML 2.2.
    Kml,
    /// `LineString`s of GeoJSON.
    GeoJson,
    /// A table with commas.
    Csv,
    /// A table with tabs.
    Tsv,
}

impl LineFormat {
    /// The names that are accepted, for hints.
    pub const NAMES: &'static str = "gpx, kml, geojson, csv or tsv";

    /// The format that the ending of a file's name stands for.
    #[must_use]
    pub fn of_name(path: &Path) -> Option<Self> {
        match path.extension()?.to_str()?.to_ascii_lowercase().as_str() {
            "json" => Some(Self::GeoJson),
            ending => ending.parse().ok(),
        }
    }

    const fn has_place_names(self) -> bool {
        matches!(self, Self::Gpx | Self::Csv | Self::Tsv)
    }
}

impl FromStr for LineFormat {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        match text.trim().to_ascii_lowercase().as_str() {
            "gpx" => Ok(Self::Gpx),
            "kml" => Ok(Self::Kml),
            "geojson" => Ok(Self::GeoJson),
            "csv" => Ok(Self::Csv),
            "tsv" => Ok(Self::Tsv),
            _ => Err(format!("for planned lines {} is accepted", Self::NAMES)),
        }
    }
}

/// The lines as a file, and what it could not hold, a sentence each.
///
/// # Errors
/// When the writer of the format fails, which on memory it does not.
pub fn write(lines: &[Line], format: LineFormat) -> Result<(Vec<u8>, Vec<String>), String> {
    let mut lost = Vec::new();
    let heights: usize = lines.iter().map(|line| line.heights).sum();
    if heights > 0 {
        lost.push(format!(
            "heights of {heights} places are left out: planned lines are read without them"
        ));
    }
    let names = lines.iter().flat_map(|line| &line.place_names).flatten();
    let names = names.count();
    if names > 0 && !format.has_place_names() {
        lost.push(format!(
            "names of {names} places are left out: lines of the format have none"
        ));
    }
    let bytes = match format {
        LineFormat::Gpx => gpx::bytes(lines),
        LineFormat::Kml => kml::bytes(lines).map_err(|error| error.to_string()),
        LineFormat::GeoJson => Ok(geojson::bytes(lines)),
        LineFormat::Csv => table::bytes(lines, b','),
        LineFormat::Tsv => table::bytes(lines, b'\t'),
    }?;
    Ok((bytes, lost))
}

/// Name of a place of a line.
fn place_name(line: &Line, place: usize) -> Option<&str> {
    line.place_names.get(place)?.as_deref()
}
