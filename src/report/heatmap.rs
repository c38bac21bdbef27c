//! The heatmap as a picture of its own: the map with a heading and a caution.

use super::drawing::{DrawError, Paper, Scene, Words, bitmap, xy};
use super::format::{nm, percent};
use super::map::map;
use super::palette::Ink;
use super::{backdrop_words, cautions_line, fonts};
use crate::debrief::Debrief;

/// Longer side of the map, pixels.
pub(in crate::report) const LONGEST_PX: f64 = 1_100.0;
const EDGE_PX: f64 = 24.0;
const TITLE_PX: f64 = 22.0;
const WORDS_PX: f64 = 13.0;

/// POD over the area with plan, track and holes, as PNG.
///
/// # Errors
/// When painting or encoding fails.
pub fn heatmap_png(debrief: &Debrief, paper: Paper) -> Result<Vec<u8>, DrawError> {
    bitmap::png(&heatmap(debrief), paper)
}

/// The same as a scene.
#[must_use]
pub fn heatmap(debrief: &Debrief) -> Scene {
    let title = format!("{}, {}", debrief.sortie, debrief.date);
    framed(
        &title,
        &facts(debrief),
        map(debrief, LONGEST_PX, LONGEST_PX),
    )
}

/// A picture to stand alone: under a title and some facts, over what every picture says.
pub(in crate::report) fn framed(title: &str, facts: &str, picture: Scene) -> Scene {
    let width = f64::from(picture.width) + 2.0 * EDGE_PX;
    let room = f64::from(picture.width);
    let mut scene = Scene {
        width: width as u32,
        height: 0,
        shapes: Vec::new(),
    };
    let title = fonts::fitted(title, TITLE_PX, true, room);
    let mut y = EDGE_PX + TITLE_PX / 2.0;
    scene.words(Words {
        bold: true,
        ..Words::new(xy(EDGE_PX, y), TITLE_PX, title)
    });
    y += TITLE_PX / 2.0 + 6.0;
    y = paragraph(&mut scene, facts, y, room, Ink::Text);
    let at = xy(EDGE_PX, (y + 10.0).round());
    y = at.y + f64::from(picture.height) + 8.0;
    scene.place(picture, at);
    y = paragraph(&mut scene, cautions_line(), y, room, Ink::Faint);
    scene.height = (y + EDGE_PX - 6.0).ceil() as u32;
    scene
}

fn facts(debrief: &Debrief) -> String {
    let coverage = &debrief.coverage;
    let facts = format!(
        "POD over the area {} ({} law, sweep width {}, track spacing {}); {} of it at or above the \
         target of {}.",
        percent(super::headline::deciding_pod(coverage)),
        coverage.law.name(),
        nm(coverage.sweep_width, 2),
        nm(debrief.plan.spacing, 2),
        percent(coverage.share_at_target),
        percent(coverage.target_pod),
    );
    with_backdrop(facts, debrief)
}

