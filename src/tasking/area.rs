//! The search area as a tasking gives it.

use crate::geodesy::{GarsCell, Position};
use crate::input::file_name;
use crate::units::Length;
use std::path::PathBuf;

/// The search area of a tasking, and where it says so.
#[derive(Clone, Debug, PartialEq)]
pub struct AreaTask {
    /// Line of the tasking file, from 1.
    pub line: u32,
    /// What it is.
    pub shape: AreaShape,
}

/// The ways of giving an area.
#[derive(Clone, Debug, PartialEq)]
pub enum AreaShape {
    /// Corners in order round it.
    Corners(Vec<Position>),
    /// Between two parallels and two meridians, degrees.
    Box {
        /// Southern edge.
        south: f64,
        /// Western edge.
        west: f64,
        /// Northern edge.
        north: f64,
        /// Eastern edge; not beyond `west` where the box crosses the antimeridian.
        east: f64,
    },
    /// All within a distance of a place.
    Circle {
        /// The place.
        centre: Position,
        /// The distance.
        radius: Length,
    },
    /// All within a distance of a line.
    Corridor {
        /// Points of the line.
        line: Vec<Position>,
        /// The distance.
        half_width: Length,
    },
    /// A cell of the Global Area Reference System.
    Gars(GarsCell),
    /// A cell of the graticule.
    Cell {
        /// Its south-west corner.
        corner: Position,
        /// Its side, minutes.
        side_min: f64,
    },
    /// The outline in a file; relative paths resolved against the tasking's folder.
    File(PathBuf),
}

impl std::fmt::Display for AreaShape {
    /// What it is, for people.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Corners(_) => write!(f, "corners as tasked"),
            Self::Box { .. } => write!(f, "box as tasked"),
            Self::Circle { centre, radius } => {
                write!(f, "circle of {:.2} NM about {centre}", radius.nm())
            }
            Self::Corridor { half_width, .. } => {
                write!(
                    f,
                    "corridor of {:.2} NM to each side of a line",
                    half_width.nm()
                )
            }
            Self::Gars(cell) => write!(f, "GARS cell {cell}"),
            Self::File(file) => write!(f, "outline in {}", file_name(file)),
            Self::Cell { corner, side_min } => {
                write!(f, "cell of {side_min}' from {corner}")
            }
        }
    }
}
