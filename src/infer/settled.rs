//! Axis, spacing and place of parallel lines, from the legs alone.
//!
//! A run may hold more than its leg: the last of the turn onto it, and a way in or home that goes on in line with
//! it and may be many times as long. Neither is the crew's idea of where the leg lies.

use super::runs::{Flown, Run};
use super::sweep::{OnLine, Sweep};
use super::ways::STICKS_OUT_SPACINGS;
use crate::statistics::student_95;

/// Standard deviations of what is the same on every leg and so shows in no difference between them: the
/// receiver's own error and the drift that a crew leaves, metres, and how turns onto legs settle, degrees. Chosen.
const COMMON_M: f64 = 6.0;
const COMMON_DEG: f64 = 0.05;
/// A line is taken from this long after it was joined: the last of the turn onto it. Chosen, as where the pattern as a
/// whole is held against the plan.
const SETTLING_S: f64 = 10.0;
/// Of a run at least this share of its length is kept, and so many fixes. Chosen.
const KEPT_SHARE: f64 = 0.5;
/// Shortest part of a run that lies beside the other lines, in spacings, for it to count. Chosen.
const KEPT_SPACINGS: f64 = 0.5;
const FEWEST_FIXES: usize = 4;
/// Constant of the biweight, in standard deviations (95 % efficiency for normal errors): A. E. Beaton and J. W. Tukey,
/// Technometrics 16 (1974) 147-185.
const BIWEIGHT: f64 = 4.685;
/// Median absolute deviation to standard deviation of normal errors.
const MAD_TO_SD: f64 = 1.4826;
/// Least standard deviation taken for how far a line goes over from its one end to the other, in spacings: lines flown
/// with ordinary care all count. Chosen.
const LEAST_SD_SPACINGS: f64 = 0.025;
/// Rounds of weighing.
const ROUNDS: usize = 4;

/// The lines after the axis was settled.
pub(super) struct Settled {
    pub(super) sweep: Sweep,
    /// Of the axis, degrees.
    pub(super) axis_within_deg: f64,
    pub(super) spacing_within_m: f64,
    /// Standard deviation of the lines about even spacing, metres.
    pub(super) sd_m: f64,
    freedom: usize,
    /// Numbers of the lines that settled it.
    lines: Vec<f64>,
}

/// What of a run is its leg, as a straight line.
#[derive(Clone, Copy)]
struct Line {
    number: f64,
    reversed: bool,
    /// Middle along, how far right it lies there, metres right per metre along, length along.
    along_m: f64,
    right_m: f64,
    slope: f64,
    length_m: f64,
}

impl Settled {
    /// Half of the interval of where a line lies.
    pub(super) fn across_within_m(&self, line: usize) -> f64 {
        let (n, mean, spread) = moments(&self.lines);
        let error = self.sd_m * (1.0 / n + (line as f64 - mean).powi(2) / spread).sqrt();
        student_95(self.freedom) * error.hypot(COMMON_M)
    }
}

/// Number, mean and sum of squares about it.
fn moments(values: &[f64]) -> (f64, f64, f64) {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let spread = values.iter().map(|value| (value - mean).powi(2)).sum();
    (n, mean, spread)
}

