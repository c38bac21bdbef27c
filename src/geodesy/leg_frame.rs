//! Along-track and cross-track distance against one leg, on the ellipsoid.
//!
//! Stations are set out along the leg's geodesic at most `STATION_STEP_M` apart. A fix is measured
//! in the tangent plane of its nearest station (geodesic distance d and angle θ to the leg), then
//! turned into the two legs of the right geodesic triangle on the sphere of the station's Gaussian
//! curvature K:
//!
//! ```text
//! sin(cross √K) = sin(d √K) sin θ        tan(along √K) = tan(d √K) cos θ
//! ```
//!
//! (right-angled spherical triangle, Napier's rules.) Agreement with a geodesic minimisation by
//! geographiclib: within 1 cm for legs up to 50 NM and |cross| up to 2 NM
//! (`tests/reference/cross_track.rs`).

use super::ecef::{self, Ecef, TangentPlane};
use super::{Position, geodesic};
use crate::units::{Bearing, Length, wrap_180};

/// Greatest distance between stations, metres. Chosen: keeps the error of one plane under 1 mm.
const STATION_STEP_M: f64 = 8_000.0;

/// Where a fix is, seen from a leg.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AlongCross {
    /// Metres from the leg's start along the leg; negative before it, more than its length past its end.
    pub along_m: f64,
    /// Metres from the leg; positive = right of it, looking from its start to its end.
    pub cross_m: f64,
}

#[derive(Clone, Debug)]
struct Station {
    plane: TangentPlane,
    sin_course: f64,
    cos_course: f64,
    course_deg: f64,
    /// How the course of the leg changes here, degrees a metre.
    course_rate: f64,
    along_m: f64,
    root_curvature: f64,
}

/// The coordinate frame of one leg.
#[derive(Clone, Debug)]
pub struct LegFrame {
    stations: Vec<Station>,
    length_m: f64,
    step_m: f64,
    /// 1 / `step_m`; 0 where the leg has no length.
    stations_a_metre: f64,
}

impl LegFrame {
    /// The frame of the geodesic from `start` to `end`. For coinciding ends the leg points north.
    #[must_use]
    pub fn new(start: Position, end: Position) -> Self {
        let line = geodesic::between(start, end);
        let length_m = line.distance.m();
        let steps = (length_m / STATION_STEP_M).ceil().max(1.0);
        let step_m = length_m / steps;
        let mut stations: Vec<Station> = (0..=steps as usize)
            .map(|i| {
                let along_m = step_m * i as f64;
                let (at, course) =
                    geodesic::travel(start, line.course_at_start, Length::from_m(along_m));
                let plane = TangentPlane::new(at);
                let (sin_course, cos_course) = course.deg().to_radians().sin_cos();
                Station {
                    root_curvature: plane.gaussian_curvature().sqrt(),
                    plane,
                    sin_course,
                    cos_course,
                    course_deg: course.deg(),
                    course_rate: 0.0,
                    along_m,
                }
            })
            .collect();
        for i in 0..stations.len() {
            let (before, after) = (
                &stations[i.max(1) - 1],
                &stations[(i + 1).min(stations.len() - 1)],
            );
            let (turn_deg, way_m) = (
                wrap_180(after.course_deg - before.course_deg),
                after.along_m - before.along_m,
            );
            stations[i].course_rate = if way_m > 0.0 { turn_deg / way_m } else { 0.0 };
        }
        Self {
            stations,
            length_m,
            step_m,
            stations_a_metre: if step_m > 0.0 { step_m.recip() } else { 0.0 },
        }
    }

    /// Length of the leg.
    #[must_use]
    pub const fn length(&self) -> Length {
        Length::from_m(self.length_m)
    }

    /// Along-track and cross-track of a place.
    #[must_use]
    pub fn locate(&self, position: Position) -> AlongCross {
        self.locate_ecef(ecef::from_position(position))
    }

    /// As [`locate`](Self::locate), from a vector already at hand.
    #[must_use]
    pub fn locate_ecef(&self, point: Ecef) -> AlongCross {
        let (along_m, _) = self.stations[0].flat(point);
        self.locate_from(self.station_near(along_m), point)
    }

    /// The same as seen from one of its stations.
    pub(super) fn locate_from(&self, station: usize, point: Ecef) -> AlongCross {
        let station = &self.stations[station];
        let (x, y) = station.flat(point);
        let k = station.root_curvature;
        let (sin_over_d, cos_d) = sin_over_and_cos((x * x + y * y) * k * k);
        AlongCross {
            along_m: station.along_m + arc_tangent(x * k * sin_over_d / cos_d) / k,
            cross_m: arc_sine(y * k * sin_over_d) / k,
        }
    }

    /// True course of the leg at `along_m` metres from its start.
    #[must_use]
    pub fn course_at(&self, along_m: f64) -> Bearing {
        let station = &self.stations[self.station_near(along_m)];
        let offset_m = along_m.clamp(0.0, self.length_m) - station.along_m;
        Bearing::from_deg(station.course_deg + station.course_rate * offset_m)
    }

