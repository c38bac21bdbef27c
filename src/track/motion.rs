//! How the aircraft moved: velocity, course and rate of turn at each fix.
//!
//! Velocities are central differences over `WINDOW_S` to each side (or one fix, where fixes are
//! farther apart), never across a gap: differences between fixes a tenth of a second apart would be
//! mostly receiver noise.

use super::{Track, seconds_between};
use crate::geodesy::LocalFrame;
use crate::geodesy::ecef::{self, Ecef};
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
    /// Surface point under the aircraft.
    pub ecef: Vec<Ecef>,
    /// The same in the local plane, metres.
    pub xy: Vec<Coord<f64>>,
    /// Ground velocity, metres per second towards true east and true north.
    pub velocity: Vec<Coord<f64>>,
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
            .iter()
            .map(|f| seconds_between(start, f.time))
            .collect();
        let ecef: Vec<Ecef> = fixes
            .par_iter()
            .map(|f| ecef::from_position(f.position))
            .collect();
        let xy = ecef.par_iter().map(|p| frame.forward_ecef(*p)).collect();
        let mut velocity = vec![Coord { x: 0.0, y: 0.0 }; fixes.len()];
        let mut course_deg = vec![0.0; fixes.len()];
        let mut turn_rate_dps = vec![0.0; fixes.len()];
        for stretch in &track.stretches {
            for_windows(&time_s, stretch.clone(), |i, low, high| {
                let dt = time_s[high] - time_s[low];
                if dt > 0.0 {
                    let (east, north) = axes(fixes[i].position);
                    let d = difference(ecef[high], ecef[low]);
                    let v = Coord {
                        x: dot(d, east) / dt,
                        y: dot(d, north) / dt,
                    };
                    velocity[i] = v;
                    course_deg[i] = wrap_360(v.x.atan2(v.y).to_degrees());
                }
            });
            for_windows(&time_s, stretch.clone(), |i, low, high| {
                let dt = time_s[high] - time_s[low];
                if dt > 0.0 {
                    turn_rate_dps[i] = wrap_180(course_deg[high] - course_deg[low]) / dt;
                    // In a turn the chord is shorter than the way flown: chord / arc = sin x / x, with
                    // x half the angle turned through.
                    let x = (turn_rate_dps[i] * dt / 2.0).to_radians().abs();
                    if x > 1e-6 && x < 1.0 {
                        let arc = x / x.sin();
                        velocity[i] = Coord {
                            x: velocity[i].x * arc,
                            y: velocity[i].y * arc,
                        };
                    }
                }
            });
        }
        let mut motion = Self {
            time_s,
            ecef,
            xy,
            velocity,
            course_deg,
            turn_rate_dps,
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
        let v = self.velocity[fix];
        // Asked of every fix again and again; no speed is so great or so small that squares would not do.
        (v.x * v.x + v.y * v.y).sqrt()
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

/// Calls `f(i, low, high)` for each fix with the fixes at the ends of its window: the nearest at
/// least [`WINDOW_S`] before and after, within the stretch. Linear: both ends only move forward.
fn for_windows(time_s: &[f64], stretch: Range<usize>, mut f: impl FnMut(usize, usize, usize)) {
    let (mut low, mut high) = (stretch.start, stretch.start);
    for i in stretch.clone() {
        while low + 1 < i && time_s[i] - time_s[low + 1] >= WINDOW_S {
            low += 1;
        }
        while high + 1 < stretch.end && (high <= i || time_s[high] - time_s[i] < WINDOW_S) {
            high += 1;
        }
        f(i, low, high);
    }
}

fn axes(at: crate::geodesy::Position) -> (Ecef, Ecef) {
    let (sin_lat, cos_lat) = at.lat().to_radians().sin_cos();
    let (sin_lon, cos_lon) = at.lon().to_radians().sin_cos();
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
