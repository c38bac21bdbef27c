//! The documents say what the program does: examples work, and every key is named.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod debriefs;
mod method;
mod plans;
mod searches;
#[path = "../support/mod.rs"]
mod support;
mod taskings;

use overflown::debrief::{Debrief, debrief};
use overflown::input::InputFile;
use overflown::simulate::{Fault, Settings, Wind, simulate};
use overflown::terrain::{Ground, VerticalReference};
use overflown::track::clean::{CleanSettings, clean};
use overflown::units::{Bearing, Length, Speed};
use serde_json::Value;
use std::collections::BTreeSet;
use std::path::Path;

const TASKING_FILE: &str = include_str!("../../docs/tasking-file.md");
const REPORT: &str = include_str!("../../docs/report.md");
const SCHEMA: &str = include_str!("../../docs/debrief.schema.json");
const SEARCH: &str = include_str!("../../docs/search-file.md");
const PLAN: &str = include_str!("../../docs/plan.md");
const METHOD: &str = include_str!("../../docs/method.md");
const ARCHITECTURE: &str = include_str!("../../docs/architecture.md");
const DEVELOPERS: &str = include_str!("../../DEVELOPERS.md");
const MANIFEST: &str = include_str!("../../Cargo.toml");

/// The fenced blocks of a language.
fn blocks<'t>(text: &'t str, language: &str) -> Vec<&'t str> {
    let fence = format!("```{language}\n");
    text.split(&fence)
        .skip(1)
        .map(|rest| rest.split("```").next().unwrap())
        .collect()
}

/// What stands under a heading, up to the next one of any level.
fn under<'t>(text: &'t str, heading: &str) -> &'t str {
    let start = text
        .find(&format!("\n{heading}\n"))
        .unwrap_or_else(|| panic!("no heading {heading}"));
    let rest = &text[start + heading.len() + 2..];
    rest.find("\n#").map_or(rest, |end| &rest[..end])
}

fn names(text: &str, word: &str) -> bool {
    text.contains(&format!("`{word}`"))
}

/// A flight with something of everything that a debrief can report.
fn eventful() -> Debrief {
    let text = support::TASKING.replace(
        "sweep_width = \"0.5 NM\"",
        "search_object = \"a red tent\"\nobject = \"vehicle\"\nover = \"land\"\n\
         search_height = \"500 ft\"\nvisibility = \"10 km\"\nterrain = \"mountainous\"\nfatigued = true",
    );
    assert!(
        text.contains("terrain"),
        "the tasking has another sweep width"
    );
    let (tasking, plan) = support::tasking(&text);
    let settings = Settings {
        faults: [support::many_faults(), vec![Fault::ExtraAfter(7)]].concat(),
        wind: Wind {
            from: Bearing::from_deg(240.0),
            speed: Speed::from_kt(8.0),
        },
        ..Settings::for_tasking(&tasking)
    };
    let mut fixes = simulate(&plan, &settings, 1).unwrap().fixes;
    fixes.insert(100, fixes[99]);
    let mut track = clean(support::reading(fixes), &CleanSettings::default()).unwrap();
    track.ground = Some(Ground {
        heights: vec![Some(Length::from_m(300.0)); track.fixes.len()],
        tiles: vec![InputFile::of("terrain", Path::new("N46E011.hgt"), b"")],
        references: vec![VerticalReference::Egm96],
        without_tile: 0,
        in_void: 0,
    });
    debrief(&track, Path::new("simulated.gpx"), &tasking, &plan).unwrap()
}

/// Keys of all objects in `value`, and the words (not free texts) that stand for a choice.
fn collect(value: &Value, keys: &mut BTreeSet<String>, words: &mut BTreeSet<String>) {
    const CHOICES: [&str; 11] = [
        "role", "pattern", "kind", "phase", "state", "cause", "side", "law", "scanners", "status",
        "turn",
    ];
    match value {
        Value::Object(map) => {
            for (key, value) in map {
                keys.insert(key.clone());
                if let (true, Value::String(word)) = (CHOICES.contains(&key.as_str()), value) {
                    words.insert(word.clone());
                }
                collect(value, keys, words);
            }
        }
        Value::Array(items) => items.iter().for_each(|item| collect(item, keys, words)),
        _ => {}
    }
}
