//! From the take-off to the landing: what comes before and after is standing or taxiing, where a receiver
//! wanders and nothing is flown.
//!
//! The flight begins at the first fix from which the aircraft goes on as fast as it flies, and gets away
//! from there; it ends likewise, backwards. In between nothing is taken for ground: a hover looks like a
//! landing, and the log cannot tell them apart.

use crate::geodesy::ecef::{self, Ecef};
use crate::track::motion::FLYING_MPS;
use crate::track::{Fix, seconds_between};
use std::ops::Range;

/// The way away is made at flying speed over this time, seconds. Chosen: a position that wanders by tens of
/// metres does not do that.
const MOVING_S: f64 = 10.0;
/// Within this time the aircraft gets away …
const AWAY_S: f64 = 30.0;
/// … as far as this, metres. Chosen: farther than positions wander on the ground, less than the turning
/// circle of anything flown at 20 kt or more (standard rate at 20 kt: a diameter of 390 m).
const AWAY_M: f64 = 200.0;

/// The fixes from take-off to landing; empty at the end if nothing was flown.
pub(super) fn range(fixes: &[Fix]) -> Range<usize> {
    let count = fixes.len();
    let seconds: Vec<f64> = fixes
        .iter()
        .map(|fix| seconds_between(fixes[0].time, fix.time))
        .collect();
    let places: Vec<Ecef> = fixes
        .iter()
        .map(|fix| ecef::from_position(fix.position))
        .collect();
    let log = Log {
        seconds: &seconds,
        places: &places,
    };
    let take_off = (0..count).find(|&fix| log.gets_away(fix, fix + 1..count));
    let landing = (0..count)
        .rev()
        .find(|&fix| log.gets_away(fix, (0..fix).rev()));
    match take_off.zip(landing) {
        Some((take_off, landing)) if take_off <= landing => take_off..landing + 1,
        _ => count..count,
    }
}

struct Log<'a> {
    seconds: &'a [f64],
    places: &'a [Ecef],
}

impl Log<'_> {
    /// Whether the fixes that follow `fix` in one direction of time lead away from it in flight.
    fn gets_away(&self, fix: usize, others: impl Iterator<Item = usize> + Clone) -> bool {
        let duration_s = self.seconds[self.seconds.len() - 1];
        let apart_s = |other: &usize| (self.seconds[*other] - self.seconds[fix]).abs();
        let apart_m = |other: usize| {
            let (a, b) = (self.places[fix], self.places[other]);
            ((a[0] - b[0]).powi(2) + (a[1] - b[1]).powi(2) + (a[2] - b[2]).powi(2)).sqrt()
        };
        // A log shorter than the times above is taken as a whole.
        let moving_s = MOVING_S.min(duration_s);
        let away_s = AWAY_S.min(duration_s);
        let Some(then) = others.clone().find(|other| apart_s(other) >= moving_s) else {
            return false;
        };
        if apart_m(then) < FLYING_MPS * apart_s(&then) {
            return false;
        }
        let enough_m = AWAY_M.min(FLYING_MPS * away_s);
        apart_m(then) >= enough_m
            || others
                .take_while(|other| apart_s(other) <= away_s)
                .any(|other| apart_m(other) >= enough_m)
    }
}
