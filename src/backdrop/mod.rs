//! A raster map that lies below the map of a report: for orientation, never for navigation.
//!
//! ```text
//! file ─geotiff, mbtiles, world_file→ pixels and where they lie (crs) ─sample→ Picture in the plane of the map
//! ```
//!
//! Only what lies under the map is taken, and only as finely as a page shows it. Files of any size are read strip by strip,
//! tile by tile or row by row.

mod crs;
mod decode;
mod extent;
mod frame;
mod geo_keys;
mod geotiff;
mod mbtiles;
mod palette;
mod placed;
mod sample;
mod tiff_pixels;
mod world_file;

pub use crs::{Crs, WEB_MERCATOR_RADIUS_M};
pub use frame::Frame;
pub use placed::{Affine, Placed, Window};
pub use sample::{Block, Canvas};

use crate::characters::harmless;
use crate::geodesy::LocalFrame;
use crate::input::{InputError, InputFile, unreadable};
use crate::units::Length;
use geo::{Coord, Rect};
use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

/// What a backdrop is used as, in [`InputFile::role`].
pub const ROLE: &str = "backdrop";
/// And the world file that says where it lies.
pub const WORLD_FILE_ROLE: &str = "backdrop-world-file";

/// Most pixels of the longer side of the picture. Chosen: a screen shows the map about 1,100 pixels wide, and a little
/// more for who comes nearer; a report stays a few hundred kilobytes.
pub const LONGEST_PX: f64 = 1_500.0;
/// Fewest pixels of the longer side, however coarse the raster is. Chosen: its pixels then show as the squares they are.
const SHORTEST_PX: f64 = 300.0;
/// Pixels of the picture along one of the raster, at most. Chosen: where the raster is coarser than the picture could be,
/// half a pixel of it is enough to show it where it lies.
const FINER_THAN_RASTER: f64 = 2.0;
/// Most pixels that are unpacked to draw a picture. Chosen: 31,000 by 31,000 pixels.
const MOST_PIXELS: usize = 1_000_000_000;
/// Characters of what a file says of itself that are shown. Chosen: a line or two.
const MOST_CREDIT: usize = 300;

/// A raster map, opened.
pub struct Backdrop {
    file: PathBuf,
    inputs: Vec<InputFile>,
    raster: Raster,
}

enum Raster {
    GeoTiff(Box<geotiff::GeoTiff>),
    MbTiles(mbtiles::MbTiles),
    Picture(world_file::Placement),
}

/// What is to be said of a backdrop.
#[derive(Clone, Debug, PartialEq)]
pub struct About {
    /// The name of its file.
    pub name: String,
    /// What kind of file.
    pub format: &'static str,
    /// Its reference system.
    pub crs: String,
    /// Size of one of its pixels on the ground, in the middle of the map.
    pub pixel: Length,
    /// Size of a pixel of the picture on the ground.
    pub shown_pixel: Length,
    /// What the file says of itself and whose it is, without marks.
    pub credits: Vec<String>,
    /// Share of the map that it covers.
    pub share: f64,
}

/// The part of a raster map under the map of a report, north up in its plane.
#[derive(Clone, PartialEq)]
pub struct Picture {
    /// What is to be said of it.
    pub about: About,
    /// The files it comes from.
    pub inputs: Vec<InputFile>,
    /// North-west corner, metres in the plane.
    pub corner: Coord<f64>,
    /// Side of a pixel, metres in the plane.
    pub pixel_m: f64,
    /// Number of columns.
    pub columns: usize,
    /// Number of rows.
    pub rows: usize,
    /// Red, green and blue of each pixel, row after row from the north.
    pub rgb: Vec<u8>,
    /// Which pixels the raster covers.
    pub covered: Vec<bool>,
}

impl Backdrop {
    /// Opens a raster map: a GeoTIFF, an MBTiles file, or a PNG or JPEG picture with a world file beside it, whichever the
    /// content of the file says it is. `crs` is the EPSG code of its reference system, where the file does not tell it.
    ///
    /// # Errors
    /// When it cannot be read, is none of these, or does not tell where it lies.
    pub fn open(file: &Path, crs: Option<u32>) -> Result<Self, InputError> {
        let about = std::fs::metadata(file).map_err(|cause| unreadable(file, &cause))?;
        if !about.is_file() {
            return Err(InputError::new(
                file,
                None,
                "it is no plain file",
                accepted(),
            ));
        }
        let mut start = Vec::new();
        File::open(file)
            .and_then(|content| content.take(16).read_to_end(&mut start))
            .map_err(|cause| unreadable(file, &cause))?;
        let mut world_file = None;
        let raster = if is_tiff(&start) {
            Raster::GeoTiff(Box::new(geotiff::GeoTiff::open(file, crs)?))
        } else if start.starts_with(mbtiles::SQLITE) {
            if crs.is_some() {
                let problem = "an MBTiles file is in web Mercator (EPSG:3857) always";
                return Err(InputError::new(
                    file,
                    None,
                    problem,
                    "leave out --backdrop-crs",
                ));
            }
            Raster::MbTiles(mbtiles::MbTiles::open(file)?)
        } else if let Some(is_png) = world_file::is_picture(&start) {
            let placement = world_file::Placement::open(file, is_png, crs)?;
            world_file = Some(placement.world_file.clone());
            Raster::Picture(placement)
        } else {
            let problem =
                "the file is no raster map: it begins as none of the formats that are read";
            return Err(InputError::new(file, None, problem, accepted()));
        };
        let own = InputFile::read(ROLE, file).map_err(|cause| unreadable(file, &cause))?;
        Ok(Self {
            file: file.to_owned(),
            inputs: [own].into_iter().chain(world_file).collect(),
            raster,
        })
    }

