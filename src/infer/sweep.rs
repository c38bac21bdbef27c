//! Parallel runs that lie on evenly spaced lines, in whatever order they were flown.

use super::frame::Frame;
use super::numbering::{Numbering, numbered, numbered_evenly};
use super::passes::side_of_order;
use super::runs::{Run, dot, size};
use super::ways::leave_out_ways;
use geo::Coord;

/// Runs within this of the direction of the longest one belong to its family, degrees. Chosen: legs of a
/// pattern that drifts point a few degrees apart.
const FAMILY_DEG: f64 = 8.0;
/// Longest runs from which families are looked for.
const SEEDS: usize = 24;
/// Neighbouring lines lie beside each other along this share of the shorter one. Chosen.
const BESIDE_SHARE: f64 = 0.4;
/// Lines belong together across a hole of up to this many spacings. Chosen: two lines may be missing.
pub(super) const HOLE_SPACINGS: f64 = 3.4;
/// A run may go over by this from its one end to the other, in spacings. Chosen.
const SLANT_SPACINGS: f64 = 0.4;
/// Shortest run, as a share of the median one of the family, and in spacings. Chosen: corners of an area.
const SHORTEST_SHARE: f64 = 0.15;
const SHORTEST_SPACINGS: f64 = 0.5;
/// Spacings tried within this of each other, as a share, are one.
const SAME_SPACING: f64 = 0.04;
/// Rounds of numbering and fitting.
const ROUNDS: usize = 4;
/// Least share of the lines between the first and the last that was flown. Chosen.
const FLOWN_SHARE: f64 = 0.6;
/// Least such share where lines were flown in any order. Chosen.
const FLOWN_SHARE_ANY_ORDER: f64 = 0.75;
/// Greatest scatter of the lines about even spacing, in spacings: of many lines flown one beside the other, of
/// lines flown in any order or few of them, and of three alone, of which two values settle all but one. Chosen:
/// lines at random scatter by 0.29; aircraft that mapped the ground line by line, by up to 0.23.
const SCATTER_IN_ORDER: f64 = 0.25;
const SCATTER_ANY_ORDER: f64 = 0.12;
const SCATTER_OF_THREE: f64 = 0.06;
/// Share of the changes from line to line that go the same way where lines are flown in order. Chosen.
const ORDER_SHARE: f64 = 0.7;
/// Fewest lines, in order and in any order. Chosen: three parallel runs with turns between are seldom chance,
/// any four of a wandering flight may be.
pub(super) const FEWEST_IN_ORDER: usize = 3;
const FEWEST_ANY_ORDER: usize = 5;
/// Up to so many lines are few: then each must turn back on the one before, with no more way between them than
/// this, in spacings and as a share of their mean length, and one of them at most be flown twice. Chosen: circuits
/// and approaches are flown one way, or with much between.
pub(super) const FEW: usize = 6;
const WAY_SPACINGS: f64 = 6.0;
const WAY_SHARE: f64 = 0.4;
/// Few lines are this many spacings long, at least. Chosen: shorter ones are no more than a turn apart.
const FEW_LONG_SPACINGS: f64 = 2.0;
/// Of neighbouring lines the shared part is this share of the longer one, in the middle of all such pairs.
/// Chosen: the outline of an area changes little from leg to leg.
const ALIKE_SHARE: f64 = 0.6;
/// The same of few lines. Chosen.
const ALIKE_SHARE_OF_FEW: f64 = 0.7;
/// A run counts for the direction of a family with no more than so many times the length of the one it is looked for from:
/// a way home may be longer than all legs together. Chosen.
const LONGEST_TIMES: f64 = 1.5;
/// In order, lines are flown on to the next one or the one after.
const NEXT: usize = 2;
/// Runs for each line, at most. Chosen: a circuit is flown round and round on two.
const PASSES_PER_LINE: f64 = 2.2;

