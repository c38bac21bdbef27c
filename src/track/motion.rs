//! How the aircraft moved: velocity, course and rate of turn at each fix.
//!
//! Velocities are central differences over `WINDOW_S` to each side (or one fix, where fixes are
//! farther apart), never across a gap: differences between fixes a tenth of a second apart would be
//! mostly receiver noise.

use super::{Fix, Track, seconds_between};
use crate::geodesy::LocalFrame;
use crate::geodesy::ecef::{self, Ecef};
use crate::geodesy::geodesic::ECCENTRICITY_SQUARED;
use crate::units::{wrap_180, wrap_360};
use geo::{Coord, LineString, SimplifyIdx};
use rayon::prelude::*;
use std::ops::Range;

/// Time to each side over which velocities are taken, seconds. Chosen: at 90 kt the baseline is
/// then 180 m, against which 3 m of receiver noise turn the course by about a degree.
const WINDOW_S: f64 = 2.0;

/// Of fixes closer in time than this one is enough for a line, seconds. Chosen: in it an aircraft at two g, the hardest that cleaning lets pass, is 2.5 m
/// beside its chord.
pub(crate) const STEP_S: f64 = 1.0;

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
        let mut xy = vec![Coord { x: 0.0, y: 0.0 }; fixes.len()];
        let mut speed_mps = vec![0.0; fixes.len()];
        let mut course_deg = vec![0.0; fixes.len()];
        let mut turn_rate_dps = vec![0.0; fixes.len()];
        for stretch in &track.stretches {
            let windows = Windows {
                time_s: &time_s,
                stretch,
            };
            let parts = xy[stretch.clone()]
                .par_chunks_mut(AT_ONCE)
                .zip(speed_mps[stretch.clone()].par_chunks_mut(AT_ONCE))
                .zip(course_deg[stretch.clone()].par_chunks_mut(AT_ONCE));
            parts
                .enumerate()
                .for_each(|(part, ((xy, speed_mps), course_deg))| {
                    let first = stretch.start + part * AT_ONCE;
                    let part = first..first + xy.len();
                    let seen = windows.of(first).low..windows.of(part.end - 1).high + 1;
                    let place = |fix: &Fix| ecef::from_position(fix.position);
                    let ecef: Vec<Ecef> = fixes[seen.clone()].iter().map(place).collect();
                    for (xy, ecef) in xy.iter_mut().zip(&ecef[first - seen.start..]) {
                        *xy = frame.forward_ecef(*ecef);
                    }
                    for Window { fix, low, high, dt } in windows.over(part) {
                        let [low, at, high] = [low, fix, high].map(|fix| ecef[fix - seen.start]);
                        let (east, north) = axes(at);
                        let d = difference(high, low);
                        let (x, y) = (dot(d, east) / dt, dot(d, north) / dt);
                        speed_mps[fix - first] = (x * x + y * y).sqrt();
                        course_deg[fix - first] = wrap_360(x.atan2(y).to_degrees());
                    }
                });
            let parts = speed_mps[stretch.clone()]
                .par_chunks_mut(AT_ONCE)
                .zip(turn_rate_dps[stretch.clone()].par_chunks_mut(AT_ONCE));
            parts
                .enumerate()
                .for_each(|(part, (speed_mps, turn_rate_dps))| {
                    let first = stretch.start + part * AT_ONCE;
                    for Window { fix, low, high, dt } in
                        windows.over(first..first + speed_mps.len())
                    {
                        let turn_rate = wrap_180(course_deg[high] - course_deg[low]) / dt;
                        turn_rate_dps[fix - first] = turn_rate;
                        // In a turn the chord is shorter than the way flown: chord / arc = sin x / x, with
                        // x half the angle turned through.
                        let x = (turn_rate * dt / 2.0).to_radians().abs();
                        if x > 1e-6 && x < 1.0 {
                            speed_mps[fix - first] *= x / x.sin();
                        }
                    }
                });
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

    /// The fixes of a range that are at least a second apart, from its first on.
    #[must_use]
    pub fn a_second_apart(&self, range: Range<usize>) -> SecondsApart<'_> {
        SecondsApart {
            time_s: &self.time_s[..range.end],
            at: range.start,
            stride: 1,
        }
    }

    /// The fixes that suffice for the line flown in a range of them: those looked at, which are a second apart but for
    /// the last, lie within `tolerance_m` of it (Ramer-Douglas-Peucker).
    #[must_use]
    pub fn thinned(&self, range: Range<usize>, tolerance_m: f64) -> Vec<usize> {
        let last = range.clone().next_back();
        let mut due: Vec<usize> = self.a_second_apart(range).collect();
        due.extend(last.filter(|last| due.last() != Some(last)));
        self.thinner(&due, tolerance_m)
    }

    /// Those of some fixes that suffice for the line through them: the others lie within `tolerance_m` of it.
    #[must_use]
    pub fn thinner(&self, fixes: &[usize], tolerance_m: f64) -> Vec<usize> {
        let points: LineString<f64> = fixes.iter().map(|fix| self.xy[*fix]).collect();
        let kept = points.simplify_idx(tolerance_m);
        kept.into_iter().map(|index| fixes[index]).collect()
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

    /// Whether the bank that a coordinated turn takes at the rate and speed of a fix is more than a limit: tan φ = V ω / g.
    /// Ground speed stands for airspeed, so with wind it is approximate.
    #[must_use]
    pub fn banks_beyond(&self, fix: usize, limit: BankLimit) -> bool {
        (self.speed_mps(fix) * self.turn_rate_dps[fix]).abs() > limit.mps_dps
    }
}

