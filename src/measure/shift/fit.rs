//! Turn, shift and drift by weighted least squares, with what they are uncertain by.
//!
//! Each line on its leg counts as two observations, the ends of its regression line one standard
//! deviation either side of its middle, weighed by its length: they carry all of its place and its
//! direction. Lines that fit badly count less, and beyond a limit nothing (J. W. Tukey's
//! biweight: A. E. Beaton and J. W. Tukey, Technometrics 16 (1974) 147-185). The errors along one leg hang together, so the covariance is that of the
//! jackknife over legs: each is left out in turn (J. W. Tukey, Ann. Math. Statist. 29 (1958) 614).

use super::lines::Line;
use super::pattern::{Move, Pattern};
use super::search::{Guess, OnLeg, judge};
use crate::statistics::{Matrix, f_two, solve, student_95, student_99};
use geo::Coord;
use std::ops::Range;

/// A line is measured from this long after it began: the last of the turn onto it. Chosen.
const SETTLING_S: f64 = 10.0;
/// Fewest points of a line on a leg.
const FEWEST_POINTS: usize = 4;
/// Constant of the biweight, in standard deviations (95 % efficiency for normal errors).
const BIWEIGHT: f64 = 4.685;
/// Median absolute deviation to standard deviation of normal errors.
const MAD_TO_SD: f64 = 1.4826;
/// Least standard deviation taken for the errors, as a share of the cross-track tolerance: legs flown
/// with ordinary care all count. Chosen.
const LEAST_SD_TOLERANCES: f64 = 0.1;
/// Standard deviations of what is the same on every leg, and so shows in no difference between legs:
/// the receiver's own error, metres, and how the turns onto the legs settle, degrees. Chosen.
const COMMON_M: f64 = 3.0;
const COMMON_DEG: f64 = 0.05;
/// Of two lines along the same stretch of a leg the one that lies this many times farther off, and
/// beyond the tolerance, is something else. Chosen.
const BESIDE_TIMES: f64 = 3.0;
/// Rounds of fitting and of finding the legs anew.
const ROUNDS: usize = 6;
/// One unit of drift in the equations is what a pattern drifts in this time, seconds.
const DRIFT_UNIT_S: f64 = 1000.0;

/// A line as measured on its leg.
#[derive(Clone, Debug)]
pub(super) struct Measured {
    /// Index in the pattern's legs.
    pub(super) leg: usize,
    pub(super) reversed: bool,
    /// Fixes on the leg.
    pub(super) fixes: Range<usize>,
    /// Times of the first and the last, seconds.
    pub(super) times_s: (f64, f64),
    /// Along the leg, metres.
    low_m: f64,
    high_m: f64,
    along_mean_m: f64,
    right_mean_m: f64,
    time_mean_s: f64,
    /// Standard deviation of the places along the leg, metres.
    along_sd_m: f64,
    /// Metres right per metre along, and seconds per metre along.
    slope: f64,
    pace: f64,
    weight: f64,
}

impl Measured {
    fn of(line: &Line, on: OnLeg, moved: &Move, pattern: &Pattern) -> Option<Self> {
        let leg = &pattern.legs[on.leg];
        let settled_s = line.first().time_s + SETTLING_S;
        let (mut n, mut a, mut r, mut t) = (0.0f64, 0.0, 0.0, 0.0);
        let (mut aa, mut ar, mut at) = (0.0, 0.0, 0.0);
        let (mut first, mut last) = (None, None);
        let (mut low_m, mut high_m) = (f64::INFINITY, f64::NEG_INFINITY);
        for point in &line.points {
            let (along, right) = leg.locate(moved.to_plan(point.at, point.time_s));
            if !(0.0..=leg.length_m).contains(&along) {
                continue;
            }
            first = first.or(Some(*point));
            last = Some(*point);
            (low_m, high_m) = (low_m.min(along), high_m.max(along));
            if point.time_s < settled_s {
                continue;
            }
            // About the middle of the leg, and the beginning, against loss of digits.
            let (x, s) = (along - leg.length_m / 2.0, point.time_s - settled_s);
            n += 1.0;
            a += x;
            r += right;
            t += s;
            aa += x * x;
            ar += x * right;
            at += x * s;
        }
        let (first, last) = (first?, last?);
        let spread = aa - a * a / n;
        if n < FEWEST_POINTS as f64 || spread <= 0.0 {
            return None;
        }
        let along_sd_m = (spread / n).sqrt();
        Some(Self {
            leg: on.leg,
            reversed: on.reversed,
            fixes: first.fix..last.fix + 1,
            times_s: (first.time_s, last.time_s),
            low_m,
            high_m,
            along_mean_m: a / n + leg.length_m / 2.0,
            right_mean_m: r / n,
            time_mean_s: t / n + settled_s,
            along_sd_m,
            slope: (ar - a * r / n) / spread,
            pace: (at - a * t / n) / spread,
            weight: along_sd_m,
        })
    }

