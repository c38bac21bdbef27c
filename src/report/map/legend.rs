//! Below the map: scale and north, the colours of POD with the target, and every line in use.

use super::frame::MapFrame;
use super::layers::circle;
use super::scale::scale_bar;
use super::style::{AREA, HoleStyle, PLANNED, REFLY, phase_pen};
use crate::coverage::HoleCause;
use crate::debrief::Debrief;
use crate::matching::Phase;
use crate::measure::OutsideKind;
use crate::report::drawing::hatch::hatched;
use crate::report::drawing::{Anchor, Levels, Pen, Scene, Shape, Words, closed, rectangle, xy};
use crate::report::fonts;
use crate::report::format::percent;
use crate::report::palette::Ink;

const WORDS_PX: f64 = 12.0;
const SMALL_PX: f64 = 11.0;
const ROW_PX: f64 = 20.0;
const SAMPLE_PX: f64 = 34.0;
/// Room on the left for the first tick's label.
const INDENT_PX: f64 = 14.0;

/// The legend, `width` pixels wide.
#[must_use]
pub fn legend(debrief: &Debrief, frame: &MapFrame<'_>, width: f64) -> Scene {
    let title = format!("POD, {} law", debrief.coverage.law.name());
    let target = Some(debrief.coverage.target_pod);
    composed(&title, target, used(debrief, frame), frame, width)
}