/// Facts, and what is said of the map below.
pub(in crate::report) fn with_backdrop(facts: String, debrief: &Debrief) -> String {
    match backdrop_words::short(debrief) {
        Some(words) => format!("{facts} {words}"),
        None => facts,
    }
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
    use crate::geodesy::{Position, geodesic};
    use crate::report::palette::{level_colour, pod_level};
    use crate::report::test_fixture::{self, Shape, keep};
    use geo::Coord;
    use std::io::Cursor;

    struct Picture {
        width: usize,
        rgb: Vec<u8>,
    }

    fn decoded(png: &[u8]) -> Picture {
        let mut reader = png::Decoder::new(Cursor::new(png)).read_info().unwrap();
        let mut rgb = vec![0; reader.output_buffer_size().unwrap()];
        let info = reader.next_frame(&mut rgb).unwrap();
        assert_eq!(
            (info.color_type, info.bit_depth),
            (png::ColorType::Rgb, png::BitDepth::Eight)
        );
        Picture {
            width: info.width as usize,
            rgb,
        }
    }

    impl Picture {
        /// Number and mean place of the pixels of exactly this POD's colour on the map.
        fn find(&self, pod: f64, map_rows: usize) -> (f64, Coord<f64>) {
            let colour = level_colour(pod_level(pod));
            let places: Vec<Coord<f64>> = self
                .rgb
                .chunks_exact(3)
                .take(map_rows * self.width)
                .enumerate()
                .filter(|(_, pixel)| *pixel == colour)
                .map(|(i, _)| xy((i % self.width) as f64, (i / self.width) as f64))
                .collect();
            let sum = places.iter().fold(xy(0.0, 0.0), |sum, place| sum + *place);
            (places.len() as f64, sum / places.len() as f64)
        }
    }

    /// Three blocks of ground in three PODs, two miles apart east and north by geographiclib, must
    /// be found in their exact colours, their size, and equally far apart to the right and up.
    #[test]
    fn ground_is_drawn_in_its_colour_at_its_place() {
        let mut debrief = test_fixture::debrief();
        debrief.track.clear();
        debrief.strips.clear();
        debrief.refly.legs.clear();
        debrief.plan.legs.clear();
        debrief.additional_legs.clear();
        debrief.area_time.outside.clear();
        let raster = &mut debrief.coverage.raster;
        for value in raster.values.iter_mut().filter(|value| !value.is_nan()) {
            *value = 0.1;
        }
        let (column, row, step) = (raster.grid.columns / 3, raster.grid.rows / 3, 48);
        let (block, cell_m, columns) = (3, raster.grid.cell_m, raster.grid.columns);
        let mut place = |pod: f32, column: usize, row: usize| -> Position {
            for y in row - block..=row + block {
                raster.values[y * columns + column - block..=y * columns + column + block]
                    .fill(pod);
            }
            raster.frame.inverse(raster.grid.centre(column, row))
        };
        let middle = place(0.3, column, row);
        let east = place(0.55, column + step, row);
        let north = place(0.8, column, row + step);
        let png = heatmap_png(&debrief, Paper::default()).unwrap();
        let map_rows = map(&debrief, LONGEST_PX, LONGEST_PX).height as usize - 60;
        let picture = decoded(&png);
        assert_eq!(picture.width, LONGEST_PX as usize + 2 * EDGE_PX as usize);
        let found = [0.3, 0.55, 0.8].map(|pod| picture.find(pod, map_rows));
        let (right, up) = (found[1].1 - found[0].1, found[2].1 - found[0].1);
        assert!(right.y.abs() < 1.0 && up.x.abs() < 1.0, "{right:?} {up:?}");
        let per_m_right = right.x / geodesic::distance(middle, east).m();
        let per_m_up = -up.y / geodesic::distance(middle, north).m();
        assert!(
            (per_m_right / per_m_up - 1.0).abs() < 0.005,
            "{per_m_right} {per_m_up}"
        );
        let side_px = (2 * block + 1) as f64 * cell_m * per_m_up;
        for (pixels, _) in found {
            // Pixels on the rim are blends of two colours.
            assert!(
                pixels.sqrt() <= side_px && pixels.sqrt() > side_px - 2.5,
                "{pixels} {side_px}"
            );
        }
    }

    #[test]
    fn areas_of_all_shapes_fit_the_picture() {
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
                    not_flown: 2,
                    cells: 4,
                    ..Shape::default()
                },
            ),
            (
                "tall",
                Shape {
                    legs: 4,
                    leg_nm: 40.0,
                    course_deg: 2.0,
                    cells: 4,
                    ..Shape::default()
                },
            ),
        ];
        keep(
            "usual.png",
            &heatmap_png(&test_fixture::debrief(), Paper::default()).unwrap(),
        );
        for (name, shape) in shapes {
            let png = heatmap_png(&shape.build(), Paper::default()).unwrap();
            let picture = decoded(&png);
            let height = picture.rgb.len() / 3 / picture.width;
            assert!(
                (600..=1_200).contains(&picture.width),
                "{name}: {} wide",
                picture.width
            );
            assert!((300..=1_500).contains(&height), "{name}: {height} high");
            assert!(png.len() < 1_500_000, "{name}: {} bytes", png.len());
            keep(&format!("{name}.png"), &png);
        }
    }
}
