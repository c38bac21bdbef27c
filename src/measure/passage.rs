//! Runs along planned legs put together into passages, fix by fix in leg coordinates.
//!
//! A passage begins and ends where the aircraft flew within [`ON_COURSE_DEG`] of the leg's course and
//! without turning: the roll into and out of the turns is not flown leg.

use super::along::AlongSpan;
use crate::geodesy::LegInPlane;
use crate::matching::{Matched, ON_COURSE_DEG, Run};
use crate::plan::{Leg, Plan};
use crate::track::Track;
use crate::track::motion::{BankLimit, Motion, STEADY_BANK_DEG};
use crate::units::Length;
use chrono::{DateTime, TimeDelta, Utc};
use rayon::prelude::*;

/// Time for which the conditions must hold to be established, seconds. Chosen.
const ESTABLISHED_S: f64 = 10.0;

/// A fix seen from the leg it was flown on. Small, for there is one of nearly every fix.
#[derive(Clone, Copy, Debug)]
pub struct Sample {
    fix: u32,
    /// Metres from the leg's planned start.
    pub along_m: f64,
    /// Metres right of the leg in the direction flown.
    pub cross_m: f64,
    /// Whether the course flown is within [`ON_COURSE_DEG`] of that of the leg.
    pub on_course: bool,
}

impl Sample {
    /// Index of the fix.
    #[must_use]
    pub const fn fix(&self) -> usize {
        self.fix as usize
    }
}

/// One passage along one planned leg.
#[derive(Clone, Debug)]
pub struct Passage {
    /// Index of the leg in the plan.
    pub leg: usize,
    /// Whether flown against the planned direction.
    pub reversed: bool,
    /// All its fixes, first to last, with interruptions.
    pub fixes: std::ops::Range<usize>,
    /// Its recorded stretches on the leg, between its ends.
    pub pieces: Vec<Piece>,
}

/// A stretch of a passage without interruption.
#[derive(Clone, Debug)]
pub struct Piece {
    /// All fixes of the run it comes from, with those past the leg's ends and in the turns.
    pub run: std::ops::Range<usize>,
    /// Its fixes on the leg; at least two.
    pub samples: Vec<Sample>,
    /// Lowest and highest distance from the leg's planned start, metres, with the crossing of the
    /// leg's ends interpolated.
    pub low_m: f64,
    /// See `low_m`.
    pub high_m: f64,
    /// When it was entered and left, interpolated at the leg's ends.
    pub entered: DateTime<Utc>,
    /// See `entered`.
    pub left: DateTime<Utc>,
}

/// All passages, in the order flown.
#[must_use]
pub fn passages(
    track: &Track,
    motion: &Motion,
    plan: &Plan,
    frames: &[LegInPlane],
    matched: &Matched,
) -> Vec<Passage> {
    let pieces: Vec<Option<Piece>> = matched
        .runs
        .par_iter()
        .map(|run| piece(run, track, motion, &frames[run.leg]))
        .collect();
    let mut passages: Vec<Passage> = Vec::new();
    for (run, piece) in matched.runs.iter().zip(pieces) {
        let Some(piece) = piece else {
            continue;
        };
        let interrupted = passages.last_mut().filter(|last| {
            let flown_between = matched
                .additional
                .iter()
                .any(|a| last.fixes.end <= a.start && a.end <= run.fixes.start);
            last.leg == run.leg
                && last.reversed == run.reversed
                && !flown_between
                && resumes(last, &piece, plan.spacing.m())
        });
        match interrupted {
            Some(last) => {
                last.fixes.end = run.fixes.end;
                last.pieces.push(piece);
            }
            None => passages.push(Passage {
                leg: run.leg,
                reversed: run.reversed,
                fixes: run.fixes.clone(),
                pieces: vec![piece],
            }),
        }
    }
    passages
}

/// Whether a piece goes on where the passage broke off, give or take one spacing.
fn resumes(passage: &Passage, piece: &Piece, spacing_m: f64) -> bool {
    passage.pieces.last().is_some_and(|last| {
        if passage.reversed {
            piece.high_m <= last.low_m + spacing_m
        } else {
            piece.low_m >= last.high_m - spacing_m
        }
    })
}

