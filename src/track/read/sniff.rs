//! Which format a log is in, told by the beginning of its content.

use super::source::GZIP_MAGIC;

/// The formats that are told apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Format {
    /// GPX, and XML of which nothing better is known: its reader says what is wrong with it.
    Gpx,
    /// Records of a flight recorder after the IGC's specification.
    Igc,
    /// NMEA 0183 sentences.
    Nmea,
    /// KML.
    Kml,
    /// A zip archive, as KML comes in.
    Kmz,
    /// JSON.
    GeoJson,
    /// Values with separators between them.
    Table,
}

/// Lines of the head that are looked at for the text formats. Chosen: a log may begin with some
/// damaged lines.
const LINES_LOOKED_AT: usize = 40;

/// The format of the file that begins so, in UTF-8; or what the file is: "the file is …".
pub(super) fn format(head: &[u8]) -> Result<Format, &'static str> {
    if head.is_empty() {
        return Err("the file is empty");
    }
    let text = head.trim_ascii_start();
    match text {
        [] => return Err("the file holds nothing but white space"),
        [b'<', ..] => {
            return Ok(match root_name(text) {
                Some(b"kml") => Format::Kml,
                _ => Format::Gpx,
            });
        }
        [b'P', b'K', 3, 4, ..] => return Ok(Format::Kmz),
        _ if text.starts_with(&GZIP_MAGIC) => return Err("the file is compressed twice"),
        _ => {}
    }
    let mut lines = text
        .split(|&byte| byte == b'\n')
        .map(<[u8]>::trim_ascii)
        .take(LINES_LOOKED_AT);
    if lines.clone().any(is_igc_line) {
        return Ok(Format::Igc);
    }
    if lines.any(holds_nmea_sentence) {
        return Ok(Format::Nmea);
    }
    match text {
        _ if text.contains(&0) => Err("the file is binary, not text"),
        [b'{' | b'[', ..] => Ok(Format::GeoJson),
        _ if looks_like_table(text) => Ok(Format::Table),
        _ => Err("the file is in no format that is known here"),
    }
}

/// Local name of the first element. Declarations and comments before it are stepped over byte by
/// byte, since the text need not be UTF-8.
fn root_name(text: &[u8]) -> Option<&[u8]> {
    let mut rest = text;
    loop {
        rest = rest.trim_ascii_start().strip_prefix(b"<")?;
        let end: &[u8] = match rest {
            [b'?', ..] => b"?>",
            [b'!', b'-', b'-', ..] => b"-->",
            [b'!', ..] => b">",
            _ => break,
        };
        let at = rest.windows(end.len()).position(|bytes| bytes == end)?;
        rest = &rest[at + end.len()..];
    }
    let is_name = |byte: &u8| byte.is_ascii_alphanumeric() || b":_-.".contains(byte);
    let name = &rest[..rest.iter().take_while(|byte| is_name(byte)).count()];
    name.rsplit(|&byte| byte == b':').next()
}

/// A date record (`HFDTE…`), or the first 25 characters of a fix record.
fn is_igc_line(line: &[u8]) -> bool {
    const FIX: &[u8] = b"B#############N########E";
    let fits = |(byte, form): (&u8, &u8)| match form {
        b'#' => byte.is_ascii_digit(),
        b'N' => matches!(byte, b'N' | b'S'),
        b'E' => matches!(byte, b'E' | b'W'),
        _ => byte == form,
    };
    matches!(line, [b'H', b'F' | b'O' | b'P', b'D', b'T', b'E', ..])
        || (line.len() > FIX.len() && line.iter().zip(FIX).all(fits))
}

/// A `$`, the talker and one of the sentences that receivers write, wherever in the line it begins.
fn holds_nmea_sentence(line: &[u8]) -> bool {
    const SENTENCES: [&[u8; 3]; 9] = [
        b"RMC", b"GGA", b"GNS", b"VTG", b"ZDA", b"GLL", b"GSA", b"GSV", b"GST",
    ];
    line.windows(7).any(|window| {
        window[0] == b'$'
            && window[1..3].iter().all(u8::is_ascii_uppercase)
            && SENTENCES.iter().any(|name| window[3..6] == name[..])
            && window[6] == b','
    })
}

/// The first two lines that are no comments hold the same number of separators, and at least one; or the
/// first holds several, since quoted line breaks may cut the second.
fn looks_like_table(text: &[u8]) -> bool {
    let mut lines = text
        .split(|&byte| byte == b'\n')
        .filter(|line| !line.trim_ascii().is_empty() && !line.starts_with(b"#"));
    let (Some(first), Some(second)) = (lines.next(), lines.next()) else {
        return false;
    };
    [b',', b';', b'\t'].iter().any(|separator| {
        let count = |line: &[u8]| line.iter().filter(|byte| *byte == separator).count();
        let (first, second) = (count(first), count(second));
        first > 1 || (first == 1 && second == 1)
    })
}

/// As [`format`], of a file whose columns are given: it is a table, unless it is clearly something else.
pub(super) fn table(head: &[u8]) -> Result<Format, &'static str> {
    match format(head) {
        Ok(Format::Table) => Ok(Format::Table),
        Ok(_) => Err("columns are given, but the file is no table"),
        Err(_) if !head.trim_ascii().is_empty() && !head.contains(&0) => Ok(Format::Table),
        Err(what) => Err(what),
    }
}

#[cfg(test)]
mod tests {
    use super::{Format, format};

    #[test]
    fn formats_are_told_by_their_content() {
        for (content, expected) in [
            (&b"<gpx>"[..], Format::Gpx),
            (b"<?xml version='1.0'?><!-- <kml> --> <gpx>", Format::Gpx),
            (b"<other>", Format::Gpx),
            (
                b"<?xml version='1.0'?>\n<kml xmlns='http://www.opengis.net/kml/2.2'>",
                Format::Kml,
            ),
            (b"<!-- M\xFCller --><k:kml xmlns:k='x'>", Format::Kml),
            (b"PK\x03\x04....", Format::Kmz),
            (b"{\"type\": 1}", Format::GeoJson),
            (
                b"AXXX001\r\nHFDTE010526\r\nB1504050000000N00000000EA0010000100\r\n",
                Format::Igc,
            ),
            (
                b"AXXX001\r\nLXXX nothing\r\nHFDTEDATE:010526,01\r\n",
                Format::Igc,
            ),
            (
                b"04052N\r\nB1504050000000N00000000EA0010000100\r\n",
                Format::Igc,
            ),
            (b"$GPRMC,123519,A,", Format::Nmea),
            (b"\0\0,4807.0\r\n\\s:x*1A\\$GNGGA,123519,", Format::Nmea),
            (b"12:35:19 $GPRMC,123519,A,", Format::Nmea),
            (b"time,lat,lon\n1,2,3\n", Format::Table),
        ] {
            assert_eq!(format(content), Ok(expected), "{content:?}");
        }
    }

    #[test]
    fn what_is_no_log_is_described() {
        for (content, words) in [
            (&b""[..], "empty"),
            (b" \n\t", "white space"),
            (b"\x1F\x8B\x08", "compressed twice"),
            (b"abc\0\x01\x02", "binary"),
            (b"Dear all,\nplease find", "no format"),
            (b"Boats on $GPXXX\nB12", "no format"),
        ] {
            let found = format(content);
            assert!(
                found.is_err_and(|text| text.contains(words)),
                "{content:?}: {found:?}"
            );
        }
    }
}
