//! Strips and the holes in them.
//!
//! A strip is the ground one spacing wide centred on a search leg, as far as it lies in the area. A
//! place along it is *at target* when the mean POD across the strip there reaches the target; a
//! *hole* is a stretch below it.

use super::raster::Raster;
use super::ribbon::Ribbon;
use super::segment::Segment;
use crate::geodesy::Position;
use crate::measure::AlongSpan;
use crate::measure::intervals::{Interval, within, without};
use crate::plan::pattern::strip_outline;
use crate::plan::{Leg, LegKind};
use crate::units::Length;
use geo::Coord;
use serde::Serialize;

/// Shortest stretch below target that is a hole, in spacings; shorter ones only lower the share at
/// target. Chosen: less is not worth a pass of its own.
const HOLE_SPACINGS: f64 = 0.5;
/// Parts of a hole beside a hole in the log that are no longer than this, in spacings, or two cells, are the
/// edge of it. Chosen: so far from its end a searched stretch can fall below target.
const EDGE_SPACINGS: f64 = 0.3;
/// Holes nearer to each other than this are one, in spacings. Chosen.
const JOIN_SPACINGS: f64 = 0.2;

/// Why a stretch is below target.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum HoleCause {
    /// The log shows that the aircraft was not there, or too far off.
    Missed,
    /// The log has a hole: it may have been searched.
    NotRecorded,
}

impl HoleCause {
    /// Name for people.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Missed => "missed",
            Self::NotRecorded => "not recorded",
        }
    }
}

/// A stretch of a strip below target, long enough to be worth flying again.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Hole {
    /// Label of the leg in the middle of the strip.
    pub leg: String,
    /// Why.
    pub cause: HoleCause,
    /// From where to where along the planned leg.
    pub span: AlongSpan,
    /// Its ground inside the area, square metres.
    pub area_m2: f64,
    /// Mean POD over it.
    pub mean_pod: f64,
    /// Its outline: a ring of corners, not repeating the first.
    pub outline: Vec<Position>,
}

/// A strip and how well it was searched.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Strip {
    /// Label of the leg in its middle.
    pub leg: String,
    /// Outline of the strip: a ring of corners, not repeating the first.
    pub outline: Vec<Position>,
    /// Its ground inside the area, square metres.
    pub area_m2: f64,
    /// Share of its ground that lies at places along it at or above target, 0 to 1.
    pub share_at_target: f64,
    /// Mean POD over it.
    pub mean_pod: f64,
    /// Lowest mean POD across it.
    pub lowest_pod: f64,
    /// Where along the leg the lowest is.
    #[serde(rename = "lowest_at_m")]
    pub lowest_at: Length,
    /// Its holes, in order along the leg.
    pub holes: Vec<Hole>,
}

impl Strip {
    /// Whether it has holes to fly again.
    #[must_use]
    pub fn needs_refly(&self) -> bool {
        !self.holes.is_empty()
    }
}

/// A strip to be judged, and by what.
#[derive(Clone, Copy, Debug)]
pub struct StripLine<'a> {
    /// The leg in its middle.
    pub leg: &'a Leg,
    /// Stretches of the leg that a hole in the log may hide.
    pub unrecorded: &'a [AlongSpan],
    /// Its width.
    pub spacing: Length,
    /// Mean POD wanted across it.
    pub target_pod: f64,
}

/// One step along a strip: the cells across it.
#[derive(Clone, Copy, Debug, Default)]
struct Step {
    cells: u32,
    pod_sum: f64,
}

impl Step {
    fn pod(&self) -> f64 {
        self.pod_sum / f64::from(self.cells)
    }
}

