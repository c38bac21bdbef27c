//! The axes all panels share: their size, their grid on the picture and their ticks.

use crate::debrief::Debrief;
use crate::plan::Leg;
use crate::report::drawing::{Anchor, Pen, Scene, Words, xy};
use crate::report::format::figure;
use crate::report::palette::Ink;
use crate::units::Length;
use geo::Coord;

/// Width of the picture, pixels.
pub(super) const WIDTH_PX: f64 = 1_100.0;
/// Height the panels share before they become lower than [`LEAST_PX`].
const HEIGHT_PX: f64 = 1_300.0;
const LEAST_PX: f64 = 62.0;
const MOST_PX: f64 = 210.0;
/// Room for the labels of the axes.
pub(super) const LEFT_PX: f64 = 62.0;
const BOTTOM_PX: f64 = 40.0;
const TOP_PX: f64 = 40.0;
/// Room above each panel for its name, and between panels.
const NAME_PX: f64 = 18.0;
const GAP_PX: f64 = 14.0;
/// The scale reaches at least and at most this many tolerances: a single leg far off does not
/// flatten all others. Chosen.
const LEAST_TOLERANCES: f64 = 1.6;
const MOST_TOLERANCES: f64 = 5.0;

/// The axes all panels share.
#[derive(Debug)]
pub(super) struct Axes {
    /// Longest leg.
    pub(super) along: Length,
    /// Largest XTE shown, either side.
    pub(super) aside: Length,
    columns: usize,
    rows: usize,
    /// Size of a panel.
    pub(super) panel: Coord<f64>,
}

impl Axes {
    pub(super) fn new(debrief: &Debrief, legs: &[&Leg]) -> Self {
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

    pub(super) fn corner(&self, index: usize) -> Coord<f64> {
        let (column, row) = ((index % self.columns) as f64, (index / self.columns) as f64);
        xy(
            LEFT_PX + column * (self.panel.x + GAP_PX),
            TOP_PX + NAME_PX + row * (self.panel.y + NAME_PX + GAP_PX),
        )
    }

    pub(super) fn height(&self) -> f64 {
        TOP_PX + self.rows as f64 * (self.panel.y + NAME_PX + GAP_PX) + BOTTOM_PX
    }

    /// In pixels from the panel's corner: right of the leg is drawn below its middle, as the
    /// ground lies when the leg is looked along from left to right.
    pub(super) fn place(&self, along: Length, xte: Length) -> Coord<f64> {
        xy(
            along.m() / self.along.m() * self.panel.x,
            (0.5 + 0.5 * xte.m() / self.aside.m()) * self.panel.y,
        )
    }
}

/// Chosen: panels are twelve lines of text high or more.
const CLEAR_SHARE: f64 = 0.88;

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

/// Ticks below the lowest panel of each column and left of the first column.
pub(super) fn labels(scene: &mut Scene, axes: &Axes, index: usize, legs: usize) {
    let at = axes.corner(index);
    let tick = Pen::solid(Ink::Faint, 1.0);
    if index.is_multiple_of(axes.columns) {
        let step = tick_within(axes.aside.m());
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
            // The outermost labels keep clear of those of the next panel.
            let anchor = match along {
                a if a <= 0.0 => Anchor::Start,
                a if a >= axes.along.nm() - 0.1 * step => Anchor::End,
                _ => Anchor::Middle,
            };
            scene.words(words.anchored(anchor).inked(Ink::Faint));
            along += step;
        }
    }
}

/// A round step so that about `count` of them fill `range`.
pub(super) fn tick_step(range: f64, count: f64) -> f64 {
    let rough = range / count;
    let ten = 10.0_f64.powf(rough.log10().floor());
    [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|m| m * ten)
        .find(|s| *s >= rough * 0.999)
        .unwrap_or(rough)
}

/// The largest round figure whose label, at that place, keeps clear of the end of `range`.
fn tick_within(range: f64) -> f64 {
    let ten = 10.0_f64.powf(range.log10().floor());
    [5.0, 2.0, 1.0]
        .into_iter()
        .map(|m| m * ten)
        .find(|s| *s <= CLEAR_SHARE * range)
        .unwrap_or(ten / 2.0)
}

pub(super) fn trimmed(value: f64) -> String {
    let text = figure(value, 3);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_round() {
        assert!((tick_step(0.2, 2.0) - 0.1).abs() < 1e-12);
        assert!((tick_step(7.0, 5.0) - 2.0).abs() < 1e-12);
        for (range, tick) in [
            (417.0, 200.0),
            (695.0, 500.0),
            (1_000.0, 500.0),
            (105.0, 50.0),
        ] {
            assert!((tick_within(range) - tick).abs() < 1e-9, "{range}");
        }
        assert_eq!(
            [trimmed(0.1), trimmed(2.0), trimmed(0.0)],
            ["0.1", "2", "0"]
        );
    }
}
