//! Names that try to be markup, formulas, commands of a terminal or paths, through every report.

use crate::support::{self, TASKING};
use crate::turn;
use assert_cmd::Command;
use overflown::characters::is_harmful;
use overflown::debrief::{Debrief, debrief, seal};
use overflown::plan::{arithmetic, survey};
use overflown::preflight::{Questions, preflight};
use overflown::report::also::Also;
use overflown::report::csv::{legs_csv, text_cell};
use overflown::report::drawing::Paper;
use overflown::report::plan::PlanReport;
use overflown::report::{self, File};
use overflown::search::{Sortie, Wants, search};
use overflown::simulate::{Settings, gpx_out, simulate};
use overflown::tasking::parse;
use quick_xml::Reader;
use quick_xml::events::Event;
use std::collections::BTreeSet;
use std::path::Path;

const NAMES: [&str; 30] = [
    "<script>alert(1)</script>",
    "\" onload=\"alert(1)",
    "'><svg/onload=alert(1)>",
    "</title><img src=x onerror=alert(1)>",
    "]]><x/>",
    "--><x/><!--",
    "</style><script>",
    "&b; &#0; &lt;script&gt;",
    "=1+1",
    "+1",
    "-1",
    "@SUM(A1)",
    "\t=1",
    "\r=1",
    " =1",
    "\u{FF1D}1",
    "\"=1\",2",
    "A,B;C",
    "\u{1b}[2J\u{1b}]0;title\u{7}",
    "\u{9b}31m",
    "Alpha\u{202e}gpx.exe",
    "\u{2066}a\u{2069}\u{200f}\u{061c}",
    "a\nerror: no\r\nhint: b",
    "a\u{2028}b\u{2029}c\u{85}d",
    "a\0b\u{FFFE}\u{FFFF}",
    "../../x",
    "C:\\x\\NUL",
    "\\u{41}\\x41",
    "# [x](javascript:alert(1)) `x`",
    "\"\"\"\n[detection]\nlaw = \"x\"",
];

/// All of them as one.
fn all() -> String {
    NAMES.join(" ")
}

/// Elements, attributes and what attributes point at: what a page does.
fn markup(xml: &str) -> BTreeSet<String> {
    let mut reader = Reader::from_str(xml);
    reader.config_mut().check_end_names = false;
    reader.config_mut().allow_unmatched_ends = true;
    let mut found = BTreeSet::new();
    loop {
        match reader.read_event().expect("well-formed") {
            Event::Eof => return found,
            Event::Start(tag) | Event::Empty(tag) => {
                let name = tag.name().as_ref().to_owned();
                for attribute in tag.html_attributes() {
                    let attribute = attribute.expect("a well-formed attribute");
                    let key = attribute.key.as_ref();
                    found.insert(format!("{name} {key}"));
                    if ["href", "xlink:href", "src"].contains(&key) {
                        let target = attribute.value.split(',').next().unwrap_or_default();
                        found.insert(format!(
                            "{name} {key} {}",
                            target.split('#').next().unwrap()
                        ));
                    }
                }
                found.insert(name);
            }
            Event::PI(_) | Event::DocType(_) => {
                found.insert("declaration".to_owned());
            }
            _ => {}
        }
    }
}

/// A page without what stands in its scripts, which is no markup; how many there are stays to be seen.
fn without_scripts(page: &str) -> String {
    let mut parts = page.split("<script");
    let mut rest = parts.next().unwrap_or_default().to_owned();
    for script in parts {
        let (_, after) = script
            .split_once("</script>")
            .expect("an end of the script");
        rest.push_str("<script/>");
        rest.push_str(after);
    }
    rest
}

