//! Where the words of a crowded map go: beside each other and, as far as possible, off the lines.

use crate::report::drawing::clip::clipped;
use crate::report::drawing::{Anchor, Scene, Words, xy};
use crate::report::fonts;
use crate::report::map::overlap;
use crate::report::palette::Ink;
use geo::{Coord, Rect};

/// What a label costs: a pixel of another line under it or close by costs 1, one place further down the list of
/// wishes this much.
const NEXT_WISH: f64 = 1.0;
/// Lying on another label, whatever the share.
const ON_A_LABEL: f64 = 1_000.0;
/// Reaching beyond the map, each pixel.
const BEYOND: f64 = 100.0;
/// Room wanted between a label and other lines, pixels.
const CLEAR_PX: f64 = 3.0;

/// The ground taken by words and signs, and the lines to be kept clear.
#[derive(Debug)]
pub(in crate::report) struct Placer {
    map: Rect<f64>,
    lines: Vec<[Coord<f64>; 2]>,
    taken: Vec<Rect<f64>>,
}

impl Placer {
    /// An empty map with these lines.
    pub(in crate::report) fn new(map: Rect<f64>, lines: Vec<[Coord<f64>; 2]>) -> Self {
        Self {
            map,
            lines,
            taken: Vec::new(),
        }
    }

    /// Keeps labels away from a sign.
    pub(in crate::report) fn keep_free(&mut self, at: Coord<f64>, half: f64) {
        let half = xy(half, half);
        self.taken.push(Rect::new(at - half, at + half));
    }

    /// Whether nothing stands around a place.
    pub(in crate::report) fn is_free(&self, at: Coord<f64>, half: f64) -> bool {
        let half = xy(half, half);
        let place = Rect::new(at - half, at + half);
        !self.taken.iter().any(|other| overlap(*other, place))
    }

    /// Writes a label at the best of the places wished for, the most wanted first. `own` is the line
    /// it names, which it may stand on.
    pub(in crate::report) fn write(
        &mut self,
        scene: &mut Scene,
        label: &Label<'_>,
        wishes: &[Coord<f64>],
        own: Option<usize>,
    ) {
        let width = fonts::width(label.text, label.size, label.bold);
        let half = xy(width / 2.0 + 1.5, label.size / 2.0 + 1.0);
        let cost = |index: usize, at: Coord<f64>| {
            NEXT_WISH * index as f64 + self.cost(Rect::new(at - half, at + half), own)
        };
        let best = wishes
            .iter()
            .enumerate()
            .map(|(index, at)| (cost(index, *at), *at))
            .min_by(|a, b| a.0.total_cmp(&b.0));
        let Some((_, at)) = best else { return };
        self.taken.push(Rect::new(at - half, at + half));
        let words = Words::new(at, label.size, label.text).anchored(Anchor::Middle);
        scene.words(Words {
            bold: label.bold,
            glow: true,
            ..words.inked(label.ink)
        });
    }

    fn cost(&self, place: Rect<f64>, own: Option<usize>) -> f64 {
        let labels = self.taken.iter().filter(|other| overlap(**other, place));
        let clear = xy(CLEAR_PX, CLEAR_PX);
        let room = Rect::new(place.min() - clear, place.max() + clear);
        let lines = self.lines.iter().enumerate();
        let covered: f64 = lines
            .filter(|(index, _)| Some(*index) != own)
            .flat_map(|(_, line)| clipped(line, room))
            .map(|part| {
                let step = part[part.len() - 1] - part[0];
                step.x.hypot(step.y)
            })
            .sum();
        let beyond = (self.map.min().x - place.min().x).max(0.0)
            + (self.map.min().y - place.min().y).max(0.0)
            + (place.max().x - self.map.max().x).max(0.0)
            + (place.max().y - self.map.max().y).max(0.0);
        covered + ON_A_LABEL * labels.count() as f64 + BEYOND * beyond
    }
}

/// A word on the map.
#[derive(Clone, Copy, Debug)]
pub(in crate::report) struct Label<'a> {
    pub(in crate::report) text: &'a str,
    pub(in crate::report) size: f64,
    pub(in crate::report) bold: bool,
    pub(in crate::report) ink: Ink,
}

/// Places around a sign at a distance, from the east anticlockwise.
pub(in crate::report) fn around(at: Coord<f64>, distance: Coord<f64>) -> Vec<Coord<f64>> {
    (0..8)
        .map(|step| (f64::from(step) * 45.0_f64.to_radians()).sin_cos())
        .map(|(sin, cos)| at + xy(distance.x * cos, -distance.y * sin))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn label(text: &str) -> Label<'_> {
        Label {
            text,
            size: 10.0,
            bold: false,
            ink: Ink::Text,
        }
    }

    fn written(scene: &Scene) -> Vec<Coord<f64>> {
        let words = scene.shapes.iter().filter_map(|shape| match shape {
            crate::report::drawing::Shape::Words(words) => Some(words.at),
            _ => None,
        });
        words.collect()
    }

    #[test]
    fn labels_keep_off_each_other_lines_and_edges() {
        let map = Rect::new(xy(0.0, 0.0), xy(100.0, 100.0));
        let lines = vec![
            [xy(0.0, 50.0), xy(100.0, 50.0)],
            [xy(0.0, 20.0), xy(100.0, 20.0)],
        ];
        let mut placer = Placer::new(map, lines);
        let mut scene = Scene {
            width: 100,
            height: 100,
            shapes: Vec::new(),
        };
        placer.keep_free(xy(50.0, 80.0), 5.0);
        let wishes = [
            xy(50.0, 80.0),
            xy(99.0, 70.0),
            xy(30.0, 20.0),
            xy(30.0, 70.0),
            xy(60.0, 50.0),
        ];
        placer.write(&mut scene, &label("1"), &wishes, None);
        placer.write(&mut scene, &label("2"), &wishes, Some(0));
        // The first keeps off sign, edge and line; the second may stand on the line it names.
        assert_eq!(written(&scene), [xy(30.0, 70.0), xy(60.0, 50.0)]);
        assert!(placer.is_free(xy(80.0, 80.0), 3.0) && !placer.is_free(xy(60.0, 50.0), 3.0));
        // Where there is no free place the word still stands.
        placer.write(&mut scene, &label("3"), &[xy(60.0, 50.0)], None);
        assert_eq!(written(&scene).len(), 3);
    }
}
