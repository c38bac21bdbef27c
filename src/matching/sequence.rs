//! The most plausible sequence of legs: a Viterbi pass over {each leg near, flown either way} and
//! {off the plan}.
//!
//! Legs lie a spacing apart, others are flown between them, they cross and are flown in any order, so
//! the nearest leg is not enough. Each fix costs every hypothesis something per second for being away from the leg, flying
//! another course, running past its ends and, where the leg has one of its own, another height; changing the hypothesis costs a fixed amount, least for
//! going on to the next leg. The cheapest path through all fixes is the answer. Reference: A. J.
//! Viterbi, "Error bounds for convolutional codes and an asymptotically optimum decoding algorithm",
//! IEEE Trans. Inf. Theory 13 (1967) 260-269, DOI 10.1109/TIT.1967.1054010.
//!
//! "Off the plan" remembers the leg left last, so that going on to the next leg stays cheaper after
//! a turn. Hypotheses that differ only in that memory are kept while they could still win: once one
//! costs more than another by `OTHER_LEG`, which is all that the memory can ever be worth, it is
//! dropped without loss. The work per fix therefore depends on the legs near it, not on the plan.
//!
//! Nor is a leg joined where flying it costs more than being off the plan: to stay off and join where it does not
//! comes to no more. Of the legs that cross at a datum only those in question are weighed.

use super::leg_index::LegIndex;
use crate::geodesy::LegInPlane;
use crate::plan::Plan;
use crate::track::Track;
use crate::track::motion::Motion;
use crate::units::{Length, wrap_180};
use std::ops::Range;

/// Fixes closer in time than this are not all weighed, seconds. Chosen: an aircraft does not change
/// its mind faster.
const STEP_S: f64 = 1.0;
/// Weight per second. Chosen: deviations within about ten seconds are one event, not many.
const PER_SECOND: f64 = 0.1;
/// Standard deviation of cross-track error, in spacings; at twice this, 0.4 spacings, a straight
/// run is as well explained by being off the plan. Chosen: legs flown in between lie at 0.5.
const CROSS_SD_SPACINGS: f64 = 0.2;
/// Standard deviation of the course about the leg's, degrees. Chosen.
const COURSE_SD_DEG: f64 = 15.0;
/// Standard deviation of running past the ends, in spacings. Chosen.
const OVERRUN_SD_SPACINGS: f64 = 0.4;
/// Standard deviation of height about that of a leg which has one of its own. Chosen: 200 ft, the usual
/// tolerance; legs of neighbouring bands, usually 500 ft apart, are told apart by it.
const HEIGHT_SD: Length = Length::from_ft(200.0);
/// Most that height can count against a leg. Chosen: less than being off the plan, so that a leg flown
/// at a wrong height is still that leg.
const WORST_HEIGHT: f64 = 1.5;
/// Cost of being off the plan, that is two standard deviations of one of the above. Chosen.
const OFF_PLAN: f64 = 2.0;
/// Most that a fix can count against a leg, so that a short lapse does not end it. Chosen.
const WORST: f64 = 12.0;
/// Legs farther than this from a fix are not considered, in spacings. Chosen: beyond it
/// being off the plan is cheaper whatever the course.
const GATE_SPACINGS: f64 = 0.8;
/// Courses farther than this from the leg's are not considered, degrees.
const COURSE_GATE_DEG: f64 = 75.0;

/// Legs farther than this from a fix are not joined there, in spacings: at twice the standard deviation being off the
/// plan until nearer is no dearer. With room for the local plane, in which that is measured.
const JOIN_GATE_SPACINGS: f64 = 2.0 * CROSS_SD_SPACINGS + 0.1;
/// And so with courses, degrees.
const JOIN_GATE_DEG: f64 = 2.0 * COURSE_SD_DEG + 2.0;

/// Cost of leaving the plan or joining it.
const CHANGE: f64 = 0.75;
/// Extra cost of joining any leg but the one left or the next one.
const OTHER_LEG: f64 = 0.5;
/// Extra cost of flying a leg against its planned direction; decides only between legs that
/// coincide.
const REVERSED: f64 = 0.2;

/// Room made beforehand for what may be going on; more are kept where legs cross.
const HYPOTHESES_A_STEP: usize = 4;

/// A run of fixes along one planned search leg, without a gap in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Run {
    /// Index of the leg in the plan.
    pub leg: usize,
    /// Whether it was flown from its planned end to its start.
    pub reversed: bool,
    /// Its fixes, including straight flight past the ends of the leg.
    pub fixes: Range<usize>,
    /// Those from the first to the last between the ends of the leg; empty until that is known.
    pub on_leg: Range<usize>,
}

/// What may be going on at a fix.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum State {
    OnLeg {
        leg: usize,
        reversed: bool,
    },
    /// Off the plan; `last` is the leg left last.
    Off {
        last: Option<usize>,
    },
}

impl State {
    fn last_leg(self) -> Option<usize> {
        match self {
            Self::OnLeg { leg, .. } => Some(leg),
            Self::Off { last } => last,
        }
    }
}