fn piece(run: &Run, track: &Track, motion: &Motion, frame: &LegInPlane) -> Option<Piece> {
    let sample = |fix: usize| sample(fix, run, motion, frame);
    let steady = BankLimit::of_deg(STEADY_BANK_DEG);
    let on_course = |fix: &usize| !motion.banks_beyond(*fix, steady) && sample(*fix).on_course;
    let first = run.fixes.clone().find(on_course)?;
    let last = run.fixes.clone().rfind(on_course)?;
    let length_m = frame.length().m();
    let mut samples: Vec<Sample> = Vec::with_capacity(last + 1 - first);
    let on_leg = |s: &Sample| (0.0..=length_m).contains(&s.along_m);
    samples.extend((first..=last).map(sample).filter(on_leg));
    samples.shrink_to_fit();
    let (head, tail) = (*samples.first()?, *samples.last()?);
    if head.fix() == tail.fix() {
        return None;
    }
    let stretch = track
        .stretches
        .iter()
        .find(|stretch| stretch.contains(&head.fix()))
        .cloned()
        .unwrap_or(run.fixes.clone());
    let before = head
        .fix()
        .checked_sub(1)
        .filter(|fix| stretch.contains(fix))
        .map(sample);
    let after = Some(tail.fix() + 1)
        .filter(|fix| stretch.contains(fix))
        .map(sample);
    let (head_m, entered) = at_end(before, head, length_m, track);
    let (tail_m, left) = at_end(after, tail, length_m, track);
    Some(Piece {
        run: run.fixes.clone(),
        low_m: head_m.min(tail_m),
        high_m: head_m.max(tail_m),
        entered,
        left,
        samples,
    })
}

/// Distance and time at which the leg's end was crossed between `outside` and `inside`, if it was;
/// else those of `inside`.
fn at_end(
    outside: Option<Sample>,
    inside: Sample,
    length_m: f64,
    track: &Track,
) -> (f64, DateTime<Utc>) {
    let inside_time = track.fixes[inside.fix()].time;
    let Some(outside) = outside.filter(|o| !(0.0..=length_m).contains(&o.along_m)) else {
        return (inside.along_m, inside_time);
    };
    let end_m = if outside.along_m < 0.0 { 0.0 } else { length_m };
    let share = (end_m - outside.along_m) / (inside.along_m - outside.along_m);
    let outside_time = track.fixes[outside.fix()].time;
    (end_m, between(outside_time, inside_time, share))
}

/// The time a share of the way from `a` to `b`.
#[must_use]
pub fn between(a: DateTime<Utc>, b: DateTime<Utc>, share: f64) -> DateTime<Utc> {
    let micros = (b - a).num_microseconds().unwrap_or(0) as f64 * share;
    a + TimeDelta::microseconds(micros.round() as i64)
}

fn sample(fix: usize, run: &Run, motion: &Motion, frame: &LegInPlane) -> Sample {
    let at = frame.locate(motion.xy[fix]);
    let sign = if run.reversed { -1.0 } else { 1.0 };
    let course_deg = motion.course_deg[fix];
    Sample {
        // A log of so many fixes as do not fit does not fit into memory either.
        fix: fix as u32,
        along_m: at.along_m,
        cross_m: sign * at.cross_m,
        on_course: frame.is_along(course_deg, run.reversed, ON_COURSE_DEG, || at.along_m),
    }
}

impl Passage {
    /// All samples, in the order flown.
    pub fn samples(&self) -> impl Iterator<Item = &Sample> {
        self.pieces.iter().flat_map(|piece| &piece.samples)
    }

    /// The longest way along the leg from one fix to the next, metres.
    #[must_use]
    pub fn longest_step_m(&self) -> f64 {
        self.pieces
            .iter()
            .flat_map(|piece| piece.samples.windows(2))
            .map(|pair| (pair[1].along_m - pair[0].along_m).abs())
            .fold(0.0, f64::max)
    }

    /// The first sample from which on the aircraft was within the tolerance and on course for
    /// `ESTABLISHED_S`.
    #[must_use]
    pub fn established(&self, tolerance: Length, motion: &Motion) -> Option<Sample> {
        for piece in &self.pieces {
            let mut since: Option<&Sample> = None;
            for s in &piece.samples {
                let good = s.cross_m.abs() <= tolerance.m() && s.on_course;
                since = if good { since.or(Some(s)) } else { None };
                if let Some(first) = since
                    && motion.time_s[s.fix()] - motion.time_s[first.fix()] >= ESTABLISHED_S
                {
                    return Some(*first);
                }
            }
        }
        None
    }

    /// Its recorded stretches on the leg.
    #[must_use]
    pub fn recorded(&self, leg: &Leg) -> Vec<AlongSpan> {
        self.pieces
            .iter()
            .map(|p| AlongSpan::on(leg, Length::from_m(p.low_m), Length::from_m(p.high_m)))
            .collect()
    }
}
