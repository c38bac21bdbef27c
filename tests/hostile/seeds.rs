//! The seeds of the corpora: small good files of every kind, made here.

use crate::made::{Tiff as Raster, grey_jpeg, grey_png};
use crate::support::tasking;
use crate::tiles::{Tiff, plane};
use flate2::Compression;
use flate2::write::GzEncoder;
use overflown::debrief::debrief;
use overflown::report::json::json;
use overflown::simulate::{Settings, gpx_out, simulate};
use overflown::track::Fix;
use serde_json::Value;
use std::fmt::Write as _;
use std::io::{Cursor, Write as _};
use std::path::Path;
use zip::write::{SimpleFileOptions, ZipWriter};

/// A feed, a name, and the content.
pub type Seed = (&'static str, &'static str, Vec<u8>);

/// Two legs of a mile.
pub const SMALL: &str = r#"sortie = "Heron"
date = 2026-05-20
[pattern]
kind = "parallel sweep"
start = [46.4, 11.2]
first_course = "015 T"
turn = "right"
spacing = "0.5 NM"
leg_length = "1 NM"
legs = 2
[flight]
ground_speed = "90 kt"
altitude = "1000 ft"
base = [46.39, 11.19]
[detection]
sweep_width = "0.5 NM"
"#;

const KML: &str = "<kml xmlns=\"http://www.opengis.net/kml/2.2\"><Document><Folder><Placemark><name>A &amp; B</name>\
    <gx:MultiTrack><altitudeMode>absolute</altitudeMode><gx:Track>\n\
    <when>2026-05-01T15:04:00Z</when><gx:coord>12.0 47.5 457</gx:coord>\n\
    <when>2026-05-01T15:04:01.5+01:00</when><gx:coord>12.001 47.5 457</gx:coord>\n\
    <when>2026-05-01T15:04:02</when><gx:coord>12.002 47.5</gx:coord>\n\
    </gx:Track></gx:MultiTrack></Placemark></Folder></Document></kml>\n";

const LINES: &str = r#"{"type": "Feature", "properties": {"name": "North", "coordTimes":
 [["2026-05-01T15:04:00Z", 1777647841], ["2026-05-01T15:04:02.5"]]},
 "geometry": {"type": "MultiLineString", "coordinates":
 [[[12.0, 47.5, 457], [12.001, 47.5]], [[12.002, 47.5, null]]]}}"#;

const POINTS: &str = r#"{"type": "FeatureCollection", "features": [
{"type": "Feature", "geometry": {"type": "Point", "coordinates": [12.0, 47.5, 457.2]}, "properties": {"time": "2026-05-01T15:04:00Z"}},
{"type": "Feature", "geometry": {"type": "Point", "coordinates": [12.001, 47.5]}, "properties": {"when": 1777647841000}}]}"#;

const KML_LINE: &str = "<kml><Placemark><name>A</name><TimeSpan><begin>2026-05-01T15:00:00Z</begin>\
    <end>2026-05-01T15:10:00+00:00</end></TimeSpan><LineString><altitudeMode>absolute</altitudeMode><coordinates>\n\
    12,47.5,457 12.01,47.5 12.01,47.5\n12.02,47.51,-5000 12.03,47.5,460</coordinates></LineString></Placemark>\n\
    <Placemark><MultiGeometry><LineString><coordinates>12,47 12,47.1</coordinates></LineString></MultiGeometry>\
    <TimeSpan><begin>2026-05-01T16:00:00</begin><end>2026-05-01T16:10:00</end></TimeSpan></Placemark></kml>";

const AREA_KML: &str = "<kml><Placemark><name>A</name><Polygon><outerBoundaryIs><LinearRing><coordinates>\
    12.5,47.0,0 12.7,47.0,0 12.7,47.1 12.5,47.0,0</coordinates></LinearRing></outerBoundaryIs></Polygon>\
    </Placemark></kml>";

const AREA_GPX: &str = "<gpx version=\"1.1\" creator=\"t\"><rte><name>North</name><rtept lat=\"47.0\" lon=\"12.5\"/>\
    <rtept lat=\"47.0\" lon=\"12.7\"/><rtept lat=\"47.1\" lon=\"12.7\"/><rtept lat=\"47.0\" lon=\"12.5\"/></rte></gpx>";

