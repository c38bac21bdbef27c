//! What was being flown at each moment.
//!
//! ```text
//! Track × Plan ─leg_index→ legs near each fix ─offers→ what they cost ─sequence→ runs on planned legs
//!              ─straight→ additional legs ─phases→ what every moment was
//! ```

pub mod boundary;
pub mod leg_index;
mod offers;
pub mod phases;
pub mod sequence;
mod spokes;
pub mod straight;

pub use phases::{Phase, PhaseSpan, Span};
pub use sequence::Run;

use crate::geodesy::LegInPlane;
use crate::plan::Plan;
use crate::track::Track;
use crate::track::motion::{BankLimit, Motion, STEADY_BANK_DEG};
use crate::units::wrap_180;
use rayon::prelude::*;
use std::ops::Range;

/// Shortest stretch of leg that counts as having flown on it, in spacings or, of a leg shorter than a
/// spacing, in its length; and as a share of the leg unless a hole in the log hides the rest. Chosen: less is
/// a turn or a way in that happens to line up.
const SHORTEST_RUN_SPACINGS: f64 = 0.5;
const SHORTEST_RUN_SHARE: f64 = 0.1;
/// Within this of the leg's course the aircraft is on it, degrees. Chosen: the heading tolerance
/// of the commercial pilot standard (FAA-S-ACS, CA.VI.A, ±10°).
pub const ON_COURSE_DEG: f64 = 10.0;
/// The search has begun for certain when this share of a leg is flown. Chosen.
const SUBSTANTIAL_SHARE: f64 = 0.5;
/// A run that holds a course this far from the leg's on average, degrees …
const CROSSING_DEG: f64 = 5.0;
/// … and goes over from one side of the leg to the other by this much, in spacings, crosses it and
/// does not fly it. Chosen: the way home slants across the legs like that.
const CROSSING_SPACINGS: f64 = 0.5;

/// A track matched against a plan.
#[derive(Clone, Debug)]
pub struct Matched {
    /// Runs along planned search legs, in the order flown; a gap in the log parts a run in two.
    pub runs: Vec<Run>,
    /// Additional legs, in the order flown.
    pub additional: Vec<Range<usize>>,
    /// Every fix in exactly one span, in order; no span reaches across a gap.
    pub spans: Vec<Span>,
    /// Fix at which a boundary check begins, if there was one.
    boundary_from: Option<usize>,
}

impl Matched {
    /// Fixes from the first leg flown to the last, planned or additional; `None` if none was.
    #[must_use]
    pub fn window(&self) -> Option<Range<usize>> {
        let parts = || {
            self.runs
                .iter()
                .map(|run| &run.on_leg)
                .chain(&self.additional)
        };
        let start = parts().map(|fixes| fixes.start).min()?;
        let end = parts().map(|fixes| fixes.end).max()?;
        Some(start..end)
    }

    /// The same with further straight ranges of fixes as additional legs: as far as they lie inside the
    /// area and on no planned leg, and are as long as a leg flown must be. In a pattern that ends where it
    /// begins, what was matched before the first of them and after the last is the way in and out.
    #[must_use]
    pub fn with_additional(
        self,
        ranges: Vec<Range<usize>>,
        track: &Track,
        motion: &Motion,
        plan: &Plan,
    ) -> Self {
        let least_m = SHORTEST_RUN_SPACINGS * plan.spacing.m();
        let ends_where_it_begins = spokes::ends_where_it_begins(plan);
        let begun = ranges.iter().map(|range| range.start).min().unwrap_or(0);
        let ended = ranges.iter().map(|range| range.end).max().unwrap_or(0);
        let runs: Vec<Run> = self
            .runs
            .into_iter()
            .filter(|run| {
                let way = run.on_leg.end <= begun || run.on_leg.start >= ended;
                !(way && ends_where_it_begins)
            })
            .collect();
        let parts = ranges
            .into_iter()
            .flat_map(|range| free_of(range, &runs))
            .filter_map(|range| straight::inside(range, motion, plan))
            .filter(|range| {
                let (a, b) = (motion.xy[range.start], motion.xy[range.end - 1]);
                (b - a).x.hypot((b - a).y) >= least_m
            });
        let mut additional: Vec<Range<usize>> = parts.collect();
        let flown = || runs.iter().map(|run| &run.on_leg).chain(&additional);
        let first = flown().map(|fixes| fixes.start).min().unwrap_or(0);
        let last = flown().map(|fixes| fixes.end).max().unwrap_or(0);
        // What was found before stays where it is none of these, and is no way in or out.
        let others: Vec<Range<usize>> = self
            .additional
            .iter()
            .filter(|other| {
                let apart = additional
                    .iter()
                    .all(|part| other.end <= part.start || part.end <= other.start);
                apart && other.start >= first && (other.end <= last || !ends_where_it_begins)
            })
            .cloned()
            .collect();
        additional.extend(others);
        additional.sort_by_key(|range| range.start);
        let spans = phases::spans(track, motion, plan, &runs, &additional, self.boundary_from);
        Self {
            runs,
            additional,
            spans,
            boundary_from: self.boundary_from,
        }
    }
}

