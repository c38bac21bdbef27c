//! XTE along every leg: one panel a leg, all on the same axes.

use super::drawing::clip::clipped;
use super::drawing::hatch::{Slant, hatched};
use super::drawing::{Anchor, DrawError, Pen, Scene, Shape, Words, bitmap, closed, rectangle, xy};
use super::format::{aside, figure, metres};
use super::palette::Ink;
use super::{cautions_line, fonts};
use crate::debrief::Debrief;
use crate::measure::{AlongSpan, LegReport, LegState, Pass};
use crate::plan::{Leg, LegKind};
use crate::units::Length;
use geo::{Coord, Rect};

/// Width of the picture, pixels.
const WIDTH_PX: f64 = 1_100.0;
/// Height the panels share before they become lower than [`LEAST_PX`].
const HEIGHT_PX: f64 = 1_300.0;
const LEAST_PX: f64 = 62.0;
const MOST_PX: f64 = 210.0;
/// Room for the labels of the axes.
const LEFT_PX: f64 = 62.0;
const BOTTOM_PX: f64 = 40.0;
const TOP_PX: f64 = 40.0;
/// Room above each panel for its name, and between panels.
const NAME_PX: f64 = 18.0;
const GAP_PX: f64 = 14.0;
/// The scale reaches at least and at most this many tolerances: a single leg far off does not
/// flatten all others. Chosen.
const LEAST_TOLERANCES: f64 = 1.6;
const MOST_TOLERANCES: f64 = 5.0;

const FORWARD: Pen = Pen::solid(Ink::SearchLeg, 1.6);
const REVERSED: Pen = Pen::solid(Ink::AdditionalLeg, 1.6).dashed(&[6.0, 2.5]);

/// The axes all panels share.
struct Axes {
    /// Longest leg.
    along: Length,
    /// Largest XTE shown, either side.
    aside: Length,
    columns: usize,
    rows: usize,
    /// Size of a panel.
    panel: Coord<f64>,
}

impl Axes {
    fn new(debrief: &Debrief, legs: &[&Leg]) -> Self {
        let columns = columns(legs.len());
        let rows = legs.len().div_ceil(columns).max(1);
        let width = (WIDTH_PX - LEFT_PX - GAP_PX * columns as f64) / columns as f64;
        let height = (HEIGHT_PX / rows as f64 - NAME_PX - GAP_PX).clamp(LEAST_PX, MOST_PX);
        let tolerance = debrief.tolerances.cross_track.m();
        let points = debrief
            .passes
            .iter()
            .flat_map(|pass| &pass.profile)
            .flatten();
        let largest = points.map(|point| point.xte.m().abs()).fold(0.0, f64::max) * 1.05;
        let aside = largest.clamp(LEAST_TOLERANCES * tolerance, MOST_TOLERANCES * tolerance);
        let along = legs.iter().map(|leg| leg.length.m()).fold(1.0, f64::max);
        Self {
            along: Length::from_m(along),
            aside: Length::from_m(aside.max(1.0)),
            columns,
            rows,
            panel: xy(width, height),
        }
    }

    fn corner(&self, index: usize) -> Coord<f64> {
        let (column, row) = ((index % self.columns) as f64, (index / self.columns) as f64);
        xy(
            LEFT_PX + column * (self.panel.x + GAP_PX),
            TOP_PX + NAME_PX + row * (self.panel.y + NAME_PX + GAP_PX),
        )
    }

    fn height(&self) -> f64 {
        TOP_PX + self.rows as f64 * (self.panel.y + NAME_PX + GAP_PX) + BOTTOM_PX
    }

    /// In pixels from the panel's corner: right of the leg is drawn below its middle, as the
    /// ground lies when the leg is looked along from left to right.
    fn place(&self, along: Length, xte: Length) -> Coord<f64> {
        xy(
            along.m() / self.along.m() * self.panel.x,
            (0.5 + 0.5 * xte.m() / self.aside.m()) * self.panel.y,
        )
    }
}

/// Few legs side by side, many in more columns.
const fn columns(legs: usize) -> usize {
    match legs {
        0 | 1 => 1,
        2..=8 => 2,
        9..=24 => 3,
        25..=60 => 4,
        _ => 6,
    }
}

