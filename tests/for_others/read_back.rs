//! Rasters and layers against what GDAL reads in them.
//!
//! `read_back.json` is what `read_back.py` printed of the files; the commands, and the versions of the libraries, stand
//! in that script.

use crate::flights::read_by_others;
use overflown::coverage::{OnMap, Raster};
use overflown::debrief::Debrief;
use overflown::geodesy::Position;
use overflown::report::also::{self, Also, layers};
use overflown::report::drawing::Paper;
use serde_json::Value;
use std::path::Path;

/// Writes the files that `read_back.py` reads.
#[test]
#[ignore = "by hand, before reading them with other programs"]
fn files_for_others() {
    let root = Path::new(env!("CARGO_TARGET_TMPDIR")).join("for-others");
    for (name, debrief) in read_by_others() {
        let folder = root.join(name);
        std::fs::create_dir_all(&folder).unwrap();
        for file in also::files(&debrief, &Also::ALL, Paper::default()).unwrap() {
            std::fs::write(folder.join(file.name), file.bytes).unwrap();
        }
    }
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value}"))
}

#[track_caller]
fn close(found: f64, expected: f64, within: f64, what: &str) {
    assert!(
        (found - expected).abs() <= within,
        "{what}: {found}, read {expected}"
    );
}

#[test]
fn gdal_reads_what_was_meant() {
    let committed = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/for_others/read_back.json");
    let read: Value = serde_json::from_slice(&std::fs::read(committed).unwrap()).unwrap();
    let flights = read_by_others();
    assert_eq!(read.as_object().unwrap().len(), flights.len());
    for (name, debrief) in flights {
        let read = &read[name];
        let raster = &debrief.coverage.raster;
        raster_read(&read["rasters"]["pod.tif"], raster, &raster.values, name);
        let exposure = &debrief.coverage.exposure;
        raster_read(&read["rasters"]["exposure.tif"], raster, exposure, name);
        layers_read(read, &debrief, name);
    }
}

/// Where GDAL sees a value stand, the raster of the debrief has that value within half a pixel.
fn raster_read(read: &Value, raster: &Raster, values: &[f32], name: &str) {
    let on_map = OnMap::of(raster).unwrap();
    let grid = &on_map.grid;
    assert_eq!(read["driver"], "GTiff", "{name}");
    assert_eq!(read["epsg"], grid.plane.epsg(), "{name}");
    assert_eq!(read["area_or_point"], "Area", "{name}");
    assert_eq!(read["compression"], "deflate", "{name}");
    assert_eq!(read["type"], "float32", "{name}");
    assert_eq!(read["bands"], 1, "{name}");
    assert_eq!(read["no_data_is_nan"], true, "{name}");
    assert_eq!(read["columns"], grid.columns, "{name}");
    assert_eq!(read["rows"], grid.rows, "{name}");
    // a, b, c, d, e, f: x = a column + b row + c, y = d column + e row + f, from the corner of the first pixel.
    let expected = [
        grid.pixel_m,
        0.0,
        grid.corner.x,
        0.0,
        -grid.pixel_m,
        grid.corner.y,
    ];
    for (found, read) in expected.iter().zip(read["transform"].as_array().unwrap()) {
        close(*found, number(read), 1e-6, name);
    }
    let on_pixels = on_map.values(values);
    let known: Vec<f64> = on_pixels
        .iter()
        .filter(|value| !value.is_nan())
        .map(|value| f64::from(*value))
        .collect();
    assert_eq!(read["known"], known.len(), "{name}");
    let mean = known.iter().sum::<f64>() / known.len() as f64;
    close(mean, number(&read["mean"]), 1e-5 * mean, name);
    let pixels = read["pixels"].as_array().unwrap();
    assert!(pixels.len() >= 10, "{name}");
    for pixel in pixels {
        let place = Position::new(number(&pixel[2]), number(&pixel[3])).unwrap();
        let there = raster.frame.forward(place);
        let value = number(&pixel[4]);
        let near = (0..raster.grid.rows * raster.grid.columns).filter(|cell| {
            let centre = raster
                .grid
                .centre(cell % raster.grid.columns, cell / raster.grid.columns);
            let off = (centre.x - there.x).abs().max((centre.y - there.y).abs());
            off <= 0.501 * raster.grid.cell_m
        });
        let cells: Vec<f64> = near.map(|cell| f64::from(values[cell])).collect();
        assert!(
            cells
                .iter()
                .any(|cell| (cell - value).abs() <= 1e-5 * value.abs()),
            "{name}: {value} at {place:?}, cells {cells:?}"
        );
    }
}

/// GDAL sees as many features as there are, of each kind, in both files, and about them the same box.
fn layers_read(read: &Value, debrief: &Debrief, name: &str) {
    let layers = layers::of(debrief);
    let folders = read["layers.kml"].as_object().unwrap();
    let whats = read["layers.geojson"]["features"].as_object().unwrap();
    assert_eq!(read["layers.geojson"]["crs"], "EPSG:4326");
    let there: Vec<_> = layers.iter().filter(|l| !l.features.is_empty()).collect();
    assert_eq!(folders.len(), there.len(), "{name}");
    assert_eq!(whats.len(), there.len(), "{name}");
    for layer in there {
        let count = layer.features.len();
        assert_eq!(folders[layer.name]["features"], count, "{name}");
        assert_eq!(whats[layer.what], count, "{name}");
    }
    let corners = &debrief.plan.area_corners;
    let crosses = corners.iter().any(|c| c.lon() < -90.0) && corners.iter().any(|c| c.lon() > 90.0);
    assert_eq!(crosses, name == "antimeridian");
    let area = &folders["Search area"]["box"];
    let edge = |value: fn(&Position) -> f64, pick: fn(f64, f64) -> f64| {
        corners.iter().map(value).reduce(pick).unwrap()
    };
    close(edge(|c| c.lat(), f64::min), number(&area[1]), 1e-7, name);
    close(edge(|c| c.lat(), f64::max), number(&area[3]), 1e-7, name);
    let (west, east) = if crosses {
        // Cut at the antimeridian, its parts reach from there to there.
        (-180.0, 180.0)
    } else {
        (edge(|c| c.lon(), f64::min), edge(|c| c.lon(), f64::max))
    };
    close(west, number(&area[0]), 1e-7, name);
    close(east, number(&area[2]), 1e-7, name);
}
