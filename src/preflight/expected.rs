//! What the search would see if flown as planned.

use crate::detection::law::{mid_strip_pod, sweep_pod_seen_from};
use crate::plan::{PatternKind, Plan};
use crate::tasking::{DetectionTask, Law, Scanners};
use crate::units::Length;
use serde::Serialize;

/// The laws in the order they are listed.
pub(super) const LAWS: [Law; 3] = [Law::InverseCube, Law::Exponential, Law::DefiniteRange];

/// Coverage factor and POD of the pattern flown perfectly.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Expected {
    /// Sweep width W.
    #[serde(rename = "sweep_width_m")]
    pub sweep_width: Length,
    /// Track spacing S.
    #[serde(rename = "spacing_m")]
    pub spacing: Length,
    /// C = W/S.
    pub coverage_factor: f64,
    /// The law of the tasking.
    pub law: Law,
    /// Sides looked from.
    pub scanners: Scanners,
    /// POD of an endless parallel sweep under each law.
    pub pod: Vec<LawPod>,
    /// POD halfway between two legs under the inverse-cube law, the least in the strip; `None` with
    /// scanners on one side or a blind strip.
    pub mid_strip_pod: Option<f64>,
    /// What to bear in mind about these figures, if anything.
    pub note: Option<String>,
}

/// POD under a law.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct LawPod {
    /// The law.
    pub law: Law,
    /// The POD, averaged over the strip.
    pub pod: f64,
}

/// What a plan would see.
pub(super) fn expected(task: &DetectionTask, plan: &Plan) -> Expected {
    let c = task.sweep_width.m() / plan.spacing.m();
    let inverse_cube = task.inverse_cube();
    let pod = |law| LawPod {
        law,
        pod: sweep_pod_seen_from(law, &inverse_cube, plan.spacing, task.view),
    };
    Expected {
        sweep_width: task.sweep_width,
        spacing: plan.spacing,
        coverage_factor: c,
        law: task.law,
        scanners: task.view.scanners,
        pod: LAWS.map(pod).to_vec(),
        mid_strip_pod: task
            .view
            .is_whole()
            .then(|| mid_strip_pod(&inverse_cube, plan.spacing)),
        note: note(task.view.scanners, plan.pattern),
    }
}

fn note(scanners: Scanners, pattern: PatternKind) -> Option<String> {
    match (pattern, scanners) {
        (PatternKind::ExpandingSquare | PatternKind::Sector, Scanners::Left | Scanners::Right) => {
            Some(
                "the legs all turn the same side inwards, but the POD is that of legs flown to and \
                 fro with scanners on one side: it does not hold for this pattern"
                    .into(),
            )
        }
        (PatternKind::Sector, Scanners::Both) => Some(
            "the POD is that of a parallel sweep at the spacing of the spokes halfway out: near the \
             datum it is higher, at the rim lower"
                .into(),
        ),
        (PatternKind::Legs, _) => Some(
            "the POD is that of a parallel sweep, whose legs look into each other's strips; a leg flown \
             alone finds less in its strip under the inverse-cube law"
                .into(),
        ),
        _ => None,
    }
}
