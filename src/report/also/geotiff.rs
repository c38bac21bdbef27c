//! A raster as GeoTIFF (OGC GeoTIFF Standard 1.1, 19-008r4): one band of 32-bit floats, deflated, north up.
//!
//! The place of the pixels is given by `ModelPixelScaleTag` and one `ModelTiepointTag`, what the plane is by the keys
//! `GTModelTypeGeoKey` (1024), `GTRasterTypeGeoKey` (1025), `GTCitationGeoKey` (1026) and `ProjectedCRSGeoKey` (3072);
//! the code of the last says all else. NaN stands where there is no value, and the tag 42113 says so in words (common
//! practice, no source in the standard).

use crate::coverage::MapGrid;
use std::io::Cursor;
use tiff::encoder::colortype::Gray32Float;
use tiff::encoder::{Compression, DeflateLevel, TiffEncoder};
use tiff::tags::Tag;
use tiff::{TiffError, TiffResult};

/// Model type: projected (19-008r4, table of `GTModelTypeGeoKey`).
const PROJECTED: u16 = 1;
/// Raster type: a pixel is an area (`GTRasterTypeGeoKey`).
const PIXEL_IS_AREA: u16 = 1;

/// The raster as a file; `about` says in words what the values are, in ASCII as TIFF 6.0 asks for.
///
/// # Errors
/// When it says so in other letters or the values do not fill the grid; else only if the encoder itself fails, which
/// on memory it does not.
pub fn geotiff(grid: &MapGrid, values: &[f32], about: &str) -> TiffResult<Vec<u8>> {
    let mut file = Cursor::new(Vec::new());
    let mut encoder =
        TiffEncoder::new(&mut file)?.with_compression(Compression::Deflate(DeflateLevel::Balanced));
    let size = |pixels: usize| u32::try_from(pixels).map_err(TiffError::from);
    let mut image = encoder.new_image::<Gray32Float>(size(grid.columns)?, size(grid.rows)?)?;
    let citation = format!("{}|", grid.plane.name());
    let keys: [[u16; 4]; 5] = [
        // Version 1, revision 1.1, and how many keys follow: key, where its value stands, count, value or offset.
        [1, 1, 1, 4],
        [1024, 0, 1, PROJECTED],
        [1025, 0, 1, PIXEL_IS_AREA],
        [
            1026,
            Tag::GeoAsciiParamsTag.to_u16(),
            citation.len() as u16,
            0,
        ],
        [3072, 0, 1, grid.plane.epsg()],
    ];
    let directory = image.encoder();
    directory.write_tag(Tag::ImageDescription, about)?;
    directory.write_tag(
        Tag::Software,
        concat!("overflown ", env!("CARGO_PKG_VERSION")),
    )?;
    directory.write_tag(
        Tag::ModelPixelScaleTag,
        &[grid.pixel_m, grid.pixel_m, 0.0][..],
    )?;
    let corner = [0.0, 0.0, 0.0, grid.corner.x, grid.corner.y, 0.0];
    directory.write_tag(Tag::ModelTiepointTag, &corner[..])?;
    directory.write_tag(Tag::GeoKeyDirectoryTag, &keys.concat()[..])?;
    directory.write_tag(Tag::GeoAsciiParamsTag, citation.as_str())?;
    directory.write_tag(Tag::GdalNodata, "nan")?;
    image.write_data(values)?;
    Ok(file.into_inner())
}
