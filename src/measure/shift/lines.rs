//! Straight lines flown, whatever they were meant to be.

use crate::track::Track;
use crate::track::motion::{BankLimit, Motion, STEADY_BANK_DEG};
use crate::units::wrap_180;
use geo::Coord;

/// Points of a line are this far apart, seconds.
const STEP_S: f64 = 2.0;
/// A line ends where the course departs this far from its mean so far, degrees. Chosen.
const STRAIGHT_WITHIN_DEG: f64 = 10.0;
/// Shortest line, seconds. Chosen: less is the moment between two turns.
const SHORTEST_S: f64 = 16.0;

/// A fix on a line, in the local plane about the start of the pattern.
#[derive(Clone, Copy, Debug)]
pub(super) struct Point {
    pub(super) fix: usize,
    pub(super) at: Coord<f64>,
    pub(super) time_s: f64,
}

/// A straight line flown.
#[derive(Clone, Debug)]
pub(super) struct Line {
    pub(super) points: Vec<Point>,
}

impl Line {
    pub(super) fn first(&self) -> Point {
        self.points[0]
    }

    pub(super) fn last(&self) -> Point {
        self.points[self.points.len() - 1]
    }
}

/// All straight lines of the flight, in the order flown, from the place `about`.
pub(super) fn lines(track: &Track, motion: &Motion, about: Coord<f64>) -> Vec<Line> {
    let mut lines = Vec::new();
    let level = BankLimit::of_deg(STEADY_BANK_DEG);
    for stretch in &track.stretches {
        let mut line: Vec<Point> = Vec::new();
        let mut sum: Coord<f64> = Coord { x: 0.0, y: 0.0 };
        let mut last_s = f64::NEG_INFINITY;
        for fix in stretch.clone() {
            let time_s = motion.time_s[fix];
            if time_s - last_s < STEP_S {
                continue;
            }
            last_s = time_s;
            let steady = motion.is_flying(fix) && !motion.banks_beyond(fix, level);
            let mean_deg = sum.x.atan2(sum.y).to_degrees();
            let goes_on = steady
                && (line.is_empty()
                    || wrap_180(motion.course_deg[fix] - mean_deg).abs() <= STRAIGHT_WITHIN_DEG);
            if !goes_on {
                keep(std::mem::take(&mut line), &mut lines);
                sum = Coord { x: 0.0, y: 0.0 };
            }
            if steady {
                line.push(Point {
                    fix,
                    at: motion.xy[fix] - about,
                    time_s,
                });
                sum = sum + motion.velocity(fix);
            }
        }
        keep(line, &mut lines);
    }
    lines
}

fn keep(points: Vec<Point>, lines: &mut Vec<Line>) {
    let long_enough = points
        .first()
        .zip(points.last())
        .is_some_and(|(first, last)| last.time_s - first.time_s >= SHORTEST_S);
    if long_enough && points.len() >= 3 {
        lines.push(Line { points });
    }
}
