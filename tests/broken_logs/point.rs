//! Points and their values, good and bad.

use crate::{entries, gpx, point, points, reading};
use chrono::{DateTime, Utc};
use overflown::track::Finding;

/// The bad point alone is lost, with its line and all its values in the ledger.
#[test]
fn a_bad_point_costs_only_itself() {
    use Finding::{NullIsland, OutOfRange, Unreadable};
    let long = format!("lat=\"{}\" lon=\"1\"", "9".repeat(300));
    for (position, finding) in [
        ("lat=\"91\" lon=\"12\"", OutOfRange),
        ("lat=\"-90.0000001\" lon=\"12\"", OutOfRange),
        ("lat=\"47\" lon=\"180.5\"", OutOfRange),
        ("lat=\"0\" lon=\"-0.0\"", NullIsland),
        ("lat=\"NaN\" lon=\"12\"", Unreadable),
        ("lat=\"inf\" lon=\"12\"", Unreadable),
        ("lat=\"47,5\" lon=\"12,1\"", Unreadable),
        ("lat=\"47.5\"", Unreadable),
        ("lat=\"\" lon=\"12\"", Unreadable),
        ("lat=\"47\" lat=\"48\" lon=\"12\"", Unreadable),
        ("lat=\"47\" lon=12", Unreadable),
        (long.as_str(), OutOfRange),
    ] {
        let log = gpx(&(points(0..5) + &point(position, 5) + &points(6..10)));
        let reading = reading(log).unwrap();
        assert_eq!(reading.segments[0].len(), 9, "{position}");
        let [(line, found, raw)] = entries(&reading)[..] else {
            panic!("{position}")
        };
        assert_eq!((line, found), (8, finding), "{position}");
        let of_position = raw.strip_suffix(" ele=\"300\" time=\"2026-05-01T15:00:05Z\"");
        let of_position = of_position.unwrap_or_else(|| panic!("{position}: {raw}"));
        assert_eq!(of_position.chars().count(), position.len().min(81), "{raw}");
        assert!(
            position.starts_with(of_position.trim_end_matches('…')),
            "{position}: {raw}"
        );
    }
}

#[test]
fn bad_times_and_heights_are_entered_with_all_of_their_point() {
    use Finding::{BadHeight, BadTime, NoTime, NoZone};
    let good = "<time>2026-05-01T15:00:00Z</time>";
    let log: String = [
        "",
        "<time>yesterday\u{7}\nnoon</time>",
        "<time>2026-05-01T15:00:00</time>",
        "<time>2026-13-01T15:00:00Z</time>",
        &format!("{good}{good}"),
        &format!("<ele>high</ele>{good}"),
        &format!("<ele/>{good}"),
        &format!("<ele>-9999</ele>{good}"),
        good,
    ]
    .iter()
    .map(|inside| format!("<trkpt lat=\"47\" lon=\"12\">{inside}</trkpt>\n"))
    .collect();
    let reading = reading(gpx(&log)).unwrap();
    let good = "time=\"2026-05-01T15:00:00Z\"";
    let expected = [
        (3, NoTime, String::new()),
        (4, BadTime, " time=\"yesterday  noon\"".to_owned()),
        (6, NoZone, " time=\"2026-05-01T15:00:00\"".to_owned()),
        (7, BadTime, " time=\"2026-13-01T15:00:00Z\"".to_owned()),
        (
            8,
            BadTime,
            " time=\"2026-05-01T15:00:00Z|2026-05-01T15:00:00Z\"".to_owned(),
        ),
        (9, BadHeight, format!(" ele=\"high\" {good}")),
        (10, BadHeight, format!(" ele=\"\" {good}")),
        (11, BadHeight, format!(" ele=\"-9999\" {good}")),
    ]
    .map(|(line, finding, rest)| (line, finding, format!("lat=\"47\" lon=\"12\"{rest}")));
    let found: Vec<_> = entries(&reading)
        .into_iter()
        .map(|(line, finding, raw)| (line, finding, raw.to_owned()))
        .collect();
    assert_eq!(found, expected);
    let fixes = &reading.segments[0];
    assert_eq!(
        fixes.iter().map(|fix| fix.line).collect::<Vec<_>>(),
        [6, 9, 10, 11, 12]
    );
    assert!(fixes.iter().all(|fix| fix.height.get().is_none()));
}

