//! Below the map: scale, what the lines and signs mean, and true and magnetic north.

use super::map::{AREA, CROSS, SEARCH, arrow_head, base_sign, end_sign, start_sign};
use crate::geodesy::Declination;
use crate::plan::LegKind;
use crate::report::drawing::{Anchor, Pen, Scene, Words, xy};
use crate::report::map::{MapFrame, scale_bar};
use crate::report::palette::Ink;
use crate::report::plan::PlanReport;
use geo::Coord;

/// Height of the legend, pixels.
const HEIGHT_PX: u32 = 98;
const WORDS_PX: f64 = 11.0;
const ROW_PX: f64 = 16.0;
const SAMPLE_PX: f64 = 30.0;
/// Length of the true north arrow, pixels.
const NORTH_PX: f64 = 44.0;

/// The legend, `width` pixels wide.
pub(super) fn legend(
    report: &PlanReport<'_>,
    frame: &MapFrame<'_>,
    base: bool,
    width: u32,
) -> Scene {
    let mut scene = Scene {
        width,
        height: HEIGHT_PX,
        shapes: Vec::new(),
    };
    let wide = f64::from(width);
    scale_bar(&mut scene, frame, xy(wide - 24.0, 10.0), wide * 0.28);
    norths(
        &mut scene,
        report.plan.declination.as_ref(),
        xy(wide - 60.0, 84.0),
    );
    entries(&mut scene, report, base);
    scene
}

/// What a sign is drawn by.
type Sign = fn(&mut Scene, Coord<f64>);

fn entries(scene: &mut Scene, report: &PlanReport<'_>, base: bool) {
    let middle = |at: Coord<f64>| at + xy(SAMPLE_PX / 2.0, 0.0);
    let line = |scene: &mut Scene, at: Coord<f64>, pen: Pen| {
        scene.line(vec![at, at + xy(SAMPLE_PX, 0.0)], pen);
    };
    let mut row = 0;
    let mut next = |scene: &mut Scene, words: &str| {
        let at = xy(4.0, 8.0 + ROW_PX * f64::from(row));
        scene.words(Words::new(at + xy(SAMPLE_PX + 8.0, 0.0), WORDS_PX, words));
        row += 1;
        at
    };
    let at = next(scene, "search leg, the way it is flown");
    line(scene, at, SEARCH);
    arrow_head(scene, middle(at), xy(1.0, 0.0), 5.5);
    if report
        .plan
        .legs
        .iter()
        .any(|leg| leg.kind == LegKind::Cross)
    {
        let at = next(scene, "cross-leg");
        line(scene, at, CROSS);
    }
    let lettered = if report.corners.is_empty() {
        "edge of the area"
    } else {
        "edge of the area, corners A, B, …"
    };
    let at = next(scene, lettered);
    line(scene, at, AREA);
    let signs: [(Sign, &str); 2] = [(start_sign, "start"), (end_sign, "end of the pattern")];
    for (sign, words) in signs {
        let at = next(scene, words);
        sign(scene, middle(at));
    }
    if base {
        let at = next(scene, "base");
        base_sign(scene, middle(at));
    }
}

/// True north up, and magnetic north beside it at the declination's angle.
fn norths(scene: &mut Scene, declination: Option<&Declination>, foot: Coord<f64>) {
    let tip = foot - xy(0.0, NORTH_PX);
    scene.line(vec![foot, tip], Pen::solid(Ink::Text, 1.6));
    arrow_head(scene, tip, xy(0.0, -1.0), 7.0);
    let Some(declination) = declination else {
        letter(scene, tip + xy(0.0, -11.0), "true", Anchor::Middle);
        return;
    };
    let (sin, cos) = declination.declination_deg.to_radians().sin_cos();
    let along = xy(sin, -cos);
    let magnetic = foot + along * (NORTH_PX * 0.78);
    scene.line(
        vec![foot, magnetic],
        Pen::solid(Ink::Text, 1.1).dashed(&[3.0, 2.0]),
    );
    arrow_head(scene, magnetic, along, 5.0);
    // Each word on the other side of its arrow than the other arrow.
    let east = declination.declination_deg >= 0.0;
    let (side, beside, other) = if east {
        (1.0, Anchor::Start, Anchor::End)
    } else {
        (-1.0, Anchor::End, Anchor::Start)
    };
    letter(scene, magnetic + xy(7.0 * side, 2.0), "mag.", beside);
    letter(scene, tip + xy(-7.0 * side, 2.0), "true", other);
}

fn letter(scene: &mut Scene, at: Coord<f64>, text: &str, anchor: Anchor) {
    scene.words(Words::new(at, WORDS_PX, text).anchored(anchor));
}
