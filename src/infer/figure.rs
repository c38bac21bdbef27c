//! Figures about a datum: an expanding square or a sector search, of any size, anywhere, turned any way.
//!
//! Three runs flown one after the other and three legs of the figure that follow each other settle where it
//! lay, its course and its size; all runs then say how much of it was flown there.

use super::runs::{Run, dot, right_of, size};
use super::shape::{Kind, Shape, UnitLeg};
use crate::statistics::{Matrix, solve};
use crate::units::wrap_180;
use geo::Coord;

/// Guesses start from legs up to this one. Chosen: whoever flew more flew these.
const FIRST_LEGS: usize = 9;
/// Three runs turn as three legs do within this, degrees. Chosen.
const SAME_TURN_DEG: f64 = 9.0;
/// A run is a leg within this of its course, degrees, and this of its line, in units of the figure, if it
/// shares this much of the shorter one. Chosen.
const COURSE_DEG: f64 = 10.0;
const CROSS_UNITS: f64 = 0.28;
const SHARED: f64 = 0.5;
/// Greatest scatter of the runs about the legs, in units, and least share of the figure that was flown straight.
/// Chosen.
const SCATTER_UNITS: f64 = 0.16;
const FLOWN_SHARE: f64 = 0.65;
/// Share of the runs' own length that lies on the legs. Chosen: a rectangle flown round lies on parts of a square's
/// legs, and past them.
const ON_LEGS_SHARE: f64 = 0.8;
/// A corner takes this much of a leg's ends at most, in units: what is shorter may have been flown in a turn.
/// Chosen.
const CORNER_UNITS: f64 = 0.5;
/// Fewest legs recognised. Chosen: four sides of any field are a square.
const FEWEST_LEGS: usize = 5;
/// Share of an expanding square's legs that were flown. Chosen: half the spacing explains the same lines with every
/// second one missing.
const SQUARE_LEGS_SHARE: f64 = 0.7;
/// Runs that guesses start from.
const SEEDS: usize = 60;
/// Rounds of fitting.
const ROUNDS: usize = 5;

/// Where a figure lies.
#[derive(Clone, Copy, Debug)]
pub(super) struct Placed {
    pub(super) datum: Coord<f64>,
    pub(super) course_rad: f64,
    pub(super) size_m: f64,
}

/// A run on a leg.
#[derive(Clone, Copy, Debug)]
pub(super) struct OnLeg {
    pub(super) run: usize,
    pub(super) leg: usize,
    /// From and to along the leg, sizes.
    pub(super) from: f64,
    pub(super) to: f64,
    /// Right of it, sizes.
    right: f64,
}

/// A figure found.
#[derive(Clone, Debug)]
pub(super) struct Figure {
    pub(super) shape: Shape,
    pub(super) placed: Placed,
    pub(super) on: Vec<OnLeg>,
    /// Legs up to the last one flown.
    pub(super) legs: usize,
    /// Scatter of the runs about the legs, in units.
    pub(super) scatter: f64,
    pub(super) explained_m: f64,
    /// Length of its runs, metres.
    runs_m: f64,
}

impl OnLeg {
    /// How far right of its leg it lies, sizes.
    pub(super) const fn right(&self) -> f64 {
        self.right
    }
}

impl Figure {
    /// How good it is: length explained, less for scatter, for what of the figure was not flown, and for legs
    /// out of order: a sector search looks alike begun on any of its spokes.
    pub(super) fn score_m(&self) -> f64 {
        let pairs = self.on.windows(2);
        let rising = pairs
            .clone()
            .filter(|pair| pair[1].leg >= pair[0].leg)
            .count();
        let order = rising as f64 / pairs.len().max(1) as f64;
        self.explained_m * (1.0 - self.scatter) * self.flown_share().min(1.0).sqrt() * order.powi(2)
    }

