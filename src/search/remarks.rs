//! What a search's reader must know beyond the general cautions.

use super::combine::Step;
use super::{Ground, Sortie};
use crate::coverage::Looks;
use crate::detection::Law;

/// Share of two sub-areas that may lie in both before it is remarked upon. Chosen.
const REMARKED_OVERLAP: f64 = 0.01;

/// What this search's reader must know beyond the general cautions.
pub(super) fn remarks(sorties: &[Sortie], ground: &Ground, steps: &[Step]) -> Vec<String> {
    let mut remarks = vec![
        "POD adds up as that of independent looks, 1 - (1 - p)(1 - q) for two; older inland tables combine \
         60 % and 60 % to 80 %, where this gives 84 %. Looks by the same crew, in the same light, at the \
         same height are not independent, and then the POD shown is too high."
            .to_owned(),
    ];
    let (first, last) = (&sorties[0], &sorties[sorties.len() - 1]);
    let days = (last.date - first.date).num_days();
    if days >= 1 {
        remarks.push(format!(
            "The sorties lie {days} day{} apart: their POD adds up only if the object has not moved.",
            if days == 1 { "" } else { "s" }
        ));
    }
    if ground.overlap > REMARKED_OVERLAP {
        remarks.push(format!(
            "Sub-areas overlap by up to {:.0} %; ground in several counts to the first of them.",
            100.0 * ground.overlap
        ));
    }
    let laws: std::collections::BTreeSet<&str> = sorties
        .iter()
        .map(|sortie| sortie.looks.law.name())
        .collect();
    if laws.len() > 1 {
        let names: Vec<&str> = laws.into_iter().collect();
        remarks.push(format!(
            "The sorties were judged by different laws ({}); their exposures are added as they are.",
            names.join(", ")
        ));
    }
    let spread: Vec<&str> = sorties
        .iter()
        .filter(|sortie| sortie.log.taken.spread_times)
        .map(|sortie| sortie.name.as_str())
        .collect();
    if !spread.is_empty() {
        remarks.push(format!(
            "Times were not recorded but made up, spread along a drawn line at one ground speed: {}. When that was flown, and \
             what counts as looking there, rest on it.",
            spread.join(", ")
        ));
    }
    remarks.extend(band_remark(sorties, steps));
    remarks
}

/// Which doubts the band of the POD carries.
fn band_remark(sorties: &[Sortie], steps: &[Step]) -> Option<String> {
    let band = steps.last()?.cumulative;
    if band.low >= band.high {
        return None;
    }
    let any = |of: fn(&Looks) -> bool| sorties.iter().any(|sortie| of(&sortie.looks));
    let spread = any(|looks| looks.sweep_width_low < looks.sweep_width_high);
    // Random search knows no place, and so no error of it.
    let position = any(|looks| looks.position_error.m() > 0.0 && looks.law != Law::Exponential);
    let hidden = any(|looks| !looks.unrecorded.is_empty());
    let carried: Vec<&str> = [
        (spread, "the spread of the sweep widths"),
        (position, "the error of position (GPS)"),
        (hidden, "the stretches not recorded"),
    ]
    .into_iter()
    .filter_map(|(is, what)| is.then_some(what))
    .collect();
    let without: Vec<&str> = sorties
        .iter()
        .filter(|sortie| sortie.looks.sweep_width_low >= sortie.looks.sweep_width_high)
        .map(|sortie| sortie.name.as_str())
        .collect();
    let narrow = if without.is_empty() {
        String::new()
    } else {
        format!(
            " No spread of the sweep width is known for {}: the band is too narrow.",
            without.join(", ")
        )
    };
    Some(format!(
        "The band of the POD carries {}; other doubts are not in it.{narrow}",
        carried.join(", ")
    ))
}
