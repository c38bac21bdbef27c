//! A debrief as it is kept: checked, and with what goes into tables of its own.

use super::fault::{RESTORE, damaged, failed, refused};
use crate::characters::{is_harmful, is_person_name};
use crate::debrief::read;
use crate::geodesy::Position;
use crate::input::{InputError, sha256_hex};
use crate::plan::Leg;
use crate::search::Sortie;
use flate2::Compression;
use flate2::read::{DeflateDecoder, DeflateEncoder};
use rusqlite::{Connection, OptionalExtension};
use serde::Deserialize;
use std::io::Read;
use std::path::Path;

/// A `debrief.json` that can be added.
#[derive(Clone, Debug)]
pub struct Document {
    pub(super) text: String,
    pub(super) sortie: Sortie,
    pub(super) legs: Legs,
}

/// What the tables keep beyond what a search needs.
#[derive(Clone, Debug, Deserialize)]
pub(super) struct Legs {
    pub version: String,
    pub legs: Vec<FlownLeg>,
    passes: Vec<FlownPass>,
    pub track: Vec<Piece>,
}

/// What became of a planned search leg.
#[derive(Clone, Debug, Deserialize)]
pub(super) struct FlownLeg {
    pub leg: String,
    pub state: String,
    pub flown_share: f64,
    pub unrecorded_share: f64,
    pub passes: Vec<usize>,
    pub tracking: Option<LegTracking>,
}

/// XTE over all passages of a leg.
#[derive(Clone, Copy, Debug, Deserialize)]
pub(super) struct LegTracking {
    pub xte_mean_m: f64,
    pub xte_sd_m: f64,
    pub xte_p95_m: f64,
    pub within_tolerance: f64,
}

#[derive(Clone, Copy, Debug, Deserialize)]
struct FlownPass {
    crosswind_mps: Option<f64>,
}

/// A piece of the flown track in one phase.
#[derive(Clone, Debug, Deserialize)]
pub(super) struct Piece {
    pub phase: String,
    pub leg: Option<String>,
    pub line: Vec<Position>,
}

impl Legs {
    pub fn parse(text: &str, path: &Path) -> Result<Self, InputError> {
        serde_json::from_str(text).map_err(|error| {
            let problem = format!("not a whole debrief: {error}");
            refused(path, problem, "debrief the log again with this version")
        })
    }

    /// Wind across a leg on its first passage.
    pub fn crosswind_mps(&self, leg: &FlownLeg) -> Option<f64> {
        let first = leg.passes.first()?;
        self.passes.get(*first)?.crosswind_mps
    }

    /// Its words that tables hold.
    fn words(&self) -> impl Iterator<Item = &str> {
        let legs = self.legs.iter().flat_map(|leg| [&leg.leg, &leg.state]);
        let pieces = self.track.iter();
        let pieces = pieces.flat_map(|piece| std::iter::once(&piece.phase).chain(&piece.leg));
        let words = std::iter::once(&self.version).chain(legs).chain(pieces);
        words.map(String::as_str)
    }
}

impl Document {
    /// Reads the `debrief.json` that a debrief wrote.
    ///
    /// # Errors
    /// When the file cannot be read, is not a debrief, is one of another form of it, was changed since, or names no track
    /// log by which the flight is known again.
    pub fn read(path: &Path) -> Result<Self, InputError> {
        Self::parse(read::text(path)?, path)
    }

    /// As [`read`](Self::read), of the text of a `debrief.json`; `path` is what messages call it.
    ///
    /// # Errors
    /// As [`read`](Self::read) has them, except those of the medium.
    pub fn parse(text: String, path: &Path) -> Result<Self, InputError> {
        let sortie = Sortie::parse(&text, path)?;
        let legs = Legs::parse(&text, path)?;
        let again = "debrief the log again with this version";
        if legs.words().any(|word| word.contains(is_harmful)) {
            let problem = "cannot be used: a name in it holds control characters, or marks of the direction of writing";
            return Err(refused(path, problem, again));
        }
        if sortie
            .pilot
            .as_deref()
            .is_some_and(|pilot| !is_person_name(pilot))
        {
            let problem = "cannot be used: its `pilot` is not the name of a person";
            return Err(refused(path, problem, again));
        }
        let logs: Vec<_> = sortie
            .inputs
            .iter()
            .filter(|input| input.role == "track")
            .collect();
        if logs.is_empty() || !logs.iter().all(|log| is_digest(&log.sha256)) {
            let problem =
                "names no track log with its SHA-256, by which its flight would be known again";
            return Err(refused(path, problem, again));
        }
        Ok(Self { text, sortie, legs })
    }

