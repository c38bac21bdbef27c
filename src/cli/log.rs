//! A log named on the command line, and how it is to be read.

use crate::input::{InputError, InputFile, shown_path};
use crate::tasking::quantity;
use crate::terrain;
use crate::track::clean::{CleanSettings, DEFAULT_SPEED_LIMIT_KT, clean};
use crate::track::gather::{Edge, TrackChoice, Wanted, gather, select, tell_apart};
use crate::track::read::{Columns, ReadSettings, called, read, read_table};
use crate::track::{LocalTime, Reading, Track};
use crate::units::Speed;
use chrono::TimeDelta;
use std::path::{Path, PathBuf};

/// The largest correction of a clock, seconds: within it are the 1024 weeks after which the week number of GPS
/// starts again.
const LARGEST_CORRECTION_S: f64 = 1e9;

/// Arguments of every command that reads a log.
#[derive(Debug, clap::Args)]
pub(super) struct LogArgs {
    /// The recorded track (GPX, IGC, NMEA 0183, KML, KMZ, GeoJSON, or a table with a header; also compressed
    /// with gzip), or - for standard input. Several files of one flight are joined in order of time.
    #[arg(value_name = "TRACK", required = true)]
    pub(super) files: Vec<PathBuf>,
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
    #[command(flatten)]
    pub(super) choice: ChoiceArgs,
    #[command(flatten)]
    pub(super) gates: GateArgs,
}

/// What is taken for an error in a log.
#[derive(Clone, Debug, clap::Args)]
pub(super) struct GateArgs {
    /// Refuse the log if anything in it would have to be dropped or repaired: any point that cannot be
    /// used, a time without zone, a height that cannot be right, a segment out of order, a broken end.
    #[arg(long)]
    strict: bool,
    /// Ground speed above which a step between fixes is taken for an error, in knots.
    #[arg(long, value_name = "KNOTS", value_parser = positive, default_value_t = DEFAULT_SPEED_LIMIT_KT)]
    speed_limit: f64,
}

/// What of the files is taken, and what their times are.
#[derive(Debug, clap::Args)]
pub(super) struct ChoiceArgs {
    #[command(flatten)]
    pub(super) form: FormArgs,
    #[command(flatten)]
    pub(super) part: PartArgs,
}

/// How files are read, and what their times are: what can hold for many flights alike.
#[derive(Clone, Debug, clap::Args)]
pub(super) struct FormArgs {
    /// Read a file that breaks off or is ill-formed up to that place.
    #[arg(long)]
    salvage: bool,
    /// Columns of a log that is a table, counted from 1, if its first line does not name them: "time=2,
    /// lat=3, lon=4, height=6 ft"; also date=1, "utc" behind the time, and "dmy" or "mdy" behind a date
    /// that does not begin with its year.
    #[arg(long, value_name = "COLUMNS")]
    columns: Option<Columns>,
    /// What is added to every recorded time, such as "-18 s" for a clock that was 18 seconds ahead.
    #[arg(long, value_name = "TIME", value_parser = correction, allow_hyphen_values = true)]
    clock_correction: Option<TimeDelta>,
    /// Times that do not name their zone are local, so far from UTC: +02:00 where clocks show two hours more
    /// [default: they are taken as UTC].
    #[arg(long, value_name = "OFFSET", value_parser = offset_s, allow_hyphen_values = true)]
    zone: Option<i32>,
    /// With --zone: times that say they are UTC, also those of IGC and NMEA 0183, are local all the same.
    #[arg(long, requires = "zone")]
    zone_wrong: bool,
    /// Make up the times of drawn lines of KML that have one span of time (TimeSpan), as if each had been flown
    /// at one ground speed from its beginning to its end [default: they are refused, since when the aircraft
    /// was where was not recorded].
    #[arg(long)]
    spread_times: bool,
}

/// Which part of one flight is taken.
#[derive(Clone, Debug, Default, clap::Args)]
pub(super) struct PartArgs {
    /// Take this track alone, by its number or name as `inspect` lists them; may be given more than once
    /// [default: all of them, joined if their times do not overlap].
    #[arg(long, value_name = "TRACK")]
    track: Vec<TrackChoice>,
    /// Leave out what was recorded before this time, UTC: 2026-05-01T15:04:05Z, or 15:04 where the log has that
    /// time once.
    #[arg(long, value_name = "TIME")]
    since: Option<Edge>,
    /// Leave out what was recorded after this time, UTC.
    #[arg(long, value_name = "TIME")]
    until: Option<Edge>,
}

impl LogArgs {
    /// Reads and cleans the log; errors name it as it was given.
    ///
    /// # Errors
    /// If the log is refused.
    pub(super) fn load(&self, gap_limit_s: Option<f64>) -> Result<Track, InputError> {
        let track = self.reading.load(&self.files, gap_limit_s)?;
        over(track, self.terrain.as_deref())
    }
}

impl ReadingArgs {
    /// Whether times are made up along lines that have none.
    pub(super) const fn spreads_times(&self) -> bool {
        self.choice.form.spread_times
    }

