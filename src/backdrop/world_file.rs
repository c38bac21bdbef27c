//! A PNG or JPEG picture with a world file beside it.
//!
//! A world file has six lines of one number each: what `x` and `y` grow by from one column to the next, what `x` and `y` grow by
//! from one row to the next, then `x` and `y` of the middle of the first pixel; in the order A, D, B, E, C, F of
//! `x = A·column + B·row + C`, `y = D·column + E·row + F` (documentation of GDAL, raster driver "wld"). It
//! does not tell in which reference system these are.

use super::crs::Crs;
use super::decode::{self, JPEG, PNG, Picture, rgba};
use super::frame::Frame;
use super::placed::{Affine, Placed, Window};
use super::sample::{Block, Canvas};
use super::{MOST_PIXELS, accepted, unreadable};
use crate::characters::bounded;
use crate::input::{InputError, InputFile, whole};
use geo::Coord;
use png::{Decoder, Limits, Transformations};
use std::fs::File;
use std::io::BufReader;
use std::path::{Path, PathBuf};

/// How the names of world files end, by what the picture is.
const OF_PNG: [&str; 3] = ["pgw", "pngw", "wld"];
const OF_JPEG: [&str; 4] = ["jgw", "jpgw", "jpegw", "wld"];
/// Largest world file, bytes. Chosen: six numbers take a few hundred.
const LARGEST_WORLD_FILE: u64 = 64 << 10;
/// Most pixels of a picture that has to be unpacked whole: a JPEG, or a PNG whose rows are interlaced. Chosen: 300 MB.
const MOST_WHOLE: usize = 100_000_000;
/// Largest JPEG, bytes. Chosen: three bytes for each of the most pixels.
const LARGEST_JPEG: u64 = 300_000_000;
/// What the PNG decoder may hold beside a row, bytes.
const PNG_MEMORY: usize = 64 << 20;
/// Pixels of the rows that are brought onto the map at once, at least. Chosen: 4 MB.
const BAND_PX: usize = 1 << 20;

/// A picture and where it lies.
pub(super) struct Placement {
    pub(super) placed: Placed,
    pub(super) world_file: InputFile,
    is_png: bool,
}

impl Placement {
    /// Reads the size of the picture and the world file beside it.
    pub(super) fn open(file: &Path, is_png: bool, crs: Option<u32>) -> Result<Self, InputError> {
        let (columns, rows) = if is_png {
            let reader = png_reader(file)?;
            let info = reader.info();
            (info.width as usize, info.height as usize)
        } else {
            jpeg_size(file)?
        };
        if columns == 0 || rows == 0 {
            return Err(InputError::new(
                file,
                None,
                "the picture has no pixels",
                accepted(),
            ));
        }
        let endings: &[&str] = if is_png { &OF_PNG } else { &OF_JPEG };
        let Some(beside) = beside(file, endings) else {
            let names: Vec<String> = endings.iter().map(|end| format!(".{end}")).collect();
            return Err(InputError::new(
                file,
                None,
                format!(
                    "there is no world file beside the picture that tells where it lies ({})",
                    names.join(", ")
                ),
                accepted(),
            ));
        };
        let bytes =
            whole(&beside, LARGEST_WORLD_FILE).map_err(|cause| unreadable(&beside, &cause))?;
        let affine = parse(&beside, &String::from_utf8_lossy(&bytes))?;
        let crs = match crs {
            Some(code) => Crs::epsg(code)
                .map_err(|problem| InputError::new(file, None, problem, accepted()))?,
            None => guessed(&beside, affine, (columns, rows))?,
        };
        Ok(Self {
            placed: Placed {
                crs,
                affine,
                columns,
                rows,
            },
            world_file: InputFile::of(super::WORLD_FILE_ROLE, &beside, &bytes),
            is_png,
        })
    }

