//! Which column of a table holds what, as the user says it: `time=2,lat=3,lon=4,height=6 ft`.

use super::instant::DateOrder;
use std::str::FromStr;

/// The unit of a column of heights.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HeightUnit {
    /// Metres.
    Metres,
    /// International feet.
    Feet,
}

impl HeightUnit {
    /// Metres in one of it. 1 ft = 0.3048 m exactly (international yard and pound agreement of 1959).
    pub(super) const fn metres(self) -> f64 {
        match self {
            Self::Metres => 1.0,
            Self::Feet => 0.3048,
        }
    }
}

/// The columns of a table, counted from 0.
///
/// As text they are counted from 1: `time=2,lat=3,lon=4,height=6 ft`. Heights need `m` or `ft`; behind the
/// time may stand `utc`, and behind time or date the order of dates that do not begin with their year:
/// `dmy` or `mdy`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Columns {
    /// Time, or time of day if there is a date.
    pub time: usize,
    /// Date, where it has a column of its own.
    pub date: Option<usize>,
    /// Latitude, decimal degrees.
    pub lat: usize,
    /// Longitude, decimal degrees.
    pub lon: usize,
    /// Height and its unit.
    pub height: Option<(usize, HeightUnit)>,
    /// Times without a zone are UTC, for certain.
    pub utc: bool,
    /// The order of the parts of dates.
    pub order: DateOrder,
}

impl Columns {
    /// The last column that is used.
    pub(super) fn last(&self) -> usize {
        [self.lat, self.lon]
            .into_iter()
            .chain(self.date)
            .chain(self.height.map(|(column, _)| column))
            .fold(self.time, usize::max)
    }
}

#[derive(Default)]
struct Given {
    time: Option<usize>,
    date: Option<usize>,
    lat: Option<usize>,
    lon: Option<usize>,
    height: Option<(usize, HeightUnit)>,
    utc: bool,
    order: DateOrder,
}

impl FromStr for Columns {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let mut given = Given::default();
        let mut taken = Vec::new();
        for item in text.split(',') {
            given.add(item.trim(), &mut taken)?;
        }
        let needed = |column: Option<usize>, name: &str| {
            column.ok_or_else(|| format!("{name} is missing; time, lat and lon are needed"))
        };
        Ok(Self {
            time: needed(given.time, "time")?,
            date: given.date,
            lat: needed(given.lat, "lat")?,
            lon: needed(given.lon, "lon")?,
            height: given.height,
            utc: given.utc,
            order: given.order,
        })
    }
}

impl Given {
    fn add(&mut self, item: &str, taken: &mut Vec<usize>) -> Result<(), String> {
        let (name, value) = item
            .split_once('=')
            .ok_or_else(|| format!("\"{item}\" is not of the form name=number, as time=2 is"))?;
        let (name, mut words) = (name.trim(), value.split_ascii_whitespace());
        let column = words
            .next()
            .and_then(|number| number.parse::<usize>().ok())
            .and_then(|number| number.checked_sub(1))
            .ok_or_else(|| format!("{name} needs the number of its column, counted from 1"))?;
        if taken.contains(&column) {
            return Err(format!("column {} is given twice", column + 1));
        }
        taken.push(column);
        let words: Vec<&str> = words.collect();
        let target = match name {
            "time" => &mut self.time,
            "date" => &mut self.date,
            "lat" => &mut self.lat,
            "lon" => &mut self.lon,
            "height" => {
                let unit = match words.as_slice() {
                    ["m"] => HeightUnit::Metres,
                    ["ft"] => HeightUnit::Feet,
                    _ => return Err("height needs its unit, m or ft, as in height=6 ft".to_owned()),
                };
                return if self.height.replace((column, unit)).is_some() {
                    Err("height is given twice".to_owned())
                } else {
                    Ok(())
                };
            }
            _ => {
                return Err(format!(
                    "\"{name}\" is no column that is read; time, date, lat, lon and height are"
                ));
            }
        };
        if target.replace(column).is_some() {
            return Err(format!("{name} is given twice"));
        }
        for word in words {
            match (name, word) {
                ("time", "utc") => self.utc = true,
                ("time" | "date", "dmy") => self.order = DateOrder::DayFirst,
                ("time" | "date", "mdy") => self.order = DateOrder::MonthFirst,
                _ => return Err(format!("\"{word}\" behind {name} means nothing")),
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_are_read_as_they_are_written() {
        let columns: Columns = "time=2,lat=3, lon=4,height=6 ft".parse().unwrap();
        assert_eq!(
            (columns.time, columns.lat, columns.lon, columns.height),
            (1, 2, 3, Some((5, HeightUnit::Feet)))
        );
        assert_eq!((columns.date, columns.utc), (None, false));
        let columns: Columns = "date=1 dmy,time=2 utc,lon=4,lat=3".parse().unwrap();
        assert_eq!((columns.date, columns.utc), (Some(0), true));
        assert_eq!((columns.order, columns.last()), (DateOrder::DayFirst, 3));
    }

    #[test]
    fn what_is_wrong_with_columns_is_said() {
        for (text, expected) in [
            ("", "name=number"),
            ("time", "name=number"),
            ("time=0,lat=1,lon=2", "counted from 1"),
            ("time=-1,lat=1,lon=2", "counted from 1"),
            ("time=a,lat=1,lon=2", "counted from 1"),
            ("time=1,lat=2", "lon is missing"),
            ("lat=1,lon=2", "time is missing"),
            ("time=1,lat=2,lon=2", "column 2 is given twice"),
            ("time=1,time=4,lat=2,lon=3", "time is given twice"),
            ("time=1,lat=2,lon=3,height=4", "unit"),
            ("time=1,lat=2,lon=3,height=4 km", "unit"),
            ("time=1,lat=2,lon=3,speed=4", "no column that is read"),
            ("time=1 cet,lat=2,lon=3", "\"cet\" behind time"),
        ] {
            let error = text.parse::<Columns>().unwrap_err();
            assert!(error.contains(expected), "{text}: {error}");
        }
    }
}