/// What of a range of fixes belongs to no run.
fn free_of(range: Range<usize>, runs: &[Run]) -> Vec<Range<usize>> {
    let mut free = Vec::new();
    let mut at = range.start;
    for run in runs {
        if run.fixes.end <= at || run.fixes.start >= range.end {
            continue;
        }
        if run.fixes.start > at {
            free.push(at..run.fixes.start);
        }
        at = run.fixes.end;
    }
    if at < range.end {
        free.push(at..range.end);
    }
    free
}

/// Matches a track against a plan.
#[must_use]
pub fn match_track(track: &Track, motion: &Motion, plan: &Plan, frames: &[LegInPlane]) -> Matched {
    let passages = passages(
        sequence::runs(track, motion, plan, frames),
        track,
        motion,
        plan,
        frames,
    );
    let passages = spokes::without_ways_in_and_out(passages, plan, frames);
    let (runs, boundary_from) = after_boundary_check(passages, motion, plan, frames);
    // What comes before the first planned leg is the way there; what comes after the last may be
    // the way home.
    let first = runs.first().map_or(0, |run| run.fixes.start);
    let last = runs.last().map_or(0, |run| run.fixes.end);
    let ends_where_it_begins = spokes::ends_where_it_begins(plan);
    let additional: Vec<Range<usize>> = off_plan(track, &runs, first..motion.airborne.end)
        .into_par_iter()
        .flat_map_iter(|fixes| {
            let within_search = fixes.start < last;
            // The way home from a sector search leads through the area along one spoke or another.
            if !within_search && ends_where_it_begins {
                return Vec::new();
            }
            let next = runs.partition_point(|run| run.fixes.start < fixes.end);
            let around = next
                .checked_sub(1)
                .and_then(|before| runs.get(before))
                .zip(runs.get(next));
            if around.is_some_and(|around| phases::is_step(&fixes, around, track, motion, plan)) {
                return Vec::new();
            }
            straight::additional_legs(fixes, within_search, motion, plan, frames)
        })
        .collect();
    let spans = phases::spans(track, motion, plan, &runs, &additional, boundary_from);
    Matched {
        runs,
        additional,
        spans,
        boundary_from,
    }
}

/// Consecutive runs along one leg in one direction, and the distance they cover along it, metres.
struct LegPassage {
    runs: Vec<Run>,
    flown_m: f64,
}

/// Finds what of each run lies between the ends of its leg, puts together what a gap or an
/// interruption parts, and drops what is too short to be meant.
fn passages(
    runs: Vec<Run>,
    track: &Track,
    motion: &Motion,
    plan: &Plan,
    frames: &[LegInPlane],
) -> Vec<LegPassage> {
    let runs: Vec<(Run, f64)> = runs
        .into_par_iter()
        .filter_map(|run| between_ends(run, motion, frames))
        .filter(|(run, _)| {
            let frame = &frames[run.leg];
            !crosses(run, motion, plan, frame) && holds_the_course(run, motion, frame)
        })
        .collect();
    let beside_gap = |run: &Run| {
        track.begins_stretch(run.fixes.start)
            || run.fixes.end == track.fixes.len()
            || track.begins_stretch(run.fixes.end)
    };
    let shortest_m = |runs: &[Run]| {
        let length_m = frames[runs[0].leg].length().m();
        let share_m = SHORTEST_RUN_SHARE * length_m;
        let least_m = SHORTEST_RUN_SPACINGS * plan.spacing.m().min(length_m);
        if runs.iter().any(beside_gap) {
            least_m
        } else {
            least_m.max(share_m)
        }
    };
    runs.chunk_by(|(a, _), (b, _)| resumes(a, b, motion, plan, &frames[a.leg]))
        .map(|passage| LegPassage {
            runs: passage.iter().map(|(run, _)| run.clone()).collect(),
            flown_m: passage.iter().map(|(_, flown_m)| flown_m).sum(),
        })
        .filter(|passage| passage.flown_m >= shortest_m(&passage.runs))
        .collect()
}

/// Whether run `b` goes on along the leg where `a` broke off, give or take one spacing.
fn resumes(a: &Run, b: &Run, motion: &Motion, plan: &Plan, frame: &LegInPlane) -> bool {
    if a.leg != b.leg || a.reversed != b.reversed {
        return false;
    }
    let sign = if a.reversed { -1.0 } else { 1.0 };
    let along_m = |fix: usize| sign * frame.locate(motion.xy[fix]).along_m;
    along_m(b.on_leg.start) >= along_m(a.on_leg.end - 1) - plan.spacing.m()
}

