//! The height of the ground from tiles of terrain heights.
//!
//! ```text
//! folder or file ─folder→ tiles ─hgt, geotiff→ Shape, Grid of what lies under the track ─→ Ground
//! ```
//!
//! Tiles are samples on a grid of parallels and meridians. Between them heights are interpolated
//! bilinearly; where a sample is missing, or a tile, there is no ground height, and never a made-up one.
//! Only the part of each tile that lies under the track is kept in memory.

mod folder;
mod geotiff;
mod grid;
mod hgt;

use crate::geodesy::Position;
use crate::input::{InputError, InputFile, unreadable};
use crate::units::{Length, wrap_180};
use grid::{Grid, Shape, Window};
use std::collections::BTreeSet;
use std::fs::File;
use std::io::{Cursor, Read, Seek};
use std::path::{Path, PathBuf};

/// What a tile is used as, in [`InputFile::role`].
pub const ROLE: &str = "terrain";

/// Most samples kept in memory, over all tiles. Chosen: 400 MB; a flight over four tiles of one arc-second
/// from corner to corner keeps 52 million.
const MOST_SAMPLES: usize = 100_000_000;

/// Heights that ground can have, metres. Chosen: below the lowest shore (430 m under the sea) and above the
/// highest summit (8,849 m); what lies beyond is a mark for "no height".
const GROUND_M: std::ops::RangeInclusive<f32> = -500.0..=9000.0;

/// What the heights of a tile are measured from, as its format or its file has it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum VerticalReference {
    /// The geoid EGM96: mean sea level.
    Egm96,
    /// The geoid EGM2008: mean sea level.
    Egm2008,
    /// The file does not tell.
    Unknown,
}

impl VerticalReference {
    /// In words, after "ground heights are".
    #[must_use]
    pub const fn describe(self) -> &'static str {
        match self {
            Self::Egm96 => "above mean sea level (geoid EGM96)",
            Self::Egm2008 => "above mean sea level (geoid EGM2008)",
            Self::Unknown => "taken as above mean sea level; the tile does not tell",
        }
    }
}

/// The ground below the fixes of a track.
#[derive(Clone, Debug, PartialEq)]
pub struct Ground {
    /// Height of the ground at each place; `None` where there is no tile, or a void in it.
    pub heights: Vec<Option<Length>>,
    /// The tiles it was taken from.
    pub tiles: Vec<InputFile>,
    /// What their heights are measured from.
    pub references: Vec<VerticalReference>,
    /// Places without a tile.
    pub without_tile: usize,
    /// Places in a void of a tile.
    pub in_void: usize,
}

/// Where the bytes of a tile come from.
trait Stored: Read + Seek {}

impl<T: Read + Seek> Stored for T {}

/// The bytes of a tile.
type Content = Box<dyn Stored>;

/// A tile: where its samples lie, and how to get at them.
struct Tile {
    shape: Shape,
    reference: VerticalReference,
    source: Source,
}

enum Source {
    Hgt(hgt::Samples),
    GeoTiff(Box<geotiff::Image>),
}

/// The tile at `path`, or the tiles in the folder there, in the order of their names.
///
/// # Errors
/// If the path is neither, or holds no tile.
pub fn tiles(path: &Path) -> Result<Vec<PathBuf>, InputError> {
    folder::tiles(path)
}

/// Finds the ground below `places` in the tiles of a folder, or in one tile.
///
/// # Errors
/// If the path is neither, holds no tile or a wrongly named one, if a tile that is needed is broken or of
/// another kind than is read, if none lies below any place, or if too much of them does.
pub fn below(path: &Path, places: &[Position]) -> Result<Ground, InputError> {
    let reach = Reach::of(places);
    let mut found = Found::default();
    for file in folder::tiles(path)? {
        let open = || -> Result<Content, InputError> {
            let content = File::open(&file).map_err(|cause| unreadable(&file, &cause))?;
            Ok(Box::new(content))
        };
        let Some(tile) = Tile::open(&file, open, &reach)? else {
            continue;
        };
        if found.take(tile, &file, places)? {
            let tile = InputFile::read(ROLE, &file).map_err(|cause| unreadable(&file, &cause))?;
            found.tiles.push(tile);
        }
    }
    found.ground(path, places)
}

/// Finds the ground below `places` in one tile that is held in memory. Its name tells what it is.
///
/// # Errors
/// As [`below`] has them.
pub fn below_bytes(name: &Path, bytes: &[u8], places: &[Position]) -> Result<Ground, InputError> {
    let reach = Reach::of(places);
    let mut found = Found::default();
    let open = || -> Result<Content, InputError> { Ok(Box::new(Cursor::new(bytes.to_vec()))) };
    let file = folder::named(name)?;
    if let Some(tile) = Tile::open(file, open, &reach)?
        && found.take(tile, file, places)?
    {
        found.tiles.push(InputFile::of(ROLE, file, bytes));
    }
    found.ground(name, places)
}

