//! The way from one pass to the next: the shortest path of an aircraft that cannot turn tighter than
//! its turning circle.
//!
//! L. E. Dubins, "On curves of minimal length with a constraint on average curvature, and with
//! prescribed initial and terminal positions and tangents", American Journal of Mathematics 79 (1957)
//! 497-516; lengths by the crate `dubins_paths`.

use super::field::Pass;
use crate::units::Speed;
use dubins_paths::f64::{DubinsPath, PosRot};
use geo::{Coord, Distance, Euclidean};
use std::f64::consts::TAU;

/// Rate of turn between passes: a full circle in two minutes, degrees per second. Common practice, no
/// source: the standard rate.
const TURN_RATE_DPS: f64 = 3.0;

/// How the passes are joined.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Means {
    /// Ground speed.
    pub ground_speed: Speed,
    /// Where the aircraft comes from and returns to; no transit is counted if `None`.
    pub base: Option<Coord<f64>>,
    /// Whether a pass looks at the same ground when flown the other way: not with scanners on one side.
    pub either_way: bool,
}

impl Means {
    /// Radius of a turn at the standard rate, metres: v / ω, or v·120 s / 2π.
    #[must_use]
    pub fn turn_radius_m(&self) -> f64 {
        self.ground_speed.mps() / (TURN_RATE_DPS / 360.0 * TAU)
    }

    /// Metres from the end of one pass to the start of the next, on their courses.
    fn between_m(&self, from: &Pass, to: &Pass) -> f64 {
        let pose = |at: Coord<f64>, along: Coord<f64>| {
            PosRot::from_floats(at.x, at.y, along.y.atan2(along.x))
        };
        DubinsPath::shortest_from(
            pose(from.end, from.along()),
            pose(to.start, to.along()),
            self.turn_radius_m(),
        )
        // There is always a path; without one the straight way and a full circle stand in.
        .map_or_else(
            |_| Euclidean.distance(from.end, to.start) + TAU * self.turn_radius_m(),
            |path| path.length(),
        )
    }

    /// Metres from one pass to the next, or from and to the base where one of them is missing; the transits
    /// are straight, for the aircraft turns onto its course on the way.
    fn gap_m(&self, from: Option<&Pass>, to: Option<&Pass>) -> f64 {
        let transit_m = |at| self.base.map_or(0.0, |base| Euclidean.distance(base, at));
        match (from, to) {
            (Some(from), Some(to)) => self.between_m(from, to),
            (Some(from), None) => transit_m(from.end),
            (None, Some(to)) => transit_m(to.start),
            (None, None) => 0.0,
        }
    }

    /// No more than [`gap_m`](Self::gap_m), and cheap.
    fn straight_m(&self, from: Option<&Pass>, to: Option<&Pass>) -> f64 {
        match (from, to) {
            (Some(from), Some(to)) => Euclidean.distance(from.end, to.start),
            _ => self.gap_m(from, to),
        }
    }
}

/// Where a pass fits in best.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Insertion {
    /// Metres that it adds, itself included.
    pub added_m: f64,
    /// Before which pass.
    pub place: usize,
    /// Whether it is flown the other way.
    pub reversed: bool,
}

/// Passes in the order and direction flown, with the ways between them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tour {
    passes: Vec<Pass>,
    /// Before the first, between them, after the last: one more than there are passes.
    gaps_m: Vec<f64>,
}

impl Tour {
    /// These passes, in this order.
    #[must_use]
    pub fn of(passes: Vec<Pass>, means: &Means) -> Self {
        let gaps_m = (0..=passes.len())
            .map(|i| {
                let before = i.checked_sub(1).map(|b| &passes[b]);
                means.gap_m(before, passes.get(i))
            })
            .collect();
        Self { passes, gaps_m }
    }

    /// The passes.
    #[must_use]
    pub fn passes(&self) -> &[Pass] {
        &self.passes
    }

    /// Metres of the way, without the passes themselves.
    #[must_use]
    pub fn way_m(&self) -> f64 {
        self.gaps_m.iter().sum()
    }

    /// Seconds for all of it.
    #[must_use]
    pub fn time_s(&self, means: &Means) -> f64 {
        let search_m: f64 = self.passes.iter().map(Pass::length_m).sum();
        (search_m + self.way_m()) / means.ground_speed.mps()
    }

