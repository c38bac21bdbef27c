//! Along-track and cross-track distance of places that are at hand in the local plane, as exact as from the ellipsoid
//! and at a fraction of the cost: millions of fixes are measured so, each several times.
//!
//! Between the plane and the coordinates of a leg lie a shift, a turn, and a remainder of centimetres to metres that is
//! smooth: both are views of the same few kilometres of ground. About each station of the [`LegFrame`] the remainder is
//! fitted by a polynomial of third degree in either direction, by least squares over places on the ellipsoid:
//!
//! ```text
//! along = along of the station + u + A(u, v)        cross = v + C(u, v)
//! ```
//!
//! with u and v the distances in the plane from the station, along the leg and to its right. A fit that is off by more than
//! `FITS_WITHIN_M` at any of its places is not used, nor is any beyond `REACH_M`; then the frame itself is asked. Against it
//! the test below demands a millimetre, which it is off itself where one station takes over from the next.

use super::ecef::Ecef;
use super::leg_frame::{AlongCross, LegFrame};
use super::{LocalFrame, Position};
use crate::units::{Bearing, Length, wrap_180};
use geo::Coord;
use std::sync::OnceLock;

/// How far to either side of the leg, and past its ends, the polynomials reach, metres. Chosen: 5 NM, farther than
/// fixes matched to a leg are from it.
const REACH_M: f64 = 9_260.0;
/// How far beyond the middle between two stations, metres. Chosen: which of them is nearer is told in the plane, off by
/// less.
const OVERLAP_M: f64 = 300.0;
/// Largest departure of a polynomial from the places it was fitted to, metres.
const FITS_WITHIN_M: f64 = 2e-5;
/// Places to either direction that a polynomial is fitted to.
const PLACES: usize = 6;
/// Terms of a polynomial of third degree in two variables.
const TERMS: usize = 10;

/// One leg, for places of the plane.
#[derive(Clone, Debug)]
pub struct LegInPlane {
    frame: LegFrame,
    plane: LocalFrame,
    start: Coord<f64>,
    /// Direction of the leg at its start.
    way: Coord<f64>,
    /// Its course in the middle, and how far its others depart from that at most, degrees.
    middle_deg: f64,
    spread_deg: f64,
    /// Of each station, fitted when a place near it is first asked for; `None` where no polynomial will do.
    fits: Vec<OnceLock<Option<Fit>>>,
}

impl LegInPlane {
    /// The leg in that plane.
    #[must_use]
    pub fn new(frame: LegFrame, plane: &LocalFrame) -> Self {
        let at = |along_m: f64| plane.forward_ecef(frame.on_tangent(0, along_m, 0.0));
        let (start, way) = (at(0.0), unit(at(AHEAD_M) - at(0.0)));
        Self {
            fits: (0..frame.stations()).map(|_| OnceLock::new()).collect(),
            middle_deg: frame.course_at(frame.length().m() / 2.0).deg(),
            spread_deg: frame.spread_of_course_deg(),
            frame,
            plane: plane.clone(),
            start,
            way,
        }
    }

    /// Length of the leg.
    #[must_use]
    pub const fn length(&self) -> Length {
        self.frame.length()
    }

    /// True course of the leg at `along_m` metres from its start.
    #[must_use]
    pub fn course_at(&self, along_m: f64) -> Bearing {
        self.frame.course_at(along_m)
    }

    /// Whether a course is within `most_deg` of that of the leg at a distance from its start in metres, or, `reversed`, of
    /// the opposite one. The distance is asked for only where it decides.
    pub fn is_along(
        &self,
        course_deg: f64,
        reversed: bool,
        most_deg: f64,
        along_m: impl FnOnce() -> f64,
    ) -> bool {
        let turned = if reversed { 180.0 } else { 0.0 };
        let off_deg = |leg_deg: f64| wrap_180(course_deg - turned - leg_deg).abs();
        let about_deg = off_deg(self.middle_deg);
        if (about_deg - most_deg).abs() > self.spread_deg {
            return about_deg < most_deg;
        }
        off_deg(self.course_at(along_m()).deg()) <= most_deg
    }

