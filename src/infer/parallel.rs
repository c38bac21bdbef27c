//! What the tasking of parallel legs needs, from the lines flown, each value with its interval.

use super::edges::{Edge, Ends, edge, interval_m, outside};
use super::handled::Handled;
use super::passes::side_of_order;
use super::runs::{Flown, Run};
use super::settled::settled;
use super::sweep::Sweep;
use super::value::{Estimate, Inferred, Layout};
use super::ways::STICKS_OUT_SPACINGS;
use crate::geodesy::{LocalFrame, Position, geodesic};
use crate::plan::PatternKind;
use crate::tasking::Side;
use crate::units::Length;

/// A leg keeps to an edge within this, in spacings, or this share of the median leg. Chosen.
const EDGE_SPACINGS: f64 = 0.35;
const EDGE_SHARE: f64 = 0.05;
/// Where a leg was joined it may begin this many times farther off: turns end where they end. Chosen.
const JOINED_TIMES: f64 = 2.5;
/// Share of the legs that keep to both edges where legs are of one length. Chosen: some are cut short.
const EVEN_SHARE: f64 = 0.65;
/// Where a leg ends and its turn begins is known no better than this, in spacings and as a share of the leg:
/// crews turn early or fly on. Chosen.
const TURN_SPACINGS: f64 = 0.25;
const TURN_SHARE: f64 = 0.02;
/// So many ends tell too little of their own scatter. Chosen.
const FEW_ENDS: usize = 3;
/// Up to so many passes of a track line may differ in length: the turns take more of them than of many. Chosen.
const FEW_PASSES: usize = 5;

/// The pattern of parallel lines.
pub(super) fn laid(
    sweep: &Sweep,
    of: (&[Run], &Flown),
    plane: &LocalFrame,
    handled: Handled,
    others: Vec<String>,
) -> Inferred {
    let settled = settled(sweep, of);
    let sweep = &settled.sweep;
    let (low, high) = ends(sweep);
    let (low_tells, high_tells) = (telling(&low), telling(&high));
    let (low_edge, high_edge) = (edge(&low_tells), edge(&high_tells));
    let length_m = high_edge.at_m - low_edge.at_m;
    let even = keep_to_edges(sweep, &low, &high, &low_edge, &high_edge, length_m);
    let order = sweep.order();
    let side_of_line = side_of_order(&order).filter(|_| to_and_fro(sweep));
    let is_track_line =
        sweep.lines == 2 || (side_of_line.is_some() && (even || sweep.lines <= FEW_PASSES));
    let last = sweep.lines - 1;
    let first_flown = order.iter().copied().find(|line| [0, last].contains(line));
    let first_line = first_flown.unwrap_or(0);
    let on_first = sweep.on.iter().find(|on| on.line == first_line);
    let reversed = on_first.is_some_and(|on| on.reversed);
    let own = |ends: &[Option<End>], edge: &Edge| match ends[first_line] {
        Some(end) if !even => end.mid_m(),
        _ => edge.at_m,
    };
    let (low_m, high_m) = (own(&low, &low_edge), own(&high, &high_edge));
    let (start_m, end_m) = if reversed {
        (high_m, low_m)
    } else {
        (low_m, high_m)
    };
    let low_within_m = interval_m(&low_edge, &high_edge, low_tells.len())
        .max(spread_m(&low, &low_edge, &low_tells));
    let high_within_m = interval_m(&high_edge, &low_edge, high_tells.len()).max(spread_m(
        &high,
        &high_edge,
        &high_tells,
    ));
    let from_high = if is_track_line {
        sweep.on[0].reversed
    } else {
        reversed
    };
    let start_within_m = if from_high {
        high_within_m
    } else {
        low_within_m
    };
    let at = |along_m: f64, line: f64| {
        let right_m = sweep.first_m + sweep.spacing_m * line;
        plane.inverse(sweep.frame.place(along_m, right_m))
    };
    let turn = if (first_line == 0) == reversed {
        Side::Left
    } else {
        Side::Right
    };
    let line = first_line as f64;
    let turn_m = TURN_SPACINGS * sweep.spacing_m + TURN_SHARE * length_m.max(0.0);
    let longest: Vec<f64> = (0..sweep.lines)
        .filter_map(|line| Some(high[line]?.mid_m() - low[line]?.mid_m()))
        .collect();
    let middle_of_lines = (sweep.lines as f64 - 1.0) / 2.0;
    let layout = if is_track_line {
        let (from, to) = if sweep.on[0].reversed {
            (high_edge.at_m, low_edge.at_m)
        } else {
            (low_edge.at_m, high_edge.at_m)
        };
        Layout::TrackLine([at(from, middle_of_lines), at(to, middle_of_lines)])
    } else if even {
        Layout::EvenLegs
    } else {
        Layout::Outline(outline(sweep, &low, &high, plane))
    };
    let (from, to) = match &layout {
        Layout::TrackLine([from, to]) => (*from, *to),
        _ => (at(start_m, line), at(end_m, line)),
    };
    let course = geodesic::between(from, to).course_at_start;
    let pattern = match &layout {
        Layout::TrackLine(_) if sweep.lines.is_multiple_of(2) => PatternKind::TrackLineReturn,
        Layout::TrackLine(_) => PatternKind::TrackLineNonReturn,
        // Legs along the longer side of their ground make a parallel sweep.
        _ if length_m + sweep.spacing_m >= sweep.lines as f64 * sweep.spacing_m => {
            PatternKind::ParallelSweep
        }
        _ => PatternKind::CreepingLine,
    };
    let (length_m, scatter_m) = match &layout {
        Layout::Outline(_) => (
            median(&longest),
            (high_edge.scatter_m).hypot(low_edge.scatter_m),
        ),
        _ => (length_m, low_edge.scatter_m.hypot(high_edge.scatter_m)),
    };
    let (turn, first_on) = match &layout {
        Layout::TrackLine(_) => {
            let first = sweep.on[0];
            let to_right = sweep
                .on
                .get(1)
                .is_some_and(|second| second.line > first.line);
            let side = if to_right == first.reversed {
                Side::Left
            } else {
                Side::Right
            };
            (side, first.line)
        }
        _ => (turn, first_line),
    };
    Inferred {
        pattern,
        first_course_deg: Estimate {
            value: course.deg(),
            within: settled.axis_within_deg,
        },
        turn,
        size: Estimate {
            value: Length::from_m(sweep.spacing_m),
            within: Length::from_m(settled.spacing_within_m),
        },
        legs: sweep.lines as u32,
        not_flown: not_flown(sweep, first_line),
        start: from,
        start_along_within: Length::from_m(start_within_m + turn_m),
        start_across_within: Length::from_m(settled.across_within_m(first_on)),
        leg_length: Some(Estimate {
            value: Length::from_m(length_m),
            within: Length::from_m(low_within_m.hypot(high_within_m) + 2.0 * turn_m),
        }),
        leg_length_scatter: Some(Length::from_m(scatter_m)),
        scatter: Length::from_m(settled.sd_m),
        in_order: in_order(&order, first_line) || matches!(layout, Layout::TrackLine(_)),
        layout,
        handled,
        others,
    }
}

