//! Which passes to fly, and in which order: most probability of success gained per flight minute.
//!
//! Passes are taken one by one, each time the one that gains most for the seconds it adds to the flight
//! where it fits in best, turns and transits counted. Gains shrink as ground is looked at again, so this
//! comes close to the best there is (G. L. Nemhauser, L. A. Wolsey, M. L. Fisher, "An analysis of
//! approximations for maximizing submodular set functions", Mathematical Programming 14 (1978) 265-294).
//! Then single passes are dropped, exchanged and filled up again as long as that helps.

use super::candidates::{Stretch, candidates};
use super::field::{Effect, Field, Pass};
use super::way::{Insertion, Means, Tour};
use crate::coverage::look::Look;
use rayon::prelude::*;

/// Shortest part of a stretch below target that counts, in spacings, and as a share of the stretch.
/// As in the strips: shorter ones are not worth a pass.
const OPEN_SPACINGS: f64 = 0.5;
const OPEN_SHARE: f64 = 0.5;
/// A pass may mend a stretch whose middle line it comes this near to, in spacings. Chosen: half a strip off its
/// edge there is little left to see.
pub(super) const NEAR_SPACINGS: f64 = 0.75;
/// Passes over one stretch after which it is given up. Chosen: a target that four more looks do not
/// reach is not one that this way of looking can reach.
const TRIES: usize = 4;
/// Exchanges tried in all. Chosen: work of less than a second on the largest areas.
const EXCHANGES: usize = 2_000;
/// Offers tried in the place of one pass where there is a budget to be spent. Chosen: the best few.
const EXCHANGED: usize = 40;
/// Holes up to which what is left without a pass is filled up anew. Chosen: with more, single exchanges do.
const REFILLED: usize = 12;
/// Offers kept in all, those that find most for their length. Chosen: more holes than a crew can mend in a
/// day do not need more.
const OFFERS: usize = 400;

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
    /// Metres of the way between them, with the transits.
    pub way_m: f64,
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
    let mut best = offers.filled(offers.nothing_flown(), Order::PerSecond);
    offers.improve(&mut best);
    if job.budget_s.is_some() {
        // A short pass taken first may leave no room for a long one that is worth more.
        let mut other = offers.filled(offers.nothing_flown(), Order::Whole);
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
    tour: Tour,
    /// Which offer each pass is; nothing where they are not offers.
    offers: Vec<usize>,
    time_s: f64,
    gain: f64,
    /// The most that each offer can still gain.
    bounds: Vec<f64>,
}

impl State {
    fn new(job: &Job<'_>) -> Self {
        Self {
            field: job.field.clone(),
            bounds: Vec::new(),
            tour: Tour::default(),
            offers: Vec::new(),
            time_s: 0.0,
            gain: 0.0,
        }
    }

    /// These passes in their best order; they need not be among the offers.
    fn of(job: &Job<'_>, passes: &[Pass]) -> Self {
        let mut state = Self::new(job);
        for pass in passes {
            state.gain += state.field.take(&job.field.effect(pass, &job.look));
            if let Some(at) = state.tour.insertion(pass, f64::INFINITY, &job.means) {
                state.tour.insert(pass, &at, &job.means);
            }
        }
        state.order(job);
        state
    }

    fn put(&mut self, offer: usize, pass: &Pass, effect: &Effect, at: &Insertion, job: &Job<'_>) {
        self.gain += self.field.take(effect);
        self.tour.insert(pass, at, &job.means);
        self.offers.insert(at.place, offer);
        self.time_s += at.added_m / job.means.ground_speed.mps();
    }

    /// Brings the passes into their best order.
    fn order(&mut self, job: &Job<'_>) {
        let order = self.tour.shorter(&job.means);
        let pass = |&(i, flip): &(usize, bool)| {
            let pass = self.tour.passes()[i];
            if flip { pass.reversed() } else { pass }
        };
        let passes = order.iter().map(pass).collect();
        if !self.offers.is_empty() {
            self.offers = order.iter().map(|(i, _)| self.offers[*i]).collect();
        }
        self.tour = Tour::of(passes, &job.means);
        self.time_s = self.tour.time_s(&job.means);
    }

