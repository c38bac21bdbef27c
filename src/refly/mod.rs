//! What to fly again: the passes that mend the holes soonest.
//!
//! ```text
//! strips with holes ─candidates→ passes worth considering ─choose→ those that gain most per minute
//!      POD, likelihood ─field→ what is still to be found where     way: turns and transits between them
//!                                         legs ─tasked→ a tasking of their own, laid out
//! ```

pub mod candidates;
pub mod choose;
pub mod field;
pub mod tasked;
pub mod way;

pub use choose::Goal;

use crate::coverage::look::Look;
use crate::coverage::looking::LookingLine;
use crate::coverage::strips::{StripLine, strips};
use crate::coverage::{HoleCause, Raster, Strip};
use crate::detection::Scanners;
use crate::geodesy::{Position, geodesic};
use crate::measure::intervals::sum;
use crate::plan::route_file::RoutePoint;
use crate::units::{Bearing, Length, Speed};
use candidates::Stretch;
use choose::{Chosen, Job, all_of, choose};
use field::{Field, Pass};
use geo::Coord;
use serde::Serialize;
use way::Means;

/// Cells in which passes are chosen are at most this share of the spacing and of the sweep width wide.
/// Chosen: five across a strip tell which half of it a pass looks at.
const CHOOSING_CELL_SHARE: f64 = 0.2;

/// Passes are chosen in coarse cells and checked on the full raster; where that falls short, they are chosen
/// again for a POD higher by the next of these. Chosen.
const MARGINS: [f64; 3] = [0.01, 0.02, 0.05];

/// How often what is then still left is mended by further passes. Chosen.
const ROUNDS: usize = 3;

/// One leg to fly again.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ReflyLeg {
    /// `R1`, `R2`, … in the order to fly.
    pub label: String,
    /// Labels of the planned legs whose strips it mends.
    pub mends: Vec<String>,
    /// Why they have holes there: not recorded only if none of the holes was seen to be missed.
    pub cause: HoleCause,
    /// Where to begin.
    pub start: Position,
    /// Where to end.
    pub end: Position,
    /// True course at the start.
    #[serde(rename = "course_true_deg")]
    pub course: Bearing,
    /// Its length.
    #[serde(rename = "length_m")]
    pub length: Length,
    /// Height to fly it at: the highest of those of the strips it comes near to, where they have heights of
    /// their own.
    #[serde(rename = "altitude_m")]
    pub altitude: Option<Length>,
}

/// What a set of passes costs and brings.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Outcome {
    /// Number of passes.
    pub passes: usize,
    /// Length of the passes alone.
    #[serde(rename = "search_length_m")]
    pub search_length: Length,
    /// Length with the turns and ways between them, and the transits where a base is given.
    #[serde(rename = "total_length_m")]
    pub total_length: Length,
    /// Seconds at the planned ground speed.
    pub duration_s: f64,
    /// POD over the area afterwards, weighted by how likely the object is where.
    pub pod: f64,
    /// Strips that still have holes afterwards.
    pub strips_left: usize,
}

/// A re-fly and what it is worth.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Refly {
    /// The legs, in the order to fly.
    pub legs: Vec<ReflyLeg>,
    /// POD over the area before, weighted by how likely the object is where.
    pub pod_before: f64,
    /// What the legs cost and bring.
    pub outcome: Outcome,
    /// Whether they do what was wanted: no holes left, or the POD wanted over the area.
    pub goal_met: bool,
    /// What flying every leg with a hole again from end to end would cost and bring, for comparison.
    pub every_leg: Outcome,
    /// Whether transits from and to a base are counted.
    pub from_base: bool,
    /// Ground speed counted with.
    #[serde(rename = "ground_speed_mps")]
    pub ground_speed: Speed,
    /// Radius of the turns counted with.
    #[serde(rename = "turn_radius_m")]
    pub turn_radius: Length,
}