    /// Length flown, as a share of what can be flown straight of the legs up to the last.
    fn flown_share(&self) -> f64 {
        let corner = CORNER_UNITS * self.shape.unit;
        let straight: f64 = self.shape.legs[..self.legs]
            .iter()
            .map(|leg| (leg.length - 2.0 * corner).max(0.0))
            .sum();
        self.explained_m / self.placed.size_m / straight.max(f64::MIN_POSITIVE)
    }
}

impl Placed {
    fn turned(&self, v: Coord<f64>) -> Coord<f64> {
        let (sin, cos) = self.course_rad.sin_cos();
        Coord {
            x: v.x * cos + v.y * sin,
            y: v.y * cos - v.x * sin,
        }
    }

    /// A place of the figure on the ground.
    pub(super) fn place(&self, at: Coord<f64>) -> Coord<f64> {
        self.datum + self.turned(at) * self.size_m
    }

    /// A place on the ground in the figure.
    fn within(&self, at: Coord<f64>) -> Coord<f64> {
        let v = (at - self.datum) / self.size_m;
        let (sin, cos) = self.course_rad.sin_cos();
        Coord {
            x: v.x * cos - v.y * sin,
            y: v.y * cos + v.x * sin,
        }
    }
}

fn course_deg(along: Coord<f64>) -> f64 {
    along.x.atan2(along.y).to_degrees()
}

/// Every figure among the runs, the best of each shape; neighbouring legs are at least `apart_m` apart.
pub(super) fn figures(runs: &[Run], apart_m: f64) -> Vec<Figure> {
    // The longest runs, in the order flown.
    let mut seeds: Vec<usize> = (0..runs.len()).collect();
    seeds.sort_by(|a, b| runs[*b].length_m().total_cmp(&runs[*a].length_m()));
    seeds.truncate(SEEDS);
    seeds.sort_unstable();
    let triples: Vec<[usize; 3]> = seeds
        .windows(3)
        .map(|w| [w[0], w[1], w[2]])
        .chain(
            seeds
                .windows(4)
                .flat_map(|w| [[w[0], w[1], w[3]], [w[0], w[2], w[3]]]),
        )
        .collect();
    Shape::all()
        .into_iter()
        .filter_map(|shape| best(runs, &triples, &shape, apart_m))
        .collect()
}

fn best(runs: &[Run], triples: &[[usize; 3]], shape: &Shape, apart_m: f64) -> Option<Figure> {
    let mut best: Option<Figure> = None;
    let first_legs = match shape.kind {
        Kind::Square => FIRST_LEGS,
        Kind::Sector { .. } => shape.legs.len() - 2,
    };
    for triple in triples {
        let of = triple.map(|i| &runs[i]);
        for j in 0..first_legs {
            let legs = [&shape.legs[j], &shape.legs[j + 1], &shape.legs[j + 2]];
            let Some(placed) = from_three(of, legs) else {
                continue;
            };
            if placed.size_m * shape.unit < apart_m {
                continue;
            }
            let figure = judged(runs, shape, placed);
            if best.as_ref().is_none_or(|b| b.score_m() < figure.score_m()) {
                best = Some(figure);
            }
        }
    }
    let mut figure = best?;
    for _ in 0..ROUNDS {
        let placed = fitted(runs, &figure, None)?;
        figure = judged(runs, shape, placed);
    }
    (is_pattern(&figure) && figure.placed.size_m * shape.unit >= apart_m).then_some(figure)
}