    /// Draws what of it lies under `ground`, a rectangle of a plane.
    ///
    /// # Errors
    /// When nothing of it does, or what does cannot be read.
    pub fn under(self, plane: &LocalFrame, ground: Rect<f64>) -> Result<Picture, InputError> {
        let longer_m = ground.width().max(ground.height());
        let placed = match &self.raster {
            Raster::GeoTiff(image) => image.placed.clone(),
            Raster::MbTiles(tiles) => tiles.placed(tiles.finest()),
            Raster::Picture(picture) => picture.placed.clone(),
        };
        let finest = Frame::over(plane, ground, longer_m / LONGEST_PX);
        let pixel_m = placed
            .pixel_on_ground(&finest)
            .map_or(0.0, |pixel| pixel.m());
        let frame = Frame::over(
            plane,
            ground,
            (pixel_m / FINER_THAN_RASTER).clamp(longer_m / LONGEST_PX, longer_m / SHORTEST_PX),
        );
        let mut canvas = Canvas::new(&frame);
        let file = &self.file;
        let (format, extent, credits, drawn) = match self.raster {
            Raster::GeoTiff(image) => {
                let credits = image.credits.clone();
                image.draw(file, &frame, &mut canvas)?;
                ("GeoTIFF", placed.extent(), credits, placed)
            }
            Raster::MbTiles(tiles) => {
                let level = tiles.draw(file, &frame, &mut canvas)?;
                let credits = tiles.credits.iter().map(|text| without_marks(text));
                let drawn = tiles.placed(level);
                ("MBTiles", tiles.extent(level), credits.collect(), drawn)
            }
            Raster::Picture(picture) => {
                picture.draw(file, &frame, &mut canvas)?;
                let extent = placed.extent();
                ("picture with a world file", extent, Vec::new(), placed)
            }
        };
        let (rgb, covered) = canvas.pixels();
        let shown = covered.iter().filter(|covered| **covered).count();
        if shown == 0 {
            let words = |extent: Option<extent::Extent>| {
                extent.map_or_else(|| "no place on the earth".to_owned(), |e| e.to_string())
            };
            return Err(InputError::new(
                file,
                None,
                format!(
                    "the backdrop covers {}, and nothing of the map",
                    words(extent)
                ),
                format!(
                    "the map covers {}; give a raster of that ground, in the right reference system",
                    words(frame.extent())
                ),
            ));
        }
        Ok(Picture {
            about: About {
                name: self.inputs[0].name.clone(),
                format,
                crs: drawn.crs.name().to_owned(),
                pixel: drawn
                    .pixel_on_ground(&frame)
                    .unwrap_or(Length::from_m(frame.pixel_m)),
                shown_pixel: Length::from_m(frame.pixel_m),
                credits: credits
                    .iter()
                    .map(|text| fit(text))
                    .filter(|text| !text.is_empty())
                    .collect(),
                share: shown as f64 / covered.len() as f64,
            },
            inputs: self.inputs,
            corner: frame.corner,
            pixel_m: frame.pixel_m,
            columns: frame.columns,
            rows: frame.rows,
            rgb,
            covered,
        })
    }
}

impl std::fmt::Debug for Backdrop {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_tuple("Backdrop").field(&self.file).finish()
    }
}

impl std::fmt::Debug for Picture {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Picture")
            .field("about", &self.about)
            .field("columns", &self.columns)
            .field("rows", &self.rows)
            .finish_non_exhaustive()
    }
}

/// The four ways in which a TIFF begins: both orders of bytes (TIFF 6.0, section 2), and BigTIFF (from memory).
fn is_tiff(start: &[u8]) -> bool {
    [b"II*\0", b"MM\0*", b"II+\0", b"MM\0+"]
        .iter()
        .any(|mark| start.starts_with(&mark[..]))
}

/// The attribution of a tile set may be HTML (MBTiles 1.3, section "Metadata"): its text alone, with the signs that
/// such lines mostly have.
fn without_marks(html: &str) -> String {
    let mut text = String::new();
    let mut inside = false;
    for letter in html.chars() {
        match letter {
            '<' => inside = true,
            '>' if inside => inside = false,
            _ if !inside => text.push(letter),
            _ => {}
        }
    }
    [
        ("&copy;", "©"),
        ("&nbsp;", " "),
        ("&lt;", "<"),
        ("&gt;", ">"),
        ("&quot;", "\""),
        ("&#39;", "'"),
        ("&amp;", "&"),
    ]
    .iter()
    .fold(text, |text, (sign, letter)| text.replace(sign, letter))
}

/// A line of text without what does harm, and not too long.
fn fit(text: &str) -> String {
    let words: Vec<&str> = text
        .split(|c: char| c.is_whitespace() || c == '\0')
        .filter(|word| !word.is_empty())
        .collect();
    let mut line = harmless(&words.join(" "));
    if let Some((end, _)) = line.char_indices().nth(MOST_CREDIT) {
        line.truncate(end);
        line.push('…');
    }
    line
}

/// What would do, for hints.
const fn accepted() -> &'static str {
    "a backdrop is a GeoTIFF (grey, palette or colours of 8 or 16 bits), an MBTiles file with pictures as tiles, or a PNG or \
     JPEG picture with a world file beside it; its reference system must be one that can be tied to WGS 84, such as EPSG:4326, \
     UTM (EPSG:32601 to 32660, 32701 to 32760) or EPSG:3857"
}
