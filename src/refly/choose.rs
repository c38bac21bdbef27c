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
/// Passes over one stretch after which it is given up. Chosen: a target that four more looks do not
/// reach is not one that this way of looking can reach.
const TRIES: usize = 4;
/// Exchanges tried in all. Chosen: work of less than a second on the largest areas.
const EXCHANGES: usize = 2_000;
/// Offers tried in the place of one pass where there is a budget to be spent. Chosen: the best few.
const EXCHANGED: usize = 40;
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
    tour: Tour,
    /// Which offer each pass is; nothing where they are not offers.
    offers: Vec<usize>,
    time_s: f64,
    gain: f64,
}

impl State {
    fn new(job: &Job<'_>) -> Self {
        Self {
            field: job.field.clone(),
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
        Goal::Stretches => open_parts(job, steps, field).is_empty(),
    }
}

/// For each stretch that is still below target somewhere the cells that are.
fn open_parts(job: &Job<'_>, steps: &Steps, field: &Field) -> Vec<Vec<u32>> {
    let mut all = Vec::new();
    for ((steps, step_m), stretch) in steps.iter().zip(job.stretches) {
        let pod = stretch.target_pod;
        let length_m = step_m * steps.len() as f64;
        let least_m = (OPEN_SPACINGS * job.look.spacing_m).min(OPEN_SHARE * length_m);
        let below: Vec<bool> = steps.iter().map(|cells| field.pod(cells) < pod).collect();
        let mut open = Vec::new();
        let mut from = 0;
        for part in below.chunk_by(|a, b| a == b) {
            let to = from + part.len();
            if part[0] && step_m * part.len() as f64 >= least_m {
                open.extend(steps[from..to].iter().flatten());
            }
            from = to;
        }
        if !open.is_empty() {
            all.push(open);
        }
    }
    all
}

struct Offers<'a> {
    job: &'a Job<'a>,
    passes: Vec<Pass>,
    effects: Vec<Effect>,
    steps: Steps,
}

impl<'a> Offers<'a> {
    fn new(job: &'a Job<'a>, passes: Vec<Pass>) -> Self {
        let mut offers: Vec<(Pass, Effect)> = passes
            .into_par_iter()
            .map(|pass| (pass, job.field.effect(&pass, &job.look)))
            .collect();
        if offers.len() > OFFERS {
            let worth = |(pass, effect): &(Pass, Effect)| job.field.gain(effect) / pass.length_m();
            let mut worths: Vec<(f64, (Pass, Effect))> = offers
                .into_iter()
                .map(|offer| (worth(&offer), offer))
                .collect();
            worths.sort_by(|a, b| b.0.total_cmp(&a.0));
            offers = worths.into_iter().map(|(_, offer)| offer).collect();
            offers.truncate(OFFERS);
        }
        let (passes, effects) = offers.into_iter().unzip();
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
            let Some((offer, at)) = self.next(&state, order) else {
                break;
            };
            let (pass, effect) = (&self.passes[offer], &self.effects[offer]);
            state.put(offer, pass, effect, &at, self.job);
        }
        state.order(self.job);
        state
    }

    /// The offer to take next, and where it goes.
    fn next(&self, state: &State, order: Order) -> Option<(usize, Insertion)> {
        let useful = self.useful(&state.field);
        let mut gains: Vec<(usize, f64)> = (0..self.passes.len())
            .into_par_iter()
            .filter(|i| useful[*i])
            .map(|i| (i, state.field.gain(&self.effects[i])))
            .filter(|(_, gain)| *gain > 0.0)
            .collect();
        // No way adds less than the pass itself: what cannot win even so is not tried.
        let bound = |&(i, gain): &(usize, f64)| match order {
            Order::PerSecond => gain / self.passes[i].length_m(),
            Order::Whole => gain,
        };
        gains.sort_by(|a, b| bound(b).total_cmp(&bound(a)).then(a.0.cmp(&b.0)));
        let speed = self.job.means.ground_speed.mps();
        let left_m = self
            .job
            .budget_s
            .map_or(f64::INFINITY, |most| (most - state.time_s) * speed);
        let mut best: Option<(f64, (usize, Insertion))> = None;
        for offer in &gains {
            let (i, gain) = *offer;
            let most_m = match (&best, order) {
                (Some((worth, _)), _) if bound(offer) <= *worth => break,
                // It must add so little as to be worth more than the best so far.
                (Some((worth, _)), Order::PerSecond) => left_m.min(gain / worth),
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

    /// For each offer, whether it looks at ground that is still below target.
    fn useful(&self, field: &Field) -> Vec<bool> {
        if self.job.goal != Goal::Stretches {
            return vec![true; self.passes.len()];
        }
        let open = self.marked(
            open_parts(self.job, &self.steps, field).iter().flatten(),
            field,
        );
        self.effects
            .par_iter()
            .map(|effect| effect.touches(&open))
            .collect()
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
                let parts = open_parts(self.job, &self.steps, field);
                let open: Vec<Vec<bool>> = parts
                    .iter()
                    .map(|part| self.marked(part.iter(), field))
                    .collect();
                all.into_par_iter()
                    .filter(|i| open.iter().all(|part| self.effects[*i].touches(part)))
                    .collect()
            }
        }
    }

    fn marked<'c>(&self, cells: impl Iterator<Item = &'c u32>, field: &Field) -> Vec<bool> {
        let mut marked = vec![false; field.grid().columns * field.grid().rows];
        cells.for_each(|cell| marked[*cell as usize] = true);
        marked
    }

    /// What is left without the pass at `out`.
    fn without(&self, state: &State, out: usize) -> State {
        let mut rest = State::new(self.job);
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
        let filled = self.filled(rest.clone(), Order::PerSecond);
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
        [dropped, filled].into_iter().chain(with_one)
    }
}

#[cfg(test)]
mod tests;
