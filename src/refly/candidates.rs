//! Passes worth considering: along and across the holes.
//!
//! A hole is mended by flying along its middle. Two holes side by side may be mended by one pass between
//! them, and many short ones — all legs cut short at one edge — by one pass across. So lines are laid
//! along each direction in which there are holes, and square to it, a quarter of a spacing apart; on each
//! line a pass may run from the beginning of any hole that it meets to the end of any other.

use super::field::{Field, Pass};
use geo::{Coord, Distance, Euclidean};

/// Directions that differ by less are one, degrees. Chosen: legs of one set part by less on the ground.
const SAME_DIRECTION_DEG: f64 = 3.0;
/// Lines are this far apart, in spacings. Chosen: half of the distance at which a pass midway between
/// two legs lies.
const LINES_APART_SPACINGS: f64 = 0.25;
/// Holes met on a line farther apart than this are still joined, but no more than this many of them are
/// tried in all combinations. Chosen: keeps the number of candidates linear in the holes.
const JOINED_AT_MOST: usize = 6;
/// Shortest pass, in spacings. Chosen: less is all turn.
const SHORTEST_SPACINGS: f64 = 0.5;

/// A stretch of strip below target, in the local plane.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// Where it begins, on the middle line of the strip.
    pub start: Coord<f64>,
    /// Where it ends.
    pub end: Coord<f64>,
    /// Half the width of the strip, metres.
    pub half_width_m: f64,
    /// POD wanted, averaged across the strip at every place along it.
    pub target_pod: f64,
}

impl Stretch {
    pub(super) fn middle_line(&self) -> Pass {
        Pass {
            start: self.start,
            end: self.end,
        }
    }

    /// Whether a pass comes within `within_m` of its middle line.
    pub(super) fn is_looked_at(&self, pass: &Pass, within_m: f64) -> bool {
        let line = |p: &Pass| geo::Line::new(p.start, p.end);
        Euclidean.distance(&line(&self.middle_line()), &line(pass)) <= within_m
    }

    /// Cells of the field in it, step by step along it, and the length of a step, metres.
    pub(super) fn steps(&self, field: &Field) -> (Vec<Vec<u32>>, f64) {
        let grid = field.grid();
        let line = self.middle_line();
        let (length_m, along) = (line.length_m(), line.along());
        let count = (length_m / grid.cell_m).ceil().max(1.0);
        let step_m = length_m / count;
        let mut steps = vec![Vec::new(); count as usize];
        let reach = |a: f64, b: f64| (a.min(b) - self.half_width_m, a.max(b) + self.half_width_m);
        let (low, high) = reach(self.start.y, self.end.y);
        let (west, east) = reach(self.start.x, self.end.x);
        for row in grid.rows_between(low, high) {
            for column in grid.columns_between(west, east) {
                let at = grid.centre(column, row);
                let (dx, dy) = (at.x - self.start.x, at.y - self.start.y);
                let along_m = dx * along.x + dy * along.y;
                let cross_m = dx * along.y - dy * along.x;
                if (0.0..length_m).contains(&along_m) && cross_m.abs() <= self.half_width_m {
                    let step = ((along_m / step_m) as usize).min(steps.len() - 1);
                    steps[step].push((row * grid.columns + column) as u32);
                }
            }
        }
        (steps, step_m)
    }
}

/// Axes turned to a direction: `u` along it, `v` right of it.
#[derive(Clone, Copy)]
struct Axes {
    along: Coord<f64>,
}

impl Axes {
    fn to_uv(self, at: Coord<f64>) -> (f64, f64) {
        let Coord { x, y } = self.along;
        (at.x * x + at.y * y, at.x * y - at.y * x)
    }

    fn to_xy(self, u: f64, v: f64) -> Coord<f64> {
        let Coord { x, y } = self.along;
        Coord {
            x: u * x + v * y,
            y: u * y - v * x,
        }
    }

    /// Square to it.
    fn across(self) -> Self {
        Self {
            along: Coord {
                x: self.along.y,
                y: -self.along.x,
            },
        }
    }
}

/// A stretch seen along some axes: its extents in `u` and `v`.
struct Extent {
    u: (f64, f64),
    v: (f64, f64),
    /// The line of its middle, where that runs along the axes.
    middle_v: Option<f64>,
}