/// GPX 1.1: `time` is UTC, ISO 8601, fractional seconds allowed, of type xsd:dateTime, so offsets
/// are legal. A leap second is the first second of the next minute to clocks that know none.
#[test]
fn times_are_read_exactly() {
    for (text, expected) in [
        ("2026-05-01T15:04:05Z", "2026-05-01T15:04:05Z"),
        ("2026-05-01T15:04:05.250Z", "2026-05-01T15:04:05.250Z"),
        (
            "  2026-05-01T15:04:05.123456789Z\n",
            "2026-05-01T15:04:05.123456789Z",
        ),
        ("2026-05-01T17:04:05+02:00", "2026-05-01T15:04:05Z"),
        ("2026-04-30T23:34:05-15:30", "2026-05-01T15:04:05Z"),
        ("2016-12-31T23:59:60.5Z", "2017-01-01T00:00:00.5Z"),
        ("2026-05-01T15:04:05.25", "2026-05-01T15:04:05.250Z"),
        ("<![CDATA[2026-05-01T15:04:05Z]]>", "2026-05-01T15:04:05Z"),
        ("2026-05-01T15&#58;04:05Z", "2026-05-01T15:04:05Z"),
        ("2026-05-01T15:04:<!-- colon -->05Z", "2026-05-01T15:04:05Z"),
    ] {
        let log = gpx(&format!(
            "<trkpt lat=\"47\" lon=\"12\"><time>{text}</time></trkpt>"
        ));
        let reading = reading(log).unwrap();
        let expected: DateTime<Utc> = expected.parse().unwrap();
        assert_eq!(reading.segments[0][0].time, expected, "{text}");
    }
}

/// The edges of the ranges are places; 180 is kept as -180 (GPX 1.1: -180 <= lon < 180).
#[test]
fn the_edges_of_the_ranges_are_places() {
    for (lat, lon, expected) in [
        ("90", "180", (90.0, -180.0)),
        ("-90", "-180", (-90.0, -180.0)),
        ("0", "12", (0.0, 12.0)),
        ("1e-7", "+0.5", (1e-7, 0.5)),
        (" 47.5 ", "&#49;2", (47.5, 12.0)),
    ] {
        let reading = reading(gpx(&point(&format!("lat='{lat}' lon='{lon}'"), 0))).unwrap();
        let position = reading.segments[0][0].position;
        assert_eq!((position.lat(), position.lon()), expected);
    }
}

/// Only what belongs to the track and to the point itself is read.
#[test]
fn names_and_values_come_from_their_own_element() {
    let log = "<g:gpx xmlns:g='http://www.topografix.com/GPX/1/1' xmlns:x='urn:x'>
<g:metadata><g:name>file</g:name><g:time>2020-01-01T00:00:00Z</g:time></g:metadata>
<g:wpt lat='1' lon='1'><g:time>2020-01-01T00:00:00Z</g:time></g:wpt>
<g:rte><g:name>plan</g:name><g:rtept lat='1' lon='1'/></g:rte>
<g:trk><g:name> Mist &amp; <![CDATA[<rain>]]> </g:name><g:trkseg/><g:trkseg>
 <g:trkpt lat='39.166667' lon='-85.883333' x:lat='1'>
  <g:extensions><g:time>2020-01-01T00:00:00Z</g:time><g:trkpt lat='5' lon='5'/></g:extensions>
  <x:time>2020-01-01T00:00:00Z</x:time><x:ele>8</x:ele>
  <g:ele>457.2</g:ele><g:time>2026-05-01T15:04:05.250Z</g:time>
 </g:trkpt></g:trkseg></g:trk>
<g:trk><g:name>second</g:name><g:trkseg>
 <g:trkpt lat='48' lon='13'><g:time>2026-05-01T15:05:05Z</g:time></g:trkpt></g:trkseg></g:trk>
</g:gpx>";
    let reading = reading(log).unwrap();
    assert_eq!(reading.name.as_deref(), Some("Mist & <rain>, second"));
    assert!(reading.ledger.entries.is_empty());
    assert_eq!(reading.segments.len(), 2);
    let fix = reading.segments[0][0];
    assert_eq!(fix.line, 6);
    assert_eq!(fix.position.to_string(), "39°10.000'N 085°53.000'W");
    // 457.2 m = 1500 ft (1 ft = 0.3048 m).
    assert!((fix.height.get().unwrap().ft() - 1500.0).abs() < 1e-9);
    assert_eq!(fix.time.timestamp_subsec_millis(), 250);
    assert_eq!(reading.segments[1][0].line, 12);
}
