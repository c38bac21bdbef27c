//! The maps of a search: the POD of all sorties over its sub-areas, and the same before and after the re-fly.

use crate::coverage::{Hole, HoleCause, Raster};
use crate::report::drawing::{Anchor, Pen, Scene, Shape, Words, arrow_head, closed, rectangle, xy};
use crate::report::fonts;
use crate::report::format::{counted, percent, pod_with_band};
use crate::report::map::labels::{Label, Placer};
use crate::report::map::layers::{detection, hole_shape, to_refly};
use crate::report::map::legend::{Sample, composed, hole_sample, line_sample};
use crate::report::map::pair::pair;
use crate::report::map::{AREA, MapFrame, REFLY, widened};
use crate::report::palette::Ink;
use crate::report::refly_words;
use crate::report::search::words;
use crate::search::Search;
use crate::units::Length;
use geo::{Coord, Rect};

/// Room between map and legend, pixels.
const GAP_PX: f64 = 14.0;
/// Least width of map and legend together, pixels.
const LEAST_WIDTH_PX: f64 = 620.0;
const NAME_PX: f64 = 13.0;
const LABEL_PX: f64 = 12.0;
const ARROW_PX: f64 = 9.0;

/// What one map shows.
#[derive(Clone, Copy)]
struct Shown<'a> {
    raster: &'a Raster,
    /// The holes, with the names of their strips.
    holes: &'a [&'a Hole],
    /// The legs to fly again, with theirs.
    refly: bool,
}

/// POD of all sorties together with the sub-areas, the strips below target and the re-fly, as large as fits
/// into `widest` by `highest` pixels, and its legend.
#[must_use]
pub fn cumulative(search: &Search, widest: f64, highest: f64) -> Scene {
    let frame = frame(search, (widest, highest));
    let size = frame.size();
    let width = size.x.max(LEAST_WIDTH_PX.min(widest));
    let legend = legend(search, &frame, width);
    let mut scene = empty(xy(width, size.y + GAP_PX + f64::from(legend.height)));
    let shown = Shown {
        raster: &search.raster,
        holes: &holes_now(search),
        refly: true,
    };
    let at = xy(((width - size.x) / 2.0).round(), 0.0);
    scene.place(ground(search, &frame, shown), at);
    scene.place(legend, xy(0.0, size.y + GAP_PX));
    scene
}

/// POD before and after the re-fly in the same colours.
#[must_use]
pub fn before_and_after(search: &Search, widest: f64, highest: f64) -> Scene {
    let after = match search.refly.legs.len() {
        0 => "After: the same, for nothing is to be flown again".to_owned(),
        _ => refly_words::after(&search.refly.outcome),
    };
    let heads = [format!("Before: POD {}", pod_with_band(&search.pod)), after];
    let now = holes_now(search);
    let then: Vec<&Hole> = search.holes_after.iter().collect();
    let shown = [
        Shown {
            raster: &search.raster,
            holes: &now,
            refly: false,
        },
        Shown {
            raster: &search.raster_after,
            holes: &then,
            refly: true,
        },
    ];
    pair(
        (widest, highest),
        &heads,
        |room| frame(search, room),
        |frame, index| ground(search, frame, shown[index]),
        |frame, width| legend(search, frame, width),
    )
}

fn empty(size: Coord<f64>) -> Scene {
    Scene {
        width: size.x as u32,
        height: size.y as u32,
        shapes: Vec::new(),
    }
}

fn holes_now(search: &Search) -> Vec<&Hole> {
    let strips = search.strips.iter();
    strips.flat_map(|strip| &strip.strip.holes).collect()
}