    /// The cheapest place and direction for a pass, if it adds less than `most_m`.
    #[must_use]
    pub fn insertion(&self, pass: &Pass, most_m: f64, means: &Means) -> Option<Insertion> {
        let both = [(*pass, false), (pass.reversed(), true)];
        let ways = if means.either_way {
            &both[..]
        } else {
            &both[..1]
        };
        let length_m = pass.length_m();
        let mut best: Option<Insertion> = None;
        for place in 0..=self.passes.len() {
            let before = place.checked_sub(1).map(|i| &self.passes[i]);
            let after = self.passes.get(place);
            // With nothing flown yet there is no gap to take away.
            let direct_m = self.gaps_m.get(place).copied().unwrap_or(0.0);
            for (pass, reversed) in ways {
                let limit_m = best.map_or(most_m, |best| best.added_m);
                let straight_m =
                    means.straight_m(before, Some(pass)) + means.straight_m(Some(pass), after);
                if length_m + straight_m - direct_m >= limit_m {
                    continue;
                }
                let added_m =
                    length_m + means.gap_m(before, Some(pass)) + means.gap_m(Some(pass), after)
                        - direct_m;
                if added_m < limit_m {
                    best = Some(Insertion {
                        added_m,
                        place,
                        reversed: *reversed,
                    });
                }
            }
        }
        best
    }

    /// Puts a pass in.
    pub fn insert(&mut self, pass: &Pass, at: &Insertion, means: &Means) {
        let pass = if at.reversed { pass.reversed() } else { *pass };
        self.passes.insert(at.place, pass);
        if self.gaps_m.is_empty() {
            self.gaps_m.push(0.0);
        }
        let before = at.place.checked_sub(1).map(|i| &self.passes[i]);
        self.gaps_m[at.place] = means.gap_m(before, Some(&pass));
        let on_m = means.gap_m(Some(&pass), self.passes.get(at.place + 1));
        self.gaps_m.insert(at.place + 1, on_m);
    }

    /// The order and the directions that make the way shortest, found by turning parts of the sequence
    /// round, moving and swapping single passes as long as that helps: for each place which pass of this
    /// tour comes there, and whether it is flown the other way.
    #[must_use]
    pub fn shorter(&self, means: &Means) -> Vec<(usize, bool)> {
        let ways = Ways::between(&self.passes, means);
        let mut order: Vec<usize> = (0..self.passes.len()).map(|i| 2 * i).collect();
        let mut way_m = ways.way_m(&order);
        while let Some((better, better_m)) = ways.better(&order, way_m, means.either_way) {
            order = better;
            way_m = better_m;
        }
        order
            .into_iter()
            .map(|code| (code / 2, code % 2 == 1))
            .collect()
    }
}

/// Ways between all passes of a tour: pass `i` flown as it is has the code 2 i, flown the other way 2 i + 1.
struct Ways {
    codes: usize,
    between_m: Vec<f64>,
    from_base_m: Vec<f64>,
    to_base_m: Vec<f64>,
}

impl Ways {
    fn between(passes: &[Pass], means: &Means) -> Self {
        let coded: Vec<Pass> = passes
            .iter()
            .flat_map(|pass| [*pass, pass.reversed()])
            .collect();
        let pairs = coded
            .iter()
            .flat_map(|a| coded.iter().map(move |b| means.between_m(a, b)));
        Self {
            codes: coded.len(),
            between_m: pairs.collect(),
            from_base_m: coded.iter().map(|p| means.gap_m(None, Some(p))).collect(),
            to_base_m: coded.iter().map(|p| means.gap_m(Some(p), None)).collect(),
        }
    }

    fn way_m(&self, order: &[usize]) -> f64 {
        let between: f64 = order
            .windows(2)
            .map(|pair| self.between_m[pair[0] * self.codes + pair[1]])
            .sum();
        match (order.first(), order.last()) {
            (Some(first), Some(last)) => self.from_base_m[*first] + between + self.to_base_m[*last],
            _ => 0.0,
        }
    }

