//! POD and POS of a search, sortie by sortie, with the band of the POD and what the re-fly would add.

use super::WIDTH_PX;
use crate::report::drawing::{Anchor, Pen, Scene, Shape, Words, closed, rectangle, xy};
use crate::report::fonts;
use crate::report::format::percent;
use crate::report::map::circle;
use crate::report::palette::Ink;
use crate::search::Search;
use geo::Coord;

const HEIGHT_PX: f64 = 380.0;
const LEFT_PX: f64 = 62.0;
const RIGHT_PX: f64 = 40.0;
const TOP_PX: f64 = 44.0;
const BOTTOM_PX: f64 = 64.0;
const WORDS_PX: f64 = 11.5;
/// Room a name below the axis wants, pixels; with less, sorties go by their numbers.
const NAME_ROOM_PX: f64 = 44.0;
/// Figures stand at every point as long as there is this much room.
const FIGURE_ROOM_PX: f64 = 40.0;

const POD: Pen = Pen::solid(Ink::SearchLeg, 2.4);
const POS: Pen = Pen::solid(Ink::AdditionalLeg, 2.0).dashed(&[8.0, 4.0]);
const REFLY: Pen = Pen::solid(Ink::Missed, 2.4)
    .dashed(&[3.0, 3.0])
    .cased(Ink::Edge);
const EDGE: Pen = Pen::solid(Ink::SearchLeg, 0.9).dashed(&[1.5, 2.5]);
const TARGET: Pen = Pen::solid(Ink::Faint, 1.2).dashed(&[1.5, 3.0]);

/// From sorties and probabilities to pixels: place 0 is before the first sortie.
struct Axes {
    step: f64,
}

impl Axes {
    fn new(search: &Search) -> Self {
        let places = search.sorties.len() + usize::from(!search.refly.legs.is_empty());
        Self {
            step: (WIDTH_PX - LEFT_PX - RIGHT_PX) / (places as f64 + 0.5),
        }
    }

    fn place(&self, index: usize, probability: f64) -> Coord<f64> {
        let foot = HEIGHT_PX - BOTTOM_PX;
        xy(
            LEFT_PX + self.step * index as f64,
            foot - probability * (foot - TOP_PX),
        )
    }
}

/// The chart; the same is in a table beside it.
#[must_use]
pub fn chart(search: &Search) -> Scene {
    let mut scene = Scene {
        width: WIDTH_PX as u32,
        height: HEIGHT_PX as u32,
        shapes: Vec::new(),
    };
    let axes = Axes::new(search);
    grid(&mut scene);
    let steps = || search.sorties.iter().map(|sortie| &sortie.step);
    let curve = |values: Vec<f64>| -> Vec<Coord<f64>> {
        let values = [0.0].into_iter().chain(values);
        values
            .enumerate()
            .map(|(index, value)| axes.place(index, value))
            .collect()
    };
    let low = curve(steps().map(|step| step.cumulative.low).collect());
    let high = curve(steps().map(|step| step.cumulative.high).collect());
    let pod = curve(steps().map(|step| step.cumulative.pod).collect());
    let ring: Vec<Coord<f64>> = high.iter().chain(low.iter().rev()).copied().collect();
    scene.add(Shape::Area {
        ring,
        ink: Ink::Tolerance,
        opacity: 0.6,
    });
    scene.line(low, EDGE);
    scene.line(high, EDGE);
    if let Some(target) = search.target_pod {
        let right = WIDTH_PX - RIGHT_PX;
        let at = axes.place(0, target);
        scene.line(vec![at, xy(right, at.y)], TARGET);
    }
    if has_pos_of_its_own(search) {
        scene.line(
            curve(steps().map(|step| step.cumulative_pos).collect()),
            POS,
        );
    }
    let places = search.sorties.len();
    if !search.refly.legs.is_empty() {
        let after = axes.place(places + 1, search.refly.outcome.pod);
        scene.line(vec![axes.place(places, search.pod.pod), after], REFLY);
        marker(&mut scene, after, Ink::Missed);
        figure(
            &mut scene,
            after,
            &format!("about {}", percent(search.refly.outcome.pod)),
        );
    }
    scene.line(pod.clone(), POD);
    for (index, sortie) in search.sorties.iter().enumerate() {
        let alone = axes.place(index + 1, sortie.step.pod_alone);
        scene.line(
            closed(rectangle(alone - xy(6.0, 6.0), 12.0, 12.0)),
            Pen::solid(Ink::Text, 1.4),
        );
        marker(&mut scene, pod[index + 1], Ink::SearchLeg);
        if axes.step >= FIGURE_ROOM_PX {
            figure(
                &mut scene,
                pod[index + 1],
                &percent(sortie.step.cumulative.pod),
            );
        }
    }
    below(&mut scene, search, &axes);
    key(&mut scene, search);
    scene
}

