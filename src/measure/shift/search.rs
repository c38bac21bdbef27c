//! Which leg each straight line was, and how the pattern lay, from nothing but the lines.
//!
//! Two lines and two legs that turn by the same angle settle a turn and a shift; each such guess is
//! judged by how much of the pattern it finds flown. Guesses that lie close together are judged once.

use super::lines::Line;
use super::pattern::{Move, Pattern, unit};
use crate::units::wrap_180;
use geo::Coord;
use std::collections::HashSet;

/// Farthest turn looked for, degrees. Chosen: at 45° an expanding square begins to look like itself
/// turned the other way.
const MOST_TURNED_DEG: f64 = 45.0;
/// A line can be a leg within this of its course, degrees …
const COURSE_GATE_DEG: f64 = 8.0;
/// … and of its place, in spacings. Chosen: half a spacing off, it is as near to a neighbour.
const CROSS_GATE_SPACINGS: f64 = 0.35;
/// What a line off a leg still counts: one standard deviation of course, degrees, and of place, in
/// spacings. Chosen.
const COURSE_SD_DEG: f64 = 4.0;
const CROSS_SD_SPACINGS: f64 = 0.15;
/// A leg flown against the planned direction counts for this share. Chosen: it happens, but not to
/// all legs.
const REVERSED_SHARE: f64 = 0.7;
/// What flying the legs in order adds to a score of 1. Chosen.
const ORDER_BONUS: f64 = 0.1;
/// A line must lie along a leg for this share of one of the two. Chosen.
const OVERLAP_SHARE: f64 = 0.5;
/// Longest lines that guesses start from, and how many lines later their partner is at most.
const SEEDS: usize = 12;
const PARTNERS: usize = 3;
/// Two legs settle a shift if they differ in course by this, degrees. Chosen.
const CROSSING_DEG: f64 = 20.0;
/// Two lines turn as two legs do within this, degrees. Chosen.
const SAME_TURN_DEG: f64 = 5.0;
/// Farthest shift looked for where all legs are parallel, in spacings. Chosen: more cannot be told
/// from legs left out and others added.
const MOST_ACROSS_SPACINGS: f64 = 3.0;
/// Guesses within these are one: degrees and spacings.
const SAME_DEG: f64 = 2.0;
const SAME_SPACINGS: f64 = 0.15;

/// What one line is on a moved pattern: a leg, and how well it fits.
#[derive(Clone, Copy, Debug)]
pub(super) struct OnLeg {
    /// Index in the pattern's legs.
    pub(super) leg: usize,
    /// Flown against the planned direction.
    pub(super) reversed: bool,
    /// From and to along the leg, metres.
    span: (f64, f64),
    quality: f64,
}

/// A pattern as it may have lain, with what each line is on it.
#[derive(Clone, Debug)]
pub(super) struct Guess {
    pub(super) moved: Move,
    pub(super) on: Vec<Option<OnLeg>>,
    /// Share of the pattern found flown, weighed by how well it fits, and a little more.
    pub(super) score: f64,
}

/// How the lines lie on a moved pattern.
pub(super) fn judge(moved: Move, lines: &[Line], pattern: &Pattern, spacing_m: f64) -> Guess {
    let on: Vec<Option<OnLeg>> = lines
        .iter()
        .map(|line| on_leg(line, &moved, pattern, spacing_m))
        .collect();
    let mut flown = vec![0.0f64; pattern.legs.len()];
    let (mut pairs, mut in_order, mut last) = (0u32, 0u32, None);
    for found in on.iter().flatten() {
        let share = (found.span.1 - found.span.0) / pattern.legs[found.leg].length_m;
        flown[found.leg] = (flown[found.leg] + share * found.quality).min(1.0);
        if let Some(last) = last.replace(found.leg)
            && last != found.leg
        {
            pairs += 1;
            in_order += u32::from(found.leg > last);
        }
    }
    let found_m: f64 = flown
        .iter()
        .zip(&pattern.legs)
        .map(|(share, leg)| share * leg.length_m)
        .sum();
    let order = f64::from(in_order) / f64::from(pairs.max(1));
    Guess {
        moved,
        on,
        score: found_m / pattern.length_m * (1.0 + ORDER_BONUS * order),
    }
}

fn on_leg(line: &Line, moved: &Move, pattern: &Pattern, spacing_m: f64) -> Option<OnLeg> {
    let (first, last) = (line.first(), line.last());
    let a = moved.to_plan(first.at, first.time_s);
    let b = moved.to_plan(last.at, last.time_s);
    let direction = unit(b - a)?;
    let least_cos = COURSE_GATE_DEG.to_radians().cos();
    let mut best: Option<OnLeg> = None;
    for (leg, planned) in pattern.legs.iter().enumerate() {
        let cos = direction.x * planned.along.x + direction.y * planned.along.y;
        if cos.abs() < least_cos {
            continue;
        }
        let ((from, right_from), (to, right_to)) = (planned.locate(a), planned.locate(b));
        let (low, high) = (from.min(to).max(0.0), from.max(to).min(planned.length_m));
        let overlap = high - low;
        if overlap < OVERLAP_SHARE * planned.length_m.min((to - from).abs()) {
            continue;
        }
        let share = ((low + high) / 2.0 - from) / (to - from);
        let right_m = right_from + share * (right_to - right_from);
        if right_m.abs() > CROSS_GATE_SPACINGS * spacing_m {
            continue;
        }
        let off_deg = cos.abs().min(1.0).acos().to_degrees();
        let square =
            (right_m / (CROSS_SD_SPACINGS * spacing_m)).powi(2) + (off_deg / COURSE_SD_DEG).powi(2);
        let reversed = cos < 0.0;
        let quality = (-0.5 * square).exp() * if reversed { REVERSED_SHARE } else { 1.0 };
        if best.is_none_or(|b| (b.span.1 - b.span.0) * b.quality < overlap * quality) {
            best = Some(OnLeg {
                leg,
                reversed,
                span: (low, high),
                quality,
            });
        }
    }
    best
}

