//! The map of a debrief: detection over the area, and on it the plan, the flight and the holes.
//! One drawing serves the page and the PNG.
//!
//! ```text
//! frame (ground → pixels) ─ layers (what lies on the map) ─ legend (what it means) → Scene
//! ```

mod after_refly;
mod frame;
pub(in crate::report) mod labels;
pub(in crate::report) mod layers;
pub(in crate::report) mod legend;
pub(in crate::report) mod pair;
mod scale;
mod style;

pub use after_refly::before_and_after;
pub use frame::{MapFrame, widened};
pub use layers::{FLOWN, circle, layers, overlap};
pub use legend::legend;
pub use scale::scale_bar;
pub use style::{AREA, HoleStyle, REFLY, phase_pen};

use super::drawing::{Pen, Scene, Shape, closed, rectangle, xy};
use super::palette::Ink;
use crate::debrief::Debrief;

/// Room between the map and the legend, and between two maps, pixels.
const GAP_PX: f64 = 14.0;
/// Least width of map and legend together, pixels.
const LEAST_WIDTH_PX: f64 = 620.0;

/// The map, as large as fits into `widest` by `highest` pixels, and its legend below it.
#[must_use]
pub fn map(debrief: &Debrief, widest: f64, highest: f64) -> Scene {
    let frame = MapFrame::new(debrief, widest, highest);
    let size = frame.size();
    let width = size.x.max(LEAST_WIDTH_PX.min(widest));
    let legend = legend::legend(debrief, &frame, width);
    let mut scene = Scene {
        width: width as u32,
        height: (size.y + GAP_PX) as u32 + legend.height,
        shapes: Vec::new(),
    };
    let ground = ground(debrief, &frame);
    scene.place(ground, xy(((width - size.x) / 2.0).round(), 0.0));
    scene.place(legend, xy(0.0, size.y + GAP_PX));
    scene
}

/// The map without its legend.
#[must_use]
pub fn ground(debrief: &Debrief, frame: &MapFrame<'_>) -> Scene {
    let size = frame.size();
    let mut within = Scene {
        width: size.x as u32,
        height: size.y as u32,
        shapes: Vec::new(),
    };
    layers::draw(&mut within, debrief, frame);
    let view = Shape::View {
        at: xy(0.0, 0.0),
        size,
        shapes: within.shapes,
    };
    let edge = Shape::Lines {
        lines: vec![closed(rectangle(xy(0.5, 0.5), size.x - 1.0, size.y - 1.0))],
        pen: Pen::solid(Ink::Grid, 1.0),
    };
    Scene {
        shapes: vec![view, edge],
        ..within
    }
}
