//! Choices in small cases against everything that could have been chosen.

use super::*;
use crate::coverage::raster::Grid;
use crate::detection::{InverseCube, Law, View};
use crate::units::{Length, Speed};
use geo::Coord;
use rand::{RngExt, SeedableRng};

const SPACING_M: f64 = 1_000.0;
fn look() -> Look {
    Look {
        law: Law::InverseCube,
        inverse_cube: InverseCube::new(Length::from_m(900.0), None),
        spacing_m: SPACING_M,
        view: View::WHOLE,
    }
}

/// A rectangle of legs running north, a spacing apart, all of them flown but for the stretches.
struct Rectangle {
    field: Field,
    stretches: Vec<Stretch>,
    base: Option<Coord<f64>>,
}

fn rectangle(
    legs: usize,
    length_m: f64,
    holes: &[(usize, f64, f64)],
    base: Option<Coord<f64>>,
    target_pod: f64,
) -> Rectangle {
    let cell_m = 200.0;
    let grid = Grid {
        origin: Coord { x: 0.0, y: 0.0 },
        cell_m,
        columns: legs * 5,
        rows: (length_m / cell_m) as usize,
    };
    let cells = grid.columns * grid.rows;
    let prior = vec![1.0 / cells as f32; cells];
    let mut field = Field::new(&grid, &prior, &vec![0.0; cells], 1);
    let x = |leg: usize| (leg as f64 + 0.5) * SPACING_M;
    let mut take = |leg: usize, from: f64, to: f64| {
        let pass = Pass {
            start: Coord { x: x(leg), y: from },
            end: Coord { x: x(leg), y: to },
        };
        let effect = field.effect(&pass, &look());
        field.take(&effect);
    };
    for leg in 0..legs {
        let mut at = 0.0;
        for (_, from, to) in holes.iter().filter(|hole| hole.0 == leg) {
            take(leg, at, *from);
            at = *to;
        }
        take(leg, at, length_m);
    }
    let stretches = holes
        .iter()
        .map(|(leg, from, to)| Stretch {
            start: Coord {
                x: x(*leg),
                y: *from,
            },
            end: Coord { x: x(*leg), y: *to },
            half_width_m: SPACING_M / 2.0,
            target_pod,
        })
        .collect();
    Rectangle {
        field,
        stretches,
        base,
    }
}

impl Rectangle {
    fn job(&self, goal: Goal, budget_s: Option<f64>) -> Job<'_> {
        Job {
            field: &self.field,
            stretches: &self.stretches,
            look: look(),
            means: Means {
                ground_speed: Speed::from_kt(90.0),
                base: self.base,
                either_way: true,
            },
            goal,
            budget_s,
        }
    }
}

/// Every set of at most three candidates, each in its best order, by trying all: seconds, gain, what is
/// left.
fn every_set(job: &Job<'_>, mut each: impl FnMut(f64, f64, &Field)) {
    let passes = candidates(job.stretches, SPACING_M);
    let effects: Vec<Effect> = passes
        .iter()
        .map(|p| job.field.effect(p, &job.look))
        .collect();
    let time_s = |passes: Vec<Pass>| Tour::of(passes, &job.means).time_s(&job.means);
    // Every pass both ways; the seconds of one alone, and what a second one adds after a first.
    let both: Vec<Pass> = passes.iter().flat_map(|p| [*p, p.reversed()]).collect();
    let first_s: Vec<f64> = both.iter().map(|p| time_s(vec![*p])).collect();
    let next_s: Vec<Vec<f64>> = both
        .iter()
        .zip(&first_s)
        .map(|(a, a_s)| both.iter().map(|b| time_s(vec![*a, *b]) - a_s).collect())
        .collect();
    let least_s = |set: &[usize]| {
        let mut least = f64::INFINITY;
        let ways = |i: usize| [2 * i, 2 * i + 1];
        match *set {
            [a] => ways(a).iter().for_each(|a| least = least.min(first_s[*a])),
            [a, b] => {
                for (a, b) in [(a, b), (b, a)] {
                    for a in ways(a) {
                        for b in ways(b) {
                            least = least.min(first_s[a] + next_s[a][b]);
                        }
                    }
                }
            }
            [a, b, c] => {
                let orders = [
                    (a, b, c),
                    (a, c, b),
                    (b, a, c),
                    (b, c, a),
                    (c, a, b),
                    (c, b, a),
                ];
                for (a, b, c) in orders {
                    for a in ways(a) {
                        for b in ways(b) {
                            for c in ways(c) {
                                least = least.min(first_s[a] + next_s[a][b] + next_s[b][c]);
                            }
                        }
                    }
                }
            }
            _ => unreachable!(),
        }
        least
    };
    let mut look_at = |set: &[usize]| {
        let mut field = job.field.clone();
        for i in set {
            field.take(&effects[*i]);
        }
        each(least_s(set), job.field.total() - field.total(), &field);
    };
    for a in 0..passes.len() {
        look_at(&[a]);
        for b in a + 1..passes.len() {
            look_at(&[a, b]);
            for c in b + 1..passes.len() {
                look_at(&[a, b, c]);
            }
        }
    }
}

