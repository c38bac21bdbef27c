//! The map of the sheet: area with lettered corners, numbered legs with the way they are flown,
//! start, end and base. Everything can be told without colour.

use crate::plan::{Leg, LegKind};
use crate::report::drawing::{self, Pen, Scene, Shape, closed, rectangle, xy};
use crate::report::format::nm;
use crate::report::map::labels::{Label, Placer, around};
use crate::report::map::{MapFrame, circle, widened};
use crate::report::palette::Ink;
use crate::report::plan::PlanReport;
use geo::{Coord, Rect};

/// Search legs.
pub(super) const SEARCH: Pen = Pen::solid(Ink::Text, 1.5);
/// Cross-legs.
pub(super) const CROSS: Pen = Pen::solid(Ink::Text, 1.1).dashed(&[3.5, 2.5]);
/// The edge of the area.
pub(super) const AREA: Pen = Pen::solid(Ink::Faint, 1.5).dashed(&[11.0, 3.0, 2.0, 3.0]);

/// A base no farther outside plan and area than this share of their longer side is on the map.
/// Chosen: the pattern keeps most of the map.
const BASE_REACH: f64 = 0.35;
/// Half of the side of the start's square, pixels.
const START_PX: f64 = 4.0;
/// Sizes of numbers, pixels per em: where legs lie apart, and where they crowd.
const NUMBER_PX: (f64, f64) = (11.0, 9.0);
/// Legs closer than this crowd, pixels.
const CROWDED_PX: f64 = 13.0;
const LETTER_PX: f64 = 13.0;
const WORD_PX: f64 = 11.0;

/// The projection of the map, and whether the base is on it.
pub(super) fn frame<'a>(report: &PlanReport<'a>, room: (f64, f64)) -> (MapFrame<'a>, bool) {
    let plan = report.plan;
    let plane = &plan.frame;
    let origin = Rect::new(xy(0.0, 0.0), xy(0.0, 0.0));
    let places = plan.legs.iter().flat_map(|leg| [leg.start, leg.end]);
    let ground = places
        .chain(plan.area.corners().iter().copied())
        .map(|place| plane.forward(place))
        .fold(origin, widened);
    let with_base = report
        .tasking
        .flight
        .base
        .map(|base| widened(ground, plane.forward(base)));
    let longer = |rect: Rect<f64>| rect.width().max(rect.height());
    let near = with_base.filter(|wide| longer(*wide) <= (1.0 + BASE_REACH) * longer(ground));
    let frame = MapFrame::of(plane, near.unwrap_or(ground), plan.spacing, room);
    (frame, near.is_some())
}

/// Draws everything on the ground.
pub(super) fn draw(scene: &mut Scene, report: &PlanReport<'_>, frame: &MapFrame<'_>, base: bool) {
    let plan = report.plan;
    scene.add(Shape::Lines {
        lines: vec![closed(frame.line(plan.area.corners()))],
        pen: AREA,
    });
    for leg in &plan.legs {
        scene.add(leg_line(leg, frame));
    }
    let edge = closed(frame.line(plan.area.corners()));
    let edges = edge.windows(2).map(|pair| [pair[0], pair[1]]);
    // The legs first: a leg's line has the leg's index.
    let legs = plan.legs.iter().map(|leg| ends(leg, frame));
    let lines = legs.chain(edges).collect();
    let mut placer = Placer::new(frame.rect(), lines);
    let signs = signs(scene, report, frame, base, &mut placer);
    numbers(scene, report, frame, &mut placer);
    letters(scene, report, frame, &mut placer);
    for leg in &plan.legs {
        arrow(scene, leg, frame, &mut placer);
    }
    for (word, at) in signs {
        let label = Label {
            text: word,
            size: WORD_PX,
            bold: true,
            ink: Ink::Text,
        };
        let mut wishes = around(at, xy(24.0, 13.0));
        wishes.extend(around(at, xy(36.0, 22.0)));
        placer.write(scene, &label, &wishes, None);
    }
}

fn ends(leg: &Leg, frame: &MapFrame<'_>) -> [Coord<f64>; 2] {
    [frame.place(leg.start), frame.place(leg.end)]
}

fn leg_line(leg: &Leg, frame: &MapFrame<'_>) -> Shape {
    let (pen, what) = match leg.kind {
        LegKind::Search => (SEARCH, "Leg"),
        LegKind::Cross => (CROSS, "Cross-leg"),
    };
    Shape::Named {
        name: format!("{what} {}, {}", leg.label, nm(leg.length, 2)),
        shapes: vec![Shape::Lines {
            lines: vec![ends(leg, frame).to_vec()],
            pen,
        }],
    }
}

/// Start, end and base; their words are written last, where there is room.
fn signs(
    scene: &mut Scene,
    report: &PlanReport<'_>,
    frame: &MapFrame<'_>,
    base: bool,
    placer: &mut Placer,
) -> Vec<(&'static str, Coord<f64>)> {
    let legs = &report.plan.legs;
    let mut words = Vec::new();
    if let Some(last) = legs.last() {
        let at = frame.place(last.end);
        end_sign(scene, at);
        placer.keep_free(at, START_PX + 2.0);
    }
    if let Some(first) = legs.first() {
        let at = frame.place(first.start);
        start_sign(scene, at);
        placer.keep_free(at, START_PX + 2.0);
        words.push(("start", at));
    }
    if let Some(place) = report.tasking.flight.base.filter(|_| base) {
        let at = frame.place(place);
        base_sign(scene, at);
        placer.keep_free(at, START_PX + 3.0);
        words.push(("base", at));
    }
    words
}