    fn chosen(self, job: &Job<'_>) -> Chosen {
        Chosen {
            gain: self.gain,
            goal_met: is_met(job, &steps(job), &self.field),
            way_m: self.tour.way_m(),
            passes: self.tour.passes().to_vec(),
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
        Goal::Stretches => !steps
            .iter()
            .zip(job.stretches)
            .any(|(steps, stretch)| is_open(job, steps, stretch, field)),
    }
}

/// Whether a stretch is still below target over a length that counts.
fn is_open(
    job: &Job<'_>,
    (steps, step_m): &(Vec<Vec<u32>>, f64),
    stretch: &Stretch,
    field: &Field,
) -> bool {
    let length_m = step_m * steps.len() as f64;
    let least_m = (OPEN_SPACINGS * job.look.spacing_m).min(OPEN_SHARE * length_m);
    let mut below_m = 0.0;
    steps.iter().any(|cells| {
        below_m = if field.pod(cells) < stretch.target_pod {
            below_m + step_m
        } else {
            0.0
        };
        below_m >= least_m
    })
}

struct Offers<'a> {
    job: &'a Job<'a>,
    passes: Vec<Pass>,
    effects: Vec<Effect>,
    /// What each gains alone.
    gains: Vec<f64>,
    /// For each the stretches that it may mend.
    near: Vec<Vec<bool>>,
    steps: Steps,
}

impl<'a> Offers<'a> {
    fn new(job: &'a Job<'a>, passes: Vec<Pass>) -> Self {
        let mut offers: Vec<(Pass, Effect, f64)> = passes
            .into_par_iter()
            .map(|pass| {
                let effect = job.field.effect(&pass, &job.look);
                let gain = job.field.gain(&effect);
                (pass, effect, gain)
            })
            .collect();
        if offers.len() > OFFERS {
            let worth = |(pass, _, gain): &(Pass, Effect, f64)| gain / pass.length_m();
            offers.sort_by(|a, b| worth(b).total_cmp(&worth(a)));
            offers.truncate(OFFERS);
        }
        let mut all = Self {
            job,
            passes: Vec::with_capacity(offers.len()),
            effects: Vec::with_capacity(offers.len()),
            gains: Vec::with_capacity(offers.len()),
            near: offers
                .par_iter()
                .map(|(pass, ..)| {
                    let within_m = NEAR_SPACINGS * job.look.spacing_m;
                    let near = |stretch: &Stretch| stretch.is_looked_at(pass, within_m);
                    job.stretches.iter().map(near).collect()
                })
                .collect(),
            steps: steps(job),
        };
        for (pass, effect, gain) in offers {
            all.passes.push(pass);
            all.effects.push(effect);
            all.gains.push(gain);
        }
        all
    }

    fn nothing_flown(&self) -> State {
        State {
            bounds: self.gains.clone(),
            ..State::new(self.job)
        }
    }

    fn is_met(&self, field: &Field) -> bool {
        is_met(self.job, &self.steps, field)
    }

    /// Whether `a` is the better choice: the goal met in less time, or nearer to it.
    fn better(&self, a: &State, b: &State) -> bool {
        let within = |s: &State| self.job.budget_s.is_none_or(|most| s.time_s <= most);
        let met = |s: &State| self.is_met(&s.field);
        let sooner = a.time_s < b.time_s - 1e-6;
        match (within(a), within(b)) {
            (true, false) => true,
            (false, _) => false,
            (true, true) => match (met(a), met(b)) {
                (true, true) => sooner,
                (true, false) => true,
                (false, true) => false,
                (false, false) => {
                    a.gain > b.gain * (1.0 + 1e-6) || (a.gain >= b.gain * (1.0 - 1e-6) && sooner)
                }
            },
        }
    }

    /// Passes added until the goal is met or nothing more fits or helps.
    fn filled(&self, mut state: State, order: Order) -> State {
        let most = TRIES * self.job.stretches.len().max(1);
        while state.offers.len() < most && !self.is_met(&state.field) {
            let Some((offer, at)) = self.next(&mut state, order) else {
                break;
            };
            let (pass, effect) = (&self.passes[offer], &self.effects[offer]);
            state.put(offer, pass, effect, &at, self.job);
        }
        state.order(self.job);
        state
    }

