//! What lies on the map, from the ground up.

use super::frame::MapFrame;
use super::style::{AREA, HoleStyle, PLANNED, REFLY, phase_pen};
use crate::coverage::{Hole, Raster};
use crate::debrief::Debrief;
use crate::matching::Phase;
use crate::measure::OutsideKind;
use crate::plan::{Leg, LegKind};
use crate::refly::ReflyLeg;
use crate::report::drawing::clip::clipped;
use crate::report::drawing::hatch::hatched;
use crate::report::drawing::{Anchor, Levels, Pen, Scene, Shape, Words, closed, xy};
use crate::report::fonts;
use crate::report::format::{duration, nm, nm_figure, percent, utc};
use crate::report::palette::{Ink, pod_level};
use geo::{Coord, Rect};

/// Most cells drawn along one side of a map. Beyond it every second, third … cell is drawn: no
/// screen shows more.
const MOST_CELLS: usize = 2_000;
/// Distance of hatching lines, pixels.
const HATCH_PX: f64 = 7.0;
/// Size of numbers on the map, pixels per em.
const NUMBER_PX: f64 = 12.0;

/// Draws everything.
pub fn draw(scene: &mut Scene, debrief: &Debrief, frame: &MapFrame<'_>) {
    scene.add(detection(&debrief.coverage.raster, frame));
    for hole in debrief.strips.iter().flat_map(|strip| &strip.holes) {
        scene.add(hole_shape(hole, hole.cause.name(), frame));
    }
    let area = closed(frame.line(&debrief.plan.area_corners));
    scene.add(Shape::Lines {
        lines: clipped(&area, frame.rect()),
        pen: AREA,
    });
    for leg in &debrief.plan.legs {
        scene.add(planned(leg, debrief, frame));
    }
    // The legs lie on top of turns and transits, where they cross.
    let on_leg = |phase| matches!(phase, Phase::SearchLeg | Phase::AdditionalLeg);
    for leg_turn in [false, true] {
        for piece in debrief
            .track
            .iter()
            .filter(|piece| on_leg(piece.phase) == leg_turn)
        {
            let lines = frame.visible(&piece.line);
            let leg = piece
                .leg
                .as_ref()
                .map_or_else(String::new, |leg| format!(" {leg}"));
            let name = format!("Flown: {}{leg}", piece.phase.name());
            let pen = phase_pen(piece.phase).scaled(frame.weight());
            scene.add(Shape::Named {
                name,
                shapes: vec![Shape::Lines { lines, pen }],
            });
        }
    }
    for leg in &debrief.refly.legs {
        scene.add(to_refly(leg, frame));
    }
    crossings(scene, debrief, frame);
    labels(scene, debrief, frame);
}

/// The raster as a picture with the northernmost row on top.
#[must_use]
pub fn levels(raster: &Raster) -> (Levels, usize) {
    let stride = raster
        .grid
        .columns
        .max(raster.grid.rows)
        .div_ceil(MOST_CELLS)
        .max(1);
    let (columns, rows) = (
        raster.grid.columns.div_ceil(stride),
        raster.grid.rows.div_ceil(stride),
    );
    let mut levels = Vec::with_capacity(columns * rows);
    for row in (0..rows).rev() {
        for column in 0..columns {
            // The middle cell of each block stands for it.
            let (x, y) = (column * stride + stride / 2, row * stride + stride / 2);
            let inside = x < raster.grid.columns && y < raster.grid.rows;
            let pod = if inside {
                f64::from(raster.value(x, y))
            } else {
                f64::NAN
            };
            levels.push(pod_level(pod));
        }
    }
    (
        Levels {
            columns,
            rows,
            levels,
        },
        stride,
    )
}

/// The POD of every cell, in its colour.
pub(in crate::report) fn detection(raster: &Raster, frame: &MapFrame<'_>) -> Shape {
    let (levels, stride) = levels(raster);
    let block_m = raster.grid.cell_m * stride as f64;
    let (wide_m, high_m) = (
        levels.columns as f64 * block_m,
        levels.rows as f64 * block_m,
    );
    let at = frame.plane_point(raster.grid.origin + xy(0.0, high_m));
    Shape::Levels {
        at,
        size: xy(wide_m, high_m) * frame.px_per_m(),
        levels,
    }
}

/// A hole, hatched, with the name of its cause.
pub(in crate::report) fn hole_shape(hole: &Hole, cause: &str, frame: &MapFrame<'_>) -> Shape {
    let style = HoleStyle::of(hole.cause);
    let ring = frame.line(&hole.outline);
    let name = format!(
        "Strip {}, {} to {} NM from the start of the leg: {cause}, mean POD {}",
        hole.leg,
        nm_figure(hole.span.from, 1),
        nm_figure(hole.span.to, 1),
        percent(hole.mean_pod)
    );
    let hatching = hatched(&ring, style.slant, HATCH_PX);
    Shape::Named {
        name,
        shapes: vec![
            Shape::Lines {
                lines: hatching,
                pen: style.hatching,
            },
            Shape::Lines {
                lines: vec![closed(ring)],
                pen: style.outline,
            },
        ],
    }
}

