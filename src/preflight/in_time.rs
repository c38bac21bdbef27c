//! What one crew can do in a given time on scene.

use super::effort::{SEARCH_SHARE, aircraft_for, area_in, spacing_for};
use super::relaid::{Relaid, Relay};
use crate::detection::law::sweep_pod_seen_from;
use crate::plan::PatternKind;
use crate::units::Length;
use serde::Serialize;

/// What can be done in a time on scene.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct InTime {
    /// The time on scene, seconds.
    pub on_scene_s: f64,
    /// All of it searched in.
    pub without_allowance: InSearchTime,
    /// 85 % of it searched in.
    pub with_allowance: InSearchTime,
    /// What to bear in mind about these figures, if anything.
    pub note: Option<String>,
}

/// What can be done in a time of searching.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct InSearchTime {
    /// The time searched in, seconds.
    pub search_s: f64,
    /// Area one crew searches at the tasked spacing, square metres: A = V · S · T.
    pub area_m2: f64,
    /// Crews needed for the area of the plan at the tasked spacing, rounded up.
    pub crews: u64,
    /// Spacing at which one crew searches the area of the plan: S = A/(V · T).
    #[serde(rename = "spacing_m")]
    pub spacing: Length,
    /// POD at that spacing under the law of the tasking.
    pub pod: f64,
    /// The tasking laid out with it: by how much its time misses the one asked for shows what whole
    /// numbers of legs do.
    #[serde(flatten)]
    pub laid: Relaid,
}

/// What can be done in `on_scene_s` seconds on scene.
pub(super) fn in_time(relay: &Relay<'_>, on_scene_s: f64) -> InTime {
    InTime {
        on_scene_s,
        without_allowance: in_search_time(relay, on_scene_s),
        with_allowance: in_search_time(relay, SEARCH_SHARE * on_scene_s),
        note: (relay.plan.pattern == PatternKind::Sector).then(|| {
            "A = V S T is for legs one spacing apart: the spokes of a sector search run together at \
             the datum, so that it takes longer over its area than these figures say"
                .to_owned()
        }),
    }
}

fn in_search_time(relay: &Relay<'_>, search_s: f64) -> InSearchTime {
    let (plan, detection) = (relay.plan, &relay.tasking.detection);
    let speed = relay.tasking.flight.ground_speed;
    let area_m2 = plan.area.square_metres();
    let spacing = spacing_for(area_m2, search_s, speed);
    let inverse_cube = detection.inverse_cube();
    InSearchTime {
        search_s,
        area_m2: area_in(search_s, speed, plan.spacing),
        crews: aircraft_for(area_m2, search_s, speed, plan.spacing),
        spacing,
        pod: sweep_pod_seen_from(detection.law, &inverse_cube, spacing, detection.view),
        laid: relay.at_spacing(spacing),
    }
}
