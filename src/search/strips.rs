//! The strips of all plans, how they stand after all sorties, and who flew over them.

use super::{Ground, Sortie};
use crate::coverage::raster::Raster;
use crate::coverage::strips::{StripLine, strips};
use crate::coverage::{PodBand, Strip};
use crate::geodesy::{LocalFrame, geodesic};
use crate::measure::AlongSpan;
use crate::plan::Leg;
use crate::units::Length;
use chrono::{DateTime, Utc};
use geo::Coord;
use serde::Serialize;

/// Legs whose ends lie within this of each other, in spacings, are one strip. Chosen: the same plan laid
/// out twice, or read from a route file that rounds its places.
const SAME_SPACINGS: f64 = 0.1;
/// Least share of a strip's length that a passage must run along within it to have flown over it. Chosen:
/// crossing a strip is not flying along it.
const FLOWN_SHARE: f64 = 0.25;
/// Steps in which lines are followed through a strip, in spacings.
const STEP_SPACINGS: f64 = 0.1;

/// A passage over a strip.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FlownBy {
    /// Name of the sortie.
    pub sortie: String,
    /// Label of its leg, planned or additional.
    pub leg: String,
    /// Its beginning.
    pub from: DateTime<Utc>,
    /// Share of the strip's length that it ran along, 0 to 1.
    pub share: f64,
}

/// A strip in the search as a whole.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SearchStrip {
    /// Sorties that were tasked with it.
    pub tasked: Vec<String>,
    /// The strip as it stands; its label says the sortie as well where several plans differ.
    #[serde(flatten)]
    pub strip: Strip,
    /// Its mean POD with the band of it.
    pub pod_band: PodBand,
    /// POD wanted across it.
    pub target_pod: f64,
    /// Every passage along it, in the order flown.
    pub flown_by: Vec<FlownBy>,
    /// Probability of success that one more pass along its middle would add.
    pub gain: f64,
}

/// A strip before it is judged.
#[derive(Clone, Debug)]
pub(super) struct Wanted {
    pub tasked: Vec<String>,
    pub leg: Leg,
    pub unrecorded: Vec<AlongSpan>,
    pub spacing: Length,
    pub target_pod: f64,
}

impl Wanted {
    pub(super) fn line(&self) -> StripLine<'_> {
        StripLine {
            leg: &self.leg,
            unrecorded: &self.unrecorded,
            spacing: self.spacing,
            target_pod: self.target_pod,
        }
    }
}

/// The strips of all plans, those that coincide only once; `target_pod` overrides the targets of the
/// sorties.
pub(super) fn wanted(sorties: &[Sortie], target_pod: Option<f64>) -> Vec<Wanted> {
    let mut all: Vec<Wanted> = Vec::new();
    for sortie in sorties {
        for (leg, state) in sortie.search_legs() {
            let spacing = sortie.plan.spacing;
            let target_pod = target_pod.unwrap_or(sortie.coverage.target_pod);
            match all.iter_mut().find(|other| is_same(other, leg, spacing)) {
                Some(same) => {
                    if same.tasked.last() != Some(&sortie.name) {
                        same.tasked.push(sortie.name.clone());
                    }
                    same.unrecorded.extend(state.unrecorded.iter().cloned());
                    same.target_pod = same.target_pod.max(target_pod);
                }
                None => all.push(Wanted {
                    tasked: vec![sortie.name.clone()],
                    leg: leg.clone(),
                    unrecorded: state.unrecorded.clone(),
                    spacing,
                    target_pod,
                }),
            }
        }
    }
    // A label alone says which strip is meant as long as no other has it.
    let labels: Vec<String> = all.iter().map(|w| w.leg.label.clone()).collect();
    for wanted in &mut all {
        if labels.iter().filter(|l| **l == wanted.leg.label).count() > 1 {
            wanted.leg.label = format!("{} {}", wanted.tasked[0], wanted.leg.label);
        }
    }
    all
}

