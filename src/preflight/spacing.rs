//! The spacing that a wanted POD needs, and what the search then is.

use super::expected::LAWS;
use super::relaid::{Relaid, Relay};
use crate::detection::inverse::coverage_factor_for;
use crate::tasking::Law;
use crate::units::Length;
use serde::Serialize;

/// POD listed where neither a question nor the tasking names one.
const USUAL_PODS: [f64; 4] = [0.5, 0.7, 0.8, 0.9];

/// The spacing for a POD under a law.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SpacingRow {
    /// POD wanted, averaged over the strip.
    pub pod: f64,
    /// The law.
    pub law: Law,
    /// Coverage factor C that gives it.
    pub coverage_factor: f64,
    /// Spacing S = W/C.
    #[serde(rename = "spacing_m")]
    pub spacing: Length,
    /// The tasking laid out with it.
    #[serde(flatten)]
    pub laid: Relaid,
}

/// Rows for the POD asked about, or for that of the tasking, or for the usual ones; each under every
/// law.
pub(super) fn spacings(relay: &Relay<'_>, pod: Option<f64>) -> Vec<SpacingRow> {
    let task = &relay.tasking.detection;
    let inverse_cube = task.inverse_cube();
    let pods = match pod.or(task.target_pod) {
        Some(pod) => vec![pod],
        None => USUAL_PODS.to_vec(),
    };
    pods.iter()
        .flat_map(|pod| LAWS.map(|law| (*pod, law)))
        .map(|(pod, law)| {
            let coverage_factor = coverage_factor_for(law, pod, &inverse_cube, task.view);
            let spacing = Length::from_m(task.sweep_width.m() / coverage_factor);
            SpacingRow {
                pod,
                law,
                coverage_factor,
                spacing,
                laid: relay.at_spacing(spacing),
            }
        })
        .collect()
}
