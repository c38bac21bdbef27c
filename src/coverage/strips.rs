//! Strips and the holes in them.
//!
//! A strip is the ground one spacing wide centred on a search leg, as far as it lies in the area. A
//! place along it is *at target* when the mean POD across the strip there reaches the target; a
//! *hole* is a stretch below it.

use crate::geodesy::Position;
use crate::measure::AlongSpan;
use crate::units::Length;
use serde::Serialize;

/// Why a stretch is below target.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum HoleCause {
    /// The log shows that the aircraft was not there, or too far off.
    Missed,
    /// The log has a hole: it may have been searched.
    NotRecorded,
}

impl HoleCause {
    /// Name for people.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Missed => "missed",
            Self::NotRecorded => "not recorded",
        }
    }
}

/// A stretch of a strip below target, long enough to be worth flying again.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Hole {
    /// Label of the leg in the middle of the strip.
    pub leg: String,
    /// Why.
    pub cause: HoleCause,
    /// From where to where along the planned leg.
    pub span: AlongSpan,
    /// Its ground inside the area, square metres.
    pub area_m2: f64,
    /// Mean POD over it.
    pub mean_pod: f64,
    /// Its outline: a ring of corners, not repeating the first.
    pub outline: Vec<Position>,
}

/// A strip and how well it was searched.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Strip {
    /// Label of the leg in its middle.
    pub leg: String,
    /// Outline of the strip: a ring of corners, not repeating the first.
    pub outline: Vec<Position>,
    /// Its ground inside the area, square metres.
    pub area_m2: f64,
    /// Share of its length at or above target, 0 to 1.
    pub share_at_target: f64,
    /// Mean POD over it.
    pub mean_pod: f64,
    /// Lowest mean POD across it, and where along the leg.
    pub lowest_pod: f64,
    /// Where along the leg the lowest is.
    #[serde(rename = "lowest_at_m")]
    pub lowest_at: Length,
    /// Its holes, in order along the leg.
    pub holes: Vec<Hole>,
}

impl Strip {
    /// Whether it has holes to fly again.
    #[must_use]
    pub fn needs_refly(&self) -> bool {
        !self.holes.is_empty()
    }
}
