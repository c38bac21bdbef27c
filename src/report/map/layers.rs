//! What lies on the map, from the ground up.

use super::frame::MapFrame;
use super::style::{AREA, HoleStyle, PLANNED, REFLY, STRIP_AT_TARGET, STRIP_TO_REFLY, phase_pen};
use crate::backdrop::Picture;
use crate::coverage::{Hole, Raster, Strip};
use crate::debrief::{Debrief, TrackPiece};
use crate::matching::Phase;
use crate::measure::OutsideKind;
use crate::plan::{Leg, LegKind};
use crate::refly::ReflyLeg;
use crate::report::backdrop_words;
use crate::report::drawing::clip::clipped;
use crate::report::drawing::hatch::hatched;
use crate::report::drawing::{Anchor, Levels, Pen, Scene, Shape, Words, closed, xy};
use crate::report::fonts;
use crate::report::format::{duration, nm, nm_figure, percent, utc};
use crate::report::palette::{Ink, pod_level};
use geo::{Coord, Rect};
use std::sync::Arc;

/// Most cells drawn along one side of a map. Beyond it every second, third … cell is drawn: no
/// screen shows more.
const MOST_CELLS: usize = 2_000;
/// Distance of hatching lines, pixels.
const HATCH_PX: f64 = 7.0;
/// Size of numbers on the map, pixels per em.
const NUMBER_PX: f64 = 12.0;

/// A layer of the map: its name in pages, its name for people, and whether it shows before anyone asks for it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LayerName {
    /// In pages.
    pub key: &'static str,
    /// For people.
    pub name: &'static str,
    /// Whether it shows at first.
    pub shown: bool,
}

const fn layer(key: &'static str, name: &'static str) -> LayerName {
    LayerName {
        key,
        name,
        shown: true,
    }
}

/// The raster map below all others; there only where one was given.
const BACKDROP: LayerName = layer("backdrop", "Backdrop");
const POD: LayerName = layer("pod", "POD");
const STRIPS: LayerName = LayerName {
    shown: false,
    ..layer("strips", "Strips")
};
const HOLES: LayerName = layer("holes", "Holes");
const EDGE: LayerName = layer("edge", "Edge of the area");
const PLAN: LayerName = layer("plan", "Plan");
/// Where and how it was flown; by what it is coloured can be chosen.
pub const FLOWN: LayerName = layer("flown", "Flight");
const EXCURSIONS: LayerName = layer("excursions", "Excursions");
const TO_REFLY: LayerName = layer("refly", "Re-fly");
const NUMBERS: LayerName = layer("numbers", "Numbers");

/// The layers that a reader may switch, from the ground up.
pub fn layers(debrief: &Debrief) -> impl Iterator<Item = LayerName> {
    debrief.backdrop.iter().map(|_| BACKDROP).chain([
        POD, STRIPS, HOLES, EDGE, PLAN, FLOWN, EXCURSIONS, TO_REFLY, NUMBERS,
    ])
}

