//! `plan.kml` by the crate `kml`, `plan.geojson` by the crate `geojson`, and both as areas again.

use crate::support::{Drawn, draw, draw_as, is_at, named, taskings};
use geojson::{FeatureCollection, GeometryValue};
use kml::types::{Geometry, Placemark};
use kml::{Kml, KmlReader};
use overflown::geodesy::Position;
use overflown::plan::{LegKind, area_file};

type LonLat = [f64; 2];

/// A map as read: lines, rings and points with their names, each in one part or more.
#[derive(Debug, Default)]
struct Map {
    lines: Vec<(String, Vec<Vec<LonLat>>)>,
    rings: Vec<Vec<LonLat>>,
    points: Vec<(String, LonLat)>,
}

fn from_geojson(text: &str) -> Map {
    let collection: FeatureCollection = text.parse().unwrap();
    let mut map = Map::default();
    let part = |positions: &[geojson::Position]| -> Vec<LonLat> {
        positions.iter().map(|p| [p[0], p[1]]).collect()
    };
    for feature in &collection.features {
        let property = |key: &str| feature.property(key).and_then(|v| v.as_str());
        let name = property("label")
            .or(property("what"))
            .unwrap_or_default()
            .to_owned();
        match &feature.geometry.as_ref().unwrap().value {
            GeometryValue::Point { coordinates } => {
                map.points.push((name, [coordinates[0], coordinates[1]]));
            }
            GeometryValue::LineString { coordinates } => {
                map.lines.push((name, vec![part(coordinates)]));
            }
            GeometryValue::MultiLineString { coordinates } => {
                map.lines
                    .push((name, coordinates.iter().map(|l| part(l)).collect()));
            }
            GeometryValue::Polygon { coordinates } => {
                map.rings.extend(coordinates.iter().map(|ring| part(ring)));
            }
            GeometryValue::MultiPolygon { coordinates } => {
                map.rings
                    .extend(coordinates.iter().flatten().map(|ring| part(ring)));
            }
            other => panic!("a {} in a plan", other.type_name()),
        }
    }
    map
}

fn from_kml(text: &str) -> Map {
    fn walk(kml: &Kml, map: &mut Map) {
        match kml {
            Kml::KmlDocument(document) => document.elements.iter().for_each(|k| walk(k, map)),
            Kml::Document { elements, .. } => elements.iter().for_each(|k| walk(k, map)),
            Kml::Folder(folder) => folder.elements.iter().for_each(|k| walk(k, map)),
            Kml::Placemark(placemark) => placed(placemark, map),
            _ => {}
        }
    }
    fn parts(geometry: &Geometry, lines: &mut Vec<Vec<LonLat>>, map: &mut Map, name: &str) {
        let part = |coords: &[kml::types::Coord]| coords.iter().map(|c| [c.x, c.y]).collect();
        match geometry {
            Geometry::Point(point) => {
                map.points
                    .push((name.to_owned(), [point.coord.x, point.coord.y]));
            }
            Geometry::LineString(line) => lines.push(part(&line.coords)),
            Geometry::Polygon(polygon) => {
                assert!(polygon.inner.is_empty());
                map.rings.push(part(&polygon.outer.coords));
            }
            Geometry::MultiGeometry(multi) => {
                multi
                    .geometries
                    .iter()
                    .for_each(|g| parts(g, lines, map, name));
            }
            other => panic!("{other:?} in a plan"),
        }
    }
    fn placed(placemark: &Placemark, map: &mut Map) {
        let name = placemark.name.clone().unwrap();
        let mut lines = Vec::new();
        parts(placemark.geometry.as_ref().unwrap(), &mut lines, map, &name);
        if !lines.is_empty() {
            let label = name.rsplit(' ').next().unwrap().to_owned();
            map.lines.push((label, lines));
        }
    }
    let mut map = Map::default();
    walk(
        &KmlReader::<_, f64>::from_string(text).read().unwrap(),
        &mut map,
    );
    map
}

