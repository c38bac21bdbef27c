//! The report of a search for the terminal and as `search.txt`: at most 100 columns.

use crate::report::format::{
    counted, course, nm, nm_figure, percent, pod_with_band, square_nm, utc,
};
use crate::report::table::{Align::Left, Align::Right, table};
use crate::report::wrap::hanging;
use crate::report::{refly_files, refly_words};
use crate::search::{Search, SearchStrip};

/// The report.
#[must_use]
pub fn report(search: &Search) -> String {
    let mut text = hanging("", &headline(search));
    text.push('\n');
    for part in [
        sorties(search),
        sub_areas(search),
        strips(search),
        refly(search),
        bear_in_mind(search),
    ] {
        text.push_str(&part);
        text.push('\n');
    }
    text.truncate(text.trim_end().len());
    text.push('\n');
    text
}

/// The search in one sentence.
#[must_use]
pub fn headline(search: &Search) -> String {
    format!(
        "Search \"{}\", {}: POD {} over the ground, found with a probability of {} (POS), {} of it left \
         there and {} elsewhere; {} of {} with holes.",
        search.name,
        counted(search.sorties.len(), "sortie"),
        pod_with_band(&search.pod),
        percent(search.pos),
        percent(search.poc_left),
        percent(search.poc_elsewhere),
        search.strips_to_refly(),
        counted(search.strips.len(), "strip"),
    )
}

fn sorties(search: &Search) -> String {
    let rows: Vec<Vec<String>> = search
        .sorties
        .iter()
        .map(|sortie| {
            vec![
                sortie.name.clone(),
                sortie.date.to_string(),
                sortie.pattern.name().to_owned(),
                nm_figure(sortie.spacing, 2),
                nm_figure(sortie.sweep_width, 2),
                percent(sortie.step.pod_alone),
                percent(sortie.step.pos),
                percent(sortie.step.cumulative.pod),
            ]
        })
        .collect();
    let columns = [
        ("sortie", Left),
        ("date", Left),
        ("pattern", Left),
        ("S NM", Right),
        ("W NM", Right),
        ("POD alone", Right),
        ("POS", Right),
        ("POD so far", Right),
    ];
    format!("Sorties, in the order flown\n{}", table(&columns, &rows))
}

fn sub_areas(search: &Search) -> String {
    let rows: Vec<Vec<String>> = search
        .sub_areas
        .iter()
        .map(|sub_area| {
            vec![
                sub_area.name.clone(),
                square_nm(sub_area.area_m2),
                percent(sub_area.poc),
                percent(sub_area.pod),
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
        let holes: Vec<String> = strip
            .strip
            .holes
            .iter()
            .map(|hole| {
                format!(
                    "{} {} to {}",
                    hole.cause.name(),
                    nm_figure(hole.span.from, 2),
                    nm(hole.span.to, 2)
                )
            })
            .collect();
        let flown: Vec<String> = strip
            .flown_by
            .iter()
            .map(|by| {
                format!(
                    "{} on leg {} at {} over {} of it",
                    by.sortie,
                    by.leg,
                    utc(by.from),
                    percent(by.share)
                )
            })
            .collect();
        let flown = if flown.is_empty() {
            "flown over by nobody".to_owned()
        } else {
            format!("flown over by {}", flown.join(", "))
        };
        text.push_str(&hanging(
            &format!("  strip {}  ", strip.strip.leg),
            &format!(
                "gain {}; POD {} of {} wanted; {}; {flown}",
                percent(strip.gain),
                percent(strip.strip.mean_pod),
                percent(strip.target_pod),
                holes.join(", ")
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
        refly_files::named(search.refly_tasked.as_ref()),
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
    text
}

fn bear_in_mind(search: &Search) -> String {
    let mut text = "To bear in mind\n".to_owned();
    for words in search.remarks.iter().chain(&search.cautions) {
        text.push_str(&hanging("  - ", words));
    }
    text
}
