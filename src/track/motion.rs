//! How the aircraft moved: velocity, course and rate of turn at each fix.
//!
//! Velocities are central differences over `WINDOW_S` to each side (or one fix, where fixes are
//! farther apart), never across a gap: differences between fixes a tenth of a second apart would be
//! mostly receiver noise.

use super::{Track, seconds_between};
use crate::geodesy::LocalFrame;
use crate::geodesy::ecef::{self, Ecef};
use crate::geodesy::geodesic::ECCENTRICITY_SQUARED;
use crate::units::{wrap_180, wrap_360};
use geo::Coord;
use rayon::prelude::*;
use std::ops::Range;

/// Time to each side over which velocities are taken, seconds. Chosen: at 90 kt the baseline is
/// then 180 m, against which 3 m of receiver noise turn the course by about a degree.
const WINDOW_S: f64 = 2.0;

/// Slower than this over the ground is not flying, metres per second (20 kt). Chosen: below any
/// flying speed, even against the wind.
pub const FLYING_MPS: f64 = 10.0;

/// Bank up to which the wings count as level, degrees. Chosen: corrections of course stay below,
/// turns onto another leg do not.
pub const LEVEL_BANK_DEG: f64 = 15.0;

/// Bank up to which the aircraft is not turning onto another course, degrees. Chosen: corrections
/// along a leg take less, a turn away from it soon more; receiver noise of 5 m looks like 3.
pub const STEADY_BANK_DEG: f64 = 8.0;

/// Standard gravity, m/s² (3rd CGPM, 1901).
pub const GRAVITY: f64 = 9.806_65;

/// Motion at every fix of a track; all lists run parallel to its fixes.
#[derive(Clone, Debug)]
pub struct Motion {
    /// Seconds since the first fix.
    pub time_s: Vec<f64>,
    /// Place in the local plane, metres.
    pub xy: Vec<Coord<f64>>,
    /// Speed over the ground, metres per second.
    pub speed_mps: Vec<f64>,
    /// True course over the ground, degrees [0, 360); of no meaning when standing.
    pub course_deg: Vec<f64>,
    /// Rate of turn, degrees per second, right positive.
    pub turn_rate_dps: Vec<f64>,
    /// The fixes from the first one at flying speed to the last one, between take-off and landing.
    pub airborne: Range<usize>,
}

impl Motion {
    /// The motion along `track`, placed in `frame`.
    #[must_use]
    pub fn of(track: &Track, frame: &LocalFrame) -> Self {
        let fixes = &track.fixes;
        let start = fixes[0].time;
        let time_s: Vec<f64> = fixes
            .par_iter()
            .map(|f| seconds_between(start, f.time))
            .collect();
        let ecef: Vec<Ecef> = fixes
            .par_iter()
            .map(|f| ecef::from_position(f.position))
            .collect();
        let xy = ecef.par_iter().map(|p| frame.forward_ecef(*p)).collect();
        let mut speed_mps = vec![0.0; fixes.len()];
        let mut course_deg = vec![0.0; fixes.len()];
        let mut turn_rate_dps = vec![0.0; fixes.len()];
        for stretch in &track.stretches {
            let velocities = (
                &mut speed_mps[stretch.clone()],
                &mut course_deg[stretch.clone()],
            );
            for_windows(
                &time_s,
                stretch,
                velocities,
                |window, (speed_mps, course_deg)| {
                    let Window { fix, low, high, dt } = window;
                    let (east, north) = axes(ecef[fix]);
                    let d = difference(ecef[high], ecef[low]);
                    let (x, y) = (dot(d, east) / dt, dot(d, north) / dt);
                    *speed_mps = (x * x + y * y).sqrt();
                    *course_deg = wrap_360(x.atan2(y).to_degrees());
                },
            );
            let turns = (
                &mut speed_mps[stretch.clone()],
                &mut turn_rate_dps[stretch.clone()],
            );
            for_windows(
                &time_s,
                stretch,
                turns,
                |window, (speed_mps, turn_rate_dps)| {
                    let Window { low, high, dt, .. } = window;
                    *turn_rate_dps = wrap_180(course_deg[high] - course_deg[low]) / dt;
                    // In a turn the chord is shorter than the way flown: chord / arc = sin x / x, with
                    // x half the angle turned through.
                    let x = (*turn_rate_dps * dt / 2.0).to_radians().abs();
                    if x > 1e-6 && x < 1.0 {
                        *speed_mps *= x / x.sin();
                    }
                },
            );
        }
        let mut motion = Self {
            time_s,
            xy,
            course_deg,
            turn_rate_dps,
            speed_mps,
            airborne: track.airborne.clone(),
        };
        let mut flying = track.airborne.clone().filter(|fix| motion.is_flying(*fix));
        let first = flying.next();
        let last = flying.next_back().or(first);
        motion.airborne = first
            .zip(last)
            .map_or(fixes.len()..fixes.len(), |(first, last)| first..last + 1);
        motion
    }