fn doubled_area(ring: &[LonLat]) -> f64 {
    let pairs = ring.windows(2);
    pairs.map(|p| p[0][0] * p[1][1] - p[1][0] * p[0][1]).sum()
}

/// Places and order of a map against those of the plan.
fn check(name: &str, drawn: &Drawn, map: &Map) {
    let plan = &drawn.plan;
    assert_eq!(map.lines.len(), plan.legs.len(), "{name}");
    for leg in &plan.legs {
        let (_, parts) = map
            .lines
            .iter()
            .find(|(label, _)| *label == leg.label)
            .unwrap_or_else(|| panic!("{name}: no leg {}", leg.label));
        let (first, last) = (parts[0][0], *parts.last().unwrap().last().unwrap());
        assert!(is_at(first, leg.start), "{name} {}: {first:?}", leg.label);
        assert!(is_at(last, leg.end), "{name} {}: {last:?}", leg.label);
        for part in parts {
            assert!(part.len() >= 2);
            for point in part {
                // Between its ends a leg is followed to 10 m, and a chord is never off the geodesic
                // by more than that.
                let [lon, lat] = *point;
                let here = leg.frame().locate(Position::new(lat, lon).unwrap());
                assert!(here.cross_m.abs() < 10.0, "{name}: {} m", here.cross_m);
            }
        }
        // Where it is cut, the parts meet on the antimeridian.
        for pair in parts.windows(2) {
            let (a, b) = (pair[0].last().unwrap(), &pair[1][0]);
            assert!(a[0].abs() == 180.0 && b[0] == -a[0] && a[1] == b[1]);
        }
    }
    let corners = plan.area.corners();
    let on_ring: Vec<LonLat> = map.rings.concat();
    for corner in corners {
        assert!(
            on_ring.iter().any(|p| is_at(*p, *corner)),
            "{name}: {corner}"
        );
    }
    for point in &on_ring {
        let cut = point[0].abs() == 180.0;
        assert!(
            cut || corners.iter().any(|c| is_at(*point, *c)),
            "{name}: {point:?}"
        );
    }
    for ring in &map.rings {
        assert_eq!(ring.first(), ring.last());
        assert!(doubled_area(ring) > 0.0, "{name}: clockwise");
    }
    // Nothing is drawn round the earth.
    let lines = map.lines.iter().flat_map(|(_, parts)| parts);
    for line in lines.chain(&map.rings) {
        assert!(
            line.iter()
                .all(|p| p[0].abs() <= 180.0 && p[1].abs() <= 90.0)
        );
        assert!(
            line.windows(2).all(|p| (p[0][0] - p[1][0]).abs() < 5.0),
            "{name}"
        );
    }
    let at = |wanted: &str| {
        let found = map
            .points
            .iter()
            .find(|(n, _)| n.eq_ignore_ascii_case(wanted));
        found.unwrap_or_else(|| panic!("{name}: no {wanted}")).1
    };
    assert!(is_at(at("start"), plan.legs[0].start));
    assert!(is_at(at("end"), plan.legs.last().unwrap().end));
    let sharp = plan.area.sharp_corners();
    for (index, corner) in sharp.iter().enumerate() {
        let letter = char::from(b'A' + u8::try_from(index).unwrap());
        assert!(is_at(at(&letter.to_string()), *corner), "{name}: {letter}");
    }
    assert_eq!(map.points.len(), 2 + sharp.len());
}

