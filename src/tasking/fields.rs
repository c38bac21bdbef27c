//! Typed access to a TOML table in which every key is known, every fault has a line, and a
//! misspelt key is answered with the one that was probably meant.

mod lists;

use super::Course;
use super::coordinates::{self, PLACES};
use super::quantity::{self, QuantityError, shown};
use crate::characters::is_harmful;
use crate::geodesy::Position;
use crate::input::InputError;
use crate::units::{Length, Speed};
use chrono::NaiveDate;
use std::path::{Path, PathBuf};
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// The file a table came from, to give places.
pub(super) struct Source<'a> {
    pub path: &'a Path,
    pub text: &'a str,
}

impl Source<'_> {
    pub fn line_at(&self, offset: usize) -> u32 {
        let before = &self.text.as_bytes()[..offset.min(self.text.len())];
        1 + before.iter().filter(|byte| **byte == b'\n').count() as u32
    }

    pub fn error(
        &self,
        offset: Option<usize>,
        problem: impl Into<String>,
        hint: impl Into<String>,
    ) -> InputError {
        InputError::new(self.path, offset.map(|at| self.line_at(at)), problem, hint)
    }
}

/// One table of the file.
pub(super) struct Section<'a> {
    source: &'a Source<'a>,
    /// Name for messages: empty for the top level.
    name: &'static str,
    /// Where it begins, if it has a place of its own.
    offset: Option<usize>,
    table: &'a DeTable<'a>,
}

type Value<'a> = Spanned<DeValue<'a>>;

impl<'a> Section<'a> {
    /// A table whose keys must all be among `known`.
    pub fn new(
        source: &'a Source<'a>,
        name: &'static str,
        offset: Option<usize>,
        table: &'a DeTable<'a>,
        known: &[&str],
    ) -> Result<Self, InputError> {
        let section = Self {
            source,
            name,
            offset,
            table,
        };
        // In the order of the file, so that the first fault is named first.
        let mut keys: Vec<_> = table.keys().collect();
        keys.sort_by_key(|key| key.span().start);
        for key in keys {
            let text: &str = key.get_ref();
            if !known.contains(&text) {
                return Err(source.error(
                    Some(key.span().start),
                    format!("unknown key {}{}", shown(text), section.within()),
                    suggest(text, known),
                ));
            }
        }
        Ok(section)
    }

