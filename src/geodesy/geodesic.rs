//! Geodesics on the WGS 84 ellipsoid, by geographiclib.
//!
//! Reference: C. F. F. Karney, "Algorithms for geodesics", Journal of Geodesy 87 (2013) 43-55,
//! DOI 10.1007/s00190-012-0578-z; accuracy about 15 nanometres.

use super::Position;
use crate::units::{Bearing, Length};
use geographiclib_rs::{DirectGeodesic, Geodesic, InverseGeodesic};
use std::sync::LazyLock;

static WGS84: LazyLock<Geodesic> = LazyLock::new(Geodesic::wgs84);

/// Equatorial radius of WGS 84, metres (NGA.STND.0036, 2014).
pub const EQUATORIAL_RADIUS_M: f64 = 6_378_137.0;
/// Flattening of WGS 84 (NGA.STND.0036, 2014).
pub const FLATTENING: f64 = 1.0 / 298.257_223_563;
/// First eccentricity squared of WGS 84.
pub const ECCENTRICITY_SQUARED: f64 = FLATTENING * (2.0 - FLATTENING);

/// The shortest line between two places.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GeodesicLine {
    /// Length of the geodesic.
    pub distance: Length,
    /// True course at its start.
    pub course_at_start: Bearing,
    /// True course at its end (the direction of travel there, not back to the start).
    pub course_at_end: Bearing,
}

/// The geodesic from `from` to `to`.
#[must_use]
pub fn between(from: Position, to: Position) -> GeodesicLine {
    let (distance_m, start_deg, end_deg, _arc): (f64, f64, f64, f64) =
        WGS84.inverse(from.lat(), from.lon(), to.lat(), to.lon());
    GeodesicLine {
        distance: Length::from_m(distance_m),
        course_at_start: Bearing::from_deg(start_deg),
        course_at_end: Bearing::from_deg(end_deg),
    }
}

/// Length of the geodesic between two places.
#[must_use]
pub fn distance(from: Position, to: Position) -> Length {
    Length::from_m(WGS84.inverse(from.lat(), from.lon(), to.lat(), to.lon()))
}

/// Where one arrives from `from` on true course `course` after `distance`, and the course there.
#[must_use]
pub fn travel(from: Position, course: Bearing, distance: Length) -> (Position, Bearing) {
    let (lat, lon, course_deg): (f64, f64, f64) =
        WGS84.direct(from.lat(), from.lon(), course.deg(), distance.m());
    (
        Position::from_computed(lat, lon),
        Bearing::from_deg(course_deg),
    )
}

/// As [`travel`], the place alone.
#[must_use]
pub fn destination(from: Position, course: Bearing, distance: Length) -> Position {
    travel(from, course, distance).0
}