    /// Along-track and cross-track of a place in the plane.
    #[must_use]
    pub fn locate(&self, xy: Coord<f64>) -> AlongCross {
        let off = xy - self.start;
        let station = self
            .frame
            .station_near(off.x * self.way.x + off.y * self.way.y);
        let fit = self.fits[station].get_or_init(|| Fit::about(station, &self.frame, &self.plane));
        fit.as_ref()
            .and_then(|fit| fit.locate(xy))
            .unwrap_or_else(|| self.frame.locate(self.place(xy)))
    }

    /// The place on the ellipsoid of a place in the plane. Far out the plane's own inverse is off by what the plane is.
    fn place(&self, xy: Coord<f64>) -> Position {
        let mut aim = xy;
        for _ in 0..2 {
            let off = xy - self.plane.forward(self.plane.inverse(aim));
            aim = aim + off;
        }
        self.plane.inverse(aim)
    }
}

/// How far ahead the direction of a leg is taken, metres.
const AHEAD_M: f64 = 1_000.0;

fn unit(way: Coord<f64>) -> Coord<f64> {
    way / way.x.hypot(way.y)
}

/// The polynomials about one station.
#[derive(Clone, Debug)]
struct Fit {
    at: Coord<f64>,
    way: Coord<f64>,
    along_m: f64,
    /// Lowest and highest u it is good for.
    low_m: f64,
    high_m: f64,
    /// Coefficients of the remainder, along and cross: worked side by side.
    rest: [[f64; 2]; TERMS],
}

impl Fit {
    fn about(station: usize, frame: &LegFrame, plane: &LocalFrame) -> Option<Self> {
        let last = frame.stations() - 1;
        let half_m = frame.step_m() / 2.0 + OVERLAP_M;
        let at = |along_m: f64| plane.forward_ecef(frame.on_tangent(station, along_m, 0.0));
        let mut fit = Self {
            at: at(0.0),
            way: unit(at(AHEAD_M) - at(0.0)),
            along_m: frame.along_of(station),
            low_m: if station == 0 { -REACH_M } else { -half_m },
            high_m: if station == last { REACH_M } else { half_m },
            rest: [[0.0; 2]; TERMS],
        };
        let places: Vec<Ecef> = nodes(fit.low_m, fit.high_m)
            .flat_map(|along_m| nodes(-REACH_M, REACH_M).map(move |right_m| (along_m, right_m)))
            .map(|(along_m, right_m)| frame.on_tangent(station, along_m, right_m))
            .collect();
        let seen: Vec<((f64, f64), [f64; 2])> = places
            .iter()
            .map(|place| {
                let (u, v) = fit.turned(plane.forward_ecef(*place));
                let exact = frame.locate_from(station, *place);
                let rest = [exact.along_m - fit.along_m - u, exact.cross_m - v];
                (scaled(u, v), rest)
            })
            .collect();
        let [along, cross] = [0, 1]
            .map(|way| least_squares(seen.iter().map(|((s, t), rest)| (terms(*s, *t), rest[way]))));
        let (along, cross) = along.zip(cross)?;
        fit.rest = std::array::from_fn(|i| [along[i], cross[i]]);
        seen.iter()
            .all(|((s, t), rest)| {
                let fitted = polynomial(&fit.rest, *s, *t);
                fitted
                    .iter()
                    .zip(rest)
                    .all(|(fitted, rest)| (fitted - rest).abs() <= FITS_WITHIN_M)
            })
            .then_some(fit)
    }

    /// Where the place is, if the polynomials reach there.
    fn locate(&self, xy: Coord<f64>) -> Option<AlongCross> {
        let (u, v) = self.turned(xy);
        let reaches = u >= self.low_m && u <= self.high_m && v.abs() <= REACH_M;
        let (s, t) = scaled(u, v);
        let [along_m, cross_m] = polynomial(&self.rest, s, t);
        reaches.then_some(AlongCross {
            along_m: self.along_m + u + along_m,
            cross_m: v + cross_m,
        })
    }