/// A run as one of the lines of a family.
#[derive(Clone, Copy, Debug)]
pub(super) struct OnLine {
    /// Index of the run.
    pub(super) run: usize,
    /// Which line, from 0, rising to the right of the axis.
    pub(super) line: usize,
    /// Against the axis.
    pub(super) reversed: bool,
    /// Of the run, along and right of the axis, metres.
    pub(super) low_m: f64,
    pub(super) high_m: f64,
    pub(super) right_m: f64,
    /// Metres right per metre along.
    pub(super) slope: f64,
    /// So far it may go on unseen past its low and its high end, metres.
    pub(super) unseen_low_m: f64,
    pub(super) unseen_high_m: f64,
    /// Scatter of its fixes about it, metres.
    pub(super) rms_m: f64,
}

/// Runs on evenly spaced lines.
#[derive(Clone, Debug)]
pub(super) struct Sweep {
    pub(super) frame: Frame,
    /// Right of the axis: where line 0 lies, and the spacing, metres.
    pub(super) first_m: f64,
    pub(super) spacing_m: f64,
    /// How many lines, those not flown among them.
    pub(super) lines: usize,
    /// In the order flown.
    pub(super) on: Vec<OnLine>,
    /// Scatter of the lines about even spacing, in spacings.
    pub(super) scatter: f64,
    /// Length of the lines flown, each counted once, metres.
    pub(super) explained_m: f64,
}

impl Sweep {
    /// Lines flown.
    pub(super) fn flown(&self) -> usize {
        let mut lines: Vec<usize> = self.on.iter().map(|on| on.line).collect();
        lines.sort_unstable();
        lines.dedup();
        lines.len()
    }

    /// The lines in the order first flown.
    pub(super) fn order(&self) -> Vec<usize> {
        let mut order = Vec::new();
        for on in &self.on {
            if !order.contains(&on.line) {
                order.push(on.line);
            }
        }
        order
    }

    /// How good it is: length explained, less for uneven spacing and lines not flown.
    pub(super) fn score_m(&self) -> f64 {
        let flown = self.flown() as f64 / self.lines as f64;
        self.explained_m * (1.0 - self.scatter) * flown.sqrt()
    }
}

/// Every family of evenly spaced lines among the runs; the least distance of two lines is `apart_m`.
pub(super) fn sweeps(runs: &[Run], apart_m: f64) -> Vec<Sweep> {
    let mut seeds: Vec<usize> = (0..runs.len()).collect();
    seeds.sort_by(|a, b| runs[*b].length_m().total_cmp(&runs[*a].length_m()));
    seeds.truncate(SEEDS);
    let mut found: Vec<Sweep> = Vec::new();
    for seed in seeds {
        if found.iter().any(|s| s.on.iter().any(|on| on.run == seed)) {
            continue;
        }
        let best = of_family(runs, seed, apart_m)
            .into_iter()
            .max_by(|a, b| a.score_m().total_cmp(&b.score_m()));
        found.extend(best);
    }
    found
}

/// What the runs parallel to one of them make, for every spacing that may be theirs.
fn of_family(runs: &[Run], seed: usize, apart_m: f64) -> Vec<Sweep> {
    let Some((frame, family)) = family(runs, seed) else {
        return Vec::new();
    };
    let mut spacings: Vec<f64> = family
        .iter()
        .flat_map(|a| {
            let mut apart: Vec<f64> = family
                .iter()
                .filter(|b| beside(a, b))
                .map(|b| (b.right_m - a.right_m).abs())
                .filter(|m| *m >= apart_m)
                .collect();
            apart.sort_by(f64::total_cmp);
            apart.truncate(2);
            apart
        })
        .collect();
    spacings.sort_by(f64::total_cmp);
    spacings.dedup_by(|a, b| (*a - *b).abs() <= SAME_SPACING * *b);
    spacings
        .into_iter()
        .flat_map(|spacing_m| {
            [
                (spacing_m, numbered as Numbering),
                (spacing_m, numbered_evenly),
            ]
        })
        .filter_map(|(spacing_m, number)| {
            on_lines(&family, seed, frame, (spacing_m, number), apart_m)
        })
        .collect()
}