    /// No course of the leg departs by more than this from that in its middle, degrees.
    pub(super) fn spread_of_course_deg(&self) -> f64 {
        let middle = self.course_at(self.length_m / 2.0);
        let off_deg = |along_m: f64| middle.turn_to(self.course_at(along_m)).abs();
        // From a station a course goes straight on to halfway between it and the next.
        let most_deg = self.stations.iter().map(|station| {
            off_deg(station.along_m) + station.course_rate.abs() * self.step_m / 2.0
        });
        most_deg.fold(0.0, f64::max)
    }

    /// How many stations it has.
    pub(super) const fn stations(&self) -> usize {
        self.stations.len()
    }

    /// Distance between neighbouring stations, metres.
    pub(super) const fn step_m(&self) -> f64 {
        self.step_m
    }

    /// Where along the leg a station is, metres.
    pub(super) fn along_of(&self, station: usize) -> f64 {
        self.stations[station].along_m
    }

    /// The place of the ellipsoid below a place in the tangent plane of a station: metres ahead and to the right.
    pub(super) fn on_tangent(&self, station: usize, ahead_m: f64, right_m: f64) -> Ecef {
        let Station {
            plane,
            sin_course,
            cos_course,
            ..
        } = &self.stations[station];
        plane.below(
            ahead_m * sin_course + right_m * cos_course,
            ahead_m * cos_course - right_m * sin_course,
        )
    }

    /// The station nearest to `along_m` metres from the start.
    pub(super) fn station_near(&self, along_m: f64) -> usize {
        // A float below zero becomes 0 in the cast; above the last it is clamped.
        ((along_m * self.stations_a_metre + 0.5) as usize).min(self.stations.len() - 1)
    }
}

/// Up to here the series below are exact to the last digit of an f64: their next terms are below 1e-17 of the
/// value. 64 km on the earth; fixes measured against a leg lie nearer to a station of it.
const SMALL: f64 = 0.01;

/// sin d / d and cos d, from d².
fn sin_over_and_cos(d2: f64) -> (f64, f64) {
    if d2 > SMALL * SMALL {
        let d = d2.sqrt();
        return (d.sin() / d, d.cos());
    }
    let sin_over = 1.0 - d2 / 6.0 * (1.0 - d2 / 20.0 * (1.0 - d2 / 42.0));
    let cos = 1.0 - d2 / 2.0 * (1.0 - d2 / 12.0 * (1.0 - d2 / 30.0));
    (sin_over, cos)
}

fn arc_tangent(t: f64) -> f64 {
    if t.abs() > SMALL {
        return t.atan();
    }
    let t2 = t * t;
    t * (1.0 - t2 * (1.0 / 3.0 - t2 * (1.0 / 5.0 - t2 * (1.0 / 7.0))))
}

fn arc_sine(s: f64) -> f64 {
    if s.abs() > SMALL {
        return s.asin();
    }
    let s2 = s * s;
    s * (1.0 + s2 * (1.0 / 6.0 + s2 * (3.0 / 40.0 + s2 * (15.0 / 336.0))))
}

impl Station {
    /// East and north turned to along and right, metres, still in the tangent plane.
    fn flat(&self, point: Ecef) -> (f64, f64) {
        let p = self.plane.project(point);
        (
            p.north_m * self.cos_course + p.east_m * self.sin_course,
            p.east_m * self.cos_course - p.north_m * self.sin_course,
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against the functions of the standard library, whose last digit may differ.
    #[test]
    fn the_series_are_exact_where_they_are_used() {
        for i in 0..2000 {
            let x = f64::from(i - 1000) * 1.1e-5;
            let (sin_over, cos) = sin_over_and_cos(x * x);
            let off = |got: f64, exact: f64| (got - exact).abs() / exact.abs().max(1e-300);
            if x != 0.0 {
                assert!(off(sin_over, x.sin() / x) < 4e-16, "sin {x}");
                assert!(off(arc_tangent(x), x.atan()) < 4e-16, "atan {x}");
                assert!(off(arc_sine(x), x.asin()) < 4e-16, "asin {x}");
            }
            assert!(off(cos, x.cos()) < 4e-16, "cos {x}");
        }
        assert_eq!((arc_tangent(0.0), arc_sine(0.0)), (0.0, 0.0));
    }

    #[test]
    fn right_is_positive_and_ends_are_open() {
        let a = Position::new(47.0, 12.0).unwrap();
        let b = geodesic::destination(a, Bearing::from_deg(90.0), Length::from_nm(5.0));
        let leg = LegFrame::new(a, b);
        let south = geodesic::destination(a, Bearing::from_deg(180.0), Length::from_m(150.0));
        let seen = leg.locate(south);
        assert!(
            (seen.cross_m - 150.0).abs() < 1e-3 && seen.along_m.abs() < 1e-3,
            "{seen:?}"
        );
        let past = geodesic::travel(a, Bearing::from_deg(90.0), Length::from_nm(6.0)).0;
        assert!((leg.locate(past).along_m - 6.0 * 1852.0).abs() < 1e-3);
        let before = geodesic::destination(a, Bearing::from_deg(270.0), Length::from_m(300.0));
        assert!((leg.locate(before).along_m + 300.0).abs() < 1e-3);
    }
}