/// Where the figure lies if these runs are these legs.
fn from_three(runs: [&Run; 3], legs: [&UnitLeg; 3]) -> Option<Placed> {
    let turned: [f64; 3] =
        std::array::from_fn(|i| wrap_180(runs[i].course_deg() - course_deg(legs[i].along)));
    let off = |i: usize| wrap_180(turned[i] - turned[0]);
    if off(1).abs() > SAME_TURN_DEG || off(2).abs() > SAME_TURN_DEG {
        return None;
    }
    let weights = runs.map(Run::length_m);
    let all: f64 = weights.iter().sum();
    let course_deg = turned[0] + (weights[1] * off(1) + weights[2] * off(2)) / all;
    let mut placed = Placed {
        datum: Coord { x: 0.0, y: 0.0 },
        course_rad: course_deg.to_radians(),
        size_m: 1.0,
    };
    let mut matrix = Matrix::zero(3);
    let mut side = Vec::with_capacity(3);
    for (i, (run, leg)) in runs.iter().zip(legs).enumerate() {
        let right = Coord {
            x: leg.along.y,
            y: -leg.along.x,
        };
        let on_ground = placed.turned(right);
        matrix.add(i, 0, on_ground.x);
        matrix.add(i, 1, on_ground.y);
        matrix.add(i, 2, dot(right, leg.start));
        side.push(dot(on_ground, run.middle));
    }
    let solution = solve(matrix, side)?;
    placed.datum = Coord {
        x: solution[0],
        y: solution[1],
    };
    placed.size_m = solution[2];
    (placed.size_m > 0.0).then_some(placed)
}

/// What each run is on a figure that lies so.
fn judged(runs: &[Run], shape: &Shape, placed: Placed) -> Figure {
    let mut on: Vec<OnLeg> = runs
        .iter()
        .enumerate()
        .filter_map(|(index, run)| on_leg(index, run, shape, &placed))
        .collect();
    keep_the_nearest(&mut on);
    // The way home may lie along a leg that was never reached, and would make the figure that much larger: legs
    // count up to that with which it is best.
    let mut ends: Vec<usize> = on.iter().map(|on| on.leg).collect();
    ends.sort_unstable();
    ends.dedup();
    if shape.kind != Kind::Square {
        ends.drain(..ends.len().saturating_sub(1));
    }
    ends.into_iter()
        .map(|end| {
            let on = on.iter().copied().filter(|on| on.leg <= end).collect();
            up_to_the_last(runs, shape, placed, on)
        })
        .max_by(|a, b| a.score_m().total_cmp(&b.score_m()))
        .unwrap_or_else(|| up_to_the_last(runs, shape, placed, Vec::new()))
}

/// The figure that these runs make, up to the last leg of them.
fn up_to_the_last(runs: &[Run], shape: &Shape, placed: Placed, on: Vec<OnLeg>) -> Figure {
    let legs = on.iter().map(|on| on.leg + 1).max().unwrap_or(0);
    let square: f64 = on.iter().map(|on| on.right.powi(2)).sum();
    let share: f64 = (0..legs)
        .map(|leg| {
            let sum: f64 = on
                .iter()
                .filter(|on| on.leg == leg)
                .map(|on| on.to - on.from)
                .sum();
            sum.min(shape.legs[leg].length)
        })
        .sum();
    let scatter = (square / on.len().max(1) as f64).sqrt() / shape.unit;
    let runs_m = on.iter().map(|on| runs[on.run].length_m()).sum();
    Figure {
        shape: shape.clone(),
        placed,
        on,
        legs,
        scatter,
        explained_m: share * placed.size_m,
        runs_m,
    }
}

/// Of runs along the same stretch of a leg only the nearest is the leg: the others are ways in and home.
fn keep_the_nearest(on: &mut Vec<OnLeg>) {
    let all = on.clone();
    on.retain(|run| {
        !all.iter().any(|other| {
            let shared = other.to.min(run.to) - other.from.max(run.from);
            other.leg == run.leg
                && 2.0 * shared > run.to - run.from
                && (other.right.abs(), other.run) < (run.right.abs(), run.run)
        })
    });
}

