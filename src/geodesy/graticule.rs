//! Cells bounded by meridians and parallels.

use super::Position;
use super::geodesic::{ECCENTRICITY_SQUARED, EQUATORIAL_RADIUS_M};
use crate::units::Length;
use std::f64::consts::PI;

/// A parallel is followed by straight edges to within this many metres. Chosen: less than a
/// receiver's scatter, and a cell of 15' keeps its four corners at every latitude.
const PARALLEL_TOLERANCE_M: f64 = 10.0;

/// Corners of the cell between two parallels and two meridians, from the south-west corner
/// counter-clockwise; degrees, `south < north`. With `east` not beyond `west` the cell crosses the
/// antimeridian.
///
/// Where a straight edge would part more than 10 m from the parallel, corners are put in between.
/// A side that lies in a pole is one corner.
#[must_use]
pub fn cell_corners(south: f64, west: f64, north: f64, east: f64) -> Vec<Position> {
    let width = (east - west).rem_euclid(360.0);
    let mut corners = along_parallel(south, west, width);
    let mut northern = along_parallel(north, west, width);
    northern.reverse();
    corners.extend(northern);
    corners
}

/// Places along a parallel from `west` eastward over `width` degrees, both ends included.
fn along_parallel(lat: f64, west: f64, width: f64) -> Vec<Position> {
    if lat.abs() == 90.0 {
        return vec![Position::from_computed(lat, west)];
    }
    let parts = edges_along(lat, width);
    (0..=parts)
        .map(|i| {
            // The ends as given, without rounding.
            let lon = if i == parts {
                west + width
            } else {
                west + width * f64::from(i) / f64::from(parts)
            };
            Position::from_computed(lat, lon)
        })
        .collect()
}

/// Length of a minute of longitude along the parallel at `lat` degrees: N cos φ · π/10800, with N the
/// radius of curvature in the prime vertical.
#[must_use]
pub fn minute_of_longitude(lat: f64) -> Length {
    let (sin, cos) = lat.to_radians().sin_cos();
    let n = EQUATORIAL_RADIUS_M / (1.0 - ECCENTRICITY_SQUARED * sin * sin).sqrt();
    Length::from_m(n * cos * PI / 10_800.0)
}

/// Length of a minute of latitude about `lat` degrees: M · π/10800, with M the radius of curvature in
/// the meridian.
#[must_use]
pub fn minute_of_latitude(lat: f64) -> Length {
    let sin = lat.to_radians().sin();
    let m = EQUATORIAL_RADIUS_M * (1.0 - ECCENTRICITY_SQUARED)
        / (1.0 - ECCENTRICITY_SQUARED * sin * sin).powf(1.5);
    Length::from_m(m * PI / 10_800.0)
}

/// Straight edges needed along a parallel. The geodesic between two places Δλ apart on the parallel
/// φ passes it at a distance of N sin φ cos φ Δλ²/8 halfway between (first term of the series on a
/// sphere of radius N, by hand).
fn edges_along(lat: f64, width: f64) -> u32 {
    let (sin, cos) = lat.to_radians().sin_cos();
    let n = EQUATORIAL_RADIUS_M / (1.0 - ECCENTRICITY_SQUARED * sin * sin).sqrt();
    let apart_m = n * sin.abs() * cos * width.to_radians().powi(2) / 8.0;
    (apart_m / PARALLEL_TOLERANCE_M).sqrt().ceil().max(1.0) as u32
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geodesy::geodesic;

    /// Halfway along every edge, by geographiclib.
    #[test]
    fn edges_keep_to_the_parallel() {
        for (south, size) in [
            (47.0, 0.25),
            (47.0, 1.0),
            (-66.0, 1.0),
            (80.0, 0.5),
            (88.0, 1.0),
        ] {
            let corners = cell_corners(south, -180.0, south + size, -180.0 + size);
            let mut most_m: f64 = 0.0;
            for pair in corners.windows(2).filter(|p| p[0].lat() == p[1].lat()) {
                let line = geodesic::between(pair[0], pair[1]);
                let half = Length::from_m(line.distance.m() / 2.0);
                let middle = geodesic::destination(pair[0], line.course_at_start, half);
                let foot = Position::new(pair[0].lat(), middle.lon()).unwrap();
                most_m = most_m.max(geodesic::distance(middle, foot).m());
            }
            assert!(
                most_m < PARALLEL_TOLERANCE_M * 1.01,
                "{most_m} m at {south}"
            );
        }
    }

    #[test]
    fn small_cells_have_four_corners_and_poles_one() {
        let corners = cell_corners(47.0, 12.5, 47.125, 12.625);
        let written: Vec<(f64, f64)> = corners.iter().map(|c| (c.lat(), c.lon())).collect();
        let expected = [
            (47.0, 12.5),
            (47.0, 12.625),
            (47.125, 12.625),
            (47.125, 12.5),
        ];
        assert_eq!(written, expected);
        let across = cell_corners(10.0, 179.5, 10.5, -179.5);
        let lons: Vec<f64> = across.iter().map(|c| c.lon()).collect();
        assert!(lons.iter().all(|lon| lon.abs() >= 179.5), "{lons:?}");
        let top = cell_corners(89.5, 0.0, 90.0, 0.5);
        assert_eq!(top.iter().filter(|c| c.lat() == 90.0).count(), 1);
    }
}
