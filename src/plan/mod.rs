//! The planned flight: a tasking laid out on the ellipsoid as legs, strips and an area.
//!
//! ```text
//! Tasking ─lay_out→ Plan { legs, area, spacing }      pattern/ holds one file per pattern
//! ```

pub mod area;
pub mod area_file;
pub mod arithmetic;
pub mod axes;
mod crossing;
pub mod leg;
pub mod line_file;
pub mod line_out;
pub mod outline;
pub mod pattern;
pub mod route_file;
pub mod survey;

pub use area::Area;
pub use leg::{Leg, LegKind};
pub use pattern::lay_out;

use crate::geodesy::{Declination, LocalFrame};
use crate::input::InputFile;
use crate::units::Length;
use serde::{Deserialize, Serialize};

/// The pattern a plan follows, with its IAMSAR code where it has one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PatternKind {
    /// Parallel sweep, one aircraft: PS.
    ParallelSweep,
    /// Creeping line, one aircraft: CS.
    CreepingLine,
    /// Expanding square, one aircraft: SS.
    ExpandingSquare,
    /// Sector search, one aircraft: VS.
    Sector,
    /// Track line, one aircraft, ending where it began: TSR.
    TrackLineReturn,
    /// Track line, one aircraft, ending at the other end: TSN.
    TrackLineNonReturn,
    /// Contour, one aircraft: OS.
    Contour,
    /// Legs along the points of a route.
    Route,
    /// Separate straight legs.
    Legs,
}

impl PatternKind {
    /// All of them.
    pub const ALL: [Self; 9] = [
        Self::ParallelSweep,
        Self::CreepingLine,
        Self::ExpandingSquare,
        Self::Sector,
        Self::TrackLineReturn,
        Self::TrackLineNonReturn,
        Self::Contour,
        Self::Route,
        Self::Legs,
    ];

    /// Name in files, as in `debrief.json`.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::ParallelSweep => "parallel-sweep",
            Self::CreepingLine => "creeping-line",
            Self::ExpandingSquare => "expanding-square",
            Self::Sector => "sector",
            Self::TrackLineReturn => "track-line-return",
            Self::TrackLineNonReturn => "track-line-non-return",
            Self::Contour => "contour",
            Self::Route => "route",
            Self::Legs => "legs",
        }
    }

    /// Name for people.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::ParallelSweep => "parallel sweep (PS)",
            Self::CreepingLine => "creeping line (CS)",
            Self::ExpandingSquare => "expanding square (SS)",
            Self::Sector => "sector search (VS)",
            Self::TrackLineReturn => "track line return (TSR)",
            Self::TrackLineNonReturn => "track line non-return (TSN)",
            Self::Contour => "contour (OS)",
            Self::Route => "route",
            Self::Legs => "separate legs",
        }
    }

    /// Whether the area of such a plan is ground that somebody is to search: not where it is but the hull of
    /// separate legs.
    #[must_use]
    pub fn has_ground(self, area_given: bool) -> bool {
        area_given || self != Self::Legs
    }
}

/// A pattern laid out on the ground.
#[derive(Clone, Debug)]
pub struct Plan {
    /// Which pattern.
    pub pattern: PatternKind,
    /// Search legs and cross-legs in the order they are to be flown.
    pub legs: Vec<Leg>,
    /// Track spacing S.
    pub spacing: Length,
    /// The search area; where the tasking gives none, the ground the pattern is made for.
    pub area: Area,
    /// Whether the tasking gave the area itself.
    pub area_given: bool,
    /// The plane the area and rasters are worked in, centred on the area.
    pub frame: LocalFrame,
    /// Declination at the start, or at the area's centre where none is given; `None` when the date is
    /// outside the model and no magnetic course needed it.
    pub declination: Option<Declination>,
    /// What the crew should know about how the plan came out (uncovered edges, shortened legs).
    pub notes: Vec<String>,
    /// Files the tasking names: that of the area, that of the route.
    pub inputs: Vec<InputFile>,
}

impl Plan {
    /// The search legs with their index in `legs`.
    pub fn search_legs(&self) -> impl Iterator<Item = (usize, &Leg)> {
        self.legs
            .iter()
            .enumerate()
            .filter(|(_, leg)| leg.kind == LegKind::Search)
    }

    /// Length of all legs together.
    #[must_use]
    pub fn total_length(&self) -> Length {
        Length::from_m(self.legs.iter().map(|leg| leg.length.m()).sum())
    }
}
