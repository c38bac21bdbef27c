//! KML (OGC 12-007r2, 07-147r2).

use crate::support::{entries, file, fixes, reading, refused, settings};
use crate::written::{ABSOLUTE, coord, in_turn, kml, times_first, when};
use overflown::track::read::read;
use overflown::track::{Finding, HeightKind, Reading};

/// 12-007r2, Track: the n-th when and the n-th coord are one; coord is longitude, latitude, altitude with
/// spaces between; altitudes in mode absolute are metres above the EGM96 geoid.
#[test]
fn kml_tracks_are_read_exactly() {
    for points in [times_first(0..3), in_turn(0..3)] {
        let reading = reading(kml(&(ABSOLUTE.to_owned() + &points))).unwrap();
        assert_eq!(reading.name.as_deref(), Some("Mist"));
        assert_eq!(reading.height_kind, HeightKind::MeanSeaLevel);
        assert!(reading.ledger.entries.is_empty());
        let fixes = fixes(&reading);
        assert_eq!(fixes.len(), 3);
        let (_, time, lat, lon, height) = &fixes[2];
        assert_eq!(
            (time.as_str(), *lat, *lon, *height),
            ("2026-05-01T15:04:02Z", 47.5, 12.002, Some(457.2))
        );
    }
    let lines: Vec<u32> = fixes(&reading(kml(&times_first(0..3))).unwrap())
        .iter()
        .map(|fix| fix.0)
        .collect();
    assert_eq!(lines, [5, 6, 7]);
}

/// The extension of KML 2.2 and any prefix; several tracks, each a segment; folders; and nothing that is
/// inside ExtendedData.
#[test]
fn kml_of_both_versions_with_any_prefix() {
    let log = "<?xml version='1.0'?>
<k:kml xmlns:k='http://www.opengis.net/kml/2.2' xmlns:e='urn:extension'><k:Folder><k:Folder>
<k:Placemark><k:name>place</k:name><k:Point><k:coordinates>1,1</k:coordinates></k:Point></k:Placemark>
<k:Placemark><k:name> Mist &amp; rain </k:name><e:MultiTrack><k:altitudeMode>absolute</k:altitudeMode>
<e:Track><k:when>2026-05-01T15:04:05.25Z</k:when><e:coord>12 47 300</e:coord><e:angles>1 2 3</e:angles>
<k:ExtendedData><k:when>2020-01-01T00:00:00Z</k:when><e:coord>1 1 1</e:coord></k:ExtendedData></e:Track>
<e:Track><k:altitudeMode>relativeToGround</k:altitudeMode>
<k:when>2026-05-01T17:04:06+02:00</k:when><e:coord>12 47 10</e:coord></e:Track></e:MultiTrack>
</k:Placemark></k:Folder>
<k:Placemark><k:name>second</k:name><k:MultiGeometry><e:Track><e:altitudeMode>absolute</e:altitudeMode>
<k:when>2026-05-01T15:04:07</k:when><e:coord>12.5 -47.25</e:coord></e:Track></k:MultiGeometry></k:Placemark>
</k:Folder></k:kml>";
    let reading = reading(log).unwrap();
    assert_eq!(reading.name.as_deref(), Some("Mist & rain, second"));
    assert_eq!(reading.segments.len(), 3);
    let expected = [
        (5, "2026-05-01T15:04:05.250Z", 47.0, 12.0, Some(300.0)),
        (8, "2026-05-01T15:04:06Z", 47.0, 12.0, None),
        // Without a third number no altitude was recorded.
        (11, "2026-05-01T15:04:07Z", -47.25, 12.5, None),
    ]
    .map(|(line, time, lat, lon, height)| (line, time.to_owned(), lat, lon, height));
    assert_eq!(fixes(&reading), expected);
    assert_eq!(
        entries(&reading),
        [
            (7, Finding::BadHeight, "altitudeMode relativeToGround"),
            (
                11,
                Finding::NoZone,
                "when=\"2026-05-01T15:04:07\" coord=\"12.5 -47.25\""
            ),
        ]
    );
}

