//! GeoTIFF in latitude and longitude: one band of heights, as 16-bit integers or 32-bit floats.
//!
//! OGC GeoTIFF Standard 1.1 (19-008r4): the place of the samples by `ModelPixelScaleTag` and one
//! `ModelTiepointTag`, or by `ModelTransformationTag`; what they are by the keys `GTModelTypeGeoKey` (1024),
//! `GTRasterTypeGeoKey` (1025: 1, the sample is an area about its place, 2, a point), `GeodeticCRSGeoKey`
//! (2048) and `VerticalGeoKey` (4096). The value for "no data" is the tag 42113, a number as text (common
//! practice, no source in the standard). Strips or tiles that are not under the track are not read.

use super::grid::{Shape, Window};
use super::{Content, VerticalReference, sample_or_void};
use crate::input::InputError;
use crate::tiff_fault::{self, WouldDo};
use std::io::BufReader;
use std::ops::Range;
use std::path::Path;
use tiff::decoder::{Decoder, DecodingResult, Limits};
use tiff::tags::Tag;
use tiff::{ColorType, TiffError};

/// What would do, for hints.
const ACCEPTED: &str = "a GeoTIFF of one band of heights in metres (16-bit integers or 32-bit floats), north up, \
                        in latitude and longitude on WGS 84 (EPSG 4326) is read; reproject it to that";
/// Largest strip or tile, bytes unpacked. Chosen: an image of 20,000 columns in one strip of 800 rows.
const LARGEST_CHUNK: usize = 64 << 20;
/// Samples of all strips or tiles under the track, with what of them lies beside it. Chosen: a flight over five
/// degrees of latitude in a raster that goes round the earth in one-row strips, one arc-second to a sample, has
/// 23 thousand million and is refused; over half a degree of one at three arc-seconds it has 260 million.
const MOST_UNPACKED: usize = 2_000_000_000;
/// Largest list in the header, bytes. Chosen: two million strips.
const LARGEST_LIST: usize = 16 << 20;

/// A GeoTIFF with its header read.
pub(super) struct Image {
    pub(super) shape: Shape,
    pub(super) reference: VerticalReference,
    no_data: Option<f64>,
    decoder: Decoder<BufReader<Content>>,
}

impl Image {
    /// Reads the header.
    pub(super) fn open(file: &Path, content: Content) -> Result<Self, InputError> {
        let mut limits = Limits::default();
        limits.decoding_buffer_size = LARGEST_CHUNK;
        limits.intermediate_buffer_size = LARGEST_CHUNK;
        limits.ifd_value_size = LARGEST_LIST;
        let mut decoder = Decoder::new(BufReader::new(content))
            .map_err(|cause| fault(file, &cause))?
            .with_limits(limits);
        let (columns, rows) = decoder.dimensions().map_err(|cause| fault(file, &cause))?;
        check_samples(file, &mut decoder)?;
        let keys = Keys::read(file, &mut decoder)?;
        keys.check(file)?;
        let placed = Placed::read(file, &mut decoder)?;
        let shape = placed.shape(file, (rows, columns), keys.is_point(file)?)?;
        let no_data = no_data(file, &mut decoder)?;
        Ok(Self {
            shape,
            reference: keys.reference(file)?,
            no_data,
            decoder,
        })
    }

