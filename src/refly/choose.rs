//! Which passes to fly, and in which order: most probability of success gained per flight minute.
//!
//! Passes are taken one by one, each time the one that gains most for the seconds it adds to the flight
//! where it fits in best, turns and transits counted. Gains shrink as ground is looked at again, so this
//! comes close to the best there is (G. L. Nemhauser, L. A. Wolsey, M. L. Fisher, "An analysis of
//! approximations for maximizing submodular set functions", Mathematical Programming 14 (1978) 265-294).
//! Then single passes are dropped, exchanged and filled up again as long as that helps.

use super::candidates::{Stretch, candidates};
use super::field::{Effect, Field, Pass};
use super::way::Means;
use crate::coverage::look::Look;
use rayon::prelude::*;

/// Shortest part of a stretch below target that counts, in spacings, and as a share of the stretch.
/// As in the strips: shorter ones are not worth a pass.
const OPEN_SPACINGS: f64 = 0.5;
const OPEN_SHARE: f64 = 0.5;
/// Passes over one stretch after which it is given up. Chosen: a target that four more looks do not
/// reach is not one that this way of looking can reach.
const TRIES: usize = 4;
/// Exchanges tried in all, candidates times passes. Chosen: a second or two of work.
const EXCHANGES: usize = 20_000;

/// When enough is flown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Goal {
    /// When no stretch is left below the POD wanted there.
    Stretches,
    /// When the whole field reaches this POD, weighted by how likely the object is where.
    Everywhere(f64),
}

/// A re-fly to be worked out.
#[derive(Clone, Copy, Debug)]
pub struct Job<'a> {
    /// What is still to be found where.
    pub field: &'a Field,
    /// The holes.
    pub stretches: &'a [Stretch],
    /// How the passes are looked from.
    pub look: Look,
    /// How they are flown.
    pub means: Means,
    /// When it is enough.
    pub goal: Goal,
    /// Longest flight, seconds, transits included.
    pub budget_s: Option<f64>,
}

/// Passes to fly.
#[derive(Clone, Debug, PartialEq)]
pub struct Chosen {
    /// In the order and direction to be flown.
    pub passes: Vec<Pass>,
    /// Seconds of flight, turns and transits included.
    pub time_s: f64,
    /// Probability of success gained, of what the field holds.
    pub gain: f64,
    /// Whether the goal is met.
    pub goal_met: bool,
}

/// The passes that gain most per minute, until the goal is met or the budget spent.
#[must_use]
pub fn choose(job: &Job<'_>) -> Chosen {
    let mut passes = candidates(job.stretches, job.look.spacing_m);
    if !job.means.either_way {
        let reversed: Vec<Pass> = passes.iter().map(Pass::reversed).collect();
        passes.extend(reversed);
    }
    let offers = Offers::new(job, passes);
    let mut best = offers.filled(State::new(job), Order::PerSecond);
    offers.improve(&mut best);
    if job.budget_s.is_some() {
        // A short pass taken first may leave no room for a long one that is worth more.
        let mut other = offers.filled(State::new(job), Order::Whole);
        offers.improve(&mut other);
        if offers.better(&other, &best) {
            best = other;
        }
    }
    // What one would fly without choosing.
    let middle_lines: Vec<Pass> = job.stretches.iter().map(Stretch::middle_line).collect();
    let plain = State::of(job, &middle_lines);
    if offers.better(&plain, &best) {
        best = plain;
    }
    best.chosen(job)
}

/// The passes themselves, all of them, in the best order: what they take and gain.
#[must_use]
pub fn all_of(job: &Job<'_>, passes: &[Pass]) -> Chosen {
    State::of(job, passes).chosen(job)
}

#[derive(Clone, Copy, PartialEq)]
enum Order {
    PerSecond,
    Whole,
}

#[derive(Clone)]
struct State {
    field: Field,
    /// In the order flown.
    passes: Vec<Pass>,
    /// Which offer each of them is.
    offers: Vec<usize>,
    time_s: f64,
}

impl State {
    fn new(job: &Job<'_>) -> Self {
        Self {
            field: job.field.clone(),
            passes: Vec::new(),
            offers: Vec::new(),
            time_s: 0.0,
        }
    }

    /// These passes in their best order; they need not be among the offers.
    fn of(job: &Job<'_>, passes: &[Pass]) -> Self {
        let mut state = Self::new(job);
        for pass in passes {
            state.field.take(&job.field.effect(pass, &job.look));
            let (_, place, flip) = job.means.insertion(&state.passes, pass);
            let pass = if flip { pass.reversed() } else { *pass };
            state.passes.insert(place, pass);
        }
        job.means.shorten(&mut state.passes);
        state.time_s = job.means.time_s(&state.passes);
        state
    }