/// An end of a line.
#[derive(Clone, Copy)]
struct End {
    between: Ends,
    /// Whether the leg was left here, not joined.
    left: bool,
}

/// Low and high end of every line; `None` where none was flown.
fn ends(sweep: &Sweep) -> (Vec<Option<End>>, Vec<Option<End>>) {
    let of = |line: usize| sweep.on.iter().filter(move |on| on.line == line);
    let mut low: Vec<Option<End>> = (0..sweep.lines)
        .map(|line| {
            let on = of(line).min_by(|a, b| a.low_m.total_cmp(&b.low_m))?;
            Some(End {
                between: (on.low_m - on.unseen_low_m, on.low_m),
                left: on.reversed,
            })
        })
        .collect();
    let mut high: Vec<Option<End>> = (0..sweep.lines)
        .map(|line| {
            let on = of(line).max_by(|a, b| a.high_m.total_cmp(&b.high_m))?;
            Some(End {
                between: (on.high_m, on.high_m + on.unseen_high_m),
                left: !on.reversed,
            })
        })
        .collect();
    // The way in before the first run and the way home after the last are none of the pattern.
    let slack_m = STICKS_OUT_SPACINGS * sweep.spacing_m;
    for (on, begins) in [(sweep.on[0], true), (sweep.on[sweep.on.len() - 1], false)] {
        let at_low = begins != on.reversed;
        let list = if at_low { &mut low } else { &mut high };
        let outwards = if at_low { -1.0 } else { 1.0 };
        let neighbours: Vec<f64> = [on.line.checked_sub(1), Some(on.line + 1)]
            .into_iter()
            .flatten()
            .filter_map(|line| list.get(line).copied().flatten())
            .map(|end| outwards * end.mid_m())
            .collect();
        let farthest = neighbours.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        if let Some(end) = &mut list[on.line]
            && !neighbours.is_empty()
            && outwards * end.mid_m() > farthest + slack_m
        {
            end.between = (outwards * farthest, outwards * farthest);
        }
    }
    (low, high)
}

