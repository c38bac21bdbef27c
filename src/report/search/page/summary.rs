//! The first ten seconds: a sentence and four figures.

use crate::report::cautions_line;
use crate::report::format::{about, percent, pod_with_band};
use crate::report::html::summary::figure;
use crate::report::refly_words;
use crate::report::search::words;
use crate::search::Search;
use maud::{Markup, html};

pub(super) fn summary(search: &Search) -> Markup {
    html! {
        p.kind { "Several sorties as one search · " (words::days(search)) }
        h1 { (search.name) }
        p.headline { (words::headline(search)) }
        p.caution { (cautions_line()) }
        dl.figures-four {
            (pod(search))
            (pos(search))
            (remains(search))
            (strips(search))
        }
        @if !search.remarks.is_empty() {
            div.remarks role="note" aria-label="To bear in mind" {
                ul { @for remark in &search.remarks { li { (remark) } } }
            }
        }
    }
}

fn pod(search: &Search) -> Markup {
    let mut more = vec!["weighted by how likely the object was where".to_owned()];
    if let Some(target) = search.target_pod {
        more.push(format!("{} wanted", percent(target)));
    }
    figure("POD over the ground", &pod_with_band(&search.pod), &more)
}

fn pos(search: &Search) -> Markup {
    let more = ["chance that these sorties found the object".to_owned()];
    figure("POS", &words::pos(search), &more)
}

fn remains(search: &Search) -> Markup {
    let more = [format!(
        "of the POC remain on the ground; {} elsewhere",
        percent(search.poc_elsewhere)
    )];
    figure("What remains", &percent(search.poc_left), &more)
}

fn strips(search: &Search) -> Markup {
    let outcome = &search.refly.outcome;
    let more = if search.refly.legs.is_empty() {
        vec!["nothing to fly again".to_owned()]
    } else {
        vec![
            format!(
                "re-fly {}, POD then about {}",
                about(outcome.duration_s),
                percent(outcome.pod)
            ),
            refly_words::left(outcome),
        ]
    };
    let value = format!("{} of {}", search.strips_to_refly(), search.strips.len());
    figure("Strips to re-fly", &value, &more)
}
