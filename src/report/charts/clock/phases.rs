//! Which phase the flight was in: a lane for each, so that no colour is needed to read it.

use super::{ClockAxis, LEFT_PX, RIGHT_PX, TOP_PX, WIDTH_PX};
use crate::debrief::Debrief;
use crate::matching::{Phase, PhaseSpan};
use crate::report::drawing::hatch::{Slant, hatched};
use crate::report::drawing::{Anchor, Pen, Scene, Shape, Words, rectangle, xy};
use crate::report::format::{clock, duration, utc};
use crate::report::map::phase_pen;
use crate::report::palette::Ink;

const LANE_PX: f64 = 20.0;

/// The phases over time.
#[must_use]
pub fn phases(debrief: &Debrief) -> Scene {
    let axis = ClockAxis::of(debrief);
    let lanes = debrief.phase_totals.len() as f64;
    let foot = TOP_PX + lanes * LANE_PX;
    let mut scene = axis.scene(foot);
    axis.window(&mut scene, debrief, foot);
    axis.ticks(&mut scene, foot);
    for (lane, total) in debrief.phase_totals.iter().enumerate() {
        let top = TOP_PX + lane as f64 * LANE_PX;
        let middle = top + LANE_PX / 2.0;
        let name = Words::new(xy(LEFT_PX - 8.0, middle), 12.0, total.phase.name());
        scene.words(name.anchored(Anchor::End));
        let length = Words::new(xy(WIDTH_PX, middle), 12.0, duration(total.duration_s));
        scene.words(length.anchored(Anchor::End).inked(Ink::Faint));
        scene.line(
            vec![
                xy(LEFT_PX, top + LANE_PX),
                xy(WIDTH_PX - RIGHT_PX, top + LANE_PX),
            ],
            Pen::solid(Ink::Grid, 1.0),
        );
        for span in debrief
            .phases
            .iter()
            .filter(|span| span.phase == total.phase)
        {
            scene.add(bar(span, axis.place(span.from), axis.place(span.to), top));
        }
    }
    scene
}

fn bar(span: &PhaseSpan, left: f64, right: f64, top: f64) -> Shape {
    let leg = span
        .leg
        .as_ref()
        .map_or_else(String::new, |leg| format!(" {leg}"));
    let name = format!(
        "{}{leg}: {} to {}, {}",
        span.phase.name(),
        clock(span.from),
        utc(span.to),
        duration(span.duration_s)
    );
    // A moment still shows.
    let ring = rectangle(xy(left, top + 4.0), (right - left).max(1.5), LANE_PX - 8.0);
    let ink = phase_pen(span.phase).ink;
    let shape = if span.phase == Phase::NotRecorded {
        Shape::Lines {
            lines: hatched(&ring, Slant::Falling, 4.0),
            pen: Pen::solid(ink, 1.2),
        }
    } else {
        Shape::Area {
            ring,
            ink,
            opacity: 1.0,
        }
    };
    Shape::Named {
        name,
        shapes: vec![shape],
    }
}