    /// The offer to take next, and where it goes. Gains only shrink as passes are taken, so that the last
    /// one known is an upper bound: most offers need not be looked at again (M. Minoux, "Accelerated greedy
    /// algorithms for maximizing submodular set functions", Lecture Notes in Control and Information
    /// Sciences 7 (1978) 234-243).
    fn next(&self, state: &mut State, order: Order) -> Option<(usize, Insertion)> {
        let open = self.open(&state.field);
        // No way adds less than the pass itself: what cannot win even so is not tried.
        let bound = |i: usize, gain: f64| match order {
            Order::PerSecond => gain / self.passes[i].length_m(),
            Order::Whole => gain,
        };
        let mut by_bound: Vec<(f64, usize)> = (0..self.passes.len())
            .map(|i| (bound(i, state.bounds[i]), i))
            .collect();
        by_bound.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        let speed = self.job.means.ground_speed.mps();
        let left_m = self
            .job
            .budget_s
            .map_or(f64::INFINITY, |most| (most - state.time_s) * speed);
        let mut best: Option<(f64, (usize, Insertion))> = None;
        for (most, i) in by_bound {
            let worth_so_far = best.as_ref().map_or(0.0, |(worth, _)| *worth);
            if most <= worth_so_far {
                break;
            }
            let mends = |open: &Vec<usize>| open.iter().any(|stretch| self.near[i][*stretch]);
            if !open.as_ref().is_none_or(mends) {
                continue;
            }
            let gain = state.field.gain(&self.effects[i]);
            state.bounds[i] = gain;
            if bound(i, gain) <= worth_so_far {
                continue;
            }
            let most_m = match order {
                // It must add so little as to be worth more than the best so far.
                Order::PerSecond if worth_so_far > 0.0 => left_m.min(gain / worth_so_far),
                _ => left_m,
            };
            let found = state
                .tour
                .insertion(&self.passes[i], most_m, &self.job.means);
            if let Some(at) = found {
                let worth = match order {
                    Order::PerSecond => gain / at.added_m,
                    Order::Whole => gain,
                };
                best = Some((worth, (i, at)));
            }
        }
        best.map(|(_, next)| next)
    }

    /// The stretches still below target; `None` where that is not what counts.
    fn open(&self, field: &Field) -> Option<Vec<usize>> {
        (self.job.goal == Goal::Stretches).then(|| {
            let parts = self.steps.iter().zip(self.job.stretches).enumerate();
            parts
                .filter(|(_, (steps, stretch))| is_open(self.job, steps, stretch, field))
                .map(|(i, _)| i)
                .collect()
        })
    }

    /// Offers that may be enough, alone, to meet the goal with what is flown already; or, where there is a
    /// budget to be spent, those that gain most.
    fn enough(&self, field: &Field) -> Vec<usize> {
        let all = 0..self.passes.len();
        if self.job.budget_s.is_some() {
            let mut gains: Vec<(usize, f64)> = all
                .into_par_iter()
                .map(|i| (i, field.gain(&self.effects[i])))
                .collect();
            gains.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
            gains.truncate(EXCHANGED);
            return gains.into_iter().map(|(i, _)| i).collect();
        }
        match self.job.goal {
            Goal::Everywhere(pod) => {
                let missing = field.total() - (1.0 - pod) * self.job.field.total_prior();
                all.into_par_iter()
                    .filter(|i| field.gain(&self.effects[*i]) >= missing)
                    .collect()
            }
            Goal::Stretches => {
                let open = self.open(field).unwrap_or_default();
                all.filter(|i| open.iter().all(|stretch| self.near[*i][*stretch]))
                    .collect()
            }
        }
    }

    /// What is left without the pass at `out`.
    fn without(&self, state: &State, out: usize) -> State {
        let mut rest = self.nothing_flown();
        let mut passes = state.tour.passes().to_vec();
        passes.remove(out);
        rest.offers.clone_from(&state.offers);
        rest.offers.remove(out);
        for offer in &rest.offers {
            rest.gain += rest.field.take(&self.effects[*offer]);
        }
        rest.tour = Tour::of(passes, &self.job.means);
        rest.time_s = rest.tour.time_s(&self.job.means);
        rest
    }

    /// Drops, exchanges and fills up as long as the choice gets better.
    fn improve(&self, state: &mut State) {
        let mut tried = 0;
        'again: while tried < EXCHANGES {
            for out in 0..state.offers.len() {
                let rest = self.without(state, out);
                for other in self.instead(&rest, state.time_s) {
                    tried += 1;
                    if self.better(&other, state) {
                        *state = other;
                        continue 'again;
                    }
                }
            }
            return;
        }
    }

    /// Choices that `rest` can be made into: left as it is, filled up, or with one other pass — and, where
    /// there is a budget to be spent, then filled up.
    fn instead<'s>(&'s self, rest: &'s State, now_s: f64) -> impl Iterator<Item = State> + 's {
        let mut dropped = rest.clone();
        dropped.order(self.job);
        let few = self.job.stretches.len() <= REFILLED;
        let filled = few.then(|| self.filled(rest.clone(), Order::PerSecond));
        let most_s = self.job.budget_s.unwrap_or(now_s);
        let most_m = (most_s - rest.time_s) * self.job.means.ground_speed.mps();
        let with_one = self.enough(&rest.field).into_iter().filter_map(move |i| {
            let pass = &self.passes[i];
            let at = rest.tour.insertion(pass, most_m, &self.job.means)?;
            let mut other = rest.clone();
            other.put(i, pass, &self.effects[i], &at, self.job);
            Some(match self.job.budget_s {
                Some(_) => self.filled(other, Order::PerSecond),
                None => other,
            })
        });
        [dropped].into_iter().chain(filled).chain(with_one)
    }
}

#[cfg(test)]
mod tests;
