//! Places as people write them: degrees, minutes and seconds with hemisphere letters.

use super::quantity::{QuantityError, shown};
use crate::geodesy::Position;

/// What is accepted, for messages.
pub(crate) const PLACES: &str = "a place: [latitude, longitude] in decimal degrees, north and \
    east positive, such as [47.1250, 12.5000], or a text such as \"47 07.5 N 012 30 E\", \
    \"N47°07'30\\\" E12°30'00\\\"\" or \"47.1250, 12.5000\"";

/// A part of a text that means something.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Token<'t> {
    Number(&'t str),
    /// 0 for degrees, 1 for minutes, 2 for seconds.
    Mark(usize),
    /// N, S, E or W.
    Letter(char),
    Comma,
}

/// Latitude or longitude.
#[derive(Clone, Copy, PartialEq)]
enum Axis {
    Latitude,
    Longitude,
}

impl Axis {
    const fn name(self) -> &'static str {
        match self {
            Self::Latitude => "latitude",
            Self::Longitude => "longitude",
        }
    }

    const fn limit_deg(self) -> f64 {
        match self {
            Self::Latitude => 90.0,
            Self::Longitude => 180.0,
        }
    }

    const fn of(letter: char) -> Self {
        match letter {
            'N' | 'S' => Self::Latitude,
            _ => Self::Longitude,
        }
    }
}

/// A place from a text: latitude, then longitude, each in degrees, degrees and minutes, or degrees,
/// minutes and seconds, with its hemisphere letter before or after it (`48 30.25 N 067 00.38 E`,
/// `S33°52'06" E151°12'30"`); or two decimal numbers with a comma between (`48.5042, 67.0063`),
/// north and east positive. The marks °, ' and " may be left out; only the last of the numbers may
/// have decimals.
///
/// # Errors
/// When a letter is missing or wrong, minutes or seconds reach 60, a coordinate is outside its
/// range, or anything is left over.
pub fn place(text: &str) -> Result<Position, QuantityError> {
    read(text).map_err(|problem| QuantityError {
        problem: format!("{} is not a place: {problem}", shown(text)),
        accepted: PLACES,
    })
}

fn read(text: &str) -> Result<Position, String> {
    let tokens = tokens(text)?;
    let letters: Vec<(usize, char)> = tokens
        .iter()
        .enumerate()
        .filter_map(|(at, token)| match token {
            Token::Letter(letter) => Some((at, *letter)),
            _ => None,
        })
        .collect();
    let (lat_deg, lon_deg) = match letters[..] {
        [] => decimal_pair(&tokens)?,
        [(at, first), (_, second)] => {
            match (Axis::of(first), Axis::of(second)) {
                (Axis::Latitude, Axis::Longitude) => {}
                (Axis::Longitude, Axis::Latitude) => {
                    return Err("the latitude comes first".into());
                }
                (same, _) => {
                    return Err(format!(
                        "{first} and {second} both belong to a {}",
                        same.name()
                    ));
                }
            }
            let apart = "the letters stand neither both before nor both after their numbers";
            let (lat, lon) = match (&tokens[..at], &tokens[at + 1..]) {
                ([], [.., Token::Letter(_)]) => return Err(apart.into()),
                ([], _) => {
                    let second_at = letters[1].0;
                    let lat = match &tokens[1..second_at] {
                        [lat @ .., Token::Comma] => lat,
                        lat => lat,
                    };
                    (lat, &tokens[second_at + 1..])
                }
                (
                    lat,
                    [Token::Comma, lon @ .., Token::Letter(_)] | [lon @ .., Token::Letter(_)],
                ) => (lat, lon),
                _ => return Err(apart.into()),
            };
            (signed(lat, first)?, signed(lon, second)?)
        }
        [(_, only)] => {
            let missing = match Axis::of(only) {
                Axis::Latitude => "no E or W says on which side the longitude lies",
                Axis::Longitude => "no N or S says on which side the latitude lies",
            };
            return Err(missing.into());
        }
        _ => return Err(format!("it has {} hemisphere letters", letters.len())),
    };
    Position::new(lat_deg, lon_deg).ok_or_else(|| "it is not on the earth".into())
}