/// The guesses that two lines and two legs lead to, the best first; `carried` is the velocity over the
/// ground that is tried.
pub(super) fn guesses(
    lines: &[Line],
    pattern: &Pattern,
    spacing_m: f64,
    carried: Move,
) -> Vec<Guess> {
    let seen: Vec<Seen> = lines.iter().map(|line| Seen::of(line, &carried)).collect();
    let mut seeds: Vec<usize> = (0..lines.len()).collect();
    seeds.sort_by(|a, b| seen[*b].length_m.total_cmp(&seen[*a].length_m));
    seeds.truncate(SEEDS);
    seeds.sort_unstable();
    let mut tried = HashSet::new();
    let mut guesses: Vec<Guess> = Vec::new();
    for (n, &i) in seeds.iter().enumerate() {
        for &k in seeds.iter().skip(n + 1).take(PARTNERS) {
            for moved in from_pair(&seen[i], &seen[k], pattern, spacing_m, carried) {
                let bin = |value: f64, step: f64| (value / step).round() as i64;
                let step_m = SAME_SPACINGS * spacing_m;
                let key = (
                    bin(moved.turned_rad.to_degrees(), SAME_DEG),
                    bin(moved.shifted.x, step_m),
                    bin(moved.shifted.y, step_m),
                );
                if tried.insert(key) {
                    guesses.push(judge(moved, lines, pattern, spacing_m));
                }
            }
        }
    }
    guesses.sort_by(|a, b| b.score.total_cmp(&a.score));
    guesses
}

/// A line as seen from a pattern that is carried along.
struct Seen {
    middle: Coord<f64>,
    course_deg: f64,
    length_m: f64,
}

impl Seen {
    fn of(line: &Line, carried: &Move) -> Self {
        let (a, b) = (line.first(), line.last());
        let (a, b) = (
            carried.to_plan(a.at, a.time_s),
            carried.to_plan(b.at, b.time_s),
        );
        Self {
            middle: (a + b) / 2.0,
            course_deg: (b.x - a.x).atan2(b.y - a.y).to_degrees(),
            length_m: (b - a).x.hypot((b - a).y),
        }
    }
}

/// The moves that make of two lines two legs.
fn from_pair(
    one: &Seen,
    two: &Seen,
    pattern: &Pattern,
    spacing_m: f64,
    carried: Move,
) -> Vec<Move> {
    let line_turn = wrap_180(two.course_deg - one.course_deg);
    let both_axes = pattern.shows.len() > 1;
    let crossing = {
        let off = line_turn.abs();
        off.min(180.0 - off) >= CROSSING_DEG
    };
    if crossing != both_axes {
        return Vec::new();
    }
    let mut moves = Vec::new();
    for (j, leg) in pattern.legs.iter().enumerate() {
        let turned_deg = wrap_180(one.course_deg - leg.course_deg());
        if turned_deg.abs() > MOST_TURNED_DEG {
            continue;
        }
        for next in pattern.legs.iter().skip(j + 1).take(PARTNERS) {
            let leg_turn = wrap_180(next.course_deg() - leg.course_deg());
            let off_deg = wrap_180(line_turn - leg_turn);
            if off_deg.abs() > SAME_TURN_DEG {
                continue;
            }
            // Between the two, each as good as it is long.
            let share = two.length_m / (one.length_m + two.length_m);
            let turned_rad = (turned_deg + share * off_deg).to_radians();
            let moved = Move {
                turned_rad,
                ..carried
            };
            // What is left across each leg once the lines are turned back is the shift across it.
            let (p, q) = (
                super::pattern::turned(one.middle, -turned_rad),
                super::pattern::turned(two.middle, -turned_rad),
            );
            let (a, b) = (leg.locate(p).1, next.locate(q).1);
            let (n, m) = (leg.right(), next.right());
            let on_plan = if both_axes {
                let det = n.x * m.y - n.y * m.x;
                Coord {
                    x: (a * m.y - b * n.y) / det,
                    y: (n.x * b - m.x * a) / det,
                }
            } else {
                let sign = n.x * m.x + n.y * m.y;
                if (a - sign * b).abs() > CROSS_GATE_SPACINGS * spacing_m {
                    continue;
                }
                n * ((a + sign.signum() * b) / 2.0)
            };
            let shift = super::pattern::turned(on_plan, turned_rad);
            let most_m = if both_axes {
                pattern.reach_m
            } else {
                MOST_ACROSS_SPACINGS * spacing_m
            };
            if shift.x.hypot(shift.y) <= most_m {
                moves.push(Move {
                    shifted: shift,
                    ..moved
                });
            }
        }
    }
    moves
}