/// The projection: sub-areas, holes and re-fly fit in.
fn frame(search: &Search, room: (f64, f64)) -> MapFrame<'_> {
    let plane = &search.raster.frame;
    let corners = search.sub_areas.iter().flat_map(|part| &part.corners);
    let holes = holes_now(search);
    let legs = &search.refly.legs;
    let ground = corners
        .chain(holes.into_iter().flat_map(|hole| &hole.outline))
        .chain(legs.iter().flat_map(|leg| [&leg.start, &leg.end]))
        .map(|place| plane.forward(*place))
        .map(|point| Rect::new(point, point))
        .reduce(|all, point| widened(all, point.min()))
        .unwrap_or_else(|| Rect::new(xy(-1.0, -1.0), xy(1.0, 1.0)));
    let spacing = search.sorties.iter().map(|sortie| sortie.spacing.m());
    let spacing = Length::from_m(spacing.fold(f64::INFINITY, f64::min));
    MapFrame::of(plane, ground, spacing, room)
}

fn ground(search: &Search, frame: &MapFrame<'_>, shown: Shown<'_>) -> Scene {
    let size = frame.size();
    let mut scene = empty(size);
    scene.add(detection(shown.raster, frame));
    for hole in shown.holes {
        scene.add(hole_shape(hole, words::cause(hole.cause), frame));
    }
    for part in &search.sub_areas {
        scene.add(Shape::Named {
            name: format!(
                "Sub-area {}: POC {} before, POD {}, POC {} left",
                part.name,
                percent(part.poc),
                pod_with_band(&part.pod_band),
                percent(part.poc_left)
            ),
            shapes: vec![Shape::Lines {
                lines: vec![closed(frame.line(&part.corners))],
                pen: AREA,
            }],
        });
    }
    if shown.refly {
        for leg in &search.refly.legs {
            scene.add(to_refly(leg, frame));
            arrows(&mut scene, frame.place(leg.start), frame.place(leg.end));
        }
    }
    names(&mut scene, search, frame, shown);
    scene.add(Shape::Lines {
        lines: vec![closed(rectangle(xy(0.5, 0.5), size.x - 1.0, size.y - 1.0))],
        pen: Pen::solid(Ink::Grid, 1.0),
    });
    scene
}

/// Heads at the end of a leg and, where there is room, on its way.
fn arrows(scene: &mut Scene, start: Coord<f64>, end: Coord<f64>) {
    let step = end - start;
    let length = step.x.hypot(step.y);
    if length <= 0.0 {
        return;
    }
    let along = step / length;
    let shares: &[f64] = if length > 12.0 * ARROW_PX {
        &[0.25, 0.75, 1.0]
    } else {
        &[1.0]
    };
    for share in shares {
        let at = start + step * *share;
        for (ink, size) in [(Ink::Edge, ARROW_PX + 4.0), (Ink::Missed, ARROW_PX)] {
            scene.add(Shape::Area {
                ring: arrow_head(at, along, size),
                ink,
                opacity: 1.0,
            });
        }
    }
}

/// Names of sub-areas, of legs to fly and of strips, the less important ones left out where they would lie on
/// others.
fn names(scene: &mut Scene, search: &Search, frame: &MapFrame<'_>, shown: Shown<'_>) {
    let legs: Vec<[Coord<f64>; 2]> = search
        .refly
        .legs
        .iter()
        .filter(|_| shown.refly)
        .map(|leg| [frame.place(leg.start), frame.place(leg.end)])
        .collect();
    let edges = search.sub_areas.iter().flat_map(|part| {
        let ring = closed(frame.line(&part.corners));
        let sides: Vec<[Coord<f64>; 2]> = ring.windows(2).map(|pair| [pair[0], pair[1]]).collect();
        sides
    });
    let mut placer = Placer::new(frame.rect(), legs.iter().copied().chain(edges).collect());
    for (index, (leg, [start, end])) in search.refly.legs.iter().zip(&legs).enumerate() {
        let label = Label {
            text: &leg.label,
            size: LABEL_PX,
            bold: true,
            ink: Ink::Text,
        };
        let wishes =
            [0.5, 0.4, 0.6, 0.33, 0.67, 0.15, 0.85].map(|share| *start + (*end - *start) * share);
        placer.write(scene, &label, &wishes, Some(index));
    }
    for part in &search.sub_areas {
        let ring = frame.line(&part.corners);
        let name = fonts::fitted(&part.name, NAME_PX, true, 0.9 * width(&ring));
        let label = Label {
            text: &name,
            size: NAME_PX,
            bold: true,
            ink: Ink::Text,
        };
        placer.write(scene, &label, &inside_edges(&ring, &name), None);
    }
    for (index, hole) in shown.holes.iter().enumerate() {
        // A strip is named once.
        if shown.holes[..index]
            .iter()
            .any(|other| other.leg == hole.leg)
        {
            continue;
        }
        let at = middle(&frame.line(&hole.outline));
        let half = fonts::width(&hole.leg, LABEL_PX, false) / 2.0 + 2.0;
        if placer.is_free(at, half) {
            let words = Words::new(at, LABEL_PX, &hole.leg).anchored(Anchor::Middle);
            scene.words(Words {
                glow: true,
                ..words
            });
            placer.keep_free(at, half);
        }
    }
}