/// A filled square.
pub(super) fn start_sign(scene: &mut Scene, at: Coord<f64>) {
    let side = 2.0 * START_PX;
    scene.add(Shape::Area {
        ring: rectangle(at - xy(START_PX, START_PX), side, side),
        ink: Ink::Text,
        opacity: 1.0,
    });
}

/// A ring, through which the lines show.
pub(super) fn end_sign(scene: &mut Scene, at: Coord<f64>) {
    scene.line(circle(at, START_PX + 1.5), Pen::solid(Ink::Text, 1.5));
}

/// A triangle.
pub(super) fn base_sign(scene: &mut Scene, at: Coord<f64>) {
    let ring = vec![at + xy(0.0, -6.0), at + xy(5.5, 4.0), at + xy(-5.5, 4.0)];
    scene.add(Shape::Area {
        ring: ring.clone(),
        ink: Ink::Paper,
        opacity: 1.0,
    });
    scene.line(closed(ring), Pen::solid(Ink::Text, 1.5));
}

/// Letters of the corners, outside the area.
fn letters(scene: &mut Scene, report: &PlanReport<'_>, frame: &MapFrame<'_>, placer: &mut Placer) {
    let centre = frame.plane_point(xy(0.0, 0.0));
    for corner in report.corners {
        let at = frame.place(corner.at);
        let outward = unit(at - centre);
        let mut wishes = [13.0, 18.0, 24.0].map(|out| at + outward * out).to_vec();
        wishes.extend(around(at, xy(13.0, 13.0)));
        wishes.extend(around(at, xy(20.0, 20.0)));
        let label = Label {
            text: &corner.letter,
            size: LETTER_PX,
            bold: true,
            ink: Ink::Faint,
        };
        placer.write(scene, &label, &wishes, None);
    }
}

/// Numbers of the search legs: before the start of a leg that a cross-leg leads to, on the leg where
/// it begins where the last one ended.
fn numbers(scene: &mut Scene, report: &PlanReport<'_>, frame: &MapFrame<'_>, placer: &mut Placer) {
    let legs = &report.plan.legs;
    let apart = report.plan.spacing.m() * frame.px_per_m();
    let size = if apart < CROWDED_PX {
        NUMBER_PX.1
    } else {
        NUMBER_PX.0
    };
    let mut after_cross = legs.iter().any(|leg| leg.kind == LegKind::Cross);
    for (index, leg) in legs.iter().enumerate() {
        if leg.kind == LegKind::Search {
            let label = Label {
                text: &leg.label,
                size,
                bold: true,
                ink: Ink::Text,
            };
            let wishes = wishes(ends(leg, frame), after_cross);
            placer.write(scene, &label, &wishes, Some(index));
        }
        after_cross = leg.kind == LegKind::Cross;
    }
}

fn wishes([start, end]: [Coord<f64>; 2], before_start: bool) -> Vec<Coord<f64>> {
    let along = end - start;
    let side = unit(xy(-along.y, along.x));
    let before = [9.0, 13.0, 17.0, 21.0, 25.0, 30.0].map(|back| start - unit(along) * back);
    let on_leg = [
        0.5, 0.34, 0.66, 0.42, 0.58, 0.26, 0.74, 0.2, 0.8, 0.14, 0.86,
    ]
    .map(|share| start + along * share);
    let beside = [0.5, 0.3, 0.7, 0.15, 0.85]
        .into_iter()
        .flat_map(|share| [9.0, -9.0].map(|off| start + along * share + side * off));
    let mut wishes = Vec::new();
    if before_start {
        wishes.extend(before);
    }
    wishes.extend(on_leg);
    wishes.extend(beside);
    wishes
}

/// The way a leg is flown, where the leg is long enough and nothing else stands.
fn arrow(scene: &mut Scene, leg: &Leg, frame: &MapFrame<'_>, placer: &mut Placer) {
    let [start, end] = ends(leg, frame);
    let step = end - start;
    let length = step.x.hypot(step.y);
    let size = match leg.kind {
        LegKind::Search => 5.5,
        LegKind::Cross => 4.0,
    };
    if length < 3.0 * size {
        return;
    }
    let shares = [0.64, 0.36, 0.7, 0.3, 0.76, 0.24, 0.55, 0.45, 0.85, 0.15];
    let place = shares
        .into_iter()
        .map(|share| start + step * share)
        .find(|at| placer.is_free(*at, size / 2.0 + 1.0));
    if let Some(at) = place {
        arrow_head(scene, at, step / length, size);
        placer.keep_free(at, size / 2.0);
    }
}

/// A filled head whose middle is at a place.
pub(super) fn arrow_head(scene: &mut Scene, at: Coord<f64>, along: Coord<f64>, size: f64) {
    scene.add(Shape::Area {
        ring: drawing::arrow_head(at, along, size),
        ink: Ink::Text,
        opacity: 1.0,
    });
}

fn unit(step: Coord<f64>) -> Coord<f64> {
    let length = step.x.hypot(step.y);
    if length > 0.0 {
        step / length
    } else {
        xy(0.0, -1.0)
    }
}