/// Whether POS differs from POD to be seen: all the probability on the ground makes them one.
#[must_use]
pub fn has_pos_of_its_own(search: &Search) -> bool {
    (search.pod.pod - search.pos).abs() > 0.005
}

fn grid(scene: &mut Scene) {
    let axes = Axes { step: 0.0 };
    for tenth in [0u8, 2, 4, 6, 8, 10] {
        let at = axes.place(0, f64::from(tenth) / 10.0);
        let right = xy(WIDTH_PX - RIGHT_PX, at.y);
        scene.line(vec![at, right], Pen::solid(Ink::Grid, 1.0));
        let words = Words::new(xy(at.x - 7.0, at.y), 11.0, percent(f64::from(tenth) / 10.0));
        scene.words(words.anchored(Anchor::End).inked(Ink::Faint));
    }
}

fn marker(scene: &mut Scene, at: Coord<f64>, ink: Ink) {
    scene.add(Shape::Area {
        ring: circle(at, 4.5),
        ink,
        opacity: 1.0,
    });
    scene.line(circle(at, 4.5), Pen::solid(Ink::Paper, 1.2));
}

fn figure(scene: &mut Scene, at: Coord<f64>, text: &str) {
    let words = Words::new(at - xy(0.0, 14.0), 12.0, text).anchored(Anchor::Middle);
    scene.words(Words {
        bold: true,
        glow: true,
        ..words
    });
}

/// Names and days of the sorties below the axis.
fn below(scene: &mut Scene, search: &Search, axes: &Axes) {
    let room = axes.step - 8.0;
    let numbered = room < NAME_ROOM_PX;
    let mut write = |index: usize, lines: [String; 2]| {
        let foot = axes.place(index, 0.0);
        scene.line(vec![foot, foot + xy(0.0, 4.0)], Pen::solid(Ink::Faint, 1.0));
        for (line, text) in lines.into_iter().enumerate() {
            let at = foot + xy(0.0, 14.0 + 14.0 * line as f64);
            let text = fonts::fitted(&text, WORDS_PX, false, room);
            let words = Words::new(at, WORDS_PX, text).anchored(Anchor::Middle);
            scene.words(words.inked(if line == 0 { Ink::Text } else { Ink::Faint }));
        }
    };
    for (index, sortie) in search.sorties.iter().enumerate() {
        let lines = if numbered {
            [(index + 1).to_string(), String::new()]
        } else {
            [sortie.name.clone(), sortie.date.to_string()]
        };
        write(index + 1, lines);
    }
    if !search.refly.legs.is_empty() {
        write(
            search.sorties.len() + 1,
            ["re-fly".to_owned(), String::new()],
        );
    }
    let title = if numbered {
        "sorties in the order flown, by their number in the table"
    } else {
        "sorties in the order flown"
    };
    let middle = xy((LEFT_PX + WIDTH_PX - RIGHT_PX) / 2.0, HEIGHT_PX - 14.0);
    let words = Words::new(middle, WORDS_PX, title).anchored(Anchor::Middle);
    scene.words(words.inked(Ink::Faint));
}

fn key(scene: &mut Scene, search: &Search) {
    let y = 14.0;
    let pos = has_pos_of_its_own(search);
    let name = if pos {
        "POD of all sorties so far"
    } else {
        "POD of all sorties so far, which is also the POS"
    };
    let mut entries: Vec<(&str, Vec<Shape>)> = vec![
        (name, vec![line(POD, y)]),
        (
            "its band",
            vec![Shape::Area {
                ring: rectangle(xy(0.0, y - 6.0), 30.0, 12.0),
                ink: Ink::Tolerance,
                opacity: 0.6,
            }],
        ),
    ];
    if pos {
        entries.push(("POS of all so far", vec![line(POS, y)]));
    }
    let square = closed(rectangle(xy(9.0, y - 6.0), 12.0, 12.0));
    let pen = Pen::solid(Ink::Text, 1.4);
    let lines = vec![square];
    entries.push(("POD of a sortie alone", vec![Shape::Lines { lines, pen }]));
    if !search.refly.legs.is_empty() {
        entries.push(("with the re-fly, about", vec![line(REFLY, y)]));
    }
    if search.target_pod.is_some() {
        entries.push(("target", vec![line(TARGET, y)]));
    }
    let mut x = LEFT_PX;
    for (name, shapes) in entries {
        let mut sample = Scene {
            width: 0,
            height: 0,
            shapes,
        };
        sample.words(Words::new(xy(36.0, y), WORDS_PX, name));
        scene.place(sample, xy(x, 0.0));
        x += 36.0 + fonts::width(name, WORDS_PX, false) + 22.0;
    }
}

fn line(pen: Pen, y: f64) -> Shape {
    Shape::Lines {
        lines: vec![vec![xy(0.0, y), xy(30.0, y)]],
        pen,
    }
}
