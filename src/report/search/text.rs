//! The report of a search for the terminal and as `search.txt`.

use crate::report::format::{counted, duration, nm, percent};
use crate::report::refly_words;
use crate::report::table::{Align::Left, Align::Right, table};
use crate::report::text::Style;
use crate::report::wrap::hanging;
use crate::search::Search;

/// The report.
#[must_use]
pub fn report(search: &Search, _style: Style) -> String {
    let mut text = format!(
        "Search \"{}\": {}\n\n",
        search.name,
        counted(search.sorties.len(), "sortie")
    );
    let rows: Vec<Vec<String>> = search
        .sorties
        .iter()
        .map(|s| {
            vec![
                s.name.clone(),
                s.date.to_string(),
                s.pattern.name().to_owned(),
                nm(s.spacing, 2),
                percent(s.step.pod_alone),
                percent(s.step.pos),
                percent(s.step.cumulative.pod),
                percent(s.step.cumulative_pos),
            ]
        })
        .collect();
    text.push_str(&table(
        &[
            ("sortie", Left),
            ("date", Left),
            ("pattern", Left),
            ("S", Right),
            ("POD alone", Right),
            ("POS", Right),
            ("POD so far", Right),
            ("POS so far", Right),
        ],
        &rows,
    ));
    text.push('\n');
    for leg in &search.refly.legs {
        text.push_str(&format!(
            "{} {} {}\n",
            leg.label,
            leg.mends.join(", "),
            nm(leg.length, 2)
        ));
    }
    text.push_str(&hanging("", &refly_words::cost(&search.refly)));
    text.push_str(&hanging("", &refly_words::gain(&search.refly)));
    let _ = duration(0.0);
    text
}
