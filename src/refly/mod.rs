//! The holes as legs to fly again.

use crate::coverage::HoleCause;
use crate::geodesy::Position;
use crate::units::{Bearing, Length};
use serde::Serialize;

/// One leg over a hole.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ReflyLeg {
    /// `R1`, `R2`, … in the order to fly.
    pub label: String,
    /// Label of the planned leg whose strip it mends.
    pub strip: String,
    /// Why the strip has a hole there.
    pub cause: HoleCause,
    /// Where to begin.
    pub start: Position,
    /// Where to end.
    pub end: Position,
    /// True course at the start.
    #[serde(rename = "course_true_deg")]
    pub course: Bearing,
    /// Its length.
    #[serde(rename = "length_m")]
    pub length: Length,
}

/// All of them, in the order to fly.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Refly {
    /// The legs.
    pub legs: Vec<ReflyLeg>,
    /// Length of the legs alone.
    #[serde(rename = "search_length_m")]
    pub search_length: Length,
    /// Length with the straight lines from one leg to the next.
    #[serde(rename = "total_length_m")]
    pub total_length: Length,
}