#[derive(Clone, Copy)]
struct Hypothesis {
    state: State,
    cost: f64,
    /// Index in the arena of the hypothesis it came from.
    from: u32,
}

/// Runs along planned legs, in the order flown.
#[must_use]
pub fn runs(track: &Track, motion: &Motion, plan: &Plan, frames: &[LegInPlane]) -> Vec<Run> {
    let steps = thinned(track, motion);
    let states = best_states(&steps, track, motion, plan, frames);
    let mut runs: Vec<Run> = Vec::new();
    for (step, state) in steps.iter().zip(&states) {
        let State::OnLeg { leg, reversed } = *state else {
            continue;
        };
        match runs.last_mut() {
            Some(run)
                if run.leg == leg
                    && run.reversed == reversed
                    && run.fixes.end == step.fixes.start
                    && !step.begins_stretch =>
            {
                run.fixes.end = step.fixes.end;
            }
            _ => runs.push(Run {
                leg,
                reversed,
                fixes: step.fixes.clone(),
                on_leg: 0..0,
            }),
        }
    }
    runs
}

/// A fix that is weighed, and the fixes up to the next one, for which it stands.
struct Step {
    fixes: Range<usize>,
    begins_stretch: bool,
    /// Time it stands for, seconds; never reaches into a gap.
    duration_s: f64,
}

/// Fixes at least [`STEP_S`] apart.
fn thinned(track: &Track, motion: &Motion) -> Vec<Step> {
    let mut steps: Vec<Step> = Vec::new();
    for stretch in &track.stretches {
        let first = steps.len();
        for i in stretch.clone() {
            let since_s = |step: &Step| motion.time_s[i] - motion.time_s[step.fixes.start];
            match steps[first..].last_mut() {
                Some(step) if since_s(step) < STEP_S => step.fixes.end = i + 1,
                last => {
                    if let Some(step) = last {
                        step.duration_s = since_s(step);
                    }
                    // The last step of a stretch has no next one to reach to, but counts as well.
                    steps.push(Step {
                        fixes: i..i + 1,
                        begins_stretch: steps.len() == first,
                        duration_s: STEP_S,
                    });
                }
            }
        }
    }
    steps
}

fn best_states(
    steps: &[Step],
    track: &Track,
    motion: &Motion,
    plan: &Plan,
    frames: &[LegInPlane],
) -> Vec<State> {
    let index = LegIndex::new(plan);
    let next_leg = next_search_legs(plan);
    let courses: Vec<Courses> = frames.iter().map(Courses::of).collect();
    let join2_m2 = (JOIN_GATE_SPACINGS * plan.spacing.m()).powi(2);
    let mut near_legs = index.within(GATE_SPACINGS * plan.spacing.m());
    let mut arena: Vec<Hypothesis> = Vec::with_capacity(HYPOTHESES_A_STEP * steps.len());
    let mut before: Range<usize> = 0..0;
    let mut offers: Vec<(State, f64)> = Vec::new();
    for step in steps {
        let fix = step.fixes.start;
        let weight = PER_SECOND * step.duration_s;
        offers.clear();
        if motion.is_flying(fix) {
            let course_deg = motion.course_deg[fix];
            for near in near_legs.at(motion.xy[fix]) {
                let leg = near.leg;
                let is_open = before.is_empty() || on_leg(&arena[before.clone()], leg);
                if !is_open && (near.cross2_m2 > join2_m2 || !courses[leg].may_join(course_deg)) {
                    continue;
                }
                let height = height_cost(plan.legs[leg].altitude, track.fixes[fix].height.get());
                let offered = offer(
                    leg,
                    fix,
                    motion,
                    &frames[leg],
                    plan.spacing.m(),
                    weight,
                    height,
                );
                offers.extend(offered.filter(|(_, cost)| is_open || *cost <= weight * OFF_PLAN));
            }
        }
        let first = arena.len();
        if before.is_empty() {
            arena.push(Hypothesis {
                state: State::Off { last: None },
                cost: weight * OFF_PLAN,
                from: u32::MAX,
            });
            arena.extend(offers.iter().map(|(state, cost)| Hypothesis {
                state: *state,
                cost: *cost,
                from: u32::MAX,
            }));
        } else {
            extend_off_plan(&mut arena, before.clone(), weight * OFF_PLAN);
            for (state, cost) in &offers {
                let best = before
                    .clone()
                    .map(|h| {
                        (
                            arena[h].cost + change_cost(arena[h].state, *state, &next_leg),
                            h,
                        )
                    })
                    .min_by(|a, b| a.0.total_cmp(&b.0));
                if let Some((so_far, from)) = best {
                    arena.push(Hypothesis {
                        state: *state,
                        cost: so_far + cost,
                        from: from as u32,
                    });
                }
            }
        }
        before = first..arena.len();
    }
    trace_back(&arena, before, steps.len())
}

/// The true courses of a leg between its ends.
struct Courses {
    middle_deg: f64,
    /// How far they reach to either side.
    spread_deg: f64,
}

