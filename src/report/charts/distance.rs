//! POD against the distance from the datum: as planned and as flown.

use super::WIDTH_PX;
use crate::coverage::{ByDistance, Ring};
use crate::report::drawing::{Anchor, Pen, Scene, Words, xy};
use crate::report::fonts;
use crate::report::format::{nm_figure, percent};
use crate::report::palette::Ink;
use geo::Coord;

const HEIGHT_PX: f64 = 300.0;
const LEFT_PX: f64 = 62.0;
const RIGHT_PX: f64 = 90.0;
const TOP_PX: f64 = 34.0;
const BOTTOM_PX: f64 = 46.0;

const FLOWN: Pen = Pen::solid(Ink::SearchLeg, 2.2);
const PLANNED: Pen = Pen::solid(Ink::Text, 1.6).dashed(&[7.0, 4.0]);
const TARGET: Pen = Pen::solid(Ink::Faint, 1.2).dashed(&[1.5, 3.0]);

/// The chart; the same is in a table beside it.
#[must_use]
pub fn chart(by_distance: &ByDistance, target_pod: f64) -> Scene {
    let mut scene = Scene {
        width: WIDTH_PX as u32,
        height: HEIGHT_PX as u32,
        shapes: Vec::new(),
    };
    let rings = &by_distance.rings;
    let reach = rings.last().map_or(1.0, |ring| ring.to.m());
    let (right, foot) = (WIDTH_PX - RIGHT_PX, HEIGHT_PX - BOTTOM_PX);
    let place = |distance_m: f64, pod: f64| {
        xy(
            LEFT_PX + distance_m / reach * (right - LEFT_PX),
            foot - pod * (foot - TOP_PX),
        )
    };
    for tenth in [0u8, 2, 4, 6, 8, 10] {
        let pod = f64::from(tenth) / 10.0;
        let at = place(0.0, pod);
        scene.line(vec![at, place(reach, pod)], Pen::solid(Ink::Grid, 1.0));
        let words = Words::new(xy(at.x - 7.0, at.y), 11.0, percent(pod));
        scene.words(words.anchored(Anchor::End).inked(Ink::Faint));
    }
    for distance in rings
        .iter()
        .map(|ring| ring.from)
        .chain(rings.last().map(|r| r.to))
    {
        let at = place(distance.m(), 0.0);
        scene.line(vec![at, xy(at.x, at.y + 4.0)], Pen::solid(Ink::Faint, 1.0));
        let words = Words::new(xy(at.x, at.y + 13.0), 11.0, nm_figure(distance, 1));
        scene.words(words.anchored(Anchor::Middle).inked(Ink::Faint));
    }
    scene.line(
        vec![place(0.0, target_pod), place(reach, target_pod)],
        TARGET,
    );
    let mut curve = |value: fn(&Ring) -> Option<f64>, pen: Pen| {
        let line: Vec<Coord<f64>> = rings
            .iter()
            .filter_map(|ring| Some(place((ring.from.m() + ring.to.m()) / 2.0, value(ring)?)))
            .collect();
        scene.line(line, pen);
    };
    curve(|ring| ring.planned_pod, PLANNED);
    curve(|ring| ring.mean_pod, FLOWN);
    let mut x = LEFT_PX;
    for (name, pen) in [
        ("mean POD as flown", FLOWN),
        ("as planned", PLANNED),
        ("target", TARGET),
    ] {
        scene.line(vec![xy(x, 14.0), xy(x + 30.0, 14.0)], pen);
        scene.words(Words::new(xy(x + 36.0, 14.0), 11.5, name));
        x += 36.0 + fonts::width(name, 11.5, false) + 24.0;
    }
    scene.words(
        Words::new(
            xy((LEFT_PX + right) / 2.0, HEIGHT_PX - 12.0),
            11.5,
            "distance from the datum, NM",
        )
        .anchored(Anchor::Middle)
        .inked(Ink::Faint),
    );
    scene
}
