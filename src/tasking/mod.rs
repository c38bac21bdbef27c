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
pub mod search;
pub mod write;

pub use crate::detection::{Law, Scanners};
pub use area::{AreaShape, AreaTask};
pub use parse::{
    MOST_SUB_AREAS, known_keys, known_search_keys, parse, parse_search, read, read_search,
};
pub use pattern::{
    Band, ContourTask, Course, ExpandingSquareTask, Fit, LegsTask, PatternTask, RouteSource,
    SectorTask, SeparateLeg, Side, SquareSize, SweepTask, TrackLineTask,
};
pub use search::{SearchTask, SubAreaTask};

use crate::detection::{InverseCube, SweepWidth, View};
use crate::geodesy::Position;
use crate::input::InputFile;
use crate::units::{Length, Speed};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

/// A checked tasking.
#[derive(Clone, Debug)]
pub struct Tasking {
    /// The file it came from.
    pub source: InputFile,
    /// Name of the sortie; the result folder is called after it.
    pub sortie: String,
    /// Day of the flight, for the declination.
    pub date: NaiveDate,
    /// Who flew the pattern, if the tasking says so.
    pub pilot: Option<String>,
    /// Whether the tasking was worked out from the flight that it is to be held against.
    pub inferred: bool,
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
    /// Where in the file what can only be refused when it is laid out stands.
    pub places: Places,
}

/// Lines of the file, counted from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Places {
    /// The kind of pattern.
    pub pattern: u32,
    /// The blind strip, or the section it would stand in.
    pub blind_strip: u32,
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

/// What is looked for and how well it can be seen.
#[derive(Clone, Debug, PartialEq)]
pub struct DetectionTask {
    /// Sweep width W.
    pub sweep_width: Length,
    /// How W came about.
    pub sweep_width_basis: SweepWidth,
    /// The tables of sweep widths and of factors that the tasking names in the place of those built in.
    pub sweep_width_tables: Vec<InputFile>,
    /// Height above the surface, which the inverse-cube law keeps where it is given.
    pub search_height: Option<Length>,
    /// The law that decides which strips are at target.
    pub law: Law,
    /// POD wanted everywhere; worked out from the plan if `None`.
    pub target_pod: Option<f64>,
    /// Sides looked from, and the blind strip under the aircraft.
    pub view: View,
    /// Heights and speeds within which flight counts as looking.
    pub limits: LookLimits,
    /// Horizontal error of recorded places, 95 %.
    pub position_error: Length,
    /// Whether the tasking gives it.
    pub position_error_given: bool,
    /// What is searched for, in words.
    pub search_object: Option<String>,
}

impl DetectionTask {
    /// The inverse-cube law for this sweep width and height.
    #[must_use]
    pub fn inverse_cube(&self) -> InverseCube {
        InverseCube::new(self.sweep_width, self.search_height)
    }

    /// The sweep width, or less where the blind strip is to be resolved (see [`View::detail`]).
    #[must_use]
    pub fn detail(&self) -> Length {
        self.view.detail(self.sweep_width)
    }
}

/// Horizontal error of a recorded place, 95 %, where the tasking gives none: the global average of the
/// GPS *Standard Positioning Service Performance Standard* of 2020 (8 m; at its worst site 15 m), from memory.
pub const POSITION_ERROR: Length = Length::from_m(8.0);

/// Heights and speeds within which flight counts as looking; a limit not given does not apply.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct LookLimits {
    /// Least height, in the terms in which the recorder writes height.
    #[serde(rename = "lowest_m")]
    pub lowest: Option<Length>,
    /// Greatest height.
    #[serde(rename = "highest_m")]
    pub highest: Option<Length>,
    /// Least ground speed.
    #[serde(rename = "slowest_mps")]
    pub slowest: Option<Speed>,
    /// Greatest ground speed.
    #[serde(rename = "fastest_mps")]
    pub fastest: Option<Speed>,
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