    /// Brings what lies under the map onto it.
    pub(super) fn draw(
        &self,
        file: &Path,
        frame: &Frame,
        canvas: &mut Canvas<'_>,
    ) -> Result<(), InputError> {
        let windows = self.placed.windows(frame);
        let (Some(first), Some(end)) = (
            windows.iter().map(|window| window.rows.start).min(),
            windows.iter().map(|window| window.rows.end).max(),
        ) else {
            return Ok(());
        };
        let mut rows = Rows::open(file, self.is_png, &self.placed)?;
        let columns = self.placed.columns;
        let mut band: Vec<[u8; 4]> = Vec::new();
        let mut top = first;
        for row in 0..end {
            let pixels = rows.next(file, row)?;
            if row < first {
                continue;
            }
            band.extend(pixels);
            if band.len() >= BAND_PX || row + 1 == end {
                let block = Block {
                    left: 0,
                    top,
                    columns,
                    rgba: &band,
                };
                windows
                    .iter()
                    .for_each(|window: &Window| canvas.add(&self.placed, block, window));
                band.clear();
                top = row + 1;
            }
        }
        Ok(())
    }
}

/// The rows of a picture, one after the other.
enum Rows {
    Stream(Box<png::Reader<BufReader<File>>>, usize),
    Whole(Picture),
}

impl Rows {
    fn open(file: &Path, is_png: bool, placed: &Placed) -> Result<Self, InputError> {
        let pixels = placed.columns.saturating_mul(placed.rows);
        if is_png {
            let reader = png_reader(file)?;
            if !reader.info().interlaced {
                let colour = reader.output_color_type().0;
                if pixels > MOST_PIXELS {
                    return Err(too_many(file, placed, MOST_PIXELS));
                }
                return Ok(Self::Stream(Box::new(reader), colour.samples()));
            }
        }
        if pixels > MOST_WHOLE {
            return Err(too_many(file, placed, MOST_WHOLE));
        }
        let bytes = whole(file, LARGEST_JPEG).map_err(|cause| unreadable(file, &cause))?;
        let picture =
            decode::whole(&bytes, MOST_WHOLE).map_err(|problem| unsound(file, &problem))?;
        if (picture.columns, picture.rows) != (placed.columns, placed.rows) {
            return Err(unsound(file, "changed while it was read"));
        }
        Ok(Self::Whole(picture))
    }

    fn next(&mut self, file: &Path, row: usize) -> Result<Vec<[u8; 4]>, InputError> {
        match self {
            Self::Whole(picture) => Ok(picture.row(row)),
            Self::Stream(reader, channels) => {
                let row = reader.next_row().map_err(|cause| png_fault(file, &cause))?;
                let row = row.ok_or_else(|| unsound(file, "ends before its last row"))?;
                Ok(rgba(row.data(), *channels))
            }
        }
    }
}

fn png_reader(file: &Path) -> Result<png::Reader<BufReader<File>>, InputError> {
    let content = File::open(file).map_err(|cause| unreadable(file, &cause))?;
    let limits = Limits { bytes: PNG_MEMORY };
    let mut decoder = Decoder::new_with_limits(BufReader::new(content), limits);
    decoder.set_transformations(Transformations::normalize_to_color8());
    decoder.read_info().map_err(|cause| png_fault(file, &cause))
}

fn png_fault(file: &Path, cause: &png::DecodingError) -> InputError {
    match cause {
        png::DecodingError::IoError(io) if io.kind() != std::io::ErrorKind::UnexpectedEof => {
            unreadable(file, io)
        }
        _ => unsound(file, &format!("is no sound PNG ({cause})")),
    }
}

/// Columns and rows of a JPEG.
fn jpeg_size(file: &Path) -> Result<(usize, usize), InputError> {
    let bytes = whole(file, LARGEST_JPEG).map_err(|cause| unreadable(file, &cause))?;
    decode::jpeg_size(&bytes).map_err(|problem| unsound(file, &problem))
}

