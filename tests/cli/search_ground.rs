//! The GeoJSON of a search is the ground of the value.

use crate::search_reports::{FILES, searches};
use serde_json::Value;
use std::path::Path;

/// Longitude and latitude.
type LonLat = [f64; 2];

/// Outer rings of a feature: one, or more where it is cut at the antimeridian.
fn rings(feature: &geojson::Feature) -> Vec<Vec<LonLat>> {
    let ring = |ring: &[geojson::Position]| -> Vec<LonLat> {
        ring.iter().map(|at| [at[0], at[1]]).collect()
    };
    match &feature.geometry.as_ref().unwrap().value {
        geojson::GeometryValue::Polygon { coordinates } => vec![ring(&coordinates[0])],
        geojson::GeometryValue::MultiPolygon { coordinates } => coordinates
            .iter()
            .map(|polygon| ring(&polygon[0]))
            .collect(),
        other => panic!("{other:?}"),
    }
}

/// RFC 7946: section 3.1.6, closed and counter-clockwise; and with just the corners of the value, in its order or the
/// other way round.
fn check_ring(feature: &geojson::Feature, corners: &Value) {
    let rings = rings(feature);
    assert_eq!(rings.len(), 1);
    let ring = &rings[0];
    assert_eq!(ring.first(), ring.last());
    let area: f64 = ring
        .windows(2)
        .map(|pair| pair[0][0] * pair[1][1] - pair[1][0] * pair[0][1])
        .sum();
    assert!(area > 0.0, "clockwise: {ring:?}");
    let corners: Vec<LonLat> = corners
        .as_array()
        .unwrap()
        .iter()
        .map(|at| {
            [
                at["lon_deg"].as_f64().unwrap(),
                at["lat_deg"].as_f64().unwrap(),
            ]
        })
        .collect();
    assert_eq!(ring.len(), corners.len() + 1);
    let is_at = |a: LonLat, b: LonLat| (a[0] - b[0]).abs() <= 1e-7 && (a[1] - b[1]).abs() <= 1e-7;
    let first = corners.iter().position(|at| is_at(*at, ring[0])).unwrap();
    let n = corners.len();
    let onward = (0..n).all(|i| is_at(ring[i], corners[(first + i) % n]));
    let back = (0..n).all(|i| is_at(ring[i], corners[(first + n - i) % n]));
    assert!(onward || back, "{ring:?} is not {corners:?}");
}

#[test]
fn strips_geojson_is_the_ground_of_the_search() {
    let document =
        std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/search-file.md"))
            .unwrap();
    for (name, folder, results) in searches() {
        let json = folder.json(&format!("{results}/search.json"));
        let text = folder.text(&format!("{results}/strips.geojson"));
        let collection: geojson::FeatureCollection = text
            .parse::<geojson::GeoJson>()
            .unwrap()
            .try_into()
            .unwrap();
        let of = |what: &str| -> Vec<&geojson::Feature> {
            let features = collection.features.iter();
            features
                .filter(|f| f.property("what").unwrap() == what)
                .collect()
        };
        let (parts, strips, holes) = (of("sub-area"), of("strip"), of("hole"));
        assert_eq!(
            collection.features.len(),
            parts.len() + strips.len() + holes.len()
        );
        let in_json = |key: &str| json[key].as_array().unwrap().clone();
        assert_eq!(parts.len(), in_json("sub_areas").len(), "{name}");
        assert_eq!(strips.len(), in_json("strips").len(), "{name}");
        let near = |feature: &geojson::Feature, key: &str, value: &Value| {
            let written = feature.property(key).unwrap().as_f64().unwrap();
            assert!(
                (written - value.as_f64().unwrap()).abs() <= 0.5e-4,
                "{name} {key}"
            );
        };
        for (feature, part) in parts.iter().zip(in_json("sub_areas")) {
            check_ring(feature, &part["corners"]);
            assert_eq!(feature.property("name"), Some(&part["name"]));
            for key in ["poc", "pod", "poc_left", "poc_left_normalised"] {
                near(feature, key, &part[key]);
            }
        }
        let mut all_holes = Vec::new();
        for (feature, strip) in strips.iter().zip(in_json("strips")) {
            check_ring(feature, &strip["outline"]);
            assert_eq!(feature.property("leg"), Some(&strip["leg"]));
            near(feature, "mean_pod", &strip["mean_pod"]);
            near(feature, "target_pod", &strip["target_pod"]);
            near(feature, "gain", &strip["gain"]);
            near(feature, "pod_low", &strip["pod_band"]["low"]);
            let (written, value) = (feature.property("flown_by").unwrap(), &strip["flown_by"]);
            let both = written
                .as_array()
                .unwrap()
                .iter()
                .zip(value.as_array().unwrap());
            for (by, value) in both {
                for key in ["sortie", "leg", "from"] {
                    assert_eq!(by[key], value[key], "{name}");
                }
            }
            let own = strip["holes"].as_array().unwrap();
            let needs = feature.property("needs_refly").unwrap().as_bool().unwrap();
            assert_eq!(needs, !own.is_empty());
            all_holes.extend(own.clone());
        }
        assert_eq!(holes.len(), all_holes.len(), "{name}");
        for (feature, hole) in holes.iter().zip(all_holes) {
            check_ring(feature, &hole["outline"]);
        }
        for feature in &collection.features {
            for key in feature.properties.as_ref().unwrap().keys() {
                assert!(
                    document.contains(&format!("`{key}`")),
                    "{key} is not documented"
                );
            }
        }
        for file in FILES {
            assert!(
                document.contains(&format!("`{file}`")),
                "{file} is not documented"
            );
        }
    }
}
