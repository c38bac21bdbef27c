//! Which ground was looked at, and how well.
//!
//! ```text
//! Matched ─looking→ lines flown while looking ─exposure→ exposure of every cell
//!         ─pod→ POD under each law, Raster ─strips→ strips, holes; ─on_map→ Raster on the grid of a map
//! ```

pub mod band;
mod chords;
pub mod exposure;
pub mod growth;
pub mod look;
pub mod looking;
pub mod looks;
pub mod on_map;
mod pieces;
pub mod pod;
pub mod raster;
mod ribbon;
pub mod rings;
mod segment;
pub mod strips;
pub mod swath;

pub use band::{BandParts, PodBand};
pub use growth::Growth;
pub use looks::Looks;
pub use on_map::{MapGrid, OnMap};
pub use pod::{Covered, cover, strip_lines};
pub use raster::{Grid, Raster, TooManyCells};
pub use rings::{ByDistance, Ring};
pub use strips::{Hole, HoleCause, Strip};

use crate::detection::{Law, Scanners, SweepWidth};
use crate::measure::NotCounted;
use crate::units::Length;
use serde::Serialize;

/// Probability of detection over the area under each law.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct PodByLaw {
    /// Inverse cube: ideal search conditions.
    pub inverse_cube: f64,
    /// Exponential: normal search conditions.
    pub exponential: f64,
    /// Definite range: seen within half a sweep width.
    pub definite_range: f64,
}

/// What the flight did to the area.
#[derive(Clone, Debug, Serialize)]
pub struct Coverage {
    /// Sweep width W used.
    #[serde(rename = "sweep_width_m")]
    pub sweep_width: Length,
    /// How it came about: given, or from a table, factor by factor.
    pub sweep_width_basis: SweepWidth,
    /// Height above the surface kept in the inverse-cube law; `None` where it is neglected.
    #[serde(rename = "search_height_m")]
    pub search_height: Option<Length>,
    /// The law that decides what is at target.
    pub law: Law,
    /// Sides looked from.
    pub scanners: Scanners,
    /// Full width of the strip under the aircraft in which nothing is seen; 0 for none.
    #[serde(rename = "blind_strip_m")]
    pub blind_strip: Length,
    /// Coverage factor planned, C = W/S.
    pub planned_coverage_factor: f64,
    /// Coverage factor flown, C = W·L/A with L the searching track inside the area; half of that with
    /// scanners on one side only, and with W less the blind strip.
    pub flown_coverage_factor: f64,
    /// Searching track inside the area, L.
    #[serde(rename = "searching_track_m")]
    pub searching_track: Length,
    /// Size of the area, A.
    pub area_m2: f64,
    /// POD over the area of an endless parallel sweep at the planned coverage factor, looked from both
    /// sides (at C = W/S, under the inverse cube with the height kept where it is known).
    pub planned_pod: PodByLaw,
    /// POD over the area as flown.
    pub pod: PodByLaw,
    /// POD under the deciding law with what it may be at least and at most.
    pub pod_band: PodBand,
    /// What each doubt alone makes of it.
    pub pod_band_parts: BandParts,
    /// Share of the flight along legs whose height is not recorded, where a height band was to be kept.
    pub without_height: Option<f64>,
    /// POD wanted.
    pub target_pod: f64,
    /// Whether the target was given, or worked out from the plan.
    pub target_given: bool,
    /// Share of the area's ground at or above target, 0 to 1.
    pub share_at_target: f64,
    /// Detection by distance from the datum, for patterns about one.
    pub by_distance: Option<ByDistance>,
    /// Flight within the search window that was not counted as looking, and why.
    pub not_counted: Vec<NotCounted>,
    /// POD by cell under the deciding law.
    #[serde(skip)]
    pub raster: Raster,
    /// Exposure of every cell of the raster under the deciding law, row after row, those outside the area as well.
    /// Inverse cube: the sum of what every line flown while looking leaves there; exponential: the coverage factor of
    /// one passage for each that went by within half a spacing; definite range: infinite where anything was in view.
    #[serde(skip)]
    pub exposure: Vec<f32>,
    /// Side of a raster cell.
    #[serde(rename = "cell_m")]
    pub cell: Length,
}