/// Two runs as two lines, as they are.
pub(super) fn sweep_of(pair: &[&Run; 2], indices: [usize; 2]) -> Option<Sweep> {
    let sum = pair[0].along * pair[0].length_m() - pair[1].along * pair[1].length_m();
    let frame = Frame {
        origin: pair[0].middle,
        along: sum / size(sum),
    };
    let mut on: Vec<OnLine> = pair
        .iter()
        .zip(indices)
        .map(|(run, index)| on_line(index, run, &frame))
        .collect();
    let right = usize::from(on[1].right_m > on[0].right_m);
    on[right].line = 1;
    let (first_m, spacing_m) = even_spacing(&on)?;
    Some(Sweep {
        frame,
        first_m,
        spacing_m,
        lines: 2,
        scatter: 0.0,
        explained_m: explained_m(&on, 2),
        on,
    })
}

/// Axes along the runs parallel to one of them, and these runs in them.
fn family(runs: &[Run], seed: usize) -> Option<(Frame, Vec<OnLine>)> {
    let mut along = runs[seed].along;
    let origin = runs[seed].middle;
    let parallel = |run: &Run, along| dot(run.along, along).abs() >= FAMILY_DEG.to_radians().cos();
    for _ in 0..3 {
        // Long runs tell the direction best; those to and those fro weigh alike, so that a drift cancels.
        let mut sums = [Coord { x: 0.0, y: 0.0 }; 2];
        let most_m = LONGEST_TIMES * runs[seed].length_m();
        for run in runs.iter().filter(|run| parallel(run, along)) {
            let fro = usize::from(dot(run.along, along) < 0.0);
            let weight = run.length_m().min(most_m).powi(2);
            sums[fro] = sums[fro] + run.along * weight;
        }
        let unit = |v: Coord<f64>| {
            let size = size(v);
            if size > 0.0 { v / size } else { v }
        };
        let mean = unit(sums[0]) - unit(sums[1]);
        if size(mean) <= 0.0 {
            return None;
        }
        along = unit(mean);
    }
    let frame = Frame { origin, along };
    let family: Vec<OnLine> = runs
        .iter()
        .enumerate()
        .filter(|(index, run)| *index == seed || parallel(run, along))
        .map(|(index, run)| on_line(index, run, &frame))
        .collect();
    let mut lengths: Vec<f64> = family.iter().map(|on| on.high_m - on.low_m).collect();
    lengths.sort_by(f64::total_cmp);
    let least_m = SHORTEST_SHARE * lengths[lengths.len() / 2];
    let long = family
        .into_iter()
        .filter(|on| on.high_m - on.low_m >= least_m)
        .collect();
    Some((frame, long))
}

fn on_line(index: usize, run: &Run, frame: &Frame) -> OnLine {
    let reversed = dot(run.along, frame.along) < 0.0;
    let (start, _) = frame.locate(run.start());
    let (end, _) = frame.locate(run.end());
    let (_, right_m) = frame.locate(run.middle);
    let along = if reversed {
        run.along * -1.0
    } else {
        run.along
    };
    let across = along.x * frame.along.y - along.y * frame.along.x;
    let (unseen_low_m, unseen_high_m) = if reversed {
        (run.after_m, run.before_m)
    } else {
        (run.before_m, run.after_m)
    };
    OnLine {
        run: index,
        line: 0,
        reversed,
        low_m: start.min(end),
        high_m: start.max(end),
        right_m,
        slope: across / dot(along, frame.along),
        unseen_low_m,
        unseen_high_m,
        rms_m: run.rms_m,
    }
}

fn beside(a: &OnLine, b: &OnLine) -> bool {
    let shared = a.high_m.min(b.high_m) - a.low_m.max(b.low_m);
    shared >= BESIDE_SHARE * (a.high_m - a.low_m).min(b.high_m - b.low_m)
}

