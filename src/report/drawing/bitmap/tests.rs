use super::marks::Pixel;
use super::upright::Upright;
use super::*;
use crate::backdrop::{About, Picture};
use crate::report::drawing::{Anchor, Levels, Pen, Shape, Words, closed, rectangle, xy};
use crate::units::Length;
use geo::Coord;
use plotters::backend::{BitMapBackend, DrawingBackend};
use plotters::style::{RGBAColor, ShapeStyle};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::sync::Arc;

const OPACITIES: [f64; 3] = [1.0, 0.12, 0.5];

fn empty() -> Scene {
    Scene {
        width: 60,
        height: 40,
        shapes: Vec::new(),
    }
}

/// A place in the picture or beyond it.
fn anywhere(random: &mut ChaCha8Rng) -> Coord<f64> {
    xy(
        random.random_range(-25.0..85.0),
        random.random_range(-25.0..65.0),
    )
}

fn some_places(random: &mut ChaCha8Rng, most: usize) -> Vec<Coord<f64>> {
    let count = random.random_range(2..=most);
    (0..count).map(|_| anywhere(random)).collect()
}

/// The pixels as they are when all of the large picture is drawn at once.
fn at_once(scene: &Scene) -> Vec<u8> {
    let sheet = Sheet::new(scene, Paper::default());
    drawn(scene, sheet, sheet.height).unwrap()
}

