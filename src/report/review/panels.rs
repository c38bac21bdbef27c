//! XTE along legs, in panels.

use crate::report::drawing::{
    Anchor, Pen, Scene, Shape, Words, clip::clipped, closed, rectangle, xy,
};
use crate::report::palette::Ink;
use crate::training::flight::LegFlown;
use crate::units::Length;
use geo::{Coord, Rect};

const WIDTH_PX: f64 = 1_100.0;
const COLUMNS: usize = 2;
const LEFT_PX: f64 = 58.0;
const GAP_PX: f64 = 62.0;
const NAME_PX: f64 = 26.0;
const FOOT_PX: f64 = 34.0;
const SMALL_PX: f64 = 11.0;
/// Width and height of the frame of a panel, pixels.
pub const PANEL_PX: Coord<f64> = Coord { x: 480.0, y: 110.0 };
/// The scale reaches at most this many tolerances: one leg far off does not flatten all others. Chosen.
const MOST_TOLERANCES: f64 = 4.0;
const LEAST_TOLERANCES: f64 = 1.5;

/// What is drawn in one panel.
#[derive(Debug)]
pub struct Panel<'a> {
    /// Above it.
    pub title: String,
    /// The legs laid on each other, each with its pen; the last one lies on top.
    pub legs: Vec<(&'a LegFlown, Pen)>,
    /// Half the width of the band about the middle, metres.
    pub tolerance_m: f64,
}

/// Panels as drawn, and what their axes reach to.
#[derive(Debug)]
pub struct Drawn {
    /// The picture.
    pub scene: Scene,
    /// Upper left corner of the frame of each panel, pixels.
    pub corners: Vec<Coord<f64>>,
    /// Distance along the leg at the right edge, metres.
    pub along_m: f64,
    /// XTE at the lower edge, metres.
    pub aside_m: f64,
}

/// Draws panels two in a row, all to one scale.
#[must_use]
pub fn draw(panels: &[Panel<'_>]) -> Drawn {
    let rows = panels.len().div_ceil(COLUMNS);
    let row_px = NAME_PX + PANEL_PX.y + FOOT_PX;
    let mut scene = Scene {
        width: WIDTH_PX as u32,
        height: (rows as f64 * row_px) as u32,
        shapes: Vec::new(),
    };
    let legs = || {
        panels
            .iter()
            .flat_map(|panel| panel.legs.iter().map(|(leg, _)| *leg))
    };
    let along_m = legs().map(|leg| leg.length_m).fold(1.0, f64::max);
    let points = legs().flat_map(|leg| leg.profile.iter().flatten());
    let largest_m = points.map(|(_, xte)| xte.abs()).fold(0.0, f64::max) * 1.05;
    let tolerance_m = panels
        .iter()
        .map(|panel| panel.tolerance_m)
        .fold(1.0, f64::max);
    let aside_m = largest_m.clamp(
        LEAST_TOLERANCES * tolerance_m,
        MOST_TOLERANCES * tolerance_m,
    );
    let mut corners = Vec::with_capacity(panels.len());
    for (index, panel) in panels.iter().enumerate() {
        let (column, row) = ((index % COLUMNS) as f64, (index / COLUMNS) as f64);
        let corner = xy(
            LEFT_PX + column * (PANEL_PX.x + GAP_PX),
            row * row_px + NAME_PX,
        );
        let last = index + COLUMNS >= panels.len();
        one(&mut scene, panel, corner, (along_m, aside_m), last);
        corners.push(corner);
    }
    Drawn {
        scene,
        corners,
        along_m,
        aside_m,
    }
}

fn one(
    scene: &mut Scene,
    panel: &Panel<'_>,
    corner: Coord<f64>,
    (along_m, aside_m): (f64, f64),
    last: bool,
) {
    // Right of the leg is drawn below its middle, as the ground lies when it is looked along from left to right.
    let place = |along: f64, xte: f64| {
        corner
            + xy(
                along / along_m * PANEL_PX.x,
                (0.5 + 0.5 * xte / aside_m) * PANEL_PX.y,
            )
    };
    let band = place(0.0, -panel.tolerance_m);
    scene.add(Shape::Area {
        ring: closed(rectangle(
            band,
            PANEL_PX.x,
            place(0.0, panel.tolerance_m).y - band.y,
        )),
        ink: Ink::Tolerance,
        opacity: 0.6,
    });
    scene.line(
        closed(rectangle(corner, PANEL_PX.x, PANEL_PX.y)),
        Pen::solid(Ink::Grid, 1.0),
    );
    scene.line(
        vec![place(0.0, 0.0), place(along_m, 0.0)],
        Pen::solid(Ink::Faint, 0.8),
    );
    let frame = Rect::new(corner, corner + PANEL_PX);
    for (leg, pen) in &panel.legs {
        for stretch in &leg.profile {
            let line: Vec<Coord<f64>> = stretch.iter().map(|(a, x)| place(*a, *x)).collect();
            for piece in clipped(&line, frame) {
                scene.line(piece, *pen);
            }
        }
    }
    scene.words(Words {
        bold: true,
        ..Words::new(corner - xy(0.0, 11.0), 12.0, panel.title.clone())
    });
    for (side, name) in [(-1.0, "L"), (1.0, "R")] {
        let at = place(0.0, side * panel.tolerance_m) - xy(6.0, 0.0);
        let text = format!("{:.0} {name}", panel.tolerance_m);
        scene.words(
            Words::new(at, SMALL_PX, text)
                .anchored(Anchor::End)
                .inked(Ink::Faint),
        );
    }
    if last {
        let whole = Length::from_m(along_m).nm();
        for share in [0.0, 0.5, 1.0] {
            let at = place(share * along_m, aside_m) + xy(0.0, 11.0);
            let text = format!("{:.1} NM", share * whole);
            let anchor = match share {
                s if s <= 0.0 => Anchor::Start,
                s if s >= 1.0 => Anchor::End,
                _ => Anchor::Middle,
            };
            scene.words(
                Words::new(at, SMALL_PX, text)
                    .anchored(anchor)
                    .inked(Ink::Faint),
            );
        }
    }
}