/// The runs of the search proper, and the fix at which a boundary check before it begins, if there
/// was one. Flying round the corners may touch a leg on the way: until the last corner is visited,
/// what comes before the first leg flown over a good part of its length is still the boundary check.
fn after_boundary_check(
    mut passages: Vec<LegPassage>,
    motion: &Motion,
    plan: &Plan,
    frames: &[LegInPlane],
) -> (Vec<Run>, Option<usize>) {
    let start = |passage: &LegPassage| passage.runs[0].fixes.start;
    let substantial = |passage: &LegPassage| {
        passage.flown_m >= SUBSTANTIAL_SHARE * frames[passage.runs[0].leg].length().m()
    };
    let check = passages
        .iter()
        .find(|passage| substantial(passage))
        .and_then(|first| boundary::boundary_check(start(first), motion, plan));
    if let Some(check) = &check {
        passages.retain(|passage| start(passage) >= check.end || substantial(passage));
    }
    let runs = passages.into_iter().flat_map(|passage| passage.runs);
    (runs.collect(), check.map(|check| check.start))
}

/// The run with its fixes between the ends of the leg, and the distance they cover along it; `None`
/// if there are none.
fn between_ends(run: Run, motion: &Motion, frames: &[LegInPlane]) -> Option<(Run, f64)> {
    let frame = &frames[run.leg];
    let along_m = |fix: usize| frame.locate(motion.xy[fix]).along_m;
    let on_leg = |fix: &usize| (0.0..=frame.length().m()).contains(&along_m(*fix));
    let first = run.fixes.clone().find(on_leg)?;
    let last = run.fixes.clone().rev().find(on_leg)?;
    let flown_m = (along_m(last) - along_m(first)).abs();
    Some((
        Run {
            on_leg: first..last + 1,
            ..run
        },
        flown_m,
    ))
}

/// Whether the aircraft held the leg's course, without turning, over most of the run: a circle that
/// touches the leg does not fly it, nor does a way home that runs beside it at an angle.
fn holds_the_course(run: &Run, motion: &Motion, frame: &LegInPlane) -> bool {
    let steady = BankLimit::of_deg(STEADY_BANK_DEG);
    let (mut held, mut all) = (0, 0);
    let holds = |fix: &usize| {
        let along_m = || frame.locate(motion.xy[*fix]).along_m;
        !motion.banks_beyond(*fix, steady)
            && frame.is_along(
                motion.course_deg[*fix],
                run.reversed,
                ON_COURSE_DEG,
                along_m,
            )
    };
    for fix in motion.a_second_apart(run.on_leg.clone()) {
        all += 1;
        held += usize::from(holds(&fix));
    }
    2 * held >= all
}

/// Whether the run slants across the leg from one side to the other.
fn crosses(run: &Run, motion: &Motion, plan: &Plan, frame: &LegInPlane) -> bool {
    let cross_m = |fix: usize| frame.locate(motion.xy[fix]).cross_m;
    let (first_m, last_m) = (cross_m(run.on_leg.start), cross_m(run.on_leg.end - 1));
    if first_m * last_m >= 0.0 || (last_m - first_m).abs() < CROSSING_SPACINGS * plan.spacing.m() {
        return false;
    }
    let turned = if run.reversed { 180.0 } else { 0.0 };
    let off_course_deg = |fix: usize| {
        let leg = frame.course_at(frame.locate(motion.xy[fix]).along_m);
        wrap_180(motion.course_deg[fix] - leg.deg() - turned)
    };
    let offs = motion
        .a_second_apart(run.on_leg.clone())
        .map(off_course_deg);
    let (sum_deg, count) = offs.fold((0.0, 0.0), |(sum, count), off| (sum + off, count + 1.0));
    (sum_deg / count).abs() > CROSSING_DEG
}

/// Ranges of fixes on no run, among those given, split at the gaps.
fn off_plan(track: &Track, runs: &[Run], among: Range<usize>) -> Vec<Range<usize>> {
    let mut free = Vec::new();
    let mut runs = runs.iter().peekable();
    for stretch in &track.stretches {
        let mut at = stretch.start.max(among.start);
        let end = stretch.end.min(among.end);
        while let Some(run) = runs.next_if(|run| run.fixes.start < stretch.end) {
            if run.fixes.start > at {
                free.push(at..run.fixes.start);
            }
            at = run.fixes.end;
        }
        if at < end {
            free.push(at..end);
        }
    }
    free
}