fn tokens(text: &str) -> Result<Vec<Token<'_>>, String> {
    let mut tokens = Vec::new();
    let mut rest = text.trim_start();
    while let Some(char) = rest.chars().next() {
        let mut length = char.len_utf8();
        tokens.push(match char {
            '0'..='9' | '.' | '+' | '-' => {
                length = rest
                    .char_indices()
                    .skip(1)
                    .find(|(_, c)| !(c.is_ascii_digit() || *c == '.'))
                    .map_or(rest.len(), |(at, _)| at);
                Token::Number(&rest[..length])
            }
            '°' | 'º' => Token::Mark(0),
            '\'' | '′' | '’' => Token::Mark(1),
            '"' | '″' | '”' => Token::Mark(2),
            ',' => Token::Comma,
            'N' | 'S' | 'E' | 'W' | 'n' | 's' | 'e' | 'w' => {
                Token::Letter(char.to_ascii_uppercase())
            }
            _ => return Err(format!("{} does not belong there", shown(rest))),
        });
        rest = rest[length..].trim_start();
    }
    Ok(tokens)
}

/// Two numbers without letters.
fn decimal_pair(tokens: &[Token<'_>]) -> Result<(f64, f64), String> {
    let (lat, lon) = match tokens {
        [Token::Number(lat), Token::Comma, Token::Number(lon)] => (lat, lon),
        _ => {
            return Err(
                "without the letters N or S and E or W it must be two decimal numbers with a comma \
                 between"
                    .into(),
            );
        }
    };
    let within = |text: &str, axis: Axis| in_range(number(text)?, axis);
    Ok((within(lat, Axis::Latitude)?, within(lon, Axis::Longitude)?))
}

fn in_range(value_deg: f64, axis: Axis) -> Result<f64, String> {
    if value_deg.abs() <= axis.limit_deg() {
        Ok(value_deg)
    } else {
        let (name, limit) = (axis.name(), axis.limit_deg());
        Err(format!(
            "a {name} of {value_deg} degrees is beyond {limit} degrees"
        ))
    }
}

fn number(text: &str) -> Result<f64, String> {
    text.parse()
        .map_err(|_| format!("{} is not a number", shown(text)))
}

/// Degrees, minutes and seconds, negative south and west.
fn signed(tokens: &[Token<'_>], letter: char) -> Result<f64, String> {
    const PARTS: [&str; 3] = ["degrees", "minutes", "seconds"];
    let axis = Axis::of(letter);
    let mut parts: Vec<&str> = Vec::new();
    // Number of parts when the last mark was met: a mark stands once, right behind its number.
    let mut marked = 0;
    for token in tokens {
        match token {
            Token::Number(_) if parts.len() == PARTS.len() => {
                return Err(format!("the {} has more than three numbers", axis.name()));
            }
            Token::Number(text) if text.starts_with(['+', '-']) => {
                return Err(format!("a sign stands beside the letter {letter}"));
            }
            Token::Number(text) => parts.push(text),
            Token::Mark(which) if which + 1 == parts.len() && marked < parts.len() => {
                marked = parts.len();
            }
            Token::Mark(which) => {
                return Err(format!(
                    "the mark for {} is not behind the {}",
                    PARTS[*which], PARTS[*which]
                ));
            }
            Token::Comma => {
                return Err(format!(
                    "a comma stands inside the {}; decimals take a point",
                    axis.name()
                ));
            }
            Token::Letter(other) => return Err(format!("{other} is one letter too many")),
        }
    }
    let mut degrees = 0.0;
    for (i, text) in parts.iter().enumerate() {
        let value = number(text)?;
        if i + 1 < parts.len() && text.contains('.') {
            return Err(format!(
                "{} {text} have decimals, but {} follow",
                PARTS[i],
                PARTS[i + 1]
            ));
        }
        if i > 0 && value >= 60.0 {
            return Err(format!("{text} {} are not below 60", PARTS[i]));
        }
        degrees += value / 60_f64.powi(i as i32);
    }
    if parts.is_empty() {
        return Err(format!("the letter {letter} has no number"));
    }
    let degrees = in_range(degrees, axis)?;
    Ok(if matches!(letter, 'S' | 'W') {
        -degrees
    } else {
        degrees
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::wrap_180;
    use proptest::prelude::*;

    /// Degrees worked out by hand.
    #[test]
    fn reads_what_crews_write() {
        for (text, lat, lon) in [
            (
                "48 30.25 N 067 00.38 E",
                48.0 + 30.25 / 60.0,
                67.0 + 0.38 / 60.0,
            ),
            (
                "48°30'15\" N, 67°0'23\" E",
                48.504_166_666_666_7,
                67.0 + 23.0 / 3600.0,
            ),
            (
                "48°30′15″N 67°0′23″E",
                48.504_166_666_666_7,
                67.0 + 23.0 / 3600.0,
            ),
            ("48.5042 N 67.0063 E", 48.5042, 67.0063),
            (
                "S33 52.1 E151 12.5",
                -(33.0 + 52.1 / 60.0),
                151.0 + 12.5 / 60.0,
            ),
            (
                "s33 52.1, w151 12.5",
                -(33.0 + 52.1 / 60.0),
                -(151.0 + 12.5 / 60.0),
            ),
            ("48.5042, 67.0063", 48.5042, 67.0063),
            ("-48.5042,-67.0063", -48.5042, -67.0063),
            (" 0 N 180 W ", 0.0, -180.0),
            ("90N 0E", 90.0, 0.0),
            ("48N67E", 48.0, 67.0),
            ("48 30 15.5 S 067 00 00 W", -(48.5 + 15.5 / 3600.0), -67.0),
        ] {
            let found = place(text).unwrap_or_else(|e| panic!("{e}"));
            assert!(
                (found.lat() - lat).abs() < 1e-12 && (found.lon() - lon).abs() < 1e-12,
                "{text}: {found:?}"
            );
        }
    }

    #[test]
    fn says_what_is_wrong() {
        for (text, problem) in [
            ("48 61 N 067 00 E", "61 minutes are not below 60"),
            ("48 30 60 N 067 00 E", "60 seconds are not below 60"),
            ("48 30 N 067 00 N", "N and N both belong to a latitude"),
            ("48 30 N 067 00 S", "N and S both belong to a latitude"),
            ("48 30 E 067 00 W", "E and W both belong to a longitude"),
            ("48 30 N 067 00", "no E or W"),
            ("48 30 067 00 E", "no N or S"),
            ("48 30 067 00", "without the letters"),
            ("48.5 67.0", "without the letters"),
            ("48°30'", "without the letters"),
            ("91 00 N 067 00 E", "a latitude of 91 degrees is beyond 90"),
            ("90 00.1 N 067 00 E", "is beyond 90 degrees"),
            ("48 00 N 180 00 01 E", "is beyond 180 degrees"),
            ("91.0, 10", "a latitude of 91 degrees is beyond 90"),
            ("4830 N 06700 E", "is beyond 90 degrees"),
            ("48 30 N 067 00 E about", "does not belong there"),
            ("48 30 N 067 00 E 5", "neither both before nor both after"),
            ("48 30 N E 067 00", "neither both before nor both after"),
            ("N48 30 067 00 E", "neither both before nor both after"),
            ("48 30 N 067 00 E W", "3 hemisphere letters"),
            ("067 00 E 48 30 N", "the latitude comes first"),
            ("-48 30 N 067 00 E", "a sign stands beside the letter N"),
            ("48.5 30 N 067 00 E", "degrees 48.5 have decimals"),
            ("48,5 N 67,0 E", "a comma stands inside the latitude"),
            ("48, N 67 E", "a comma stands inside the latitude"),
            ("48'30 N 067 00 E", "the mark for minutes is not behind"),
            ("48°° N 067 00 E", "the mark for degrees is not behind"),
            ("48 1 2 3 N 067 00 E", "more than three numbers"),
            ("N 48 E", "neither both before nor both after"),
            ("N E 48", "the letter N has no number"),
            ("4.8.5 N 67 E", "\"4.8.5\" is not a number"),
            ("48.5e0 N 67 E", "3 hemisphere letters"),
            ("", "without the letters"),
            ("nan, inf", "does not belong there"),
        ] {
            let error = place(text).unwrap_err();
            assert!(error.problem.contains(problem), "{text}: {error}");
        }
    }

    proptest! {
        /// What is printed is read as the same place, to the half thousandth of a minute printed.
        #[test]
        fn reads_what_is_printed(lat in -90.0..=90.0, lon in -180.0..180.0) {
            const HALF_STEP_DEG: f64 = 0.000_500_001 / 60.0;
            let printed = Position::new(lat, lon).unwrap();
            let read = place(&printed.to_string()).unwrap();
            prop_assert!((read.lat() - lat).abs() <= HALF_STEP_DEG);
            prop_assert!(wrap_180(read.lon() - lon).abs() <= HALF_STEP_DEG);
        }

        /// No text makes it stumble.
        #[test]
        fn any_text_is_read_or_refused(text in "[0-9 .,°'\"NSEWnsew+-]{0,24}|.{0,12}") {
            if let Ok(place) = place(&text) {
                prop_assert!(place.lat().abs() <= 90.0 && place.lon().abs() <= 180.0);
            }
        }
    }
}
