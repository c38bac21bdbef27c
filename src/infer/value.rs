//! What is inferred, each value with how far it may be off.

use super::handled::Handled;
use super::none::Courses;
use crate::geodesy::Position;
use crate::plan::PatternKind;
use crate::tasking::Side;
use crate::units::{Bearing, Length};
use serde::Serialize;

/// A value that lies within `within` of the true one with a chance of 95 %.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Estimate<T> {
    /// The value.
    pub value: T,
    /// Half of its 95 % interval.
    pub within: T,
}

/// The pattern that a flight is likely to have followed. Every interval holds to either side with a chance of
/// 95 %, if what was flown is the plan but for chance: a slip that is the same on all legs shows in none.
#[derive(Clone, Debug, Serialize)]
pub struct Inferred {
    /// Which pattern.
    pub pattern: PatternKind,
    /// True course of the first leg, degrees.
    pub first_course_deg: Estimate<f64>,
    /// Side of the first turn.
    pub turn: Side,
    /// Spacing; radius of a sector search.
    #[serde(rename = "size_m")]
    pub size: Estimate<Length>,
    /// Legs from the first flown to the last; passes of a track line.
    pub legs: u32,
    /// Of these, those on which no straight run was flown, by number.
    pub not_flown: Vec<u32>,
    /// Commence search point, or datum.
    pub start: Position,
    /// Of the start along the first leg, 95 %.
    #[serde(rename = "start_along_within_m")]
    pub start_along_within: Length,
    /// Of the start across it, 95 %.
    #[serde(rename = "start_across_within_m")]
    pub start_across_within: Length,
    /// Length of the legs of a sweep or the passes of a track line: their median where they vary.
    #[serde(rename = "leg_length_m")]
    pub leg_length: Option<Estimate<Length>>,
    /// Standard deviation by which single legs differ from it.
    #[serde(rename = "leg_length_scatter_m")]
    pub leg_length_scatter: Option<Length>,
    /// Standard deviation by which single legs lie beside their place in the pattern.
    #[serde(rename = "scatter_m")]
    pub scatter: Length,
    /// What else the tasking of this pattern needs.
    pub layout: Layout,
    /// Whether the legs were flown one after the other as numbered.
    pub in_order: bool,
    /// How its legs were flown.
    #[serde(flatten)]
    pub handled: Handled,
    /// Other patterns in the same flight, which are left out.
    pub others: Vec<String>,
}

/// What else the tasking of a pattern needs.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Layout {
    /// Legs of one length.
    EvenLegs,
    /// Legs that differ in length: the outline they fill.
    Outline(Vec<Position>),
    /// An expanding square; whether its last leg closes the square.
    Square {
        /// Whether it does.
        closed: bool,
    },
    /// A sector search.
    Sector {
        /// Number of sectors.
        sectors: u32,
        /// Whether a second pass was flown.
        second_pass: bool,
    },
    /// A track line along this line.
    TrackLine([Position; 2]),
}

/// Why no plan is inferred: nothing in the flight is a pattern.
#[derive(Clone, Debug, thiserror::Error)]
#[error("no search pattern is recognised in it: {}", .0.words())]
pub struct NoPattern(pub(super) Courses);

impl Inferred {
    /// First course.
    #[must_use]
    pub fn first_course(&self) -> Bearing {
        Bearing::from_deg(self.first_course_deg.value)
    }
}