const AREA_CUT: &str = r#"{"type": "MultiPolygon", "coordinates": [
[[[180.0, 40.0], [180.0, 40.5], [179.5, 40.5], [179.5, 40.0], [180.0, 40.0]]],
[[[-179.5, 40.0], [-179.5, 40.5], [-180.0, 40.5], [-180.0, 40.0], [-179.5, 40.0]]]]}"#;

const LINE_KML: &str = "<k:kml xmlns:k=\"x\"><k:Placemark><k:name>North</k:name><k:LineString><k:coordinates>\
    12.5,47.0,0 12.5,47.1</k:coordinates></k:LineString></k:Placemark></k:kml>";

const LINE_CUT: &str = r#"{"type": "GeometryCollection", "geometries": [{"type": "MultiLineString",
"coordinates": [[[170.0, 45.0], [180.0, 45.0]], [[-180.0, 45.0], [-170.0, 45.0]]]}]}"#;

const SUB_AREAS: &str = r#"search = "North"
target_pod = 0.7
base = "47 07.5 N 012 30 E"
ground_speed = "90 kt"
flight_time = "1.5 h"
[[sub_areas]]
name = "A"
poc = 0.5
corners = [[47.0, 12.5], [47.0, 12.7], [47.1, 12.7]]
[[sub_areas]]
name = "B"
gars = "381NB13"
"#;

const WORDS: [&str; 14] = [
    "47 07.5 N 012 30 E",
    "N47°07'30\" E12°30'00\"",
    "47.1250, -12.5",
    "S33°52'06\" W151°12'30\"",
    "0.5 NM",
    "-1000ft",
    "90 kt",
    "160 km/h",
    "1.5 h",
    "20 %",
    "092 T",
    "360°M",
    "381NB13",
    "date=1 dmy,time=2 utc,lat=3,lon=4,height=6 ft",
];

/// Tables of lines, with and without numbers and names, in commas and semicolons.
const LINE_TABLES: [&str; 2] = [
    "lat,lon\n47.0,12.5\n47.1,12.5\n",
    "Line_Number;line_name;Lat;Long;place_name\n1;North;47.0;12.5;\"A; B\"\n1;North;47.1;12.5;'=C\n2;South;46.9;12.5;\n2;South;46.9;-180;D\n",
];

/// Two logs, of two tracks and of one, with what is wanted of them.
const GATHERED: [&str; 3] = [
    "North,3|-1500|15:04|2026-05-01T16:00:00Z|\n",
    "||||3600\n",
    "|86400000|15:04:02|23:59|-7200|wrong\n",
];

const TWO_TRACKS: &str = "<gpx><trk><name>North</name><trkseg><trkpt lat=\"47.5\" lon=\"12\"><time>2026-05-01T15:04:00</time>\
    </trkpt>\n<trkpt lat=\"47.5\" lon=\"12.001\"><ele>457</ele><time>2026-05-01T15:04:01Z</time></trkpt></trkseg></trk>\n<trk>\
    <trkseg><trkpt lat=\"47.5\" lon=\"12.002\"><time>2026-05-01T15:04:02+02:00</time></trkpt></trkseg></trk></gpx>";

fn igc(fixes: &[Fix]) -> String {
    let mut log = "AXXX001\r\nHFDTE200526\r\nHFALGALTGPS:ELL\r\nI023638FXA3940TDS\r\n".to_owned();
    for fix in fixes {
        let minutes = |deg: f64| (deg.fract() * 60_000.0).round();
        writeln!(
            log,
            "B{}{:02}{:05}N{:03}{:05}EA003000032001205\r",
            fix.time.format("%H%M%S"),
            fix.position.lat().floor(),
            minutes(fix.position.lat()),
            fix.position.lon().floor(),
            minutes(fix.position.lon()),
        )
        .unwrap();
    }
    log + "G0123456789ABCDEF\r\n"
}