/// Fixes at least a second apart.
#[derive(Clone, Debug)]
pub struct SecondsApart<'a> {
    time_s: &'a [f64],
    at: usize,
    /// How many fixes the last one was before this: so many it will be again, but for a few.
    stride: usize,
}

impl Iterator for SecondsApart<'_> {
    type Item = usize;

    fn next(&mut self) -> Option<usize> {
        let fix = self.at;
        let since_s = *self.time_s.get(fix)?;
        let is_due = |i: usize| self.time_s.get(i).is_none_or(|t| t - since_s >= STEP_S);
        let mut next = fix + self.stride;
        while !is_due(next) {
            next += 1;
        }
        while next > fix + 1 && is_due(next - 1) {
            next -= 1;
        }
        self.stride = next - fix;
        self.at = next;
        Some(fix)
    }
}

/// A bank, to hold banks against: the speed, m/s, times rate of turn, degrees per second, that takes it.
#[derive(Clone, Copy, Debug)]
pub struct BankLimit {
    mps_dps: f64,
}

impl BankLimit {
    /// A bank in degrees.
    #[must_use]
    pub fn of_deg(bank: f64) -> Self {
        Self {
            mps_dps: (GRAVITY * bank.to_radians().tan()).to_degrees(),
        }
    }
}

/// Fixes of one task. Chosen: it takes a millisecond or so.
const AT_ONCE: usize = 8192;

/// A fix and those at the ends of its window: the nearest at least [`WINDOW_S`] before and after, within the stretch.
#[derive(Clone, Copy)]
struct Window {
    fix: usize,
    low: usize,
    high: usize,
    /// Seconds between the ends.
    dt: f64,
}

/// The windows of the fixes of a stretch.
#[derive(Clone, Copy)]
struct Windows<'a> {
    time_s: &'a [f64],
    stretch: &'a Range<usize>,
}

impl Windows<'_> {
    /// That of one fix.
    fn of(&self, fix: usize) -> Window {
        let early = |time: &f64| self.time_s[fix] - time >= WINDOW_S;
        let earlier = self.time_s[self.stretch.start..fix].partition_point(early);
        let near = |time: &f64| time - self.time_s[fix] < WINDOW_S;
        let later = self.time_s[fix..self.stretch.end].partition_point(near);
        self.between(
            fix,
            self.stretch.start + earlier.saturating_sub(1),
            (fix + later).min(self.stretch.end - 1),
        )
    }

    /// Those of fixes one after the other, that last for a time. Linear: both ends only move forward.
    fn over(self, fixes: Range<usize>) -> impl Iterator<Item = Window> {
        let Window {
            mut low, mut high, ..
        } = self.of(fixes.start);
        let time_s = self.time_s;
        fixes
            .map(move |fix| {
                while low + 1 < fix && time_s[fix] - time_s[low + 1] >= WINDOW_S {
                    low += 1;
                }
                while high + 1 < self.stretch.end
                    && (high <= fix || time_s[high] - time_s[fix] < WINDOW_S)
                {
                    high += 1;
                }
                self.between(fix, low, high)
            })
            .filter(|window| window.dt > 0.0)
    }

    fn between(&self, fix: usize, low: usize, high: usize) -> Window {
        Window {
            fix,
            low,
            high,
            dt: self.time_s[high] - self.time_s[low],
        }
    }
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

#[cfg(test)]
mod tests {
    use super::*;
    use rand::{RngExt, SeedableRng};

    /// Against a look at every fix, over rates that change, gaps, and ranges that begin and end anywhere (seed 3).
    #[test]
    fn a_second_apart_is_what_a_look_at_every_fix_finds() {
        let mut random = rand_chacha::ChaCha8Rng::seed_from_u64(3);
        let mut time_s = vec![0.0];
        let mut step_s = 1.0;
        for _ in 0..20_000 {
            if random.random_bool(0.02) {
                step_s = [0.05, 0.1, 0.2, 0.7, 1.0, 5.0, 90.0][random.random_range(0..7)];
            }
            let jitter_s = random.random_range(-0.3..0.3) * step_s;
            time_s.push(time_s[time_s.len() - 1] + step_s + jitter_s);
        }
        let motion = Motion {
            time_s,
            xy: Vec::new(),
            course_deg: Vec::new(),
            turn_rate_dps: Vec::new(),
            speed_mps: Vec::new(),
            airborne: 0..0,
        };
        let count = motion.time_s.len();
        for i in 0..200 {
            let start = random.random_range(0..count);
            let end = if i == 0 {
                count
            } else {
                random.random_range(start..=count)
            };
            let mut last_s = f64::NEG_INFINITY;
            let mut wanted = Vec::new();
            for fix in start..end {
                if motion.time_s[fix] - last_s >= STEP_S {
                    last_s = motion.time_s[fix];
                    wanted.push(fix);
                }
            }
            let found: Vec<usize> = motion.a_second_apart(start..end).collect();
            assert_eq!(found, wanted, "{start}..{end}");
        }
    }
}