/// Whether a report does no harm: as much markup as the same report with a plain name, and only characters
/// that stand for something.
fn harmless(file: &File, plain: &File) {
    let name = file.name;
    assert_eq!(name, plain.name);
    if Path::new(name)
        .extension()
        .is_some_and(|e| e == "png" || e == "tif")
    {
        return;
    }
    let text = std::str::from_utf8(&file.bytes).unwrap();
    let plain = std::str::from_utf8(&plain.bytes).unwrap();
    match name.rsplit('.').next().unwrap() {
        "html" | "kml" | "gpx" | "svg" => {
            let strip = |page: &str| without_scripts(&page.replacen("<!DOCTYPE html>", "", 1));
            let scripts = |page: &str| page.matches("<script").count();
            assert_eq!(scripts(text), scripts(plain), "{name}");
            let (found, expected) = (markup(&strip(text)), markup(&strip(plain)));
            let more: Vec<_> = found.difference(&expected).collect();
            assert!(more.is_empty(), "{name}: {more:?}");
            if name != "report.html" && !name.ends_with(".html") {
                roxmltree::Document::parse(text).expect(name);
            }
            assert!(
                !text.contains(|c| is_harmful(c) && c != '\n' && c != '\t'),
                "{name}"
            );
        }
        // What is harmful is escaped or a part of the text that it is.
        "json" | "geojson" => drop(serde_json::from_str::<serde_json::Value>(text).expect(name)),
        "toml" | "txt" | "csv" => {
            let bad: Vec<char> = text
                .chars()
                .filter(|c| is_harmful(*c) && !"\r\n".contains(*c))
                .collect();
            assert!(bad.is_empty(), "{name}: {bad:?}");
        }
        other => panic!("{other} is not checked"),
    }
}

fn flown() -> Debrief {
    let (tasking, plan) = support::tasking(TASKING);
    let settings = Settings {
        faults: support::many_faults(),
        ..Settings::for_tasking(&tasking)
    };
    let fixes = simulate(&plan, &settings, 5).unwrap().fixes;
    debrief(&support::track(fixes), Path::new("log"), &tasking, &plan).unwrap()
}

/// The debrief with this text wherever one comes from a file.
fn called(debrief: &Debrief, name: &str) -> Debrief {
    let mut debrief = debrief.clone();
    let own = |text: &mut String| name.clone_into(text);
    own(&mut debrief.sortie);
    debrief.pilot = Some(name.to_owned());
    debrief.log.track_name = Some(name.to_owned());
    debrief.plan.search_object = Some(name.to_owned());
    debrief
        .inputs
        .iter_mut()
        .for_each(|input| own(&mut input.name));
    debrief.plan.notes.push(name.to_owned());
    debrief.remarks.push(name.to_owned());
    debrief.legs[0].leg = name.to_owned();
    debrief.passes[0].leg = name.to_owned();
    debrief.plan.legs[0].label = name.to_owned();
    if let Some(strip) = debrief.strips.first_mut() {
        own(&mut strip.leg);
    }
    for leg in debrief.refly.legs.iter_mut().take(1) {
        leg.mends.iter_mut().for_each(own);
    }
    debrief
}

#[test]
fn names_do_nothing_in_the_reports_of_a_debrief() {
    let _turn = turn();
    let debrief = flown();
    assert!(!debrief.refly.legs.is_empty() && !debrief.strips.is_empty());
    let drawn = |name: &str| {
        let debrief = called(&debrief, name);
        let paper = Paper::default();
        let mut files = report::files(&debrief, paper).unwrap();
        files.extend(report::also::files(&debrief, &Also::ALL, paper).unwrap());
        files
    };
    let (files, plain) = (drawn(&all()), drawn("Heron"));
    assert!(files.len() >= 19);
    for (file, plain) in files.iter().zip(&plain) {
        harmless(file, plain);
    }
    for style in [report::text::Style::Plain, report::text::Style::Coloured] {
        let text = report::text::report(&called(&debrief, &all()), style);
        let plain = report::text::report(&debrief, style);
        let codes = |text: &str| {
            text.split('\u{1b}')
                .skip(1)
                .map(|c| c.split('m').next().unwrap().to_owned())
                .collect::<BTreeSet<_>>()
        };
        assert!(codes(&text).is_subset(&codes(&plain)), "{:?}", codes(&text));
    }
    // A sortie with such names is no sortie of a search.
    let json = report::json::json(&called(&debrief, &all())).unwrap();
    let error = Sortie::parse(std::str::from_utf8(&json).unwrap(), Path::new("d")).unwrap_err();
    assert!(error.problem.contains("control characters"), "{error}");
}

