//! The map before the re-fly and after it.

use super::layers::{backdrop, detection, hole_shape, to_refly};
use super::legend::{Sample, composed, hole_sample, line_sample};
use super::pair::pair;
use super::{AREA, MapFrame, REFLY};
use crate::coverage::{Hole, HoleCause, Raster};
use crate::debrief::Debrief;
use crate::report::drawing::clip::clipped;
use crate::report::drawing::{Pen, Scene, Shape, closed, rectangle, xy};
use crate::report::format::pod_with_band;
use crate::report::palette::Ink;
use crate::report::refly_words;

/// POD before and after the re-fly in the same colours; `None` where there is nothing to fly again.
#[must_use]
pub fn before_and_after(debrief: &Debrief, widest: f64, highest: f64) -> Option<Scene> {
    let after = debrief.after_refly.as_ref()?;
    let heads = [
        format!("Before: POD {}", pod_with_band(&debrief.coverage.pod_band)),
        refly_words::after(&debrief.refly.outcome),
    ];
    let now: Vec<&Hole> = debrief
        .strips
        .iter()
        .flat_map(|strip| &strip.holes)
        .collect();
    let then: Vec<&Hole> = after.holes.iter().collect();
    Some(pair(
        (widest, highest),
        &heads,
        |(widest, highest)| MapFrame::new(debrief, widest, highest),
        |frame, index| match index {
            0 => ground(debrief, frame, &debrief.coverage.raster, &now),
            _ => {
                let mut scene = ground(debrief, frame, &after.raster, &then);
                for leg in &debrief.refly.legs {
                    scene.add(to_refly(leg, frame));
                }
                scene
            }
        },
        |frame, width| legend(debrief, &now, frame, width),
    ))
}

fn ground(debrief: &Debrief, frame: &MapFrame<'_>, raster: &Raster, holes: &[&Hole]) -> Scene {
    let size = frame.size();
    let mut scene = Scene {
        width: size.x as u32,
        height: size.y as u32,
        shapes: Vec::new(),
    };
    scene
        .shapes
        .extend(debrief.backdrop.as_ref().map(|picture| Shape::View {
            at: xy(0.0, 0.0),
            size,
            shapes: vec![backdrop(picture, frame)],
        }));
    scene.add(detection(raster, frame));
    for hole in holes {
        scene.add(hole_shape(hole, hole.cause.name(), frame));
    }
    let area = closed(frame.line(&debrief.plan.area_corners));
    scene.add(Shape::Lines {
        lines: clipped(&area, frame.rect()),
        pen: AREA,
    });
    scene.add(Shape::Lines {
        lines: vec![closed(rectangle(xy(0.5, 0.5), size.x - 1.0, size.y - 1.0))],
        pen: Pen::solid(Ink::Grid, 1.0),
    });
    scene
}

fn legend(debrief: &Debrief, holes: &[&Hole], frame: &MapFrame<'_>, width: f64) -> Scene {
    let mut used: Vec<(&str, Sample)> = vec![("edge of the area", line_sample(AREA))];
    for (cause, text) in [
        (HoleCause::Missed, "hole: missed"),
        (HoleCause::NotRecorded, "hole: not recorded"),
    ] {
        if holes.iter().any(|hole| hole.cause == cause) {
            used.push((text, hole_sample(cause)));
        }
    }
    used.push(("leg to re-fly, as flown", line_sample(REFLY)));
    let title = format!("POD, {} law", debrief.coverage.law.name());
    composed(
        &title,
        Some(debrief.coverage.target_pod),
        used,
        frame,
        width,
    )
}
