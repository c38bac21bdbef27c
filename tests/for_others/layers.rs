//! `layers.geojson` and `layers.kml` against the debrief, by parsers of others.

use crate::flights::at;
use crate::samples::sample;
use geojson::{FeatureCollection, GeometryValue};
use overflown::debrief::Debrief;
use overflown::matching::Phase;
use overflown::report::also::{self, Also};
use overflown::report::drawing::Paper;
use roxmltree::{Document, Node};
use std::collections::BTreeMap;

/// GeoJSON and KML.
fn files(debrief: &Debrief) -> [String; 2] {
    let files = also::files(debrief, &[Also::Layers], Paper::default()).unwrap();
    ["layers.geojson", "layers.kml"].map(|name| {
        let file = files.iter().find(|file| file.name == name).unwrap();
        String::from_utf8(file.bytes.clone()).unwrap()
    })
}

fn lines(value: &GeometryValue) -> Vec<Vec<[f64; 2]>> {
    let place = |position: &geojson::Position| [position[0], position[1]];
    let line = |line: &Vec<geojson::Position>| line.iter().map(place).collect();
    match value {
        GeometryValue::LineString { coordinates } => vec![line(coordinates)],
        GeometryValue::MultiLineString { coordinates } => coordinates.iter().map(line).collect(),
        GeometryValue::Polygon { coordinates } => coordinates.iter().map(line).collect(),
        GeometryValue::MultiPolygon { coordinates } => {
            coordinates.iter().flatten().map(line).collect()
        }
        other => panic!("{other:?}"),
    }
}

fn child<'a>(node: Node<'a, 'a>, tag: &str) -> Option<Node<'a, 'a>> {
    node.children().find(|n| n.has_tag_name(tag))
}

fn words<'a>(node: Node<'a, 'a>, tag: &str) -> &'a str {
    child(node, tag).and_then(|n| n.text()).unwrap_or_default()
}

#[test]
fn both_files_hold_what_the_debrief_holds() {
    let debrief = sample("faults");
    let [geojson, kml] = files(&debrief);
    let collection: FeatureCollection = geojson.parse().unwrap();
    let mut counts: BTreeMap<String, usize> = BTreeMap::new();
    for feature in &collection.features {
        let what = feature.property("what").unwrap().as_str().unwrap();
        *counts.entry(what.to_owned()).or_default() += 1;
    }
    let count = |what: &str| counts.get(what).copied().unwrap_or(0);
    assert_eq!(count("search area"), 1);
    assert_eq!(count("planned leg"), debrief.legs.len());
    assert_eq!(
        count("cross-leg"),
        debrief.plan.legs.len() - debrief.legs.len()
    );
    assert_eq!(count("strip"), debrief.strips.len());
    assert_eq!(
        count("hole"),
        debrief.strips.iter().map(|s| s.holes.len()).sum::<usize>()
    );
    assert_eq!(count("out of the area"), debrief.area_time.outside.len());
    assert_eq!(count("re-fly leg"), debrief.refly.legs.len());
    assert_eq!(count("not recorded"), debrief.log.gaps.len());
    let flown = debrief
        .phases
        .iter()
        .filter(|p| p.phase != Phase::NotRecorded);
    assert_eq!(count("flown track"), flown.count());
    // The state and the figures of a leg are those of the debrief.
    let leg = |label: &str| {
        let is = |f: &&geojson::Feature| {
            f.property("what").unwrap() == "planned leg" && f.property("leg").unwrap() == label
        };
        collection.features.iter().find(is).unwrap()
    };
    for report in &debrief.legs {
        let feature = leg(&report.leg);
        assert_eq!(feature.property("state").unwrap(), report.state.name());
        match &report.tracking {
            None => assert!(feature.property("xte_rms_m").unwrap().is_null()),
            Some(tracking) => {
                let rms = feature.property("xte_rms_m").unwrap().as_f64().unwrap();
                assert!((rms - tracking.rms.m()).abs() <= 0.051, "{rms}");
            }
        }
    }
    // KML: the same in folders.
    let document = Document::parse(&kml).unwrap();
    let mut in_folders: BTreeMap<&str, usize> = BTreeMap::new();
    for folder in document.descendants().filter(|n| n.has_tag_name("Folder")) {
        let marks = folder.children().filter(|n| n.has_tag_name("Placemark"));
        in_folders.insert(words(folder, "name"), marks.count());
    }
    assert_eq!(in_folders.remove("Flight along the clock"), Some(1));
    assert_eq!(in_folders.len(), counts.len());
    assert_eq!(in_folders["Planned legs"], debrief.legs.len());
    assert_eq!(
        in_folders.values().sum::<usize>(),
        collection.features.len()
    );
    // Every style that is named is there.
    let styles: Vec<&str> = document
        .descendants()
        .filter(|n| n.has_tag_name("Style"))
        .filter_map(|n| n.attribute("id"))
        .collect();
    for url in document
        .descendants()
        .filter(|n| n.has_tag_name("styleUrl"))
    {
        let id = url.text().unwrap().strip_prefix('#').unwrap();
        assert!(styles.contains(&id), "{id}");
    }
}