#[test]
fn other_readers_find_the_same_places() {
    for (name, text) in taskings() {
        let drawn = draw(&text);
        let (json, xml) = (
            from_geojson(&drawn.files["plan.geojson"]),
            from_kml(&drawn.files["plan.kml"]),
        );
        check(name, &drawn, &json);
        check(name, &drawn, &xml);
        let cut = name == "antimeridian";
        assert_eq!(json.rings.len(), if cut { 2 } else { 1 });
        let search = drawn
            .plan
            .legs
            .iter()
            .filter(|leg| leg.kind == LegKind::Search);
        if cut {
            for leg in search {
                let line = json.lines.iter().find(|(label, _)| *label == leg.label);
                assert_eq!(line.unwrap().1.len(), 2, "leg {}", leg.label);
            }
        }
    }
}

/// The properties of the legs are the figures of the leg table.
#[test]
fn legs_carry_their_figures() {
    for (name, text) in taskings() {
        let drawn = draw(&text);
        let collection: FeatureCollection = drawn.files["plan.geojson"].parse().unwrap();
        let legs: Vec<_> = collection
            .features
            .iter()
            .filter(|feature| feature.property("what").unwrap() == "leg")
            .collect();
        assert_eq!(legs.len(), drawn.rows.len(), "{name}");
        for (leg, row) in legs.iter().zip(&drawn.rows) {
            let number = |key: &str| leg.property(key).unwrap().as_f64().unwrap();
            assert_eq!(leg.property("label").unwrap(), row.label.as_str());
            assert_eq!(leg.property("kind").unwrap(), row.kind.name());
            assert!((number("length_m") - row.length.m()).abs() <= 0.01);
            assert!((number("course_true_deg") - row.course.deg()).abs() <= 0.01);
            let magnetic = row.course_magnetic_deg.unwrap();
            assert!((number("course_magnetic_deg") - magnetic).abs() <= 0.01);
            assert!((number("duration_s") - row.duration_s).abs() <= 0.1);
            // 2500 ft of 0.3048 m.
            assert_eq!(number("altitude_m"), 762.0);
        }
    }
}

/// An area comes back from either file; cut at the antimeridian, from GeoJSON alone.
#[test]
fn areas_are_read_again() {
    let folder = tempfile::tempdir().unwrap();
    for (name, text) in taskings() {
        let drawn = draw(&text);
        for file in ["plan.geojson", "plan.kml"] {
            let path = folder.path().join(file);
            std::fs::write(&path, &drawn.files[file]).unwrap();
            if (name, file) == ("antimeridian", "plan.kml") {
                let error = area_file::read(&path).unwrap_err();
                assert!(error.problem.contains("holds 2 of"), "{error}");
                continue;
            }
            let read = area_file::read(&path)
                .unwrap_or_else(|e| panic!("{name} {file}: {e}"))
                .0;
            let corners = drawn.plan.area.corners();
            for corner in corners {
                let near = |p: &Position| is_at([p.lon(), p.lat()], *corner);
                assert!(read.iter().any(near), "{name} {file}: {corner}");
            }
            if name != "antimeridian" {
                assert_eq!(read.len(), corners.len(), "{name} {file}");
            }
        }
    }
}

/// Names are escaped: what a crate reads is what was given.
#[test]
fn hostile_names_stay_names() {
    let evil = "<b>&\"'</name>]]>";
    let drawn = draw_as(&named("Teal"), Some(evil));
    let text = &drawn.files["plan.kml"];
    assert!(!text.contains("<b>"), "{text}");
    let tree = roxmltree::Document::parse(text).unwrap();
    assert_eq!(
        tree.root_element().tag_name().namespace(),
        Some("http://www.opengis.net/kml/2.2")
    );
    let names: Vec<&str> = tree
        .descendants()
        .filter(|node| node.has_tag_name(("http://www.opengis.net/kml/2.2", "name")))
        .filter_map(|node| node.text())
        .collect();
    assert_eq!(names[0], format!("{evil}, 2026-06-14"));
    from_kml(text);
    let route = roxmltree::Document::parse(&drawn.files["route.gpx"]).unwrap();
    let name = route
        .descendants()
        .find(|node| node.tag_name().name() == "name");
    assert_eq!(name.unwrap().text(), Some(evil));
}
