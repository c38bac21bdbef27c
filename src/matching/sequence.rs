//! The most plausible sequence of legs: a Viterbi pass over {each leg near, flown either way} and
//! {off the plan}.
//!
//! Legs lie a spacing apart, others are flown between them, they cross and are flown in any order, so
//! the nearest leg is not enough. Each fix costs every hypothesis something (`offers`); changing the hypothesis costs a fixed
//! amount, least for going on to the next leg. The cheapest path through all fixes is the answer. Reference: A. J. Viterbi, "Error bounds
//! for convolutional codes and an asymptotically optimum decoding algorithm", IEEE Trans. Inf. Theory 13 (1967) 260-269,
//! DOI 10.1109/TIT.1967.1054010.
//!
//! "Off the plan" remembers the leg left last, so that going on to the next leg stays cheaper after
//! a turn. Hypotheses that differ only in that memory are kept while they could still win: once one
//! costs more than another by `OTHER_LEG`, which is all that the memory can ever be worth, it is
//! dropped without loss. The work per fix therefore depends on the legs near it, not on the plan.
//!
//! Nor is a leg joined where flying it costs more than being off the plan: to stay off and join where it does not
//! comes to no more. Of the legs that cross at a datum only those in question are gone on with.

use super::offers::{Direction, Offer, Offers, Step, Weighing};
use crate::geodesy::LegInPlane;
use crate::plan::Plan;
use crate::track::Track;
use crate::track::motion::{Motion, STEP_S};
use std::ops::Range;

/// Cost of leaving the plan or joining it.
const CHANGE: f64 = 0.75;
/// Extra cost of joining any leg but the one left or the next one.
const OTHER_LEG: f64 = 0.5;
/// Extra cost of flying a leg against its planned direction; decides only between legs that
/// coincide.
const REVERSED: f64 = 0.2;

/// Room made beforehand for what may be going on; more are kept where legs cross.
const HYPOTHESES_A_STEP: usize = 4;
/// Steps that are weighed while the path goes through those before them. Chosen: enough to share out, little to hold.
const STEPS_AHEAD: usize = 4096;

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
    OnLeg(Direction),
    /// Off the plan; `last` is the leg left last.
    Off {
        last: Option<u32>,
    },
}