/// Draws everything.
pub fn draw(scene: &mut Scene, debrief: &Debrief, frame: &MapFrame<'_>) {
    let mut add = |layer: LayerName, shapes: Vec<Shape>| {
        scene.add(Shape::Layer {
            name: layer.key,
            shown: layer.shown,
            shapes,
        });
    };
    if let Some(picture) = &debrief.backdrop {
        add(BACKDROP, vec![backdrop(picture, frame)]);
    }
    add(POD, vec![detection(&debrief.coverage.raster, frame)]);
    let strips = debrief.strips.iter().map(|strip| outline(strip, frame));
    add(STRIPS, strips.collect());
    let holes = debrief.strips.iter().flat_map(|strip| &strip.holes);
    add(
        HOLES,
        holes
            .map(|hole| hole_shape(hole, hole.cause.name(), frame))
            .collect(),
    );
    let edge = closed(frame.line(&debrief.plan.area_corners));
    add(
        EDGE,
        vec![Shape::Lines {
            lines: clipped(&edge, frame.rect()),
            pen: AREA,
        }],
    );
    let legs = debrief.plan.legs.iter();
    add(PLAN, legs.map(|leg| planned(leg, debrief, frame)).collect());
    let strayed = |piece: &&TrackPiece| piece.phase == Phase::Excursion;
    // The legs lie on top of turns and transits, where they cross.
    let on_leg =
        |piece: &&TrackPiece| matches!(piece.phase, Phase::SearchLeg | Phase::AdditionalLeg);
    let pieces = || debrief.track.iter().filter(|piece| !strayed(piece));
    let others = pieces().filter(|piece| !on_leg(piece));
    let flown = others.chain(pieces().filter(on_leg));
    add(
        FLOWN,
        flown.map(|piece| flown_piece(piece, frame)).collect(),
    );
    let astray = debrief.track.iter().filter(strayed);
    let mut excursions: Vec<Shape> = astray.map(|piece| flown_piece(piece, frame)).collect();
    excursions.push(Shape::Layer {
        name: "crossings",
        shown: true,
        shapes: crossings(debrief, frame),
    });
    add(EXCURSIONS, excursions);
    let refly = debrief.refly.legs.iter();
    add(TO_REFLY, refly.map(|leg| to_refly(leg, frame)).collect());
    add(NUMBERS, numbers(debrief, frame));
}

/// A piece of the flight.
fn flown_piece(piece: &TrackPiece, frame: &MapFrame<'_>) -> Shape {
    let leg = piece
        .leg
        .as_ref()
        .map_or_else(String::new, |leg| format!(" {leg}"));
    Shape::Named {
        name: format!("Flown: {}{leg}", piece.phase.name()),
        shapes: vec![Shape::Lines {
            lines: frame.visible(&piece.line),
            pen: phase_pen(piece.phase).scaled(frame.weight()),
        }],
    }
}

/// The edge of a strip; where something of it is to be flown again it is heavier and broken.
fn outline(strip: &Strip, frame: &MapFrame<'_>) -> Shape {
    let (pen, state) = if strip.needs_refly() {
        (STRIP_TO_REFLY, "to re-fly")
    } else {
        (STRIP_AT_TARGET, "at target")
    };
    let name = format!(
        "Strip {}: {state}, mean POD {}",
        strip.leg,
        percent(strip.mean_pod)
    );
    let ring = closed(frame.line(&strip.outline));
    Shape::Named {
        name,
        shapes: vec![Shape::Lines {
            lines: clipped(&ring, frame.rect()),
            pen: pen.scaled(frame.weight()),
        }],
    }
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

/// The raster map, paled.
pub(in crate::report) fn backdrop(picture: &Arc<Picture>, frame: &MapFrame<'_>) -> Shape {
    let size = xy(picture.columns as f64, picture.rows as f64) * picture.pixel_m;
    Shape::Named {
        name: backdrop_words::named(picture),
        shapes: vec![Shape::Backdrop {
            at: frame.plane_point(picture.corner),
            size: size * frame.px_per_m(),
            picture: Arc::clone(picture),
        }],
    }
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
fn crossings(debrief: &Debrief, frame: &MapFrame<'_>) -> Vec<Shape> {
    let spans = debrief
        .area_time
        .outside
        .iter()
        .filter(|span| span.kind != OutsideKind::Turn);
    spans
        .map(|span| {
            let name = format!(
                "Out of the area ({}) from {} for {}, at most {} away",
                span.kind.name(),
                utc(span.from),
                duration(span.duration_s),
                nm(span.farthest, 2)
            );
            let ring = |place| Shape::Lines {
                lines: vec![circle(frame.place(place), 4.0)],
                pen: Pen::solid(Ink::Excursion, 1.6).cased(Ink::Paper),
            };
            Shape::Named {
                name,
                shapes: vec![ring(span.left_at), ring(span.entered_at)],
            }
        })
        .collect()
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
fn numbers(debrief: &Debrief, frame: &MapFrame<'_>) -> Vec<Shape> {
    let mut numbers = Vec::new();
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
        numbers.push(Shape::Words(Words {
            bold: first,
            glow: true,
            ..words
        }));
    }
    numbers
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
