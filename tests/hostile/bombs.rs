//! What unpacks to far more than it is.

use crate::limits::{MIB, log, refused, refused_within};
use crate::turn;
use flate2::Compression;
use flate2::write::GzEncoder;
use std::io::{Cursor, Write};
use zip::write::{SimpleFileOptions, ZipWriter};

fn gzip(bytes: usize, level: Compression) -> Vec<u8> {
    let mut packer = GzEncoder::new(Vec::new(), level);
    packer.write_all(b"<gpx>").unwrap();
    let block = vec![b' '; MIB];
    for _ in 0..bytes / MIB {
        packer.write_all(&block).unwrap();
    }
    packer.finish().unwrap()
}

#[test]
fn gzip_bombs_are_refused() {
    let _turn = turn();
    // One byte in 64 MiB, a thousandth of that packed; and the same packed again.
    let bomb = gzip(64 * MIB, Compression::best());
    refused_within(
        &log(|file| file.write_all(&bomb).unwrap()),
        2,
        "unpacks to more than 200 times",
    );
    let mut twice = GzEncoder::new(Vec::new(), Compression::best());
    twice.write_all(&bomb).unwrap();
    let twice = twice.finish().unwrap();
    refused_within(
        &log(|file| file.write_all(&twice).unwrap()),
        2,
        "compressed twice",
    );
    // Thousands of members that hold nothing, then the bomb.
    let empty = GzEncoder::new(Vec::new(), Compression::best())
        .finish()
        .unwrap();
    let members = [empty.repeat(2000), bomb].concat();
    refused_within(
        &log(|file| file.write_all(&members).unwrap()),
        2,
        "unpacks to more than 200 times",
    );
    // A header with a name that never ends (RFC 1952, 2.3: flag 3).
    let mut endless = vec![0x1F, 0x8B, 8, 8, 0, 0, 0, 0, 0, 255];
    endless.extend(vec![b'a'; 8 * MIB]);
    refused_within(
        &log(|file| file.write_all(&endless).unwrap()),
        2,
        "breaks off or is damaged",
    );
}

fn archive(entries: &[(&str, &[u8])]) -> Vec<u8> {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, content) in entries {
        writer
            .start_file(*name, SimpleFileOptions::default())
            .unwrap();
        writer.write_all(content).unwrap();
    }
    writer.finish().unwrap().into_inner()
}

#[test]
fn zip_bombs_are_refused() {
    let _turn = turn();
    let spaces = vec![b' '; 64 * MIB];
    let bomb = archive(&[("doc.kml", &spaces)]);
    // It is unpacked up to 200 times its size, 13 MiB, into memory that doubles as it grows.
    let archived = |bytes: &[u8]| log(|file| file.write_all(bytes).unwrap());
    refused_within(&archived(&bomb), 32, "unpacks to more than 200 times");
    // The directory says one byte, and the header beside the content as well: what comes out counts.
    let size = u32::try_from(spaces.len()).unwrap().to_le_bytes();
    let mut lying = bomb.clone();
    while let Some(at) = lying.windows(4).position(|four| four == size) {
        lying[at..at + 4].copy_from_slice(&1_u32.to_le_bytes());
    }
    let (taken, error) = refused(&archived(&lying));
    assert!(taken <= 32 * MIB, "{taken} bytes for {error}");
    // An archive in an archive is no KML.
    refused_within(&archived(&archive(&[("doc.kml", &bomb)])), 4, "is no KML");
    // Many files, of which none matters.
    let mut names: Vec<String> = (0..10_001).map(|i| i.to_string()).collect();
    names.push("doc.kml".to_owned());
    let entries: Vec<(&str, &[u8])> = names.iter().map(|name| (name.as_str(), &b""[..])).collect();
    refused_within(&archived(&archive(&entries)), 4, "more than 10000 files");
    // The same without its end record's count being true.
    let mut lying = archive(&entries);
    let end = lying.len() - 22;
    lying[end + 8..end + 12].copy_from_slice(&[1, 0, 1, 0]);
    refused_within(&archived(&lying), 4, "more than 10000 files");
    // Names that lead out of the folder are only shown.
    let name = "../../etc/evil\u{1b}[2J\u{202e}.kml";
    let (_, error) = refused(&archived(&archive(&[(name, b"<kml/>")])));
    let said = error.to_string();
    assert!(!said.contains(['\u{1b}', '\u{202e}']), "{said:?}");
}
