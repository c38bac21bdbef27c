//! Lists of texts and of lines, each item with its own place.

use super::{DeValue, InputError, Section, Value};
use crate::geodesy::Position;

impl<'a> Section<'a> {
    /// A list of texts.
    pub fn texts(&self, key: &str) -> Result<Option<Vec<&'a str>>, InputError> {
        let Some(items) = self.items(key, "a list of texts, such as [\"A\", \"B\"]")? else {
            return Ok(None);
        };
        items
            .map(|item| self.as_text(key, item))
            .collect::<Result<_, _>>()
            .map(Some)
    }

    /// A list of lines, each a list of places.
    pub fn lines(&self, key: &str) -> Result<Option<Vec<Vec<Position>>>, InputError> {
        const LINES: &str =
            "a list of lines, each of two places, such as [[[47.0, 12.4], [47.2, 12.4]]]";
        let Some(items) = self.items(key, LINES)? else {
            return Ok(None);
        };
        items
            .map(|item| match item.get_ref() {
                DeValue::Array(places) if !places.iter().any(is_number) => places
                    .iter()
                    .map(|place| self.as_position(key, place))
                    .collect(),
                _ => Err(self.wrong(key, item, LINES.to_owned())),
            })
            .collect::<Result<_, _>>()
            .map(Some)
    }

    /// An error about the item at `index` of the list under `key`.
    pub fn error_in(
        &self,
        key: &str,
        index: usize,
        problem: impl Into<String>,
        hint: impl Into<String>,
    ) -> InputError {
        let item = match self.value(key).map(Value::get_ref) {
            Some(DeValue::Array(items)) => items.get(index),
            _ => None,
        };
        match item {
            Some(item) => self.source.error(Some(item.span().start), problem, hint),
            None => self.error_at(key, problem, hint),
        }
    }

    fn items(
        &self,
        key: &str,
        wanted: &str,
    ) -> Result<Option<impl Iterator<Item = &'a Value<'a>>>, InputError> {
        let Some(value) = self.value(key) else {
            return Ok(None);
        };
        match value.get_ref() {
            DeValue::Array(items) => Ok(Some(items.iter())),
            _ => Err(self.wrong(key, value, wanted.to_owned())),
        }
    }
}

fn is_number(value: &Value<'_>) -> bool {
    matches!(value.get_ref(), DeValue::Float(_) | DeValue::Integer(_))
}
