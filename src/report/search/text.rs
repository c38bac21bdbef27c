//! The report of a search for the terminal and as `search.txt`: at most 100 columns.

use super::words;
use crate::characters::visible;
use crate::report::format::{
    bytes, course, gain, nm, nm_figure, percent, pod_with_band, square_nm,
};
use crate::report::refly_words;
use crate::report::table::{Align::Left, Align::Right, table};
use crate::report::wrap::hanging;
use crate::search::{Search, SearchStrip};

/// The report.
#[must_use]
pub fn report(search: &Search) -> String {
    let mut text = hanging("", &words::title(search));
    text.push_str(&hanging("", &words::headline(search)));
    text.push('\n');
    for part in [
        key_figures(search),
        sorties(search),
        sub_areas(search),
        strips(search),
        refly(search),
        bear_in_mind(search),
        inputs(search),
    ] {
        text.push_str(&part);
        text.push('\n');
    }
    // No name that a file gives steers the terminal.
    let lines: Vec<String> = text.trim_end().lines().map(visible).collect();
    lines.join("\n") + "\n"
}

fn key_figures(search: &Search) -> String {
    let mut rows = vec![
        ["POD over the ground".to_owned(), pod_with_band(&search.pod)],
        ["POS".to_owned(), words::pos(search)],
        ["what remains".to_owned(), words::remains(search)],
        [
            "strips to re-fly".to_owned(),
            format!("{} of {}", search.strips_to_refly(), search.strips.len()),
        ],
    ];
    if let Some(target) = search.target_pod {
        rows.push(["POD wanted".to_owned(), percent(target)]);
    }
    rows.iter()
        .map(|[name, figure]| format!("  {name:<19}  {figure}\n"))
        .collect()
}

fn sorties(search: &Search) -> String {
    let flown: Vec<Vec<String>> = search
        .sorties
        .iter()
        .map(|sortie| {
            vec![
                visible(&sortie.name),
                sortie.date.to_string(),
                words::times(sortie),
                sortie.pattern.name().to_owned(),
                nm_figure(sortie.spacing, 2),
                nm_figure(sortie.sweep_width, 2),
                sortie.law.to_owned(),
            ]
        })
        .collect();
    let brought: Vec<Vec<String>> = search
        .sorties
        .iter()
        .map(|sortie| {
            vec![
                visible(&sortie.name),
                percent(sortie.step.pod_alone),
                pod_with_band(&sortie.step.cumulative),
                percent(sortie.step.pos),
                words::cumulative_pos(sortie),
            ]
        })
        .collect();
    let flown = table(
        &[
            ("sortie", Left),
            ("date", Left),
            ("UTC", Left),
            ("pattern", Left),
            ("S NM", Right),
            ("W NM", Right),
            ("law", Left),
        ],
        &flown,
    );
    let brought = table(
        &[
            ("sortie", Left),
            ("POD alone", Right),
            ("POD so far", Right),
            ("POS added", Right),
            ("POS so far", Right),
        ],
        &brought,
    );
    format!("Sorties, in the order flown\n{flown}\nWhat they brought\n{brought}")
}

fn sub_areas(search: &Search) -> String {
    let rows: Vec<Vec<String>> = search
        .sub_areas
        .iter()
        .map(|sub_area| {
            vec![
                visible(&sub_area.name),
                square_nm(sub_area.area_m2),
                percent(sub_area.poc),
                pod_with_band(&sub_area.pod_band),
                percent(sub_area.poc_left),
                percent(sub_area.poc_left_normalised),
            ]
        })
        .collect();
    let columns = [
        ("sub-area", Left),
        ("ground", Right),
        ("POC before", Right),
        ("POD", Right),
        ("POC left", Right),
        ("of all left", Right),
    ];
    format!("Sub-areas\n{}", table(&columns, &rows))
}

/// The strips below target, those first that one more pass would gain most on.
fn strips(search: &Search) -> String {
    let below: Vec<&SearchStrip> = search
        .strips
        .iter()
        .filter(|strip| strip.strip.needs_refly())
        .collect();
    if below.is_empty() {
        return "Strips: none is left with a hole\n".to_owned();
    }
    let mut text = "Strips with holes, by what one more pass would gain (POS)\n".to_owned();
    for strip in below {
        let flown: Vec<String> = strip.flown_by.iter().map(words::flown_by).collect();
        let flown = if flown.is_empty() {
            "flown over by nobody".to_owned()
        } else {
            format!("flown over by {}", flown.join("; "))
        };
        text.push_str(&hanging(
            &format!("  strip {}  ", strip.strip.leg),
            &format!(
                "gain {}; POD {}, {} wanted; {}; {flown}",
                gain(strip.gain),
                pod_with_band(&strip.pod_band),
                percent(strip.target_pod),
                words::holes(strip).join(", ")
            ),
        ));
    }
    text
}

fn refly(search: &Search) -> String {
    let refly = &search.refly;
    if refly.legs.is_empty() {
        return "Re-fly: nothing to fly again\n".to_owned();
    }
    let rows: Vec<Vec<String>> = refly
        .legs
        .iter()
        .map(|leg| {
            vec![
                leg.label.clone(),
                course(leg.course),
                nm(leg.length, 2),
                leg.start.to_string(),
                leg.end.to_string(),
            ]
        })
        .collect();
    let columns = [
        ("leg", Right),
        ("course", Right),
        ("length", Right),
        ("from", Left),
        ("to", Left),
    ];
    let mut text = format!(
        "Re-fly ({})\n{}",
        refly_words::named(search.refly_tasked.as_ref()),
        table(&columns, &rows)
    );
    for leg in &refly.legs {
        text.push_str(&hanging(
            &format!("  {} mends ", leg.label),
            &leg.mends.join(", "),
        ));
    }
    text.push_str(&hanging("  ", &refly_words::cost(refly)));
    text.push_str(&hanging("  ", &refly_words::gain(refly)));
    if let Some(left) = words::strips_left(search) {
        text.push_str(&hanging("  ", &left));
    }
    text
}

fn bear_in_mind(search: &Search) -> String {
    let mut text = "To bear in mind\n".to_owned();
    for words in search.remarks.iter().chain(&search.cautions) {
        text.push_str(&hanging("  - ", words));
    }
    text
}

fn inputs(search: &Search) -> String {
    let mut text = "Files this rests on\n".to_owned();
    for input in &search.inputs {
        let size = bytes(input.bytes);
        text.push_str(&hanging(
            "  ",
            &format!("{} ({}), {size}, SHA-256", input.name, input.role),
        ));
        text.push_str(&format!("    {}\n", input.sha256));
    }
    text
}