    /// Root mean square of its distance from the leg as a straight line, metres.
    fn off_m(&self) -> f64 {
        self.right_mean_m.hypot(self.slope * self.along_sd_m)
    }
}

/// What is unknown: a turn, a shift along each axis that shows, a drift along each if it is asked for,
/// and a mean cross-track error of all legs.
#[derive(Clone, Copy, Debug)]
struct Unknowns {
    axes: usize,
    drift: bool,
}

impl Unknowns {
    const fn count(self) -> usize {
        2 + self.axes * if self.drift { 2 } else { 1 }
    }
}

struct Row {
    /// Index of the leg.
    leg: usize,
    by: Vec<f64>,
    error_m: f64,
    weight: f64,
}

/// A pattern fitted.
#[derive(Clone, Debug)]
pub(super) struct Fit {
    pub(super) guess: Guess,
    pub(super) measured: Vec<Measured>,
    /// Covariance of the turn (radians), the shifts (metres) and the drifts (m/s) along the axes that
    /// show, in this order.
    pub(super) covariance: Matrix,
    /// Legs it rests on.
    pub(super) legs: usize,
    pub(super) drifts: bool,
}

impl Fit {
    /// Degrees of freedom left for the intervals.
    pub(super) const fn freedom(&self) -> usize {
        self.legs.saturating_sub(2)
    }

    /// Half the width of the 95 % interval of one unknown.
    pub(super) fn interval(&self, unknown: usize) -> f64 {
        student_95(self.freedom()) * self.covariance.at(unknown, unknown).max(0.0).sqrt()
    }

    /// Whether `values` of the unknowns from `first` on lie farther from nothing than chance alone takes
    /// them in one of a hundred flights.
    pub(super) fn stands_out(&self, first: usize, values: &[f64]) -> bool {
        let freedom = self.freedom().max(1);
        match *values {
            [x] => {
                // A single one is asked for with the same chance: t² is F with one above.
                let least = student_99(freedom).powi(2) * self.covariance.at(first, first);
                x * x > least
            }
            [x, y] => {
                let (a, b, d) = (
                    self.covariance.at(first, first),
                    self.covariance.at(first, first + 1),
                    self.covariance.at(first + 1, first + 1),
                );
                let det = a * d - b * b;
                let square = (d * x * x - 2.0 * b * x * y + a * y * y) / det;
                det > 0.0 && square > 2.0 * f_two(0.01, freedom)
            }
            _ => false,
        }
    }

    /// Within this of its true value a vector lies with a chance of at least 95 %: the longer half-axis of
    /// the 95 % ellipse of the two unknowns from `first` on; of a single one half its interval.
    pub(super) fn radius(&self, first: usize, axes: usize) -> f64 {
        if axes < 2 {
            return self.interval(first);
        }
        let (a, b, d) = (
            self.covariance.at(first, first),
            self.covariance.at(first, first + 1),
            self.covariance.at(first + 1, first + 1),
        );
        let largest = f64::midpoint(a, d) + f64::midpoint(a, -d).hypot(b);
        (2.0 * f_two(0.05, self.freedom().max(1)) * largest.max(0.0)).sqrt()
    }
}