fn on_leg(index: usize, run: &Run, shape: &Shape, placed: &Placed) -> Option<OnLeg> {
    let (a, b) = (placed.within(run.start()), placed.within(run.end()));
    let v = b - a;
    let length = size(v);
    if length <= 0.0 {
        return None;
    }
    let direction = v / length;
    let least_cos = COURSE_DEG.to_radians().cos();
    let mut best: Option<OnLeg> = None;
    for (leg, unit) in shape.legs.iter().enumerate() {
        if dot(direction, unit.along) < least_cos {
            continue;
        }
        let along = |at: Coord<f64>| dot(at - unit.start, unit.along);
        let (from, to) = (along(a).max(0.0), along(b).min(unit.length));
        if to - from < SHARED * unit.length.min(length) {
            continue;
        }
        let middle = a + v * (((from + to) / 2.0 - along(a)) / (along(b) - along(a)));
        let right = right_of(middle, unit.start, unit.along);
        if right.abs() > CROSS_UNITS * shape.unit {
            continue;
        }
        // Of two legs in one place the one that the run fills better.
        let fills = |on: &OnLeg| (on.to - on.from) / shape.legs[on.leg].length - on.right.abs();
        let this = OnLeg {
            run: index,
            leg,
            from,
            to,
            right,
        };
        if best.as_ref().is_none_or(|b| fills(b) < fills(&this)) {
            best = Some(this);
        }
    }
    best
}

/// The place by least squares of the distances of the runs' ends from their legs; `without` leaves a leg out.
pub(super) fn fitted(runs: &[Run], figure: &Figure, without: Option<usize>) -> Option<Placed> {
    let placed = figure.placed;
    let mut matrix = Matrix::zero(4);
    let mut side = vec![0.0; 4];
    for on in figure.on.iter().filter(|on| Some(on.leg) != without) {
        let (run, leg) = (&runs[on.run], &figure.shape.legs[on.leg]);
        let right = Coord {
            x: leg.along.y,
            y: -leg.along.x,
        };
        let on_ground = placed.turned(right);
        // A line even in its places has all of its place and direction in two, at 1/√3 of its half length.
        let half_m = run.length_m() / 2.0 / 3f64.sqrt();
        let centre = (run.start() + run.end()) / 2.0;
        for end in [-half_m, half_m] {
            let at = centre + run.along * end;
            let q = placed.within(at);
            let error_m = placed.size_m * dot(right, q - leg.start);
            // The turn as a way at the distance of one size, so that all unknowns are metres.
            let turn = dot(right, Coord { x: -q.y, y: q.x });
            let by = [on_ground.x, on_ground.y, dot(right, leg.start), turn];
            for (i, a) in by.iter().enumerate() {
                for (k, b) in by.iter().enumerate() {
                    matrix.add(i, k, run.length_m() * a * b);
                }
                side[i] += run.length_m() * a * error_m;
            }
        }
    }
    let step = solve(matrix, side)?;
    Some(Placed {
        datum: placed.datum
            + Coord {
                x: step[0],
                y: step[1],
            },
        size_m: placed.size_m + step[2],
        course_rad: placed.course_rad - step[3] / placed.size_m,
    })
    .filter(|placed| placed.size_m > 0.0)
}

/// Whether a figure so flown is one and no chance.
fn is_pattern(figure: &Figure) -> bool {
    let shape = &figure.shape;
    let mut legs: Vec<usize> = figure.on.iter().map(|on| on.leg).collect();
    legs.sort_unstable();
    legs.dedup();
    let settled = match shape.kind {
        // The growth must show: legs one spacing farther out than others.
        Kind::Square => {
            legs.iter().any(|leg| *leg >= 5)
                && legs.len() as f64 >= SQUARE_LEGS_SHARE * figure.legs as f64
        }
        Kind::Sector {
            sectors,
            second_pass,
        } => {
            let first = sectors as usize + 1;
            let second = legs.iter().filter(|leg| **leg >= first).count();
            let spokes = legs
                .iter()
                .filter(|leg| (**leg % first).is_multiple_of(2))
                .count();
            spokes >= 2
                && legs.len() - spokes >= 2
                && (!second_pass || (2 * second > first && 2 * (legs.len() - second) > first))
        }
    };
    settled
        && legs.len() >= FEWEST_LEGS
        && figure.scatter <= SCATTER_UNITS
        && figure.flown_share() >= FLOWN_SHARE
        && figure.explained_m >= ON_LEGS_SHARE * figure.runs_m
}