/// 12-007r2: without altitudeMode it is clampToGround, and altitudes mean nothing.
#[test]
fn kml_heights_count_in_mode_absolute_alone() {
    for (mode, raw) in [
        ("", Some("no altitudeMode, which means clampToGround")),
        (
            "<altitudeMode>clampToGround</altitudeMode>",
            Some("altitudeMode clampToGround"),
        ),
        (
            "<altitudeMode>relativeToSeaFloor</altitudeMode>",
            Some("altitudeMode relativeToSeaFloor"),
        ),
        ("<altitudeMode> absolute\n</altitudeMode>", None),
    ] {
        let reading = reading(kml(&(mode.to_owned() + &in_turn(0..5)))).unwrap();
        let heights = fixes(&reading).iter().filter(|fix| fix.4.is_some()).count();
        assert_eq!(heights, if raw.is_some() { 0 } else { 5 }, "{mode}");
        let expected: Vec<_> = raw
            .map(|raw| (1, Finding::BadHeight, raw))
            .into_iter()
            .collect();
        assert_eq!(entries(&reading), expected, "{mode}");
    }
}

#[test]
fn a_bad_pair_of_kml_costs_only_itself() {
    use Finding::{BadHeight, BadTime, NoTime, NullIsland, OutOfRange, Unreadable};
    for (bad_time, bad_coord, line, finding) in [
        ("2026-05-01T15:04:02Z", "12 91 1", 7, OutOfRange),
        ("2026-05-01T15:04:02Z", "12,47,1", 7, Unreadable),
        ("2026-05-01T15:04:02Z", "", 7, Unreadable),
        ("2026-05-01T15:04:02Z", "0 0 0", 7, NullIsland),
        ("2026-05-01T15:04:02Z", "12 47 1 1", 7, Unreadable),
        ("2026-05-01T15:04:02Z", "12 inf 1", 7, Unreadable),
        ("2026-05-01", "12 47 1", 6, BadTime),
        ("", "12 47 1", 6, NoTime),
        ("2026-05-01T15:04:02Z", "12.002 47.5 high", 7, BadHeight),
        ("2026-05-01T15:04:02Z", "12.002 47.5 -9999", 7, BadHeight),
    ] {
        let pair = format!("<when>{bad_time}</when>\n<coord>{bad_coord}</coord>\n");
        let points = in_turn(0..2) + &pair + &in_turn(3..6);
        let log = kml(&points).replace("<Track>", "<Track><altitudeMode>absolute</altitudeMode>");
        let reading = reading(log).unwrap();
        let raw = format!("when=\"{bad_time}\" coord=\"{bad_coord}\"");
        assert_eq!(
            entries(&reading),
            [(line, finding, raw.as_str())],
            "{bad_time} {bad_coord}"
        );
        let kept = if finding == BadHeight { 6 } else { 5 };
        assert_eq!(fixes(&reading).len(), kept, "{bad_time} {bad_coord}");
    }
}

/// Where times and positions stand in turn, a missing one costs its partner alone and shifts nothing.
/// Where all times stand first, nobody can tell which one is missing, and no pair is made up.
#[test]
fn kml_times_and_positions_that_do_not_pair_up() {
    let whole = in_turn(0..10);
    let log = reading(kml(&whole.replace(&coord(4), ""))).unwrap();
    assert_eq!(
        entries(&log)[1..],
        [(
            10,
            Finding::Unpaired,
            "a time without a position: 2026-05-01T15:04:04Z"
        )]
    );
    let seconds = |log: &Reading| -> Vec<(String, u32)> {
        let second = |lon: f64| ((lon - 12.0) * 1000.0).round() as u32;
        fixes(log)
            .iter()
            .map(|fix| (fix.1[17..19].to_owned(), second(fix.3)))
            .collect()
    };
    for (time, second) in seconds(&log) {
        assert_eq!(time, format!("{second:02}"));
    }
    assert_eq!(fixes(&log).len(), 9);

    let log = reading(kml(&whole.replace(&when(4), ""))).unwrap();
    assert_eq!(
        entries(&log)[1..],
        [(
            10,
            Finding::Unpaired,
            "a position without a time: 12.004 47.5 457.2"
        )]
    );
    assert!(
        seconds(&log)
            .iter()
            .all(|(time, second)| *time == format!("{second:02}"))
    );
    assert_eq!(fixes(&log).len(), 9);

    let first = times_first(0..10);
    refused(
        kml(&first.replace(&coord(4), "")),
        "log, line 12: 9 of 9 points cannot be used, most of them for this reason: times and positions do \
         not pair up (10 times for 9 positions: 12 47.5 457.2)",
        "as many",
    );
    // In twos it can as little be told.
    let twos: String = (0..5).map(|i| times_first(2 * i..2 * i + 2)).collect();
    let log = reading(kml(&twos.replace(&coord(4), ""))).unwrap();
    assert!(fixes(&log).is_empty());
}

