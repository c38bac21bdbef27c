//! The first ten seconds: what came out, in a sentence and four figures.

use crate::debrief::Debrief;
use crate::report::cautions_line;
use crate::report::format::{about, duration, nm, percent, pod_with_band};
use crate::report::headline::{causes, headline, laws, pod_by, proviso};
use maud::{Markup, display, html};

pub(super) fn summary(debrief: &Debrief) -> Markup {
    html! {
        p.kind {
            "Debrief of a visual search · " (display(debrief.date))
            @if let Some(pilot) = &debrief.pilot { " · flown by " (pilot) }
        }
        h1 { (debrief.sortie) }
        p.headline { (headline(debrief)) }
        @if let Some(proviso) = proviso(debrief) { p.headline { (proviso) } }
        p.caution { (cautions_line()) }
        dl.figures-four {
            (ground(debrief))
            (pod(debrief))
            (strips(debrief))
            (time(debrief))
        }
        @if !debrief.remarks.is_empty() {
            div.remarks role="note" aria-label="To bear in mind" {
                ul { @for remark in &debrief.remarks { li { (with_keys(remark)) } } }
            }
        }
    }
}

/// A text in which what stands between two backquotes is set as a key.
fn with_keys(text: &str) -> Markup {
    let pieces: Vec<&str> = text.split('`').collect();
    let paired = pieces.len() % 2 == 1;
    html! {
        @if paired {
            @for (index, piece) in pieces.iter().enumerate() {
                @if index % 2 == 1 { code { (piece) } } @else { (piece) }
            }
        } @else { (text) }
    }
}

/// One figure with what stands below it.
pub(in crate::report) fn figure(name: &str, value: &str, more: &[String]) -> Markup {
    html! {
        div {
            dt { (name) }
            dd.value { (value) }
            @for line in more { dd { (line) } }
        }
    }
}

fn ground(debrief: &Debrief) -> Markup {
    let coverage = &debrief.coverage;
    let origin = if coverage.target_given {
        "given by the tasking"
    } else {
        "worked out from the plan"
    };
    figure(
        "Ground at target",
        &percent(coverage.share_at_target),
        &[format!(
            "POD of {} or more, {origin}",
            percent(coverage.target_pod)
        )],
    )
}

fn pod(debrief: &Debrief) -> Markup {
    let coverage = &debrief.coverage;
    let mut laws = laws(coverage).into_iter();
    let first = laws.next().unwrap_or(coverage.law);
    let others: Vec<String> = laws
        .map(|law| format!("{} {}", law.name(), percent(pod_by(&coverage.pod, law))))
        .collect();
    figure(
        &format!("POD, {} law", first.name()),
        &pod_with_band(&coverage.pod_band),
        &[
            format!(
                "{} as planned",
                percent(pod_by(&coverage.planned_pod, first))
            ),
            format!("by other laws: {}", others.join(", ")),
        ],
    )
}

fn strips(debrief: &Debrief) -> Markup {
    let mut more: Vec<String> = causes(debrief).into_iter().collect();
    if !debrief.refly.legs.is_empty() {
        more.push(format!(
            "re-fly {}: {} to search",
            about(debrief.refly.outcome.duration_s),
            nm(debrief.refly.outcome.search_length, 1)
        ));
    }
    let value = format!("{} of {}", debrief.strips_to_refly(), debrief.strips.len());
    figure("Strips to re-fly", &value, &more)
}

fn time(debrief: &Debrief) -> Markup {
    let time = &debrief.area_time;
    let mut more = vec![format!(
        "out of the area {}, of that straying {}",
        duration(time.outside_s),
        duration(time.excursion_s)
    )];
    if time.not_recorded_s > 0.0 {
        more.push(format!("not recorded {}", duration(time.not_recorded_s)));
    }
    figure("On task", &duration(time.window_s), &more)
}
