//! GeoJSON (RFC 7946).

use crate::support::{entries, file, fixes, reading, refused, settings};
use crate::written::{geojson_line, list, point_feature, time};
use overflown::track::read::read;
use overflown::track::{Finding, HeightKind, Reading};

/// RFC 7946, 3.1.1: longitude, latitude, metres above the WGS 84 ellipsoid.
#[test]
fn geojson_lines_are_read_exactly() {
    let line = reading(geojson_line(0..3)).unwrap();
    assert_eq!(line.name.as_deref(), Some("Mist"));
    assert_eq!(line.height_kind, HeightKind::Ellipsoid);
    assert!(line.ledger.entries.is_empty());
    let expected = fixes(&line);
    assert_eq!(
        expected[2],
        (
            6,
            "2026-05-01T15:04:02Z".to_owned(),
            47.5,
            12.002,
            Some(457.2)
        )
    );
    let values = |reading: &Reading| -> Vec<_> {
        fixes(reading)
            .into_iter()
            .map(|(_, t, lat, lon, h)| (t, lat, lon, h))
            .collect()
    };
    let same: Vec<_> = values(&line);
    let text = geojson_line(0..3);
    for (name, other) in [
        (
            "in a collection",
            format!("{{\"features\": [{text}], \"type\": \"FeatureCollection\"}}"),
        ),
        ("times", text.replace("coordTimes", "times")),
        ("time", text.replace("coordTimes", "time")),
        (
            "coordinateProperties",
            text.replace(
                "\"coordTimes\": [",
                "\"coordinateProperties\": {\"times\": [",
            )
            .replace("]},\n\"geometry", "]}},\n\"geometry"),
        ),
        ("with a byte order mark", format!("\u{FEFF}{text}")),
        ("on one line", text.replace('\n', " ")),
        (
            "in parts",
            text.replace("LineString", "MultiLineString")
                .replace("[\n[", "[\n[[")
                .replace("]\n]", "]]\n]")
                .replace("\"coordTimes\": [", "\"coordTimes\": [[")
                .replace("]},\n\"geometry", "]]},\n\"geometry"),
        ),
        (
            "in parts, the times in one",
            text.replace("LineString", "MultiLineString")
                .replace("[\n[", "[\n[[")
                .replace(",\n[12.002", "],[\n[12.002")
                .replace("]\n]", "]]\n]"),
        ),
        (
            "seconds since 1970",
            text.replace(&time(0), "1777647840")
                .replace(&time(1), "1777647841000")
                .replace(&time(2), "\"1777647842\""),
        ),
        (
            "as points",
            format!(
                "{{\"type\": \"FeatureCollection\", \"features\": [{}]}}",
                list(0..3, point_feature)
            ),
        ),
    ] {
        let reading = reading(&other).unwrap_or_else(|error| panic!("{name}: {error}\n{other}"));
        assert_eq!(values(&reading), same, "{name}");
        assert!(reading.ledger.entries.is_empty(), "{name}");
    }
}

#[test]
fn a_bad_position_of_geojson_costs_only_itself() {
    use Finding::{BadHeight, BadTime, NoTime, NoZone, NullIsland, OutOfRange, Unreadable};
    let good = time(2);
    for (position, time, finding) in [
        ("[12, 91]", good.as_str(), OutOfRange),
        ("[0, 0.0]", &good, NullIsland),
        ("[12]", &good, Unreadable),
        ("12", &good, Unreadable),
        ("null", &good, Unreadable),
        ("[\"12\", \"47\"]", &good, Unreadable),
        ("[[12, 47]]", &good, Unreadable),
        ("[1e999, 47]", &good, Unreadable),
        ("[12, 47]", "null", NoTime),
        ("[12, 47]", "\"noon\"", BadTime),
        ("[12, 47]", "5", BadTime),
        ("[12, 47]", "{\"a\": 1}", BadTime),
        ("[12, 47]", "\"01/02/2026 15:04:02\"", BadTime),
        ("[12.002, 47.5]", "\"2026-05-01T15:04:02\"", NoZone),
        ("[12.002, 47.5, \"x\"]", &good, BadHeight),
        ("[12.002, 47.5, 65535]", &good, BadHeight),
    ] {
        let log = geojson_line(0..6)
            .replace("[12.002, 47.5, 457.2]", position)
            .replace(&good, time);
        let reading = reading(&log).unwrap();
        let raw = format!("position 3: {position} {time}");
        assert_eq!(entries(&reading), [(6, finding, raw.as_str())], "{log}");
        let kept = if finding.drops_the_fix() { 5 } else { 6 };
        assert_eq!(fixes(&reading).len(), kept, "{log}");
    }
    // Of a feature without a place nothing is expected; a point beside a line is no part of the track.
    let log = format!(
        "{{\"type\": \"FeatureCollection\", \"features\": [{{\"type\": \"Feature\", \"geometry\": null, \
         \"properties\": null}}, {}, {}]}}",
        point_feature(30),
        geojson_line(0..3)
    );
    assert_eq!(fixes(&reading(log).unwrap()).len(), 3);
}