    /// Whether the aircraft flies at a fix: between take-off and landing, at [`FLYING_MPS`] over the ground
    /// or more. In a hover it does not.
    #[must_use]
    pub fn is_flying(&self, fix: usize) -> bool {
        self.airborne.contains(&fix) && self.speed_mps(fix) >= FLYING_MPS
    }

    /// Ground speed at a fix, metres per second.
    #[must_use]
    pub fn speed_mps(&self, fix: usize) -> f64 {
        self.speed_mps[fix]
    }

    /// Ground velocity at a fix, metres per second towards true east and true north.
    #[must_use]
    pub fn velocity(&self, fix: usize) -> Coord<f64> {
        let (sin, cos) = self.course_deg[fix].to_radians().sin_cos();
        let speed_mps = self.speed_mps[fix];
        Coord {
            x: speed_mps * sin,
            y: speed_mps * cos,
        }
    }

    /// Bank that a coordinated turn of this rate takes at this speed, degrees, without sign:
    /// tan φ = V ω / g. Ground speed stands for airspeed, so with wind it is approximate.
    #[must_use]
    pub fn bank_deg(&self, fix: usize) -> f64 {
        let rate = self.turn_rate_dps[fix].to_radians();
        (self.speed_mps(fix) * rate / GRAVITY)
            .atan()
            .to_degrees()
            .abs()
    }
}

/// A fix and those at the ends of its window: the nearest at least [`WINDOW_S`] before and after, within the stretch.
struct Window {
    fix: usize,
    low: usize,
    high: usize,
    /// Seconds between the ends.
    dt: f64,
}

/// Fixes of one task. Chosen: it takes a millisecond or so.
const AT_ONCE: usize = 8192;

/// Calls `f` for each fix of the stretch that has a window, with what is to be filled in for it. Linear: both ends only
/// move forward.
fn for_windows(
    time_s: &[f64],
    stretch: &Range<usize>,
    (one, other): (&mut [f64], &mut [f64]),
    f: impl Fn(Window, (&mut f64, &mut f64)) + Sync,
) {
    let parts = one
        .par_chunks_mut(AT_ONCE)
        .zip(other.par_chunks_mut(AT_ONCE));
    parts.enumerate().for_each(|(part, (one, other))| {
        let first = stretch.start + part * AT_ONCE;
        // Where they stood if all fixes before had been gone through.
        let mut low = stretch.start
            + time_s[stretch.start..first]
                .partition_point(|time| time_s[first] - time >= WINDOW_S)
                .saturating_sub(1);
        let mut high = first;
        for (fix, filled) in (first..).zip(one.iter_mut().zip(other)) {
            while low + 1 < fix && time_s[fix] - time_s[low + 1] >= WINDOW_S {
                low += 1;
            }
            while high + 1 < stretch.end && (high <= fix || time_s[high] - time_s[fix] < WINDOW_S) {
                high += 1;
            }
            let dt = time_s[high] - time_s[low];
            if dt > 0.0 {
                f(Window { fix, low, high, dt }, filled);
            }
        }
    });
}

/// East and north at a place of the ellipsoid.
fn axes(at: Ecef) -> (Ecef, Ecef) {
    let [x, y, z] = at;
    let from_axis = (x * x + y * y).sqrt();
    // Upwards points (x, y, z / (1 − e²)).
    let z = z / (1.0 - ECCENTRICITY_SQUARED);
    let up = (x * x + y * y + z * z).sqrt();
    // At a pole every direction is as good.
    let (cos_lon, sin_lon) = if from_axis > 0.0 {
        (x / from_axis, y / from_axis)
    } else {
        (1.0, 0.0)
    };
    let (sin_lat, cos_lat) = (z / up, from_axis / up);
    (
        [-sin_lon, cos_lon, 0.0],
        [-sin_lat * cos_lon, -sin_lat * sin_lon, cos_lat],
    )
}

fn difference(a: Ecef, b: Ecef) -> Ecef {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

fn dot(a: Ecef, b: Ecef) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}
