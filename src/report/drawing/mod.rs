//! Pictures as lists of shapes, laid out once and painted twice: as SVG for pages, whose colours
//! follow the reader's light or dark screen, and as PNG.
//!
//! Coordinates are pixels of the picture, x to the right, y **down** from the upper left corner.

pub mod bitmap;
pub mod clip;
pub mod dash;
pub mod hatch;
pub mod photo;
pub mod png;
pub mod svg;

use super::palette::{Ink, Theme};
use crate::backdrop::Picture;
use geo::Coord;
use std::sync::Arc;

/// A picture that could not be painted.
#[derive(Debug, thiserror::Error)]
pub enum DrawError {
    /// The painter refused.
    #[error("the picture could not be painted: {0}")]
    Painter(String),
    /// The encoder refused.
    #[error("the picture could not be written as PNG")]
    Encoder(#[from] ::png::EncodingError),
    /// The encoder of raster maps refused.
    #[error("the backdrop could not be written as JPEG")]
    Jpeg(#[from] jpeg_encoder::EncodingError),
    /// What a page is moved by could not be written as JSON.
    #[error("the flight could not be written for the page")]
    Json(#[from] serde_json::Error),
}

/// Lengths of dash and gap by turns, pixels; empty for a solid line.
pub type Dashes = &'static [f64];

/// How a line is drawn.
#[derive(Clone, Copy, Debug)]
pub struct Pen {
    /// Its colour.
    pub ink: Ink,
    /// Its width, pixels.
    pub width: f64,
    /// Its dashes.
    pub dashes: Dashes,
    /// A wider solid line under it that sets it off from what lies below.
    pub casing: Option<Ink>,
}

impl Pen {
    /// A solid line.
    #[must_use]
    pub const fn solid(ink: Ink, width: f64) -> Self {
        Self {
            ink,
            width,
            dashes: &[],
            casing: None,
        }
    }

    /// The same, dashed.
    #[must_use]
    pub const fn dashed(self, dashes: Dashes) -> Self {
        Self { dashes, ..self }
    }

    /// The same over a casing.
    #[must_use]
    pub const fn cased(self, casing: Ink) -> Self {
        Self {
            casing: Some(casing),
            ..self
        }
    }

    /// The same, `factor` times as wide.
    #[must_use]
    pub fn scaled(self, factor: f64) -> Self {
        Self {
            width: self.width * factor,
            ..self
        }
    }

    /// The casing as a line of its own.
    #[must_use]
    pub fn casing_pen(&self) -> Option<Self> {
        self.casing.map(|ink| Self::solid(ink, self.width + 2.0))
    }
}

/// Which point of a text stands at its place; its height is always centred there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// The left end.
    Start,
    /// The middle.
    Middle,
    /// The right end.
    End,
}

/// A text.
#[derive(Clone, Debug)]
pub struct Words {
    /// Where, as the anchor says.
    pub at: Coord<f64>,
    /// What.
    pub text: String,
    /// Pixels per em.
    pub size: f64,
    /// Which end is at `at`.
    pub anchor: Anchor,
    /// Its colour.
    pub ink: Ink,
    /// Heavy or not.
    pub bold: bool,
    /// Whether it stands on a glow of paper, to be read over lines.
    pub glow: bool,
}

impl Words {
    /// Plain words beginning at a place.
    #[must_use]
    pub fn new(at: Coord<f64>, size: f64, text: impl Into<String>) -> Self {
        Self {
            at,
            text: text.into(),
            size,
            anchor: Anchor::Start,
            ink: Ink::Text,
            bold: false,
            glow: false,
        }
    }

    /// The same, anchored otherwise.
    #[must_use]
    pub fn anchored(self, anchor: Anchor) -> Self {
        Self { anchor, ..self }
    }

    /// The same in another ink.
    #[must_use]
    pub fn inked(self, ink: Ink) -> Self {
        Self { ink, ..self }
    }
}

/// A grid of POD levels, stretched over a rectangle of the picture.
#[derive(Clone, Debug)]
pub struct Levels {
    /// Columns, from the left.
    pub columns: usize,
    /// Rows, from the **top**.
    pub rows: usize,
    /// Levels of the palette, row after row.
    pub levels: Vec<u8>,
}

/// One shape.
#[derive(Clone, Debug)]
pub enum Shape {
    /// One or more lines in one pen.
    Lines {
        /// The lines.
        lines: Vec<Vec<Coord<f64>>>,
        /// The pen.
        pen: Pen,
    },
    /// A filled ring.
    Area {
        /// Its corners.
        ring: Vec<Coord<f64>>,
        /// Its colour.
        ink: Ink,
        /// 0 (nothing) to 1 (nothing shows through).
        opacity: f64,
    },
    /// A text.
    Words(Words),
    /// POD colours.
    Levels {
        /// Upper left corner.
        at: Coord<f64>,
        /// Width and height.
        size: Coord<f64>,
        /// The levels.
        levels: Levels,
    },
    /// A raster map, paled so that what lies on it is seen.
    Backdrop {
        /// Upper left corner.
        at: Coord<f64>,
        /// Width and height.
        size: Coord<f64>,
        /// The map.
        picture: Arc<Picture>,
    },
    /// Shapes that belong together, named for whoever points at them or cannot see them.
    Named {
        /// The name.
        name: String,
        /// The shapes.
        shapes: Vec<Shape>,
    },
    /// Shapes that a reader may want to see or not to see, together.
    Layer {
        /// Name of the layer in pages, in lower-case letters and hyphens.
        name: &'static str,
        /// Whether it shows before anyone asks for it.
        shown: bool,
        /// The shapes.
        shapes: Vec<Shape>,
    },
    /// Shapes cut off at a rectangle, in which a reader may come nearer.
    View {
        /// Upper left corner.
        at: Coord<f64>,
        /// Width and height.
        size: Coord<f64>,
        /// The shapes.
        shapes: Vec<Shape>,
    },
}

/// What pictures are painted on.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Paper {
    /// Its colours.
    pub theme: Theme,
    /// Width of the picture, whole pixels; else that of its scene. Lines and letters grow with it.
    pub width: Option<u32>,
}

impl Paper {
    /// Pixels of the picture to one of the scene.
    #[must_use]
    pub fn scale_of(self, scene: &Scene) -> f64 {
        self.width
            .map_or(1.0, |width| f64::from(width) / f64::from(scene.width))
    }
}

/// A picture.
#[derive(Clone, Debug)]
pub struct Scene {
    /// Width, whole pixels.
    pub width: u32,
    /// Height, whole pixels.
    pub height: u32,
    /// Its shapes, the lowest first.
    pub shapes: Vec<Shape>,
}

impl Scene {
    /// Adds a line.
    pub fn line(&mut self, line: Vec<Coord<f64>>, pen: Pen) {
        self.shapes.push(Shape::Lines {
            lines: vec![line],
            pen,
        });
    }

