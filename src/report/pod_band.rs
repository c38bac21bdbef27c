//! What the band of the POD rests on, in words, for every report alike.

use super::format::{metres, percent};
use crate::coverage::Coverage;

/// What each doubt alone makes of the POD, and how they go together.
#[must_use]
pub fn parts(coverage: &Coverage) -> Vec<String> {
    let parts = &coverage.pod_band_parts;
    let mut words = vec![match (parts.sweep_width_low, parts.sweep_width_high) {
        (Some(low), Some(high)) => format!(
            "spread of the sweep width: {} to {}",
            percent(low),
            percent(high)
        ),
        _ => "spread of the sweep width: none is known, so the band rests on the rest and is too narrow"
            .to_owned(),
    }];
    let source = if parts.position_error_given {
        "given by the tasking"
    } else {
        "assumed, the global average of the GPS performance standard of 2020, from memory"
    };
    let lost = coverage.pod_band.pod - parts.position_low;
    words.push(format!(
        "error of position of {} (95 %, {source}): {}",
        metres(parts.position_error),
        if lost < 0.005 {
            "less than half a point".to_owned()
        } else {
            format!("down to {}", percent(parts.position_low))
        }
    ));
    if let Some(high) = parts.unrecorded_high {
        words.push(format!(
            "not recorded, counted as not searched; if it was searched as planned: {}",
            percent(high)
        ));
    }
    words
}

/// How the parts make the band.
pub const TOGETHER: &str = "The band takes the worst of all of them together and the best of all of them \
together. Conditions other than those tasked are not in it.";

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::test_fixture;

    #[test]
    fn every_doubt_is_named() {
        let mut coverage = test_fixture::debrief().coverage;
        let words = parts(&coverage).join("; ");
        assert!(words.contains("56 % to 66 %"), "{words}");
        assert!(words.contains("8 m (95 %, assumed"), "{words}");
        assert!(
            words.contains("as planned: 62 %") || words.contains("as planned: 63 %"),
            "{words}"
        );
        coverage.pod_band_parts.sweep_width_low = None;
        coverage.pod_band_parts.unrecorded_high = None;
        coverage.pod_band_parts.position_low = 0.5;
        let words = parts(&coverage).join("; ");
        assert!(words.contains("none is known"), "{words}");
        assert!(
            words.contains("down to 50 %") && !words.contains("not recorded"),
            "{words}"
        );
    }
}
