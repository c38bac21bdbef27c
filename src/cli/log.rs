//! A log named on the command line, and how it is to be read.

use super::CliError;
use crate::input::InputError;
use crate::terrain;
use crate::track::Track;
use crate::track::clean::{CleanSettings, DEFAULT_SPEED_LIMIT_KT, clean};
use crate::track::read::{Columns, ReadSettings, called, read, read_table};
use crate::units::Speed;
use std::path::{Path, PathBuf};

/// Arguments of every command that reads a log.
#[derive(Debug, clap::Args)]
pub(super) struct LogArgs {
    /// The recorded track (GPX, IGC, NMEA 0183, KML, KMZ, GeoJSON, or a table with a header; also compressed
    /// with gzip), or - for standard input.
    #[arg(value_name = "TRACK")]
    pub(super) file: PathBuf,
    #[command(flatten)]
    pub(super) reading: ReadingArgs,
    /// Terrain for heights above the ground: a tile (.hgt of one or three arc-seconds, or a GeoTIFF in
    /// latitude and longitude on WGS 84), or a folder of tiles.
    #[arg(long, value_name = "DIR|FILE")]
    pub(super) terrain: Option<PathBuf>,
}

/// How a log is to be read.
#[derive(Debug, clap::Args)]
pub(super) struct ReadingArgs {
    /// Read a file that breaks off or is ill-formed up to that place.
    #[arg(long)]
    salvage: bool,
    /// Refuse the log if anything in it would have to be dropped or repaired: any point that cannot be
    /// used, a time without zone, a height that cannot be right, a segment out of order, a broken end.
    #[arg(long)]
    strict: bool,
    /// Ground speed above which a step between fixes is taken for an error, in knots.
    #[arg(long, value_name = "KNOTS", value_parser = positive, default_value_t = DEFAULT_SPEED_LIMIT_KT)]
    speed_limit: f64,
    /// Columns of a log that is a table, counted from 1, if its first line does not name them: "time=2,
    /// lat=3, lon=4, height=6 ft"; also date=1, "utc" behind the time, and "dmy" or "mdy" behind a date
    /// that does not begin with its year.
    #[arg(long, value_name = "COLUMNS")]
    columns: Option<Columns>,
}

impl LogArgs {
    /// Reads and cleans the log; errors name it as it was given.
    ///
    /// # Errors
    /// If the log is refused.
    pub(super) fn load(&self, gap_limit_s: Option<f64>) -> Result<Track, CliError> {
        let track = self.reading.load(&self.file, gap_limit_s)?;
        over(track, self.terrain.as_deref())
    }
}

impl ReadingArgs {
    /// Reads and cleans a log; errors name it as it was given.
    ///
    /// # Errors
    /// If the log is refused.
    pub(super) fn load(&self, file: &Path, gap_limit_s: Option<f64>) -> Result<Track, CliError> {
        let reading = ReadSettings {
            salvage: self.salvage,
        };
        let cleaning = CleanSettings {
            gap_limit_s,
            speed_limit: Speed::from_kt(self.speed_limit),
            strict: self.strict,
        };
        // Cleaning knows the file by its name alone; the user gave the way to it.
        let reading = match self.columns {
            Some(columns) => read_table(file, reading, columns),
            None => read(file, reading),
        };
        let track = clean(reading?, &cleaning).map_err(|error| InputError {
            file: called(file).to_owned(),
            ..error
        })?;
        Ok(track)
    }
}

/// The track with the ground below it, if terrain is given.
///
/// # Errors
/// If the terrain is refused.
pub(super) fn over(mut track: Track, terrain: Option<&Path>) -> Result<Track, CliError> {
    if let Some(tiles) = terrain {
        let places: Vec<_> = track.fixes.iter().map(|fix| fix.position).collect();
        track.ground = Some(terrain::below(tiles, &places)?);
    }
    Ok(track)
}

/// A number of seconds or knots.
pub(super) fn positive(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(value) if value > 0.0 && value.is_finite() => Ok(value),
        _ => Err("a number above 0 is accepted".to_owned()),
    }
}