#[test]
fn no_name_is_a_formula_in_a_table() {
    let _turn = turn();
    for name in NAMES {
        let mut debrief = crate::names::flown_once().clone();
        name.clone_into(&mut debrief.legs[0].leg);
        let text = legs_csv(&debrief);
        let mut rows = csv::Reader::from_reader(text.as_bytes());
        let columns = rows.headers().unwrap().len();
        let first = rows.records().next().unwrap().unwrap();
        assert_eq!(first.len(), columns, "{name:?}");
        let cell = first[0].to_owned();
        assert!(
            !cell.starts_with(['=', '+', '-', '@', '\t', '\r', '\u{FF1D}']),
            "{name:?}: {cell:?}"
        );
        assert!(
            !cell.trim_start().starts_with(['=', '+', '-', '@']),
            "{name:?}: {cell:?}"
        );
    }
    assert_eq!(text_cell("R1"), "R1");
    assert_eq!(text_cell("=1"), "'=1");
    assert_eq!(text_cell("a\"b,c"), "\"a\"\"b,c\"");
}

fn flown_once() -> &'static Debrief {
    static FLOWN: std::sync::OnceLock<Debrief> = std::sync::OnceLock::new();
    FLOWN.get_or_init(flown)
}

#[test]
fn names_do_nothing_in_the_files_of_a_plan() {
    let _turn = turn();
    let drawn = |name: &str| {
        let (mut tasking, mut plan) = support::tasking(TASKING);
        name.clone_into(&mut tasking.sortie);
        tasking.detection.search_object = Some(name.to_owned());
        tasking.source.name = name.to_owned();
        name.clone_into(&mut plan.legs[0].label);
        plan.notes.push(name.to_owned());
        let rows = arithmetic::leg_table(&plan, tasking.flight.ground_speed);
        let corners = survey::area_corners(&plan);
        let preflight = preflight(&tasking, Path::new("t"), &plan, &Questions::default());
        let text = report::preflight_text::text(&tasking, &plan, &preflight);
        let mut files = report::plan::files(&PlanReport {
            tasking: &tasking,
            plan: &plan,
            rows: &rows,
            corners: &corners,
            preflight: &preflight,
        })
        .unwrap();
        files.push(File {
            name: "preflight.txt",
            bytes: text.into_bytes(),
        });
        files
    };
    for (file, plain) in drawn(&all()).iter().zip(&drawn("Heron")) {
        harmless(file, plain);
    }
}

#[test]
fn names_do_nothing_in_the_reports_of_a_search() {
    let _turn = turn();
    let drawn = |name: &str| {
        let mut sortie = Sortie::of(flown_once()).unwrap();
        name.clone_into(&mut sortie.name);
        sortie.plan.search_object = Some(name.to_owned());
        sortie
            .inputs
            .iter_mut()
            .for_each(|input| name.clone_into(&mut input.name));
        name.clone_into(&mut sortie.plan.legs[0].label);
        let wants = Wants {
            name: name.to_owned(),
            ..Wants::default()
        };
        let search = search(vec![sortie], &wants).unwrap();
        let mut files = report::search::files(&search, &[]).unwrap();
        files.push(File {
            name: "search.txt",
            bytes: report::search::text::report(&search).into_bytes(),
        });
        files
    };
    let (hostile, plain) = (drawn(&all()), drawn("Heron"));
    assert!(hostile.len() >= 4);
    for file in &hostile {
        // A re-fly cannot be tasked under such a name, and the report says so.
        harmless(
            file,
            plain.iter().find(|plain| plain.name == file.name).unwrap(),
        );
    }
}

/// A fix whose clock was thousands of years off costs a gap, not a timeline with a mark for every hour.
#[test]
fn a_stray_time_draws_no_endless_timeline() {
    let _turn = turn();
    let (tasking, plan) = support::tasking(TASKING);
    let fixes = simulate(&plan, &Settings::for_tasking(&tasking), 5)
        .unwrap()
        .fixes;
    for time in [
        "0000-01-01T00:00:00Z",
        "1980-01-06T00:00:00Z",
        "9999-12-31T23:59:59Z",
    ] {
        let mut stray = fixes.clone();
        let at = if time.starts_with('9') {
            stray.len() - 1
        } else {
            0
        };
        stray[at].time = time.parse().unwrap();
        let debrief = debrief(&support::track(stray), Path::new("log"), &tasking, &plan).unwrap();
        let whole = flown_once();
        assert!(debrief.log.gaps.len() == 1, "{time}");
        let marks = report::charts::clock::phases(&debrief).shapes.len();
        assert!(
            marks < report::charts::clock::phases(whole).shapes.len() + 100,
            "{marks}"
        );
    }
}

