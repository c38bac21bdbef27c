//! Which of the tracks are taken.

use super::{Part, all_files, words};
use crate::input::InputError;
use crate::track::{Entry, Finding, Reading};
use std::str::FromStr;

/// A track by its number or its name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TrackChoice(String);

impl FromStr for TrackChoice {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        match text.trim() {
            "" => Err("the number or the name of a track is needed".to_owned()),
            text => Ok(Self(text.to_owned())),
        }
    }
}

impl TrackChoice {
    /// A number that is the number of no track may still be a name.
    fn fits(&self, parts: &[Part]) -> Vec<usize> {
        let by_number = |part: &Part| self.0.parse() == Ok(part.track.number);
        if let Some(index) = parts.iter().position(by_number) {
            return vec![index];
        }
        let is_named = |part: &Part| part.track.name.as_deref() == Some(self.0.as_str());
        (0..parts.len())
            .filter(|index| is_named(&parts[*index]))
            .collect()
    }
}

/// Marks the tracks chosen. What the others hold goes out of the ledger but for one entry each, and out of
/// `parts` but for what is told of them.
pub(super) fn choose(
    reading: &mut Reading,
    parts: &mut [Part],
    choices: &[TrackChoice],
) -> Result<(), InputError> {
    if choices.is_empty() {
        return Ok(());
    }
    let mut chosen = Vec::new();
    for choice in choices {
        let fitting = choice.fits(parts);
        match fitting.as_slice() {
            [one] => chosen.push(*one),
            several => {
                let what = match several.len() {
                    0 => format!("no track is \"{}\"", choice.0),
                    count => format!("{count} tracks are called \"{}\"", choice.0),
                };
                let problem = format!("{what}; {}", words::held(parts, &reading.sources));
                let hint = "choose by number, as in --track 1, or by name; --track may be given more than once";
                return Err(InputError::new(
                    &all_files(&reading.sources),
                    None,
                    problem,
                    hint,
                ));
            }
        }
    }
    let mut gone = vec![false; reading.ledger.entries.len()];
    let mut left_out = Vec::new();
    for (index, part) in parts.iter_mut().enumerate() {
        part.track.taken = chosen.contains(&index);
        if !part.track.taken {
            gone[part.track.entries.clone()].fill(true);
            part.segments.clear();
            left_out.push(Entry {
                file: part.track.file,
                line: part.track.line,
                finding: Finding::NotChosen,
                raw: words::track(&part.track),
            });
        }
    }
    let mut gone = gone.into_iter();
    reading
        .ledger
        .entries
        .retain(|_| !gone.next().unwrap_or(false));
    reading.ledger.entries.extend(left_out);
    Ok(())
}
