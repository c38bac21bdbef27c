//! Track points of GPX as most recorders write them, read straight from the bytes: a long log has little else, and the events of
//! an XML parser cost several times what such a point does.
//!
//! ```text
//! <trkpt lat="47.5" lon="12.25"> <ele>457.2</ele> <time>2026-05-01T15:04:05Z</time> <sat>7</sat> </trkpt>
//! ```
//!
//! Taken is only what gives a fix without any finding, and what an XML parser would read as the same. All else is
//! left where it is, untouched, for the parser: other spellings, references, comments, points that break off at the end of
//! what was read. Both give the same, which is tested on mutants (`gpx.rs`).

use super::values::{place, plausible_height};
use crate::geodesy::Position;
use crate::track::Fix;
use chrono::{DateTime, NaiveDate, Utc};

/// Elements within elements that are stepped over. Chosen: extensions are two or three deep.
const DEEPEST: u8 = 4;

/// Reads points; remembers the date of the last one, since the next one's is almost always the same.
#[derive(Debug, Default)]
pub(super) struct PlainPoints {
    date: [u8; 10],
    /// Its midnight, seconds since 1970-01-01.
    midnight: i64,
}

impl PlainPoints {
    /// The fix that `bytes` begin with, as if it stood on line 0, and how long it is; `None` where the parser is needed.
    pub(super) fn read(&mut self, bytes: &[u8]) -> Option<(Fix, usize)> {
        let mut at = Cursor { bytes, place: 0 };
        at.exactly(b"<trkpt")?;
        let position = at.position()?;
        let (mut height, mut time) = (None, None);
        loop {
            at.skip_white_space();
            at.exactly(b"<")?;
            if at.exactly(b"ele>").is_some() {
                let metres = at.element_number(b"</ele>")?;
                if height.replace(plausible_height(metres)?).is_some() {
                    return None;
                }
            } else if at.exactly(b"time>").is_some() {
                let read = self.time(&mut at)?;
                at.exactly(b"</time>")?;
                if time.replace(read).is_some() {
                    return None;
                }
            } else if at.exactly(b"/trkpt>").is_some() {
                break;
            } else {
                at.skip_element(0)?;
            }
        }
        let fix = Fix {
            time: time?,
            position,
            height: height.into(),
            line: 0,
            file: 0,
        };
        Some((fix, at.place))
    }

    /// `2026-05-01T15:04:05Z`, also with decimals.
    fn time(&mut self, at: &mut Cursor) -> Option<DateTime<Utc>> {
        let date: [u8; 10] = at.take()?;
        if date != self.date {
            let [y1, y2, y3, y4, b'-', m1, m2, b'-', d1, d2] = date else {
                return None;
            };
            let year = 100 * pair(y1, y2)? + pair(y3, y4)?;
            let day =
                NaiveDate::from_ymd_opt(i32::try_from(year).ok()?, pair(m1, m2)?, pair(d1, d2)?)?;
            self.midnight = day.and_hms_opt(0, 0, 0)?.and_utc().timestamp();
            self.date = date;
        }
        let [b'T', h1, h2, b':', m1, m2, b':', s1, s2] = at.take()? else {
            return None;
        };
        let (hour, minute, second) = (pair(h1, h2)?, pair(m1, m2)?, pair(s1, s2)?);
        // The second numbered 60 is the parser's.
        if hour > 23 || minute > 59 || second > 59 {
            return None;
        }
        let mut nanos = 0;
        if at.exactly(b".").is_some() {
            let (digits, count) = at.digits(0)?;
            let missing = 9_u32.checked_sub(count).filter(|_| count > 0)?;
            nanos = u32::try_from(digits).ok()? * 10_u32.pow(missing);
        }
        at.exactly(b"Z")?;
        let seconds = i64::from(hour * 3600 + minute * 60 + second);
        DateTime::from_timestamp(self.midnight + seconds, nanos)
    }
}

/// Two digits.
const fn pair(tens: u8, ones: u8) -> Option<u32> {
    if tens.is_ascii_digit() && ones.is_ascii_digit() {
        Some((tens - b'0') as u32 * 10 + (ones - b'0') as u32)
    } else {
        None
    }
}

const POWERS_OF_TEN: [u64; 9] = [
    1,
    10,
    100,
    1_000,
    10_000,
    100_000,
    1_000_000,
    10_000_000,
    100_000_000,
];

