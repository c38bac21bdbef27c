//! What the figures rest on.

use crate::report::format::metres;
use crate::report::html::about::inputs as files_used;
use crate::search::Search;
use maud::{Markup, html};

pub(super) fn method(search: &Search) -> Markup {
    html! {
        section #method {
            h2 { "How it was worked out" }
            details open="open" {
                summary { "In short" }
                ul {
                    li {
                        "What each sortie looked at is that of its debrief: straight stretches flown while looking, \
                         with its own sweep width and law."
                    }
                    li {
                        "Exposures add up in each cell (cells of " (metres(search.cell)) "), whatever the pattern, \
                         the spacing and the law: POD is that of independent looks."
                    }
                    li {
                        "POS is POC · POD. After a sortie that found nothing POC · (1 - POD) is left in each cell, and \
                         the next sortie starts from there."
                    }
                    li {
                        "The band counts all sorties at the worst of their doubts together, and all at their best: spread \
                         of the sweep width, error of position, stretches not recorded."
                    }
                    li {
                        "The re-fly takes the passes that gain most for each minute, turns and ways between them counted in."
                    }
                }
            }
        }
    }
}

pub(super) fn inputs(search: &Search) -> Markup {
    html! {
        section #inputs {
            h2 { "Files" }
            (files_used("Files this rests on", &search.inputs))
        }
    }
}

pub(super) fn cautions(search: &Search) -> Markup {
    html! {
        section #cautions {
            h2 { "Cautions" }
            ul { @for caution in &search.cautions { li { (caution) } } }
        }
    }
}
