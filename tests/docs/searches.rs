//! The search file, and the files of a search.

use crate::{METHOD, SEARCH, blocks, collect, eventful, names, under};
use overflown::geodesy::Position;
use overflown::report;
use overflown::search::{Sortie, Wants, search};
use serde_json::Value;
use std::collections::BTreeSet;

/// Every key of a search file is in its document, and the example there is read.
#[test]
fn every_key_of_a_search_file_is_documented() {
    for (section, keys) in overflown::tasking::known_search_keys() {
        for key in keys {
            assert!(names(SEARCH, key), "{key} of {section}");
        }
    }
    let example = blocks(SEARCH, "toml");
    assert_eq!(example.len(), 1);
    let path = std::path::Path::new("search.toml");
    let task = overflown::tasking::parse_search(example[0], path).unwrap();
    assert_eq!(task.sub_areas.len(), 2);
}

/// Every key of `search.json` is in its document, of a search with something of everything.
#[test]
fn every_key_of_a_search_is_documented() {
    let debriefs = ["Heron 3", "Heron 4"].map(|name| {
        let mut debrief = eventful();
        debrief.sortie = name.to_owned();
        for input in &mut debrief.inputs {
            input.sha256 = name.to_owned();
        }
        debrief
    });
    let sorties = debriefs.iter().map(|debrief| Sortie::of(debrief).unwrap());
    let wants = Wants {
        name: "North".into(),
        target_pod: Some(0.9),
        base: Position::new(46.46, 10.98),
        ..Wants::default()
    };
    let result = search(sorties.collect(), &wants).unwrap();
    let files = report::search::files(&result, &[]).unwrap();
    let file = files.iter().find(|file| file.name == "search.json");
    let value: Value = serde_json::from_slice(&file.unwrap().bytes).unwrap();
    for path in [
        "/inputs/0",
        "/sorties/1/cumulative/low",
        "/sorties/1/poc/0",
        "/sub_areas/0/corners/0",
        "/target_pod",
        "/strips/0/holes/0/span",
        "/strips/0/tasked/0",
        "/strips/9/flown_by/0",
        "/refly/legs/0",
        "/remarks/0",
        "/cautions/0",
    ] {
        assert!(value.pointer(path).is_some_and(|v| !v.is_null()), "{path}");
    }
    for file in &files {
        assert!(names(SEARCH, file.name), "{} is not named", file.name);
    }
    let shared = under(SEARCH, "### Shared shapes");
    let top = under(SEARCH, "### Top level");
    for (key, part) in value.as_object().unwrap() {
        assert!(names(top, key), "{key} is not under Top level");
        let (mut keys, mut words) = (BTreeSet::new(), BTreeSet::new());
        collect(part, &mut keys, &mut words);
        if keys.is_empty() || key == "pod" {
            continue;
        }
        let own = under(SEARCH, &format!("### `{key}`"));
        for name in keys.iter().chain(&words) {
            assert!(
                names(own, name) || names(shared, name),
                "{name} of {key} is not documented"
            );
        }
    }
    assert!(names(top, overflown::search::SCHEMA));
}

/// Which rule for looks one after the other is used, and which is not, stands in the method and in every search.
#[test]
fn the_rule_of_the_older_chart_is_named() {
    let two_looks: f64 = 1.0 - (1.0 - 0.6) * (1.0 - 0.6);
    assert_eq!(format!("{:.0}", 100.0 * two_looks), "84");
    let method = METHOD.replace('\n', " ");
    assert!(method.contains(
        "The older US inland chart combines 60 % and 60 % to 80 % where this gives 84 %; that rule is not used."
    ));
    let sortie = Sortie::of(&eventful()).unwrap();
    let result = search(vec![sortie], &Wants::default()).unwrap();
    assert!(result.remarks.iter().any(|remark| {
        remark.contains("older inland tables combine 60 % and 60 % to 80 %, where this gives 84 %")
    }));
}
