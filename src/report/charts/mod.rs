//! XTE along every leg: one panel a leg, all on the same axes; other charts beside it.

mod axes;
pub mod clock;
pub mod cumulative;
pub mod distance;
mod panel;

use super::drawing::hatch::{Slant, hatched};
use super::drawing::{Anchor, DrawError, Paper, Pen, Scene, Shape, Words, bitmap, rectangle, xy};
use super::format::metres;
use super::palette::Ink;
use super::{cautions_line, fonts};
use crate::debrief::Debrief;
use crate::plan::{Leg, LegKind};
use crate::units::Length;
use axes::{Axes, LEFT_PX, WIDTH_PX, labels};
use geo::Coord;
use panel::draw_panel;

const FORWARD: Pen = Pen::solid(Ink::SearchLeg, 1.6);
const REVERSED: Pen = Pen::solid(Ink::AdditionalLeg, 1.6).dashed(&[6.0, 2.5]);

/// XTE along every leg, as PNG.
///
/// # Errors
/// When painting or encoding fails.
pub fn xte_png(debrief: &Debrief, paper: Paper) -> Result<Vec<u8>, DrawError> {
    bitmap::png(&xte_picture(debrief), paper)
}

/// The same as a scene, with a title.
#[must_use]
pub fn xte_picture(debrief: &Debrief) -> Scene {
    titled(
        &format!("{}, {}: XTE along the legs", debrief.sortie, debrief.date),
        xte(debrief),
    )
}

/// A chart to stand alone: under a title, over what every picture says.
#[must_use]
pub fn titled(title: &str, chart: Scene) -> Scene {
    let mut scene = Scene {
        width: chart.width + 20,
        height: chart.height + 68,
        shapes: Vec::new(),
    };
    let room = f64::from(chart.width) - 20.0;
    let title = fonts::fitted(title, 20.0, true, room);
    scene.words(Words {
        bold: true,
        ..Words::new(xy(20.0, 26.0), 20.0, title)
    });
    let height = f64::from(scene.height);
    scene.place(chart, xy(10.0, 42.0));
    scene.words(Words::new(xy(20.0, height - 16.0), 12.0, cautions_line()).inked(Ink::Faint));
    scene
}

/// Where the panels of the legs lie in the picture.
#[derive(Clone, Debug)]
pub struct Panels {
    /// Label of each leg and the upper left corner of its panel.
    pub corners: Vec<(String, Coord<f64>)>,
    /// Size of a panel.
    pub size: Coord<f64>,
    /// Distance along the leg at its right edge; the left edge is the planned start.
    pub along: Length,
    /// XTE at its lower edge (right of the leg), and, to the left of it, at its upper.
    pub aside: Length,
}

/// Where [`xte`] draws its panels.
#[must_use]
pub fn panels(debrief: &Debrief) -> Panels {
    let legs = search_legs(debrief);
    let axes = Axes::new(debrief, &legs);
    Panels {
        corners: legs
            .iter()
            .enumerate()
            .map(|(index, leg)| (leg.label.clone(), axes.corner(index)))
            .collect(),
        size: axes.panel,
        along: axes.along,
        aside: axes.aside,
    }
}

fn search_legs(debrief: &Debrief) -> Vec<&Leg> {
    let legs = debrief.plan.legs.iter();
    legs.filter(|leg| leg.kind == LegKind::Search).collect()
}

/// The panels with their key.
#[must_use]
pub fn xte(debrief: &Debrief) -> Scene {
    let legs = search_legs(debrief);
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
        keep(
            "xte-usual.png",
            &xte_png(&test_fixture::debrief(), Paper::default()).unwrap(),
        );
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
            keep(
                &format!("xte-{legs}.png"),
                &xte_png(&debrief, Paper::default()).unwrap(),
            );
        }
    }

    #[test]
    fn right_of_the_leg_lies_below_its_middle() {
        let debrief = test_fixture::debrief();
        let legs = search_legs(&debrief);
        let axes = Axes::new(&debrief, &legs);
        let middle = axes.place(Length::from_nm(1.0), Length::from_m(0.0));
        let right = axes.place(Length::from_nm(1.0), Length::from_m(50.0));
        assert!(right.y > middle.y && right.x == middle.x);
        assert_eq!(axes.place(axes.along, axes.aside), axes.panel);
    }
}