/// The runs connected with `seed` as lines about one spacing apart.
fn on_lines(
    family: &[OnLine],
    seed: usize,
    frame: Frame,
    (spacing_m, number): (f64, Numbering),
    apart_m: f64,
) -> Option<Sweep> {
    let mut on = connected(family, seed, spacing_m);
    let mut spacing_m = spacing_m;
    let mut fitted = None;
    for round in 0..2 * ROUNDS {
        if round == ROUNDS && !leave_out_ways(&mut on, spacing_m) {
            break;
        }
        on.retain(|run| {
            let length_m = run.high_m - run.low_m;
            length_m >= SHORTEST_SPACINGS * spacing_m
                && (run.slope * length_m).abs() <= SLANT_SPACINGS * spacing_m
        });
        let lines = number(&mut on, spacing_m)?;
        let fit = even_spacing(&on)?;
        spacing_m = fit.1;
        fitted = Some((fit, lines));
    }
    let ((first_m, spacing_m), lines) = fitted?;
    if spacing_m < apart_m {
        return None;
    }
    let square: f64 = on
        .iter()
        .map(|run| (run.right_m - first_m - spacing_m * run.line as f64).powi(2))
        .sum();
    let sweep = Sweep {
        frame,
        first_m,
        spacing_m,
        lines,
        scatter: (square / on.len() as f64).sqrt() / spacing_m,
        explained_m: explained_m(&on, lines),
        on,
    };
    is_pattern(&sweep).then_some(sweep)
}

/// Runs that lie beside each other from one to the next, in the order flown.
fn connected(family: &[OnLine], seed: usize, spacing_m: f64) -> Vec<OnLine> {
    let mut is_in: Vec<bool> = family.iter().map(|run| run.run == seed).collect();
    loop {
        let before = is_in.iter().filter(|is| **is).count();
        for i in 0..family.len() {
            if !is_in[i] {
                is_in[i] = family.iter().zip(&is_in).any(|(other, is)| {
                    *is && (other.right_m - family[i].right_m).abs() <= HOLE_SPACINGS * spacing_m
                        && beside(other, &family[i])
                });
            }
        }
        if is_in.iter().filter(|is| **is).count() == before {
            break;
        }
    }
    family
        .iter()
        .zip(is_in)
        .filter_map(|(run, is)| is.then_some(*run))
        .collect()
}

/// How many runs there are, but for those at either end of the flight that lie along one line: of these one is the
/// leg, the others are the way in or home, or parts of the leg.
fn without_ways(on: &[OnLine]) -> usize {
    let changes: Vec<usize> = (1..on.len())
        .filter(|i| on[*i].line != on[*i - 1].line)
        .collect();
    match (changes.first(), changes.last()) {
        (Some(first), Some(last)) => last - first + 2,
        _ => 1,
    }
}

/// Where line 0 lies, and the spacing, by least squares.
pub(super) fn even_spacing(on: &[OnLine]) -> Option<(f64, f64)> {
    let n = on.len() as f64;
    let mean = |of: &dyn Fn(&OnLine) -> f64| on.iter().map(of).sum::<f64>() / n;
    let (k, v) = (mean(&|run| run.line as f64), mean(&|run| run.right_m));
    let kk = mean(&|run| (run.line as f64 - k).powi(2));
    let kv = mean(&|run| (run.line as f64 - k) * (run.right_m - v));
    (kk > 0.0 && kv > 0.0).then(|| (v - kv / kk * k, kv / kk))
}

/// Length of the lines flown, what was flown twice counted once.
fn explained_m(on: &[OnLine], lines: usize) -> f64 {
    (0..lines)
        .map(|line| {
            let mut spans: Vec<(f64, f64)> = on
                .iter()
                .filter(|run| run.line == line)
                .map(|run| (run.low_m, run.high_m))
                .collect();
            spans.sort_by(|a, b| a.0.total_cmp(&b.0));
            let mut to = f64::NEG_INFINITY;
            let mut sum = 0.0;
            for (low, high) in spans {
                sum += (high - low.max(to)).max(0.0);
                to = to.max(high);
            }
            sum
        })
        .sum()
}