/// A tasking with such a text is refused with the line, and the message does nothing either.
#[test]
fn a_tasking_with_harmful_characters_is_refused() {
    let _turn = turn();
    for c in [
        '\u{1b}', '\u{202e}', '\u{2066}', '\u{2028}', '\u{200f}', '\n', '\0',
    ] {
        let escaped = format!("Heron\\u{:04X}", u32::from(c));
        for (from, to) in [
            ("\"Heron 3\"".to_owned(), format!("\"{escaped}\"")),
            (
                "[detection]".to_owned(),
                format!("[detection]\nsearch_object = \"{escaped}\""),
            ),
        ] {
            let error = parse(&TASKING.replace(&from, &to), Path::new("t.toml")).unwrap_err();
            assert!(error.line.is_some(), "{error}");
            let said = format!("{error} {}", error.hint);
            assert!(said.contains(&format!("U+{:04X}", u32::from(c))), "{said}");
            assert!(!said.contains(is_harmful), "{said:?}");
        }
    }
    for name in [
        "..", "../x", "NUL", "com1", "a/b", "a\\\\b", ".x", "x.", "a:b",
    ] {
        let text = TASKING.replace("\"Heron 3\"", &format!("\"{name}\""));
        let error = parse(&text, Path::new("t.toml")).unwrap_err();
        assert!(error.problem.contains("names the result folder"), "{error}");
    }
}

/// From end to end: a log whose own name and whose track's name steer a terminal.
#[cfg(unix)]
#[test]
fn nothing_steers_the_terminal() {
    let _turn = turn();
    let folder = tempfile::tempdir().unwrap();
    let (tasking, plan) = support::tasking(TASKING);
    let fixes = simulate(&plan, &Settings::for_tasking(&tasking), 5)
        .unwrap()
        .fixes;
    let mut log = Vec::new();
    gpx_out::write(&mut log, "NAME", &fixes).unwrap();
    let log = String::from_utf8(log)
        .unwrap()
        .replace("NAME", "A\u{202e}B\u{9b}2J &lt;script&gt;");
    let path = folder.path().join("log\u{1b}[2J\n\u{202e}.gpx");
    std::fs::write(&path, &log).unwrap();
    let tasking = folder.path().join("tasking.toml");
    std::fs::write(&tasking, TASKING).unwrap();
    let cut = folder.path().join("cut\u{1b}[31m.gpx");
    std::fs::write(&cut, &log[..log.len() / 2]).unwrap();
    for arguments in [
        vec!["inspect".as_ref(), path.as_os_str()],
        vec!["inspect".as_ref(), cut.as_os_str()],
        vec![
            "debrief".as_ref(),
            path.as_os_str(),
            "--tasking".as_ref(),
            tasking.as_os_str(),
        ],
        vec![
            "debrief".as_ref(),
            cut.as_os_str(),
            "--tasking".as_ref(),
            tasking.as_os_str(),
        ],
    ] {
        let output = Command::cargo_bin("overflown")
            .unwrap()
            .current_dir(folder.path())
            .args(&arguments)
            .output()
            .unwrap();
        for stream in [output.stdout, output.stderr] {
            let text = String::from_utf8(stream).unwrap();
            let bad: Vec<char> = text
                .chars()
                .filter(|c| is_harmful(*c) && *c != '\n')
                .collect();
            assert!(bad.is_empty(), "{arguments:?}: {bad:?}\n{text}");
        }
    }
    let page = std::fs::read_to_string(folder.path().join("out/Heron 3/report.html")).unwrap();
    // The flight for the script of the page, and the script.
    assert_eq!(page.matches("<script").count(), 2);
    assert!(!page.contains('\u{202e}'));
}

/// A debrief sealed anew with another name is refused, and no folder leads out.
#[test]
fn a_forged_debrief_is_refused() {
    let _turn = turn();
    let json = String::from_utf8(report::json::json(flown_once()).unwrap()).unwrap();
    let body = json[..json.rfind(",\n  \"sha256\"").unwrap()].to_owned() + "\n}\n";
    assert!(Sortie::parse(&seal::sealed(&body), Path::new("d")).is_ok());
    for (from, to) in [
        ("\"sortie\": \"Heron 3\"", "\"sortie\": \"a\\u001b[2J\""),
        ("\"sortie\": \"Heron 3\"", "\"sortie\": \"a\\u202eb\""),
    ] {
        assert!(body.contains(from));
        let forged = seal::sealed(&body.replacen(from, to, 1));
        let error = Sortie::parse(&forged, Path::new("d")).unwrap_err();
        assert!(error.problem.contains("control characters"), "{error}");
    }
}
