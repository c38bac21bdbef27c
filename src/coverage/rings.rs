//! Detection by distance from the datum.
//!
//! A sector search and an expanding square are laid about the most likely place. In a sector search the
//! spokes part as they go out: at a distance r neighbours lie 2 r sin(θ/2) apart, so detection falls
//! outward even when it is flown perfectly. What was flown is therefore set beside what the plan gives at
//! the same distance.

use super::look::Look;
use super::looking::LookingLine;
use super::raster::{Grid, Raster};
use crate::detection::law::pod;
use crate::geodesy::Position;
use crate::plan::{PatternKind, Plan};
use crate::units::Length;
use serde::Serialize;

/// Rings from the datum to the farthest end of a leg. Chosen.
const RINGS: usize = 10;

/// Detection by distance from the datum.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ByDistance {
    /// The datum.
    pub datum: Position,
    /// Rings of equal width from the datum to the farthest end of a leg, the innermost first.
    pub rings: Vec<Ring>,
}

/// The ground between two distances from the datum, as far as it lies in the area.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Ring {
    /// Inner distance.
    #[serde(rename = "from_m")]
    pub from: Length,
    /// Outer distance.
    #[serde(rename = "to_m")]
    pub to: Length,
    /// Cells of the raster in it.
    pub cells: usize,
    /// Their size together.
    pub area_m2: f64,
    /// Mean POD as flown, under the deciding law; `None` where the area has no cell.
    pub mean_pod: Option<f64>,
    /// The same had every search leg been flown just as planned.
    pub planned_pod: Option<f64>,
    /// Share of the cells that are at target.
    pub share_at_target: Option<f64>,
}

/// How many cells of the raster, in either direction, one cell of what is planned stands for. Chosen: a quarter of
/// the cells are enough for means over rings.
const PLANNED_COARSER: usize = 2;

/// POD had every search leg been flown just as planned.
#[derive(Debug)]
pub struct PlannedPods {
    columns: usize,
    pods: Vec<f64>,
}

impl PlannedPods {
    /// Over the ground of a grid.
    #[must_use]
    pub fn over(grid: &Grid, plan: &Plan, look: &Look) -> Self {
        let lines: Vec<LookingLine> = plan
            .search_legs()
            .enumerate()
            .map(|(passage, (_, leg))| LookingLine {
                passage,
                line: vec![plan.frame.forward(leg.start), plan.frame.forward(leg.end)],
            })
            .collect();
        let coarse = Grid {
            cell_m: PLANNED_COARSER as f64 * grid.cell_m,
            columns: grid.columns.div_ceil(PLANNED_COARSER),
            rows: grid.rows.div_ceil(PLANNED_COARSER),
            ..*grid
        };
        let exposure = look.exposure(&coarse, &lines);
        Self {
            columns: coarse.columns,
            pods: exposure.iter().map(|f| pod(f64::from(*f))).collect(),
        }
    }

    /// Under a row of the raster.
    fn row(&self, row: usize) -> &[f64] {
        let first = row / PLANNED_COARSER * self.columns;
        &self.pods[first..first + self.columns]
    }
}

#[derive(Clone, Copy, Default)]
struct Sums {
    cells: usize,
    flown: f64,
    planned: f64,
    at_target: usize,
}

impl ByDistance {
    /// Detection by distance, for a pattern about a datum; `planned` gives the POD as planned, and is asked
    /// only then.
    #[must_use]
    pub fn of(
        plan: &Plan,
        raster: &Raster,
        at_target: &[bool],
        planned: impl FnOnce() -> PlannedPods,
    ) -> Option<Self> {
        let about_datum = matches!(
            plan.pattern,
            PatternKind::Sector | PatternKind::ExpandingSquare
        );
        let (_, first) = plan.search_legs().next().filter(|_| about_datum)?;
        let datum = plan.frame.forward(first.start);
        let reach_m = plan
            .search_legs()
            .map(|(_, leg)| {
                let v = plan.frame.forward(leg.end) - datum;
                v.x.hypot(v.y)
            })
            .fold(0.0, f64::max);
        let planned = planned();
        let width_m = reach_m / RINGS as f64;
        let mut sums = [Sums::default(); RINGS];
        let grid = &raster.grid;
        for row in 0..grid.rows {
            let first = grid.centre(0, row) - datum;
            let columns_before =
                |x: f64| (((x - first.x) / grid.cell_m).ceil().max(0.0) as usize).min(grid.columns);
            let half_chord = |ring: usize| {
                let radius_m = ring as f64 * width_m;
                (radius_m * radius_m - first.y * first.y).max(0.0).sqrt()
            };
            let cells = row * grid.columns..(row + 1) * grid.columns;
            let (pods, at_target) = (&raster.values[cells.clone()], &at_target[cells]);
            let planned = planned.row(row);
            for (ring, sum) in sums.iter_mut().enumerate() {
                let (inner, outer) = (half_chord(ring), half_chord(ring + 1));
                for (from, to) in [(-outer, -inner), (inner, outer)] {
                    for column in columns_before(from)..columns_before(to) {
                        if !pods[column].is_nan() {
                            sum.cells += 1;
                            sum.flown += f64::from(pods[column]);
                            sum.planned += planned[column / PLANNED_COARSER];
                            sum.at_target += usize::from(at_target[column]);
                        }
                    }
                }
            }
        }
        let rings = sums
            .iter()
            .enumerate()
            .map(|(i, sum)| {
                let share = |total: f64| (sum.cells > 0).then(|| total / sum.cells as f64);
                Ring {
                    from: Length::from_m(i as f64 * width_m),
                    to: Length::from_m((i + 1) as f64 * width_m),
                    cells: sum.cells,
                    area_m2: sum.cells as f64 * grid.cell_m * grid.cell_m,
                    mean_pod: share(sum.flown),
                    planned_pod: share(sum.planned),
                    share_at_target: share(sum.at_target as f64),
                }
            })
            .collect();
        Some(Self {
            datum: first.start,
            rings,
        })
    }
}