/// Judges every strip.
#[must_use]
pub fn strips(lines: &[StripLine<'_>], raster: &Raster) -> Vec<Strip> {
    let judged = lines.iter().map(|line| {
        let (frame, steps, good) = walked(line, raster);
        judge(line, &frame, &steps, &good, raster.grid.cell_m)
    });
    judged.collect()
}

/// As [`strips`]; also says of each cell of the raster that lies in one whether it is at target in any of
/// them.
#[must_use]
pub fn strips_and_cells(
    lines: &[StripLine<'_>],
    raster: &Raster,
) -> (Vec<Strip>, Vec<Option<bool>>) {
    let mut at_target = vec![None; raster.values.len()];
    let judged = lines.iter().map(|line| {
        let (frame, steps, good) = walked(line, raster);
        frame.for_cells(raster, |cell, _, step| {
            at_target[cell] = Some(at_target[cell] == Some(true) || good[step]);
        });
        judge(line, &frame, &steps, &good, raster.grid.cell_m)
    });
    (judged.collect(), at_target)
}

/// A strip step by step, and which steps are at target.
fn walked(line: &StripLine<'_>, raster: &Raster) -> (StripFrame, Vec<Step>, Vec<bool>) {
    let frame = StripFrame::new(line, raster);
    let mut steps = vec![Step::default(); frame.steps];
    frame.for_cells(raster, |_, pod, step| {
        let step = &mut steps[step];
        step.cells += 1;
        step.pod_sum += f64::from(pod);
    });
    let good = steps
        .iter()
        .map(|s| s.cells == 0 || s.pod() >= line.target_pod)
        .collect();
    (frame, steps, good)
}

fn judge(
    line: &StripLine<'_>,
    frame: &StripFrame,
    steps: &[Step],
    good: &[bool],
    cell_m: f64,
) -> Strip {
    let leg = line.leg;
    let cells: u32 = steps.iter().map(|s| s.cells).sum();
    let of = |keep: &dyn Fn(usize) -> bool| -> (u32, f64) {
        (0..steps.len())
            .filter(|i| keep(*i))
            .fold((0, 0.0), |(n, sum), i| {
                (n + steps[i].cells, sum + steps[i].pod_sum)
            })
    };
    let share = |part: u32| {
        if cells == 0 {
            0.0
        } else {
            f64::from(part) / f64::from(cells)
        }
    };
    let (good_cells, _) = of(&|i| good[i]);
    let (_, pod_sum) = of(&|_| true);
    let lowest = (0..steps.len())
        .filter(|i| steps[*i].cells > 0)
        .min_by(|a, b| steps[*a].pod().total_cmp(&steps[*b].pod()));
    let unrecorded: Vec<Interval> = line
        .unrecorded
        .iter()
        .map(|span| (span.from.m(), span.to.m()))
        .collect();
    let holes = below_target(frame, steps, good, leg.length.m(), line.spacing.m())
        .into_iter()
        .flat_map(|hole| {
            let hidden = within(hole, &unrecorded)
                .into_iter()
                .map(|i| (i, HoleCause::NotRecorded));
            let missed = without(hole, &unrecorded)
                .into_iter()
                .map(|i| (i, HoleCause::Missed));
            let least_m = (2.0 * cell_m).max(EDGE_SPACINGS * line.spacing.m());
            let is_split = !within(hole, &unrecorded).is_empty();
            let mut parts: Vec<(Interval, HoleCause)> = hidden
                .chain(missed)
                // Detection thins out beside the edge of a hole in the log.
                .filter(|((low, high), _)| !is_split || high - low > least_m)
                .collect();
            parts.sort_by(|a, b| a.0.0.total_cmp(&b.0.0));
            parts
        })
        .map(|((low, high), cause)| {
            let (n, sum) = of(&|i| {
                let middle = frame.along_m(i) + frame.step_m / 2.0;
                (low..=high).contains(&middle)
            });
            let part = Leg::new(
                leg.label.clone(),
                LegKind::Search,
                leg.at(Length::from_m(low)),
                leg.at(Length::from_m(high)),
            );
            let half = Length::from_m(line.spacing.m() / 2.0);
            Hole {
                leg: leg.label.clone(),
                cause,
                span: AlongSpan::on(leg, Length::from_m(low), Length::from_m(high)),
                area_m2: f64::from(n) * cell_m * cell_m,
                mean_pod: if n == 0 { 0.0 } else { sum / f64::from(n) },
                outline: strip_outline(&part, half, Length::from_m(0.0)).to_vec(),
            }
        })
        .collect();
    let half = Length::from_m(line.spacing.m() / 2.0);
    Strip {
        leg: leg.label.clone(),
        outline: strip_outline(leg, half, half).to_vec(),
        area_m2: f64::from(cells) * cell_m * cell_m,
        share_at_target: share(good_cells),
        mean_pod: if cells == 0 {
            0.0
        } else {
            pod_sum / f64::from(cells)
        },
        lowest_pod: lowest.map_or(0.0, |i| steps[i].pod()),
        lowest_at: Length::from_m(lowest.map_or(0.0, |i| frame.along_m(i) + frame.step_m / 2.0)),
        holes,
    }
}

/// Stretches below target, joined and long enough, between the ends of the leg: what lies past them
/// is swept by flying the leg.
fn below_target(
    frame: &StripFrame,
    steps: &[Step],
    good: &[bool],
    length_m: f64,
    spacing_m: f64,
) -> Vec<Interval> {
    let mut holes: Vec<Interval> = Vec::new();
    for i in (0..steps.len()).filter(|i| !good[*i]) {
        let (low, high) = (
            frame.along_m(i).max(0.0),
            (frame.along_m(i) + frame.step_m).min(length_m),
        );
        if high <= low {
            continue;
        }
        match holes.last_mut() {
            Some(last) if low - last.1 <= JOIN_SPACINGS * spacing_m => last.1 = high,
            _ => holes.push((low, high)),
        }
    }
    let least = (HOLE_SPACINGS * spacing_m).min(length_m / 2.0);
    holes.retain(|(low, high)| high - low >= least);
    holes
}

/// A strip in the plane of the raster, cut into steps of one cell along its leg, from half a spacing before
/// the leg to half a spacing past it.
struct StripFrame {
    ribbon: Ribbon,
    step_m: f64,
    steps: usize,
}

impl StripFrame {
    fn new(line: &StripLine<'_>, raster: &Raster) -> Self {
        let place = |at| raster.frame.forward(at);
        let (a, b) = (place(line.leg.start), place(line.leg.end));
        let segment = Segment::between(a, b).unwrap_or(Segment {
            start: a,
            along: Coord { x: 0.0, y: 1.0 },
            length_m: 0.0,
        });
        let half_width_m = line.spacing.m() / 2.0;
        let whole_m = segment.length_m + 2.0 * half_width_m;
        let steps = (whole_m / raster.grid.cell_m).ceil().max(1.0);
        Self {
            ribbon: Ribbon {
                segment,
                along_m: -half_width_m..=segment.length_m + half_width_m,
                cross_m: -half_width_m..=half_width_m,
            },
            step_m: whole_m / steps,
            steps: steps as usize,
        }
    }

    /// Where step `i` begins, metres from the leg's start.
    fn along_m(&self, i: usize) -> f64 {
        self.ribbon.along_m.start() + self.step_m * i as f64
    }

    /// Calls `f(cell, its POD, step)` for every cell of the area in the strip.
    fn for_cells(&self, raster: &Raster, mut f: impl FnMut(usize, f32, usize)) {
        let (begin_m, steps_a_metre) = (self.along_m(0), self.step_m.recip());
        let last = self.steps - 1;
        self.ribbon.for_rows(&raster.grid, |row| {
            let pods = &raster.values[row.cells.clone()];
            for (i, pod) in pods.iter().enumerate() {
                if !pod.is_nan() {
                    let step = ((row.along_m(i) - begin_m) * steps_a_metre) as u32 as usize;
                    f(row.cells.start + i, *pod, step.min(last));
                }
            }
        });
    }
}
