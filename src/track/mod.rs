//! The recorded flight: bytes → [`Reading`](crate::track::Reading) (every point the file holds, and
//! what could not be read) → one [`Reading`](crate::track::Reading) of the files and tracks that are
//! wanted, in UTC → [`Track`](crate::track::Track) (ordered, finite, split at gaps).
//!
//! ```text
//! files ─read→ Readings ─gather→ Reading ─clean→ Track
//!                              each step writes what it dropped or repaired into the Ledger
//! ```

pub mod clean;
pub(crate) mod formula;
pub mod gather;
pub mod ledger;
pub mod motion;
pub mod read;
mod recorded_height;
pub mod summary;
mod tracks;
pub mod write;

pub use ledger::{Entry, Finding, Ledger};
pub use recorded_height::RecordedHeight;
pub use tracks::{LocalTime, LogTrack, Taken, Window};

use crate::geodesy::Position;
use crate::input::InputFile;
use crate::terrain::Ground;
use crate::units::Length;
use chrono::{DateTime, SecondsFormat, Utc};
use serde::Serialize;
use std::ops::Range;

/// One recorded position.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fix {
    /// When, UTC.
    pub time: DateTime<Utc>,
    /// Where.
    pub position: Position,
    /// Height as recorded; what it is measured from, as far as the format tells, is the
    /// [`HeightKind`] of the file.
    pub height: RecordedHeight,
    /// Line of its file it stands on, from 1.
    pub line: u32,
    /// Which of the files of the log that is, from 0 (see [`Reading::sources`]).
    pub file: u16,
}

impl Fix {
    /// All that was recorded of it, for the ledger: time, latitude and longitude in degrees, height, to the
    /// last digit that was read.
    fn recorded(&self) -> String {
        let time = self.time.to_rfc3339_opts(SecondsFormat::AutoSi, true);
        let (lat, lon) = (self.position.lat(), self.position.lon());
        match self.height.get() {
            Some(height) => format!("{time} {lat} {lon} {} m", height.m()),
            None => format!("{time} {lat} {lon} no height"),
        }
    }
}

/// What the heights of a log are measured from, as its format has it. Recorders do not all keep to
/// it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum HeightKind {
    /// Mean sea level.
    MeanSeaLevel,
    /// The WGS 84 ellipsoid, which lies within about 110 m of mean sea level.
    Ellipsoid,
    /// The pressure surface of 1013.25 hPa of the standard atmosphere.
    Pressure,
    /// The format or the file does not tell.
    Unknown,
    /// Not the same throughout: the log was put together from files that measure them differently.
    Mixed,
}

impl HeightKind {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::MeanSeaLevel,
        Self::Ellipsoid,
        Self::Pressure,
        Self::Unknown,
        Self::Mixed,
    ];

    /// Its name in files.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::MeanSeaLevel => "mean-sea-level",
            Self::Ellipsoid => "ellipsoid",
            Self::Pressure => "pressure",
            Self::Unknown => "unknown",
            Self::Mixed => "mixed",
        }
    }

    /// In words, after "heights are".
    #[must_use]
    pub const fn describe(self) -> &'static str {
        match self {
            Self::MeanSeaLevel => {
                "above mean sea level, as the format has it; not every recorder keeps to that"
            }
            Self::Ellipsoid => {
                "above the WGS 84 ellipsoid, up to about 110 m (360 ft) off from mean sea level"
            }
            Self::Pressure => {
                "pressure altitudes (1013.25 hPa), off from mean sea level by what the weather makes \
                 of it, about 27 ft a hectopascal"
            }
            Self::Unknown => "as recorded; the file does not tell what they are measured from",
            Self::Mixed => {
                "not measured from the same level in all files of the log, and not comparable with one \
                 another"
            }
        }
    }
}