    /// Who flew it, if the tasking said so.
    #[must_use]
    pub fn pilot(&self) -> Option<&str> {
        self.sortie.pilot.as_deref()
    }

    /// Name of the sortie.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.sortie.name
    }

    /// The file it was read from.
    #[must_use]
    pub fn file(&self) -> &Path {
        &self.sortie.file
    }

    /// The text of the `debrief.json`, which is what its seal says.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// SHA-256 of the whole text.
    pub(super) fn sha256(&self) -> String {
        sha256_hex(self.text.as_bytes())
    }

    /// SHA-256 over the roles and digests of all its inputs, in the order of these, whatever the files are called.
    pub(super) fn inputs_sha256(&self) -> String {
        let inputs = self.sortie.inputs.iter();
        let mut lines: Vec<String> = inputs
            .map(|input| format!("{} {}\n", input.role, input.sha256))
            .collect();
        lines.sort();
        sha256_hex(lines.concat().as_bytes())
    }

    /// Digests of its track logs, each once.
    pub(super) fn logs(&self) -> Vec<&str> {
        let inputs = self.sortie.inputs.iter();
        let tracks = inputs.filter(|input| input.role == "track");
        let mut logs: Vec<&str> = tracks.map(|log| log.sha256.as_str()).collect();
        logs.sort_unstable();
        logs.dedup();
        logs
    }

    /// The planned search legs with what became of each.
    pub(super) fn search_legs(&self) -> impl Iterator<Item = (&Leg, &FlownLeg)> {
        let planned = self.sortie.search_legs().map(|(leg, _)| leg);
        planned.zip(&self.legs.legs)
    }

    /// The text, packed.
    pub(super) fn deflated(&self) -> std::io::Result<Vec<u8>> {
        let mut packed = Vec::new();
        DeflateEncoder::new(self.text.as_bytes(), Compression::default())
            .read_to_end(&mut packed)?;
        Ok(packed)
    }
}

fn is_digest(text: &str) -> bool {
    text.len() == 64
        && text
            .bytes()
            .all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b))
}

/// The `debrief.json` of an entry, unpacked, and found to be what was put in.
pub(super) fn inflated(
    connection: &Connection,
    path: &Path,
    entry: i64,
) -> Result<String, InputError> {
    let sql = "SELECT d.bytes, d.deflated, s.debrief_sha256 FROM documents d JOIN sorties s ON s.id = d.sortie_id \
               WHERE d.sortie_id = ?1";
    let kept: Option<(i64, Vec<u8>, String)> = connection
        .prepare_cached(sql)
        .and_then(|mut query| {
            let row = query.query_row([entry], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)));
            row.optional()
        })
        .map_err(|error| failed(path, &error))?;
    let Some((bytes, deflated, sha256)) = kept else {
        return Err(refused(
            path,
            format!("holds no debrief of entry {entry}"),
            RESTORE,
        ));
    };
    let mut text = String::new();
    // No more than was put in: a blob made to be unpacked without end stops there.
    let most = u64::try_from(bytes).unwrap_or(0).min(read::MOST_BYTES) + 1;
    let read = DeflateDecoder::new(deflated.as_slice())
        .take(most)
        .read_to_string(&mut text);
    match read {
        Ok(_) if sha256_hex(text.as_bytes()) == sha256 => Ok(text),
        _ => Err(damaged(
            path,
            &format!("the debrief of entry {entry} is not the one that was added"),
        )),
    }
}