/// The flight along the clock is the flown one: every fix drawn, with its time.
#[test]
fn the_track_of_kml_has_the_times_of_the_flight() {
    let debrief = sample("faults");
    let [_, kml] = files(&debrief);
    let document = Document::parse(&kml).unwrap();
    let all = |tag: &str| -> Vec<&str> {
        let nodes = document.descendants().filter(|n| n.has_tag_name(tag));
        nodes.filter_map(|n| n.text()).collect()
    };
    let (times, places) = (all("when"), all("coord"));
    assert_eq!(times.len(), places.len());
    let flown = &debrief.flown;
    assert_eq!(times.len(), flown.drawn.len());
    for ((time, place), index) in times.iter().zip(&places).zip(&flown.drawn) {
        let fix = &flown.fixes[*index];
        let time: chrono::DateTime<chrono::Utc> = time.parse().unwrap();
        assert_eq!(time, fix.time);
        let (lon, lat) = place.split_once(' ').unwrap();
        let off = |text: &str, deg: f64| (text.parse::<f64>().unwrap() - deg).abs();
        assert!(off(lon, fix.position.lon()) < 1e-7 && off(lat, fix.position.lat()) < 1e-7);
    }
    // One part for each stretch without a hole.
    let parts = document.descendants().filter(|n| n.has_tag_name("Track"));
    assert_eq!(parts.count(), debrief.log.gaps.len() + 1);
}

/// RFC 7946, section 3.1.9, and the same in KML: nothing leads the long way round the earth.
#[test]
fn layers_are_cut_at_the_antimeridian() {
    let debrief = at(-16.9, 179.93);
    let [geojson, kml] = files(&debrief);
    let collection: FeatureCollection = geojson.parse().unwrap();
    let mut cut = 0;
    for feature in &collection.features {
        let parts = lines(&feature.geometry.as_ref().unwrap().value);
        cut += usize::from(parts.len() > 1);
        for pair in parts.iter().flat_map(|part| part.windows(2)) {
            assert!((pair[0][0] - pair[1][0]).abs() < 1.0, "{pair:?}");
            assert!(pair[0][0].abs() <= 180.0);
        }
    }
    assert!(cut > 10, "{cut}");
    let document = Document::parse(&kml).unwrap();
    let coordinates = document
        .descendants()
        .filter(|n| n.has_tag_name("coordinates"));
    let tracks = document.descendants().filter(|n| n.has_tag_name("Track"));
    let longitudes = coordinates
        .map(|n| {
            let tuples = n.text().unwrap().split(' ');
            tuples
                .map(|t| t.split(',').next().unwrap().parse().unwrap())
                .collect()
        })
        .chain(tracks.map(|track| {
            let coords = track.children().filter(|n| n.has_tag_name("coord"));
            let first = |n: Node<'_, '_>| n.text().unwrap().split(' ').next().unwrap().parse();
            coords.map(|n| first(n).unwrap()).collect()
        }));
    let mut steps = 0;
    for line in longitudes {
        let line: Vec<f64> = line;
        for pair in line.windows(2) {
            assert!((pair[0] - pair[1]).abs() < 1.0, "{pair:?}");
            steps += 1;
        }
    }
    assert!(steps > 500, "{steps}");
}