/// XTE along every leg, as PNG.
///
/// # Errors
/// When painting or encoding fails.
pub fn xte_png(debrief: &Debrief) -> Result<Vec<u8>, DrawError> {
    let chart = xte(debrief);
    let mut scene = Scene {
        width: chart.width + 20,
        height: chart.height + 68,
        shapes: Vec::new(),
    };
    let room = f64::from(chart.width) - 20.0;
    let title = format!("{}, {}: XTE along the legs", debrief.sortie, debrief.date);
    let title = fonts::fitted(&title, 20.0, true, room);
    scene.words(Words {
        bold: true,
        ..Words::new(xy(20.0, 26.0), 20.0, title)
    });
    let height = f64::from(scene.height);
    scene.place(chart, xy(10.0, 42.0));
    scene.words(Words::new(xy(20.0, height - 16.0), 12.0, cautions_line()).inked(Ink::Faint));
    bitmap::png(&scene)
}

/// The panels with their key.
#[must_use]
pub fn xte(debrief: &Debrief) -> Scene {
    let legs: Vec<&Leg> = debrief
        .plan
        .legs
        .iter()
        .filter(|leg| leg.kind == LegKind::Search)
        .collect();
    let axes = Axes::new(debrief, &legs);
    let mut scene = Scene {
        width: WIDTH_PX as u32,
        height: axes.height() as u32,
        shapes: Vec::new(),
    };
    key(&mut scene, debrief);
    for (index, leg) in legs.iter().enumerate() {
        let report = debrief.legs.iter().find(|report| report.leg == leg.label);
        let passes = report.map_or_else(Vec::new, |report| {
            report
                .passes
                .iter()
                .filter_map(|index| debrief.passes.get(*index))
                .collect()
        });
        let mut panel = Scene {
            width: 0,
            height: 0,
            shapes: Vec::new(),
        };
        draw_panel(&mut panel, debrief, &axes, leg, report, &passes);
        scene.place(panel, axes.corner(index));
    }
    for index in 0..legs.len() {
        labels(&mut scene, &axes, index, legs.len());
    }
    scene
}