    /// Reads, joins and cleans the files of a log; errors name them as they were given.
    ///
    /// # Errors
    /// If the log is refused.
    pub(super) fn load(
        &self,
        files: &[PathBuf],
        gap_limit_s: Option<f64>,
    ) -> Result<Track, InputError> {
        let cleaning = CleanSettings {
            gap_limit_s,
            speed_limit: Speed::from_kt(self.gates.speed_limit),
            strict: self.gates.strict,
        };
        let reading = self.choice.read_by(files, gather)?;
        let sources = reading.sources.clone();
        clean(reading, &cleaning).map_err(|error| as_given(error, &sources, files))
    }
}

/// The track with the ground below it, if terrain is given.
///
/// # Errors
/// If the terrain is refused.
pub(super) fn over(mut track: Track, terrain: Option<&Path>) -> Result<Track, InputError> {
    if let Some(tiles) = terrain {
        let places: Vec<_> = track.fixes.iter().map(|fix| fix.position).collect();
        track.ground = Some(terrain::below(tiles, &places)?);
    }
    Ok(track)
}

impl ChoiceArgs {
    /// Reads what is wanted of the files, each track by itself; errors name them as they were given.
    ///
    /// # Errors
    /// If a file is refused, or the choice does not fit.
    pub(super) fn read(&self, files: &[PathBuf]) -> Result<Reading, InputError> {
        self.read_by(files, select)
    }

    fn read_by(
        &self,
        files: &[PathBuf],
        gathered: fn(Vec<Reading>, &Wanted) -> Result<Reading, InputError>,
    ) -> Result<Reading, InputError> {
        let settings = ReadSettings {
            salvage: self.form.salvage,
            local: self.form.zone.map(|offset_s| LocalTime {
                offset_s,
                despite_utc: self.form.zone_wrong,
            }),
            spread_times: self.form.spread_times,
        };
        let mut readings = Vec::new();
        for (index, file) in files.iter().enumerate() {
            if files[..index].contains(file) {
                return Err(InputError::new(
                    called(file),
                    None,
                    "this file is given twice",
                    "give every file of the flight once",
                ));
            }
            readings.push(match self.form.columns {
                Some(columns) => read_table(file, settings, columns)?,
                None => read(file, settings)?,
            });
        }
        let wanted = Wanted {
            tracks: self.part.track.clone(),
            clock_correction: self.form.clock_correction.unwrap_or_default(),
            from: self.part.since,
            to: self.part.until,
        };
        let mut sources: Vec<InputFile> = readings.iter().flat_map(|r| r.sources.clone()).collect();
        tell_apart(&mut sources);
        gathered(readings, &wanted).map_err(|error| as_given(error, &sources, files))
    }
}

/// The library knows a file by its name alone; the user gave the way to it.
fn as_given(error: InputError, sources: &[InputFile], files: &[PathBuf]) -> InputError {
    let named = |source: &InputFile| Path::new(&source.name) == error.file;
    let file = match sources.iter().position(named) {
        Some(index) => files.get(index).map(|file| called(file).to_owned()),
        None => Some(all_called(files)),
    };
    InputError {
        file: file.unwrap_or(error.file),
        ..error
    }
}

/// What the files of a log are called in messages about all of them.
pub(super) fn all_called(files: &[PathBuf]) -> PathBuf {
    let names: Vec<String> = files.iter().map(|file| shown_path(called(file))).collect();
    PathBuf::from(names.join(", "))
}

/// A number of seconds or knots.
pub(super) fn positive(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(value) if value > 0.0 && value.is_finite() => Ok(value),
        _ => Err("a number above 0 is accepted".to_owned()),
    }
}

/// A signed time such as `-18 s`.
fn correction(text: &str) -> Result<TimeDelta, String> {
    let text = text.trim();
    let (sign, time) = match text.strip_prefix('-') {
        Some(time) => (-1.0, time),
        None => (1.0, text.strip_prefix('+').unwrap_or(text)),
    };
    if !time.trim_start().starts_with(|c: char| c.is_ascii_digit()) {
        return Err("a sign and a time are expected, such as -18 s or +3.5 s".to_owned());
    }
    let seconds = quantity::duration_s(time.trim())
        .map_err(|error| format!("{error}; expected a sign and {}", error.accepted))?;
    if seconds > LARGEST_CORRECTION_S {
        return Err("no clock is wrong by more than 30 years".to_owned());
    }
    // A cast within range, to the nanosecond.
    Ok(TimeDelta::nanoseconds((sign * seconds * 1e9).round() as i64))
}

/// Local time minus UTC, such as `+02:00`, in seconds.
fn offset_s(text: &str) -> Result<i32, String> {
    let accepted = "local time minus UTC is accepted, as +02:00 or -09:30".to_owned();
    let Some((sign, clock)) = text
        .trim()
        .strip_prefix('+')
        .map(|clock| (1, clock))
        .or_else(|| text.trim().strip_prefix('-').map(|clock| (-1, clock)))
    else {
        return Err(accepted);
    };
    let Some((hours, minutes)) = clock.split_once(':') else {
        return Err(accepted);
    };
    let number = |text: &str, most: i32| {
        let digits = text.len() == 2 && text.bytes().all(|byte| byte.is_ascii_digit());
        text.parse::<i32>()
            .ok()
            .filter(|number| digits && *number <= most)
    };
    // xsd:dateTime: offsets within 14 hours.
    match number(hours, 14).zip(number(minutes, 59)) {
        Some((hours, minutes)) => Ok(sign * (hours * 3600 + minutes * 60)),
        None => Err(accepted),
    }
}
