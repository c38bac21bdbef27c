//! Turns from one leg to another.

use crate::tasking::Side;
use crate::units::Length;
use chrono::{DateTime, Utc};
use serde::Serialize;

/// A turn between two passes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Turn {
    /// Label of the leg left (planned or additional).
    pub after: String,
    /// Label of the leg joined.
    pub before: String,
    /// Leaving the one.
    pub from: DateTime<Utc>,
    /// Joining the other.
    pub to: DateTime<Utc>,
    /// Seconds from leaving one leg to joining the next.
    pub duration_s: f64,
    /// The side the aircraft turned to on the whole.
    pub side: Side,
    /// How far past the planned end of the leg left, along it, the aircraft went; negative if it
    /// turned before. `None` after an additional leg, which has no planned end.
    #[serde(rename = "past_end_m")]
    pub past_end: Option<Length>,
    /// How far past the line of the leg joined, on the far side, the aircraft went; 0 if not at all.
    /// `None` before an additional leg, which has no planned line.
    #[serde(rename = "past_next_leg_m")]
    pub past_next_leg: Option<Length>,
    /// Distance along the leg joined before the aircraft was established on it; `None` if it never
    /// was, or the leg is an additional one.
    #[serde(rename = "established_after_m")]
    pub established_after: Option<Length>,
}
