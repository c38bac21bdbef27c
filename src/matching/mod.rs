//! What was being flown at each moment.
//!
//! ```text
//! Track × Plan ─leg_index→ legs near each fix ─sequence→ runs on planned legs
//!              ─straight→ additional legs ─phases→ what every moment was
//! ```

pub mod leg_index;
pub mod phases;
pub mod sequence;
pub mod straight;

pub use phases::{Phase, PhaseSpan, Span};
pub use sequence::Run;

use crate::geodesy::LegFrame;
use crate::plan::Plan;
use crate::track::Track;
use crate::track::motion::Motion;
use std::ops::Range;

/// Shortest stretch of leg that counts as having flown on it, in spacings. Chosen: less is crossing
/// it, or a turn that happens to line up.
const SHORTEST_RUN_SPACINGS: f64 = 0.5;

/// A track matched against a plan.
#[derive(Clone, Debug)]
pub struct Matched {
    /// Runs along planned search legs, in the order flown; a gap in the log parts a run in two.
    pub runs: Vec<Run>,
    /// Additional legs, in the order flown.
    pub additional: Vec<Range<usize>>,
    /// Every fix in exactly one span, in order; no span reaches across a gap.
    pub spans: Vec<Span>,
}

impl Matched {
    /// Fixes from the first leg flown to the last, planned or additional; `None` if none was.
    #[must_use]
    pub fn window(&self) -> Option<Range<usize>> {
        let parts = || {
            self.runs
                .iter()
                .map(|run| &run.fixes)
                .chain(&self.additional)
        };
        let start = parts().map(|fixes| fixes.start).min()?;
        let end = parts().map(|fixes| fixes.end).max()?;
        Some(start..end)
    }
}

/// Matches a track against a plan.
#[must_use]
pub fn match_track(track: &Track, motion: &Motion, plan: &Plan, frames: &[LegFrame]) -> Matched {
    let runs = long_enough(
        sequence::runs(track, motion, plan, frames),
        motion,
        plan,
        frames,
    );
    let additional: Vec<Range<usize>> = match runs.first() {
        // What comes before the first planned leg is the way there.
        Some(first) => off_plan(track, &runs, first.fixes.start)
            .into_iter()
            .flat_map(|fixes| straight::additional_legs(fixes, motion, plan, frames))
            .collect(),
        None => track
            .stretches
            .iter()
            .flat_map(|fixes| straight::additional_legs(fixes.clone(), motion, plan, frames))
            .collect(),
    };
    let spans = phases::spans(track, motion, plan, &runs, &additional);
    Matched {
        runs,
        additional,
        spans,
    }
}

/// Drops passages too short to be meant: judged together where a gap or an interruption parts them.
fn long_enough(runs: Vec<Run>, motion: &Motion, plan: &Plan, frames: &[LegFrame]) -> Vec<Run> {
    let flown_m = |run: &Run| {
        let frame = &frames[run.leg];
        let along = |fix: usize| {
            frame
                .locate_ecef(motion.ecef[fix])
                .along_m
                .clamp(0.0, frame.length().m())
        };
        (along(run.fixes.end - 1) - along(run.fixes.start)).abs()
    };
    let shortest_m = SHORTEST_RUN_SPACINGS * plan.spacing.m();
    runs.chunk_by(|a, b| a.leg == b.leg && a.reversed == b.reversed)
        .filter(|passage| passage.iter().map(flown_m).sum::<f64>() >= shortest_m)
        .flatten()
        .cloned()
        .collect()
}

/// Ranges of fixes on no run, from fix `from` on, split at the gaps.
fn off_plan(track: &Track, runs: &[Run], from: usize) -> Vec<Range<usize>> {
    let mut free = Vec::new();
    let mut runs = runs.iter().peekable();
    for stretch in &track.stretches {
        let mut at = stretch.start.max(from);
        while let Some(run) = runs.next_if(|run| run.fixes.start < stretch.end) {
            if run.fixes.start > at {
                free.push(at..run.fixes.start);
            }
            at = run.fixes.end;
        }
        if at < stretch.end {
            free.push(at..stretch.end);
        }
    }
    free
}
