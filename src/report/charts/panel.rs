//! One panel: tolerance, what was not recorded, and every pass.

use super::axes::Axes;
use super::{FORWARD, REVERSED};
use crate::debrief::Debrief;
use crate::measure::{AlongSpan, LegReport, LegState, Pass};
use crate::plan::Leg;
use crate::report::drawing::clip::clipped;
use crate::report::drawing::hatch::{Slant, hatched};
use crate::report::drawing::{Anchor, Pen, Scene, Shape, Words, closed, rectangle, xy};
use crate::report::fonts;
use crate::report::format::aside;
use crate::report::palette::Ink;
use crate::units::Length;
use geo::{Coord, Rect};

/// Draws the panel of one leg, its corner at (0, 0).
pub(super) fn draw_panel(
    scene: &mut Scene,
    debrief: &Debrief,
    axes: &Axes,
    leg: &Leg,
    report: Option<&LegReport>,
    passes: &[&Pass],
) {
    let size = axes.panel;
    let end = axes.place(leg.length, Length::from_m(0.0)).x;
    let tolerance = debrief.tolerances.cross_track;
    let (top, bottom) = (
        axes.place(leg.length, Length::from_m(-tolerance.m())).y,
        axes.place(leg.length, tolerance).y,
    );
    let band = rectangle(xy(0.0, top), end, bottom - top);
    scene.add(Shape::Area {
        ring: band,
        ink: Ink::Tolerance,
        opacity: 0.45,
    });
    if let Some(report) = report {
        report
            .unrecorded
            .iter()
            .for_each(|span| gap(scene, axes, span));
    }
    // Through the middle of an empty panel go its words.
    if !passes.is_empty() {
        let middle = size.y / 2.0;
        scene.line(
            vec![xy(0.0, middle), xy(end, middle)],
            Pen::solid(Ink::Faint, 1.0),
        );
    }
    let frame = Rect::new(xy(0.0, 0.0), size);
    for pass in passes {
        let pen = if pass.reversed { REVERSED } else { FORWARD };
        for stretch in &pass.profile {
            let line: Vec<Coord<f64>> = stretch
                .iter()
                .map(|point| axes.place(point.along, point.xte))
                .collect();
            scene.add(Shape::Lines {
                lines: clipped(&line, frame),
                pen,
            });
        }
    }
    scene.add(Shape::Lines {
        lines: vec![closed(rectangle(xy(0.0, 0.0), size.x, size.y))],
        pen: Pen::solid(Ink::Grid, 1.0),
    });
    name(scene, axes, leg, report, passes);
}

/// A stretch without record: hatched.
fn gap(scene: &mut Scene, axes: &Axes, span: &AlongSpan) {
    let none = Length::from_m(0.0);
    let (from, to) = (axes.place(span.from, none).x, axes.place(span.to, none).x);
    let ring = rectangle(xy(from, 1.0), to - from, axes.panel.y - 2.0);
    scene.add(Shape::Area {
        ring: ring.clone(),
        ink: Ink::Grid,
        opacity: 0.6,
    });
    let pen = Pen::solid(Ink::NotRecorded, 1.0);
    scene.add(Shape::Lines {
        lines: hatched(&ring, Slant::Falling, 6.0),
        pen,
    });
}

fn name(scene: &mut Scene, axes: &Axes, leg: &Leg, report: Option<&LegReport>, passes: &[&Pass]) {
    let title = fonts::fitted(
        &format!("Leg {}", leg.label),
        12.0,
        true,
        axes.panel.x * 0.6,
    );
    let after = fonts::width(&title, 12.0, true) + 10.0;
    scene.words(Words {
        bold: true,
        ..Words::new(xy(0.0, -9.0), 12.0, title)
    });
    let state = match report.map(|report| report.state) {
        Some(LegState::Flown) => None,
        Some(state) => Some(state.name()),
        None => Some("not reported"),
    };
    let beyond = passes
        .iter()
        .filter(|pass| pass.tracking.max.m().abs() > axes.aside.m())
        .map(|pass| format!("off the scale: {}", aside(pass.tracking.max)))
        .next();
    let notes = match (passes.len(), beyond) {
        (_, Some(beyond)) => beyond,
        (0 | 1, None) => String::new(),
        (count, None) => format!("{count} passes"),
    };
    let right = axes.panel.x;
    let room = (right - after).max(0.0);
    let notes = fonts::fitted(&notes, 11.0, false, room);
    scene.words(
        Words::new(xy(right, -9.0), 11.0, notes.clone())
            .anchored(Anchor::End)
            .inked(Ink::Faint),
    );
    if let Some(state) = state {
        if passes.is_empty() {
            let words = Words::new(axes.panel / 2.0, 13.0, state).anchored(Anchor::Middle);
            scene.words(Words {
                glow: true,
                ..words
            });
        } else if notes.is_empty() {
            let words = Words::new(xy(right, -9.0), 11.0, state).anchored(Anchor::End);
            scene.words(words.inked(Ink::Faint));
        }
    }
}
