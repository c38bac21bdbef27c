//! The class for the terminal and as `class.txt`: at most 100 columns.

use super::words;
use crate::characters::visible;
use crate::report::format::counted;
use crate::report::review::text::notes;
use crate::report::review::words as review_words;
use crate::report::table::{Align::Left, Align::Right, table};
use crate::report::wrap::hanging;
use crate::training::Class;

/// Pilots beside each other in one table, so that it is no wider than a terminal.
const BESIDE: usize = 3;

/// The report.
#[must_use]
pub fn report(class: &Class) -> String {
    let mut text = format!("Training review of {}\n\n", words::size(class));
    for part in [
        common(class),
        pilots(class),
        measures(class),
        notes(&class.remarks, &class.tolerances),
    ] {
        text.push_str(&part);
        text.push('\n');
    }
    // No name that a file gives steers the terminal.
    let lines: Vec<String> = text.trim_end().lines().map(visible).collect();
    lines.join("\n") + "\n"
}

fn common(class: &Class) -> String {
    let mut text = "To practise together\n".to_owned();
    for common in &class.common {
        let (what, who) = words::common(class, common);
        text.push_str(&hanging("  - ", &format!("{what} ({who})")));
    }
    if class.common.is_empty() {
        text.push_str(&hanging("  ", words::NOTHING));
    }
    text
}

fn pilots(class: &Class) -> String {
    let mut text = "Pilots\n".to_owned();
    for member in &class.pilots {
        let (first, latest) = (member.first.date_naive(), member.latest.date_naive());
        let flights = counted(member.flights, "flight");
        text.push_str(&hanging(
            "  ",
            &format!("{}: {flights}, {first} to {latest}", member.pilot),
        ));
        text.push_str(&hanging("    To practise: ", &words::practise(member)));
        for cause in &member.practise {
            text.push_str(&hanging("      Seen: ", &review_words::seen(cause)));
        }
        text.push_str(&hanging("    Better: ", &words::names(&member.better)));
        text.push_str(&hanging("    Worse: ", &words::names(&member.worse)));
    }
    text
}

fn measures(class: &Class) -> String {
    let mut text = format!("Measures\n{}", hanging("  ", words::FIGURES));
    for from in (0..class.pilots.len()).step_by(BESIDE) {
        let shown = from..(from + BESIDE).min(class.pilots.len());
        let mut columns = vec![("measure", Left), ("", Left)];
        columns.extend(
            class.pilots[shown.clone()]
                .iter()
                .map(|member| (member.pilot.as_str(), Right)),
        );
        let row = |compared: &crate::training::class::Compared| {
            let measure = compared.measure;
            let mut row = vec![
                measure.name().to_owned(),
                review_words::unit(measure).to_owned(),
            ];
            row.extend(
                compared.pilots[shown.clone()]
                    .iter()
                    .map(|standing| words::standing(measure, standing)),
            );
            row
        };
        let rows: Vec<Vec<String>> = class.measures.iter().map(row).collect();
        text.push_str(&table(&columns, &rows));
        text.push('\n');
    }
    text.pop();
    text
}
