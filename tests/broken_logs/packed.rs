//! Compressed logs and other encodings, and the hash of the file as it is.

use crate::{SALVAGING, file, gpx, points, reading, refused};
use overflown::input::sha256_hex;
use overflown::track::read::read;
use std::io::Write;

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
