//! Every measure of every pilot from flight to flight: a row a measure, a column a pilot.

use crate::report::drawing::{Anchor, Pen, Scene, Shape, Words, closed, rectangle, xy};
use crate::report::map::circle;
use crate::report::palette::Ink;
use crate::report::review::words;
use crate::training::Class;
use crate::training::class::{Compared, Standing};
use geo::Coord;

const WIDTH_PX: f64 = 1_100.0;
const LEFT_PX: f64 = 270.0;
const GAP_PX: f64 = 14.0;
const HEAD_PX: f64 = 28.0;
const ROW_PX: f64 = 62.0;
const FRAME_PX: f64 = 50.0;
const SMALL_PX: f64 = 11.0;
/// Pilots in one picture. Chosen: names and six flights can still be told apart.
const BESIDE: usize = 6;
/// Values reach at most this share of the height, so that markers stay within it.
const FILLED: f64 = 0.86;

/// The pictures, for so many pilots each as fit side by side.
#[must_use]
pub fn charts(class: &Class) -> Vec<Scene> {
    (0..class.pilots.len())
        .step_by(BESIDE)
        .map(|from| chart(class, from, (from + BESIDE).min(class.pilots.len())))
        .collect()
}

fn chart(class: &Class, from: usize, to: usize) -> Scene {
    let height = HEAD_PX + class.measures.len() as f64 * ROW_PX;
    let mut scene = Scene {
        width: WIDTH_PX as u32,
        height: height as u32,
        shapes: Vec::new(),
    };
    let step = (WIDTH_PX - LEFT_PX) / BESIDE.min(class.pilots.len()).max(1) as f64;
    let left = |column: usize| LEFT_PX + column as f64 * step;
    for (column, member) in class.pilots[from..to].iter().enumerate() {
        scene.words(Words {
            bold: true,
            ..Words::new(xy(left(column), HEAD_PX / 2.0), 12.0, member.pilot.clone())
        });
    }
    for (row, compared) in class.measures.iter().enumerate() {
        let top = HEAD_PX + row as f64 * ROW_PX;
        let scale = Scale::of(compared, top);
        name(&mut scene, compared, &scale);
        for (column, standing) in compared.pilots[from..to].iter().enumerate() {
            let frame = (xy(left(column), top), step - GAP_PX);
            one(&mut scene, compared, standing, &scale, frame);
        }
    }
    scene
}

/// From values to the height they are drawn at, the same for all pilots.
struct Scale {
    high: f64,
    range: f64,
    top: f64,
    /// What is good enough, where that is the same for all.
    good: Option<(f64, f64)>,
}

impl Scale {
    fn of(compared: &Compared, top: f64) -> Self {
        let bands = compared.pilots.iter().filter_map(|standing| standing.most);
        let bands = bands.map(|most| compared.measure.good(most));
        let values = compared
            .pilots
            .iter()
            .flat_map(|standing| &standing.flights);
        let all = values.flatten().copied();
        let all = all.chain(bands.clone().flat_map(|(from, to)| [from, to]));
        let (low, high) = all.fold((0.0f64, 0.0f64), |(low, high), v| (low.min(v), high.max(v)));
        let range = (high - low).max(f64::MIN_POSITIVE) / FILLED;
        let first = bands.clone().next();
        Self {
            high: f64::midpoint(high, low) + range / 2.0,
            range,
            top,
            good: first.filter(|band| bands.clone().all(|other| other == *band)),
        }
    }

    fn y(&self, value: f64) -> f64 {
        self.top + FRAME_PX * (self.high - value) / self.range
    }
}

fn name(scene: &mut Scene, compared: &Compared, scale: &Scale) {
    let measure = compared.measure;
    let middle = scale.top + FRAME_PX / 2.0;
    scene.words(Words::new(
        xy(0.0, middle - 8.0),
        12.0,
        format!("{}, {}", measure.name(), words::unit(measure)),
    ));
    if let Some((from, to)) = scale.good {
        let good = if measure.is_signed() {
            format!("good: ± {}", words::value(measure, to))
        } else if from > 0.0 {
            format!("good: {} and more", words::value(measure, from))
        } else {
            format!("good: to {}", words::value(measure, to))
        };
        scene.words(Words::new(xy(0.0, middle + 8.0), SMALL_PX, good).inked(Ink::Faint));
    }
    let zero = Words::new(xy(LEFT_PX - 6.0, scale.y(0.0)), SMALL_PX, "0");
    scene.words(zero.anchored(Anchor::End).inked(Ink::Faint));
}

fn one(
    scene: &mut Scene,
    compared: &Compared,
    standing: &Standing,
    scale: &Scale,
    (corner, width): (Coord<f64>, f64),
) {
    if let Some(most) = standing.most {
        let (from, to) = compared.measure.good(most);
        let top = xy(corner.x, scale.y(to));
        scene.add(Shape::Area {
            ring: closed(rectangle(top, width, scale.y(from) - scale.y(to))),
            ink: Ink::Tolerance,
            opacity: 0.6,
        });
    }
    scene.line(
        closed(rectangle(corner, width, FRAME_PX)),
        Pen::solid(Ink::Grid, 1.0),
    );
    let zero = scale.y(0.0);
    scene.line(
        vec![xy(corner.x, zero), xy(corner.x + width, zero)],
        Pen::solid(Ink::Faint, 0.8),
    );
    let step = width / standing.flights.len().max(1) as f64;
    let points: Vec<Coord<f64>> = standing
        .flights
        .iter()
        .enumerate()
        .filter_map(|(flight, value)| {
            let x = corner.x + step * (flight as f64 + 0.5);
            Some(xy(x, scale.y((*value)?)))
        })
        .collect();
    scene.line(points.clone(), Pen::solid(Ink::SearchLeg, 1.6));
    for at in points {
        scene.add(Shape::Area {
            ring: circle(at, 2.6),
            ink: Ink::SearchLeg,
            opacity: 1.0,
        });
    }
}