    fn gain(&self, job: &Job<'_>) -> f64 {
        job.field.total() - self.field.total()
    }

    fn chosen(self, job: &Job<'_>) -> Chosen {
        Chosen {
            gain: self.gain(job),
            goal_met: is_met(job, &steps(job), &self.field),
            passes: self.passes,
            time_s: self.time_s,
        }
    }
}

type Steps = Vec<(Vec<Vec<u32>>, f64)>;

fn steps(job: &Job<'_>) -> Steps {
    job.stretches.iter().map(|s| s.steps(job.field)).collect()
}

/// Whether the goal is met by what is left.
fn is_met(job: &Job<'_>, steps: &Steps, field: &Field) -> bool {
    match job.goal {
        Goal::Everywhere(pod) => field.total_pod() >= pod,
        Goal::Stretches => open_cells(job, steps, field).is_empty(),
    }
}

/// Cells of the parts of stretches that are still below target.
fn open_cells(job: &Job<'_>, steps: &Steps, field: &Field) -> Vec<u32> {
    let mut open = Vec::new();
    for ((steps, step_m), stretch) in steps.iter().zip(job.stretches) {
        let pod = stretch.target_pod;
        let length_m = step_m * steps.len() as f64;
        let least_m = (OPEN_SPACINGS * job.look.spacing_m).min(OPEN_SHARE * length_m);
        let below: Vec<bool> = steps.iter().map(|cells| field.pod(cells) < pod).collect();
        let mut from = 0;
        for part in below.chunk_by(|a, b| a == b) {
            let to = from + part.len();
            if part[0] && step_m * part.len() as f64 >= least_m {
                open.extend(steps[from..to].iter().flatten());
            }
            from = to;
        }
    }
    open
}

struct Offers<'a> {
    job: &'a Job<'a>,
    passes: Vec<Pass>,
    effects: Vec<Effect>,
    steps: Steps,
}

impl<'a> Offers<'a> {
    fn new(job: &'a Job<'a>, passes: Vec<Pass>) -> Self {
        let effects = passes
            .par_iter()
            .map(|pass| job.field.effect(pass, &job.look))
            .collect();
        Self {
            job,
            passes,
            effects,
            steps: steps(job),
        }
    }

    fn is_met(&self, field: &Field) -> bool {
        is_met(self.job, &self.steps, field)
    }

    /// Whether `a` is the better choice: the goal met in less time, or nearer to it.
    fn better(&self, a: &State, b: &State) -> bool {
        let within = |s: &State| self.job.budget_s.is_none_or(|most| s.time_s <= most);
        let met = |s: &State| self.is_met(&s.field);
        let (gain_a, gain_b) = (a.gain(self.job), b.gain(self.job));
        match (within(a), within(b)) {
            (true, false) => true,
            (false, _) => false,
            (true, true) => match (met(a), met(b)) {
                (true, true) => a.time_s < b.time_s - 1e-6,
                (true, false) => true,
                (false, true) => false,
                (false, false) => {
                    gain_a > gain_b * (1.0 + 1e-9)
                        || (gain_a >= gain_b * (1.0 - 1e-9) && a.time_s < b.time_s - 1e-6)
                }
            },
        }
    }

    /// Passes added until the goal is met or nothing more fits or helps.
    fn filled(&self, mut state: State, order: Order) -> State {
        let most = TRIES * self.job.stretches.len().max(1);
        while state.passes.len() < most && !self.is_met(&state.field) {
            let Some((offer, added_s, place, flip)) = self.next(&state, order) else {
                break;
            };
            let pass = self.passes[offer];
            let pass = if flip { pass.reversed() } else { pass };
            state.passes.insert(place, pass);
            state.offers.insert(place, offer);
            state.field.take(&self.effects[offer]);
            state.time_s += added_s;
        }
        self.in_best_order(&mut state);
        state
    }