/// The axis from the slopes of all legs, the spacing about it, and how far both may be off.
pub(super) fn settled(sweep: &Sweep, of: (&[Run], &Flown)) -> Settled {
    let mut lines = legs_alone(sweep, of);
    let weights = weights(&lines, sweep.spacing_m);
    let best = slope(&lines, &weights, None);
    let n = lines.len();
    // Jackknife: J. W. Tukey, Ann. Math. Statist. 29 (1958) 614.
    let square: f64 = (0..n)
        .map(|i| (slope(&lines, &weights, Some(i)) - best).powi(2))
        .sum();
    let error_deg = ((n as f64 - 1.0) / n as f64 * square).sqrt().to_degrees();
    let mut sweep = sweep.clone();
    // Turned about the middle of what was flown, so that lines move across as little as can be.
    let middle_m = lines.iter().map(|line| line.along_m).sum::<f64>() / n as f64;
    let (sin, cos) = best.atan().sin_cos();
    let along = sweep.frame.along;
    sweep.frame.origin = sweep.frame.place(middle_m, 0.0);
    // A positive slope goes to the right.
    sweep.frame.along = geo::Coord {
        x: along.x * cos + along.y * sin,
        y: along.y * cos - along.x * sin,
    };
    for on in &mut sweep.on {
        let at_m = (on.low_m + on.high_m) / 2.0 - middle_m;
        on.low_m -= middle_m;
        on.high_m -= middle_m;
        on.right_m -= best * at_m;
        on.slope -= best;
    }
    for line in &mut lines {
        line.right_m -= best * (line.along_m - middle_m);
    }
    let numbers: Vec<f64> = lines.iter().map(|line| line.number).collect();
    let (n, mean, spread) = moments(&numbers);
    let right = lines.iter().map(|line| line.right_m).sum::<f64>() / n;
    let product: f64 = lines
        .iter()
        .map(|line| (line.number - mean) * (line.right_m - right))
        .sum();
    sweep.spacing_m = product / spread;
    sweep.first_m = right - sweep.spacing_m * mean;
    let freedom = lines.len().saturating_sub(2).max(1);
    let square: f64 = lines
        .iter()
        .map(|line| (line.right_m - sweep.first_m - sweep.spacing_m * line.number).powi(2))
        .sum();
    // Two lines leave nothing over: then each is taken to lie as far off as its fixes scatter about it.
    let own: f64 = sweep.on.iter().map(|on| on.rms_m.powi(2)).sum();
    let sd_m = if lines.len() > 2 {
        (square / freedom as f64).sqrt()
    } else {
        (own / 2.0).sqrt()
    };
    Settled {
        axis_within_deg: student_95(lines.len() - 1) * error_deg.hypot(COMMON_DEG),
        spacing_within_m: student_95(freedom) * sd_m / spread.sqrt(),
        sd_m,
        freedom,
        lines: numbers,
        sweep,
    }
}

/// The mean slope. A long line tells its direction better, as the square of its length; those to and those fro weigh
/// alike, so that drift cancels.
fn slope(lines: &[Line], weights: &[f64], without: Option<usize>) -> f64 {
    let (mut sums, mut all) = ([0.0; 2], [0.0; 2]);
    for (i, (line, weight)) in lines.iter().zip(weights).enumerate() {
        if Some(i) != without {
            let weight = weight * line.length_m.powi(2);
            sums[usize::from(line.reversed)] += weight * line.slope;
            all[usize::from(line.reversed)] += weight;
        }
    }
    let means: Vec<f64> = sums
        .iter()
        .zip(all)
        .filter(|(_, weight)| *weight > 0.0)
        .map(|(sum, weight)| sum / weight)
        .collect();
    means.iter().sum::<f64>() / means.len().max(1) as f64
}

/// What each line counts: those that point elsewhere than the others count less, and beyond a limit nothing.
fn weights(lines: &[Line], spacing_m: f64) -> Vec<f64> {
    let mut weights = vec![1.0; lines.len()];
    for _ in 0..ROUNDS {
        let mean = slope(lines, &weights, None);
        let over_m = |line: &Line| (line.slope - mean) * line.length_m;
        let mut sizes: Vec<f64> = lines.iter().map(|line| over_m(line).abs()).collect();
        sizes.sort_by(f64::total_cmp);
        let sd_m = (MAD_TO_SD * sizes[sizes.len() / 2]).max(LEAST_SD_SPACINGS * spacing_m);
        weights = lines
            .iter()
            .map(|line| {
                (1.0 - (over_m(line) / (BIWEIGHT * sd_m)).powi(2))
                    .max(0.0)
                    .powi(2)
            })
            .collect();
    }
    weights
}

/// The lines of all runs that are legs.
fn legs_alone(sweep: &Sweep, (runs, flown): (&[Run], &Flown)) -> Vec<Line> {
    let mut lines = Vec::with_capacity(sweep.on.len());
    for on in &sweep.on {
        lines.extend(
            beside_others(sweep, on).map(|span_m| line(sweep, on, span_m, &runs[on.run], flown)),
        );
    }
    if lines.iter().any(|line| line.number != lines[0].number) {
        return lines;
    }
    let whole = |on: &OnLine| line(sweep, on, (on.low_m, on.high_m), &runs[on.run], flown);
    sweep.on.iter().map(whole).collect()
}