    /// A table of its own under `key`.
    pub fn section(
        &self,
        key: &'static str,
        known: &[&str],
    ) -> Result<Option<Section<'a>>, InputError> {
        let Some(value) = self.value(key) else {
            return Ok(None);
        };
        match value.get_ref() {
            DeValue::Table(table) => {
                let at = Some(value.span().start);
                Section::new(self.source, key, at, table, known).map(Some)
            }
            _ => Err(self.wrong(key, value, format!("a section [{key}]"))),
        }
    }

    /// The tables of a list of tables under `key`; `name` is theirs in messages.
    pub fn sections(
        &self,
        key: &str,
        name: &'static str,
        known: &[&str],
    ) -> Result<Option<Vec<Section<'a>>>, InputError> {
        let Some(value) = self.value(key) else {
            return Ok(None);
        };
        let items = match value.get_ref() {
            DeValue::Array(items) => items.iter().collect(),
            _ => Vec::new(),
        };
        let tables = items.iter().map(|item| match item.get_ref() {
            DeValue::Table(table) => Some((item.span().start, table)),
            _ => None,
        });
        match tables.collect::<Option<Vec<_>>>() {
            Some(tables) if !tables.is_empty() => tables
                .into_iter()
                .map(|(at, table)| Section::new(self.source, name, Some(at), table, known))
                .collect::<Result<_, _>>()
                .map(Some),
            _ => Err(self.wrong(key, value, format!("one or more tables [{name}]"))),
        }
    }

    pub fn text(&self, key: &str) -> Result<Option<&'a str>, InputError> {
        self.value(key)
            .map(|value| self.as_text(key, value))
            .transpose()
    }

    pub fn length(&self, key: &str) -> Result<Option<Length>, InputError> {
        self.quantity(key, quantity::length)
    }

    pub fn speed(&self, key: &str) -> Result<Option<Speed>, InputError> {
        self.quantity(key, quantity::speed)
    }

    pub fn course(&self, key: &str) -> Result<Option<Course>, InputError> {
        self.quantity(key, quantity::course)
    }

    pub fn duration_s(&self, key: &str) -> Result<Option<f64>, InputError> {
        self.quantity(key, quantity::duration_s)
    }

    /// A share written in percent, such as `"20 %"`: 0.2.
    pub fn percent(&self, key: &str) -> Result<Option<f64>, InputError> {
        self.quantity(key, quantity::percent)
    }

    /// A length that must be more than zero.
    pub fn positive_length(&self, key: &str) -> Result<Option<Length>, InputError> {
        let length = self.length(key)?;
        self.check(
            key,
            length.is_none_or(|l| l.m() > 0.0),
            "must be more than zero",
        )?;
        Ok(length)
    }

    /// A speed that must be more than zero.
    pub fn positive_speed(&self, key: &str) -> Result<Option<Speed>, InputError> {
        let speed = self.speed(key)?;
        self.check(
            key,
            speed.is_none_or(|s| s.mps() > 0.0),
            "must be more than zero",
        )?;
        Ok(speed)
    }

    /// A plain number.
    pub fn number(&self, key: &str) -> Result<Option<f64>, InputError> {
        self.value(key)
            .map(|value| {
                as_number(value.get_ref()).ok_or_else(|| self.wrong(key, value, "a number".into()))
            })
            .transpose()
    }

    /// A whole number from 1 up.
    pub fn count(&self, key: &str) -> Result<Option<u32>, InputError> {
        self.value(key)
            .map(|value| {
                let whole = match value.get_ref() {
                    DeValue::Integer(i) => i64::from_str_radix(i.as_str(), i.radix()).ok(),
                    _ => None,
                };
                whole
                    .and_then(|n| u32::try_from(n).ok())
                    .filter(|n| *n >= 1)
                    .ok_or_else(|| self.wrong(key, value, "a whole number from 1 up".into()))
            })
            .transpose()
    }

    /// `true` or `false`.
    pub fn flag(&self, key: &str) -> Result<Option<bool>, InputError> {
        self.value(key)
            .map(|value| match value.get_ref() {
                DeValue::Boolean(flag) => Ok(*flag),
                _ => Err(self.wrong(key, value, "true or false, without quotes".into())),
            })
            .transpose()
    }

    /// A TOML date without time.
    pub fn date(&self, key: &str) -> Result<Option<NaiveDate>, InputError> {
        self.value(key)
            .map(|value| {
                let date = match value.get_ref() {
                    DeValue::Datetime(at) if at.time.is_none() => at.date,
                    _ => None,
                };
                date.and_then(|d| {
                    NaiveDate::from_ymd_opt(d.year.into(), d.month.into(), d.day.into())
                })
                .ok_or_else(|| {
                    self.wrong(
                        key,
                        value,
                        "a date without quotes, such as 2026-06-14".into(),
                    )
                })
            })
            .transpose()
    }

    /// A place: `[latitude, longitude]` in decimal degrees, or a text with hemisphere letters.
    pub fn position(&self, key: &str) -> Result<Option<Position>, InputError> {
        self.value(key)
            .map(|value| self.as_position(key, value))
            .transpose()
    }

    /// A list of places.
    pub fn positions(&self, key: &str) -> Result<Option<Vec<Position>>, InputError> {
        let Some(value) = self.value(key) else {
            return Ok(None);
        };
        match value.get_ref() {
            DeValue::Array(items) => items
                .iter()
                .map(|item| self.as_position(key, item))
                .collect::<Result<_, _>>()
                .map(Some),
            _ => Err(self.wrong(
                key,
                value,
                "a list of places, such as [[47.0, 12.4], [47.2, 12.6], [47.0, 12.6]]".into(),
            )),
        }
    }

    /// One of a few words.
    pub fn choice<T: Copy>(
        &self,
        key: &str,
        choices: &[(&str, T)],
    ) -> Result<Option<T>, InputError> {
        let Some(value) = self.value(key) else {
            return Ok(None);
        };
        let text = self.as_text(key, value)?;
        let found = choices
            .iter()
            .find(|(word, _)| word.eq_ignore_ascii_case(text));
        found.map(|(_, choice)| Some(*choice)).ok_or_else(|| {
            let words: Vec<&str> = choices.iter().map(|(word, _)| *word).collect();
            self.source.error(
                Some(value.span().start),
                format!("{} cannot be {}", self.named(key), shown(text)),
                suggest(text, &words),
            )
        })
    }

    /// The value, or an error that says what to write.
    pub fn require<T>(&self, key: &str, value: Option<T>, example: &str) -> Result<T, InputError> {
        value.ok_or_else(|| {
            self.source.error(
                self.offset,
                format!("missing key {}", self.named(key)),
                format!("add a line such as: {key} = {example}"),
            )
        })
    }

    /// An error at `key` if `holds` is false.
    pub fn check(&self, key: &str, holds: bool, rule: &str) -> Result<(), InputError> {
        if holds {
            return Ok(());
        }
        let written = self.value(key).map_or_else(String::new, |value| {
            format!(", found {}", shown(&self.source.text[value.span()]))
        });
        Err(self.error_at(
            key,
            format!("{} {rule}{written}", self.named(key)),
            format!("correct {} and run again", self.named(key)),
        ))
    }

    /// An error about the value of `key`.
    pub fn error_at(
        &self,
        key: &str,
        problem: impl Into<String>,
        hint: impl Into<String>,
    ) -> InputError {
        let offset = self
            .value(key)
            .map(|value| value.span().start)
            .or(self.offset);
        self.source.error(offset, problem, hint)
    }

    /// Line at which the value of `key` stands; that of the section where it is not there.
    pub fn line_of(&self, key: &str) -> u32 {
        let value = self.value(key).map(|value| value.span().start);
        self.source.line_at(value.or(self.offset).unwrap_or(0))
    }

    /// A file named in the tasking; a relative path starts at the folder of the tasking.
    pub fn beside(&self, name: &str) -> PathBuf {
        let folder = self.source.path.parent();
        folder.unwrap_or_else(|| Path::new(".")).join(name)
    }

    /// Whether the key is there.
    pub fn has(&self, key: &str) -> bool {
        self.value(key).is_some()
    }

    fn value(&self, key: &str) -> Option<&'a Value<'a>> {
        self.table.get(key)
    }

    fn quantity<T>(
        &self,
        key: &str,
        read: impl Fn(&str) -> Result<T, QuantityError>,
    ) -> Result<Option<T>, InputError> {
        let Some(value) = self.value(key) else {
            return Ok(None);
        };
        // A bare number is the commonest slip: the quantity's own reader says that the unit is
        // missing, and what would do.
        let text = match value.get_ref() {
            DeValue::String(text) => text.as_ref(),
            DeValue::Float(_) | DeValue::Integer(_) => &self.source.text[value.span()],
            _ => "",
        };
        read(text).map(Some).map_err(|error| {
            self.source.error(
                Some(value.span().start),
                format!("{}: {}", self.named(key), error.problem),
                format!("{} takes {}", self.named(key), error.accepted),
            )
        })
    }

    fn as_text(&self, key: &str, value: &'a Value<'a>) -> Result<&'a str, InputError> {
        let text = value
            .get_ref()
            .as_str()
            .ok_or_else(|| self.wrong(key, value, "a text in quotes".into()))?;
        if let Some(c) = text.chars().find(|c| is_harmful(*c)) {
            return Err(self.source.error(
                Some(value.span().start),
                format!(
                    "{} holds the character U+{:04X}",
                    self.named(key),
                    u32::from(c)
                ),
                "write one line, without control characters and marks of the direction of writing",
            ));
        }
        Ok(text)
    }

    fn as_position(&self, key: &str, value: &Value<'_>) -> Result<Position, InputError> {
        if let DeValue::String(text) = value.get_ref() {
            return coordinates::place(text).map_err(|error| {
                self.source.error(
                    Some(value.span().start),
                    format!("{}: {}", self.named(key), error.problem),
                    format!("{} takes {}", self.named(key), error.accepted),
                )
            });
        }
        let pair = match value.get_ref() {
            DeValue::Array(pair) if pair.len() == 2 => {
                as_number(pair[0].get_ref()).zip(as_number(pair[1].get_ref()))
            }
            _ => None,
        };
        let (lat, lon) = pair.ok_or_else(|| self.wrong(key, value, PLACES.into()))?;
        Position::new(lat, lon)
            .filter(|_| lon.abs() <= 180.0)
            .ok_or_else(|| {
                self.source.error(
                    Some(value.span().start),
                    format!("{}: {lat}, {lon} is not a place on the earth", self.named(key)),
                    format!(
                        "latitude runs from -90 to 90, longitude from -180 to 180; {} takes {PLACES}",
                        self.named(key)
                    ),
                )
            })
    }

    fn wrong(&self, key: &str, value: &Value<'_>, wanted: String) -> InputError {
        let written = self.source.text.get(value.span()).unwrap_or_default();
        self.source.error(
            Some(value.span().start),
            format!("{} cannot be {}", self.named(key), shown(written)),
            format!("{} takes {wanted}", self.named(key)),
        )
    }

    fn named(&self, key: &str) -> String {
        if self.name.is_empty() {
            format!("`{key}`")
        } else {
            format!("`{key}` in [{}]", self.name)
        }
    }

    fn within(&self) -> String {
        if self.name.is_empty() {
            String::new()
        } else {
            format!(" in [{}]", self.name)
        }
    }
}

fn as_number(value: &DeValue<'_>) -> Option<f64> {
    let number = match value {
        DeValue::Float(f) => f.as_str().parse().ok(),
        DeValue::Integer(i) => i64::from_str_radix(i.as_str(), i.radix())
            .ok()
            .map(|n| n as f64),
        _ => None,
    };
    number.filter(|n: &f64| n.is_finite())
}

/// "did you mean …" where one of the words is close, else the list of them.
fn suggest(text: &str, words: &[&str]) -> String {
    let closest = words
        .iter()
        .map(|word| {
            (
                strsim::damerau_levenshtein(&text.to_lowercase(), &word.to_lowercase()),
                word,
            )
        })
        .min();
    let list = words
        .iter()
        .map(|w| format!("`{w}`"))
        .collect::<Vec<_>>()
        .join(", ");
    match closest {
        Some((distance, word)) if distance <= 1 + word.len() / 4 => {
            format!("did you mean `{word}`? Accepted here: {list}")
        }
        _ => format!("accepted here: {list}"),
    }
}