    /// Metres along and to the right of the direction at the station.
    fn turned(&self, xy: Coord<f64>) -> (f64, f64) {
        let off = xy - self.at;
        (
            off.x * self.way.x + off.y * self.way.y,
            off.x * self.way.y - off.y * self.way.x,
        )
    }
}

/// Metres from the station in parts of the reach: what the polynomials are in.
fn scaled(u: f64, v: f64) -> (f64, f64) {
    const PARTS_A_METRE: f64 = 1.0 / REACH_M;
    (u * PARTS_A_METRE, v * PARTS_A_METRE)
}

/// What the coefficients belong to.
fn terms(s: f64, t: f64) -> [f64; TERMS] {
    [
        1.0,
        s,
        s * s,
        s * s * s,
        t,
        s * t,
        s * s * t,
        t * t,
        s * t * t,
        t * t * t,
    ]
}

/// The sums of the terms times their coefficients, of several polynomials.
fn polynomial<const N: usize>(c: &[[f64; N]; TERMS], s: f64, t: f64) -> [f64; N] {
    std::array::from_fn(|i| {
        let level = c[0][i] + s * (c[1][i] + s * (c[2][i] + s * c[3][i]));
        let first = c[4][i] + s * (c[5][i] + s * c[6][i]);
        level + t * (first + t * (c[7][i] + s * c[8][i] + t * c[9][i]))
    })
}

/// Where the Chebyshev polynomial of [`PLACES`]th degree is nothing, between two bounds: fitted there a polynomial errs
/// least in between.
fn nodes(low: f64, high: f64) -> impl Iterator<Item = f64> + Clone {
    (0..PLACES).map(move |k| {
        let angle = std::f64::consts::PI * (k as f64 + 0.5) / PLACES as f64;
        f64::midpoint(low, high) + (high - low) / 2.0 * angle.cos()
    })
}

/// The coefficients with the least sum of squares, by the normal equations (Cholesky); `None` if they are none.
fn least_squares(seen: impl Iterator<Item = ([f64; TERMS], f64)>) -> Option<[f64; TERMS]> {
    let mut normal = [[0.0; TERMS]; TERMS];
    let mut right = [0.0; TERMS];
    for (terms, value) in seen {
        for i in 0..TERMS {
            for j in 0..=i {
                normal[i][j] += terms[i] * terms[j];
            }
            right[i] += terms[i] * value;
        }
    }
    for i in 0..TERMS {
        for j in 0..=i {
            let known: f64 = (0..j).map(|k| normal[i][k] * normal[j][k]).sum();
            let rest = normal[i][j] - known;
            normal[i][j] = if i == j {
                (rest > 0.0).then(|| rest.sqrt())?
            } else {
                rest / normal[j][j]
            };
        }
    }
    for i in 0..TERMS {
        let known: f64 = (0..i).map(|k| normal[i][k] * right[k]).sum();
        right[i] = (right[i] - known) / normal[i][i];
    }
    for i in (0..TERMS).rev() {
        let known: f64 = (i + 1..TERMS).map(|k| normal[k][i] * right[k]).sum();
        right[i] = (right[i] - known) / normal[i][i];
    }
    Some(right)
}

#[cfg(test)]
mod tests {
    use super::super::geodesic;
    use super::*;
    use crate::units::Bearing;

