//! The pattern of a tasking, and the words it is given in.

use crate::geodesy::Position;
use crate::units::{Bearing, Length};
use std::path::PathBuf;

/// The pattern of a tasking.
#[derive(Clone, Debug, PartialEq)]
pub enum PatternTask {
    /// Parallel sweep: parallel legs along the longer side of the area.
    ParallelSweep(SweepTask),
    /// Creeping line: parallel legs along the shorter side of the area.
    CreepingLine(SweepTask),
    /// Expanding square.
    ExpandingSquare(ExpandingSquareTask),
    /// Sector search.
    Sector(SectorTask),
    /// Track line, ending where it began: an even number of passes.
    TrackLineReturn(TrackLineTask),
    /// Track line, ending at the other end: an odd number of passes.
    TrackLineNonReturn(TrackLineTask),
    /// Contour.
    Contour(ContourTask),
    /// Legs along the points of a route.
    Route {
        /// Where the points come from.
        source: RouteSource,
        /// Track spacing S.
        spacing: Length,
    },
    /// Separate straight legs.
    Legs(LegsTask),
}

impl PatternTask {
    /// Course of the first leg as tasked, where the pattern is laid out from one.
    #[must_use]
    pub const fn first_course(&self) -> Option<Course> {
        match self {
            Self::ParallelSweep(task) | Self::CreepingLine(task) => Some(task.first_course),
            Self::ExpandingSquare(task) => Some(task.first_course),
            Self::Sector(task) => Some(task.first_course),
            Self::TrackLineReturn(_)
            | Self::TrackLineNonReturn(_)
            | Self::Contour(_)
            | Self::Route { .. }
            | Self::Legs(_) => None,
        }
    }

    /// Side of the first turn as tasked, where the pattern is laid out from one.
    #[must_use]
    pub const fn turn(&self) -> Option<Side> {
        match self {
            Self::ParallelSweep(task) | Self::CreepingLine(task) => Some(task.turn),
            Self::ExpandingSquare(task) => Some(task.turn),
            Self::Sector(task) => Some(task.turn),
            Self::TrackLineReturn(task) | Self::TrackLineNonReturn(task) => Some(task.turn),
            Self::Contour(_) | Self::Route { .. } | Self::Legs(_) => None,
        }
    }
}

/// Where the points of a route come from.
#[derive(Clone, Debug, PartialEq)]
pub enum RouteSource {
    /// The tasking itself: at least two, neighbours different.
    Points(Vec<Position>),
    /// A file.
    File {
        /// The file, relative paths resolved against the tasking's folder.
        file: PathBuf,
        /// Which line of the file, by name; the only one if `None`.
        name: Option<String>,
    },
}

/// Parallel legs as tasked. What is `None` is worked out from the area.
#[derive(Clone, Debug, PartialEq)]
pub struct SweepTask {
    /// Commence search point.
    pub start: Option<Position>,
    /// Course of the first leg.
    pub first_course: Course,
    /// Side of the first turn.
    pub turn: Side,
    /// Track spacing S.
    pub spacing: Length,
    /// Length of each search leg.
    pub leg_length: Option<Length>,
    /// Number of search legs.
    pub legs: Option<u32>,
    /// How far inside the area's edge legs begin and end; half a spacing if `None`.
    pub end_inset: Option<Length>,
    /// How the number of legs is found from an area that is not a whole number of spacings wide.
    pub fit: Fit,
    /// Whether a second set is flown back midway between the legs of the first.
    pub interleave: bool,
}

/// How many legs an area gets.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fit {
    /// The nearest whole number: up to half a spacing at the far edge lies outside the strips.
    Nearest,
    /// As many as it takes to leave nothing outside the strips.
    Cover,
}

/// An expanding square as tasked.
#[derive(Clone, Debug, PartialEq)]
pub struct ExpandingSquareTask {
    /// Datum, which is the commence search point.
    pub datum: Position,
    /// Course of the first leg.
    pub first_course: Course,
    /// Side of all turns.
    pub turn: Side,
    /// Track spacing S, which is the length of the first two legs.
    pub spacing: Length,
    /// How far it goes on.
    pub size: SquareSize,
}

/// Where an expanding square ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SquareSize {
    /// After this many legs of full length.
    Legs(u32),
    /// When a square with sides of at least this length is filled.
    Side(Length),
}

/// A sector search as tasked.
#[derive(Clone, Debug, PartialEq)]
pub struct SectorTask {
    /// Datum, which is the commence search point.
    pub datum: Position,
    /// Radius R of the circle.
    pub radius: Length,
    /// Course of the first leg, out from the datum.
    pub first_course: Course,
    /// Side of all turns.
    pub turn: Side,
    /// Number of sectors; twice an odd number.
    pub sectors: u32,
    /// Whether the pattern is flown again with its legs midway between the first ones.
    pub second_pass: bool,
}

/// A track line search as tasked.
#[derive(Clone, Debug, PartialEq)]
pub struct TrackLineTask {
    /// The intended track of the object, at least two places, neighbours different.
    pub line: Vec<Position>,
    /// Track spacing S.
    pub spacing: Length,
    /// Side of the first turn.
    pub turn: Side,
    /// How often the line is flown along.
    pub passes: u32,
    /// Line of the tasking file at which `line` stands.
    pub file_line: u32,
}

/// A contour search as tasked.
#[derive(Clone, Debug, PartialEq)]
pub struct ContourTask {
    /// Track spacing S.
    pub spacing: Length,
    /// What is flown, from the highest band down.
    pub bands: Vec<Band>,
}

/// One band of a contour search.
#[derive(Clone, Debug, PartialEq)]
pub struct Band {
    /// Height to fly it at, in the terms of the tasked altitude.
    pub altitude: Length,
    /// Its line, at least two places, neighbours different; closed if the last repeats the first.
    pub line: Vec<Position>,
    /// Line of the tasking file at which `line` stands.
    pub file_line: u32,
}

/// Separate straight legs as tasked.
#[derive(Clone, Debug, PartialEq)]
pub struct LegsTask {
    /// Track spacing S: the width of the strip that each leg is flown for.
    pub spacing: Length,
    /// The legs in the order to fly, at least one.
    pub legs: Vec<SeparateLeg>,
}

/// One of several separate legs.
#[derive(Clone, Debug, PartialEq)]
pub struct SeparateLeg {
    /// What it is called, unlike any other of them.
    pub label: String,
    /// Where it begins.
    pub start: Position,
    /// Where it ends.
    pub end: Position,
    /// Height to fly it at, in the terms of the tasked altitude, where it has one of its own.
    pub altitude: Option<Length>,
}

/// A course as written in a tasking.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Course {
    /// Clockwise from true north.
    True(Bearing),
    /// Clockwise from magnetic north, degrees.
    Magnetic(f64),
}

/// Left or right.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    /// Left.
    Left,
    /// Right.
    Right,
}

impl Side {
    /// +1 for right, -1 for left.
    #[must_use]
    pub const fn sign(self) -> f64 {
        match self {
            Self::Left => -1.0,
            Self::Right => 1.0,
        }
    }
}
