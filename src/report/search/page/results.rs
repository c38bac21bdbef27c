//! Sorties, sub-areas and strips.

use crate::report::format::{gain, nm, nm_figure, percent, pod_with_band, square_nm};
use crate::report::html::table::Set::{Figures, Words};
use crate::report::html::table::{cell, table};
use crate::report::search::words;
use crate::search::{Search, SearchStrip};
use maud::{Markup, html};

pub(super) fn sorties(search: &Search) -> Markup {
    let rows: Vec<Vec<Markup>> = search
        .sorties
        .iter()
        .enumerate()
        .map(|(index, sortie)| {
            let step = &sortie.step;
            vec![
                html! { (index + 1) " " (sortie.name) },
                cell(sortie.date),
                cell(words::times(sortie)),
                cell(sortie.pattern.name()),
                cell(nm_figure(sortie.spacing, 2)),
                cell(nm_figure(sortie.sweep_width, 2)),
                cell(sortie.law),
                cell(percent(step.pod_alone)),
                cell(pod_with_band(&step.cumulative)),
                cell(percent(step.pos)),
                cell(words::cumulative_pos(sortie)),
            ]
        })
        .collect();
    html! {
        (table(
            "Sorties in the order flown",
            &[
                ("Sortie", Words),
                ("Date", Figures),
                ("Search, UTC", Figures),
                ("Pattern", Words),
                ("S, NM", Figures),
                ("W, NM", Figures),
                ("Law", Words),
                ("POD alone", Figures),
                ("POD so far", Figures),
                ("POS added", Figures),
                ("POS so far", Figures),
            ],
            &rows,
        ))
        p.note {
            "S: track spacing. W: sweep width. POD: of the ground of the whole search, weighted by how likely the \
             object was where before the first sortie. POS added: the chance that this sortie found it and none \
             before it did."
        }
    }
}

pub(super) fn sub_areas(search: &Search) -> Markup {
    let rows: Vec<Vec<Markup>> = search
        .sub_areas
        .iter()
        .map(|part| {
            vec![
                cell(&part.name),
                cell(square_nm(part.area_m2)),
                cell(percent(part.poc)),
                cell(pod_with_band(&part.pod_band)),
                cell(percent(part.poc_left)),
                cell(percent(part.poc_left_normalised)),
            ]
        })
        .collect();
    html! {
        section #sub-areas {
            h2 { "Sub-areas" }
            (table(
                "How likely the object is in each sub-area, before and after",
                &[
                    ("Sub-area", Words),
                    ("Ground", Figures),
                    ("POC before", Figures),
                    ("POD", Figures),
                    ("POC left", Figures),
                    ("Of all that is left", Figures),
                ],
                &rows,
            ))
            p.note {
                "POC left is POC · (1 - POD). The last column shares out what is left, here and elsewhere, to 100 %: "
                "where the object is most likely now. " (words::remains(search)) "."
            }
            (by_sortie(search))
        }
    }
}

/// POC of each sub-area after each sortie.
fn by_sortie(search: &Search) -> Markup {
    let mut columns = vec![("After", Words)];
    columns.extend(
        search
            .sub_areas
            .iter()
            .map(|part| (part.name.as_str(), Figures)),
    );
    let row = |name: &str, poc: &mut dyn Iterator<Item = f64>| -> Vec<Markup> {
        let cells = poc.map(|poc| cell(percent(poc)));
        [cell(name)].into_iter().chain(cells).collect()
    };
    let before = row(
        "before the first",
        &mut search.sub_areas.iter().map(|part| part.poc),
    );
    let after = search
        .sorties
        .iter()
        .map(|sortie| row(&sortie.name, &mut sortie.step.poc.iter().copied()));
    let rows: Vec<Vec<Markup>> = [before].into_iter().chain(after).collect();
    html! {
        details {
            summary { "POC sortie by sortie" }
            (table("POC of each sub-area after each sortie found nothing", &columns, &rows))
        }
    }
}

pub(super) fn strips(search: &Search) -> Markup {
    let rows: Vec<Vec<Markup>> = search.strips.iter().map(strip).collect();
    html! {
        section #strips {
            h2 { "Strips" }
            p {
                "A strip is the ground one track spacing wide along a planned search leg, here those of all sorties; \
                 strips that coincide count once. Where the mean POD of all sorties together stays below what is \
                 wanted for long enough, a strip has a hole: " b { "below target" } " if nobody flew there or not \
                 well enough, " b { "not recorded" } " if a log has a gap and it may have been searched. Gain is \
                 what one more pass along its middle would add to the POS; the first strips gain most."
            }
            (table(
                "Strips by what one more pass would gain",
                &[
                    ("Strip", Words),
                    ("Tasked to", Words),
                    ("Gain, POS", Figures),
                    ("Mean POD", Figures),
                    ("Wanted", Figures),
                    ("At target", Figures),
                    ("Holes, along the leg from its planned start", Words),
                    ("Flown over by", Words),
                ],
                &rows,
            ))
        }
    }
}

fn strip(strip: &SearchStrip) -> Vec<Markup> {
    let list = |lines: &[String], none: &str| {
        html! {
            @if lines.is_empty() { (none) }
            @else { ul.holes { @for line in lines { li { (line) } } } }
        }
    };
    let flown: Vec<String> = strip.flown_by.iter().map(words::flown_by).collect();
    vec![
        cell(&strip.strip.leg),
        cell(strip.tasked.join(", ")),
        cell(gain(strip.gain)),
        cell(pod_with_band(&strip.pod_band)),
        cell(percent(strip.target_pod)),
        html! {
            (percent(strip.strip.share_at_target))
            @if strip.strip.needs_refly() {
                br; "lowest " (percent(strip.strip.lowest_pod)) " at " (nm(strip.strip.lowest_at, 1))
            }
        },
        list(&words::holes(strip), "none"),
        list(&flown, "nobody"),
    ]
}
