//! JSON as slices of its text: every value knows its line, and none is taken apart before it is looked at.

use super::values::bounded;
use crate::input::InputError;
use serde::Deserialize;
use serde_json::value::RawValue;
use std::collections::HashMap;
use std::path::Path;

/// A JSON text.
pub(super) struct Json<'a> {
    path: &'a Path,
    text: &'a str,
    /// Where its line feeds are.
    line_feeds: Vec<u32>,
    salvage: bool,
}

/// The members of a GeoJSON object that are of interest.
#[derive(Default, Deserialize)]
pub(super) struct Members<'a> {
    #[serde(borrow, default, rename = "type")]
    pub(super) kind: Option<&'a RawValue>,
    #[serde(borrow, default)]
    pub(super) features: Option<&'a RawValue>,
    #[serde(borrow, default)]
    pub(super) geometry: Option<&'a RawValue>,
    #[serde(borrow, default)]
    pub(super) properties: Option<&'a RawValue>,
    #[serde(borrow, default)]
    pub(super) coordinates: Option<&'a RawValue>,
}

impl<'a> Json<'a> {
    /// The text that the bytes are.
    pub(super) fn of(path: &'a Path, bytes: &'a [u8], salvage: bool) -> Result<Self, InputError> {
        // RFC 8259, 8.1: a byte order mark may be ignored.
        let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
        let text = std::str::from_utf8(bytes).map_err(|cause| {
            let line = line(&bytes[..cause.valid_up_to()]);
            InputError::new(
                path,
                Some(line),
                "the text is not UTF-8",
                "save it as UTF-8",
            )
        })?;
        Ok(Self {
            path,
            text,
            // A text of 4 GiB is not read.
            line_feeds: memchr::memchr_iter(b'\n', bytes)
                .map(|at| u32::try_from(at).unwrap_or(u32::MAX))
                .collect(),
            salvage,
        })
    }

    pub(super) const fn path(&self) -> &'a Path {
        self.path
    }

    /// The one value that the text is.
    pub(super) fn whole(&self) -> Result<&'a RawValue, InputError> {
        serde_json::from_str(self.text).map_err(|cause| {
            let line = u32::try_from(cause.line()).unwrap_or(u32::MAX);
            let hint = if self.salvage {
                "export the log again; of JSON that breaks off nothing can be salvaged, since times and \
                 positions stand apart in it"
            } else {
                "export the log again"
            };
            let what = cause.to_string();
            let what = what.split(" at line ").next().unwrap_or_default();
            let problem = format!("the JSON is ill-formed: {}", bounded(what));
            InputError::new(self.path, Some(line.max(1)), problem, hint)
        })
    }

    /// The members of a value that must be an object.
    pub(super) fn members(&self, value: &'a RawValue) -> Result<Members<'a>, InputError> {
        if !value.get().starts_with('{') {
            let problem = format!("an object should stand here, not {}", bounded(value.get()));
            return Err(self.error(
                value,
                problem,
                "RFC 7946 has objects for features and geometries",
            ));
        }
        serde_json::from_str(value.get()).map_err(|cause| {
            let what = cause.to_string();
            let what = what.split(" at line ").next().unwrap_or_default();
            let problem = format!("the object is ill-formed: {}", bounded(what));
            self.error(value, problem, "export the log again")
        })
    }

    /// All members of a value, none if it is no object.
    pub(super) fn object(&self, value: Option<&'a RawValue>) -> HashMap<String, &'a RawValue> {
        value
            .and_then(|value| serde_json::from_str(value.get()).ok())
            .unwrap_or_default()
    }

    /// The items of a value, if it is an array.
    pub(super) fn items(&self, value: &'a RawValue) -> Option<Vec<&'a RawValue>> {
        serde_json::from_str(value.get()).ok()
    }

    /// The numbers of an array; what is no finite number in it is `None`.
    pub(super) fn numbers(&self, value: &RawValue) -> Vec<Option<f64>> {
        let items: Vec<&RawValue> = serde_json::from_str(value.get()).unwrap_or_default();
        items
            .iter()
            // RFC 7946, 3.1.1: more than three numbers should not be there and mean nothing.
            .take(3)
            .map(|item| serde_json::from_str(item.get()).ok())
            .collect()
    }

    /// A value that is a string.
    pub(super) fn text(&self, value: Option<&RawValue>) -> Option<String> {
        serde_json::from_str(value?.get()).ok()
    }

    /// Line at which a value of this text begins, from 1.
    pub(super) fn line_of(&self, value: &RawValue) -> u32 {
        let start = value.get().as_ptr().addr();
        let at = start.saturating_sub(self.text.as_ptr().addr());
        let before = self
            .line_feeds
            .partition_point(|feed| (*feed as usize) < at);
        u32::try_from(before + 1).unwrap_or(u32::MAX)
    }

    /// An error about a value.
    pub(super) fn error(
        &self,
        value: &RawValue,
        problem: impl Into<String>,
        hint: &str,
    ) -> InputError {
        InputError::new(self.path, Some(self.line_of(value)), problem, hint)
    }
}

fn line(before: &[u8]) -> u32 {
    super::counting::line_feeds(before).saturating_add(1)
}
