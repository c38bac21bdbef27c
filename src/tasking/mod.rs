//! What a crew was assigned: the tasking file, read and checked.
//!
//! The file is TOML, described field by field in `docs/tasking-file.md`. Quantities carry their
//! unit in the text (`"0.5 NM"`), courses say whether they are true or magnetic (`"092 T"`).

pub mod area;
pub mod coordinates;
mod fields;
mod parse;
mod pattern;
pub mod quantity;

pub use area::{AreaShape, AreaTask};
pub use parse::{known_keys, parse, read};
pub use pattern::{
    Band, ContourTask, Course, ExpandingSquareTask, Fit, PatternTask, RouteSource, SectorTask,
    Side, SquareSize, SweepTask, TrackLineTask,
};

use crate::geodesy::Position;
use crate::input::InputFile;
use crate::units::{Length, Speed};
use chrono::NaiveDate;

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