/// Where a run is a leg, along it. What lies on the first or the last line flown and sticks out of all others has a way in or
/// home at its end, or is nothing else; then `None`.
fn beside_others(sweep: &Sweep, on: &OnLine) -> Option<(f64, f64)> {
    let ends = [sweep.on[0].line, sweep.on[sweep.on.len() - 1].line];
    let between = || sweep.on.iter().filter(|other| !ends.contains(&other.line));
    let low_m = between().map(|other| other.low_m).reduce(f64::min);
    let high_m = between().map(|other| other.high_m).reduce(f64::max);
    let (Some(low_m), Some(high_m), true) = (low_m, high_m, ends.contains(&on.line)) else {
        return Some((on.low_m, on.high_m));
    };
    let slack_m = STICKS_OUT_SPACINGS * sweep.spacing_m;
    let low_m = if on.low_m < low_m - slack_m {
        low_m
    } else {
        on.low_m
    };
    let high_m = if on.high_m > high_m + slack_m {
        high_m
    } else {
        on.high_m
    };
    (high_m - low_m >= KEPT_SPACINGS * sweep.spacing_m).then_some((low_m, high_m))
}

/// The line of what lies between these places along, without what was flown while the turn settled.
fn line(sweep: &Sweep, on: &OnLine, (low_m, high_m): (f64, f64), run: &Run, flown: &Flown) -> Line {
    let inside: Vec<(usize, f64, f64)> = run
        .fixes()
        .map(|fix| (fix, sweep.frame.locate(flown.xy[fix])))
        .filter(|(_, (along_m, _))| (low_m..=high_m).contains(along_m))
        .map(|(fix, (along_m, right_m))| (fix, along_m, right_m))
        .collect();
    let from_s = inside
        .first()
        .map_or(0.0, |(fix, ..)| flown.time_s[*fix] + SETTLING_S);
    let settled = inside
        .iter()
        .position(|(fix, ..)| flown.time_s[*fix] >= from_s)
        .unwrap_or(inside.len());
    let kept = &inside[settled..];
    let length_m = |kept: &[(usize, f64, f64)]| match kept {
        [first, .., last] => (last.1 - first.1).abs(),
        _ => 0.0,
    };
    let kept = if kept.len() >= FEWEST_FIXES && length_m(kept) >= KEPT_SHARE * length_m(&inside) {
        kept
    } else {
        &inside
    };
    fitted(kept, on).unwrap_or(Line {
        number: on.line as f64,
        reversed: on.reversed,
        along_m: (on.low_m + on.high_m) / 2.0,
        right_m: on.right_m,
        slope: on.slope,
        length_m: on.high_m - on.low_m,
    })
}

/// The regression of places across on places along, each fix weighed by half the way to its neighbours.
fn fitted(fixes: &[(usize, f64, f64)], on: &OnLine) -> Option<Line> {
    if fixes.len() < 2 {
        return None;
    }
    let way_m = |i: usize, j: usize| (fixes[j].1 - fixes[i].1).abs();
    let weight = |i: usize| {
        let before = i.checked_sub(1).map_or(0.0, |before| way_m(before, i));
        let after = if i + 1 < fixes.len() {
            way_m(i, i + 1)
        } else {
            0.0
        };
        (before + after) / 2.0
    };
    let origin_m = fixes[0].1;
    let (mut w, mut a, mut r, mut aa, mut ar) = (0.0, 0.0, 0.0, 0.0, 0.0);
    let (mut low_m, mut high_m) = (f64::INFINITY, f64::NEG_INFINITY);
    for (i, (_, along_m, right_m)) in fixes.iter().enumerate() {
        let (weight, x) = (weight(i), along_m - origin_m);
        w += weight;
        a += weight * x;
        r += weight * right_m;
        aa += weight * x * x;
        ar += weight * x * right_m;
        (low_m, high_m) = (low_m.min(*along_m), high_m.max(*along_m));
    }
    let spread = aa - a * a / w;
    (w > 0.0 && spread > 0.0).then(|| Line {
        number: on.line as f64,
        reversed: on.reversed,
        along_m: a / w + origin_m,
        right_m: r / w,
        slope: (ar - a * r / w) / spread,
        length_m: high_m - low_m,
    })
}