fn nmea(fixes: &[Fix]) -> String {
    let mut log = String::new();
    for fix in fixes {
        let minutes = |deg: f64| deg.fract() * 60.0;
        let (lat, lon) = (fix.position.lat(), fix.position.lon());
        let place = format!(
            "{:02.0}{:07.4},N,{:03.0}{:07.4},E",
            lat.floor(),
            minutes(lat),
            lon.floor(),
            minutes(lon)
        );
        let (time, date) = (fix.time.format("%H%M%S"), fix.time.format("%d%m%y"));
        for body in [
            format!("GPRMC,{time},A,{place},,,{date},,,A"),
            format!("GPGGA,{time},{place},1,09,0.9,300.0,M,46.9,M,,"),
            format!("GNGNS,{time},{place},AAN,09,0.9,300.0,46.9,,"),
            format!("GPZDA,{time},20,05,2026,00,00"),
        ] {
            let sum = body.bytes().fold(0, |sum, byte| sum ^ byte);
            writeln!(log, "${body}*{sum:02X}\r").unwrap();
        }
    }
    log + "\\s:x*1A\\$GPGGA,000000,,,,,0,,,,,,,\r\n"
}

fn gzip(content: &[u8]) -> Vec<u8> {
    let mut packer = GzEncoder::new(Vec::new(), Compression::default());
    packer.write_all(content).unwrap();
    packer.finish().unwrap()
}

fn archive(files: &[(&str, &str)], options: SimpleFileOptions) -> Vec<u8> {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    // A time of its own would make another archive every day.
    let options = options.last_modified_time(zip::DateTime::default());
    for (name, content) in files {
        writer.start_file(*name, options).unwrap();
        writer.write_all(content.as_bytes()).unwrap();
    }
    writer.finish().unwrap().into_inner()
}

/// A table of about so many fixes.
fn thinned(fixes: &[Fix], count: usize) -> Vec<u8> {
    let mut table = "time,lat,lon\n".to_owned();
    for fix in fixes.iter().step_by((fixes.len() / count).max(1)) {
        let (time, lat, lon) = (
            fix.time.format("%FT%TZ"),
            fix.position.lat(),
            fix.position.lon(),
        );
        writeln!(table, "{time},{lat:.5},{lon:.5}").unwrap();
    }
    table.into_bytes()
}

fn tile(image: &Tiff, floats: bool) -> Vec<u8> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.tif");
    if floats {
        image.floats(&path, &plane);
    } else {
        image.integers(&path, &plane);
    }
    std::fs::read(path).unwrap()
}

fn terrain() -> Vec<Seed> {
    let image = Tiff::new(5, 6, (47.01, 11.995), (0.005, 0.005));
    let strips = Tiff {
        rows_per_strip: Some(2),
        no_data: Some("-32768".to_owned()),
        transformation: true,
        is_point: true,
        ..image.clone()
    };
    let deflated = Tiff {
        compression: tiff::encoder::Compression::Deflate(tiff::encoder::DeflateLevel::Balanced),
        ..strips.clone()
    };
    let lzw = Tiff {
        compression: tiff::encoder::Compression::Lzw,
        ..image.clone()
    };
    let flat = vec![0; 1201 * 1201 * 2];
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    let options = SimpleFileOptions::default().last_modified_time(zip::DateTime::default());
    zip.start_file("N47E012.hgt", options).unwrap();
    zip.write_all(&flat).unwrap();
    vec![
        ("terrain", "floats", tile(&image, true)),
        ("terrain", "strips", tile(&strips, false)),
        ("terrain", "packed-deflate", tile(&deflated, false)),
        ("terrain", "packed-lzw", tile(&lzw, true)),
        ("terrain", "packed-gzip", gzip(&flat)),
        ("terrain", "packed-zip", zip.finish().unwrap().into_inner()),
        ("terrain", "samples", b"\x01\x2c\x80\x00\x01\x2d".to_vec()),
    ]
}

