//! The debrief in one sentence, and the figures beside it, for every report alike.

use super::format::{counted, percent};
use crate::coverage::{Coverage, HoleCause, PodByLaw};
use crate::debrief::Debrief;
use crate::detection::Law;

/// `3 of 12 strips need a re-fly: 82 % of the area is at or above the target POD of 63 %.` Before that,
/// where the pattern as a whole lay elsewhere, that it did.
#[must_use]
pub fn headline(debrief: &Debrief) -> String {
    let coverage = &debrief.coverage;
    let share = format!(
        "{} of the area is at or above the target POD of {}.",
        percent(coverage.share_at_target),
        percent(coverage.target_pod)
    );
    let (all, again) = (debrief.strips.len(), debrief.strips_to_refly());
    let strips = counted(all, "strip");
    let strips = match again {
        0 if all == 1 => format!("The strip needs no re-fly: {share}"),
        0 => format!("None of {strips} needs a re-fly: {share}"),
        1 => format!("1 of {strips} needs a re-fly: {share}"),
        _ => format!("{again} of {strips} need a re-fly: {share}"),
    };
    let shift = debrief.pattern_shift.as_ref();
    match shift.and_then(|shift| shift.summary.as_ref()) {
        Some(summary) => format!("{summary} Of the tasked ground: {strips}"),
        None => strips,
    }
}

/// What limits all that is said, before anything else: where the plan comes from the flight itself.
#[must_use]
pub fn proviso(debrief: &Debrief) -> Option<String> {
    debrief.plan.inferred.then(|| {
        format!(
            "The plan was not given: this {} was inferred from the flight itself, so it cannot show a wrong area or \
             a missed first or last leg.",
            debrief.plan.pattern.name()
        )
    })
}

/// What lies behind the strips to re-fly: missed and not recorded are told apart. `None` without
/// holes.
#[must_use]
pub fn causes(debrief: &Debrief) -> Option<String> {
    let holes = |cause| {
        debrief
            .strips
            .iter()
            .flat_map(|strip| &strip.holes)
            .filter(|hole| hole.cause == cause)
            .count()
    };
    let (missed, unrecorded) = (holes(HoleCause::Missed), holes(HoleCause::NotRecorded));
    match (missed, unrecorded) {
        (0, 0) => None,
        (_, 0) => Some(format!("{} missed", counted(missed, "hole"))),
        (0, _) => Some(format!(
            "{} not recorded: may have been searched",
            counted(unrecorded, "hole")
        )),
        _ => Some(format!(
            "{} missed, {unrecorded} not recorded (may have been searched)",
            counted(missed, "hole")
        )),
    }
}

/// Where the truth lies between the laws: Edwards, Mazour, Bemont and Osmer, USCG-D-41-80, 1980 (abstract; 966 detection
/// opportunities): below the inverse-cube curve, above the random one.
pub const BETWEEN: &str = "In trials at sea real searchers did worse than the inverse-cube curve and \
better than the exponential one (USCG-D-41-80, 1980): read the two as a band.";

/// POD over the area by the law that decides.
#[must_use]
pub const fn deciding_pod(coverage: &Coverage) -> f64 {
    pod_by(&coverage.pod, coverage.law)
}

/// POD by one law.
#[must_use]
pub const fn pod_by(pod: &PodByLaw, law: Law) -> f64 {
    match law {
        Law::InverseCube => pod.inverse_cube,
        Law::Exponential => pod.exponential,
        Law::DefiniteRange => pod.definite_range,
    }
}

/// The laws, the deciding one first.
#[must_use]
pub fn laws(coverage: &Coverage) -> Vec<Law> {
    let mut laws = Law::ALL.to_vec();
    laws.sort_by_key(|law| *law != coverage.law);
    laws
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::test_fixture;

    #[test]
    fn the_sentence_says_what_the_debrief_says() {
        let mut debrief = test_fixture::debrief();
        assert_eq!(
            headline(&debrief),
            "2 of 10 strips need a re-fly: 82 % of the area is at or above the target POD of 63 %."
        );
        assert_eq!(
            causes(&debrief).unwrap(),
            "1 hole missed, 1 not recorded (may have been searched)"
        );
        debrief.strips[4].holes.clear();
        assert!(headline(&debrief).starts_with("1 of 10 strips needs a re-fly"));
        debrief.strips[7].holes.clear();
        assert!(headline(&debrief).starts_with("None of 10 strips needs a re-fly"));
        assert_eq!(causes(&debrief), None);
    }
}