fn is_same(other: &Wanted, leg: &Leg, spacing: Length) -> bool {
    let near = |a, b| geodesic::distance(a, b).m() <= SAME_SPACINGS * spacing.m();
    (other.spacing.m() - spacing.m()).abs() <= SAME_SPACINGS * spacing.m()
        && ((near(other.leg.start, leg.start) && near(other.leg.end, leg.end))
            || (near(other.leg.start, leg.end) && near(other.leg.end, leg.start)))
}

/// The strips judged by the POD of the search, `ends` its POD at least and at most.
pub(super) fn judged(
    wanted: &[Wanted],
    lines: &[StripLine<'_>],
    standing: Vec<Strip>,
    ends: &[Raster; 2],
    ground: &Ground,
    sorties: &[Sortie],
    gains: &[f64],
) -> Vec<SearchStrip> {
    let [low, high] = ends.each_ref().map(|raster| strips(lines, raster));
    standing
        .into_iter()
        .zip(low.iter().zip(&high))
        .zip(wanted)
        .zip(gains)
        .map(|(((strip, (low, high)), wanted), gain)| SearchStrip {
            tasked: wanted.tasked.clone(),
            pod_band: PodBand {
                pod: strip.mean_pod,
                low: low.mean_pod,
                high: high.mean_pod,
            },
            strip,
            target_pod: wanted.target_pod,
            flown_by: flown_by(wanted, &ground.frame, sorties),
            gain: *gain,
        })
        .collect()
}

fn flown_by(wanted: &Wanted, frame: &LocalFrame, sorties: &[Sortie]) -> Vec<FlownBy> {
    let strip = InPlane::new(wanted, frame);
    sorties
        .iter()
        .flat_map(|sortie| {
            let lines = sortie.looks.lines_in(frame).unwrap_or_default();
            let passages = sortie.looks.passages.iter().enumerate();
            passages
                .filter_map(|(i, passage)| {
                    let inside_m: f64 = lines
                        .iter()
                        .filter(|line| line.passage == i)
                        .map(|line| strip.inside_m(&line.line))
                        .sum();
                    let share = inside_m / strip.length_m;
                    (share >= FLOWN_SHARE).then(|| FlownBy {
                        sortie: sortie.name.clone(),
                        leg: passage.leg.clone(),
                        from: passage.from,
                        share: share.min(1.0),
                    })
                })
                .collect::<Vec<_>>()
        })
        .collect()
}

/// A strip in the plane.
struct InPlane {
    start: Coord<f64>,
    along: Coord<f64>,
    length_m: f64,
    half_width_m: f64,
}

impl InPlane {
    fn new(wanted: &Wanted, frame: &LocalFrame) -> Self {
        let (a, b) = (
            frame.forward(wanted.leg.start),
            frame.forward(wanted.leg.end),
        );
        let length_m = (b.x - a.x).hypot(b.y - a.y).max(f64::MIN_POSITIVE);
        Self {
            start: a,
            along: Coord {
                x: (b.x - a.x) / length_m,
                y: (b.y - a.y) / length_m,
            },
            length_m,
            half_width_m: wanted.spacing.m() / 2.0,
        }
    }

    /// Progress along the strip, metres, of the parts of a line that lie in it.
    fn inside_m(&self, line: &[Coord<f64>]) -> f64 {
        let step_m = STEP_SPACINGS * 2.0 * self.half_width_m;
        line.windows(2)
            .map(|pair| {
                let (dx, dy) = (pair[1].x - pair[0].x, pair[1].y - pair[0].y);
                let steps = (dx.hypot(dy) / step_m).ceil().max(1.0);
                let progress_m = (dx * self.along.x + dy * self.along.y).abs() / steps;
                let inside = (0..steps as usize)
                    .filter(|k| {
                        let t = (*k as f64 + 0.5) / steps;
                        self.contains(pair[0].x + t * dx, pair[0].y + t * dy)
                    })
                    .count();
                progress_m * inside as f64
            })
            .sum()
    }

    fn contains(&self, x: f64, y: f64) -> bool {
        let (dx, dy) = (x - self.start.x, y - self.start.y);
        let along_m = dx * self.along.x + dy * self.along.y;
        let cross_m = dx * self.along.y - dy * self.along.x;
        (0.0..=self.length_m).contains(&along_m) && cross_m.abs() <= self.half_width_m
    }
}
