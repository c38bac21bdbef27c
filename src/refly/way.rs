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

    /// Metres of the way, without the passes themselves, for passes flown in this order; the transits
    /// from and to the base are straight, for the aircraft turns onto its course on the way.
    #[must_use]
    pub fn way_m(&self, passes: &[Pass]) -> f64 {
        let between: f64 = passes
            .windows(2)
            .map(|pair| self.between_m(&pair[0], &pair[1]))
            .sum();
        let transit = match (self.base, passes.first(), passes.last()) {
            (Some(base), Some(first), Some(last)) => {
                Euclidean.distance(base, first.start) + Euclidean.distance(last.end, base)
            }
            _ => 0.0,
        };
        between + transit
    }

    /// Seconds for the passes in this order, with the way.
    #[must_use]
    pub fn time_s(&self, passes: &[Pass]) -> f64 {
        let search_m: f64 = passes.iter().map(Pass::length_m).sum();
        (search_m + self.way_m(passes)) / self.ground_speed.mps()
    }

    /// Metres that a pass put in before the one at `place` adds, itself included.
    fn added_m(&self, passes: &[Pass], place: usize, pass: &Pass) -> f64 {
        let before = place.checked_sub(1).map(|i| &passes[i]);
        let after = passes.get(place);
        let to_base = |at: Coord<f64>| self.base.map_or(0.0, |b| Euclidean.distance(b, at));
        let to = before.map_or_else(|| to_base(pass.start), |b| self.between_m(b, pass));
        let on = after.map_or_else(|| to_base(pass.end), |a| self.between_m(pass, a));
        let direct = match (before, after) {
            (Some(b), Some(a)) => self.between_m(b, a),
            (None, Some(a)) => to_base(a.start),
            (Some(b), None) => to_base(b.end),
            (None, None) => 0.0,
        };
        pass.length_m() + to + on - direct
    }

    /// The cheapest place to put a pass in, and the direction: the seconds it adds, where, and whether
    /// it is flown the other way.
    #[must_use]
    pub fn insertion(&self, passes: &[Pass], pass: &Pass) -> (f64, usize, bool) {
        let reversed = pass.reversed();
        let options = (0..=passes.len()).flat_map(|place| {
            let back = || (self.added_m(passes, place, &reversed), place, true);
            [(self.added_m(passes, place, pass), place, false)]
                .into_iter()
                .chain(self.either_way.then(back))
        });
        options
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map_or((f64::INFINITY, 0, false), |(added_m, place, flip)| {
                (added_m / self.ground_speed.mps(), place, flip)
            })
    }

    /// The same passes in a better order and better directions: parts of the sequence are turned round,
    /// single passes moved and flipped, as long as that shortens the way.
    pub fn shorten(&self, passes: &mut Vec<Pass>) {
        let mut way_m = self.way_m(passes);
        while let Some((better, better_m)) = self.better(passes, way_m) {
            *passes = better;
            way_m = better_m;
        }
    }

    fn better(&self, passes: &[Pass], way_m: f64) -> Option<(Vec<Pass>, f64)> {
        let shorter = |trial: Vec<Pass>| {
            let trial_m = self.way_m(&trial);
            (trial_m < way_m - 1e-6).then_some((trial, trial_m))
        };
        let turned_round = (0..passes.len()).flat_map(|from| {
            (from..passes.len()).map(move |to| {
                let mut trial = passes.to_vec();
                trial[from..=to].reverse();
                if self.either_way {
                    trial[from..=to].iter_mut().for_each(|p| *p = p.reversed());
                }
                trial
            })
        });
        let moved = (0..passes.len()).map(|i| {
            let mut trial = passes.to_vec();
            let pass = trial.remove(i);
            let (_, place, flip) = self.insertion(&trial, &pass);
            trial.insert(place, if flip { pass.reversed() } else { pass });
            trial
        });
        let swapped = (0..passes.len()).flat_map(|a| {
            (a + 1..passes.len()).map(move |b| {
                let mut trial = passes.to_vec();
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
        let to = |x: f64| means.way_m(&[north(0.0, 5000.0), north(x, 5000.0).reversed()]);
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
        let mut passes: Vec<Pass> = [3.0, 0.0, 4.0, 1.0, 2.0]
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
                least_m = least_m.min(means.way_m(&trial));
            }
        }
        means.shorten(&mut passes);
        assert!(means.way_m(&passes) <= 1.01 * least_m);
    }

    /// The price of putting a pass in is the difference it makes.
    #[test]
    fn insertion_is_the_difference() {
        let means = means(Some(Coord {
            x: 0.0,
            y: -9_000.0,
        }));
        let passes = vec![north(0.0, 7_000.0), north(2_000.0, 7_000.0).reversed()];
        let new = north(4_000.0, 5_000.0);
        let (added_s, place, flip) = means.insertion(&passes, &new);
        let mut with = passes.clone();
        with.insert(place, if flip { new.reversed() } else { new });
        assert_relative_eq!(
            added_s,
            means.time_s(&with) - means.time_s(&passes),
            max_relative = 1e-9
        );
    }
}
