//! The header of a table: which of its names are known.

use super::columns::{Columns, HeightUnit};
use super::instant::DateOrder;
use super::values::bounded;
use crate::track::HeightKind;

/// What a header tells.
#[derive(Debug)]
pub(super) struct Header {
    pub(super) columns: Columns,
    pub(super) height_kind: HeightKind,
    /// A column of heights whose unit is not given, and which is therefore not read.
    pub(super) without_unit: Option<String>,
    pub(super) parts: Parts,
}

impl Header {
    /// What is known of a table whose columns the user gave.
    pub(super) fn given(columns: Columns) -> Self {
        Self {
            columns,
            height_kind: HeightKind::Unknown,
            without_unit: None,
            parts: Parts::default(),
        }
    }
}

/// Columns that tell which track and segment a row belongs to: `track_number`, `track_name`, `segment`. No
/// column called "track" alone is among them, which often is a course over the ground.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Parts {
    pub(super) number: Option<usize>,
    pub(super) name: Option<usize>,
    pub(super) segment: Option<usize>,
}

impl Parts {
    fn of(words: &[Vec<String>]) -> Self {
        let called = |name: &str| {
            let is = |words: &Vec<String>| words.concat() == name;
            words.iter().position(is)
        };
        Self {
            number: called("tracknumber"),
            name: called("trackname"),
            segment: called("segment"),
        }
    }
}

/// Why a header is not enough: a sentence.
pub(super) type Unknown = String;

/// What a column may be.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Quantity {
    Time,
    Date,
    Lat,
    Lon,
    Height,
}

use Quantity::{Date, Height, Lat, Lon, Time};

impl Quantity {
    const ALL: [Self; 5] = [Time, Date, Lat, Lon, Height];

    const fn name(self) -> &'static str {
        match self {
            Time => "time",
            Date => "date",
            Lat => "latitude",
            Lon => "longitude",
            Height => "height",
        }
    }

    /// What it is called. There is no standard; these are the words themselves and their usual
    /// abbreviations.
    const fn names(self) -> &'static [&'static str] {
        match self {
            Time => &["time", "timestamp", "datetime", "when", "unixtime"],
            Date => &["date"],
            Lat => &["lat", "latitude"],
            Lon => &["lon", "long", "lng", "longitude"],
            Height => &["height", "altitude", "alt", "elevation", "elev", "ele"],
        }
    }

    /// Words beside the name that leave it what it is.
    const fn beside(self) -> &'static [&'static str] {
        match self {
            Time => &[
                "utc", "gmt", "zulu", "iso", "8601", "iso8601", "unix", "epoch", "gps", "gnss",
                "s", "ms", "of", "fix",
            ],
            Date => &["utc", "gmt", "zulu", "gps", "gnss"],
            Lat | Lon => &[
                "deg", "degrees", "decimal", "dd", "wgs84", "wgs", "84", "gps", "gnss",
            ],
            Height => &[
                "m",
                "metres",
                "meters",
                "metre",
                "meter",
                "ft",
                "feet",
                "foot",
                "msl",
                "amsl",
                "above",
                "ellipsoid",
                "ellipsoidal",
                "hae",
                "wgs84",
                "gps",
                "gnss",
                "in",
            ],
        }
    }

    fn is(self, words: &[String]) -> bool {
        let name: String = words
            .iter()
            .map(String::as_str)
            .filter(|word| !self.beside().contains(word))
            .collect();
        let alone = ["utc", "gmt", "epoch", "unix"];
        self.names().contains(&name.as_str())
            || (self == Time
                && name.is_empty()
                && words.iter().any(|word| alone.contains(&word.as_str())))
    }
}