    /// Heights in a window, metres; NaN for a void.
    pub(super) fn read(mut self, file: &Path, window: &Window) -> Result<Vec<f32>, InputError> {
        let (wide, high) = self.decoder.chunk_dimensions();
        let (wide, high) = (wide as usize, high as usize);
        if wide == 0 || high == 0 {
            return Err(refused(
                file,
                "the file has strips or tiles without any samples",
            ));
        }
        let across = self.shape.columns.div_ceil(wide);
        let chunks =
            |range: &Range<usize>, size: usize| range.end.div_ceil(size) - range.start / size;
        let unpacked = chunks(&window.rows, high)
            .saturating_mul(chunks(&window.columns, wide))
            .saturating_mul(wide)
            .saturating_mul(high);
        if unpacked > MOST_UNPACKED {
            return Err(InputError::new(
                file,
                None,
                format!(
                    "the strips or tiles under the track hold more than {MOST_UNPACKED} samples"
                ),
                "cut the file to the ground of the flight, or write it in tiles of 256 by 256 samples",
            ));
        }
        let mut values = vec![f32::NAN; window.samples()];
        for down in window.rows.start / high..window.rows.end.div_ceil(high) {
            for right in window.columns.start / wide..window.columns.end.div_ceil(wide) {
                let chunk = self.chunk(file, down * across + right, wide, high, (down, right))?;
                let rows =
                    window.rows.start.max(down * high)..window.rows.end.min((down + 1) * high);
                let columns = window.columns.start.max(right * wide)
                    ..window.columns.end.min((right + 1) * wide);
                for row in rows {
                    let from = (row - down * high) * chunk.columns + columns.start - right * wide;
                    let to = (row - window.rows.start) * window.columns.len() + columns.start
                        - window.columns.start;
                    let source = chunk.values.get(from..from + columns.len());
                    let target = values.get_mut(to..to + columns.len());
                    let (Some(source), Some(target)) = (source, target) else {
                        return Err(refused(
                            file,
                            "a strip or tile is shorter than the header says",
                        ));
                    };
                    target.copy_from_slice(source);
                }
            }
        }
        Ok(values)
    }

    fn chunk(
        &mut self,
        file: &Path,
        index: usize,
        wide: usize,
        high: usize,
        (down, right): (usize, usize),
    ) -> Result<Chunk, InputError> {
        let index = u32::try_from(index)
            .map_err(|_| refused(file, "the file has too many strips or tiles"))?;
        let decoded = self
            .decoder
            .read_chunk(index)
            .map_err(|cause| fault(file, &cause))?;
        let no_data = self.no_data;
        let height = |value: f64| {
            if no_data == Some(value) {
                f32::NAN
            } else {
                sample_or_void(value as f32)
            }
        };
        let values: Vec<f32> = match decoded {
            DecodingResult::I16(values) => {
                values.into_iter().map(|v| height(f64::from(v))).collect()
            }
            DecodingResult::U16(values) => {
                values.into_iter().map(|v| height(f64::from(v))).collect()
            }
            DecodingResult::F32(values) => {
                values.into_iter().map(|v| height(f64::from(v))).collect()
            }
            _ => {
                return Err(refused(
                    file,
                    "the samples are neither 16-bit integers nor 32-bit floats",
                ));
            }
        };
        let columns = wide.min(self.shape.columns - right * wide);
        let rows = high.min(self.shape.rows - down * high);
        if values.len() < columns * rows {
            return Err(refused(
                file,
                "a strip or tile is shorter than the header says",
            ));
        }
        Ok(Chunk { columns, values })
    }
}

/// A strip or tile without what fills it up beyond the image.
struct Chunk {
    columns: usize,
    values: Vec<f32>,
}

type Header = Decoder<BufReader<Content>>;

fn check_samples(file: &Path, decoder: &mut Header) -> Result<(), InputError> {
    let colour = decoder.colortype().map_err(|cause| fault(file, &cause))?;
    let format: Option<Vec<u16>> = decoder
        .find_tag_unsigned_vec(Tag::SampleFormat)
        .map_err(|cause| fault(file, &cause))?;
    // 1, unsigned, is what it is without the tag.
    let format = format.and_then(|all| all.first().copied()).unwrap_or(1);
    match (colour, format) {
        (ColorType::Gray(16), 1 | 2) | (ColorType::Gray(32), 3) => Ok(()),
        (ColorType::Gray(bits), _) => {
            let kind = match format {
                1 => "unsigned integers",
                2 => "integers",
                3 => "floats",
                _ => "samples of another kind",
            };
            Err(refused(file, &format!("the file holds {bits}-bit {kind}")))
        }
        _ => Err(refused(
            file,
            "the file is a picture in colours or has several bands",
        )),
    }
}