#[test]
fn geojson_that_is_no_log_is_refused() {
    let hint = "with as many times in its property coordTimes as positions";
    refused(
        "[1, 2]",
        "log, line 1: an object should stand here, not [1, 2]",
        "RFC 7946",
    );
    refused(
        "{}",
        "log, line 1: the JSON is no GeoJSON: its object has no type",
        "Feature",
    );
    refused(
        "\n{\"type\": \"Track\"}",
        "log, line 2: the JSON is an object of the type \"Track\"",
        "Feature",
    );
    refused(
        "{\"type\": \"LineString\", \"coordinates\": [[1, 2], [3, 4]]}",
        "log, line 1: the file holds a bare geometry, which has no times",
        hint,
    );
    refused(
        "{\"type\": \"FeatureCollection\"}",
        "log, line 1: the FeatureCollection has no array of features",
        hint,
    );
    refused(
        "{\"type\": \"FeatureCollection\", \"features\": []}",
        "log: the file holds no line and no point",
        hint,
    );
    refused(
        "{\"type\": \"FeatureCollection\", \"features\": [\n{},\n7]}",
        "log, line 3: an object should stand here, not 7",
        "RFC 7946",
    );
    refused(
        geojson_line(0..3).replace("coordTimes", "speeds"),
        "log: the file holds lines without times, as drawn lines and plans are",
        hint,
    );
    refused(
        geojson_line(0..5)
            .replace(&(time(4)), "")
            .replace(", ]}", "]}"),
        "log, line 4: 5 of 5 points cannot be used, most of them for this reason: times and positions do \
         not pair up (4 times for 5 positions: [12, 47.5, 457.2])",
        "as many",
    );
    refused(
        format!(
            "{{\"type\": \"FeatureCollection\", \"features\": [\n{}]}}",
            list(0..3, point_feature).replace("\"time\"", "\"speed\"")
        ),
        "log: none of the 3 track points has a time",
        "planned route",
    );
    refused(
        format!(
            "{{\"type\": \"FeatureCollection\", \"features\": [{}]}}",
            point_feature(0)
        ),
        "log, line 1: the log holds one usable fix",
        "two fixes",
    );
}

#[test]
fn broken_json_is_refused_where_it_breaks() {
    let log = geojson_line(0..10);
    let again = "export the log again";
    let cut = log.find("[12.005").unwrap();
    refused(
        &log[..cut + 3],
        "log, line 9: the JSON is ill-formed: EOF while parsing a list",
        again,
    );
    refused(
        log.clone() + "x",
        "log, line 15: the JSON is ill-formed: trailing characters",
        again,
    );
    refused(
        log.replace("12.003", "012.003"),
        "log, line 7: the JSON is ill-formed: invalid number",
        again,
    );
    refused(
        [b"{\"type\":\n\"M\xFCller\"}".as_slice()].concat(),
        "log, line 2: the text is not UTF-8",
        "save it as UTF-8",
    );
    refused(
        log.replace(
            "\"type\": \"Feature\"",
            "\"type\": \"Feature\", \"type\": \"Feature\"",
        ),
        "log, line 1: the object is ill-formed: duplicate field `type`",
        again,
    );
    // Nested as deep as it likes: nothing follows it.
    for (open, close) in [("[", "]"), ("{\"a\":", "}")] {
        let deep = format!("{}1{}", open.repeat(100_000), close.repeat(100_000));
        let log = log.replace("\"name\": \"Mist\"", &format!("\"name\": {deep}"));
        assert_eq!(fixes(&reading(&log).unwrap()).len(), 10);
        let coordinates = log.replace("[12.003, 47.5, 457.2]", &deep);
        assert_eq!(fixes(&reading(&coordinates).unwrap()).len(), 9);
        let unclosed = open.repeat(1_000_000);
        assert!(reading(format!("{{\"type\": {unclosed}")).is_err());
    }
    let error = read(&file(&log[..cut]).path, settings(true)).unwrap_err();
    assert!(
        error.hint.contains("nothing can be salvaged"),
        "{}",
        error.hint
    );
}
