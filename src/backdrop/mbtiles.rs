//! MBTiles 1.3: pictures of web Mercator, 2^z by 2^z of them at zoom level z, in an SQLite database. Rows count from the
//! south (Tile Map Service, profile "global-mercator").
//!
//! The file is read without changing it or leaving anything beside it. Where tiles are missing, those of coarser levels
//! stand in for them.

use super::crs::{Crs, WEB_MERCATOR_RADIUS_M};
use super::decode;
use super::extent::Extent;
use super::frame::Frame;
use super::placed::{Affine, Placed, Window};
use super::sample::{Block, Canvas};
use super::{MOST_PIXELS, accepted};
use crate::characters::bounded;
use crate::input::InputError;
use geo::Coord;
use rusqlite::types::ValueRef;
use rusqlite::{Connection, OpenFlags, OptionalExtension, Row};
use std::f64::consts::PI;
use std::path::Path;
use std::sync::mpsc::{Sender, channel};
use std::thread;
use std::time::Duration;

/// How an SQLite database begins (SQLite documentation, "Database File Format", 1.3.1).
pub(super) const SQLITE: &[u8] = b"SQLite format 3\0";
/// Pixels along the side of a tile, where the first one does not tell. When it is drawn, what a tile really has counts.
const TILE_PX: usize = 256;
/// Deepest zoom level. Chosen: a pixel of 0.1 mm.
const DEEPEST: u32 = 30;
/// Most pixels of a tile. Chosen: sixteen times those of the largest in use.
const MOST_TILE_PIXELS: usize = 2_048 * 2_048;
/// Largest tile, bytes. Chosen: its pixels, not compressed.
const LARGEST_TILE: i64 = 16 << 20;
/// Characters of a text in `metadata` that are read.
const MOST_LETTERS: i64 = 2_000;
/// How long the database may take, seconds. Chosen: views can be made that never end; reading a few hundred tiles
/// takes a second.
const PATIENCE_S: u64 = 300;

/// A tile set with its tables looked at.
pub(super) struct MbTiles {
    connection: Connection,
    levels: Vec<u32>,
    /// Pixels along the side of a tile.
    tile_px: usize,
    pub(super) credits: Vec<String>,
    /// Ends the watch over how long it takes.
    _watch: Sender<()>,
}

impl MbTiles {
    pub(super) fn open(file: &Path) -> Result<Self, InputError> {
        let log = {
            let mut name = file.as_os_str().to_owned();
            name.push("-wal");
            std::path::PathBuf::from(name)
        };
        if std::fs::metadata(log).is_ok_and(|log| log.len() > 0) {
            return Err(InputError::new(
                file,
                None,
                "the file is being written: there is a -wal file beside it",
                "close the program that writes it",
            ));
        }
        let flags = OpenFlags::SQLITE_OPEN_READ_ONLY
            | OpenFlags::SQLITE_OPEN_URI
            | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let fault = |cause| fault(file, &cause);
        let connection = Connection::open_with_flags(uri(file), flags).map_err(fault)?;
        let watch = watched(&connection);
        connection
            .pragma_update(None, "trusted_schema", false)
            .map_err(fault)?;
        let metadata = |name: &str| -> Result<Option<String>, InputError> {
            let text = connection.query_row(
                "SELECT substr(value, 1, ?2) FROM metadata WHERE name = ?1 LIMIT 1",
                rusqlite::params![name, MOST_LETTERS],
                |row| row.get::<_, Option<String>>(0),
            );
            Ok(text.optional().map_err(fault)?.flatten())
        };
        let format = metadata("format")?.unwrap_or_default();
        if ["pbf", "mvt"].contains(&format.as_str()) || format.contains("vector-tile") {
            return Err(vector(file, &format));
        }
        let credits = ["attribution", "name"]
            .into_iter()
            .filter_map(|name| metadata(name).transpose())
            .collect::<Result<Vec<_>, _>>()?;
        let mut levels = Vec::new();
        for level in 0..=DEEPEST {
            let found = connection
                .query_row(
                    "SELECT 1 FROM tiles WHERE zoom_level = ?1 LIMIT 1",
                    [level],
                    |_| Ok(()),
                )
                .optional()
                .map_err(fault)?;
            if found.is_some() {
                levels.push(level);
            }
        }
        if levels.is_empty() {
            return Err(InputError::new(
                file,
                None,
                format!("the file has no tiles at zoom levels 0 to {DEEPEST}"),
                accepted(),
            ));
        }
        let first = connection.query_row(
            "SELECT tile_data FROM tiles WHERE zoom_level = ?1 AND length(tile_data) <= ?2 LIMIT 1",
            rusqlite::params![levels.last(), LARGEST_TILE],
            |row| row.get::<_, Vec<u8>>(0),
        );
        // What is wrong with a tile is said when it is drawn.
        let picture = first
            .ok()
            .and_then(|bytes| decode::whole(&bytes, MOST_TILE_PIXELS).ok());
        Ok(Self {
            connection,
            levels,
            tile_px: picture.map_or(TILE_PX, |picture| picture.columns),
            credits,
            _watch: watch,
        })
    }