fn planned(leg: &Leg, debrief: &Debrief, frame: &MapFrame<'_>) -> Shape {
    let pen = match leg.kind {
        LegKind::Search => PLANNED,
        LegKind::Cross => Pen {
            width: 0.8,
            casing: None,
            ink: Ink::Faint,
            ..PLANNED
        },
    }
    .scaled(frame.weight());
    let state = debrief
        .legs
        .iter()
        .find(|report| report.leg == leg.label)
        .map_or_else(String::new, |report| format!(", {}", report.state.name()));
    let name = format!("Planned leg {}, {}{state}", leg.label, nm(leg.length, 2));
    let lines = clipped(
        &[frame.place(leg.start), frame.place(leg.end)],
        frame.rect(),
    );
    Shape::Named {
        name,
        shapes: vec![Shape::Lines { lines, pen }],
    }
}

/// A leg to re-fly.
pub(in crate::report) fn to_refly(leg: &ReflyLeg, frame: &MapFrame<'_>) -> Shape {
    let line = [frame.place(leg.start), frame.place(leg.end)];
    Shape::Named {
        name: format!("Leg to re-fly {}, {}", leg.label, nm(leg.length, 2)),
        shapes: vec![Shape::Lines {
            lines: clipped(&line, frame.rect()),
            pen: REFLY.scaled(frame.weight()),
        }],
    }
}

/// Where the area was left and entered again, other than in turns.
fn crossings(scene: &mut Scene, debrief: &Debrief, frame: &MapFrame<'_>) {
    let spans = debrief
        .area_time
        .outside
        .iter()
        .filter(|span| span.kind != OutsideKind::Turn);
    for span in spans {
        let name = format!(
            "Out of the area ({}) from {} for {}, at most {} away",
            span.kind.name(),
            utc(span.from),
            duration(span.duration_s),
            nm(span.farthest, 2)
        );
        let rings = [span.left_at, span.entered_at].map(|place| circle(frame.place(place), 4.0));
        let pen = Pen::solid(Ink::Excursion, 1.6).cased(Ink::Paper);
        scene.add(Shape::Named {
            name,
            shapes: vec![Shape::Lines {
                lines: rings.into(),
                pen,
            }],
        });
    }
}

/// A small ring as a line.
#[must_use]
pub fn circle(centre: Coord<f64>, radius: f64) -> Vec<Coord<f64>> {
    (0..=16)
        .map(|step| (f64::from(step) * 22.5_f64.to_radians()).sin_cos())
        .map(|(sin, cos)| centre + xy(radius * sin, radius * cos))
        .collect()
}

/// Numbers of the legs at their beginnings, of additional legs and of those to re-fly. Where they
/// would lie on each other the more important ones stay: first those to re-fly, then legs below target.
fn labels(scene: &mut Scene, debrief: &Debrief, frame: &MapFrame<'_>) {
    let mut taken: Vec<Rect<f64>> = Vec::new();
    let mut wanted: Vec<(bool, Coord<f64>, &str, Ink)> = Vec::new();
    for leg in &debrief.refly.legs {
        let middle = (frame.place(leg.start) + frame.place(leg.end)) / 2.0;
        wanted.push((true, middle, &leg.label, Ink::Text));
    }
    for leg in debrief
        .plan
        .legs
        .iter()
        .filter(|leg| leg.kind == LegKind::Search)
    {
        let hole = debrief
            .strips
            .iter()
            .any(|strip| strip.leg == leg.label && strip.needs_refly());
        wanted.push((hole, beside(frame, leg), &leg.label, Ink::Text));
    }
    for leg in &debrief.additional_legs {
        let start = frame.place(leg.start);
        wanted.push((false, start, &leg.label, Ink::AdditionalLeg));
    }
    wanted.sort_by_key(|(first, ..)| !first);
    for (first, at, label, ink) in wanted {
        let width = fonts::width(label, NUMBER_PX, first);
        let half = xy(width / 2.0 + 2.0, NUMBER_PX / 2.0 + 1.0);
        let (edge, size) = (half + xy(1.0, 1.0), frame.size());
        let at = xy(
            at.x.clamp(edge.x, (size.x - edge.x).max(edge.x)),
            at.y.clamp(edge.y, (size.y - edge.y).max(edge.y)),
        );
        let place = Rect::new(at - half, at + half);
        if taken.iter().any(|other| overlap(*other, place)) {
            continue;
        }
        taken.push(place);
        let words = Words::new(at, NUMBER_PX, label)
            .anchored(Anchor::Middle)
            .inked(ink);
        scene.words(Words {
            bold: first,
            glow: true,
            ..words
        });
    }
}

/// A little before the start of a leg, in line with it.
fn beside(frame: &MapFrame<'_>, leg: &Leg) -> Coord<f64> {
    let (start, end) = (frame.place(leg.start), frame.place(leg.end));
    let along = end - start;
    let length = along.x.hypot(along.y);
    if length > 0.0 {
        start - along * (13.0 / length)
    } else {
        start
    }
}

/// Whether two rectangles have ground in common.
#[must_use]
pub fn overlap(a: Rect<f64>, b: Rect<f64>) -> bool {
    a.min().x < b.max().x && b.min().x < a.max().x && a.min().y < b.max().y && b.min().y < a.max().y
}
