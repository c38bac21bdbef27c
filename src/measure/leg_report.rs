//! What became of each planned leg, and what was flown besides.

use super::{Handling, Tracking};
use crate::geodesy::Position;
use crate::units::{Bearing, Length, Speed};
use chrono::{DateTime, Utc};
use serde::Serialize;

/// A stretch of a planned leg, measured from its planned start.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AlongSpan {
    /// Where it begins.
    #[serde(rename = "from_m")]
    pub from: Length,
    /// Where it ends; more than `from`.
    #[serde(rename = "to_m")]
    pub to: Length,
    /// Place of its beginning on the planned leg.
    pub from_position: Position,
    /// Place of its end on the planned leg.
    pub to_position: Position,
}

impl AlongSpan {
    /// Its length.
    #[must_use]
    pub fn length(&self) -> Length {
        Length::from_m(self.to.m() - self.from.m())
    }
}

/// What became of a planned search leg.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum LegState {
    /// Flown over (nearly) all its length.
    Flown,
    /// Flown in part, the rest flown past elsewhere.
    FlownInPart,
    /// Not flown, and the log shows where the aircraft was instead.
    NotFlown,
    /// The log has a hole where it may have been flown, in part or whole.
    NotRecorded,
}

impl LegState {
    /// Name for people.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Flown => "flown",
            Self::FlownInPart => "flown in part",
            Self::NotFlown => "not flown",
            Self::NotRecorded => "not recorded",
        }
    }
}

/// One point of a cross-track profile.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ProfilePoint {
    /// Distance from the leg's planned start.
    #[serde(rename = "along_m")]
    pub along: Length,
    /// XTE, right positive in the direction flown.
    #[serde(rename = "xte_m")]
    pub xte: Length,
}

/// One passage along a planned search leg.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Pass {
    /// Label of the leg.
    pub leg: String,
    /// Whether it was flown against the planned direction.
    pub reversed: bool,
    /// Crossing onto the leg.
    pub entered: DateTime<Utc>,
    /// Leaving it.
    pub left: DateTime<Utc>,
    /// The recorded stretches of it; more than one when the log has a hole in between.
    pub recorded: Vec<AlongSpan>,
    /// XTE from where the aircraft was established (or over the whole pass if it never was).
    pub tracking: Tracking,
    /// Distance from the entry end of the leg to where it was established: within the cross-track
    /// tolerance and 10° of the leg's course, and so for the next 10 s. `None` if it never was.
    #[serde(rename = "established_after_m")]
    pub established_after: Option<Length>,
    /// Speed and height.
    pub handling: Handling,
    /// Wind component across the leg, from left to right of the direction flown positive; `None`
    /// without a wind estimate.
    #[serde(rename = "crosswind_mps")]
    pub crosswind: Option<Speed>,
    /// XTE along the pass, thinned for drawing, in the order flown; one list per recorded stretch.
    pub profile: Vec<Vec<ProfilePoint>>,
}

/// One planned search leg and what became of it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LegReport {
    /// Label of the leg.
    pub leg: String,
    /// What became of it.
    pub state: LegState,
    /// Share of its length flown and recorded, 0 to 1.
    pub flown_share: f64,
    /// Share of its length that may have been flown while the log has a hole, 0 to 1.
    pub unrecorded_share: f64,
    /// Stretches known not to have been flown.
    pub missed: Vec<AlongSpan>,
    /// Stretches that may have been flown while the log has a hole.
    pub unrecorded: Vec<AlongSpan>,
    /// Its passages, as indexes into the debrief's passes, in the order flown.
    pub passes: Vec<usize>,
    /// XTE over all its passages together; `None` if it has none.
    pub tracking: Option<Tracking>,
}

/// A straight run inside the area on no planned leg.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AdditionalLeg {
    /// `A1`, `A2`, … in the order flown.
    pub label: String,
    /// Its beginning.
    pub entered: DateTime<Utc>,
    /// Its end.
    pub left: DateTime<Utc>,
    /// Where it begins.
    pub start: Position,
    /// Where it ends.
    pub end: Position,
    /// Distance flown on it.
    #[serde(rename = "length_m")]
    pub length: Length,
    /// Mean true course flown.
    #[serde(rename = "course_true_deg")]
    pub course: Bearing,
    /// The nearest planned search leg parallel to it, if any lies within two spacings.
    pub nearest_leg: Option<String>,
    /// Mean distance from that leg: the spacing achieved beside it.
    #[serde(rename = "spacing_achieved_m")]
    pub spacing_achieved: Option<Length>,
    /// Speed and height.
    pub handling: Handling,
}