    /// Against the frame, over latitudes, courses, lengths of leg and distances from the middle of the plane; beside the leg,
    /// past its ends and, beyond the reach of the polynomials, far from it.
    #[test]
    fn as_the_frame_has_it() {
        let mut fitted = 0;
        for lat in [-82.0_f64, -45.0, 0.0, 30.0, 60.0, 85.0] {
            let plane = LocalFrame::new(Position::new(lat, 179.9).unwrap());
            for (away_nm, bearing, course, length_nm) in [
                (0.0, 0.0, 10.0, 20.0),
                (5.0, 80.0, 123.0, 3.0),
                (40.0, 200.0, 0.0, 50.0),
                (70.0, 310.0, 265.0, 90.0),
                (10.0, 45.0, 30.0, 0.0),
                (200.0, 135.0, 300.0, 120.0),
            ] {
                let at = |bearing: f64, nm: f64, from: Position| {
                    geodesic::destination(from, Bearing::from_deg(bearing), Length::from_nm(nm))
                };
                let start = at(bearing, away_nm, plane.origin());
                let frame = LegFrame::new(start, at(course, length_nm, start));
                let leg = LegInPlane::new(frame.clone(), &plane);
                for share in -2..=12 {
                    let along_nm = f64::from(share) * (length_nm / 10.0).max(0.4);
                    let beside = at(course, along_nm, start);
                    for right_nm in [-30.0, -4.9, -2.0, -0.01, 0.0, 0.5, 3.0, 4.9, 60.0] {
                        let place = at(course + 90.0, right_nm, beside);
                        let (exact, got) = (frame.locate(place), leg.locate(plane.forward(place)));
                        let off = (exact.along_m - got.along_m).hypot(exact.cross_m - got.cross_m);
                        // Where one station takes over from another the frame itself is off by a millimetre.
                        let near = right_nm.abs() < 5.0;
                        let bound_m = if near { 1e-3 } else { 0.02 };
                        assert!(
                            off < bound_m,
                            "{off} m: lat {lat}, leg {length_nm} at {away_nm} NM, {along_nm} {right_nm}"
                        );
                    }
                }
                fitted += leg
                    .fits
                    .iter()
                    .filter(|fit| matches!(fit.get(), Some(Some(_))))
                    .count();
            }
        }
        assert!(fitted > 6 * 20, "{fitted}");
    }

    /// Against the course of the leg at every place, along it in both directions and across.
    #[test]
    fn a_course_is_along_where_it_is_near_that_of_the_leg() {
        let plane = LocalFrame::new(Position::new(60.0, 12.0).unwrap());
        let start = plane.origin();
        let (mut along, mut asked) = (0, 0);
        for (course, length_nm) in [(0.0, 20.0), (90.0, 50.0), (359.9, 90.0), (225.0, 3.0)] {
            let end =
                geodesic::destination(start, Bearing::from_deg(course), Length::from_nm(length_nm));
            let leg = LegInPlane::new(LegFrame::new(start, end), &plane);
            for (i, reversed) in (0..7200).flat_map(|i| [(i, false), (i, true)]) {
                let flown_deg = f64::from(i) * 0.05;
                let along_m = leg.length().m() * (f64::from(i % 13) / 10.0 - 0.1);
                let leg_deg = leg.course_at(along_m).deg() + if reversed { 180.0 } else { 0.0 };
                let off_deg = wrap_180(flown_deg - leg_deg).abs();
                if (off_deg - 10.0).abs() < 1e-9 {
                    continue;
                }
                let is_along = leg.is_along(flown_deg, reversed, 10.0, || {
                    asked += 1;
                    along_m
                });
                assert_eq!(is_along, off_deg < 10.0, "{course} {flown_deg} {reversed}");
                along += i32::from(is_along);
            }
        }
        assert!(along > 3000 && asked > 50, "{along} {asked}");
    }

    /// By hand: a polynomial of third degree is found again.
    #[test]
    fn least_squares_of_a_polynomial_are_its_coefficients() {
        let wanted: [f64; TERMS] = std::array::from_fn(|i| 1.5 - i as f64);
        let values: Vec<([f64; TERMS], f64)> = (0..40)
            .map(|i| {
                let (s, t) = (f64::from(i % 7) / 7.0, f64::from(i % 11) / 11.0 - 0.3);
                (terms(s, t), polynomial(&wanted.map(|c| [c]), s, t)[0])
            })
            .collect();
        let found = least_squares(values.iter().copied()).unwrap();
        for (found, wanted) in found.iter().zip(wanted) {
            assert!((found - wanted).abs() < 1e-9, "{found} {wanted}");
        }
        assert_eq!(least_squares(values[..3].iter().copied()), None);
    }
}
