//! The acceleration gate: a measurement so far beside the way between its neighbours that no aircraft can
//! have been there.
//!
//! Between a and c, τ₁ after the one and τ₂ before the other, a steady acceleration A takes b
//!
//! ```text
//! e = ½ A τ₁ τ₂
//! ```
//!
//! beside the straight way at an even speed. What lies farther off than that and the scatter of the
//! measurements bends impossibly. A single bad one bends its neighbours' ways as well, by half as much; so
//! at an impossible bend the shortest run is sought that leaves none behind when it goes, and of equal ones
//! the one after which the way is smoothest. Where no short run does, as after a step of the receiver to
//! another place, everything stays.

use super::SCATTER_M;
use rayon::prelude::*;

/// Longest run that is taken for a spike. Chosen: longer, it is an excursion that the chain of possible
/// steps decides about.
const LONGEST_RUN: usize = 10;
/// The scatter of places is at least this many times their median deviation. Chosen: of deviations with a
/// normal distribution to each side one in thirty million is farther out, since the median is 1.18 standard
/// deviations and the chance to be beyond r of them exp(−r²/2).
pub(super) const MEDIANS_OF_PLACES: f64 = 5.0;
/// The same of heights, whose median deviation is 0.674 standard deviations. Chosen: one in fifteen million
/// is beyond 5.4 of them.
pub(super) const MEDIANS_OF_HEIGHTS: f64 = 8.0;
/// The scatter is never taken for more than this, metres. Chosen: no receiver is that bad, so such a log is
/// broken otherwise.
const MOST_SCATTER_M: f64 = 100.0;

/// The scatter of measurements beyond what their steps and bends allow, metres: [`SCATTER_M`], or more where
/// they scatter so throughout. It shows where fixes are so close together that no aircraft bends its way as
/// much.
pub(super) fn scatter_m<const D: usize>(
    (seconds, places): (&[f64], &[[f64; D]]),
    acceleration_mps2: f64,
    medians: f64,
) -> f64 {
    let off_m = Bends {
        seconds,
        places,
        acceleration_mps2,
        time_error_s: 0.0,
        scatter_m: SCATTER_M,
    }
    .median_deviation_m();
    (medians * off_m).clamp(SCATTER_M, MOST_SCATTER_M)
}

/// Measurements in rising time and what limits their bends.
pub(super) struct Bends<'a, const D: usize> {
    seconds: &'a [f64],
    places: &'a [[f64; D]],
    acceleration_mps2: f64,
    /// How wrong a time may be, seconds: it moves a place along the way flown.
    time_error_s: f64,
    scatter_m: f64,
}

impl<'a, const D: usize> Bends<'a, D> {
    pub(super) const fn new(
        (seconds, places): (&'a [f64], &'a [[f64; D]]),
        acceleration_mps2: f64,
        time_error_s: f64,
        scatter_m: f64,
    ) -> Self {
        Self {
            seconds,
            places,
            acceleration_mps2,
            time_error_s,
            scatter_m,
        }
    }

    /// Indices of the spikes, rising.
    pub(super) fn spikes(&self) -> Vec<usize> {
        let bends = |at: &usize| self.excess(at - 2, at - 1, *at) > 1.0;
        let Some(first) = (2..self.places.len()).into_par_iter().find_first(bends) else {
            return Vec::new();
        };
        // Up to the first bend nothing goes.
        let mut kept: Vec<usize> = Vec::with_capacity(self.places.len());
        kept.extend(0..first);
        let mut spikes = Vec::new();
        let mut next = first;
        while next < self.places.len() {
            kept.push(next);
            next += 1;
            let [.., a, b, c] = kept[..] else { continue };
            if self.excess(a, b, c) <= 1.0 {
                continue;
            }
            if let Some((from, count)) = self.culprits(&kept, next) {
                let known = (from + count).min(kept.len());
                let ahead = from + count - known;
                spikes.extend(kept.drain(from..known));
                spikes.extend(next..next + ahead);
                next += ahead;
            }
        }
        spikes.sort_unstable();
        spikes
    }