    /// A shorter order, if one change makes it so.
    fn better(&self, order: &[usize], way_m: f64, either_way: bool) -> Option<(Vec<usize>, f64)> {
        let n = order.len();
        let shorter = |trial: Vec<usize>| {
            let trial_m = self.way_m(&trial);
            (trial_m < way_m - 1e-6).then_some((trial, trial_m))
        };
        let turned_round = (0..n).flat_map(|from| {
            (from..n).map(move |to| {
                let mut trial = order.to_vec();
                trial[from..=to].reverse();
                if either_way {
                    trial[from..=to].iter_mut().for_each(|code| *code ^= 1);
                }
                trial
            })
        });
        let moved = (0..n).flat_map(|from| {
            (0..n).flat_map(move |to| {
                (0..if either_way { 2 } else { 1 }).map(move |flip| {
                    let mut trial = order.to_vec();
                    let code = trial.remove(from);
                    trial.insert(to, code ^ flip);
                    trial
                })
            })
        });
        let swapped = (0..n).flat_map(|a| {
            (a + 1..n).map(move |b| {
                let mut trial = order.to_vec();
                trial.swap(a, b);
                trial
            })
        });
        turned_round.chain(moved).chain(swapped).find_map(shorter)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn means(base: Option<Coord<f64>>) -> Means {
        Means {
            ground_speed: Speed::from_kt(90.0),
            base,
            either_way: true,
        }
    }

    fn north(x: f64, length_m: f64) -> Pass {
        Pass {
            start: Coord { x, y: 0.0 },
            end: Coord { x, y: length_m },
        }
    }

    /// 90 kt at 3° a second: 90 / (60 π) NM = 0.477 NM, by hand.
    #[test]
    fn standard_rate_turn() {
        assert_relative_eq!(
            means(None).turn_radius_m() / 1852.0,
            90.0 / (60.0 * std::f64::consts::PI),
            max_relative = 1e-12
        );
    }

    /// To the opposite course two radii away: half a circle. Farther apart: the straight part besides.
    /// By hand.
    #[test]
    fn half_a_circle_between_legs() {
        let means = means(None);
        let r = means.turn_radius_m();
        let half = std::f64::consts::PI * r;
        let to = |x: f64| {
            let passes = vec![north(0.0, 5000.0), north(x, 5000.0).reversed()];
            Tour::of(passes, &means).way_m()
        };
        assert_relative_eq!(to(2.0 * r), half, max_relative = 1e-6);
        assert_relative_eq!(to(2.0 * r + 1000.0), half + 1000.0, max_relative = 1e-6);
        // Nearer than a turn is wide it takes more than half a circle.
        assert!(to(r) > half);
    }

    /// Against every order and direction of five passes.
    #[test]
    fn order_is_the_best_of_all() {
        let means = means(Some(Coord {
            x: -8_000.0,
            y: -3_000.0,
        }));
        let passes: Vec<Pass> = [3.0, 0.0, 4.0, 1.0, 2.0]
            .iter()
            .map(|k| north(k * 1900.0, 6_000.0 + 500.0 * k))
            .collect();
        let mut least_m = f64::INFINITY;
        for order in 0..120u32 {
            let mut rest: Vec<usize> = (0..5).collect();
            let mut code = order;
            let sequence: Vec<usize> = (1..=5)
                .rev()
                .map(|n| {
                    let at = (code % n) as usize;
                    code /= n;
                    rest.remove(at)
                })
                .collect();
            for flips in 0..32u32 {
                let trial: Vec<Pass> = sequence
                    .iter()
                    .map(|i| {
                        if flips >> i & 1 == 1 {
                            passes[*i].reversed()
                        } else {
                            passes[*i]
                        }
                    })
                    .collect();
                least_m = least_m.min(Tour::of(trial, &means).way_m());
            }
        }
        let tour = Tour::of(passes.clone(), &means);
        let order = tour.shorter(&means).into_iter();
        let shortened = order.map(|(i, flip)| {
            let pass = passes[i];
            if flip { pass.reversed() } else { pass }
        });
        let shortened = Tour::of(shortened.collect(), &means);
        assert!(shortened.way_m() <= 1.01 * least_m);
    }

    /// The price of putting a pass in is the difference it makes, and the least of all places.
    #[test]
    fn insertion_is_the_difference() {
        for base in [
            Some(Coord {
                x: 0.0,
                y: -9_000.0,
            }),
            None,
        ] {
            let means = means(base);
            let passes = vec![north(0.0, 7_000.0), north(2_000.0, 7_000.0).reversed()];
            let tour = Tour::of(passes.clone(), &means);
            let new = north(4_000.0, 5_000.0);
            let at = tour.insertion(&new, f64::INFINITY, &means).unwrap();
            let mut with = tour.clone();
            with.insert(&new, &at, &means);
            let length_m = |tour: &Tour| tour.time_s(&means) * means.ground_speed.mps();
            assert_relative_eq!(
                at.added_m,
                length_m(&with) - length_m(&tour),
                max_relative = 1e-9
            );
            assert_eq!(with, Tour::of(with.passes().to_vec(), &means));
            for place in 0..=2 {
                for pass in [new, new.reversed()] {
                    let mut other = passes.clone();
                    other.insert(place, pass);
                    let other = Tour::of(other, &means);
                    assert!(length_m(&with) <= length_m(&other) + 1e-6);
                }
            }
            assert_eq!(tour.insertion(&new, at.added_m, &means), None);
        }
    }
}