/// The geo keys: number, where the value stands, how many, value.
struct Keys(Vec<[u16; 4]>);

const MODEL_TYPE: u16 = 1024;
const RASTER_TYPE: u16 = 1025;
const GEODETIC_CRS: u16 = 2048;
const ANGULAR_UNITS: u16 = 2054;
const PROJECTED_CRS: u16 = 3072;
const VERTICAL: u16 = 4096;
const VERTICAL_UNITS: u16 = 4099;

impl Keys {
    fn read(file: &Path, decoder: &mut Header) -> Result<Self, InputError> {
        let list: Option<Vec<u16>> = decoder
            .find_tag_unsigned_vec(Tag::GeoKeyDirectoryTag)
            .map_err(|cause| fault(file, &cause))?;
        let list =
            list.ok_or_else(|| refused(file, "the file has no geo keys, so it is no GeoTIFF"))?;
        let keys = list.get(4..).unwrap_or_default().chunks_exact(4);
        Ok(Self(
            keys.map(|key| [key[0], key[1], key[2], key[3]]).collect(),
        ))
    }

    /// A key whose value stands in the directory itself, as numbers of one word do.
    fn value(&self, number: u16) -> Option<u16> {
        let key = self.0.iter().find(|key| key[0] == number && key[1] == 0)?;
        Some(key[3])
    }

    fn check(&self, file: &Path) -> Result<(), InputError> {
        let projected = self.value(PROJECTED_CRS);
        match (self.value(MODEL_TYPE), projected) {
            (Some(2), None) => {}
            (Some(1), _) | (_, Some(_)) => {
                let which = projected.map_or_else(String::new, |code| format!(" (EPSG {code})"));
                let problem = format!("the file is on a map projection{which}");
                return Err(refused(file, &problem));
            }
            _ => return Err(refused(file, "the file is not in latitude and longitude")),
        }
        match self.value(GEODETIC_CRS) {
            Some(4326) => {}
            Some(32767) => {
                return Err(refused(
                    file,
                    "the file has a reference system of its own making",
                ));
            }
            Some(code) => {
                let problem =
                    format!("the file is on another reference system than WGS 84 (EPSG {code})");
                return Err(refused(file, &problem));
            }
            None => return Err(refused(file, "the file does not tell its reference system")),
        }
        // 9102: degrees.
        if let Some(unit) = self.value(ANGULAR_UNITS).filter(|unit| *unit != 9102) {
            let problem = format!("its angles are in other units than degrees (EPSG {unit})");
            return Err(refused(file, &problem));
        }
        // 9001: metres.
        if let Some(unit) = self.value(VERTICAL_UNITS).filter(|unit| *unit != 9001) {
            let problem = format!("its heights are in other units than metres (EPSG {unit})");
            return Err(refused(file, &problem));
        }
        Ok(())
    }

    fn is_point(&self, file: &Path) -> Result<bool, InputError> {
        match self.value(RASTER_TYPE) {
            // An area where nothing is said.
            Some(1) | None => Ok(false),
            Some(2) => Ok(true),
            Some(other) => {
                let problem = format!("the raster is of the unknown type {other}");
                Err(refused(file, &problem))
            }
        }
    }

    fn reference(&self, file: &Path) -> Result<VerticalReference, InputError> {
        match self.value(VERTICAL) {
            None => Ok(VerticalReference::Unknown),
            Some(5773) => Ok(VerticalReference::Egm96),
            Some(3855) => Ok(VerticalReference::Egm2008),
            // 4979 and, in older files, 5030: the ellipsoid of WGS 84.
            Some(code @ (4979 | 5030)) => {
                let problem = format!("its heights are above the ellipsoid (code {code})");
                Err(refused(file, &problem))
            }
            Some(_) => Ok(VerticalReference::Unknown),
        }
    }
}

/// Where the corner of the raster lies, and from sample to sample, degrees: longitude and latitude.
struct Placed {
    corner_deg: [f64; 2],
    step_deg: [f64; 2],
}