/// The state of a search from which a re-fly is worked out.
#[derive(Clone, Copy, Debug)]
pub struct State<'a> {
    /// POD of every cell so far, not a number outside the area.
    pub raster: &'a Raster,
    /// Probability that the object is in the cell.
    pub prior: &'a [f32],
    /// The strips and what they are judged by …
    pub lines: &'a [StripLine<'a>],
    /// … and how they stand.
    pub strips: &'a [Strip],
}

/// What is wanted of a re-fly, and how it is flown.
#[derive(Clone, Copy, Debug)]
pub struct Wanted {
    /// How the ground is looked at.
    pub look: Look,
    /// Ground speed.
    pub ground_speed: Speed,
    /// Where the aircraft comes from and returns to, if transits are to be counted.
    pub base: Option<Position>,
    /// When it is enough.
    pub goal: Goal,
    /// Longest flight, seconds, with the transits.
    pub budget_s: Option<f64>,
}

impl Refly {
    /// The re-fly that mends the holes of `state` soonest.
    #[must_use]
    pub fn over(state: &State<'_>, wanted: &Wanted) -> Self {
        let frame = &state.raster.frame;
        let means = Means {
            ground_speed: wanted.ground_speed,
            base: wanted.base.map(|base| frame.forward(base)),
            either_way: wanted.look.view.scanners == Scanners::Both,
        };
        let holes = holes(state);
        let field = choosing_field(state, &wanted.look);
        let choice = |margin: f64| {
            let stretches = stretches(&holes, state, wanted, margin);
            let chosen = choose(&Job {
                goal: with_margin(wanted.goal, margin),
                ..job(&field, &stretches, wanted, means)
            });
            let outcome = outcome_of(&chosen, state, wanted);
            (chosen, outcome)
        };
        let (mut chosen, mut outcome) = choice(0.0);
        for margin in MARGINS {
            // A budget that is spent does not grow with the target.
            if is_met(wanted, &outcome) || !chosen.goal_met {
                break;
            }
            (chosen, outcome) = choice(margin);
        }
        for _ in 0..ROUNDS {
            if is_met(wanted, &outcome) || !chosen.goal_met {
                break;
            }
            let more = mending_what_is_left(&chosen, state, wanted, means);
            let all = [&chosen.passes[..], &more[..]].concat();
            let together = all_of(&job(&field, &[], wanted, means), &all);
            if more.is_empty() || wanted.budget_s.is_some_and(|most| together.time_s > most) {
                break;
            }
            outcome = outcome_of(&together, state, wanted);
            chosen = together;
        }
        let every_leg = all_of(&job(&field, &[], wanted, means), &whole_legs(state));
        Self {
            pod_before: weighted_pod(&state.raster.values, state.prior),
            outcome,
            goal_met: is_met(wanted, &outcome),
            every_leg: outcome_of(&every_leg, state, wanted),
            from_base: wanted.base.is_some(),
            ground_speed: wanted.ground_speed,
            turn_radius: Length::from_m(means.turn_radius_m()),
            legs: chosen
                .passes
                .iter()
                .enumerate()
                .map(|(i, pass)| leg(i, pass, &holes, state, &wanted.look))
                .collect(),
        }
    }

    /// POD of every cell after the re-fly.
    #[must_use]
    pub fn raster_after(&self, state: &State<'_>, look: &Look) -> Raster {
        let place = |at| state.raster.frame.forward(at);
        let passes: Vec<Pass> = self
            .legs
            .iter()
            .map(|leg| Pass {
                start: place(leg.start),
                end: place(leg.end),
            })
            .collect();
        after(state.raster, look, &passes)
    }

    /// The legs as points of a route, named `R1 start`, `R1 end`, …
    #[must_use]
    pub fn route_points(&self) -> Vec<RoutePoint> {
        self.legs
            .iter()
            .flat_map(|leg| {
                [(leg.start, "start"), (leg.end, "end")].map(|(position, which)| RoutePoint {
                    position,
                    name: Some(format!(
                        "{} {which} (strip {})",
                        leg.label,
                        leg.mends.join(", ")
                    )),
                    altitude: leg.altitude,
                })
            })
            .collect()
    }
}