/// Whether lines so laid are a pattern and no chance.
fn is_pattern(sweep: &Sweep) -> bool {
    let flown = sweep.flown();
    let order = sweep.order();
    let in_order = share_onwards(&order) >= ORDER_SHARE;
    let as_passes = side_of_order(&order).is_some();
    let (fewest, share) = if in_order || as_passes {
        (FEWEST_IN_ORDER, FLOWN_SHARE)
    } else {
        (FEWEST_ANY_ORDER, FLOWN_SHARE_ANY_ORDER)
    };
    let scatter = match flown {
        0..=3 => SCATTER_OF_THREE,
        _ if in_order && flown > FEW => SCATTER_IN_ORDER,
        _ => SCATTER_ANY_ORDER,
    };
    let to_and_fro = sweep
        .on
        .windows(2)
        .all(|pair| pair[0].reversed != pair[1].reversed || pair[0].line == pair[1].line);
    flown >= fewest
        && sweep.scatter <= scatter
        && flown as f64 >= share * sweep.lines as f64
        && (flown > 3 || flown == sweep.lines)
        && sweep.on.len() as f64 <= PASSES_PER_LINE * flown as f64
        && alike(sweep) >= ALIKE_SHARE
        && (flown > FEW
            || (to_and_fro
                && without_ways(&sweep.on) <= flown + 1
                && sweep.explained_m >= FEW_LONG_SPACINGS * sweep.spacing_m * flown as f64
                && alike(sweep) >= ALIKE_SHARE_OF_FEW
                && one_after_the_other(sweep)))
}

/// Whether each line was begun near the end of the one before.
fn one_after_the_other(sweep: &Sweep) -> bool {
    let mean_m = sweep.explained_m / sweep.flown() as f64;
    let most_m = WAY_SPACINGS * sweep.spacing_m + WAY_SHARE * mean_m;
    sweep.on.windows(2).all(|pair| {
        let end_m = if pair[0].reversed {
            pair[0].low_m
        } else {
            pair[0].high_m
        };
        let start_m = if pair[1].reversed {
            pair[1].high_m
        } else {
            pair[1].low_m
        };
        (start_m - end_m).hypot(pair[1].right_m - pair[0].right_m) <= most_m
    })
}

/// Share of the changes from line to line that go on to the next or the one after, the way most of them go.
fn share_onwards(order: &[usize]) -> f64 {
    let steps = |up: bool| {
        order
            .windows(2)
            .filter(|pair| (pair[1] > pair[0]) == up && pair[1].abs_diff(pair[0]) <= NEXT)
            .count()
    };
    steps(true).max(steps(false)) as f64 / order.len().saturating_sub(1).max(1) as f64
}

/// Of neighbouring lines, the shared part as a share of what both cover: the median.
fn alike(sweep: &Sweep) -> f64 {
    let spans: Vec<(f64, f64)> = (0..sweep.lines)
        .filter_map(|line| {
            let on = || sweep.on.iter().filter(move |run| run.line == line);
            let low = on().map(|run| run.low_m).reduce(f64::min)?;
            let high = on().map(|run| run.high_m).reduce(f64::max)?;
            Some((low, high))
        })
        .collect();
    let mut shares: Vec<f64> = spans
        .windows(2)
        .map(|pair| {
            let (a, b) = (pair[0], pair[1]);
            let shared = (a.1.min(b.1) - a.0.max(b.0)).max(0.0);
            shared / (a.1 - a.0).max(b.1 - b.0)
        })
        .collect();
    shares.sort_by(f64::total_cmp);
    shares.get(shares.len() / 2).copied().unwrap_or(0.0)
}
