//! The shape of the source: arrows between stages point one way, and files stay short.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use std::path::{Path, PathBuf};

/// Modules in the order of the flow; a module may use itself and those before it.
const FLOW: [&str; 29] = [
    "cautions",
    "units",
    "statistics",
    "characters",
    "input",
    "tiff_fault",
    "geodesy",
    // The laws and the sweep width alone: they know of no plan and no log.
    "detection",
    "terrain",
    "backdrop",
    "track",
    "tasking",
    "plan",
    "preflight",
    // Beside the flow: it makes tracks from plans, and nothing but the command line uses it.
    "simulate",
    "matching",
    "measure",
    // Beside the flow: it makes a tasking from a track where there is none.
    "infer",
    "coverage",
    "refly",
    "debrief",
    "search",
    "training",
    "logbook",
    "report",
    "batch",
    "cli",
    "lib",
    "main",
];

/// Longest source file without its tests, lines.
const MOST_LINES: usize = 500;

fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut files = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files.extend(sources(&path));
        } else if path.extension().is_some_and(|e| e == "rs") {
            files.push(path);
        }
    }
    files.sort();
    files
}

fn is_test_file(path: &Path) -> bool {
    path.components().any(|part| {
        let name = part.as_os_str().to_string_lossy();
        name == "tests" || name == "tests.rs" || name == "test_fixture"
    })
}

/// The file up to its module of tests, which stands last.
fn without_tests(text: &str) -> &str {
    let tests = [
        "#[cfg(test)]\nmod tests {",
        "#[cfg(test)]\npub(crate) mod tests {",
    ];
    tests
        .iter()
        .filter_map(|start| text.find(start))
        .min()
        .map_or(text, |at| &text[..at])
}

/// Every source file with its module and its text without tests.
fn modules() -> Vec<(PathBuf, String, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    sources(&root)
        .into_iter()
        .filter(|path| !is_test_file(path))
        .map(|path| {
            let text = std::fs::read_to_string(&path).unwrap();
            let inside = path.strip_prefix(&root).unwrap();
            let module = inside.components().next().unwrap().as_os_str();
            let module = module.to_string_lossy().trim_end_matches(".rs").to_owned();
            (inside.to_owned(), module, without_tests(&text).to_owned())
        })
        .collect()
}

/// Names of the top modules a text reaches through `crate::`, also those in braces.
fn used(text: &str) -> Vec<String> {
    let code: String = text
        .lines()
        .filter(|line| !line.trim_start().starts_with("//"))
        .flat_map(|line| [line, "\n"])
        .collect();
    let name = |text: &str| -> String {
        text.trim_start()
            .chars()
            .take_while(|c| c.is_ascii_alphanumeric() || *c == '_')
            .collect()
    };
    code.split("crate::")
        .skip(1)
        .flat_map(|after| match after.strip_prefix('{') {
            None => vec![name(after)],
            Some(list) => top_level_items(list)
                .iter()
                .map(|item| name(item))
                .collect(),
        })
        .collect()
}

/// The items of a braced list, those in inner braces not counted.
fn top_level_items(list: &str) -> Vec<String> {
    let mut items = vec![String::new()];
    let mut depth = 0;
    for c in list.chars() {
        match c {
            '{' => depth += 1,
            '}' if depth == 0 => break,
            '}' => depth -= 1,
            ',' if depth == 0 => items.push(String::new()),
            _ if depth == 0 => items.last_mut().unwrap().push(c),
            _ => {}
        }
    }
    items.retain(|item| !item.trim().is_empty());
    items
}

fn rank(module: &str) -> Option<usize> {
    FLOW.iter().position(|name| *name == module)
}

#[test]
fn a_stage_uses_no_later_one() {
    let mut edges = 0;
    let mut wrong = Vec::new();
    for (path, module, text) in modules() {
        let own = rank(&module).unwrap_or_else(|| panic!("{module} has no place in the flow"));
        for other in used(&text) {
            // A macro or an item of the crate's root has no module.
            let Some(theirs) = rank(&other) else {
                wrong.push(format!("{} uses crate::{other}", path.display()));
                continue;
            };
            edges += usize::from(theirs < own);
            let beside = other == "simulate" && !["simulate", "cli"].contains(&module.as_str());
            if theirs > own || beside {
                wrong.push(format!("{} uses crate::{other}", path.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(edges > 100, "only {edges} uses were found");
}

#[test]
fn files_are_short() {
    let long: Vec<String> = modules()
        .into_iter()
        .map(|(path, _, text)| (path, text.lines().count()))
        .filter(|(_, lines)| *lines > MOST_LINES)
        .map(|(path, lines)| format!("{}: {lines} lines", path.display()))
        .collect();
    assert!(long.is_empty(), "{long:#?}");
}

/// The search for uses finds what it is meant to find.
#[test]
fn uses_are_found() {
    let text = "use crate::report::text;\n// crate::cli::main\nuse crate::{\n    plan::{self, Leg},\n    \
                track,\n};\nfn f() { crate::units::wrap_360(1.0); }\n";
    assert_eq!(used(text), ["report", "plan", "track", "units"]);
}