/// Fits a pattern, beginning with a guess; `None` where what was flown does not settle it.
pub(super) fn fit(
    guess: &Guess,
    drift: bool,
    lines: &[Line],
    pattern: &Pattern,
    (spacing_m, tolerance_m): (f64, f64),
) -> Option<Fit> {
    let unknowns = Unknowns {
        axes: pattern.shows.len(),
        drift,
    };
    let mut guess = guess.clone();
    for _ in 0..ROUNDS {
        let measured = measure(&guess, lines, pattern, tolerance_m);
        guess.moved = guess.moved.from(begun_s(&measured)?);
        let mut rows = rows(&measured, &guess.moved, pattern, unknowns);
        temper(&mut rows, unknowns, tolerance_m)?;
        let step = solved(&rows, unknowns, None)?;
        let moved = stepped(guess.moved, &step, pattern, unknowns);
        let done = (moved.displaces_m(pattern.reach_m) - guess.moved.displaces_m(pattern.reach_m))
            .abs()
            < 0.01;
        guess = judge(moved, lines, pattern, spacing_m);
        if done {
            break;
        }
    }
    let measured = measure(&guess, lines, pattern, tolerance_m);
    let mut rows = rows(&measured, &guess.moved, pattern, unknowns);
    temper(&mut rows, unknowns, tolerance_m)?;
    let (covariance, legs) = jackknife(&rows, pattern, unknowns)?;
    Some(Fit {
        guess,
        measured,
        covariance,
        legs,
        drifts: drift,
    })
}

/// When the first leg was begun, seconds.
fn begun_s(measured: &[Measured]) -> Option<f64> {
    measured.first().map(|line| line.times_s.0)
}

fn measure(guess: &Guess, lines: &[Line], pattern: &Pattern, tolerance_m: f64) -> Vec<Measured> {
    let measured: Vec<Measured> = lines
        .iter()
        .zip(&guess.on)
        .filter_map(|(line, on)| Measured::of(line, (*on)?, &guess.moved, pattern))
        .collect();
    let beside = |line: &Measured| {
        measured.iter().any(|other| {
            let shared_m = (other.high_m.min(line.high_m) - other.low_m.max(line.low_m)).max(0.0);
            other.leg == line.leg
                && 2.0 * shared_m > line.high_m - line.low_m
                && line.off_m() > tolerance_m.max(BESIDE_TIMES * other.off_m())
        })
    };
    // A way in or home that runs along a leg is not the leg if that was flown as well.
    measured
        .iter()
        .filter(|line| !beside(line))
        .cloned()
        .collect()
}

fn rows(measured: &[Measured], moved: &Move, pattern: &Pattern, unknowns: Unknowns) -> Vec<Row> {
    let mut rows = Vec::with_capacity(2 * measured.len());
    for line in measured {
        let leg = &pattern.legs[line.leg];
        let right = leg.right();
        for end in [-line.along_sd_m, line.along_sd_m] {
            let right_m = line.right_mean_m + line.slope * end;
            let at = leg.place(line.along_mean_m + end, right_m);
            let since_s = line.time_mean_s + line.pace * end - moved.since_s;
            // The place on the plan is R(-turn)(place - shift - drift · time).
            let by_turn = (-at.y * right.x + at.x * right.y) / pattern.reach_m;
            let mut by = vec![by_turn];
            let across = |axis: &Coord<f64>| {
                let axis = super::pattern::turned(*axis, -moved.turned_rad);
                -(axis.x * right.x + axis.y * right.y)
            };
            by.extend(pattern.shows.iter().map(across));
            if unknowns.drift {
                by.extend(
                    pattern
                        .shows
                        .iter()
                        .map(|a| across(a) * since_s / DRIFT_UNIT_S),
                );
            }
            by.push(if line.reversed { 1.0 } else { -1.0 });
            rows.push(Row {
                leg: line.leg,
                by,
                error_m: right_m,
                weight: line.weight,
            });
        }
    }
    rows
}