/// Candidate passes over the stretches, without repeats; `spacing_m` is the track spacing.
#[must_use]
pub fn candidates(stretches: &[Stretch], spacing_m: f64) -> Vec<Pass> {
    let mut passes: Vec<Pass> = stretches.iter().map(Stretch::middle_line).collect();
    for axes in directions(stretches) {
        for axes in [axes, axes.across()] {
            along_axes(axes, stretches, spacing_m, &mut passes);
        }
    }
    passes.retain(|pass| pass.length_m() >= SHORTEST_SPACINGS * spacing_m);
    without_repeats(passes, 0.05 * spacing_m)
}

/// Directions of the stretches, each once.
fn directions(stretches: &[Stretch]) -> Vec<Axes> {
    let mut found: Vec<Axes> = Vec::new();
    for stretch in stretches {
        let along = stretch.middle_line().along();
        let same = |axes: &Axes| {
            let cross = along.x * axes.along.y - along.y * axes.along.x;
            cross.abs() < SAME_DIRECTION_DEG.to_radians().sin()
        };
        if !found.iter().any(same) {
            found.push(Axes { along });
        }
    }
    found
}

fn along_axes(axes: Axes, stretches: &[Stretch], spacing_m: f64, passes: &mut Vec<Pass>) {
    let extents: Vec<Extent> = stretches.iter().map(|s| seen_along(axes, s)).collect();
    let apart_m = LINES_APART_SPACINGS * spacing_m;
    let low = extents.iter().map(|b| b.v.0).fold(f64::INFINITY, f64::min);
    let mut lines: Vec<f64> = extents.iter().filter_map(|b| b.middle_v).collect();
    for b in &extents {
        // A lattice common to all stretches, so that neighbours share lines.
        let (first, last) = ((b.v.0 - low) / apart_m, (b.v.1 - low) / apart_m);
        lines.extend(
            (first.ceil() as u32..=last.floor() as u32).map(|k| low + apart_m * f64::from(k)),
        );
    }
    lines.sort_by(f64::total_cmp);
    lines.dedup_by(|b, a| *b - *a < 0.05 * spacing_m);
    for v in lines {
        // A line just beside a stretch still looks into it.
        let mut met: Vec<(f64, f64)> = extents
            .iter()
            .filter(|b| v >= b.v.0 - apart_m && v <= b.v.1 + apart_m)
            .map(|b| b.u)
            .collect();
        let count = met.len();
        met.sort_by(|a, b| a.0.total_cmp(&b.0));
        let met = joined(&met, spacing_m);
        // Off the middle of a hole a pass is of use only where it looks into more than one.
        let on_middle = extents
            .iter()
            .filter_map(|e| e.middle_v)
            .any(|middle| (middle - v).abs() < 0.05 * spacing_m);
        if count < 2 && !on_middle {
            continue;
        }
        for from in 0..met.len() {
            let most = met.len().min(from + JOINED_AT_MOST);
            for to in (from..most).chain((met.len() > most).then_some(met.len() - 1)) {
                passes.push(Pass {
                    start: axes.to_xy(met[from].0, v),
                    end: axes.to_xy(met[to].1, v),
                });
            }
        }
    }
}

/// Intervals in rising order, those that touch within a spacing joined.
fn joined(intervals: &[(f64, f64)], spacing_m: f64) -> Vec<(f64, f64)> {
    let mut joined: Vec<(f64, f64)> = Vec::new();
    for (low, high) in intervals {
        match joined.last_mut() {
            Some(last) if *low <= last.1 + spacing_m => last.1 = last.1.max(*high),
            _ => joined.push((*low, *high)),
        }
    }
    joined
}

fn seen_along(axes: Axes, stretch: &Stretch) -> Extent {
    let (a, b) = (axes.to_uv(stretch.start), axes.to_uv(stretch.end));
    let along = stretch.middle_line().along();
    let (cos, sin) = (
        (along.x * axes.along.x + along.y * axes.along.y).abs(),
        (along.x * axes.along.y - along.y * axes.along.x).abs(),
    );
    // The half-width of the strip, seen along the axes and square to them.
    let (in_u, in_v) = (stretch.half_width_m * sin, stretch.half_width_m * cos);
    Extent {
        u: (a.0.min(b.0) - in_u, a.0.max(b.0) + in_u),
        v: (a.1.min(b.1) - in_v, a.1.max(b.1) + in_v),
        middle_v: (sin < SAME_DIRECTION_DEG.to_radians().sin()).then_some(f64::midpoint(a.1, b.1)),
    }
}

