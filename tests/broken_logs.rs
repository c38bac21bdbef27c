//! Whatever a file holds, reading it ends with a track, a ledger entry or an error that names the
//! file, the place, the problem and what would do; never with a panic.
//!
//! Facts about GPX are those of the GPX 1.1 schema documentation,
//! <http://www.topografix.com/GPX/1/1>; inputs were made by hand.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test fails by panicking"
)]

use chrono::{DateTime, TimeDelta, Utc};
use overflown::input::{InputError, sha256_hex};
use overflown::track::clean::{CleanSettings, clean};
use overflown::track::read::{ReadSettings, read};
use overflown::track::{Finding, Reading, Track};
use proptest::prelude::*;
use std::io::Write;
use std::path::PathBuf;
use tempfile::TempDir;

const STRICTLY: ReadSettings = ReadSettings {
    salvage: false,
    local: None,
    spread_times: false,
};
const SALVAGING: ReadSettings = ReadSettings {
    salvage: true,
    local: None,
    spread_times: false,
};

/// A file in a folder of its own, which goes when this goes.
struct Log {
    _folder: TempDir,
    path: PathBuf,
}

fn file(content: impl AsRef<[u8]>) -> Log {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("log.gpx");
    std::fs::write(&path, content).unwrap();
    Log {
        _folder: folder,
        path,
    }
}

fn reading(content: impl AsRef<[u8]>) -> Result<Reading, InputError> {
    read(&file(content).path, STRICTLY)
}

fn track(content: impl AsRef<[u8]>) -> Result<Track, InputError> {
    clean(reading(content)?, &CleanSettings::default())
}

/// A GPX file with one segment; the points begin on line 3.
fn gpx(points: &str) -> String {
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<gpx version=\"1.1\" \
         xmlns=\"http://www.topografix.com/GPX/1/1\"><trk><trkseg>\n{points}\n</trkseg></trk></gpx>\n"
    )
}

fn point(position: &str, second: u32) -> String {
    let (m, s) = (second / 60, second % 60);
    format!("<trkpt {position}><ele>300</ele><time>2026-05-01T15:{m:02}:{s:02}Z</time></trkpt>\n")
}

/// Points flown eastwards at 50 m/s, one a line.
fn points(seconds: std::ops::Range<u32>) -> String {
    let place = |s| format!("lat=\"47.5\" lon=\"{}\"", 12.0 + f64::from(s) * 6.6e-4);
    seconds.map(|s| point(&place(s), s)).collect()
}

fn entries(reading: &Reading) -> Vec<(u32, Finding, &str)> {
    reading
        .ledger
        .entries
        .iter()
        .map(|e| (e.line, e.finding, e.raw.as_str()))
        .collect()
}

/// The log must be refused with this problem, as printed but for the folder, and such a hint.
fn refused(content: impl AsRef<[u8]>, problem: &str, hint: &str) {
    let content = content.as_ref();
    let shown = String::from_utf8_lossy(&content[..content.len().min(300)]);
    let error = track(content).expect_err(&shown);
    let folder = error
        .file
        .parent()
        .map(|folder| folder.join(""))
        .unwrap_or_default();
    let text = error.to_string();
    let text = text
        .strip_prefix(&*folder.to_string_lossy())
        .unwrap_or(&text);
    assert_eq!(text, problem, "for {shown}");
    assert!(error.hint.contains(hint), "for {shown}: {}", error.hint);
}

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
    assert!(fixes.iter().all(|fix| fix.height.is_none()));
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
    assert!((fix.height.unwrap().ft() - 1500.0).abs() < 1e-9);
    assert_eq!(fix.time.timestamp_subsec_millis(), 250);
    assert_eq!(reading.segments[1][0].line, 12);
}

#[test]
fn hash_and_size_are_those_of_the_whole_file() {
    let whole = gpx(&points(0..2000)) + "<!-- something after the end -->\n";
    let log = reading(&whole).unwrap();
    assert_eq!(log.sources[0].sha256, sha256_hex(whole.as_bytes()));
    assert_eq!(log.sources[0].bytes, whole.len() as u64);
    assert_eq!(
        (log.sources[0].role.as_str(), log.sources[0].name.as_str()),
        ("track", "log.gpx")
    );
}

fn gzip(content: impl AsRef<[u8]>) -> Vec<u8> {
    let mut packer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
    packer.write_all(content.as_ref()).unwrap();
    packer.finish().unwrap()
}

