//! A log → a file of any of the formats that are read, with what that format cannot hold said beside it.
//!
//! Every fix of the reading is written, in its order, in its segment and track. What is written is read back
//! by [`read`](crate::track::read) to the same fixes, as finely as the format has them:
//!
//! | format | time | place | height | tracks | segments |
//! |---|---|---|---|---|---|
//! | GPX, KML, KMZ | exact | exact | exact, mean sea level | with names | yes |
//! | GeoJSON, tables | exact | exact | exact, whatever it is measured from | with names | yes |
//! | IGC | 1 ms | 1e-6 minutes of arc | 1 m, whatever it is measured from | no | no |
//! | NMEA 0183 | exact | 1e-7 minutes of arc | 1 mm, mean sea level | no | no |

mod content;
mod geojson;
mod gpx;
mod igc;
mod kml;
mod minutes;
mod nmea;
mod table;
pub(crate) mod xml;

pub(crate) use gpx::line_of_point;
pub use gpx::{Decimals, write_gpx};

use super::{HeightKind, Reading};
use chrono::{DateTime, Utc};
use content::Content;
use std::io;
use std::path::Path;
use std::str::FromStr;

/// A format that logs are written in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LogFormat {
    /// GPX 1.1.
    Gpx,
    /// Records of a flight recorder.
    Igc,
    /// NMEA 0183.
    Nmea,
    /// KML 2.3.
    Kml,
    /// The same in a zip archive.
    Kmz,
    /// GeoJSON.
    GeoJson,
    /// A table with commas.
    Csv,
    /// A table with tabs.
    Tsv,
}

impl LogFormat {
    /// All of them, with their name and the endings of file names that mean them.
    const ALL: [(Self, &'static str, &'static [&'static str]); 8] = [
        (Self::Gpx, "gpx", &["gpx"]),
        (Self::Igc, "igc", &["igc"]),
        (Self::Nmea, "nmea", &["nmea", "nma"]),
        (Self::Kml, "kml", &["kml"]),
        (Self::Kmz, "kmz", &["kmz"]),
        (Self::GeoJson, "geojson", &["geojson", "json"]),
        (Self::Csv, "csv", &["csv"]),
        (Self::Tsv, "tsv", &["tsv", "tab"]),
    ];

    /// The names that are accepted, for hints.
    pub const NAMES: &'static str = "gpx, igc, nmea, kml, kmz, geojson, csv or tsv";

    /// The format that the ending of a file's name stands for.
    #[must_use]
    pub fn of_name(path: &Path) -> Option<Self> {
        let ending = path.extension()?.to_str()?.to_ascii_lowercase();
        let mut all = Self::ALL.iter();
        all.find(|(_, _, endings)| endings.contains(&ending.as_str()))
            .map(|(format, _, _)| *format)
    }

    /// Its name.
    #[must_use]
    pub fn name(self) -> &'static str {
        let mut all = Self::ALL.iter();
        all.find(|(format, _, _)| *format == self)
            .map_or("", |(_, name, _)| name)
    }
}

impl FromStr for LogFormat {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let mut all = Self::ALL.iter();
        all.find(|(_, name, _)| name.eq_ignore_ascii_case(text.trim()))
            .map(|(format, _, _)| *format)
            .ok_or_else(|| format!("{} is accepted", Self::NAMES))
    }
}

/// How a log is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct WriteSettings {
    /// Write heights also where the format measures them from something else than they are, and so says
    /// something wrong about them.
    pub heights_as_they_are: bool,
}

/// A written log.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Written {
    /// The file.
    pub bytes: Vec<u8>,
    /// What the format could not hold, a sentence each.
    pub lost: Vec<String>,
}

/// Why a log cannot be written in a format.
#[derive(Debug, thiserror::Error)]
pub enum WriteError {
    /// The log holds no fix.
    #[error("there is no fix to write")]
    Empty,
    /// A time that the format cannot express.
    #[error(
        "a fix is of {}, and {format} can express the years 1980 to 2079 alone",
        .time.format("%Y-%m-%d")
    )]
    Year {
        /// Name of the format.
        format: &'static str,
        /// The time.
        time: DateTime<Utc>,
    },
    /// The writer of the format failed, which on memory it does not.
    #[error("the file cannot be made: {0}")]
    Io(#[from] io::Error),
}

/// Writes the tracks taken of a reading that was [`select`](crate::track::gather::select)ed, or came from one
/// file.
///
/// # Errors
/// If there is no fix, or one of a year that the format cannot express.
pub fn write(
    reading: &Reading,
    format: LogFormat,
    settings: WriteSettings,
) -> Result<Written, WriteError> {
    let mut content = Content::of(reading);
    if content.fixes().next().is_none() {
        return Err(WriteError::Empty);
    }
    match format {
        LogFormat::Gpx => content.heights_above_mean_sea_level("GPX", settings),
        LogFormat::Kml | LogFormat::Kmz => content.heights_above_mean_sea_level("KML", settings),
        LogFormat::Nmea => content.heights_above_mean_sea_level("NMEA 0183", settings),
        LogFormat::Igc | LogFormat::GeoJson | LogFormat::Csv | LogFormat::Tsv => {}
    }
    let bytes = match format {
        LogFormat::Gpx => gpx::bytes(&content)?,
        LogFormat::Igc => igc::bytes(&mut content, settings)?,
        LogFormat::Nmea => nmea::bytes(&mut content)?,
        LogFormat::Kml => kml::bytes(&content)?,
        LogFormat::Kmz => kml::packed(&content)?,
        LogFormat::GeoJson => geojson::bytes(&content),
        LogFormat::Csv => table::bytes(&mut content, b',')?,
        LogFormat::Tsv => table::bytes(&mut content, b'\t')?,
    };
    Ok(Written {
        bytes,
        lost: content.lost,
    })
}

/// What heights are measured from, in two words.
const fn measured_from(kind: HeightKind) -> &'static str {
    match kind {
        HeightKind::MeanSeaLevel => "above mean sea level",
        HeightKind::Ellipsoid => "above the WGS 84 ellipsoid",
        HeightKind::Pressure => "pressure altitudes",
        HeightKind::Unknown => "measured from something that the log does not tell",
        HeightKind::Mixed => "not all measured from the same level",
    }
}