fn middle(ring: &[Coord<f64>]) -> Coord<f64> {
    let sum = ring.iter().fold(xy(0.0, 0.0), |sum, point| sum + *point);
    sum / (ring.len().max(1) as f64)
}

fn width(ring: &[Coord<f64>]) -> f64 {
    let x = || ring.iter().map(|point| point.x);
    x().fold(f64::NEG_INFINITY, f64::max) - x().fold(f64::INFINITY, f64::min)
}

/// Places for a name along the edges of its sub-area, inside it, the northernmost first; its middle last.
fn inside_edges(ring: &[Coord<f64>], name: &str) -> Vec<Coord<f64>> {
    let centre = middle(ring);
    let half = xy(fonts::width(name, NAME_PX, true) / 2.0 + 8.0, NAME_PX);
    let mut places: Vec<Coord<f64>> = closed(ring.to_vec())
        .windows(2)
        .flat_map(|pair| [0.5, 0.25, 0.75].map(|share| pair[0] + (pair[1] - pair[0]) * share))
        .map(|edge| {
            let inward = centre - edge;
            let length = inward.x.hypot(inward.y).max(f64::MIN_POSITIVE);
            let (dx, dy) = (inward.x / length, inward.y / length);
            edge + xy(dx * half.x, dy * half.y)
        })
        .collect();
    places.sort_by(|a, b| a.y.total_cmp(&b.y));
    places.push(centre);
    places
}

fn legend(search: &Search, frame: &MapFrame<'_>, width: f64) -> Scene {
    let mut used: Vec<(&str, Sample)> = vec![("edge of a sub-area", line_sample(AREA))];
    for (cause, text) in [
        (HoleCause::Missed, "hole: below target"),
        (HoleCause::NotRecorded, "hole: not recorded"),
    ] {
        if holes_now(search).iter().any(|hole| hole.cause == cause) {
            used.push((text, hole_sample(cause)));
        }
    }
    if !search.refly.legs.is_empty() {
        let line = line_sample(REFLY);
        let sample: Sample = Box::new(move |x, y| {
            let mut shapes = line(x, y);
            let mut heads = empty(xy(0.0, 0.0));
            arrows(&mut heads, xy(x, y), xy(x + 27.0, y));
            shapes.append(&mut heads.shapes);
            shapes
        });
        used.push(("leg to re-fly (R1 …), as flown", sample));
    }
    let title = format!("POD, {} together", counted(search.sorties.len(), "sortie"));
    composed(&title, common_target(search), used, frame, width)
}

/// The target, where one holds for the ground or for all strips alike.
fn common_target(search: &Search) -> Option<f64> {
    let first = search.strips.first()?.target_pod;
    let same = |strip: &crate::search::SearchStrip| strip.target_pod == first;
    search
        .target_pod
        .or_else(|| search.strips.iter().all(same).then_some(first))
}
