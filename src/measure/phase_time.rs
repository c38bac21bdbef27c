//! Time and distance by phase, and what of it did not count as looking.

use crate::matching::Phase;
use crate::units::Length;
use serde::Serialize;

/// Total of one phase.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PhaseTotal {
    /// The phase.
    pub phase: Phase,
    /// Seconds in it.
    pub duration_s: f64,
    /// Distance flown in it; `None` where not recorded.
    #[serde(rename = "distance_m")]
    pub distance: Option<Length>,
}

/// Flight in the search window that was not counted as looking.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NotCounted {
    /// Why, in words.
    pub reason: String,
    /// Seconds of it.
    pub duration_s: f64,
    /// Distance of it; `None` where not recorded.
    #[serde(rename = "distance_m")]
    pub distance: Option<Length>,
}