impl HeightKind {
    /// What it makes of heights above the ground, where the ground is known above mean sea level.
    #[must_use]
    pub const fn above_ground(self) -> &'static str {
        match self {
            Self::MeanSeaLevel => {
                "Heights of the log and of the ground are both above mean sea level, by models of it that \
                 differ by a metre or so; satellite heights are often 10 m off and more."
            }
            Self::Ellipsoid => {
                "Heights of the log are above the ellipsoid and not above mean sea level, as the ground is: \
                 the height above the ground is off by up to about 110 m (360 ft), the same throughout one \
                 area. Nothing was converted."
            }
            Self::Pressure => {
                "Heights of the log are pressure altitudes and not above mean sea level, as the ground is: \
                 the height above the ground is off by about 27 ft for every hectopascal between 1013.25 \
                 and the pressure at sea level, and with the temperature. Nothing was converted."
            }
            Self::Mixed => {
                "Heights of the log are not measured from the same level in all its files: the height above \
                 the ground is as uncertain as the worst of them. Nothing was converted."
            }
            Self::Unknown => {
                "The log does not tell what its heights are measured from: if it is the ellipsoid, the \
                 height above the ground is off by up to about 110 m (360 ft), if it is the air pressure, \
                 by what the weather makes of it. Nothing was converted."
            }
        }
    }
}

/// What a file held: its fixes in the order of the file, segment by segment; or what
/// [`gather`](gather::gather) took of one or several files.
#[derive(Clone, Debug)]
pub struct Reading {
    /// The files, in the order in which they were given.
    pub sources: Vec<InputFile>,
    /// Name of the recorded track, if the file gives one; where several tracks were taken, their names.
    pub name: Option<String>,
    /// The tracks that the files hold, taken or not.
    pub tracks: Vec<LogTrack>,
    /// Continuous runs of fixes as the recorder wrote them; a new segment means that reception was
    /// lost or the receiver was off between them.
    pub segments: Vec<Vec<Fix>>,
    /// What the heights are measured from.
    pub height_kind: HeightKind,
    /// What could not be read.
    pub ledger: Ledger,
    /// What was done with the times, and what was left out for it.
    pub taken: Taken,
}

impl Reading {
    /// What a file held that knows no tracks, or one track alone.
    #[must_use]
    pub fn of(
        source: InputFile,
        name: Option<String>,
        segments: Vec<Vec<Fix>>,
        height_kind: HeightKind,
        ledger: Ledger,
    ) -> Self {
        let track = LogTrack::new(
            name,
            segments.iter().flatten().next().map_or(1, |fix| fix.line),
            0..segments.len(),
            0..ledger.entries.len(),
        );
        Self::of_tracks(source, vec![track], segments, height_kind, ledger)
    }

    /// What a file held that has one track or several; those without any point are left out.
    #[must_use]
    pub fn of_tracks(
        source: InputFile,
        tracks: Vec<LogTrack>,
        segments: Vec<Vec<Fix>>,
        height_kind: HeightKind,
        ledger: Ledger,
    ) -> Self {
        let mut reading = Self {
            sources: vec![source],
            name: None,
            tracks,
            segments,
            height_kind,
            ledger,
            taken: Taken::default(),
        };
        reading.describe_tracks();
        reading
    }
}

/// A cleaned track: fixes in strictly rising time.
#[derive(Clone, Debug)]
pub struct Track {
    /// The files, in the order in which they were given.
    pub sources: Vec<InputFile>,
    /// Name of the recorded track, if any.
    pub name: Option<String>,
    /// The tracks that the files hold, taken or not.
    pub tracks: Vec<LogTrack>,
    /// All fixes kept.
    pub fixes: Vec<Fix>,
    /// Index ranges into `fixes`, each recorded without a gap.
    pub stretches: Vec<Range<usize>>,
    /// Indices of the fixes from take-off to landing; empty if nothing was flown. What comes before
    /// and after is standing or taxiing: its positions wander, and nothing of it is flown.
    pub airborne: Range<usize>,
    /// The ground below the fixes, where terrain was given.
    pub ground: Option<Ground>,
    /// Median time between neighbouring fixes, seconds.
    pub median_interval_s: f64,
    /// The longest step between fixes that still counts as recorded, seconds.
    pub gap_limit_s: f64,
    /// What the heights are measured from.
    pub height_kind: HeightKind,
    /// Everything dropped or repaired, from reading and from cleaning.
    pub ledger: Ledger,
    /// What was done with the times, and what was left out for it.
    pub taken: Taken,
}