impl End {
    fn mid_m(&self) -> f64 {
        f64::midpoint(self.between.0, self.between.1)
    }
}

/// The ends that tell an edge: a crew turns off a leg where it ends, and is on the next one when the turn lets
/// it. So those where legs were left, unless all were joined there.
fn telling(ends: &[Option<End>]) -> Vec<Ends> {
    let all = || ends.iter().flatten();
    let left: Vec<Ends> = all()
        .filter(|end| end.left)
        .map(|end| end.between)
        .collect();
    if left.is_empty() {
        all().map(|end| end.between).collect()
    } else {
        left
    }
}

/// Of an edge that few ends tell: how far the farthest end of a leg lies off it, joined or left. Else nothing.
fn spread_m(ends: &[Option<End>], edge: &Edge, tells: &[Ends]) -> f64 {
    if tells.len() > FEW_ENDS {
        return 0.0;
    }
    ends.iter()
        .flatten()
        .map(|end| outside(edge.at_m, end.between))
        .fold(0.0, f64::max)
}

/// Whether the legs are of one length.
fn keep_to_edges(
    sweep: &Sweep,
    low: &[Option<End>],
    high: &[Option<End>],
    low_edge: &Edge,
    high_edge: &Edge,
    length_m: f64,
) -> bool {
    let slack_m = (EDGE_SPACINGS * sweep.spacing_m).max(EDGE_SHARE * length_m);
    let keeps = |end: Option<End>, edge: &Edge| {
        end.is_none_or(|end| {
            let slack_m = if end.left {
                slack_m
            } else {
                JOINED_TIMES * slack_m
            };
            outside(edge.at_m, end.between) <= slack_m
        })
    };
    let even = low
        .iter()
        .zip(high)
        .filter(|(low, high)| keeps(**low, low_edge) && keeps(**high, high_edge))
        .count();
    even as f64 >= EVEN_SHARE * sweep.lines as f64
}

/// The outline that the legs fill, half a spacing past them on all sides.
fn outline(
    sweep: &Sweep,
    low: &[Option<End>],
    high: &[Option<End>],
    plane: &LocalFrame,
) -> Vec<Position> {
    let half_m = sweep.spacing_m / 2.0;
    let side = |ends: &[Option<End>], outwards: f64| -> Vec<(f64, f64)> {
        let mut corners: Vec<(f64, f64)> = ends
            .iter()
            .enumerate()
            .filter_map(|(line, end)| {
                let right_m = sweep.first_m + sweep.spacing_m * line as f64;
                end.map(|end| (end.mid_m() + outwards * half_m, right_m))
            })
            .collect();
        if let (Some(first), Some(last)) = (corners.first().copied(), corners.last().copied()) {
            corners.insert(0, (first.0, first.1 - half_m));
            corners.push((last.0, last.1 + half_m));
        }
        corners
    };
    let mut corners = side(low, -1.0);
    corners.extend(side(high, 1.0).into_iter().rev());
    corners
        .into_iter()
        .map(|(along, right)| plane.inverse(sweep.frame.place(along, right)))
        .collect()
}

/// Legs without a run, as they are numbered from the first one.
fn not_flown(sweep: &Sweep, first_line: usize) -> Vec<u32> {
    let mut missing: Vec<u32> = (0..sweep.lines)
        .filter(|line| !sweep.on.iter().any(|on| on.line == *line))
        .map(|line| 1 + line.abs_diff(first_line) as u32)
        .collect();
    missing.sort_unstable();
    missing
}

fn in_order(order: &[usize], first_line: usize) -> bool {
    order
        .windows(2)
        .all(|pair| pair[1].abs_diff(first_line) > pair[0].abs_diff(first_line))
}

/// Whether every line was flown once, each the other way from the one before. A line may be broken into several runs.
fn to_and_fro(sweep: &Sweep) -> bool {
    let pairs = || sweep.on.windows(2);
    let changes = pairs().filter(|pair| pair[0].line != pair[1].line).count();
    changes + 1 == sweep.flown()
        && pairs()
            .all(|pair| (pair[0].reversed != pair[1].reversed) == (pair[0].line != pair[1].line))
}

fn median(values: &[f64]) -> f64 {
    let mut values = values.to_vec();
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(0.0)
}