impl State {
    fn last_leg(self) -> Option<u32> {
        match self {
            Self::OnLeg(on) => Some(on.leg),
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
    let steps = steps(track, motion);
    let weighing = Weighing::new(track, motion, plan, frames);
    let mut paths = Paths::new(plan, steps.len());
    let mut ahead = steps.chunks(STEPS_AHEAD).map(|steps| weighing.of(steps));
    let mut weighed = ahead.next();
    while let Some(offers) = weighed {
        let go_on = || offers.iter().for_each(|offers| paths.go_on(offers));
        weighed = rayon::join(|| ahead.next(), go_on).0;
    }
    let mut runs: Vec<Run> = Vec::new();
    for (step, state) in steps.iter().zip(paths.best()) {
        let State::OnLeg(Direction { leg, reversed }) = state else {
            continue;
        };
        match runs.last_mut() {
            Some(run)
                if run.leg == leg as usize
                    && run.reversed == reversed
                    && run.fixes.end == step.fixes.start
                    && !step.begins_stretch =>
            {
                run.fixes.end = step.fixes.end;
            }
            _ => runs.push(Run {
                leg: leg as usize,
                reversed,
                fixes: step.fixes.clone(),
                on_leg: 0..0,
            }),
        }
    }
    runs
}

/// Fixes a second apart: an aircraft does not change its mind faster.
fn steps(track: &Track, motion: &Motion) -> Vec<Step> {
    let mut steps = Vec::new();
    for stretch in &track.stretches {
        let mut fixes = motion.a_second_apart(stretch.clone()).peekable();
        while let Some(fix) = fixes.next() {
            let next = fixes.peek().copied();
            steps.push(Step {
                fixes: fix..next.unwrap_or(stretch.end),
                begins_stretch: fix == stretch.start,
                // The last step of a stretch has no next one to reach to, but counts as well.
                duration_s: next.map_or(STEP_S, |next| motion.time_s[next] - motion.time_s[fix]),
            });
        }
    }
    steps
}

/// The cheapest path to every state that may be going on.
struct Paths {
    /// For each leg of the plan the search leg after it.
    next_leg: Vec<Option<u32>>,
    arena: Vec<Hypothesis>,
    /// What may be going on at the last step, in the arena.
    now: Range<usize>,
    steps: usize,
}

impl Paths {
    fn new(plan: &Plan, steps: usize) -> Self {
        let mut next_leg = vec![None; plan.legs.len()];
        let search: Vec<usize> = plan.search_legs().map(|(index, _)| index).collect();
        for pair in search.windows(2) {
            next_leg[pair[0]] = Some(pair[1] as u32);
        }
        Self {
            next_leg,
            arena: Vec::with_capacity(HYPOTHESES_A_STEP * steps),
            now: 0..0,
            steps: 0,
        }
    }

    fn go_on(&mut self, offers: &Offers) {
        for (off_plan, offers) in offers.of_steps() {
            let first = self.arena.len();
            if self.now.is_empty() {
                self.begin(off_plan, offers);
            } else {
                self.stay_off(off_plan);
                self.go_on_legs(off_plan, offers);
            }
            self.now = first..self.arena.len();
            self.steps += 1;
        }
    }

    fn begin(&mut self, off_plan: f64, offers: &[Offer]) {
        let off = (State::Off { last: None }, off_plan);
        let on_legs = offers
            .iter()
            .map(|offer| (State::OnLeg(offer.on), offer.cost));
        let begun = std::iter::once(off).chain(on_legs);
        self.arena.extend(begun.map(|(state, cost)| Hypothesis {
            state,
            cost,
            from: u32::MAX,
        }));
    }

    /// Adds the hypotheses of being off the plan, one for each leg left last that can still matter.
    fn stay_off(&mut self, cost: f64) {
        let first = self.arena.len();
        let mut least = f64::INFINITY;
        for h in self.now.clone() {
            let before = self.arena[h];
            let leaving = match before.state {
                State::OnLeg(_) => CHANGE,
                State::Off { .. } => 0.0,
            };
            let offered = Hypothesis {
                state: State::Off {
                    last: before.state.last_leg(),
                },
                cost: before.cost + leaving + cost,
                from: h as u32,
            };
            least = least.min(offered.cost);
            let mut known = self.arena[first..].iter_mut();
            match known.find(|known| known.state == offered.state) {
                Some(known) if known.cost <= offered.cost => {}
                Some(known) => *known = offered,
                None => self.arena.push(offered),
            }
        }
        let mut kept = first;
        for i in first..self.arena.len() {
            if self.arena[i].cost <= least + OTHER_LEG {
                self.arena.swap(kept, i);
                kept += 1;
            }
        }
        self.arena.truncate(kept);
    }

    /// Adds the hypotheses of being on a leg: one flown already, or one that costs no more than being off the plan.
    fn go_on_legs(&mut self, off_plan: f64, offers: &[Offer]) {
        for offer in offers {
            let is_on =
                |h: &Hypothesis| matches!(h.state, State::OnLeg(on) if on.leg == offer.on.leg);
            if offer.cost > off_plan && !self.arena[self.now.clone()].iter().any(is_on) {
                continue;
            }
            let ways = self.now.clone().map(|h| {
                let before = &self.arena[h];
                (before.cost + self.change_cost(before.state, offer.on), h)
            });
            if let Some((so_far, from)) = ways.min_by(|a, b| a.0.total_cmp(&b.0)) {
                self.arena.push(Hypothesis {
                    state: State::OnLeg(offer.on),
                    cost: so_far + offer.cost,
                    from: from as u32,
                });
            }
        }
    }

    /// What it costs to be on a leg after a state.
    fn change_cost(&self, from: State, to: Direction) -> f64 {
        let joining = match from {
            State::OnLeg(on) if on == to => return 0.0,
            State::OnLeg(_) => 2.0 * CHANGE,
            State::Off { .. } => CHANGE,
        };
        let order = match from.last_leg() {
            None => 0.0,
            Some(last) if last == to.leg || self.next_leg[last as usize] == Some(to.leg) => 0.0,
            Some(_) => OTHER_LEG,
        };
        joining + order + if to.reversed { REVERSED } else { 0.0 }
    }

    /// The states of the cheapest path, step after step.
    fn best(self) -> Vec<State> {
        let mut states = Vec::with_capacity(self.steps);
        let cost = |h: &usize| self.arena[*h].cost;
        let mut at = self.now.clone().min_by(|a, b| cost(a).total_cmp(&cost(b)));
        while let Some(h) = at {
            let Hypothesis { state, from, .. } = self.arena[h];
            states.push(state);
            at = (from != u32::MAX).then_some(from as usize);
        }
        states.reverse();
        states
    }
}