/// A time without fixes, longer than the gap limit or marked by the recorder.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Gap {
    /// Index of the last fix before it.
    #[serde(skip)]
    pub before: usize,
    /// Last recorded time before it.
    pub from: DateTime<Utc>,
    /// First recorded time after it.
    pub to: DateTime<Utc>,
    /// Its length, seconds.
    pub duration_s: f64,
    /// Where the record breaks off.
    pub from_position: Position,
    /// Where it begins again.
    pub to_position: Position,
}

impl Track {
    /// Points that the files held: those kept, those dropped, and those left out because they were not
    /// asked for.
    #[must_use]
    pub fn points_read(&self) -> usize {
        self.fixes.len() + self.ledger.dropped() + self.points_left_out()
    }

    /// Points that were not asked for: of tracks not taken, outside the window of time, or in another
    /// file as well.
    #[must_use]
    pub fn points_left_out(&self) -> usize {
        let not_taken = self.tracks.iter().filter(|track| !track.taken);
        not_taken.map(LogTrack::points).sum::<usize>() + self.taken.points_left_out()
    }

    /// Height recorded above that of the ground below; `None` if either is not known. What the two are
    /// measured from may differ, see [`HeightKind::above_ground`].
    #[must_use]
    pub fn height_above_ground(&self, fix: usize) -> Option<Length> {
        let ground = self.ground.as_ref()?.heights.get(fix).copied().flatten()?;
        let height = self.fixes[fix].height.get()?;
        Some(Length::from_m(height.m() - ground.m()))
    }

    /// Whether a gap, or the beginning of the log, lies right before this fix.
    #[must_use]
    pub fn begins_stretch(&self, fix: usize) -> bool {
        self.stretches
            .binary_search_by_key(&fix, |stretch| stretch.start)
            .is_ok()
    }

    /// The gaps between the stretches.
    #[must_use]
    pub fn gaps(&self) -> Vec<Gap> {
        self.stretches
            .windows(2)
            .map(|pair| {
                let (before, after) = (pair[0].end - 1, pair[1].start);
                let (a, b) = (self.fixes[before], self.fixes[after]);
                Gap {
                    before,
                    from: a.time,
                    to: b.time,
                    duration_s: seconds_between(a.time, b.time),
                    from_position: a.position,
                    to_position: b.position,
                }
            })
            .collect()
    }
}

/// Nanoseconds of a second.
const NANOS: i64 = 1_000_000_000;

/// Seconds from `from` to `to`, with fractions.
#[must_use]
pub fn seconds_between(from: DateTime<Utc>, to: DateTime<Utc>) -> f64 {
    let nanos = [from, to].map(|time| i64::from(time.timestamp_subsec_nanos()));
    // In a leap second there are more.
    if nanos.iter().any(|nanos| *nanos >= NANOS) {
        return (to - from).as_seconds_f64();
    }
    // What that gives, at a fraction of its cost: whole seconds, and what is over.
    let (seconds, over) = (to.timestamp() - from.timestamp(), nanos[1] - nanos[0]);
    if over < 0 {
        (seconds - 1) as f64 + (over + NANOS) as f64 / NANOS as f64
    } else {
        seconds as f64 + over as f64 / NANOS as f64
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// To the last bit the difference as chrono has it, forth and back, also in a leap second.
    #[test]
    fn seconds_are_those_of_chrono() {
        let times: Vec<DateTime<Utc>> = [
            "1969-12-31T23:59:59.999999999Z",
            "2016-12-31T23:59:59.9Z",
            "2016-12-31T23:59:60.7Z",
            "2017-01-01T00:00:00Z",
            "2026-06-14T08:00:00.1Z",
            "2026-06-14T08:00:00.3Z",
            "2026-06-15T08:30:24.600000001Z",
        ]
        .map(|text| text.parse().unwrap())
        .to_vec();
        for (from, to) in times
            .iter()
            .flat_map(|from| times.iter().map(move |to| (*from, *to)))
        {
            let exact = (to - from).as_seconds_f64();
            assert!(
                seconds_between(from, to).to_bits() == exact.to_bits(),
                "{from} {to}"
            );
        }
    }
}