#[test]
fn kml_without_recorded_times_is_refused() {
    let line = "<LineString><coordinates>12,47 12,48</coordinates></LineString>";
    let needed = "<Track> with as many <when> as <coord>";
    let placemark = |inside: &str| format!("<kml><Placemark>{inside}</Placemark></kml>");
    refused("<kml/>", "log: the file holds no track point", needed);
    refused(kml(""), "log: the file holds no track point", needed);
    refused(
        placemark("<Point/>"),
        "log: the file holds places, but no track point",
        needed,
    );
    refused(
        placemark(line),
        "log: the file holds drawn lines, not a recorded track",
        needed,
    );
    let span =
        "<TimeSpan><begin>2026-05-01T15:00:00Z</begin><end>2026-05-01T16:00:00Z</end></TimeSpan>";
    refused(
        placemark(&(span.to_owned() + line)),
        "log: the file holds lines with one span of time each, not a time for every position",
        "where on them is not recorded",
    );
    let coords: String = (0..5).map(coord).collect();
    refused(
        kml(&coords),
        "log: none of the 5 track points has a time",
        "planned route",
    );
}

#[test]
fn broken_kml_is_refused_where_it_breaks() {
    let log = kml(&in_turn(0..10));
    refused(
        &log[..log.find("<coord>12.005").unwrap() + 3],
        "log, line 13: the XML breaks off: tag not closed: `>` not found before end of input; 5 good points \
         stand before",
        "--salvage",
    );
    refused(
        log.replace("</Track>", ""),
        "log, line 22: the XML is ill-formed: expected `</Track>`, but `</Placemark>` was found; 10 good \
         points stand before",
        "--salvage",
    );
    refused(
        format!("<!DOCTYPE kml [<!ENTITY a \"aa\">]>\n{log}"),
        "log, line 1: the file has a document type declaration (<!DOCTYPE …>)",
        "delete the declaration",
    );
    refused(
        log.replacen("15:04:01Z", "&t;", 1),
        "log, line 4: the entity &t; is not declared; 1 good point stands before",
        "--salvage",
    );
    refused(
        "<kml>\n".to_owned() + &"<Folder>".repeat(200_000),
        "log, line 2: the elements are nested more than 100 deep",
        "out of its folders",
    );
    // Deep, but stepped over.
    let deep = format!("<x>{}{}</x>", "<a>".repeat(100_000), "</a>".repeat(100_000));
    assert_eq!(
        fixes(&reading(kml(&(deep + &in_turn(0..4)))).unwrap()).len(),
        4
    );

    let cut = &log[..log.find("<coord>12.005").unwrap()];
    let salvaged = read(&file(cut).path, settings(true)).unwrap();
    assert_eq!(fixes(&salvaged).len(), 5);
    assert_eq!(
        salvaged.ledger.entries.last().unwrap().finding,
        Finding::Truncated
    );
    let log = kml(&times_first(0..10));
    let cut = &log[..log.find("<coord>12.005").unwrap()];
    let salvaged = read(&file(cut).path, settings(true)).unwrap();
    assert_eq!(fixes(&salvaged)[4].1, "2026-05-01T15:04:04Z");
    assert_eq!(fixes(&salvaged).len(), 5);
}
