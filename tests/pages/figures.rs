//! The report for the terminal and the page say the same.

use crate::samples::{names, sample};
use overflown::report::drawing::Paper;
use overflown::report::text::{Style, report};
use overflown::report::{self, File};
use std::collections::BTreeSet;

/// The numbers in a text: figures with their point, clock times, parts of places. Thousands are not parted.
fn numbers(text: &str) -> BTreeSet<String> {
    let part = |c: char| c.is_ascii_digit() || c == '.' || c == ':';
    text.replace(',', "")
        .split(|c| !part(c))
        .map(|word| word.trim_matches(['.', ':']).to_owned())
        .filter(|word| !word.is_empty())
        .collect()
}

/// What a page says outside its script, its style and its pictures.
fn said(page: &str) -> String {
    let mut text = page.to_owned();
    for (open, close) in [
        ("<script", "</script>"),
        ("<style", "</style>"),
        ("<svg", "</svg>"),
    ] {
        while let Some((before, rest)) = text.split_once(open) {
            let after = rest.split_once(close).unwrap().1;
            text = format!("{before} {after}");
        }
    }
    text.split('<')
        .map(|part| part.split_once('>').map_or(part, |(_, words)| words))
        .collect::<Vec<_>>()
        .join(" ")
}

#[test]
fn the_page_has_every_figure_of_the_text() {
    for name in names() {
        let debrief = sample(&name);
        let text = report(&debrief, Style::Plain);
        assert!(
            text.lines().all(|line| line.chars().count() <= 100),
            "{name}"
        );
        let page = report::html::report_html(&debrief).unwrap();
        let (text, page) = (numbers(&text), numbers(&said(&page)));
        assert!(text.len() > 100);
        let missing: Vec<&String> = text.difference(&page).collect();
        assert!(missing.is_empty(), "{name}: {missing:?}");
    }
}

/// Colour is the only difference between the report on a terminal and in the file.
#[test]
fn the_terminal_shows_the_file() {
    let debrief = sample("faults");
    let files: Vec<File> = report::files(&debrief, Paper::default()).unwrap();
    let file = files.iter().find(|file| file.name == "report.txt").unwrap();
    let coloured = report(&debrief, Style::Coloured);
    assert!(coloured.contains('\u{1b}'));
    let mut plain = String::new();
    let mut rest = coloured.as_str();
    while let Some((before, after)) = rest.split_once('\u{1b}') {
        plain.push_str(before);
        rest = after.split_once('m').unwrap().1;
    }
    plain.push_str(rest);
    assert_eq!(plain.as_bytes(), file.bytes);
}