/// A random rectangle with two or three holes.
fn random(seed: u64) -> Rectangle {
    let mut random = rand_chacha::ChaCha8Rng::seed_from_u64(seed);
    let count = random.random_range(2..4usize);
    let mut legs: Vec<usize> = Vec::new();
    while legs.len() < count {
        let leg = random.random_range(0..6);
        if !legs.contains(&leg) {
            legs.push(leg);
        }
    }
    let holes: Vec<(usize, f64, f64)> = legs
        .into_iter()
        .map(|leg| {
            let from = random.random_range(0.0..5_000.0);
            (
                leg,
                from,
                (from + random.random_range(2_000.0..8_000.0f64)).min(9_000.0),
            )
        })
        .collect();
    let base = Coord {
        x: random.random_range(-9_000.0..0.0),
        y: random.random_range(-5_000.0..14_000.0),
    };
    rectangle(6, 9_000.0, &holes, Some(base), 0.55)
}

/// With a budget of flight time the gain is within 5 % of the best that three passes can do.
#[test]
fn budget_is_spent_nearly_as_well_as_can_be() {
    for seed in 0..6 {
        let rectangle = random(seed);
        // Enough for some of it: two thirds of what all middle lines take.
        let all: Vec<Pass> = rectangle
            .stretches
            .iter()
            .map(Stretch::middle_line)
            .collect();
        let whole = all_of(&rectangle.job(Goal::Everywhere(1.0), None), &all);
        let budget_s = 0.8 * whole.time_s;
        let job = rectangle.job(Goal::Everywhere(1.0), Some(budget_s));
        let mut most = 0.0f64;
        every_set(&job, |time_s, gain, _| {
            if time_s <= budget_s {
                most = most.max(gain);
            }
        });
        let chosen = choose(&job);
        assert!(chosen.time_s <= budget_s + 1e-6, "seed {seed}");
        assert!(most > 0.0, "seed {seed}");
        assert!(
            chosen.gain >= 0.95 * most,
            "seed {seed}: {} of {most} in {} passes",
            chosen.gain,
            chosen.passes.len()
        );
    }
}

/// The goal is met in at most 5 % more time than the fastest three passes that meet it take.
#[test]
fn goal_is_met_nearly_as_fast_as_can_be() {
    let mut compared = 0;
    for seed in 0..6 {
        let rectangle = random(seed);
        let job = rectangle.job(Goal::Stretches, None);
        let steps = steps(&job);
        assert!(!is_met(&job, &steps, &rectangle.field), "seed {seed}");
        let mut least_s = f64::INFINITY;
        every_set(&job, |time_s, _, field| {
            if time_s < least_s && is_met(&job, &steps, field) {
                least_s = time_s;
            }
        });
        let chosen = choose(&job);
        assert!(chosen.goal_met, "seed {seed}");
        if least_s.is_finite() {
            compared += 1;
            assert!(
                chosen.time_s <= 1.05 * least_s,
                "seed {seed}: {} s, best {least_s} s",
                chosen.time_s
            );
        }
    }
    assert!(compared >= 5, "{compared}");
}

/// Eight legs cut short at one edge: one pass across mends them in less time than eight short ones.
#[test]
fn one_pass_across_for_many_short_holes() {
    let holes: Vec<(usize, f64, f64)> = (0..8).map(|leg| (leg, 8_000.0, 9_000.0)).collect();
    let rectangle = rectangle(8, 9_000.0, &holes, None, 0.5);
    let job = rectangle.job(Goal::Stretches, None);
    let chosen = choose(&job);
    let middle_lines: Vec<Pass> = rectangle
        .stretches
        .iter()
        .map(Stretch::middle_line)
        .collect();
    let plain = all_of(&job, &middle_lines);
    assert!(chosen.goal_met);
    assert!(chosen.passes.len() <= 2, "{:?}", chosen.passes);
    assert!(
        chosen.time_s < 0.5 * plain.time_s,
        "{} s against {} s",
        chosen.time_s,
        plain.time_s
    );
}

/// Nothing to mend, nothing to fly; a target out of reach is said to be.
#[test]
fn ends() {
    let base = Some(Coord { x: 0.0, y: 0.0 });
    let whole = rectangle(4, 6_000.0, &[], base, 0.5);
    let chosen = choose(&whole.job(Goal::Stretches, None));
    assert!(chosen.goal_met && chosen.passes.is_empty() && chosen.time_s == 0.0);
    let hole = [(1, 0.0, 6_000.0)];
    let missed = rectangle(4, 6_000.0, &hole, base, 0.999_999);
    let chosen = choose(&missed.job(Goal::Stretches, None));
    assert!(!chosen.goal_met && chosen.passes.len() <= TRIES);
    // A budget too short for anything.
    let missed = rectangle(4, 6_000.0, &hole, base, 0.5);
    let chosen = choose(&missed.job(Goal::Stretches, Some(60.0)));
    assert!(!chosen.goal_met && chosen.passes.is_empty());
}
