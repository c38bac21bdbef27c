//! `--also`: files beside the usual ones.

use crate::measure::Kept;
use crate::report::also::{self, Also};
use crate::tasking::quantity::shown;

/// The word for all of them.
const ALL: &str = "all";

/// What was asked for; what is named twice stands in it twice.
#[derive(Clone, Debug, Default)]
pub(super) struct AlsoList(pub(super) Vec<Also>);

/// Which fixes a debrief has to keep for it.
pub(super) fn kept(list: Option<&AlsoList>) -> Kept {
    also::kept(list.map_or(&[], |list| &list.0))
}

/// Reads the list of a debrief.
pub(super) fn of_debrief(text: &str) -> Result<AlsoList, String> {
    list(text, &Also::ALL)
}

/// Reads the list of a search.
pub(super) fn of_search(text: &str) -> Result<AlsoList, String> {
    list(text, &Also::OF_SEARCH)
}

fn list(text: &str, there: &[Also]) -> Result<AlsoList, String> {
    let mut wanted = Vec::new();
    for word in text.split(',').map(str::trim) {
        let named = |also: &&Also| word == ALL || also.name() == word;
        let before = wanted.len();
        wanted.extend(there.iter().filter(named));
        if wanted.len() == before {
            let names = there.iter().map(|also| also.name()).chain([ALL]);
            let names: Vec<&str> = names.collect();
            return Err(format!(
                "there are no files called {}; there are {}, separated by commas",
                shown(word),
                names.join(", ")
            ));
        }
    }
    Ok(AlsoList(wanted))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lists_are_read() {
        let of = |text| of_debrief(text).map(|list| list.0);
        assert_eq!(of("fixes"), Ok(vec![Also::Fixes]));
        assert_eq!(of("rasters, layers"), Ok(vec![Also::Rasters, Also::Layers]));
        assert_eq!(of("all"), Ok(Also::ALL.to_vec()));
        for wrong in ["", "fixes,", "layer", "Fixes", "layers;fixes"] {
            let error = of(wrong).unwrap_err();
            for also in Also::ALL {
                assert!(error.contains(also.name()), "{error}");
            }
        }
        assert!(of_search("fixes").is_err());
        assert_eq!(of_search("all").unwrap().0, [Also::Rasters]);
    }
}
