//! Positions that a receiver repeats while the aircraft flies on.
//!
//! A receiver that has lost its signal, or is slower than its recorder, writes its last position again. So
//! does one that stands: on the ground, or in a hover under a filter that holds slow positions still. The
//! two differ by how they end. From a stand nothing is more than
//!
//! ```text
//! d(τ) = ½ a τ²                  while τ ≤ V/a
//!        V τ − V²/(2 a)          afterwards
//! ```
//!
//! away after τ seconds, with a the hardest acceleration and V a fast speed flown. Repeats that are followed by
//! a longer way than that, amid flight and of a length that the aircraft flew in the time since the first of
//! them, were none of a stand. The first of such a run is kept, with the repeats gone.

use super::way::Way;
use super::{SCATTER_M, Sample};
use crate::track::motion::FLYING_MPS;
use crate::track::{Finding, Ledger};
use crate::units::Speed;

/// Hardest acceleration from a stand and hardest braking to one, m/s². Chosen: half of gravity, more than
/// the brakes of an aeroplane or the quick stop of a helicopter give.
const FROM_A_STAND_MPS2: f64 = 5.0;
/// Speeds before and after are taken over this time, seconds. Chosen: as much as noise needs at ten fixes a
/// second.
const SPEED_OVER_S: f64 = 5.0;
/// How far back a braking is looked at, seconds. Chosen: from 75 m/s to a stand at the above.
const BRAKING_S: f64 = 15.0;
/// The same in fixes. Chosen: it bounds the work on logs of hundreds of fixes a second.
const MOST_FIXES: usize = 256;
/// What the speed in a step may be above that around it. Chosen: gusts and descents.
const FASTER: f64 = 1.25;
/// Steps at the speed that the aircraft is taken to fly at when fast, as a share. Chosen.
const FAST_SHARE: f64 = 0.95;
/// What the speed over the whole run may be above that around it. Chosen.
const MUCH_FASTER: f64 = 1.5;

/// Leaves out repeated positions amid flight.
pub(super) fn without_repeats(
    samples: Vec<Sample>,
    way: &Way,
    limit: Speed,
    ledger: &mut Ledger,
) -> Vec<Sample> {
    let repeats = |pair: &[Sample]| pair[0].fix.position == pair[1].fix.position;
    if !samples.windows(2).any(repeats) {
        return samples;
    }
    let stands = Stands::of(way, limit);
    let mut kept = Vec::with_capacity(samples.len());
    let mut first = 0;
    for run in samples.chunk_by(|a, b| a.fix.position == b.fix.position) {
        let last = first + run.len() - 1;
        if first < last && stands.is_frozen(first, last) {
            kept.push(run[0]);
            for Sample { fix, .. } in &run[1..] {
                ledger.add_at(fix, Finding::FrozenPosition, fix.recorded());
            }
        } else {
            kept.extend_from_slice(run);
        }
        first = last + 1;
    }
    kept
}

/// What tells stands from repeats.
struct Stands<'a> {
    way: &'a Way,
    limit_mps: f64,
    /// What the aircraft flies at when it flies fast, m/s.
    fast_mps: f64,
}

impl<'a> Stands<'a> {
    fn of(way: &'a Way, limit: Speed) -> Self {
        let mut stands = Self {
            way,
            limit_mps: limit.mps(),
            fast_mps: 0.0,
        };
        stands.fast_mps = stands.fast_speed();
        stands
    }

    /// The speed that is not exceeded in [`FAST_SHARE`] of the steps, m/s, impossible ones left out.
    fn fast_speed(&self) -> f64 {
        let mut speeds: Vec<f64> = (1..self.way.places.len())
            .map(|to| self.distance_m(to - 1, to) / self.seconds(to - 1, to))
            .filter(|speed| *speed <= self.limit_mps)
            .collect();
        if speeds.is_empty() {
            return 0.0;
        }
        let place = ((speeds.len() - 1) as f64 * FAST_SHARE) as usize;
        *speeds.select_nth_unstable_by(place, f64::total_cmp).1
    }

    fn seconds(&self, from: usize, to: usize) -> f64 {
        self.way.seconds[to] - self.way.seconds[from]
    }

    fn distance_m(&self, from: usize, to: usize) -> f64 {
        let (a, b) = (self.way.places[from], self.way.places[to]);
        ((a[0] - b[0]).powi(2) + (a[1] - b[1]).powi(2) + (a[2] - b[2]).powi(2)).sqrt()
    }

    /// Whether the run from `first` to `last` was flown and not stood.
    fn is_frozen(&self, first: usize, last: usize) -> bool {
        let (before, after) = (self.speed_before(first), self.speed_after(last + 1));
        let flown = |speed: f64| speed >= FLYING_MPS && speed <= self.limit_mps;
        if !before.into_iter().chain(after).all(flown) {
            return false;
        }
        let Some(next) = Some(last + 1).filter(|next| *next < self.way.places.len()) else {
            // At the end of the log only the braking tells.
            return before.is_some() && self.stops_impossibly(first);
        };
        let Some(around) = before.into_iter().chain(after).reduce(f64::max) else {
            return false;
        };
        // Where fixes are far apart the speeds around are those of chords, shorter than what was flown.
        let speed = FASTER * around.max(self.fast_mps);
        let reach_m = from_a_stand_m(speed, self.seconds(last, next)) + SCATTER_M;
        let jump_m = self.distance_m(last, next);
        let meanwhile = jump_m / self.seconds(first, next);
        let as_flown = (FLYING_MPS..=MUCH_FASTER * around).contains(&meanwhile);
        jump_m > reach_m && (as_flown || self.stops_impossibly(first))
    }

    /// Speed on the way to a fix, m/s.
    fn speed_before(&self, fix: usize) -> Option<f64> {
        let earlier = (0..fix).rev();
        let from = self.first_beyond(earlier, fix)?;
        Some(self.distance_m(from, fix) / self.seconds(from, fix))
    }

    /// Speed on the way from a fix, m/s.
    fn speed_after(&self, fix: usize) -> Option<f64> {
        let to = self.first_beyond(fix + 1..self.way.places.len(), fix)?;
        Some(self.distance_m(fix, to) / self.seconds(fix, to))
    }

    /// The first of `fixes` that is [`SPEED_OVER_S`] away from `fix`, else the last of them.
    fn first_beyond(&self, fixes: impl Iterator<Item = usize>, fix: usize) -> Option<usize> {
        let mut found = None;
        for other in fixes.take(MOST_FIXES) {
            found = Some(other);
            if self.seconds(other, fix).abs() >= SPEED_OVER_S {
                break;
            }
        }
        found
    }

    /// Whether no braking leads to a stand at `fix`.
    fn stops_impossibly(&self, fix: usize) -> bool {
        (0..fix)
            .rev()
            .take(MOST_FIXES)
            .take_while(|from| self.seconds(*from, fix) <= BRAKING_S)
            .any(|from| {
                let reach_m = from_a_stand_m(self.limit_mps, self.seconds(from, fix)) + SCATTER_M;
                self.distance_m(from, fix) > reach_m
            })
    }
}

/// How far from a stand one gets in a time at most, metres; braking to one is the same backwards.
fn from_a_stand_m(speed_mps: f64, seconds: f64) -> f64 {
    let until_s = speed_mps / FROM_A_STAND_MPS2;
    if seconds <= until_s {
        0.5 * FROM_A_STAND_MPS2 * seconds * seconds
    } else {
        speed_mps * (seconds - until_s / 2.0)
    }
}