/// Raster maps about 47 N 12 E: a GeoTIFF of every kind of pixels, pictures, a tile set.
fn backdrops() -> Vec<Seed> {
    let side = 16_u32;
    let shades = |samples: u32| {
        (0..side * side * samples)
            .map(|i| (i * 7 % 251) as u8)
            .collect()
    };
    let placed = |mut tiff: Raster, code: u16| {
        match code {
            4326 => tiff.in_crs(code, false).at(11.99, 47.01, 0.001_25),
            _ => tiff.in_crs(code, true).at(271_000.0, 5_210_500.0, 150.0),
        };
        tiff
    };
    let grey = placed(Raster::of(side, side, 1, 1, shades(1)), 4326);
    let mut palette = placed(Raster::of(side, side, 1, 3, shades(1)), 32_633);
    palette.short(320, &[0x4321; 768]);
    let mut own = placed(Raster::of(side, side, 3, 2, shades(3)), 32_633);
    own.keys(&[
        (1024, 1),
        (1025, 1),
        (2048, 4326),
        (3072, 32_767),
        (3074, 16_033),
    ]);
    let colours = placed(Raster::of(side, side, 4, 2, shades(4)), 32_633).in_tiles(16);
    let greys: Vec<u8> = shades(1);
    vec![
        ("backdrop", "grey", grey.clone().in_strips(5).bytes()),
        ("backdrop", "palette", palette.bytes()),
        ("backdrop", "own-system", own.bytes()),
        ("backdrop", "tiles", colours.clone().bytes()),
        ("backdrop", "packed-tiles", colours.deflated().bytes()),
        ("backdrop", "packed-png", grey_png(side, side, &greys)),
        ("backdrop", "packed-jpeg", grey_jpeg(16, 16, &greys)),
        (
            "backdrop",
            "packed-tile-set",
            tile_set(&grey_png(side, side, &greys)),
        ),
    ]
}

/// The four tiles of level 10 about the middle of the map, as MBTiles.
fn tile_set(tile: &[u8]) -> Vec<u8> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.mbtiles");
    let set = rusqlite::Connection::open(&path).unwrap();
    set.execute_batch(
        "PRAGMA page_size = 512;
         CREATE TABLE metadata (name text, value text);
         CREATE TABLE tiles (zoom_level integer, tile_column integer, tile_row integer, tile_data blob);
         INSERT INTO metadata VALUES ('format', 'png'), ('attribution', '<b>invented</b>');",
    )
    .unwrap();
    for (column, row) in [(545, 663), (546, 663), (545, 664), (546, 664)] {
        let values = rusqlite::params![10, column, row, tile];
        set.execute("INSERT INTO tiles VALUES (?1, ?2, ?3, ?4)", values)
            .unwrap();
    }
    drop(set);
    std::fs::read(path).unwrap()
}

/// What a search reads of a debrief, and nothing else of it.
fn small_debrief(json: &[u8]) -> Vec<u8> {
    let mut value: Value = serde_json::from_slice(json).unwrap();
    let whole = value.as_object_mut().unwrap();
    whole.retain(|key, _| {
        [
            "schema",
            "sortie",
            "date",
            "inputs",
            "plan",
            "legs",
            "area_time",
            "coverage",
            "looks",
        ]
        .contains(&key.as_str())
    });
    for leg in whole["legs"].as_array_mut().unwrap() {
        leg.as_object_mut()
            .unwrap()
            .retain(|key, _| key == "unrecorded");
    }
    whole["coverage"]
        .as_object_mut()
        .unwrap()
        .retain(|key, _| ["target_pod", "area_m2"].contains(&key.as_str()));
    serde_json::to_vec(&value).unwrap()
}