/// Looks for the columns in the names.
pub(super) fn recognise(names: &[String]) -> Result<Header, Unknown> {
    let words: Vec<Vec<String>> = names.iter().map(|name| words(name)).collect();
    if let Some(column) = words.iter().position(|words| gives_hemisphere(words)) {
        return Err(format!(
            "column {} (\"{}\") gives hemispheres apart from the degrees, which is not read: degrees \
             need their sign, north and east positive",
            column + 1,
            bounded(&names[column])
        ));
    }
    let found = |quantity: Quantity| -> Result<Option<usize>, Unknown> {
        let mut columns = (0..words.len()).filter(|column| quantity.is(&words[*column]));
        match (columns.next(), columns.next()) {
            (Some(first), Some(second)) => Err(format!(
                "columns {} (\"{}\") and {} (\"{}\") may both be the {}",
                first + 1,
                bounded(&names[first]),
                second + 1,
                bounded(&names[second]),
                quantity.name()
            )),
            (column, _) => Ok(column),
        }
    };
    let (time, date) = (found(Time)?, found(Date)?);
    let (lat, lon, height) = (found(Lat)?, found(Lon)?, found(Height)?);
    // Where another height stands beside it, pressure altitude is not the one that is read.
    let height = height.or_else(|| words.iter().position(|words| is_pressure_altitude(words)));
    let (Some(time_or_date), Some(lat), Some(lon)) = (time.or(date), lat, lon) else {
        return Err(missing(names, &words));
    };
    let says = |column: usize, any: &[&str]| {
        words[column]
            .iter()
            .any(|word| any.contains(&word.as_str()))
    };
    let utc = |column| says(column, &["utc", "gmt", "zulu"]);
    let unit = height.and_then(|column| {
        let metres = says(column, &["m", "metres", "meters", "metre", "meter"]);
        let feet = says(column, &["ft", "feet", "foot"]);
        match (metres, feet) {
            (true, false) => Some((column, HeightUnit::Metres)),
            (false, true) => Some((column, HeightUnit::Feet)),
            _ => None,
        }
    });
    let height_kind = match unit {
        Some((column, _)) if says(column, &["msl", "amsl"]) => HeightKind::MeanSeaLevel,
        Some((column, _)) if says(column, &["ellipsoid", "ellipsoidal", "hae", "wgs84"]) => {
            HeightKind::Ellipsoid
        }
        Some((column, _)) if says(column, &["pressure"]) => HeightKind::Pressure,
        _ => HeightKind::Unknown,
    };
    Ok(Header {
        columns: Columns {
            time: time_or_date,
            date: date.filter(|_| time.is_some()),
            lat,
            lon,
            height: unit,
            utc: utc(time_or_date) || date.is_some_and(utc),
            order: DateOrder::YearFirst,
        },
        height_kind,
        without_unit: height
            .filter(|_| unit.is_none())
            .map(|column| bounded(&names[column])),
        parts: Parts::of(&words),
    })
}

/// What is not there, and what was recognised.
fn missing(names: &[String], words: &[Vec<String>]) -> Unknown {
    let column = |quantity: Quantity| words.iter().position(|words| quantity.is(words));
    let absent: Vec<&str> = [Time, Lat, Lon]
        .into_iter()
        .filter(|quantity| column(*quantity).is_none())
        .filter(|quantity| *quantity != Time || column(Date).is_none())
        .map(Quantity::name)
        .collect();
    let known: Vec<String> = Quantity::ALL
        .into_iter()
        .filter_map(|quantity| {
            Some(format!(
                "{} in column {}",
                quantity.name(),
                column(quantity)? + 1
            ))
        })
        .collect();
    let known = if known.is_empty() {
        "nothing".to_owned()
    } else {
        known.join(", ")
    };
    format!(
        "the first line (\"{}\") names no {}; recognised in it: {known}",
        bounded(&names.join("|")),
        absent.join(", no ")
    )
}

fn gives_hemisphere(words: &[String]) -> bool {
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    matches!(
        words.as_slice(),
        ["ns" | "ew"] | ["n", "s"] | ["e", "w"] | ["n", "or", "s"] | ["e", "or", "w"]
    ) || words
        .iter()
        .any(|word| ["hemisphere", "hemi", "hem"].contains(word))
        || (words.len() > 1
            && words
                .last()
                .is_some_and(|word| ["ref", "dir", "ns", "ew"].contains(word))
            && (Lat.is(&words_of(&words[..1])) || Lon.is(&words_of(&words[..1]))))
}