/// What of the tiles lies below the places.
#[derive(Default)]
struct Found {
    grids: Vec<Grid>,
    tiles: Vec<InputFile>,
    references: BTreeSet<VerticalReference>,
    samples: usize,
}

impl Found {
    /// Keeps what of a tile lies below the places, and says whether anything does.
    fn take(&mut self, tile: Tile, file: &Path, places: &[Position]) -> Result<bool, InputError> {
        let Some(window) = Window::around(&tile.shape, places) else {
            return Ok(false);
        };
        self.samples = self.samples.saturating_add(window.samples());
        if self.samples > MOST_SAMPLES {
            return Err(InputError::new(
                file,
                None,
                format!(
                    "more than {MOST_SAMPLES} samples of terrain lie between the ends of the track"
                ),
                "give tiles of a wider grid, such as three arc-seconds",
            ));
        }
        let values = match tile.source {
            Source::Hgt(samples) => samples.read(file, &window)?,
            Source::GeoTiff(image) => image.read(file, &window)?,
        };
        self.grids.push(Grid::new(tile.shape, window, values));
        self.references.insert(tile.reference);
        Ok(true)
    }

    fn ground(self, path: &Path, places: &[Position]) -> Result<Ground, InputError> {
        let mut ground = Ground {
            heights: Vec::with_capacity(places.len()),
            tiles: self.tiles,
            references: self.references.into_iter().collect(),
            without_tile: 0,
            in_void: 0,
        };
        for place in places {
            let mut found = self
                .grids
                .iter()
                .filter_map(|grid| grid.height_m(*place))
                .peekable();
            if found.peek().is_none() {
                ground.without_tile += 1;
                ground.heights.push(None);
                continue;
            }
            // A void of one tile may be filled by another.
            let height = found.find_map(|height_m| height_m.map(Length::from_m));
            ground.in_void += usize::from(height.is_none());
            ground.heights.push(height);
        }
        if ground.without_tile == places.len() {
            return Err(none_below(path, places));
        }
        Ok(ground)
    }
}

fn none_below(path: &Path, places: &[Position]) -> InputError {
    let needed: BTreeSet<String> = places.iter().map(|place| hgt::name_of(*place)).collect();
    let mut names: Vec<String> = needed.into_iter().take(4).collect();
    if names.len() == 4 {
        names[3] = "…".to_owned();
    }
    InputError::new(
        path,
        None,
        "no tile in it lies below the track",
        format!("the track is above {}", names.join(", ")),
    )
}

impl Tile {
    /// The tile of a file; `None` where its name or its header tells that it lies elsewhere.
    fn open(
        file: &Path,
        content: impl FnOnce() -> Result<Content, InputError>,
        reach: &Reach,
    ) -> Result<Option<Self>, InputError> {
        if folder::is_geotiff(file) {
            let image = geotiff::Image::open(file, content()?)?;
            return Ok(reach.meets(&image.shape).then(|| Self {
                shape: image.shape,
                reference: image.reference,
                source: Source::GeoTiff(Box::new(image)),
            }));
        }
        let corner = hgt::corner(file)?;
        if !reach.meets(&corner.square()) {
            return Ok(None);
        }
        let samples = hgt::Samples::open(file, content()?)?;
        Ok(Some(Self {
            shape: samples.shape(corner),
            reference: VerticalReference::Egm96,
            source: Source::Hgt(samples),
        }))
    }
}

/// The box of parallels and meridians that places lie in; it may cross the antimeridian.
struct Reach {
    south_deg: f64,
    north_deg: f64,
    west_deg: f64,
    width_deg: f64,
}

impl Reach {
    fn of(places: &[Position]) -> Self {
        let first = places.first().map_or(0.0, |place| place.lon());
        let (mut west, mut east) = (0.0_f64, 0.0_f64);
        let (mut south, mut north) = (f64::INFINITY, f64::NEG_INFINITY);
        for place in places {
            let off = wrap_180(place.lon() - first);
            (west, east) = (west.min(off), east.max(off));
            (south, north) = (south.min(place.lat()), north.max(place.lat()));
        }
        Self {
            south_deg: south,
            north_deg: north,
            west_deg: first + west,
            width_deg: east - west,
        }
    }

    fn meets(&self, shape: &Shape) -> bool {
        let ((south, north), (west, width)) = (shape.latitudes_deg(), shape.longitudes_deg());
        let apart = |from: f64, to: f64| (to - from).rem_euclid(360.0);
        let beside =
            apart(self.west_deg, west) <= self.width_deg || apart(west, self.west_deg) <= width;
        beside && south <= self.north_deg && north >= self.south_deg
    }
}

/// A sample, or NaN where it is none.
fn sample_or_void(metres: f32) -> f32 {
    if GROUND_M.contains(&metres) {
        metres
    } else {
        f32::NAN
    }
}
