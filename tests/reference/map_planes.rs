//! UTM and UPS against PROJ.
//!
//! pyproj 3.7.2 (PROJ 9.5.1), from PyPI:
//! `pyproj.Transformer.from_crs(4326, epsg, always_xy=True).transform(lon, lat)`, to a micrometre.

use overflown::geodesy::{MapPlane, Position};

/// Code of the plane, latitude, longitude, easting, northing.
type Row = (u16, f64, f64, f64, f64);

const ROWS: [Row; 17] = [
    // The middle of a zone.
    (32632, 47.0, 9.0, 500_000.000_000, 5_205_164.110_152),
    // The west border of a zone.
    (32633, 47.0, 12.0, 271_930.434_936, 5_209_532.848_132),
    // The east border of it.
    (32633, 47.0, 17.999_999, 728_069.489_046, 5_209_532.845_218),
    // The next zone, from the border.
    (32634, 46.5, 18.0, 269_809.726_323, 5_153_976.690_600),
    // The equator.
    (32636, 0.0, 30.5, 221_723.683_171, 0.000_000),
    // South of the equator.
    (32736, -0.5, 30.5, 221_734.221_704, 9_944_681.960_023),
    // The far south.
    (32719, -54.0, -70.0, 434_451.482_418, 4_016_015.545_208),
    // East of the antimeridian.
    (32601, 51.8, -179.99, 293_843.333_914, 5_743_022.988_114),
    // West of it.
    (32760, -16.9, 179.93, 812_157.445_750, 8_129_185.694_512),
    // Wide of the zone.
    (32633, 78.0, 9.5, 372_525.100_332, 8_664_359.238_608),
    // Wide zone south-west.
    (32632, 60.0, 3.0, 165_640.332_108, 6_666_593.572_147),
    // The south end of UTM.
    (32733, -79.999, 15.5, 509_693.707_680, 1_118_484.144_937),
    // The north end.
    (32633, 83.999, 20.999, 569_895.473_733, 9_331_624.651_224),
    // UPS north.
    (32661, 84.0, -75.0, 1_355_990.491_909, 1_827_438.172_389),
    // UPS north, near the pole.
    (32661, 89.9, 135.0, 2_007_850.571_206, 2_007_850.571_206),
    // UPS south.
    (32761, -85.5, 60.25, 2_433_972.444_836, 2_248_035.686_843),
    // UPS south, the antimeridian.
    (32761, -80.001, -180.0, 2_000_000.000_000, 887_160.702_404),
];

#[test]
fn map_planes_are_those_of_proj() {
    for (epsg, lat, lon, east_m, north_m) in ROWS {
        let position = Position::new(lat, lon).unwrap();
        let plane = MapPlane::about(position).unwrap();
        assert_eq!(plane.epsg(), epsg, "{lat}, {lon}");
        let at = plane.forward(position).unwrap();
        let off = (at.x - east_m).hypot(at.y - north_m);
        assert!(off < 2e-6, "{off} m at {lat}, {lon}");
    }
}

/// A plane serves what lies beyond its zone as well: an area has one plane, that of its middle. The same places by
/// PROJ, with the code named.
#[test]
fn a_plane_reaches_beyond_its_zone() {
    for (centre, (epsg, lat, lon, east_m, north_m)) in [
        (
            [47.0, 11.9],
            (32632, 47.2, 13.5, 840_809.644_634, 5_237_219.463_496),
        ),
        (
            [0.2, 33.0],
            (32636, -0.4, 34.0, 611_277.956_659, -44_218.805_567),
        ),
        (
            [51.8, 179.99],
            (32660, 51.6, -178.5, 811_600.107_111, 5_726_149.041_345),
        ),
        (
            [51.8, -179.99],
            (32601, 52.0, 178.7, 204_869.674_747, 5_769_772.383_422),
        ),
        (
            [83.9, 10.0],
            (32633, 84.8, 20.0, 550_530.780_837, 9_419_601.824_656),
        ),
        (
            [-80.1, 3.0],
            (32761, -79.2, 6.0, 2_125_693.030_912, 3_195_889.305_454),
        ),
    ] {
        let plane = MapPlane::about(Position::new(centre[0], centre[1]).unwrap()).unwrap();
        assert_eq!(plane.epsg(), epsg);
        let at = plane.forward(Position::new(lat, lon).unwrap()).unwrap();
        let off = (at.x - east_m).hypot(at.y - north_m);
        assert!(off < 2e-6, "{off} m at {lat}, {lon}");
    }
}
