//! Values as they stand in a tasking file. Every quantity is read back as the very number that it was written
//! from.

use crate::characters::{harmless, is_harmful};
use crate::geodesy::Position;
use crate::units::{Length, Speed};

/// A place as in a route: 1e-7 degrees are 11 mm.
#[must_use]
pub fn place(at: Position) -> String {
    let round = |deg: f64| (deg * 1e7).round() / 1e7;
    format!("[{}, {}]", round(at.lat()), round(at.lon()))
}

/// In miles or feet where that is short and the very same number, else in metres.
#[must_use]
pub fn length(length: Length) -> String {
    let nm = (length.nm() * 1e3).round() / 1e3;
    let ft = length.ft().round();
    if Length::from_nm(nm) == length {
        format!("\"{nm} NM\"")
    } else if Length::from_ft(ft) == length {
        format!("\"{ft} ft\"")
    } else {
        format!("\"{} m\"", length.m())
    }
}

/// In knots where that is short and the very same number, else in metres per second.
#[must_use]
pub fn speed(speed: Speed) -> String {
    let kt = (speed.kt() * 10.0).round() / 10.0;
    if Speed::from_kt(kt) == speed {
        format!("\"{kt} kt\"")
    } else {
        format!("\"{} m/s\"", speed.mps())
    }
}

/// A TOML text.
#[must_use]
pub fn quoted(text: &str) -> String {
    let mut quoted = String::from('"');
    for c in text.chars() {
        match c {
            '"' | '\\' => quoted.extend(['\\', c]),
            c if is_harmful(c) => quoted.push('\u{FFFD}'),
            c => quoted.push(c),
        }
    }
    quoted.push('"');
    quoted
}

/// Fit for a comment, which is one line.
#[must_use]
pub fn comment(text: &str) -> String {
    harmless(text)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tasking::quantity;

    /// What is written is read back to the last bit, whatever it is.
    #[test]
    fn quantities_come_back_as_they_were() {
        let mut odd = 0.1;
        for i in 0..2_000 {
            odd = (odd * 1.618_033_988_75 + 0.37) % 5_000.0 + 1e-3;
            for m in [odd, 1852.0 * f64::from(i) / 100.0, 0.3048 * f64::from(i)] {
                let (l, s) = (Length::from_m(m), Speed::from_mps(m));
                let bare = |text: String| text.trim_matches('"').to_owned();
                assert_eq!(quantity::length(&bare(length(l))).unwrap(), l);
                assert_eq!(quantity::speed(&bare(speed(s))).unwrap(), s);
            }
        }
        assert_eq!(length(Length::from_nm(0.5)), "\"0.5 NM\"");
        assert_eq!(length(Length::from_ft(2500.0)), "\"2500 ft\"");
        assert_eq!(length(Length::from_m(150.0)), "\"150 m\"");
        assert_eq!(speed(Speed::from_kt(90.0)), "\"90 kt\"");
    }

    #[test]
    fn texts_are_toml() {
        for text in [
            "plain",
            "a \"red\" tent \\ tarpaulin",
            "two\nlines\u{7f}\t",
            "Zelt, weiß",
        ] {
            let table = format!("x = {}", quoted(text));
            let table: toml::Table = toml::from_str(&table).unwrap();
            assert_eq!(table["x"].as_str(), Some(text));
        }
    }
}
