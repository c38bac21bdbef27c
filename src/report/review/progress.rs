//! Every measure from flight to flight, one small panel each, with what is good enough as a band.

use super::words;
use crate::report::drawing::{Anchor, Pen, Scene, Shape, Words, closed, rectangle, xy};
use crate::report::map::circle;
use crate::report::palette::Ink;
use crate::training::measures::Measure;
use crate::training::review::{Change, Measured, Review};
use geo::Coord;

const WIDTH_PX: f64 = 1_100.0;
const COLUMNS: usize = 3;
const LEFT_PX: f64 = 46.0;
const GAP_PX: f64 = 58.0;
const PANEL_PX: Coord<f64> = Coord { x: 308.0, y: 96.0 };
const NAME_PX: f64 = 34.0;
const FOOT_PX: f64 = 26.0;
const SMALL_PX: f64 = 11.0;
/// Values reach at most this share of the panel's height, so that markers stay within it.
const FILLED: f64 = 0.9;

/// The panels.
#[must_use]
pub fn chart(review: &Review) -> Scene {
    let rows = review.measures.len().div_ceil(COLUMNS);
    let row_px = NAME_PX + PANEL_PX.y + FOOT_PX;
    let mut scene = Scene {
        width: WIDTH_PX as u32,
        height: (rows as f64 * row_px) as u32,
        shapes: Vec::new(),
    };
    for (index, measured) in review.measures.iter().enumerate() {
        let (column, row) = ((index % COLUMNS) as f64, (index / COLUMNS) as f64);
        let corner = xy(
            LEFT_PX + column * (PANEL_PX.x + GAP_PX),
            row * row_px + NAME_PX,
        );
        panel(&mut scene, measured, corner);
    }
    scene
}

/// The values that are good enough: from, to.
fn good(measured: &Measured) -> Option<(f64, f64)> {
    Some(measured.measure.good(measured.most()?))
}

fn panel(scene: &mut Scene, measured: &Measured, corner: Coord<f64>) {
    let values: Vec<Option<f64>> = measured.values.iter().map(|values| values.flight).collect();
    let band = good(measured);
    let all = || {
        values
            .iter()
            .flatten()
            .copied()
            .chain(band.map(|b| b.0))
            .chain(band.map(|b| b.1))
    };
    let low = all().fold(0.0, f64::min);
    let high = all().fold(0.0, f64::max);
    let range = (high - low).max(f64::MIN_POSITIVE) / FILLED;
    let (low, high) = (
        high / 2.0 + low / 2.0 - range / 2.0,
        high / 2.0 + low / 2.0 + range / 2.0,
    );
    let y = |value: f64| corner.y + PANEL_PX.y * (high - value) / (high - low);
    let step = PANEL_PX.x / values.len().max(1) as f64;
    let x = |flight: usize| corner.x + step * (flight as f64 + 0.5);
    if let Some((from, to)) = band {
        let top = xy(corner.x, y(to));
        scene.add(Shape::Area {
            ring: closed(rectangle(top, PANEL_PX.x, y(from) - y(to))),
            ink: Ink::Tolerance,
            opacity: 0.6,
        });
    }
    scene.line(
        closed(rectangle(corner, PANEL_PX.x, PANEL_PX.y)),
        Pen::solid(Ink::Grid, 1.0),
    );
    scene.line(
        vec![xy(corner.x, y(0.0)), xy(corner.x + PANEL_PX.x, y(0.0))],
        Pen::solid(Ink::Faint, 0.8),
    );
    let points: Vec<(usize, Coord<f64>)> = values
        .iter()
        .enumerate()
        .filter_map(|(flight, value)| Some((flight, xy(x(flight), y((*value)?)))))
        .collect();
    scene.line(
        points.iter().map(|(_, at)| *at).collect(),
        Pen::solid(Ink::SearchLeg, 1.8),
    );
    for (_, at) in &points {
        scene.add(Shape::Area {
            ring: circle(*at, 3.4),
            ink: Ink::SearchLeg,
            opacity: 1.0,
        });
    }
    let measure = measured.measure;
    let title = format!("{}, {}", measure.name(), words::unit(measure));
    scene.words(Words {
        bold: true,
        ..Words::new(corner - xy(0.0, 22.0), 12.0, title)
    });
    let so = match measured.change {
        Change::NotClear | Change::TooFew => words::change(measured.change).to_owned(),
        change => format!(
            "{}: {} a flight",
            words::change(change),
            words::slope(measure, &measured.trend)
        ),
    };
    scene.words(Words::new(corner - xy(0.0, 8.0), SMALL_PX, so).inked(Ink::Faint));
    let mut ticks = vec![0.0];
    ticks.extend(band.map(|(from, to)| if measure == Measure::Within { from } else { to }));
    for tick in ticks {
        let words = Words::new(
            xy(corner.x - 6.0, y(tick)),
            SMALL_PX,
            words::value(measure, tick),
        );
        scene.words(words.anchored(Anchor::End).inked(Ink::Faint));
    }
    let foot = corner.y + PANEL_PX.y + 10.0;
    let every = values.len().div_ceil(12).max(1);
    for flight in (0..values.len()).step_by(every) {
        let words = Words::new(xy(x(flight), foot), SMALL_PX, (flight + 1).to_string());
        scene.words(words.anchored(Anchor::Middle).inked(Ink::Faint));
    }
}
