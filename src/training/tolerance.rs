//! What counts as good enough: a file with a limit for each measure, and where the limit comes from.

use super::measures::{Measure, Unit};
use crate::characters::is_harmful;
use crate::input::{InputError, whole};
use crate::tasking::quantity;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::path::Path;
use toml::Spanned;

/// The set that is used where none is named.
const USUAL: &str = include_str!("tolerances.toml");
/// Largest file of tolerances, bytes.
const MOST_BYTES: u64 = 1 << 20;
/// What a file of tolerances is, for hints.
const ACCEPTED: &str = "a table for each measure, such as [height], with limit = \"100 ft\" and source = \"…\" (see docs/training.md)";

/// A set of tolerances.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Tolerances {
    /// What it is called.
    pub name: String,
    limits: BTreeMap<Measure, Limit>,
}

/// One limit.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Limit {
    /// Metres, metres a second, or a share: of the spacing where [`Tolerances::is_of_spacing`].
    pub value: f64,
    /// Where it comes from.
    pub source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Entry {
    limit: String,
    source: String,
}

impl Tolerances {
    /// The set that comes with the program.
    ///
    /// # Errors
    /// Never, but for a fault of the program.
    pub fn usual() -> Result<Self, InputError> {
        Self::parse(USUAL, Path::new("the usual tolerances"), None)
    }

    /// A set from a file; what it leaves out is as usual.
    ///
    /// # Errors
    /// When the file cannot be read, is no TOML, names no measure, or gives no limit that can be meant.
    pub fn read(path: &Path) -> Result<Self, InputError> {
        let text = whole(path, MOST_BYTES)
            .map_err(|error| error.to_string())
            .and_then(|bytes| String::from_utf8(bytes).map_err(|_| "it is no UTF-8 text".into()))
            .map_err(|problem| {
                InputError::new(path, None, format!("cannot be read: {problem}"), ACCEPTED)
            })?;
        Self::parse(&text, path, Some(Self::usual()?))
    }

    fn parse(text: &str, path: &Path, usual: Option<Self>) -> Result<Self, InputError> {
        let line_at = |at: usize| {
            let before = text.get(..at).unwrap_or(text);
            u32::try_from(before.matches('\n').count() + 1).ok()
        };
        let refuse = |at: Option<usize>, problem: String, hint: &str| {
            InputError::new(path, at.and_then(line_at), problem, hint)
        };
        let mut table: BTreeMap<Spanned<String>, Spanned<toml::Value>> = toml::from_str(text)
            .map_err(|error| {
                let at = error.span().map(|span| span.start);
                refuse(at, error.message().to_owned(), ACCEPTED)
            })?;
        let mut set = usual.unwrap_or_else(|| Self {
            name: String::new(),
            limits: BTreeMap::new(),
        });
        let name = table.keys().find(|key| key.get_ref() == "name").cloned();
        if let Some(value) = name.and_then(|key| table.remove(&key)) {
            let at = Some(value.span().start);
            match value.into_inner() {
                toml::Value::String(name)
                    if !name.trim().is_empty() && !name.contains(is_harmful) =>
                {
                    set.name = name;
                }
                _ => {
                    return Err(refuse(
                        at,
                        "`name` is no text".into(),
                        "give the set a name",
                    ));
                }
            }
        }
        for (key, value) in table {
            let at = Some(key.span().start);
            let measure = Measure::called(key.get_ref());
            let Some(measure) = measure else {
                let near = Measure::ALL.into_iter().map(Measure::id);
                let near = near.max_by(|a, b| {
                    let like = |id: &str| strsim::jaro_winkler(id, key.get_ref());
                    like(a).total_cmp(&like(b))
                });
                let problem = format!("{} is no measure", quantity::shown(key.get_ref()));
                let hint = format!("did you mean [{}]?", near.unwrap_or_default());
                return Err(refuse(at, problem, &hint));
            };
            let entry: Entry =
                value
                    .into_inner()
                    .try_into()
                    .map_err(|error: toml::de::Error| {
                        refuse(
                            at,
                            format!("[{}]: {}", measure.id(), error.message()),
                            ACCEPTED,
                        )
                    })?;
            let source = entry.source;
            if source.contains(is_harmful) {
                let problem = format!("[{}]: `source` holds control characters", measure.id());
                return Err(refuse(at, problem, "leave them out"));
            }
            let value = limit(measure, &entry.limit).map_err(|hint| {
                let problem = format!(
                    "[{}]: `limit` is {}",
                    measure.id(),
                    quantity::shown(&entry.limit)
                );
                refuse(at, problem, hint)
            })?;
            set.limits.insert(measure, Limit { value, source });
        }
        Ok(set)
    }

    /// The limit of a measure.
    #[must_use]
    pub fn limit(&self, measure: Measure) -> Option<&Limit> {
        self.limits.get(&measure)
    }

    /// Whether the limit of a measure is a share of the spacing.
    #[must_use]
    pub const fn is_of_spacing(measure: Measure) -> bool {
        matches!(
            measure,
            Measure::Bias
                | Measure::Spread
                | Measure::Xte95
                | Measure::Overshoot
                | Measure::LeftRight
                | Measure::Downwind
        )
    }

    /// The most that a [shortfall](Measure::shortfall) may be, in the unit of the measure.
    #[must_use]
    pub fn most(&self, measure: Measure, spacing_m: f64) -> Option<f64> {
        let limit = self.limit(measure)?.value;
        Some(match measure {
            Measure::Within => 1.0 - limit,
            _ if Self::is_of_spacing(measure) => limit * spacing_m,
            _ => limit,
        })
    }

    /// The cross-track tolerance: that of XTE over 95 % of the way.
    #[must_use]
    pub fn cross_track_m(&self, spacing_m: f64) -> f64 {
        self.most(Measure::Xte95, spacing_m)
            .unwrap_or(f64::INFINITY)
    }
}

impl Tolerances {
    /// How near to where a leg is flown later on counts as settled: half the cross-track tolerance. Chosen.
    #[must_use]
    pub fn settled_band_m(&self, spacing_m: f64) -> f64 {
        self.cross_track_m(spacing_m) / 2.0
    }
}

/// The limit as a number, or what would do.
fn limit(measure: Measure, text: &str) -> Result<f64, &'static str> {
    let share = || quantity::percent(text).map_err(|_| "give a share such as \"10 %\"");
    let value = match measure.unit() {
        Unit::Share => share()?,
        Unit::Metres if Tolerances::is_of_spacing(measure) => share()?,
        Unit::Metres | Unit::Height => {
            let length = quantity::length(text);
            length
                .map_err(|_| "give a length such as \"0.5 NM\" or \"100 ft\"")?
                .m()
        }
        Unit::Speed => {
            let speed = quantity::speed(text);
            speed.map_err(|_| "give a speed such as \"10 kt\"")?.mps()
        }
    };
    if value > 0.0 {
        Ok(value)
    } else {
        Err("give a limit above 0")
    }
}