/// Whether what was wanted is reached, on the full raster.
fn is_met(wanted: &Wanted, outcome: &Outcome) -> bool {
    match wanted.goal {
        Goal::Stretches => outcome.strips_left == 0,
        Goal::Everywhere(pod) => outcome.pod >= pod,
    }
}

/// Passes over what the full raster still shows as holes after others.
fn mending_what_is_left(
    chosen: &Chosen,
    state: &State<'_>,
    wanted: &Wanted,
    means: Means,
) -> Vec<Pass> {
    let raster = after(state.raster, &wanted.look, &chosen.passes);
    let strips = strips(state.lines, &raster);
    let now = State {
        raster: &raster,
        strips: &strips,
        ..*state
    };
    let field = choosing_field(&now, &wanted.look);
    let margin = MARGINS[MARGINS.len() - 1];
    let stretches = stretches(&holes(&now), &now, wanted, margin);
    let goal = with_margin(wanted.goal, margin);
    choose(&Job {
        goal,
        ..job(&field, &stretches, wanted, means)
    })
    .passes
}

fn with_margin(goal: Goal, margin: f64) -> Goal {
    match goal {
        Goal::Stretches => Goal::Stretches,
        Goal::Everywhere(pod) => Goal::Everywhere(pod + margin),
    }
}

fn job<'a>(field: &'a Field, stretches: &'a [Stretch], wanted: &Wanted, means: Means) -> Job<'a> {
    Job {
        field,
        stretches,
        look: wanted.look,
        means,
        goal: wanted.goal,
        budget_s: wanted.budget_s,
    }
}

/// The holes, with a target higher by `margin`; and whole strips, where more than mending may be needed.
fn stretches(
    holes: &[PlaneHole<'_>],
    state: &State<'_>,
    wanted: &Wanted,
    margin: f64,
) -> Vec<Stretch> {
    let mut stretches: Vec<Stretch> = holes
        .iter()
        .map(|hole| Stretch {
            target_pod: hole.stretch.target_pod + margin,
            ..hole.stretch
        })
        .collect();
    if let Goal::Everywhere(_) = wanted.goal {
        stretches.extend(state.lines.iter().map(|line| whole_strip(line, state)));
    }
    stretches
}

/// A hole in the plane.
struct PlaneHole<'a> {
    strip: &'a str,
    cause: HoleCause,
    stretch: Stretch,
}

fn holes<'a>(state: &State<'a>) -> Vec<PlaneHole<'a>> {
    let place = |at| state.raster.frame.forward(at);
    state
        .strips
        .iter()
        .zip(state.lines)
        .flat_map(|(strip, line)| {
            strip.holes.iter().map(move |hole| PlaneHole {
                strip: &strip.leg,
                cause: hole.cause,
                stretch: Stretch {
                    start: place(hole.span.from_position),
                    end: place(hole.span.to_position),
                    half_width_m: line.spacing.m() / 2.0,
                    target_pod: line.target_pod,
                },
            })
        })
        .collect()
}

/// The legs with holes, from end to end.
fn whole_legs(state: &State<'_>) -> Vec<Pass> {
    state
        .strips
        .iter()
        .zip(state.lines)
        .filter(|(strip, _)| strip.needs_refly())
        .map(|(_, line)| whole_strip(line, state).middle_line())
        .collect()
}

fn whole_strip(line: &StripLine<'_>, state: &State<'_>) -> Stretch {
    let place = |at| state.raster.frame.forward(at);
    Stretch {
        start: place(line.leg.start),
        end: place(line.leg.end),
        half_width_m: line.spacing.m() / 2.0,
        target_pod: line.target_pod,
    }
}

fn choosing_field(state: &State<'_>, look: &Look) -> Field {
    let narrowest_m = state
        .lines
        .iter()
        .map(|line| line.spacing.m())
        .fold(look.spacing_m.min(look.sweep_width_m()), f64::min);
    let grid = &state.raster.grid;
    let coarser = (CHOOSING_CELL_SHARE * narrowest_m / grid.cell_m).floor();
    Field::new(grid, state.prior, &state.raster.values, coarser as usize)
}