impl Courses {
    fn of(frame: &LegInPlane) -> Self {
        let course_deg = |along_m| frame.course_at(along_m).deg();
        let middle_deg = course_deg(frame.length().m() / 2.0);
        let off_deg = |along_m| wrap_180(course_deg(along_m) - middle_deg).abs();
        Self {
            middle_deg,
            spread_deg: off_deg(0.0).max(off_deg(frame.length().m())),
        }
    }

    /// Whether the leg may be joined on this course, in either direction.
    fn may_join(&self, course_deg: f64) -> bool {
        let off_deg = wrap_180(course_deg - self.middle_deg).abs();
        off_deg.min(180.0 - off_deg) <= JOIN_GATE_DEG + self.spread_deg
    }
}

/// Whether any hypothesis has the leg flown.
fn on_leg(hypotheses: &[Hypothesis], wanted: usize) -> bool {
    hypotheses
        .iter()
        .any(|h| matches!(h.state, State::OnLeg { leg, .. } if leg == wanted))
}

/// Adds the hypotheses of being off the plan, one for each leg left last that can still matter.
fn extend_off_plan(arena: &mut Vec<Hypothesis>, before: Range<usize>, cost: f64) {
    let first = arena.len();
    for h in before {
        let Hypothesis {
            state,
            cost: so_far,
            ..
        } = arena[h];
        let leaving = if matches!(state, State::OnLeg { .. }) {
            CHANGE
        } else {
            0.0
        };
        let offered = Hypothesis {
            state: State::Off {
                last: state.last_leg(),
            },
            cost: so_far + leaving + cost,
            from: h as u32,
        };
        match arena[first..]
            .iter_mut()
            .find(|known| known.state == offered.state)
        {
            Some(known) if known.cost <= offered.cost => {}
            Some(known) => *known = offered,
            None => arena.push(offered),
        }
    }
    let least = arena[first..]
        .iter()
        .map(|h| h.cost)
        .fold(f64::INFINITY, f64::min);
    let mut kept = first;
    for i in first..arena.len() {
        if arena[i].cost <= least + OTHER_LEG {
            arena.swap(kept, i);
            kept += 1;
        }
    }
    arena.truncate(kept);
}

/// What height counts against a leg: nothing, if the leg has none of its own or it was not recorded.
fn height_cost(altitude: Option<Length>, height: Option<Length>) -> f64 {
    altitude.zip(height).map_or(0.0, |(altitude, height)| {
        let off = (height.m() - altitude.m()) / HEIGHT_SD.m();
        (0.5 * off * off).min(WORST_HEIGHT)
    })
}

/// The leg and its cost, in the direction that fits the course better, if the course fits at all.
fn offer(
    leg: usize,
    fix: usize,
    motion: &Motion,
    frame: &LegInPlane,
    spacing_m: f64,
    weight: f64,
    height_cost: f64,
) -> Option<(State, f64)> {
    let at = frame.locate(motion.xy[fix]);
    let off_deg = wrap_180(motion.course_deg[fix] - frame.course_at(at.along_m).deg());
    let reversed = off_deg.abs() > 90.0;
    let off_deg = if reversed {
        wrap_180(off_deg + 180.0)
    } else {
        off_deg
    };
    if off_deg.abs() > COURSE_GATE_DEG {
        return None;
    }
    let overrun_m = (-at.along_m).max(at.along_m - frame.length().m()).max(0.0);
    let half_square = |x: f64| 0.5 * x * x;
    let cost = half_square(at.cross_m / (CROSS_SD_SPACINGS * spacing_m))
        + half_square(off_deg / COURSE_SD_DEG)
        + half_square(overrun_m / (OVERRUN_SD_SPACINGS * spacing_m));
    let cost = (cost + height_cost).min(WORST);
    Some((State::OnLeg { leg, reversed }, weight * cost))
}

fn change_cost(from: State, to: State, next_leg: &[Option<usize>]) -> f64 {
    let State::OnLeg { leg, reversed } = to else {
        return CHANGE;
    };
    if from == to {
        return 0.0;
    }
    let joining = if matches!(from, State::OnLeg { .. }) {
        2.0 * CHANGE
    } else {
        CHANGE
    };
    let order = match from.last_leg() {
        None => 0.0,
        Some(last) if last == leg || next_leg[last] == Some(leg) => 0.0,
        Some(_) => OTHER_LEG,
    };
    joining + order + if reversed { REVERSED } else { 0.0 }
}

/// For each leg of the plan the search leg after it.
fn next_search_legs(plan: &Plan) -> Vec<Option<usize>> {
    let mut next = vec![None; plan.legs.len()];
    let search: Vec<usize> = plan.search_legs().map(|(index, _)| index).collect();
    for pair in search.windows(2) {
        next[pair[0]] = Some(pair[1]);
    }
    next
}

fn trace_back(arena: &[Hypothesis], last: Range<usize>, count: usize) -> Vec<State> {
    let mut states = Vec::with_capacity(count);
    let mut at = last.min_by(|a, b| arena[*a].cost.total_cmp(&arena[*b].cost));
    while let Some(i) = at {
        states.push(arena[i].state);
        at = usize::try_from(arena[i].from)
            .ok()
            .filter(|_| arena[i].from != u32::MAX);
    }
    states.reverse();
    states
}
