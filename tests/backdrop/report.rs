//! The backdrop in the files of a debrief, by the program as the user runs it.

use crate::judge::Judge;
use crate::made::{Folder, Tiff};
use assert_cmd::Command;
use geo::Coord;
use overflown::backdrop::Backdrop;
use overflown::geodesy::MapPlane;
use overflown::report;
use serde_json::Value;
use std::path::Path;

/// A GeoTIFF in UTM about the ground of a sample, so many metres to all sides of its middle.
fn about_the_sample(reach_m: f64, east_m: f64) -> Vec<u8> {
    let middle = crate::samples::sample("faults")
        .coverage
        .raster
        .frame
        .origin();
    let utm = MapPlane::about(middle).unwrap();
    let at = utm.forward(middle).unwrap();
    let cells = 800_u32;
    let bytes = (0..cells * cells).flat_map(|i| {
        let (x, y) = (i % cells, i / cells);
        [(x / 4) as u8, (y / 4) as u8, ((x ^ y) & 0x7f) as u8]
    });
    let mut tiff = Tiff::of(cells, cells, 3, 2, bytes.collect());
    let corner = Coord {
        x: at.x - reach_m + east_m,
        y: at.y + reach_m,
    };
    tiff.in_crs(utm.epsg(), false);
    tiff.at(corner.x, corner.y, 2.0 * reach_m / f64::from(cells));
    tiff.ascii(33_432, "<script>alert(1)</script> \u{7}");
    tiff.bytes()
}

fn overflown(folder: &Folder, backdrop: &Path, more: &[&str]) -> std::process::Output {
    let sample = crate::samples::folder().join("faults");
    Command::new(env!("CARGO_BIN_EXE_overflown"))
        .arg("debrief")
        .arg(sample.join("track.gpx"))
        .arg("--tasking")
        .arg(sample.join("tasking.toml"))
        .arg("--out")
        .arg(folder.path("out"))
        .arg("--backdrop")
        .arg(backdrop)
        .args(more)
        .output()
        .unwrap()
}

#[test]
fn it_lies_below_the_map_and_among_the_inputs() {
    let folder = Folder::new();
    let bytes = about_the_sample(20_000.0, 0.0);
    let file = folder.file("hills & dales.tif", &bytes);
    let output = overflown(&folder, &file, &["--also", "pictures"]);
    assert!(output.status.success(), "{output:?}");
    let result = |name: &str| std::fs::read(folder.path("out").join("Heron 2").join(name)).unwrap();
    let page = String::from_utf8(result("report.html")).unwrap();

    // Below everything else: the first layer, with the picture and its name.
    let layer = page.find("data-layer=\"backdrop\"").unwrap();
    assert!(layer < page.find("data-layer=\"pod\"").unwrap());
    let after = &page[layer..page.len().min(layer + 400)];
    assert!(
        after.contains("<title>Backdrop for orientation only: hills &amp; dales.tif</title>"),
        "{after}"
    );
    assert!(after.contains("href=\"data:image/jpeg;base64,"), "{after}");
    assert!(page.contains("<input type=\"checkbox\" value=\"backdrop\" checked>"));
    // All of it lies below the map, so there is no mask, and it is not said to cover a part.
    assert!(!page.contains("<mask") && !page.contains("It covers"));
    let note = &page[page.find("id=\"backdrop-note\"").unwrap()..];
    let note = &note[..note.find("</p>").unwrap()];
    for words in [
        "hills &amp; dales.tif (GeoTIFF, EPSG:32642)",
        "50 m a pixel",
        "not for navigation",
        "out of date",
        "“&lt;script&gt;alert(1)&lt;/script&gt; �”",
    ] {
        assert!(note.contains(words), "{words}: {note}");
    }
    assert!(!page.contains("<script>alert"));
    assert!(page.len() < 900_000, "{}", page.len());
    // Nothing but what stands in the page.
    assert!(page.contains("img-src data:;") && !page.contains("img-src *"));

    let debrief: Value = serde_json::from_slice(&result("debrief.json")).unwrap();
    let inputs = debrief["inputs"].as_array().unwrap();
    let input = inputs
        .iter()
        .find(|input| input["role"] == "backdrop")
        .unwrap();
    assert_eq!(input["name"], "hills & dales.tif");
    assert_eq!(input["bytes"], bytes.len());
    assert_eq!(input["sha256"], overflown::input::sha256_hex(&bytes));
    let judge = Judge::new(include_str!("../../docs/debrief.schema.json"));
    assert_eq!(judge.fault(&debrief), None);

    let picture = String::from_utf8(result("heatmap.svg")).unwrap();
    assert!(picture.contains("class=\"backdrop\"") && picture.contains(".backdrop{opacity:"));
    assert!(
        String::from_utf8(result("report.txt"))
            .unwrap()
            .contains("backdrop: hills & dales.tif")
    );
}

