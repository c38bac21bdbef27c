//! The heatmap as a picture of its own: the map with a heading and a caution.

use super::drawing::{DrawError, Scene, Words, bitmap, xy};
use super::format::{nm, percent};
use super::map::map;
use super::palette::Ink;
use super::{cautions_line, fonts};
use crate::debrief::Debrief;
use geo::Coord;

/// Longer side of the map, pixels.
const LONGEST_PX: f64 = 1_100.0;
const EDGE_PX: f64 = 24.0;
const TITLE_PX: f64 = 22.0;
const WORDS_PX: f64 = 13.0;

/// POD over the area with plan, track and holes, as PNG.
///
/// # Errors
/// When painting or encoding fails.
pub fn heatmap_png(debrief: &Debrief) -> Result<Vec<u8>, DrawError> {
    bitmap::png(&scene(debrief).0)
}

/// The picture, and where the map lies on it.
fn scene(debrief: &Debrief) -> (Scene, Coord<f64>) {
    let map = map(debrief, LONGEST_PX, LONGEST_PX);
    let width = f64::from(map.width) + 2.0 * EDGE_PX;
    let room = f64::from(map.width);
    let mut scene = Scene {
        width: width as u32,
        height: 0,
        shapes: Vec::new(),
    };
    let title = fonts::fitted(
        &format!("{}, {}", debrief.sortie, debrief.date),
        TITLE_PX,
        true,
        room,
    );
    let mut y = EDGE_PX + TITLE_PX / 2.0;
    scene.words(Words {
        bold: true,
        ..Words::new(xy(EDGE_PX, y), TITLE_PX, title)
    });
    y += TITLE_PX / 2.0 + 6.0;
    y = paragraph(&mut scene, &facts(debrief), y, room, Ink::Text);
    let at = xy(EDGE_PX, (y + 10.0).round());
    y = at.y + f64::from(map.height) + 8.0;
    scene.place(map, at);
    y = paragraph(&mut scene, cautions_line(), y, room, Ink::Faint);
    scene.height = (y + EDGE_PX - 6.0).ceil() as u32;
    (scene, at)
}

fn facts(debrief: &Debrief) -> String {
    let coverage = &debrief.coverage;
    format!(
        "POD over the area {} ({} law, sweep width {}, track spacing {}); {} of it at or above the \
         target of {}.",
        percent(super::headline::deciding_pod(coverage)),
        coverage.law.name(),
        nm(coverage.sweep_width, 2),
        nm(debrief.plan.spacing, 2),
        percent(coverage.share_at_target),
        percent(coverage.target_pod),
    )
}

fn paragraph(scene: &mut Scene, text: &str, top: f64, room: f64, ink: Ink) -> f64 {
    let mut y = top;
    for line in fonts::wrapped(text, WORDS_PX, false, room) {
        y += 9.0;
        scene.words(Words::new(xy(EDGE_PX, y), WORDS_PX, line).inked(ink));
        y += 9.0;
    }
    y
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::test_fixture::{self, Shape, keep};

    #[test]
    fn shapes_of_all_sizes_are_drawn() {
        let shapes = [
            (
                "one",
                Shape {
                    legs: 1,
                    not_flown: 0,
                    ..Shape::default()
                },
            ),
            (
                "sixty",
                Shape {
                    legs: 60,
                    leg_nm: 20.0,
                    cells: 3,
                    ..Shape::default()
                },
            ),
            (
                "wide",
                Shape {
                    legs: 4,
                    leg_nm: 40.0,
                    cells: 4,
                    not_flown: 2,
                    ..Shape::default()
                },
            ),
            (
                "tall",
                Shape {
                    legs: 4,
                    leg_nm: 40.0,
                    cells: 4,
                    course_deg: 2.0,
                    ..Shape::default()
                },
            ),
        ];
        keep("usual.png", &heatmap_png(&test_fixture::debrief()).unwrap());
        for (name, shape) in shapes {
            keep(
                &format!("{name}.png"),
                &heatmap_png(&shape.build()).unwrap(),
            );
        }
    }
}