#[test]
fn a_compressed_log_gives_the_same_fixes_and_its_own_hash() {
    let whole = gpx(&points(0..2000));
    let packed = gzip(&whole);
    let (plain, unpacked) = (reading(&whole).unwrap(), reading(&packed).unwrap());
    assert_eq!(plain.segments, unpacked.segments);
    assert_eq!(unpacked.sources[0].sha256, sha256_hex(&packed));
    assert_eq!(unpacked.sources[0].bytes, packed.len() as u64);
    // RFC 1952, 2.2: a file may be several members one after the other.
    let (first, second) = whole.split_at(whole.len() / 2);
    let members = [gzip(first), gzip(second)].concat();
    assert_eq!(reading(members).unwrap().segments, plain.segments);
}

#[test]
fn a_compressed_log_that_is_damaged_or_a_bomb_is_refused() {
    let packed = gzip(gpx(&points(0..2000)));
    let cut = &packed[..packed.len() / 2];
    let error = reading(cut).unwrap_err();
    assert!(error.line.is_some_and(|line| line > 3), "{error}");
    assert!(error.problem.contains("compressed file breaks off"));
    assert!(error.hint.contains("--salvage"), "{}", error.hint);
    let kept = read(&file(cut).path, SALVAGING).unwrap();
    assert!((100..2000).contains(&kept.segments[0].len()));
    // The check sum is in the last eight bytes (RFC 1952, 2.3.1).
    let mut wrong = packed.clone();
    let at = wrong.len() - 8;
    wrong[at] ^= 1;
    assert!(reading(wrong).unwrap_err().problem.contains("checksum"));
    refused(
        gzip(&packed),
        "log.gpx: the file is compressed twice",
        "GPX",
    );
    // Thirty million spaces in thirty thousand bytes.
    let bomb = gzip(gpx(&" ".repeat(30_000_000)));
    assert!(bomb.len() < 40_000);
    refused(
        bomb,
        "log.gpx: the compressed file unpacks to more than 200 times its size, as files do that are \
         made to exhaust the reader",
        "unpack it yourself",
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

#[test]
fn other_encodings_give_the_same_fixes() {
    let utf8 = gpx(&points(0..300)).replace("<trk>", "<trk><name>Übung</name>");
    let expected = reading(&utf8).unwrap();
    let utf16 = utf8.replace("encoding=\"UTF-8\"", "encoding=\"UTF-16\"");
    let le: Vec<u8> = utf16.encode_utf16().flat_map(u16::to_le_bytes).collect();
    let be: Vec<u8> = utf16.encode_utf16().flat_map(u16::to_be_bytes).collect();
    let latin: Vec<u8> = utf8
        .replace("encoding=\"UTF-8\"", "encoding=\"ISO-8859-1\"")
        .chars()
        .map(|c| u8::try_from(u32::from(c)).unwrap())
        .collect();
    for (name, content) in [
        (
            "UTF-8 with mark",
            [b"\xEF\xBB\xBF".as_slice(), utf8.as_bytes()].concat(),
        ),
        (
            "UTF-16 little-endian",
            [b"\xFF\xFE".as_slice(), &le].concat(),
        ),
        ("UTF-16 big-endian", [b"\xFE\xFF".as_slice(), &be].concat()),
        ("UTF-16 without mark", le),
        ("declared UTF-16, but UTF-8", utf16.into_bytes()),
        ("Latin 1", latin),
        ("CR LF", utf8.replace('\n', "\r\n").into_bytes()),
    ] {
        let found = reading(&content).unwrap_or_else(|error| panic!("{name}: {error}"));
        assert_eq!(found.segments, expected.segments, "{name}");
        assert_eq!(found.name.as_deref(), Some("Übung"), "{name}");
        assert_eq!(found.sources[0].sha256, sha256_hex(&content), "{name}");
    }
}

/// Much of everything: an algorithm that is not linear would not come to an end here.
#[test]
fn masses_of_junk_are_survived() {
    let attributes: String = (0..200_000).map(|i| format!("a{i}='1' ")).collect();
    let junk = point(&format!("lat='47' lon='12' {attributes}"), 5);
    let log = reading(gpx(&(points(0..5) + &junk + &points(6..9)))).unwrap();
    assert_eq!(log.segments[0].len(), 9);

    let (open, close) = ("<a>".repeat(100_000), "</a>".repeat(100_000));
    let deep = format!("<extensions>{open}{close}</extensions><ele>");
    let log = reading(gpx(&points(0..5)).replace("<ele>", &deep)).unwrap();
    assert_eq!(log.segments[0].len(), 5);

    let digits = "0".repeat(1_000_000);
    let long = format!("<trkpt lat='47' lon='12'><time>{digits}</time></trkpt>");
    let log = reading(gpx(&(points(0..5) + &long))).unwrap();
    let [(8, Finding::BadTime, raw)] = entries(&log)[..] else {
        panic!()
    };
    let time = raw.strip_prefix("lat=\"47\" lon=\"12\" time=\"").unwrap();
    assert_eq!(time.chars().count(), 81 + 1);
}

/// One change to a file: a place, a kind of change, bytes for it.
type Edit = (prop::sample::Index, u8, [u8; 3]);

/// Cuts out, repeats, overwrites or inserts.
fn edit(content: &mut Vec<u8>, (place, kind, bytes): Edit) {
    if content.is_empty() {
        return;
    }
    let at = place.index(content.len());
    let end = (at + usize::from(bytes[0])).min(content.len());
    match kind % 4 {
        0 => drop(content.drain(at..end)),
        1 => {
            let piece = content[at..end].to_vec();
            drop(content.splice(at..at, piece));
        }
        2 => content[at] = bytes[1],
        _ => drop(content.splice(at..at, bytes)),
    }
}

proptest! {
    #[test]
    fn arbitrary_bytes_never_panic(
        bytes in prop::collection::vec(any::<u8>(), 0..600),
        inside: bool,
    ) {
        let start: &[u8] = if inside { b"<gpx><trk><trkseg>" } else { b"" };
        let log = file([start, &bytes].concat());
        for settings in [STRICTLY, SALVAGING] {
            if let Ok(reading) = read(&log.path, settings) {
                let _ = clean(reading, &CleanSettings::default());
            }
        }
    }

    /// Whatever is made of a damaged log is sound.
    #[test]
    fn mutated_logs_never_panic_and_what_is_kept_is_sound(
        edits in prop::collection::vec(any::<Edit>(), 1..6),
    ) {
        let mut content = gpx(&points(0..20)).into_bytes();
        for change in edits {
            edit(&mut content, change);
        }
        let lines = 1..=content.iter().filter(|&&byte| byte == b'\n').count() as u32 + 1;
        for settings in [STRICTLY, SALVAGING] {
            let Ok(reading) = read(&file(&content).path, settings) else { continue };
            prop_assert!(reading.ledger.entries.iter().all(|entry| lines.contains(&entry.line)));
            let Ok(track) = clean(reading, &CleanSettings::default()) else { continue };
            prop_assert!(track.fixes.is_sorted_by(|a, b| a.time < b.time));
            prop_assert!(track.fixes.iter().all(|fix| lines.contains(&fix.line)));
            prop_assert!(track.stretches.iter().all(|stretch| !stretch.is_empty()));
            prop_assert!(track.stretches.windows(2).all(|pair| pair[0].end == pair[1].start));
            prop_assert_eq!(track.stretches[0].start, 0);
            prop_assert_eq!(track.stretches.last().map(|s| s.end), Some(track.fixes.len()));
        }
    }

    /// Written with Rust's shortest exact decimals and read back: positions and heights to the last
    /// bit, times to the millisecond, each with its line.
    #[test]
    fn a_written_log_reads_back_exactly(
        points in prop::collection::vec((-90.0..=90.0, -180.0..180.0, -500.0..9000.0), 1..40),
        start_ms in 0_i64..4_000_000_000_000,
        step_ms in 1_i64..100_000,
    ) {
        let time = |i: usize| {
            let start = DateTime::from_timestamp_millis(start_ms).unwrap();
            start + TimeDelta::milliseconds(step_ms * i as i64)
        };
        let text: String = (0..)
            .zip(&points)
            .map(|(i, (lat, lon, ele)): (usize, &(f64, f64, f64))| {
                let time = time(i).format("%Y-%m-%dT%H:%M:%S%.3fZ");
                format!("<trkpt lat=\"{lat}\" lon=\"{lon}\">\n<ele>{ele}</ele><time>{time}</time></trkpt>\n")
            })
            .collect();
        let reading = reading(gpx(&text)).unwrap();
        prop_assert!(reading.ledger.entries.is_empty());
        prop_assert_eq!(reading.segments[0].len(), points.len());
        for (i, (fix, (lat, lon, ele))) in reading.segments[0].iter().zip(&points).enumerate() {
            prop_assert_eq!(fix.position.lat().to_bits(), lat.to_bits());
            prop_assert_eq!(fix.position.lon().to_bits(), lon.to_bits());
            prop_assert_eq!(fix.height.map(|height| height.m()), Some(*ele));
            prop_assert_eq!(fix.time, time(i));
            prop_assert_eq!(fix.line as usize, 3 + 2 * i);
        }
    }
}