/// Passes that run over the same ground within `within_m`, either way, only once.
fn without_repeats(passes: Vec<Pass>, within_m: f64) -> Vec<Pass> {
    let near = |a: Coord<f64>, b: Coord<f64>| (a.x - b.x).hypot(a.y - b.y) <= within_m;
    let mut kept: Vec<Pass> = Vec::with_capacity(passes.len());
    for pass in passes {
        let same = |other: &Pass| {
            (near(pass.start, other.start) && near(pass.end, other.end))
                || (near(pass.start, other.end) && near(pass.end, other.start))
        };
        if !kept.iter().any(same) {
            kept.push(pass);
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stretch(x: f64, from: f64, to: f64) -> Stretch {
        Stretch {
            start: Coord { x, y: from },
            end: Coord { x, y: to },
            half_width_m: 500.0,
            target_pod: 0.5,
        }
    }

    fn offers(passes: &[Pass], x: (f64, f64), y: (f64, f64)) -> bool {
        passes.iter().any(|p| {
            let ends = [(p.start, p.end), (p.end, p.start)];
            ends.iter().any(|(a, b)| {
                (a.x - x.0).abs() < 60.0
                    && (b.x - x.1).abs() < 60.0
                    && (a.y - y.0).abs() < 60.0
                    && (b.y - y.1).abs() < 60.0
            })
        })
    }

    /// A missed strip is offered whole; two side by side also as one pass midway between them.
    #[test]
    fn along_the_holes() {
        let passes = candidates(
            &[stretch(0.0, 0.0, 9_000.0), stretch(1_000.0, 0.0, 9_000.0)],
            1000.0,
        );
        assert!(offers(&passes, (0.0, 0.0), (0.0, 9_000.0)));
        assert!(offers(&passes, (1_000.0, 1_000.0), (0.0, 9_000.0)));
        assert!(offers(&passes, (500.0, 500.0), (0.0, 9_000.0)));
    }

    /// Eight legs cut short at one edge are also offered as one pass across.
    #[test]
    fn across_the_holes() {
        let holes: Vec<Stretch> = (0..8)
            .map(|i| stretch(f64::from(i) * 1_000.0, 8_000.0, 9_000.0))
            .collect();
        let passes = candidates(&holes, 1000.0);
        assert!(offers(&passes, (-500.0, 7_500.0), (8_500.0, 8_500.0)));
    }

    /// Two holes far apart in one strip are offered each alone and both in one.
    #[test]
    fn one_line_or_two() {
        let passes = candidates(
            &[stretch(0.0, 0.0, 2_000.0), stretch(0.0, 7_000.0, 9_000.0)],
            1000.0,
        );
        assert!(offers(&passes, (0.0, 0.0), (0.0, 2_000.0)));
        assert!(offers(&passes, (0.0, 0.0), (7_000.0, 9_000.0)));
        assert!(offers(&passes, (0.0, 0.0), (0.0, 9_000.0)));
    }

    /// The steps of a stretch hold every cell of its ground once.
    #[test]
    fn steps_share_out_the_cells() {
        let grid = crate::coverage::raster::Grid {
            origin: Coord {
                x: -2_000.0,
                y: -2_000.0,
            },
            cell_m: 100.0,
            columns: 120,
            rows: 120,
        };
        let cells = vec![1.0; 120 * 120];
        let field = Field::new(&grid, &cells, &vec![0.0; 120 * 120], 1);
        let slanting = Stretch {
            start: Coord { x: 0.0, y: 0.0 },
            end: Coord {
                x: 4_000.0,
                y: 3_000.0,
            },
            half_width_m: 500.0,
            target_pod: 0.5,
        };
        let (steps, step_m) = slanting.steps(&field);
        assert!((step_m * steps.len() as f64 - 5_000.0).abs() < 1e-6);
        let mut all: Vec<u32> = steps.concat();
        let count = all.len();
        all.sort_unstable();
        all.dedup();
        assert_eq!(all.len(), count);
        // 5 km by 1 km in cells of 0.01 km², but for the edge.
        assert!((480..=520).contains(&count), "{count}");
    }
}