    /// The shortest run, by its place in `kept` and its length, without which there is no impossible bend
    /// about the end of `kept`. It may reach on into what follows, from `next`.
    fn culprits(&self, kept: &[usize], next: usize) -> Option<(usize, usize)> {
        let total = kept.len() + self.places.len() - next;
        let at = |place: usize| match kept.get(place) {
            Some(&index) => index,
            None => next + place - kept.len(),
        };
        let end = kept.len();
        (1..=LONGEST_RUN).find_map(|count| {
            (end - 3..end)
                .filter(|from| from + count <= total)
                .map(|from| {
                    let before = (from.saturating_sub(3)..from).map(at);
                    let after = (from + count..(from + count + 3).min(total)).map(at);
                    let around: Vec<usize> = before.chain(after).collect();
                    let worst = around
                        .windows(3)
                        .map(|way| self.excess(way[0], way[1], way[2]))
                        .fold(0.0, f64::max);
                    (from, worst)
                })
                .filter(|(_, worst)| *worst <= 1.0)
                .min_by(|x, y| x.1.total_cmp(&y.1))
                .map(|(from, _)| (from, count))
        })
    }

    /// How far `b` is beside the way from `a` to `c`, as a share of what is possible.
    fn excess(&self, a: usize, b: usize, c: usize) -> f64 {
        let (off, way) = self.deviation(a, b, c);
        let (before_s, after_s) = (self.between_s(a, b), self.between_s(b, c));
        let bound_m = self.bound_m(before_s, after_s);
        let way_m = length(way);
        if way_m == 0.0 {
            return length(off) / bound_m;
        }
        let along_m = off.iter().zip(&way).map(|(a, b)| a * b).sum::<f64>() / way_m;
        let across_m = (length(off).powi(2) - along_m * along_m).max(0.0).sqrt();
        let late_m = way_m / (before_s + after_s) * self.time_error_s;
        let (across, along) = (across_m / bound_m, along_m / (bound_m + late_m));
        (across * across + along * along).sqrt()
    }

    /// How far `b` is beside the way from `a` to `c`, metres.
    pub(super) fn deviation_m(&self, a: usize, b: usize, c: usize) -> f64 {
        length(self.deviation(a, b, c).0)
    }

    /// From where `b` should be to where it is; and from `a` to `c`.
    fn deviation(&self, a: usize, b: usize, c: usize) -> ([f64; D], [f64; D]) {
        let share = self.between_s(a, b) / self.between_s(a, c);
        let [from, at, to] = [a, b, c].map(|index| self.places[index]);
        let way = std::array::from_fn(|i| to[i] - from[i]);
        let off = std::array::from_fn(|i| at[i] - from[i] - share * (to[i] - from[i]));
        (off, way)
    }

    fn bound_m(&self, before_s: f64, after_s: f64) -> f64 {
        0.5 * self.acceleration_mps2 * before_s * after_s + self.scatter_m
    }

    fn between_s(&self, from: usize, to: usize) -> f64 {
        self.seconds[to] - self.seconds[from]
    }

    /// Median deviation where fixes are so close together that it is mostly scatter, metres.
    fn median_deviation_m(&self) -> f64 {
        let close = |at: &usize| {
            let product = self.between_s(at - 1, *at) * self.between_s(*at, at + 1);
            0.5 * self.acceleration_mps2 * product <= SCATTER_M
        };
        let mut off_m: Vec<f64> = (1..self.places.len().saturating_sub(1))
            .into_par_iter()
            .filter(close)
            .map(|at| self.deviation_m(at - 1, at, at + 1))
            .collect();
        if off_m.is_empty() {
            return 0.0;
        }
        let middle = off_m.len() / 2;
        *off_m.select_nth_unstable_by(middle, f64::total_cmp).1
    }
}

fn length<const D: usize>(v: [f64; D]) -> f64 {
    v.iter().map(|part| part * part).sum::<f64>().sqrt()
}
