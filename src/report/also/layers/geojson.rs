//! The layers as one FeatureCollection (RFC 7946).
//!
//! Rings and lines are wound, closed and cut as `report::lonlat` says.

use super::{Feature, Layer, Shape};
use crate::report::geojson::{collection, line, polygon};
use serde_json::{Map, Value, json};

/// The collection as text; what has no length on the map is left out.
///
/// # Errors
/// Only if serialisation itself fails, which for this value it does not.
pub fn geojson(layers: &[Layer]) -> Result<Vec<u8>, serde_json::Error> {
    let features: Vec<Value> = layers
        .iter()
        .flat_map(|layer| {
            let drawn = layer.features.iter().filter(|feature| feature.is_drawn());
            drawn.map(|one| feature(layer.what, one))
        })
        .collect();
    collection(&features)
}

fn feature(what: &str, feature: &Feature) -> Value {
    let own = feature.properties.iter();
    let properties: Map<String, Value> = [("what", json!(what)), ("name", json!(feature.name))]
        .into_iter()
        .chain(own.map(|(key, value)| (*key, value.clone())))
        .map(|(key, value)| (key.to_owned(), value))
        .collect();
    let geometry = match &feature.shape {
        Shape::Area(ring) => polygon(ring),
        Shape::Line(positions) => line(positions),
    };
    json!({ "type": "Feature", "properties": properties, "geometry": geometry })
}