fn is_pressure_altitude(words: &[String]) -> bool {
    let others: Vec<&str> = words
        .iter()
        .map(String::as_str)
        .filter(|word| *word != "pressure")
        .collect();
    others.len() + 1 == words.len() && Height.is(&words_of(&others))
}

fn words_of(words: &[&str]) -> Vec<String> {
    words.iter().map(|&word| word.to_owned()).collect()
}

/// The words of a name, in small letters: `GPS Altitude (ft)`, `gps_altitude_ft`, `gpsAltitudeFt`.
fn words(name: &str) -> Vec<String> {
    let mut words = Vec::new();
    let mut word = String::new();
    let mut small_before = false;
    for c in name.chars() {
        if (!c.is_alphanumeric() || (c.is_uppercase() && small_before)) && !word.is_empty() {
            words.push(std::mem::take(&mut word));
        }
        small_before = c.is_lowercase();
        if c.is_alphanumeric() {
            word.extend(c.to_lowercase());
        }
    }
    if !word.is_empty() {
        words.push(word);
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    fn header(line: &str) -> Result<Header, Unknown> {
        let names: Vec<String> = line.split('|').map(str::to_owned).collect();
        recognise(&names)
    }

    #[test]
    fn usual_names_are_known() {
        use HeightKind::{Ellipsoid, MeanSeaLevel, Unknown};
        use HeightUnit::{Feet, Metres};
        for (line, time, utc, height, kind) in [
            (
                "time|lat|lon|altitude (ft)",
                0,
                false,
                Some((3, Feet)),
                Unknown,
            ),
            ("id|Longitude|Latitude|UTC Time", 3, true, None, Unknown),
            (
                "timestamp|latitude [deg]|lng|alt_m",
                0,
                false,
                Some((3, Metres)),
                Unknown,
            ),
            (
                "timeUtc|gpsLat|gpsLon|altMslFt",
                0,
                true,
                Some((3, Feet)),
                MeanSeaLevel,
            ),
            (
                "utc|LAT|LON|Height above ellipsoid in metres",
                0,
                true,
                Some((3, Metres)),
                Ellipsoid,
            ),
            (
                "Date/Time (UTC)|Lat (WGS 84)|Long|Alt",
                0,
                true,
                None,
                Unknown,
            ),
            ("lat|lon|epoch_ms|alt agl (ft)", 2, false, None, Unknown),
        ] {
            let header = header(line).unwrap();
            let columns = header.columns;
            assert_eq!(
                (
                    columns.time,
                    columns.utc,
                    columns.height,
                    header.height_kind
                ),
                (time, utc, height, kind),
                "{line}"
            );
        }
        let header = header("Date|Time UTC|Lat|Lon|Altitude").unwrap();
        assert_eq!((header.columns.date, header.columns.time), (Some(0), 1));
        assert_eq!(header.without_unit.as_deref(), Some("Altitude"));
    }

    #[test]
    fn what_a_header_lacks_is_said() {
        for (line, expected) in [
            (
                "a|b",
                "the first line (\"a|b\") names no time, no latitude, no longitude; recognised in it: nothing",
            ),
            (
                "time|lat|x",
                "names no longitude; recognised in it: time in column 1, latitude in column 2",
            ),
            ("local time|lat|lon", "names no time;"),
            (
                "time|timestamp|lat|lon",
                "columns 1 (\"time\") and 2 (\"timestamp\") may both be the time",
            ),
            (
                "time|lat|N/S|lon|E/W",
                "column 3 (\"N/S\") gives hemispheres",
            ),
            (
                "time|lat|lat_ref|lon|lon_ref",
                "column 3 (\"lat_ref\") gives hemispheres",
            ),
            ("time|lat|lon|alt ft|elevation m", "may both be the height"),
        ] {
            let problem = header(line).unwrap_err();
            assert!(problem.contains(expected), "{line}: {problem}");
        }
    }
}