/// Lowers the weight of what fits badly.
fn temper(rows: &mut [Row], unknowns: Unknowns, tolerance_m: f64) -> Option<()> {
    let full: Vec<f64> = rows.iter().map(|row| row.weight).collect();
    for _ in 0..3 {
        let solution = solved(rows, unknowns, None)?;
        let left: Vec<f64> = rows.iter().map(|row| residual(row, &solution)).collect();
        let mut sizes: Vec<f64> = left.iter().map(|r| r.abs()).collect();
        sizes.sort_by(f64::total_cmp);
        let sd = (MAD_TO_SD * sizes[sizes.len() / 2]).max(LEAST_SD_TOLERANCES * tolerance_m);
        for ((row, full), left) in rows.iter_mut().zip(&full).zip(&left) {
            row.weight = full * (1.0 - (left / (BIWEIGHT * sd)).powi(2)).max(0.0).powi(2);
        }
    }
    Some(())
}

fn residual(row: &Row, solution: &[f64]) -> f64 {
    row.error_m + row.by.iter().zip(solution).map(|(a, b)| a * b).sum::<f64>()
}

/// The step that makes the errors least, with one leg left out if asked for.
fn solved(rows: &[Row], unknowns: Unknowns, without: Option<usize>) -> Option<Vec<f64>> {
    let n = unknowns.count();
    let mut normal = Matrix::zero(n);
    let mut side = vec![0.0; n];
    for row in rows.iter().filter(|row| Some(row.leg) != without) {
        for (i, side) in side.iter_mut().enumerate() {
            for j in 0..n {
                normal.add(i, j, row.weight * row.by[i] * row.by[j]);
            }
            *side -= row.weight * row.by[i] * row.error_m;
        }
    }
    solve(normal, side)
}

fn stepped(moved: Move, step: &[f64], pattern: &Pattern, unknowns: Unknowns) -> Move {
    let vector = |from: usize| {
        pattern
            .shows
            .iter()
            .zip(&step[from..])
            .fold(Coord { x: 0.0, y: 0.0 }, |sum, (axis, by)| {
                sum + *axis * *by
            })
    };
    let carried = if unknowns.drift {
        vector(1 + unknowns.axes) / DRIFT_UNIT_S
    } else {
        Coord { x: 0.0, y: 0.0 }
    };
    Move {
        turned_rad: moved.turned_rad + step[0] / pattern.reach_m,
        shifted: moved.shifted + vector(1),
        carried: moved.carried + carried,
        since_s: moved.since_s,
    }
}

/// The covariance by leaving each leg out in turn, and of what is common to all, in radians, metres and m/s, and the number of legs.
fn jackknife(rows: &[Row], pattern: &Pattern, unknowns: Unknowns) -> Option<(Matrix, usize)> {
    let n = unknowns.count();
    let whole = solved(rows, unknowns, None)?;
    let counted = rows.iter().filter(|row| row.weight > 0.0);
    let mut legs: Vec<usize> = counted.map(|row| row.leg).collect();
    legs.sort_unstable();
    legs.dedup();
    if legs.len() < n {
        return None;
    }
    let mut covariance = Matrix::zero(n - 1);
    let unit = |i: usize| match i {
        0 => 1.0 / pattern.reach_m,
        i if i > unknowns.axes => 1.0 / DRIFT_UNIT_S,
        _ => 1.0,
    };
    let count = legs.len() as f64;
    for leg in &legs {
        let without = solved(rows, unknowns, Some(*leg))?;
        for i in 0..n - 1 {
            for j in 0..n - 1 {
                let (d, e) = (without[i] - whole[i], without[j] - whole[j]);
                let share = (count - 1.0) / count;
                covariance.add(i, j, share * d * e * unit(i) * unit(j));
            }
        }
    }
    covariance.add(0, 0, COMMON_DEG.to_radians().powi(2));
    for axis in 1..=unknowns.axes {
        covariance.add(axis, axis, COMMON_M.powi(2));
    }
    Some((covariance, legs.len()))
}
