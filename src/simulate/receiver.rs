//! The receiver: samples the true flight at its own rate, adds its errors, falls silent at times.

use super::noise::{GaussMarkov, normal};
use super::settings::{ReceiverNoise, Settings};
use crate::geodesy::Position;
use crate::geodesy::geodesic::{ECCENTRICITY_SQUARED, EQUATORIAL_RADIUS_M};
use crate::track::Fix;
use crate::units::{Length, wrap_180};
use chrono::{DateTime, TimeDelta, Utc};
use rand_chacha::ChaCha8Rng;

/// Correlation time of the slow errors, seconds. Chosen: satellite geometry, multipath and filters
/// change over about a minute.
const CORRELATION_S: f64 = 60.0;

/// A true place and height at a time.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sample {
    /// Milliseconds since the start of the log.
    pub(super) time_ms: i64,
    pub(super) position: Position,
    pub(super) height_m: f64,
}

/// The receiver and what it has written so far.
#[derive(Debug)]
pub(super) struct Receiver {
    start: DateTime<Utc>,
    rate_hz: f64,
    white_m: f64,
    east: GaussMarkov,
    north: GaussMarkov,
    height: GaussMarkov,
    rng: ChaCha8Rng,
    /// Number of the next fix, silent ones included.
    next: u64,
    silent_until_ms: i64,
    fixes: Vec<Fix>,
}

impl Receiver {
    pub(super) fn new(settings: &Settings, mut rng: ChaCha8Rng) -> Self {
        let ReceiverNoise {
            slow,
            white,
            height,
        } = settings.noise;
        Self {
            start: settings.start,
            rate_hz: settings.rate_hz,
            white_m: white.m(),
            east: GaussMarkov::new(slow.m(), CORRELATION_S, &mut rng),
            north: GaussMarkov::new(slow.m(), CORRELATION_S, &mut rng),
            height: GaussMarkov::new(height.m(), CORRELATION_S, &mut rng),
            rng,
            next: 0,
            silent_until_ms: -1,
            fixes: Vec::new(),
        }
    }

    /// Writes no fix up to and including this time.
    pub(super) fn silence_until(&mut self, time_ms: i64) {
        self.silent_until_ms = self.silent_until_ms.max(time_ms);
    }

    /// Watches the flight from one sample to the next, later one; the fixes due are written.
    pub(super) fn watch(&mut self, from: &Sample, to: &Sample) {
        loop {
            let due_ms = (self.next as f64 * 1000.0 / self.rate_hz).round() as i64;
            if due_ms > to.time_ms {
                return;
            }
            let span_ms = (to.time_ms - from.time_ms).max(1) as f64;
            let share = (due_ms - from.time_ms) as f64 / span_ms;
            self.fix(due_ms, &between(from, to, share));
            self.next += 1;
        }
    }

    fn fix(&mut self, time_ms: i64, at: &Sample) {
        let dt_s = if self.next == 0 {
            0.0
        } else {
            1.0 / self.rate_hz
        };
        let rng = &mut self.rng;
        let east_m = self.east.advance(dt_s, rng) + self.white_m * normal(rng);
        let north_m = self.north.advance(dt_s, rng) + self.white_m * normal(rng);
        let height_m = at.height_m + self.height.advance(dt_s, rng);
        if time_ms <= self.silent_until_ms {
            return;
        }
        self.fixes.push(Fix {
            time: self.start + TimeDelta::milliseconds(time_ms),
            position: displaced(at.position, east_m, north_m),
            height: Some(Length::from_m((height_m * 10.0).round() / 10.0)).into(),
            line: super::gpx_out::line_of_point(self.fixes.len()),
            file: 0,
        });
    }

    pub(super) fn into_fixes(self) -> Vec<Fix> {
        self.fixes
    }
}

/// Straight between two samples a tenth of a second apart: in a steep turn 4 cm from the arc.
fn between(from: &Sample, to: &Sample, share: f64) -> Sample {
    let (a, b) = (from.position, to.position);
    Sample {
        time_ms: to.time_ms,
        position: Position::from_computed(
            a.lat() + share * (b.lat() - a.lat()),
            a.lon() + share * wrap_180(b.lon() - a.lon()),
        ),
        height_m: from.height_m + share * (to.height_m - from.height_m),
    }
}

/// A place moved by metres and rounded to 1e-7 degrees (1 cm), as receivers write it.
fn displaced(at: Position, east_m: f64, north_m: f64) -> Position {
    let (sin, cos) = at.lat().to_radians().sin_cos();
    let w2 = 1.0 - ECCENTRICITY_SQUARED * sin * sin;
    let n = EQUATORIAL_RADIUS_M / w2.sqrt();
    let m = n * (1.0 - ECCENTRICITY_SQUARED) / w2;
    let lat = at.lat() + (north_m / m).to_degrees();
    let lon = at.lon() + (east_m / (n * cos)).to_degrees();
    Position::from_computed((lat * 1e7).round() / 1e7, (lon * 1e7).round() / 1e7)
}
