//! From the take-off to the landing: what comes before and after is standing or taxiing, where a receiver
//! wanders and nothing is flown.
//!
//! The flight begins at the first fix from which the aircraft goes on as fast as it flies, and gets away
//! from there; it ends likewise, backwards. In between nothing is taken for ground: a hover looks like a
//! landing, and the log cannot tell them apart.

use super::way::Way;
use crate::geodesy::ecef::Ecef;
use crate::track::motion::FLYING_MPS;
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
pub(super) fn range(way: &Way) -> Range<usize> {
    let count = way.seconds.len();
    let log = Log {
        seconds: &way.seconds,
        places: &way.places,
    };
    let take_off = (0..count).find(|&fix| log.gets_away(fix, true));
    let landing = (0..count).rev().find(|&fix| log.gets_away(fix, false));
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
    /// Whether what comes after `fix`, or before it, leads away from it in flight.
    fn gets_away(&self, fix: usize, afterwards: bool) -> bool {
        let duration_s = self.seconds[self.seconds.len() - 1];
        // A log shorter than the times above is taken as a whole.
        let moving_s = MOVING_S.min(duration_s);
        let away_s = AWAY_S.min(duration_s);
        let Some(then) = self.at_least(moving_s, fix, afterwards) else {
            return false;
        };
        let then_s = (self.seconds[then] - self.seconds[fix]).abs();
        if self.distance_m(fix, then) < FLYING_MPS * then_s {
            return false;
        }
        let enough_m = AWAY_M.min(FLYING_MPS * away_s);
        self.distance_m(fix, then) >= enough_m
            || self
                .within(away_s, fix, afterwards)
                .any(|other| self.distance_m(fix, other) >= enough_m)
    }

    /// The fix nearest in time that is this far from `fix`, on one side of it.
    fn at_least(&self, seconds: f64, fix: usize, afterwards: bool) -> Option<usize> {
        if afterwards {
            let until = self.seconds[fix] + seconds;
            let then = self.seconds.partition_point(|time| *time < until);
            (then < self.seconds.len()).then_some(then)
        } else {
            let from = self.seconds[fix] - seconds;
            self.seconds
                .partition_point(|time| *time <= from)
                .checked_sub(1)
        }
    }

    /// The fixes up to this far from `fix`, on one side of it.
    fn within(&self, seconds: f64, fix: usize, afterwards: bool) -> Range<usize> {
        if afterwards {
            let until = self.seconds[fix] + seconds;
            fix + 1..self.seconds.partition_point(|time| *time <= until)
        } else {
            let from = self.seconds[fix] - seconds;
            self.seconds.partition_point(|time| *time < from)..fix
        }
    }

    fn distance_m(&self, a: usize, b: usize) -> f64 {
        let (a, b) = (self.places[a], self.places[b]);
        ((a[0] - b[0]).powi(2) + (a[1] - b[1]).powi(2) + (a[2] - b[2]).powi(2)).sqrt()
    }
}
