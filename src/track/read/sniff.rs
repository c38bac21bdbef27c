//! What a file looks like that is no XML, so that the refusal can say so.

use super::source::is_utf16;

/// `None` if the file may be XML, else what it looks like: "the file is …".
pub(super) fn not_xml(head: &[u8]) -> Option<&'static str> {
    if head.is_empty() {
        return Some("the file is empty");
    }
    if is_utf16(head) {
        return None;
    }
    let text = head
        .strip_prefix(b"\xEF\xBB\xBF")
        .unwrap_or(head)
        .trim_ascii_start();
    match text {
        [] => Some("the file holds nothing but white space"),
        [b'<', ..] => None,
        [b'P', b'K', 3, 4, ..] => Some("the file is a zip archive"),
        [0x1F, 0x8B, ..] => Some("the file is compressed with gzip"),
        _ if text.contains(&0) => Some("the file is binary, not text"),
        [b'{' | b'[', ..] => Some("the file looks like JSON, not like XML"),
        [b'$', b'A'..=b'Z', ..] => Some("the file looks like NMEA 0183 sentences, not like XML"),
        _ if looks_like_igc(text) => Some("the file looks like an IGC flight log, not like XML"),
        _ if looks_like_table(text) => {
            Some("the file looks like a table of separated values, not like XML")
        }
        _ => Some("the file is not XML: it does not begin with \"<\""),
    }
}

/// An A record first (A and the recorder's code), an H record within the first lines.
fn looks_like_igc(text: &[u8]) -> bool {
    let mut lines = text.split(|&byte| byte == b'\n');
    lines
        .next()
        .is_some_and(|first| matches!(first, [b'A', b'A'..=b'Z' | b'0'..=b'9', ..]))
        && lines
            .take(5)
            .any(|line| line.starts_with(b"HF") || line.starts_with(b"HO"))
}

/// The first two lines hold the same number of separators, and at least one.
fn looks_like_table(text: &[u8]) -> bool {
    let mut lines = text.split(|&byte| byte == b'\n');
    let (Some(first), Some(second)) = (lines.next(), lines.next()) else {
        return false;
    };
    [b',', b';', b'\t'].iter().any(|separator| {
        let count = |line: &[u8]| line.iter().filter(|byte| *byte == separator).count();
        count(first) > 0 && count(first) == count(second)
    })
}

#[cfg(test)]
mod tests {
    use super::not_xml;

    #[test]
    fn tells_what_a_file_looks_like() {
        let igc = b"AXXX001\r\nHFDTE010526\r\nB1504050000000N00000000EA0010000100\r\n";
        for (content, expected) in [
            (&b""[..], Some("empty")),
            (b" \n\t", Some("white space")),
            (b"<gpx>", None),
            (b"\xEF\xBB\xBF<?xml version='1.0'?>", None),
            (b"\xFF\xFE<\0g\0", None),
            (b"PK\x03\x04....", Some("zip")),
            (b"\x1F\x8B\x08", Some("gzip")),
            (b"abc\0\x01\x02", Some("binary")),
            (b"{\"type\": 1}", Some("JSON")),
            (b"$GPRMC,123519,A,", Some("NMEA")),
            (igc, Some("IGC")),
            (b"time,lat,lon\n1,2,3\n", Some("table")),
            (b"Dear all,\nplease find", Some("does not begin")),
        ] {
            let found = not_xml(content);
            match expected {
                None => assert_eq!(found, None, "{content:?}"),
                Some(words) => {
                    assert!(
                        found.is_some_and(|text| text.contains(words)),
                        "{content:?}: {found:?}"
                    );
                }
            }
        }
    }
}
