//! KML in a zip archive.

use crate::support::{fixes, reading, refused, said};
use crate::written::{archive, in_turn, kml};
use overflown::input::sha256_hex;

/// 12-007r2 and 07-147r2, KMZ: one KML file, by custom doc.kml, in no folder; others may be there.
#[test]
fn kmz_holds_the_same_track() {
    let log = kml(&in_turn(0..10));
    let expected = fixes(&reading(&log).unwrap());
    let (other, picture) = (kml(&in_turn(20..30)), [0_u8; 50]);
    for files in [
        vec![("doc.kml", log.as_bytes())],
        vec![
            ("files/other.kml", other.as_bytes()),
            ("Flight.KML", log.as_bytes()),
        ],
        vec![
            ("a.png", &picture[..]),
            ("doc.kml", log.as_bytes()),
            ("z.kml", other.as_bytes()),
        ],
        vec![
            ("in/doc.kml", log.as_bytes()),
            ("in/z.kml", other.as_bytes()),
        ],
        vec![("../../../etc/doc.kml", log.as_bytes())],
    ] {
        let packed = archive(&files);
        let reading = reading(&packed).unwrap();
        assert_eq!(fixes(&reading), expected, "{}", files[0].0);
        assert_eq!(reading.sources[0].sha256, sha256_hex(&packed));
        assert_eq!(reading.sources[0].bytes, packed.len() as u64);
        assert_eq!(reading.sources[0].name, "log");
    }
}

#[test]
fn broken_archives_are_refused() {
    let log = kml(&in_turn(0..100));
    let good = archive(&[("doc.kml", log.as_bytes())]);
    let hint = "pack the log again";
    refused(
        archive(&[("a.txt", b"a")]),
        "log: the zip archive holds no .kml file",
        hint,
    );
    refused(
        archive(&[("doc.kml", b"<gpx/>")]),
        "log (doc.kml): the file in the archive is no KML",
        hint,
    );
    let broken = log.replacen("15:04:01Z", "&t;", 1);
    refused(
        archive(&[("doc.kml", broken.as_bytes())]),
        "log (doc.kml), line 4: the entity &t; is not declared; 1 good point stands before",
        "export the log again",
    );
    // A zip bomb: 8 MiB of one letter.
    let bomb = [b"<kml>".as_slice(), &vec![b' '; 8 << 20]].concat();
    refused(
        archive(&[("doc.kml", &bomb)]),
        "log: the compressed file unpacks to more than 200 times its size, as files do that are made to \
         exhaust the reader",
        "if you trust it",
    );
    let many: Vec<String> = (0..10_001).map(|i| format!("{i}.txt")).collect();
    let many: Vec<(&str, &[u8])> = many.iter().map(|name| (name.as_str(), &b""[..])).collect();
    refused(
        archive(&many),
        "log: the zip archive holds more than 10000 files",
        hint,
    );
    for cut in [30, 100, good.len() / 2, good.len() - 1] {
        let error = reading(&good[..cut]).unwrap_err();
        assert!(
            said(&error).starts_with("log: the zip archive cannot be read ("),
            "{error}"
        );
    }
    // Any one bit: read as if nothing had been, or refused, since the content has a check sum.
    let expected = fixes(&reading(&log).unwrap());
    for at in (0..good.len()).step_by(3) {
        let mut damaged = good.clone();
        damaged[at] ^= 1 << (at % 8);
        match reading(&damaged) {
            Ok(reading) => assert_eq!(fixes(&reading), expected, "byte {at}"),
            Err(error) => assert!(said(&error).starts_with("log"), "{error}"),
        }
    }
}