fn too_many(file: &Path, placed: &Placed, most: usize) -> InputError {
    InputError::new(
        file,
        None,
        format!(
            "the picture has {} by {} pixels, which is more than {most}",
            placed.columns, placed.rows
        ),
        "cut it to the ground of the map, or write it as GeoTIFF in tiles of 256 by 256 pixels",
    )
}

fn unsound(file: &Path, problem: &str) -> InputError {
    InputError::new(
        file,
        None,
        format!("the picture {problem}"),
        "export it again; a backdrop may be a GeoTIFF, an MBTiles file, or a PNG or JPEG picture with a world file",
    )
}

/// The world file of a picture: its name with another ending, in small letters or capitals.
fn beside(file: &Path, endings: &[&str]) -> Option<PathBuf> {
    let names = endings
        .iter()
        .flat_map(|end| [(*end).to_owned(), end.to_ascii_uppercase()]);
    names
        .map(|end| file.with_extension(end))
        .find(|path| path.is_file())
}

/// The six numbers of a world file.
fn parse(file: &Path, text: &str) -> Result<Affine, InputError> {
    let hint = "a world file has six lines of one number each: the steps of x and y from column to column, those from row to \
                row, and x and y of the middle of the first pixel";
    let mut values = [0.0; 6];
    let mut lines = text
        .lines()
        .enumerate()
        .filter(|(_, line)| !line.trim().is_empty());
    for (place, value) in values.iter_mut().enumerate() {
        let Some((index, line)) = lines.next() else {
            let problem = format!("the world file has {place} numbers, not six");
            return Err(InputError::new(file, None, problem, hint));
        };
        let number = line
            .trim()
            .parse()
            .ok()
            .filter(|value: &f64| value.is_finite());
        *value = number.ok_or_else(|| {
            let problem = format!("{} is no number", bounded(line.trim()));
            InputError::new(file, u32::try_from(index + 1).ok(), problem, hint)
        })?;
    }
    if let Some((index, _)) = lines.next() {
        let problem = "the world file has more than six numbers";
        return Err(InputError::new(
            file,
            u32::try_from(index + 1).ok(),
            problem,
            hint,
        ));
    }
    let [a, d, b, e, c, f] = values;
    // From the middle of the first pixel to its corner.
    let affine = Affine([a, b, c - (a + b) / 2.0, d, e, f - (d + e) / 2.0]);
    if !affine.is_sound() {
        let problem = "by the world file the pixels of the picture have no size";
        return Err(InputError::new(file, None, problem, hint));
    }
    Ok(affine)
}

/// Degrees, where every corner has coordinates that degrees can have.
fn guessed(
    file: &Path,
    affine: Affine,
    (columns, rows): (usize, usize),
) -> Result<Crs, InputError> {
    let (wide, high) = (columns as f64, rows as f64);
    let corners = [(0.0, 0.0), (wide, 0.0), (0.0, high), (wide, high)];
    let [west, north] = {
        let at = affine.forward(Coord { x: 0.0, y: 0.0 });
        [at.x, at.y]
    };
    let degrees = corners.iter().all(|(x, y)| {
        let at = affine.forward(Coord { x: *x, y: *y });
        at.x.abs() <= 180.0 && at.y.abs() <= 90.0
    });
    if degrees {
        return Crs::epsg(4326).map_err(|problem| InputError::new(file, None, problem, accepted()));
    }
    Err(InputError::new(
        file,
        None,
        format!(
            "a world file does not tell its reference system, and these coordinates are not degrees (the first corner lies at \
             {west:.1}, {north:.1})"
        ),
        "give it with --backdrop-crs EPSG:n, such as --backdrop-crs EPSG:32632 for UTM zone 32 north, or EPSG:3857 for \
         web Mercator; a .prj or .aux.xml file is not read",
    ))
}

/// Whether a file that begins so is a picture, and whether that is a PNG.
pub(super) fn is_picture(start: &[u8]) -> Option<bool> {
    if start.starts_with(&PNG) {
        Some(true)
    } else {
        start.starts_with(&JPEG).then_some(false)
    }
}
