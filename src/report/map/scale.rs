//! The scale bar of a map.

use super::frame::MapFrame;
use crate::report::drawing::{Anchor, Pen, Scene, Shape, Words, closed, rectangle, xy};
use crate::report::format::figure;
use crate::report::palette::Ink;
use crate::units::METRES_PER_NM;
use geo::Coord;

const SMALL_PX: f64 = 11.0;

/// A bar of a round length, at most `most` pixels long, that ends at `right`; its figures stand below.
pub fn scale_bar(scene: &mut Scene, frame: &MapFrame<'_>, right: Coord<f64>, most: f64) {
    let px_per_nm = frame.px_per_m() * METRES_PER_NM;
    let (nm, decimals) = round_length(most / px_per_nm);
    let length = nm * px_per_nm;
    let (right, y) = (right.x, right.y);
    let left = right - length;
    let middle = f64::midpoint(left, right);
    for (from, to, ink) in [(left, middle, Ink::Text), (middle, right, Ink::Paper)] {
        scene.add(Shape::Area {
            ring: rectangle(xy(from, y - 3.0), to - from, 6.0),
            ink,
            opacity: 1.0,
        });
    }
    scene.add(Shape::Lines {
        lines: vec![closed(rectangle(xy(left, y - 3.0), length, 6.0))],
        pen: Pen::solid(Ink::Text, 1.0),
    });
    for (x, value) in [(left, 0.0), (right, nm)] {
        let unit = if value > 0.0 { " NM" } else { "" };
        let places = if value > 0.0 { decimals } else { 0 };
        let words = Words::new(
            xy(x, y + 14.0),
            SMALL_PX,
            format!("{}{unit}", figure(value, places)),
        );
        scene.words(words.anchored(Anchor::Middle).inked(Ink::Faint));
    }
}

/// 1, 2 or 5 times a power of ten, no more than `most`, and the decimals it needs.
fn round_length(most: f64) -> (f64, usize) {
    let power = most.log10().floor();
    let ten = 10.0_f64.powf(power);
    let first = [5.0, 2.0, 1.0]
        .into_iter()
        .find(|first| first * ten <= most)
        .unwrap_or(1.0);
    (first * ten, (-power).max(0.0) as usize)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scale_bars_have_round_lengths() {
        assert_eq!(round_length(7.3), (5.0, 0));
        assert_eq!(round_length(1.99), (1.0, 0));
        let (nm, decimals) = round_length(0.26);
        assert!((nm - 0.2).abs() < 1e-12 && decimals == 1);
    }
}