/// The number that the digits make with which eight bytes begin, and how many they are. All eight are worked on at once:
/// neighbours are put together to pairs, pairs to fours, fours to all.
#[inline]
fn leading_digits(bytes: [u8; 8]) -> (u64, u32) {
    const EACH: u64 = 0x0101_0101_0101_0101;
    let values = u64::from_le_bytes(bytes) ^ (0x30 * EACH);
    // The highest bit of each byte that is more than 9.
    let others = (values | ((values & (0x7F * EACH)) + 0x76 * EACH)) & (0x80 * EACH);
    let count = others.trailing_zeros() / 8;
    // Noughts go before the digits, in the place of what is behind them.
    let values = values.checked_shl(64 - 8 * count).unwrap_or(0);
    let pairs = (values * 10 + (values >> 8)) & 0x00FF_00FF_00FF_00FF;
    let fours = (pairs * 100 + (pairs >> 16)) & 0x0000_FFFF_0000_FFFF;
    ((fours * 10_000 + (fours >> 32)) & 0xFFFF_FFFF, count)
}

struct Cursor<'a> {
    bytes: &'a [u8],
    place: usize,
}

impl Cursor<'_> {
    fn ahead(&self) -> &[u8] {
        self.bytes.get(self.place..).unwrap_or_default()
    }

    #[inline]
    fn peek(&self) -> Option<u8> {
        self.bytes.get(self.place).copied()
    }

    /// Steps over `text` if it comes next.
    #[inline]
    fn exactly(&mut self, text: &[u8]) -> Option<()> {
        self.ahead().starts_with(text).then_some(())?;
        self.place += text.len();
        Some(())
    }

    #[inline]
    fn take<const N: usize>(&mut self) -> Option<[u8; N]> {
        let taken = *self.ahead().first_chunk()?;
        self.place += N;
        Some(taken)
    }

    #[inline]
    fn skip_white_space(&mut self) {
        while matches!(self.peek(), Some(b' ' | b'\n' | b'\r' | b'\t')) {
            self.place += 1;
        }
    }

    /// `lat` and `lon`, in either order, and nothing else, up to the `>`.
    fn position(&mut self) -> Option<Position> {
        let (mut lat, mut lon) = (None, None);
        for _ in 0..2 {
            let before = self.place;
            self.skip_white_space();
            if self.place == before {
                return None;
            }
            let target = match self.take()? {
                [b'l', b'a', b't', b'='] => &mut lat,
                [b'l', b'o', b'n', b'='] => &mut lon,
                _ => return None,
            };
            let quote = self.peek().filter(|byte| matches!(byte, b'"' | b'\''))?;
            self.place += 1;
            *target = Some(self.number()?);
            self.exactly(&[quote])?;
        }
        self.skip_white_space();
        self.exactly(b">")?;
        place(lat?, lon?).ok()
    }

    /// A number and the end of its element.
    fn element_number(&mut self, end: &[u8]) -> Option<f64> {
        let number = self.number()?;
        self.exactly(end)?;
        Some(number)
    }

    /// A decimal number whose digits are exactly a double, as the power of ten is that divides them, so that their quotient
    /// is the double nearest to the number (D. Goldberg, What Every Computer Scientist Should Know About Floating-Point Arithmetic, 1991: a
    /// division is rounded correctly).
    fn number(&mut self) -> Option<f64> {
        const EXACT: u64 = 1 << 53;
        const POWERS: [f64; 16] = [
            1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
        ];
        let negative = self.exactly(b"-").is_some();
        let (mut digits, before) = self.digits(0)?;
        let mut after = 0;
        if self.exactly(b".").is_some() {
            (digits, after) = self.digits(digits)?;
        }
        if before == 0 || digits > EXACT {
            return None;
        }
        let value = digits as f64 / POWERS.get(after as usize)?;
        Some(if negative { -value } else { value })
    }

    /// The digits ahead behind those of `digits`, and how many they are; no more of them than a `u64` holds.
    #[inline]
    fn digits(&mut self, mut digits: u64) -> Option<(u64, u32)> {
        let mut count = 0;
        while let Some(eight) = self.ahead().first_chunk() {
            let (number, length) = leading_digits(*eight);
            digits = digits
                .checked_mul(POWERS_OF_TEN[length as usize])?
                .checked_add(number)?;
            self.place += length as usize;
            count += length;
            if length < 8 {
                return Some((digits, count));
            }
        }
        while let Some(byte @ b'0'..=b'9') = self.peek() {
            digits = digits
                .checked_mul(10)?
                .checked_add(u64::from(byte - b'0'))?;
            self.place += 1;
            count += 1;
        }
        Some((digits, count))
    }

    /// An element of any other name without attributes, from behind its `<`, with all that it holds: plain text or such elements.
    fn skip_element(&mut self, depth: u8) -> Option<()> {
        if depth == DEEPEST {
            return None;
        }
        let name = self.name()?;
        loop {
            let text = self.ahead().iter().position(|byte| *byte == b'<')?;
            let plain =
                |byte: &u8| matches!(byte, b' '..=b'~' | b'\n' | b'\r' | b'\t') && *byte != b'&';
            if !self.ahead()[..text].iter().all(plain) {
                return None;
            }
            self.place += text + 1;
            if self.exactly(b"/").is_some() {
                self.exactly(&self.bytes[name])?;
                return self.exactly(b">");
            }
            self.skip_element(depth + 1)?;
        }
    }

    /// The name of an element that begins without attributes, and the `>` behind it.
    fn name(&mut self) -> Option<std::ops::Range<usize>> {
        let letter = |byte: &u8| byte.is_ascii_alphanumeric() || matches!(byte, b':' | b'_');
        let length = self.ahead().iter().position(|byte| !letter(byte))?;
        let name = self.place..self.place + length;
        self.place = name.end;
        // The elements of a point are no elements of another one.
        let known: [&[u8]; 3] = [b"ele", b"time", b"trkpt"];
        if length == 0 || known.contains(&&self.bytes[name.clone()]) {
            return None;
        }
        self.exactly(b">")?;
        Some(name)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Length;

    fn read(text: &str) -> Option<(f64, f64, Option<f64>, String, usize)> {
        let (fix, length) = PlainPoints::default().read(text.as_bytes())?;
        let (lat, lon) = (fix.position.lat(), fix.position.lon());
        let height = fix.height.get().map(Length::m);
        Some((lat, lon, height, fix.time.to_rfc3339(), length))
    }

    /// As the standard library reads them, whatever byte comes behind.
    #[test]
    fn digits_are_read_eight_at_once() {
        for digits in [
            "", "0", "7", "09", "123", "00045", "98765432", "99999999", "00000000", "1234567",
        ] {
            for behind in 0..=u8::MAX {
                if behind.is_ascii_digit() {
                    continue;
                }
                let mut bytes = [behind; 8];
                bytes[..digits.len()].copy_from_slice(digits.as_bytes());
                let number = digits.parse().unwrap_or(0);
                assert_eq!(
                    leading_digits(bytes),
                    (number, digits.len() as u32),
                    "{bytes:?}"
                );
            }
        }
    }

    #[test]
    fn a_plain_point_is_a_fix() {
        let text = "<trkpt lat='-47.1234567'\n lon=\"12.0006100\"><ele>457.2</ele><time>2026-05-01T01:02:03.25Z</time>\n\
                    <extensions><a:speed>46</a:speed></extensions></trkpt> <trkpt";
        let time = "2026-05-01T01:02:03.250+00:00".to_owned();
        let length = text.len() - " <trkpt".len();
        let expected = (-47.123_456_7, 12.000_61, Some(457.2), time, length);
        assert_eq!(read(text), Some(expected));
    }

    /// Whatever is not plain is left to the parser.
    #[test]
    fn all_else_is_left_alone() {
        let good = "<trkpt lat=\"47.5\" lon=\"12\"><ele>1</ele><time>2026-05-01T01:02:03Z</time><sat>7</sat></trkpt>";
        assert!(read(good).is_some());
        for cut in 0..good.len() {
            assert_eq!(read(&good[..cut]), None, "{cut}");
        }
        for (from, to) in [
            ("47.5", "91"),
            ("47.5", "4e1"),
            ("47.5", " 47.5"),
            ("47.5", "&#52;7"),
            ("47.5", "12345678901234567890"),
            ("47.5", "47.1234567890123456"),
            ("lon", "lat"),
            ("\" lon", "\"lon"),
            ("12\"", "12'"),
            ("12\"", "12\" x=\"1\""),
            ("<ele>1", "<ele>40000"),
            ("<ele>1", "<ele>"),
            ("<ele>1", "<ele>+1"),
            ("<ele>1", "<ele>1</ele><ele>2"),
            ("05-01", "02-30"),
            ("02:03", "02:60"),
            ("03Z", "03.Z"),
            ("03Z", "03"),
            ("03Z", "03.1234567891Z"),
            ("03Z", "03+01:00"),
            ("<time>2026-05-01T01:02:03Z</time>", ""),
            ("<sat>7", "<!-- --><sat>7"),
            ("<sat>7", "<sat a=\"1\">7"),
            ("<sat>7", "<sat>&amp;"),
            ("<sat>7", "<sat>\u{e9}"),
            ("</sat>", "</sit>"),
            ("<sat>7</sat>", "<a><a><a><a><a></a></a></a></a></a>"),
        ] {
            assert!(good.contains(from), "{from}");
            assert_eq!(read(&good.replacen(from, to, 1)), None, "{to}");
        }
    }
}