/// A legend, `width` pixels wide: the colours of POD under a title, with the target if there is one, the scale,
/// north, and what every line and surface means.
pub(in crate::report) fn composed(
    title: &str,
    target: Option<f64>,
    used: Vec<(&'static str, Sample)>,
    frame: &MapFrame<'_>,
    width: f64,
) -> Scene {
    let mut scene = Scene {
        width: width as u32,
        height: 0,
        shapes: Vec::new(),
    };
    let bar = (width * 0.5 - 2.0 * INDENT_PX).min(420.0);
    colours(&mut scene, title, target, bar);
    scale(&mut scene, frame, width);
    let bottom = entries(&mut scene, used, 82.0);
    scene.height = bottom.ceil() as u32;
    scene
}

fn colours(scene: &mut Scene, title: &str, target: Option<f64>, bar: f64) {
    scene.words(Words {
        bold: true,
        ..Words::new(xy(INDENT_PX, 9.0), WORDS_PX, title)
    });
    let (top, height) = (34.0, 14.0);
    scene.add(Shape::Levels {
        at: xy(INDENT_PX, top),
        size: xy(bar, height),
        levels: Levels {
            columns: 255,
            rows: 1,
            levels: (1..=255).collect(),
        },
    });
    let place = |pod: f64| INDENT_PX + bar * pod;
    for tick in [0.0, 0.2, 0.4, 0.6, 0.8, 1.0] {
        let x = place(tick);
        let foot = top + height;
        scene.line(
            vec![xy(x, foot), xy(x, foot + 4.0)],
            Pen::solid(Ink::Faint, 1.0),
        );
        let words = Words::new(xy(x, foot + 12.0), SMALL_PX, percent(tick));
        scene.words(words.anchored(Anchor::Middle).inked(Ink::Faint));
    }
    let Some(target) = target else { return };
    let x = place(target.clamp(0.0, 1.0));
    scene.line(
        vec![xy(x, top - 3.0), xy(x, top + height)],
        Pen::solid(Ink::Text, 2.0).cased(Ink::Paper),
    );
    let text = format!("target {}", percent(target));
    let half = fonts::width(&text, SMALL_PX, false) / 2.0;
    let middle = x.clamp(half, (INDENT_PX + bar).max(half));
    scene.words(Words::new(xy(middle, top - 9.0), SMALL_PX, text).anchored(Anchor::Middle));
}

/// Scale bar and north arrow, at the right.
fn scale(scene: &mut Scene, frame: &MapFrame<'_>, width: f64) {
    scale_bar(scene, frame, xy(width - 52.0, 41.0), width * 0.22);
    north(scene, width - 14.0);
}

fn north(scene: &mut Scene, x: f64) {
    let pen = Pen::solid(Ink::Text, 1.6);
    scene.line(vec![xy(x, 56.0), xy(x, 22.0)], pen);
    scene.line(vec![xy(x - 5.0, 30.0), xy(x, 22.0), xy(x + 5.0, 30.0)], pen);
    let words = Words::new(xy(x, 12.0), WORDS_PX, "N").anchored(Anchor::Middle);
    scene.words(Words {
        bold: true,
        ..words
    });
}

/// A sample of a line or a surface, drawn at a place.
pub(in crate::report) type Sample = Box<dyn Fn(f64, f64) -> Vec<Shape>>;

/// A line.
pub(in crate::report) fn line_sample(pen: Pen) -> Sample {
    Box::new(move |x, y| {
        vec![Shape::Lines {
            lines: vec![vec![xy(x, y), xy(x + SAMPLE_PX, y)]],
            pen,
        }]
    })
}

/// A hole.
pub(in crate::report) fn hole_sample(cause: HoleCause) -> Sample {
    Box::new(move |x, y| {
        let style = HoleStyle::of(cause);
        let ring = rectangle(xy(x + 1.0, y - 7.0), SAMPLE_PX - 2.0, 14.0);
        vec![
            Shape::Levels {
                at: ring[0],
                size: ring[2] - ring[0],
                levels: Levels {
                    columns: 1,
                    rows: 1,
                    levels: vec![40],
                },
            },
            Shape::Lines {
                lines: hatched(&ring, style.slant, 6.0),
                pen: style.hatching,
            },
            Shape::Lines {
                lines: vec![closed(ring)],
                pen: style.outline,
            },
        ]
    })
}

fn used(debrief: &Debrief, frame: &MapFrame<'_>) -> Vec<(&'static str, Sample)> {
    let mut entries: Vec<(&str, Sample)> = vec![
        ("edge of the area", line_sample(AREA)),
        ("planned leg", line_sample(PLANNED)),
    ];
    for (phase, text) in [
        (Phase::SearchLeg, "search leg as flown"),
        (Phase::AdditionalLeg, "additional leg (A1 …)"),
        (Phase::Turn, "turn"),
        (Phase::Orbit, "orbit"),
        (Phase::Excursion, "excursion"),
        (Phase::BoundaryCheck, "boundary check"),
        (Phase::TransitOut, "transit out"),
        (Phase::TransitHome, "transit home"),
        (Phase::Ground, "ground"),
        (Phase::NotRecorded, "not recorded"),
    ] {
        if debrief
            .track
            .iter()
            .any(|piece| piece.phase == phase && !frame.visible(&piece.line).is_empty())
        {
            entries.push((text, line_sample(phase_pen(phase))));
        }
    }
    for (cause, text) in [
        (HoleCause::Missed, "hole: missed"),
        (HoleCause::NotRecorded, "hole: not recorded"),
    ] {
        if debrief
            .strips
            .iter()
            .flat_map(|strip| &strip.holes)
            .any(|hole| hole.cause == cause)
        {
            entries.push((text, hole_sample(cause)));
        }
    }
    if !debrief.refly.legs.is_empty() {
        entries.push(("leg to re-fly (R1 …)", line_sample(REFLY)));
    }
    if debrief
        .area_time
        .outside
        .iter()
        .any(|span| span.kind != OutsideKind::Turn)
    {
        let sample: Sample = Box::new(|x, y| {
            let pen = Pen::solid(Ink::Excursion, 1.6).cased(Ink::Paper);
            vec![Shape::Lines {
                lines: vec![circle(xy(x + SAMPLE_PX / 2.0, y), 4.0)],
                pen,
            }]
        });
        entries.push(("left or entered the area", sample));
    }
    entries
}

/// The entries in columns; returns where they end.
fn entries(scene: &mut Scene, entries: Vec<(&str, Sample)>, top: f64) -> f64 {
    let width = f64::from(scene.width);
    let widest = entries
        .iter()
        .map(|(text, _)| fonts::width(text, WORDS_PX, false))
        .fold(0.0, f64::max);
    let columns = ((width / (widest + SAMPLE_PX + 22.0)) as usize).clamp(1, 4);
    let rows = entries.len().div_ceil(columns);
    for (index, (text, sample)) in entries.iter().enumerate() {
        let x = (index / rows) as f64 * width / columns as f64 + 4.0;
        let y = top + ROW_PX * ((index % rows) as f64 + 0.5);
        sample(x, y).into_iter().for_each(|shape| scene.add(shape));
        scene.words(Words::new(xy(x + SAMPLE_PX + 8.0, y), WORDS_PX, *text));
    }
    top + ROW_PX * rows as f64 + 4.0
}