impl Placed {
    fn read(file: &Path, decoder: &mut Header) -> Result<Self, InputError> {
        let mut list = |tag: Tag| -> Result<Option<Vec<f64>>, InputError> {
            let value = decoder.find_tag(tag).map_err(|cause| fault(file, &cause))?;
            let list = value.map(|value| value.into_f64_vec()).transpose();
            list.map_err(|cause| fault(file, &cause))
        };
        let scale = list(Tag::ModelPixelScaleTag)?;
        let tie = list(Tag::ModelTiepointTag)?;
        let matrix = list(Tag::ModelTransformationTag)?;
        match (scale.as_deref(), tie.as_deref(), matrix.as_deref()) {
            (Some([x, y, ..]), Some([i, j, _, lon, lat, _]), None) => Ok(Self {
                corner_deg: [lon - i * x, lat + j * y],
                step_deg: [*x, -*y],
            }),
            (None, _, Some([a, b, _, d, e, f, _, h, ..])) if *b == 0.0 && *e == 0.0 => Ok(Self {
                corner_deg: [*d, *h],
                step_deg: [*a, *f],
            }),
            (None, _, Some(_)) => Err(refused(file, "the raster is turned, not north up")),
            _ => Err(refused(
                file,
                "the file does not tell where it lies by one tie point and a scale, or by a transformation",
            )),
        }
    }

    fn shape(
        &self,
        file: &Path,
        (rows, columns): (u32, u32),
        is_point: bool,
    ) -> Result<Shape, InputError> {
        let [[west, north], [east_step, north_step]] = [self.corner_deg, self.step_deg];
        let (row_deg, column_deg) = (-north_step, east_step);
        let (to_centre, margin) = if is_point { (0.0, 0.0) } else { (0.5, 0.5) };
        let shape = Shape {
            north_deg: north - to_centre * row_deg,
            west_deg: west + to_centre * column_deg,
            row_deg,
            column_deg,
            rows: rows as usize,
            columns: columns as usize,
            margin,
        };
        if rows < 2 || columns < 2 {
            return Err(refused(
                file,
                &format!("{columns} by {rows} samples are no grid"),
            ));
        }
        // NaN is in no range.
        let steps = 1e-6..=90.0;
        if !steps.contains(&row_deg) || !steps.contains(&column_deg) {
            return Err(refused(
                file,
                "the raster is not north up, or its scale is none in degrees",
            ));
        }
        let ((south, north), (west, width)) = (shape.latitudes_deg(), shape.longitudes_deg());
        let slack = row_deg.max(column_deg);
        let on_earth = south >= -90.0 - slack
            && north <= 90.0 + slack
            && west.abs() <= 360.0 + slack
            && width <= 360.0 + 2.0 * slack;
        if !on_earth {
            return Err(refused(
                file,
                "the raster reaches beyond the earth in degrees",
            ));
        }
        Ok(shape)
    }
}

fn no_data(file: &Path, decoder: &mut Header) -> Result<Option<f64>, InputError> {
    let tag = decoder
        .find_tag(Tag::GdalNodata)
        .map_err(|cause| fault(file, &cause))?;
    let Some(tag) = tag else { return Ok(None) };
    let text = tag.into_string().map_err(|cause| fault(file, &cause))?;
    let text = text.trim_matches(|c: char| c.is_whitespace() || c == '\0');
    if text.is_empty() {
        return Ok(None);
    }
    match text.parse::<f64>() {
        // A sample is compared with it as it is stored.
        Ok(value) => Ok(Some(value)),
        Err(_) => Err(refused(
            file,
            "its value for \"no data\" (tag 42113) is no number",
        )),
    }
}

fn refused(file: &Path, problem: &str) -> InputError {
    InputError::new(file, None, problem, ACCEPTED)
}

/// An error of the TIFF itself.
fn fault(file: &Path, cause: &TiffError) -> InputError {
    let would_do = WouldDo {
        read: "write it uncompressed, or compressed by LZW or Deflate",
        parts: "write it in tiles or strips of up to 64 MiB",
    };
    tiff_fault::fault(file, cause, would_do)
}