/// What plotters itself draws of the same on one canvas, averaged down.
fn of_plotters(shape: impl FnOnce(&mut BitMapBackend<'_>)) -> Vec<u8> {
    let sheet = Sheet::new(&empty(), Paper::default());
    let paper = Ink::Paper.colour(sheet.theme);
    let mut canvas = paper.repeat(sheet.width * sheet.height);
    let size = (sheet.width as u32, sheet.height as u32);
    shape(&mut BitMapBackend::with_buffer(&mut canvas, size));
    let mut rgb = vec![0; canvas.len() / 4];
    average(&canvas, sheet.width, &mut rgb);
    rgb
}

fn pixels(points: &[Coord<f64>]) -> Vec<Pixel> {
    let pixel = |at: &Coord<f64>| ((at.x * 2.0).round() as i32, (at.y * 2.0).round() as i32);
    points.iter().map(pixel).collect()
}

fn colour(ink: Ink, opacity: f64) -> RGBAColor {
    let [r, g, b] = ink.colour(Theme::default());
    RGBAColor(r, g, b, opacity)
}

/// In bands of several heights, also of the least and beyond the picture.
fn in_bands_as(expected: &[u8], scene: &Scene) {
    let sheet = Sheet::new(scene, Paper::default());
    for rows in [0, 6, 26, 80, 1_000] {
        let told = drawn(scene, sheet, rows).unwrap();
        assert!(told == expected, "{rows} rows: {:?}", scene.shapes);
    }
}

/// Rectangles of all sizes, some of them beyond the picture, opaque or not: every pixel as plotters fills them.
#[test]
fn rectangles_are_those_of_plotters() {
    let mut random = ChaCha8Rng::seed_from_u64(5);
    let mut told = 0;
    for case in 0..300 {
        let at = anywhere(&mut random);
        let mut within = |most: f64| random.random_range(0.0..most);
        let ring = rectangle(at, within(50.0), within(30.0));
        told += usize::from(Upright::of(&pixels(&ring)).is_some());
        areas_as_plotters(ring, OPACITIES[case % 3]);
    }
    assert!(told > 225, "{told}");
}

/// Polygons of all kinds, level and upright ones among them.
#[test]
fn surfaces_are_those_of_plotters() {
    let mut random = ChaCha8Rng::seed_from_u64(6);
    for case in 0..200 {
        let ring = some_places(&mut random, 9);
        areas_as_plotters(ring, OPACITIES[case % 3]);
    }
}

fn areas_as_plotters(ring: Vec<Coord<f64>>, opacity: f64) {
    let mut scene = empty();
    let style = ShapeStyle {
        color: colour(Ink::SearchLeg, opacity),
        filled: true,
        stroke_width: 0,
    };
    let points = pixels(&ring);
    let expected = of_plotters(|canvas| canvas.fill_polygon(points, &style).unwrap());
    scene.add(Shape::Area {
        ring,
        ink: Ink::SearchLeg,
        opacity,
    });
    in_bands_as(&expected, &scene);
}

/// Lines of all widths, slanted, level, upright, with sharp turns, and beyond the picture.
#[test]
fn lines_are_those_of_plotters() {
    let mut random = ChaCha8Rng::seed_from_u64(7);
    for case in 0..300 {
        let mut line = some_places(&mut random, 2 + case % 2 * 4);
        if case % 5 == 0 {
            line[1].x = line[0].x;
        } else if case % 5 == 1 {
            line[1].y = line[0].y;
        }
        let width: f64 = [0.3, 0.5, 1.0, 1.6, 4.0][random.random_range(0..5)];
        let style = ShapeStyle {
            color: colour(Ink::Turn, 1.0),
            filled: false,
            stroke_width: (2.0 * width).round() as u32,
        };
        let mut points = pixels(&line);
        points.dedup();
        let expected = of_plotters(|canvas| canvas.draw_path(points, &style).unwrap());
        let mut scene = empty();
        scene.line(line, Pen::solid(Ink::Turn, width));
        in_bands_as(&expected, &scene);
    }
}

/// Every kind of shape over and under the others.
#[test]
fn a_picture_in_bands_is_the_one_drawn_at_once() {
    let mut random = ChaCha8Rng::seed_from_u64(8);
    for _ in 0..12 {
        let scene = full(&mut random);
        let expected = at_once(&scene);
        in_bands_as(&expected, &scene);
        let paper = Paper {
            theme: Theme::Dark,
            width: Some(131),
        };
        let sheet = Sheet::new(&scene, paper);
        let larger = drawn(&scene, sheet, sheet.height).unwrap();
        assert!(drawn(&scene, sheet, 2).unwrap() == larger);
        assert!(drawn(&scene, sheet, 34).unwrap() == larger);
        assert!(png(&scene, paper).unwrap() == rgb_png(&larger, 131, 87).unwrap());
    }
}

fn full(random: &mut ChaCha8Rng) -> Scene {
    let mut scene = empty();
    let (columns, rows) = (7, 5);
    let bytes: Vec<u8> = (0..3 * columns * rows).map(|_| random.random()).collect();
    let picture = Picture {
        about: About {
            name: "made up".into(),
            format: "GeoTIFF",
            crs: "EPSG:4326".into(),
            pixel: Length::from_m(1.0),
            shown_pixel: Length::from_m(1.0),
            credits: Vec::new(),
            share: 1.0,
        },
        inputs: Vec::new(),
        corner: xy(0.0, 0.0),
        pixel_m: 1.0,
        columns,
        rows,
        covered: bytes.iter().step_by(3).map(|byte| byte % 4 > 0).collect(),
        rgb: bytes.clone(),
    };
    let size = xy(50.3, 33.1);
    let at = anywhere(random) * 0.3;
    scene.add(Shape::View {
        at: at + xy(4.0, 3.0),
        size: size - xy(9.0, 7.0),
        shapes: vec![Shape::Backdrop {
            at,
            size,
            picture: Arc::new(picture),
        }],
    });
    scene.add(Shape::Levels {
        at: anywhere(random) * 0.4,
        size: xy(31.0, 24.6),
        levels: Levels {
            columns,
            rows,
            levels: bytes.iter().copied().take(columns * rows).collect(),
        },
    });
    for opacity in OPACITIES {
        let upright = rectangle(anywhere(random), 23.0, 14.0);
        for ring in [upright, some_places(random, 7)] {
            scene.add(Shape::Area {
                ring,
                ink: Ink::Missed,
                opacity,
            });
        }
    }
    let thin = Pen::solid(Ink::Grid, 0.5);
    let wide = Pen::solid(Ink::Turn, 2.4).cased(Ink::Paper);
    for pen in [thin, wide, wide.dashed(&[4.0, 1.5, 1.0, 1.5])] {
        let lines = vec![some_places(random, 12), closed(some_places(random, 4))];
        let shapes = vec![Shape::Lines { lines, pen }];
        scene.add(Shape::Named {
            name: String::new(),
            shapes,
        });
    }
    for (anchor, glow) in [
        (Anchor::Start, true),
        (Anchor::Middle, false),
        (Anchor::End, true),
    ] {
        scene.words(Words {
            glow,
            bold: !glow,
            ..Words::new(anywhere(random), 11.0, "Ågjp Leg 7").anchored(anchor)
        });
    }
    scene
}
