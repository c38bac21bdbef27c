//! Files that are refused whole, or read up to where they break.

use crate::{SALVAGING, STRICTLY, entries, file, gpx, points, refused};
use overflown::input::sha256_hex;
use overflown::track::Finding;
use overflown::track::read::read;

#[test]
fn what_is_no_gpx_is_refused() {
    let accepted = "GPX 1.0 or 1.1 is accepted";
    refused("", "log.gpx: the file is empty", accepted);
    refused(
        " \n ",
        "log.gpx: the file holds nothing but white space",
        accepted,
    );
    refused(
        "Dear all",
        "log.gpx: the file is in no format that is known here",
        accepted,
    );
    refused(
        [0, 159, 146, 150, 0],
        "log.gpx: the file is binary, not text",
        accepted,
    );
    refused(
        "<?xml version=\"1.0\"?>\n<other><Document/></other>",
        "log.gpx, line 2: the file is XML, but its root element is <other>",
        accepted,
    );
    refused(
        "<?xml version=\"1.0\"?>\n<!-- nothing -->\n",
        "log.gpx, line 3: the file holds no XML element",
        accepted,
    );
    refused(
        "<?xml version=\"1.0\" encoding=\"x-none-such\"?>\n<gpx/>",
        "log.gpx, line 1: the file declares the unknown encoding \"x-none-such\"",
        "save it as UTF-8",
    );
    refused(
        "<?xml version=\"1.0\"?>\n<!DOCTYPE gpx [\n<!ENTITY a \"aa\">\n<!ENTITY b \"&a;&a;\">\n]>\n\
         <gpx>&b;</gpx>",
        "log.gpx, line 2: the file has a document type declaration (<!DOCTYPE …>)",
        "delete the declaration",
    );
}

#[test]
fn what_is_no_file_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let error = read(folder.path(), STRICTLY).unwrap_err();
    assert_eq!(error.problem, "this is a folder, not a file");
    let missing = folder.path().join("missing.gpx");
    let error = read(&missing, STRICTLY).unwrap_err();
    assert_eq!(
        error.to_string(),
        format!("{}: there is no such file", missing.display())
    );
}

#[test]
fn gpx_without_a_recorded_track_is_refused() {
    refused(
        "<gpx/>",
        "log.gpx: the file holds no track point",
        "<trkpt>",
    );
    refused(
        "<gpx><rte><rtept lat=\"1\" lon=\"2\"/></rte></gpx>",
        "log.gpx: the file holds a route (a plan), not a recorded track",
        "<trkpt>",
    );
    refused(
        "<gpx><wpt lat=\"1\" lon=\"2\"/></gpx>",
        "log.gpx: the file holds waypoints, but no track point",
        "<trkpt>",
    );
    refused(
        gpx("<trkpt lat=\"47\" lon=\"12\"/><trkpt lat=\"47\" lon=\"12\"><time/></trkpt>"),
        "log.gpx: none of the 2 track points has a time",
        "planned route",
    );
    refused(
        gpx(&points(0..1)),
        "log.gpx, line 3: the log holds one usable fix",
        "two fixes",
    );
}

#[test]
fn broken_xml_is_refused_where_it_breaks() {
    let log = gpx(&points(0..10));
    let salvage = "--salvage";
    // In the middle of the sixth point's start tag.
    let cut = log.find("lon=\"12.0033").unwrap();
    refused(
        &log[..cut],
        "log.gpx, line 8: the XML breaks off: tag not closed: `>` not found before end of input; \
         5 good points stand before",
        salvage,
    );
    refused(
        log.replace("</trkseg>", ""),
        "log.gpx, line 14: the XML is ill-formed: expected `</trkseg>`, but `</trk>` was found; \
         10 good points stand before",
        salvage,
    );
    refused(
        log.replace("</trkseg></trk></gpx>\n", ""),
        "log.gpx, line 14: the file ends before its elements are closed; 10 good points stand before",
        salvage,
    );
    refused(
        log.clone() + "\0\0\0",
        "log.gpx, line 15: text stands after the root element; 10 good points stand before",
        salvage,
    );
    refused(
        log.clone() + "\n<gpx/>",
        "log.gpx, line 16: a second root element follows the first; 10 good points stand before",
        salvage,
    );
    refused(
        log.replacen("15:00:01Z", "&t;", 1),
        "log.gpx, line 4: the entity &t; is not declared; 1 good point stands before",
        salvage,
    );
    refused(
        b"<gpx><trk>\n<name>\nM\xFCller</name></trk></gpx>",
        "log.gpx, line 3: the text is not UTF-8 and no other encoding is declared; \
         no good point stands before",
        "export the log again",
    );
    refused(
        "<gpx>".to_owned() + &"<a>".repeat(200_000),
        "log.gpx, line 1: the file ends before its elements are closed; no good point stands before",
        "export the log again",
    );
}

#[test]
fn logs_that_are_mostly_unusable_are_refused() {
    let good = points(0..10);
    refused(
        gpx(&good.replace("lat=\"47.5\"", "lat=\"91\"")),
        "log.gpx, line 3: 10 of 10 points cannot be used, most of them for this reason: position \
         out of range (lat=\"91\" lon=\"12\" ele=\"300\" time=\"2026-05-01T15:00:00Z\")",
        "latitudes within 90",
    );
    refused(
        gpx(&good.replace("2026-05-01T", "1 May ")),
        "log.gpx, line 3: 10 of 10 points cannot be used, most of them for this reason: time not \
         readable (lat=\"47.5\" lon=\"12\" ele=\"300\" time=\"1 May 15:00:00Z\")",
        "2026-05-01T15:04:05Z",
    );
    let backwards: String = good
        .lines()
        .rev()
        .map(|line| line.to_owned() + "\n")
        .collect();
    refused(
        gpx(&backwards),
        "log.gpx, line 4: times run backwards through the log",
        "oldest point first",
    );
}

/// Everything before the place where the file breaks is kept, and the place is in the ledger.
#[test]
fn a_broken_log_can_be_salvaged() {
    let whole = gpx(&points(0..2000));
    let cut = whole.find("15:12:34Z").unwrap();
    let broken = &whole[..cut];
    let log = read(&file(broken).path, SALVAGING).unwrap();
    assert_eq!(log.sources[0].sha256, sha256_hex(broken.as_bytes()));
    // 12 min 34 s = 754 points before, on lines 3 to 756.
    assert_eq!(log.segments[0].len(), 754);
    let [(line, finding, _)] = entries(&log)[..] else {
        panic!()
    };
    assert_eq!((line, finding), (757, Finding::Truncated));
    // Entity declarations are refused even then.
    let hostile = whole.replacen("<gpx", "<!DOCTYPE gpx>\n<gpx", 1);
    assert!(read(&file(hostile).path, SALVAGING).is_err());
}
