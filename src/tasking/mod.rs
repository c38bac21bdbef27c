//! What a crew was assigned: the tasking file, read and checked.
//!
//! The file is TOML, described field by field in `docs/tasking-file.md`. Quantities carry their
//! unit in the text (`"0.5 NM"`), courses say whether they are true or magnetic (`"092 T"`).

pub mod area;
pub mod coordinates;
mod fields;
mod parse;
pub mod quantity;

pub use area::{AreaShape, AreaTask};
pub use parse::{known_keys, parse, read};

use crate::geodesy::Position;
use crate::input::InputFile;
use crate::units::{Bearing, Length, Speed};
use chrono::NaiveDate;
use std::path::PathBuf;

/// A checked tasking.
#[derive(Clone, Debug)]
pub struct Tasking {
    /// The file it came from.
    pub source: InputFile,
    /// Name of the sortie; the result folder is called after it.
    pub sortie: String,
    /// Day of the flight, for the declination.
    pub date: NaiveDate,
    /// The search area, if given.
    pub area: Option<AreaTask>,
    /// The pattern to fly.
    pub pattern: PatternTask,
    /// How it is to be flown.
    pub flight: FlightTask,
    /// What is looked for and how well it can be seen.
    pub detection: DetectionTask,
    /// Limits that count as well flown.
    pub tolerances: Tolerances,
}

/// The pattern of a tasking.
#[derive(Clone, Debug, PartialEq)]
pub enum PatternTask {
    /// Parallel sweep.
    ParallelSweep(ParallelSweepTask),
    /// Legs from a GPX route file.
    Route {
        /// The file, relative paths resolved against the tasking's folder.
        file: PathBuf,
        /// Which route of the file, by name; the only one if `None`.
        name: Option<String>,
        /// Track spacing S.
        spacing: Length,
    },
}

/// A parallel sweep as tasked. What is `None` is worked out from the area.
#[derive(Clone, Debug, PartialEq)]
pub struct ParallelSweepTask {
    /// Commence search point.
    pub start: Option<Position>,
    /// Course of the first leg.
    pub first_course: Course,
    /// Side of the first turn.
    pub turn: Side,
    /// Track spacing S.
    pub spacing: Length,
    /// Length of each search leg.
    pub leg_length: Option<Length>,
    /// Number of search legs.
    pub legs: Option<u32>,
    /// How far inside the area's edge legs begin and end; half a spacing if `None`.
    pub end_inset: Option<Length>,
    /// How the number of legs is found from an area that is not a whole number of spacings wide.
    pub fit: Fit,
}

/// How many legs an area gets.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fit {
    /// The nearest whole number: up to half a spacing at the far edge lies outside the strips.
    Nearest,
    /// As many as it takes to leave nothing outside the strips.
    Cover,
}

/// A course as written in a tasking.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Course {
    /// Clockwise from true north.
    True(Bearing),
    /// Clockwise from magnetic north, degrees.
    Magnetic(f64),
}

/// Left or right.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    /// Left.
    Left,
    /// Right.
    Right,
}

impl Side {
    /// +1 for right, -1 for left.
    #[must_use]
    pub const fn sign(self) -> f64 {
        match self {
            Self::Left => -1.0,
            Self::Right => 1.0,
        }
    }
}

/// How the pattern is to be flown.
#[derive(Clone, Debug, PartialEq)]
pub struct FlightTask {
    /// Ground speed to plan with and to hold.
    pub ground_speed: Speed,
    /// Height to hold, in the terms in which the recorder writes height (GPX: above mean sea level).
    pub altitude: Option<Length>,
    /// Where the aircraft starts from and returns to.
    pub base: Option<Position>,
}

/// Lateral-range law.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Law {
    /// Inverse cube: ideal search conditions.
    InverseCube,
    /// Exponential (random search): normal search conditions.
    Exponential,
    /// Seen within half a sweep width, else not.
    DefiniteRange,
}

impl Law {
    /// Name for people.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::InverseCube => "inverse cube",
            Self::Exponential => "exponential",
            Self::DefiniteRange => "definite range",
        }
    }
}

/// Which sides of the aircraft are looked from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Scanners {
    /// Both sides.
    Both,
    /// Left side only.
    Left,
    /// Right side only.
    Right,
}

/// What is looked for and how well it can be seen.
#[derive(Clone, Debug, PartialEq)]
pub struct DetectionTask {
    /// Sweep width W.
    pub sweep_width: Length,
    /// The law that decides which strips are at target.
    pub law: Law,
    /// POD wanted everywhere; worked out from the plan if `None`.
    pub target_pod: Option<f64>,
    /// Sides looked from.
    pub scanners: Scanners,
    /// What is searched for, in words.
    pub search_object: Option<String>,
}

/// Limits that count as well flown.
#[derive(Clone, Debug, PartialEq)]
pub struct Tolerances {
    /// Cross-track error; the smaller of 0.25 NM (JP 3-50 Vol I, p. 394) and a quarter of the
    /// spacing (chosen: so that strips cannot part by more than half a spacing) if `None`.
    pub cross_track: Option<Length>,
    /// Height; 200 ft (FAA-S-ACS-6, task VI.A, private pilot) by default.
    pub altitude: Length,
    /// Ground speed; 10 kt by default (chosen: the airspeed limit of the same standards in other
    /// tasks, from memory).
    pub ground_speed: Speed,
    /// Longest time between fixes that still counts as recorded, seconds; from the log's own rate
    /// if `None`.
    pub recording_gap_s: Option<f64>,
}