    /// Where the pixels of a zoom level lie.
    pub(super) fn placed(&self, level: u32) -> Placed {
        let pixels = self.tile_px as f64 * 2_f64.powi(level as i32);
        let side_m = 2.0 * PI * WEB_MERCATOR_RADIUS_M;
        let pixel = side_m / pixels;
        Placed {
            crs: Crs::web_mercator(),
            affine: Affine([pixel, 0.0, -side_m / 2.0, 0.0, -pixel, side_m / 2.0]),
            columns: pixels as usize,
            rows: pixels as usize,
        }
    }

    /// The zoom level with the finest pixels.
    pub(super) fn finest(&self) -> u32 {
        self.levels.last().copied().unwrap_or(0)
    }

    /// Brings what lies under the map onto it, and says of which zoom level most of it is: the coarsest whose pixels are as fine
    /// as those of the picture.
    pub(super) fn draw(
        &self,
        file: &Path,
        frame: &Frame,
        canvas: &mut Canvas<'_>,
    ) -> Result<u32, InputError> {
        let suits = |level: &u32| {
            let pixel = self.placed(*level).pixel_on_ground(frame);
            pixel.is_some_and(|pixel| pixel.m() <= frame.pixel_m)
        };
        let suiting = self.levels.iter().position(suits);
        let at = suiting.unwrap_or(self.levels.len() - 1);
        self.draw_level(file, frame, self.levels[at], canvas)?;
        for level in self.levels[..at].iter().rev() {
            if canvas.is_full() {
                break;
            }
            let mut below = Canvas::new(frame);
            self.draw_level(file, frame, *level, &mut below)?;
            canvas.fill_gaps(&below);
        }
        Ok(self.levels[at])
    }

    fn draw_level(
        &self,
        file: &Path,
        frame: &Frame,
        level: u32,
        canvas: &mut Canvas<'_>,
    ) -> Result<(), InputError> {
        let side = self.tile_px;
        let windows = self.placed(level).windows(frame);
        let span = |range: &std::ops::Range<usize>| range.start / side..range.end.div_ceil(side);
        let pixels = windows
            .iter()
            .map(|w| span(&w.columns).len().saturating_mul(span(&w.rows).len()))
            .fold(0, usize::saturating_add)
            .saturating_mul(side * side);
        if pixels > MOST_PIXELS {
            return Err(InputError::new(
                file,
                None,
                format!(
                    "the tiles under the map, at zoom level {level}, hold more than {MOST_PIXELS} pixels, and there are no coarser ones"
                ),
                "give a file that has coarser zoom levels as well",
            ));
        }
        let mut query = self
            .connection
            .prepare(
                "SELECT length(tile_data), CASE WHEN length(tile_data) <= ?4 THEN tile_data END FROM tiles \
                 WHERE zoom_level = ?1 AND tile_column = ?2 AND tile_row = ?3 LIMIT 1",
            )
            .map_err(|cause| fault(file, &cause))?;
        for window in &windows {
            for row in span(&window.rows) {
                for column in span(&window.columns) {
                    let tile = Tile { level, column, row };
                    let parameters = rusqlite::params![
                        level,
                        column as i64,
                        tile.row_from_south(),
                        LARGEST_TILE
                    ];
                    let drawn = query
                        .query_row(parameters, |found| Ok(tile.draw(found, canvas)))
                        .optional();
                    drawn
                        .map_err(|cause| fault(file, &cause))?
                        .unwrap_or(Ok(()))
                        .map_err(|problem| tile.refused(file, &problem))?;
                }
            }
        }
        Ok(())
    }

    /// What of the earth the tiles of a zoom level show.
    pub(super) fn extent(&self, level: u32) -> Option<Extent> {
        let bounds = self.connection.query_row(
            "SELECT min(tile_column), max(tile_column), min(tile_row), max(tile_row) FROM tiles WHERE zoom_level = ?1",
            [level],
            |row| Ok([row.get::<_, f64>(0)?, row.get(1)?, row.get(2)?, row.get(3)?]),
        );
        let [west, east, south, north] = bounds.ok()?;
        let tiles = 2_f64.powi(level as i32);
        let placed = self.placed(level);
        let tile_px = self.tile_px as f64;
        let pixel = |column: f64, row: f64| Coord {
            x: column * tile_px,
            y: (tiles - row) * tile_px,
        };
        // Also the middle, from which a set that goes round the earth reaches half of it either way.
        let middle = pixel(
            f64::midpoint(west, east + 1.0),
            f64::midpoint(south, north + 1.0),
        );
        let places = [middle, pixel(west, south), pixel(east + 1.0, north + 1.0)];
        Extent::of(places.into_iter().filter_map(|at| placed.position(at)))
    }
}