/// All of them.
pub fn seeds() -> Vec<Seed> {
    let (task, plan) = tasking(SMALL);
    let fixes = simulate(&plan, &Settings::for_tasking(&task), 1)
        .unwrap()
        .fixes;
    let track = crate::support::track(fixes.clone());
    let debrief = debrief(&track, Path::new("log"), &task, &plan).unwrap();
    let few = &fixes[..6];
    let mut gpx = Vec::new();
    gpx_out::write(&mut gpx, "Heron", few).unwrap();
    let table = "date,time (UTC),lat,lon,altitude (ft)\n2026-05-01,15:04:00,47.5,12.0,1500\n\
                 2026-05-01,15:04:01,\"47.5\",12.001,1500\n# a comment\n\n2026-05-01,15:04:02,47.5,12.002,\n";
    let text = |text: &str| text.as_bytes().to_vec();
    let mut seeds = vec![
        ("gpx", "simulated", gpx.clone()),
        ("igc", "simulated", text(&igc(few))),
        ("nmea", "simulated", text(&nmea(&few[..3]))),
        ("kml", "track", text(KML)),
        ("kml", "line", text(KML_LINE)),
        (
            "kmz",
            "deflated",
            archive(
                &[("a/b.kml", "<kml/>"), ("doc.kml", KML)],
                SimpleFileOptions::default(),
            ),
        ),
        (
            "kmz",
            "stored",
            archive(
                &[("doc.kml", KML)],
                SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored),
            ),
        ),
        ("geojson", "lines", text(LINES)),
        ("geojson", "points", text(POINTS)),
        ("table", "header", text(table)),
        (
            "table",
            "semicolons",
            text(
                "time;lat;lon;height m msl\n1777647840;47,5;12,0;457\n1777647841;47,5;12,001;457\n",
            ),
        ),
        (
            "table",
            "columns",
            text(
                "time=1 dmy,lat=2,lon=3\n01/05/2026 15:04:00\t47.5\t12\n01/05/2026 15:04:01\t47.5\t12.001\n",
            ),
        ),
        ("gzip", "gpx", gzip(&gpx)),
        ("gzip", "twice", gzip(&gzip(b"<gpx/>"))),
        ("any", "utf16", {
            let letters = "\u{feff}<?xml version=\"1.0\" encoding=\"UTF-16\"?><gpx></gpx>";
            letters.encode_utf16().flat_map(u16::to_le_bytes).collect()
        }),
        (
            "any",
            "latin1",
            text(
                "<?xml version='1.0' encoding='ISO-8859-1'?><gpx><trk><name>M\u{fc}</name></trk></gpx>",
            ),
        ),
        ("area", "kml", text(AREA_KML)),
        ("area", "gpx", text(AREA_GPX)),
        ("area", "geojson", text(AREA_CUT)),
        ("line", "kml", text(LINE_KML)),
        ("line", "gpx", text(AREA_GPX)),
        ("line", "geojson", text(LINE_CUT)),
        ("search", "sub-areas", text(SUB_AREAS)),
        ("debrief", "small", small_debrief(&json(&debrief).unwrap())),
        ("tasking", "small", text(SMALL)),
    ];
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let read = |path: &str| std::fs::read(root.join(path)).unwrap();
    for (name, path) in [
        ("sector", "sample-logs/sector/tasking.toml"),
        ("contour", "sample-logs/contour/tasking.toml"),
        ("track-line", "sample-logs/track-line/tasking.toml"),
        ("expanding", "sample-logs/expanding-square/tasking.toml"),
        ("interleaved", "sample-logs/interleaved-tasked/tasking.toml"),
        ("creeping", "sample-logs/creeping-line/tasking.toml"),
        ("route", "sample-logs/route/tasking.toml"),
    ] {
        seeds.push(("tasking", name, read(path)));
    }
    for (feed, name) in [
        ("widths", "land"),
        ("widths", "water"),
        ("factors", "weather"),
        ("factors", "speed"),
        ("factors", "terrain"),
        ("factors", "single"),
    ] {
        let path = format!("src/detection/sweep_width/tables/{name}.toml");
        seeds.push((feed, name, read(&path)));
    }
    for (name, log) in [
        ("gpx", gpx.clone()),
        ("two-tracks", text(TWO_TRACKS)),
        ("igc", text(&igc(few))),
        ("geojson", text(LINES)),
        ("table", text(table)),
    ] {
        seeds.push(("convert", name, log));
    }
    for (name, wants) in ["choice", "zone", "window"].into_iter().zip(GATHERED) {
        let logs = [wants.as_bytes(), TWO_TRACKS.as_bytes(), b"\n====\n", &gpx];
        seeds.push(("gather", name, logs.concat()));
    }
    for (name, task) in [
        ("sweep", SMALL.replace("legs = 2", "legs = 5")),
        (
            "sector",
            String::from_utf8(read("sample-logs/sector/tasking.toml")).unwrap(),
        ),
        (
            "square",
            String::from_utf8(read("sample-logs/expanding-square/tasking.toml")).unwrap(),
        ),
    ] {
        let (task, plan) = tasking(&task);
        let flown = simulate(&plan, &Settings::for_tasking(&task), 1).unwrap();
        seeds.push(("infer", name, thinned(&flown.fixes, 150)));
    }
    for (name, table) in ["table", "table-names"].into_iter().zip(LINE_TABLES) {
        seeds.push(("line", name, text(table)));
    }
    seeds.extend(terrain());
    seeds.extend(backdrops());
    for (name, word) in ('a'..).zip(WORDS) {
        let name: &'static str = Box::leak(name.to_string().into_boxed_str());
        seeds.push(("words", name, text(word)));
    }
    seeds
}
