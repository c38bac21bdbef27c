//! `report.txt`: the debrief for a terminal, at most 100 columns wide.
//!
//! `overview` answers the first question (summary, strips, re-fly), `flight` tells how it was flown (legs,
//! turns, phases, handling), `above_ground` how high, `whole` how the pattern lay as a whole, `basis` what the figures rest on (log, plan).

mod above_ground;
mod basis;
mod flight;
mod overview;
mod whole;

use super::format::figure;
use super::wrap::{WIDTH, wrap};
use crate::debrief::Debrief;
use crate::units::Length;
use anstyle::Style as Ansi;

/// Whether to mark headings and states for a terminal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Style {
    /// No escape codes.
    Plain,
    /// Escape codes for bold and colour.
    Coloured,
}

/// The report.
#[must_use]
pub fn report(debrief: &Debrief, style: Style) -> String {
    let mut text = Text {
        out: String::new(),
        style,
    };
    overview::summary(&mut text, debrief);
    overview::strips(&mut text, debrief);
    overview::refly(&mut text, debrief);
    whole::distance(&mut text, debrief);
    whole::pattern(&mut text, debrief);
    flight::legs(&mut text, debrief);
    flight::additional(&mut text, debrief);
    flight::turns(&mut text, debrief);
    flight::outside(&mut text, debrief);
    flight::phases(&mut text, debrief);
    flight::handling(&mut text, debrief);
    above_ground::above_ground(&mut text, debrief);
    basis::log(&mut text, debrief);
    basis::plan(&mut text, debrief);
    basis::detection(&mut text, debrief);
    text.heading("To bear in mind");
    for line in debrief.remarks.iter().chain(&debrief.cautions) {
        text.paragraph(line);
    }
    text.out
}

struct Text {
    out: String,
    style: Style,
}

impl Text {
    fn line(&mut self, line: &str) {
        self.out.push_str(line);
        self.out.push('\n');
    }

    /// Words after `lead`, wrapped to the width; further lines are indented as far as the lead.
    fn wrapped(&mut self, lead: &str, words: &str, style: Ansi) {
        let indent = lead.chars().count();
        let lines = wrap(words, WIDTH - indent);
        for (i, line) in lines.iter().enumerate() {
            let lead = if i == 0 { lead } else { &" ".repeat(indent) };
            let line = self.styled(style, line);
            self.line(format!("{lead}{line}").trim_end());
        }
    }

    fn styled(&self, ansi: Ansi, words: &str) -> String {
        match self.style {
            Style::Coloured if ansi != Ansi::new() => format!("{ansi}{words}{ansi:#}"),
            _ => words.to_owned(),
        }
    }

    fn heading(&mut self, words: &str) {
        let words = self.styled(Ansi::new().bold(), words);
        self.line(&format!("\n{words}"));
    }

    /// A text with a dash before it.
    fn paragraph(&mut self, words: &str) {
        self.wrapped("  - ", words, Ansi::new());
    }

    /// A remark on the table or heading above.
    fn note(&mut self, words: &str) {
        self.wrapped("  ", words, Ansi::new());
    }

    fn facts(&mut self, facts: &[(&str, String)]) {
        let width = facts
            .iter()
            .map(|(name, _)| name.chars().count())
            .max()
            .unwrap_or(0);
        for (name, fact) in facts {
            self.wrapped(&format!("  {name:<width$}  "), fact, Ansi::new());
        }
    }
}

fn with<const N: usize, const M: usize>(a: [String; N], b: [String; M]) -> Vec<String> {
    a.into_iter().chain(b).collect()
}

fn signed_m(length: Length) -> String {
    let text = figure(length.m(), 0);
    if text == "0" || text.starts_with('-') {
        text
    } else {
        format!("+{text}")
    }
}
