//! Time on task and time out of the area, with the crossings interpolated between fixes.

use crate::geodesy::Position;
use crate::units::Length;
use chrono::{DateTime, Utc};
use serde::Serialize;

/// Why the aircraft was outside.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum OutsideKind {
    /// In a turn between legs: expected, turns may be flown outside.
    Turn,
    /// Circling something.
    Orbit,
    /// On a leg, planned or additional, that runs or drifted outside.
    OnLeg,
    /// Straying: anything else.
    Excursion,
}

impl OutsideKind {
    /// Name for people.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Turn => "turn",
            Self::Orbit => "orbit",
            Self::OnLeg => "on a leg",
            Self::Excursion => "excursion",
        }
    }
}

/// One time outside the area within the search window.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OutsideSpan {
    /// Why.
    pub kind: OutsideKind,
    /// Crossing out.
    pub from: DateTime<Utc>,
    /// Crossing back in, or the end of the window.
    pub to: DateTime<Utc>,
    /// Seconds outside.
    pub duration_s: f64,
    /// Where it was left.
    pub left_at: Position,
    /// Where it was entered again.
    pub entered_at: Position,
    /// Farthest from the area.
    #[serde(rename = "farthest_m")]
    pub farthest: Length,
    /// The leg flown last before it.
    pub after: Option<String>,
}

/// The search window and the time outside the area in it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AreaTime {
    /// Start of the search: entering the first leg.
    pub from: DateTime<Utc>,
    /// End of the search: leaving the last leg.
    pub to: DateTime<Utc>,
    /// Seconds between them.
    pub window_s: f64,
    /// Seconds of it spent on legs, planned and additional.
    pub on_legs_s: f64,
    /// Seconds of it not recorded.
    pub not_recorded_s: f64,
    /// Seconds of it recorded outside the area, turns included.
    pub outside_s: f64,
    /// Seconds of those that were straying.
    pub excursion_s: f64,
    /// Each time outside.
    pub outside: Vec<OutsideSpan>,
}