fn draw_panel(
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

/// Ticks below the lowest panel of each column and left of the first column.
fn labels(scene: &mut Scene, axes: &Axes, index: usize, legs: usize) {
    let at = axes.corner(index);
    let tick = Pen::solid(Ink::Faint, 1.0);
    if index % axes.columns == 0 {
        let step = tick_step(axes.aside.m(), 2.0);
        for side in [-1.0, 0.0, 1.0] {
            let y = at.y + axes.place(axes.along, Length::from_m(side * step)).y;
            scene.line(vec![xy(at.x - 4.0, y), xy(at.x, y)], tick);
            let words = match side {
                s if s < 0.0 => format!("{} L", trimmed(step)),
                s if s > 0.0 => format!("{} R", trimmed(step)),
                _ => "0".into(),
            };
            let words = Words::new(xy(at.x - 7.0, y), 11.0, words);
            scene.words(words.anchored(Anchor::End).inked(Ink::Faint));
        }
    }
    if index + axes.columns >= legs {
        let foot = at.y + axes.panel.y;
        let step = tick_step(axes.along.nm(), (axes.panel.x / 60.0).max(1.0));
        let mut along = 0.0;
        while along <= axes.along.nm() + 1e-9 {
            let x = at.x + axes.place(Length::from_nm(along), Length::from_m(0.0)).x;
            scene.line(vec![xy(x, foot), xy(x, foot + 4.0)], tick);
            let words = Words::new(xy(x, foot + 12.0), 11.0, trimmed(along));
            scene.words(words.anchored(Anchor::Middle).inked(Ink::Faint));
            along += step;
        }
    }
}

/// A round step so that about `count` of them fill `range`.
fn tick_step(range: f64, count: f64) -> f64 {
    let rough = range / count;
    let ten = 10.0_f64.powf(rough.log10().floor());
    [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|m| m * ten)
        .find(|s| *s >= rough * 0.999)
        .unwrap_or(rough)
}

fn trimmed(value: f64) -> String {
    let text = figure(value, 3);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn key(scene: &mut Scene, debrief: &Debrief) {
    let y = 14.0;
    let mut x = LEFT_PX;
    let tolerance = metres(debrief.tolerances.cross_track);
    let band = format!("tolerance {tolerance} either side");
    let mut any_reversed = false;
    let mut any_gap = false;
    for report in &debrief.legs {
        any_gap |= !report.unrecorded.is_empty();
        let passes = report
            .passes
            .iter()
            .filter_map(|index| debrief.passes.get(*index));
        any_reversed |= passes.into_iter().any(|pass| pass.reversed);
    }
    let mut entry = |text: &str, sample: &dyn Fn(f64) -> Vec<Shape>| {
        sample(x).into_iter().for_each(|shape| scene.add(shape));
        scene.words(Words::new(xy(x + 36.0, y), 11.5, text));
        x += 36.0 + fonts::width(text, 11.5, false) + 20.0;
    };
    let line = |pen: Pen| {
        move |x: f64| {
            vec![Shape::Lines {
                lines: vec![vec![xy(x, y), xy(x + 30.0, y)]],
                pen,
            }]
        }
    };
    let surface = |x: f64| rectangle(xy(x, y - 6.0), 30.0, 12.0);
    entry(
        "XTE, m: R right, L left of the leg as flown",
        &line(FORWARD),
    );
    if any_reversed {
        entry("flown against the plan", &line(REVERSED));
    }
    entry(&band, &|x| {
        vec![Shape::Area {
            ring: surface(x),
            ink: Ink::Tolerance,
            opacity: 0.45,
        }]
    });
    if any_gap {
        entry("not recorded", &|x| {
            let pen = Pen::solid(Ink::NotRecorded, 1.0);
            vec![
                Shape::Area {
                    ring: surface(x),
                    ink: Ink::Grid,
                    opacity: 0.6,
                },
                Shape::Lines {
                    lines: hatched(&surface(x), Slant::Falling, 6.0),
                    pen,
                },
            ]
        });
    }
    let foot = f64::from(scene.height) - 12.0;
    let text = "along the leg, NM from its planned start (a pass against the plan reads from right to left)";
    scene.words(
        Words::new(xy(WIDTH_PX / 2.0, foot), 11.5, text)
            .anchored(Anchor::Middle)
            .inked(Ink::Faint),
    );
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::test_fixture::{self, Shape as Plan, keep};

    #[test]
    fn one_leg_and_sixty_fit_a_picture() {
        keep("xte-usual.png", &xte_png(&test_fixture::debrief()).unwrap());
        for legs in [1, 60, 200] {
            let debrief = Plan {
                legs,
                cells: 2,
                ..Plan::default()
            }
            .build();
            let chart = xte(&debrief);
            assert!(
                chart.height < 3_600,
                "{} pixels for {legs} legs",
                chart.height
            );
            keep(&format!("xte-{legs}.png"), &xte_png(&debrief).unwrap());
        }
    }

    #[test]
    fn right_of_the_leg_lies_below_its_middle() {
        let debrief = test_fixture::debrief();
        let legs: Vec<&Leg> = debrief
            .plan
            .legs
            .iter()
            .filter(|l| l.kind == LegKind::Search)
            .collect();
        let axes = Axes::new(&debrief, &legs);
        let middle = axes.place(Length::from_nm(1.0), Length::from_m(0.0));
        let right = axes.place(Length::from_nm(1.0), Length::from_m(50.0));
        assert!(right.y > middle.y && right.x == middle.x);
        assert_eq!(axes.place(axes.along, axes.aside), axes.panel);
    }

    #[test]
    fn steps_are_round() {
        assert!((tick_step(0.2, 2.0) - 0.1).abs() < 1e-12);
        assert!((tick_step(7.0, 5.0) - 2.0).abs() < 1e-12);
        assert_eq!(
            [trimmed(0.1), trimmed(2.0), trimmed(0.0)],
            ["0.1", "2", "0"]
        );
    }
}