    /// Adds words.
    pub fn words(&mut self, words: Words) {
        self.shapes.push(Shape::Words(words));
    }

    /// Adds a shape.
    pub fn add(&mut self, shape: Shape) {
        self.shapes.push(shape);
    }

    /// Adds another picture with its upper left corner at `at`.
    pub fn place(&mut self, mut other: Self, at: Coord<f64>) {
        other.shapes.iter_mut().for_each(|shape| shape.shift(at));
        self.shapes.append(&mut other.shapes);
    }
}

impl Shape {
    fn shift(&mut self, by: Coord<f64>) {
        match self {
            Self::Lines { lines, .. } => {
                lines
                    .iter_mut()
                    .flatten()
                    .for_each(|point| *point = *point + by);
            }
            Self::Area { ring, .. } => ring.iter_mut().for_each(|point| *point = *point + by),
            Self::Words(words) => words.at = words.at + by,
            Self::Levels { at, .. } | Self::Backdrop { at, .. } => *at = *at + by,
            Self::View { at, shapes, .. } => {
                *at = *at + by;
                shapes.iter_mut().for_each(|shape| shape.shift(by));
            }
            Self::Named { shapes, .. } | Self::Layer { shapes, .. } => {
                shapes.iter_mut().for_each(|shape| shape.shift(by));
            }
        }
    }
}

/// A point.
#[must_use]
pub const fn xy(x: f64, y: f64) -> Coord<f64> {
    Coord { x, y }
}

/// The corners of a rectangle, as a ring that does not repeat the first.
#[must_use]
pub fn rectangle(at: Coord<f64>, width: f64, height: f64) -> Vec<Coord<f64>> {
    vec![
        at,
        xy(at.x + width, at.y),
        xy(at.x + width, at.y + height),
        xy(at.x, at.y + height),
    ]
}

/// The corners of a filled arrow head whose middle is at `at`; `along` is one pixel the way it points.
#[must_use]
pub fn arrow_head(at: Coord<f64>, along: Coord<f64>, size: f64) -> Vec<Coord<f64>> {
    let side = xy(-along.y, along.x) * (size * 0.55);
    vec![
        at + along * (size * 0.75),
        at - along * (size * 0.6) + side,
        at - along * (size * 0.6) - side,
    ]
}

/// A ring as a line that ends where it began.
#[must_use]
pub fn closed(mut ring: Vec<Coord<f64>>) -> Vec<Coord<f64>> {
    ring.extend(ring.first().copied());
    ring
}
