//! One planned leg.

use crate::geodesy::{LegFrame, Position, geodesic};
use crate::units::{Bearing, Length};
use serde::{Deserialize, Serialize};

/// What a leg is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum LegKind {
    /// Flown to look.
    Search,
    /// Joins two search legs.
    Cross,
}

impl LegKind {
    /// Its name in tables.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Search => "search",
            Self::Cross => "cross",
        }
    }
}

/// A planned straight leg: the geodesic from `start` to `end`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Leg {
    /// `7` for the seventh search leg, `7-8` for the cross-leg after it.
    pub label: String,
    /// Search leg or cross-leg.
    pub kind: LegKind,
    /// Where it begins.
    pub start: Position,
    /// Where it ends.
    pub end: Position,
    /// Its length.
    #[serde(rename = "length_m")]
    pub length: Length,
    /// True course at its start.
    #[serde(rename = "course_true_deg")]
    pub course: Bearing,
    /// Height to fly it at, in the terms of the tasked altitude, where the leg has one of its own.
    #[serde(rename = "altitude_m")]
    pub altitude: Option<Length>,
}

impl Leg {
    /// The leg between two places.
    #[must_use]
    pub fn new(label: impl Into<String>, kind: LegKind, start: Position, end: Position) -> Self {
        let line = geodesic::between(start, end);
        Self {
            label: label.into(),
            kind,
            start,
            end,
            length: line.distance,
            course: line.course_at_start,
            altitude: None,
        }
    }

    /// The frame in which fixes are measured against this leg.
    #[must_use]
    pub fn frame(&self) -> LegFrame {
        LegFrame::new(self.start, self.end)
    }

    /// The place `along` from the start.
    #[must_use]
    pub fn at(&self, along: Length) -> Position {
        geodesic::destination(self.start, self.course, along)
    }
}