#[test]
fn part_of_the_map_is_said_and_masked() {
    let folder = Folder::new();
    let file = folder.file("east.tif", &about_the_sample(20_000.0, 20_000.0));
    let output = overflown(&folder, &file, &[]);
    assert!(output.status.success(), "{output:?}");
    let said = String::from_utf8_lossy(&output.stderr).into_owned()
        + &String::from_utf8_lossy(&output.stdout);
    let share = said.split("backdrop east.tif: It covers ").nth(1).unwrap();
    let share: f64 = share.split(' ').next().unwrap().parse().unwrap();
    // Half of it, but for the turn of UTM against true north and where the middle of the map is.
    assert!((share - 50.0).abs() < 5.0, "{said}");
    let page = std::fs::read_to_string(folder.path("out/Heron 2/report.html")).unwrap();
    assert!(page.contains(&format!("It covers {share}\u{a0}% of the map.")));
    assert!(page.contains("<mask id=\"cover-") && page.contains("mask=\"url(#cover-"));
}

#[test]
fn other_ground_is_refused_and_nothing_is_left() {
    let folder = Folder::new();
    let file = folder.file("far.tif", &about_the_sample(20_000.0, 90_000.0));
    let output = overflown(&folder, &file, &[]);
    assert_eq!(output.status.code(), Some(3));
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(
        said.contains("nothing of the map") && said.contains("the map covers latitude"),
        "{said}"
    );
    assert_eq!(folder.names(), ["far.tif"]);
    // The option for the reference system needs a backdrop, and a code.
    let output = overflown(&folder, &file, &["--backdrop-crs", "UTM 32"]);
    assert_eq!(output.status.code(), Some(2));
}

/// What the page shows of the ground is what the backdrop is drawn for, and the heatmap shows no more.
#[test]
fn every_map_lies_within_the_picture() {
    let debrief = crate::samples::sample("faults");
    let ground = report::ground_of_map(&debrief);
    let folder = Folder::new();
    let file = folder.file("all.tif", &about_the_sample(40_000.0, 0.0));
    let picture = Backdrop::open(&file, None)
        .unwrap()
        .under(&debrief.coverage.raster.frame, ground)
        .unwrap();
    assert!(picture.covered.iter().all(|covered| *covered));
    let east = picture.corner.x + picture.columns as f64 * picture.pixel_m;
    let south = picture.corner.y - picture.rows as f64 * picture.pixel_m;
    assert!((picture.corner.x - ground.min().x).abs() < 1e-6);
    assert!((picture.corner.y - ground.max().y).abs() < 1e-6);
    assert!(east >= ground.max().x - 1e-3 && east < ground.max().x + picture.pixel_m);
    assert!(south <= ground.min().y + 1e-3 && south > ground.min().y - picture.pixel_m);
    let heatmap = report::map::MapFrame::new(&debrief, 1_100.0, 1_100.0).ground();
    assert!(heatmap.min().x >= ground.min().x && heatmap.max().x <= ground.max().x);
    assert!(heatmap.min().y >= ground.min().y && heatmap.max().y <= ground.max().y);
}
