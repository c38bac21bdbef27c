//! A picture as SVG inside a page. Colours come from the page's style sheet (`palette::style_sheet`).

use super::photo::photo;
use super::png::{base64, levels_png};
use super::{Anchor, DrawError, Paper, Pen, Scene, Shape, Words};
use crate::characters::is_harmful;
use crate::report::palette::style_sheet_in;
use geo::Coord;
use maud::{Markup, PreEscaped, html};
use std::fmt::Write;

/// The picture, named `id`-title for those who cannot see it.
///
/// # Errors
/// When a raster cannot be encoded.
pub fn svg(scene: &Scene, id: &str, title: &str, about: &str) -> Result<Markup, DrawError> {
    let (width, height) = (scene.width, scene.height);
    let shapes = shapes(&scene.shapes)?;
    Ok(html! {
        svg viewBox=(format!("0 0 {width} {height}")) width=(width) height=(height) role="img"
            aria-labelledby=(format!("{id}-title {id}-about")) {
            title id=(format!("{id}-title")) { (title) }
            desc id=(format!("{id}-about")) { (about) }
            (shapes)
        }
    })
}

/// Style of a picture that stands by itself; pages have it in their own style sheet.
const STYLE: &str = "svg{background:var(--paper);font-family:sans-serif}.line{fill:none;stroke-linejoin:round}\
.levels{image-rendering:pixelated}.glow{paint-order:stroke;stroke:var(--paper);stroke-width:4px;stroke-linejoin:round}\
.off{display:none}.backdrop{opacity:var(--backdrop)}";

/// The picture as a file of its own.
///
/// # Errors
/// When a raster cannot be encoded.
pub fn svg_file(scene: &Scene, title: &str, paper: Paper) -> Result<String, DrawError> {
    let scale = paper.scale_of(scene);
    let (width, height) = (f64::from(scene.width), f64::from(scene.height));
    let shapes = shapes(&scene.shapes)?;
    let picture = html! {
        svg xmlns="http://www.w3.org/2000/svg" viewBox=(format!("0 0 {width} {height}"))
            width=(short(width * scale)) height=(short(height * scale)) role="img" {
            title { (title) }
            style { (PreEscaped(style_sheet_in(paper.theme))) (STYLE) }
            (shapes)
        }
    };
    Ok(picture
        .into_string()
        .chars()
        .map(|letter| {
            if letter != '\n' && is_harmful(letter) {
                '\u{FFFD}'
            } else {
                letter
            }
        })
        .collect())
}

fn shapes(shapes: &[Shape]) -> Result<Markup, DrawError> {
    let drawn = shapes.iter().map(shape).collect::<Result<Vec<_>, _>>()?;
    Ok(html! { @for shape in &drawn { (shape) } })
}

fn shape(shape: &Shape) -> Result<Markup, DrawError> {
    Ok(match shape {
        Shape::Lines { lines, pen } => {
            let path = path(lines);
            html! {
                @if let Some(casing) = pen.casing_pen() { (stroke(&path, &casing)) }
                (stroke(&path, pen))
            }
        }
        Shape::Area { ring, ink, opacity } => html! {
            path class=(format!("f-{}", ink.name())) fill-opacity=(opacity)
                d=(format!("{}Z", path(std::slice::from_ref(ring)))) {}
        },
        Shape::Words(text) => words(text),
        Shape::Levels { at, size, levels } => html! {
            image x=(short(at.x)) y=(short(at.y)) width=(short(size.x)) height=(short(size.y))
                preserveAspectRatio="none" class="levels"
                href=(format!("data:image/png;base64,{}", base64(&levels_png(levels)?))) {}
        },
        Shape::Backdrop { at, size, picture } => {
            let photo = photo(picture)?;
            let (x, y, width, height) = (short(at.x), short(at.y), short(size.x), short(size.y));
            // Maps of one picture may lie in different places of it.
            let mask = format!("cover-{x}-{y}").replace('.', "_");
            html! {
                @if let Some(cover) = &photo.mask {
                    mask id=(mask) maskContentUnits="objectBoundingBox" {
                        image width="1" height="1" preserveAspectRatio="none" href=(cover) {}
                    }
                }
                image class="backdrop" x=(x) y=(y) width=(width) height=(height) preserveAspectRatio="none"
                    mask=[photo.mask.is_some().then(|| format!("url(#{mask})"))] href=(photo.picture) {}
            }
        }
        Shape::Named { name, shapes } => html! {
            g { title { (name) } (self::shapes(shapes)?) }
        },
        Shape::Layer {
            name,
            shown,
            shapes,
        } => html! {
            g data-layer=(name) class=[(!shown).then_some("off")] { (self::shapes(shapes)?) }
        },
        Shape::View { at, size, shapes } => {
            let (x, y, width, height) = (short(at.x), short(at.y), short(size.x), short(size.y));
            html! {
                svg class="view" x=(x) y=(y) width=(width) height=(height)
                    viewBox=(format!("{x} {y} {width} {height}")) {
                    (self::shapes(shapes)?)
                }
            }
        }
    })
}

fn stroke(path: &str, pen: &Pen) -> Markup {
    let dashes: Vec<String> = pen.dashes.iter().map(|length| short(*length)).collect();
    html! {
        path class=(format!("line s-{}", pen.ink.name())) stroke-width=(short(pen.width))
            stroke-dasharray=[(!dashes.is_empty()).then(|| dashes.join(" "))] d=(path) {}
    }
}

fn words(words: &Words) -> Markup {
    let (x, y) = (short(words.at.x), short(words.at.y));
    let anchor = match words.anchor {
        Anchor::Start => "start",
        Anchor::Middle => "middle",
        Anchor::End => "end",
    };
    let mut class = format!("f-{}", words.ink.name());
    if words.glow {
        class.push_str(" glow");
    }
    html! {
        text x=(x) y=(y) dy="0.35em" class=(class) text-anchor=(anchor) font-size=(short(words.size))
            font-weight=[words.bold.then_some("600")] { (words.text) }
    }
}

fn path(lines: &[Vec<Coord<f64>>]) -> String {
    let mut text = String::new();
    for line in lines {
        for (index, point) in line.iter().enumerate() {
            let letter = if index == 0 { 'M' } else { 'L' };
            // Writing to a String cannot fail.
            let _ = write!(text, "{letter}{} {}", short(point.x), short(point.y));
        }
    }
    text
}

/// A tenth of a pixel is finer than a screen shows.
fn short(value: f64) -> String {
    let text = format!("{value:.1}");
    text.strip_suffix(".0")
        .map_or(text.clone(), ToOwned::to_owned)
}