/// A tile; its row counts from the north.
#[derive(Clone, Copy)]
struct Tile {
    level: u32,
    column: usize,
    row: usize,
}

impl Tile {
    /// MBTiles 1.3, section "Tiles", "Content": rows are those of the Tile Map Service, from the south.
    fn row_from_south(self) -> i64 {
        (1 << self.level) - 1 - self.row as i64
    }

    fn draw(self, found: &Row<'_>, canvas: &mut Canvas<'_>) -> Result<(), String> {
        let size: Option<i64> = found.get(0).unwrap_or(None);
        let bytes = match found.get_ref(1) {
            Ok(ValueRef::Blob(bytes)) => bytes,
            Ok(ValueRef::Null) if size.is_some_and(|size| size > LARGEST_TILE) => {
                return Err(format!("is larger than {} MiB", LARGEST_TILE >> 20));
            }
            // An empty place.
            Ok(ValueRef::Null) => return Ok(()),
            _ => return Err("is no picture but text or a number".to_owned()),
        };
        let picture = decode::whole(bytes, MOST_TILE_PIXELS)?;
        let pixels = picture.all();
        let (columns, rows) = (picture.columns, picture.rows);
        let side_m = 2.0 * PI * WEB_MERCATOR_RADIUS_M / 2_f64.powi(self.level as i32);
        let west = side_m * self.column as f64 - PI * WEB_MERCATOR_RADIUS_M;
        let north = PI * WEB_MERCATOR_RADIUS_M - side_m * self.row as f64;
        let placed = Placed {
            crs: Crs::web_mercator(),
            affine: Affine([
                side_m / columns as f64,
                0.0,
                west,
                0.0,
                -side_m / rows as f64,
                north,
            ]),
            columns,
            rows,
        };
        let block = Block {
            left: 0,
            top: 0,
            columns,
            rgba: &pixels,
        };
        let all = Window {
            columns: 0..columns,
            rows: 0..rows,
        };
        canvas.add(&placed, block, &all);
        Ok(())
    }

    fn refused(self, file: &Path, problem: &str) -> InputError {
        let Self { level, column, .. } = self;
        let place = format!(
            "zoom level {level}, column {column}, row {}",
            self.row_from_south()
        );
        InputError::new(
            file,
            None,
            format!("the tile at {place} {problem}"),
            "tiles may be PNG, JPEG or WebP pictures; vector tiles are not read",
        )
    }
}

fn vector(file: &Path, format: &str) -> InputError {
    InputError::new(
        file,
        None,
        format!(
            "the file holds vector tiles (its format is \"{}\"), which are not pictures",
            bounded(format)
        ),
        "give a file with tiles as PNG, JPEG or WebP pictures",
    )
}

/// The name by which the database is opened as a file that does not change, so that nothing is made beside it
/// (SQLite documentation, "Uniform Resource Identifiers").
fn uri(file: &Path) -> String {
    // A path from the root follows an authority that is empty.
    let mut uri = if file.has_root() { "file://" } else { "file:" }.to_owned();
    for byte in file.as_os_str().as_encoded_bytes() {
        if byte.is_ascii_alphanumeric() || b"/-_.~:\\".contains(byte) {
            uri.push(char::from(*byte));
        } else {
            use std::fmt::Write;
            // Writing to a String cannot fail.
            let _ = write!(uri, "%{byte:02X}");
        }
    }
    uri + "?immutable=1"
}

/// Interrupts the database when it takes too long; until the sender is dropped.
fn watched(connection: &Connection) -> Sender<()> {
    let (sender, receiver) = channel();
    let handle = connection.get_interrupt_handle();
    thread::spawn(move || {
        use std::sync::mpsc::RecvTimeoutError::Timeout;
        if receiver.recv_timeout(Duration::from_secs(PATIENCE_S)) == Err(Timeout) {
            // A query that begins between two interruptions is met by the next.
            while receiver.recv_timeout(Duration::from_millis(100)) == Err(Timeout) {
                handle.interrupt();
            }
        }
    });
    sender
}

fn fault(file: &Path, cause: &rusqlite::Error) -> InputError {
    use rusqlite::ErrorCode::OperationInterrupted;
    let problem = match cause {
        rusqlite::Error::SqliteFailure(code, _) if code.code == OperationInterrupted => {
            format!("the database did not answer within {PATIENCE_S} s")
        }
        other => format!("the file is an SQLite database but no sound MBTiles file ({other})"),
    };
    InputError::new(file, None, problem, accepted())
}