    /// The offer to take next, the seconds that it adds, where it goes, and which way it is flown.
    fn next(&self, state: &State, order: Order) -> Option<(usize, f64, usize, bool)> {
        let useful = self.useful(&state.field);
        let mut gains: Vec<(usize, f64)> = (0..self.passes.len())
            .into_par_iter()
            .filter(|i| useful[*i])
            .map(|i| (i, state.field.gain(&self.effects[i])))
            .filter(|(_, gain)| *gain > 0.0)
            .collect();
        let speed = self.job.means.ground_speed.mps();
        // No way adds less than the pass itself: what cannot win even so is not tried.
        let bound = |&(i, gain): &(usize, f64)| match order {
            Order::PerSecond => gain / (self.passes[i].length_m() / speed),
            Order::Whole => gain,
        };
        gains.sort_by(|a, b| bound(b).total_cmp(&bound(a)).then(a.0.cmp(&b.0)));
        let mut best: Option<(f64, (usize, f64, usize, bool))> = None;
        for offer in &gains {
            if best
                .as_ref()
                .is_some_and(|(worth, _)| bound(offer) <= *worth)
            {
                break;
            }
            let (i, gain) = *offer;
            let (added_s, place, flip) = self.job.means.insertion(&state.passes, &self.passes[i]);
            let fits = self
                .job
                .budget_s
                .is_none_or(|most| state.time_s + added_s <= most);
            let worth = match order {
                Order::PerSecond => gain / added_s.max(1.0),
                Order::Whole => gain,
            };
            if fits && best.as_ref().is_none_or(|(most, _)| worth > *most) {
                best = Some((worth, (i, added_s, place, flip)));
            }
        }
        best.map(|(_, next)| next)
    }

    /// For each offer, whether it looks at ground that is still below target.
    fn useful(&self, field: &Field) -> Vec<bool> {
        if self.job.goal != Goal::Stretches {
            return vec![true; self.passes.len()];
        }
        let mut open = vec![false; field.grid().columns * field.grid().rows];
        for cell in open_cells(self.job, &self.steps, field) {
            open[cell as usize] = true;
        }
        self.effects
            .par_iter()
            .map(|effect| effect.touches(&open))
            .collect()
    }

    fn in_best_order(&self, state: &mut State) {
        let before = state.passes.clone();
        self.job.means.shorten(&mut state.passes);
        if state.passes != before {
            // Which offer each is, told by its ends.
            let offers = state.offers.clone();
            let offer = |pass: &Pass| {
                let same = |b: &Pass| b == pass || b.reversed() == *pass;
                let at = before.iter().position(|b| b == pass);
                let at = at.or_else(|| before.iter().position(same));
                at.map_or(usize::MAX, |at| offers[at])
            };
            state.offers = state.passes.iter().map(offer).collect();
        }
        state.time_s = self.job.means.time_s(&state.passes);
    }

    /// What is left without the pass at `out`.
    fn without(&self, state: &State, out: usize) -> State {
        let mut rest = State::new(self.job);
        for (i, offer) in state.offers.iter().enumerate() {
            if i != out {
                rest.passes.push(state.passes[i]);
                rest.offers.push(*offer);
                rest.field.take(&self.effects[*offer]);
            }
        }
        rest.time_s = self.job.means.time_s(&rest.passes);
        rest
    }

    /// Drops, exchanges and fills up as long as the choice gets better.
    fn improve(&self, state: &mut State) {
        let mut tried = 0;
        'again: loop {
            for out in 0..state.passes.len() {
                let rest = self.without(state, out);
                for other in self.instead(&rest, state.time_s) {
                    tried += 1;
                    if self.better(&other, state) {
                        *state = other;
                        continue 'again;
                    }
                    if tried > EXCHANGES {
                        return;
                    }
                }
            }
            return;
        }
    }

    /// Choices that `rest` can be made into: left as it is, filled up, or with one other pass and then
    /// filled up.
    fn instead<'s>(&'s self, rest: &'s State, now_s: f64) -> impl Iterator<Item = State> + 's {
        let mut dropped = rest.clone();
        self.in_best_order(&mut dropped);
        let filled = self.filled(rest.clone(), Order::PerSecond);
        let with_one = (0..self.passes.len()).filter_map(move |i| {
            let (added_s, place, flip) = self.job.means.insertion(&rest.passes, &self.passes[i]);
            let most_s = self.job.budget_s.unwrap_or(now_s);
            if rest.time_s + added_s > most_s {
                return None;
            }
            let mut other = rest.clone();
            let pass = self.passes[i];
            let pass = if flip { pass.reversed() } else { pass };
            other.passes.insert(place, pass);
            other.offers.insert(place, i);
            other.field.take(&self.effects[i]);
            other.time_s += added_s;
            Some(other)
        });
        [dropped, filled].into_iter().chain(with_one.map(|other| {
            if self.job.budget_s.is_some() {
                self.filled(other, Order::PerSecond)
            } else {
                other
            }
        }))
    }
}

#[cfg(test)]
mod tests;