/// POD over all cells, weighted; cells outside the area weigh nothing.
fn weighted_pod(pod: &[f32], prior: &[f32]) -> f64 {
    let inside = || pod.iter().zip(prior).filter(|(pod, _)| !pod.is_nan());
    let total = sum(inside().map(|(_, p)| f64::from(*p)));
    let found = sum(inside().map(|(pod, p)| f64::from(*pod) * f64::from(*p)));
    if total > 0.0 { found / total } else { 0.0 }
}

/// POD after some passes, on the full raster.
fn after(before: &Raster, look: &Look, passes: &[Pass]) -> Raster {
    let lines: Vec<LookingLine> = passes
        .iter()
        .enumerate()
        .map(|(passage, pass)| LookingLine {
            passage,
            line: vec![pass.start, pass.end],
        })
        .collect();
    let exposure = look.exposure(&before.grid, &lines);
    Raster {
        frame: before.frame.clone(),
        grid: before.grid,
        values: before
            .values
            .iter()
            .zip(&exposure)
            .map(|(pod, exposure)| 1.0 - (1.0 - pod) * (-exposure).exp())
            .collect(),
    }
}

/// Probability of success that one more pass along the middle of each strip would add.
#[must_use]
pub fn gains(state: &State<'_>, look: &Look) -> Vec<f64> {
    let field = choosing_field(state, look);
    let gain = |line: &StripLine<'_>| {
        let pass = whole_strip(line, state).middle_line();
        field.gain(&field.effect(&pass, look))
    };
    state.lines.iter().map(gain).collect()
}

/// What passes cost, and what they bring on the full raster.
fn outcome_of(chosen: &Chosen, state: &State<'_>, wanted: &Wanted) -> Outcome {
    let to_refly = |strips: &[Strip]| strips.iter().filter(|strip| strip.needs_refly()).count();
    let (pod, strips_left) = if chosen.passes.is_empty() {
        let pod = weighted_pod(&state.raster.values, state.prior);
        (pod, to_refly(state.strips))
    } else {
        let after = after(state.raster, &wanted.look, &chosen.passes);
        let pod = weighted_pod(&after.values, state.prior);
        (pod, to_refly(&strips(state.lines, &after)))
    };
    let search_m = sum(chosen.passes.iter().map(Pass::length_m));
    Outcome {
        passes: chosen.passes.len(),
        search_length: Length::from_m(search_m),
        total_length: Length::from_m(search_m + chosen.way_m),
        duration_s: chosen.time_s,
        pod,
        strips_left,
    }
}

fn leg(
    index: usize,
    pass: &Pass,
    holes: &[PlaneHole<'_>],
    state: &State<'_>,
    look: &Look,
) -> ReflyLeg {
    let place = |at: Coord<f64>| state.raster.frame.inverse(at);
    let (start, end) = (place(pass.start), place(pass.end));
    let line = geodesic::between(start, end);
    let within_m = choose::NEAR_SPACINGS * look.spacing_m;
    let mended: Vec<&PlaneHole<'_>> = holes
        .iter()
        .filter(|hole| hole.stretch.is_looked_at(pass, within_m))
        .collect();
    let near = state
        .lines
        .iter()
        .filter(|line| whole_strip(line, state).is_looked_at(pass, within_m));
    let highest = near
        .filter_map(|line| line.leg.altitude)
        .max_by(|a, b| a.m().total_cmp(&b.m()));
    let mut mends: Vec<String> = mended.iter().map(|hole| hole.strip.to_owned()).collect();
    mends.dedup();
    let unrecorded = |hole: &&PlaneHole<'_>| hole.cause == HoleCause::NotRecorded;
    let all_unrecorded = !mended.is_empty() && mended.iter().all(unrecorded);
    ReflyLeg {
        label: format!("R{}", index + 1),
        mends,
        cause: if all_unrecorded {
            HoleCause::NotRecorded
        } else {
            HoleCause::Missed
        },
        start,
        end,
        course: line.course_at_start,
        length: line.distance,
        altitude: highest,
    }
}
