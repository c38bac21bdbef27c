//! The whole search as one value, from which its reports are written.

use super::combine::{Combined, Step, combine};
use super::remarks::remarks;
use super::strips::{SearchStrip, judged, wanted};
use super::{Ground, GroundError, Part, SearchError, Sortie};
use crate::cautions;
use crate::coverage::raster::Raster;
use crate::coverage::strips::StripLine;
use crate::coverage::{Hole, PodBand};
use crate::geodesy::Position;
use crate::input::InputFile;
use crate::plan::PatternKind;
use crate::refly::tasked::{self, Tasked};
use crate::refly::{self, Goal, Refly};
use crate::units::{Length, Speed};
use chrono::{DateTime, NaiveDate, Utc};
use serde::Serialize;

/// Name and version of the JSON form; the number rises when a field changes meaning or goes away.
pub const SCHEMA: &str = "overflown-search/1";

/// Sorties farther apart in time than this are not one search unless one says so, days. Chosen: what is
/// searched for on the ground may have moved, and what lay open may be covered.
pub const DAYS_APART: i64 = 7;
/// Less probability elsewhere than this is what rounding leaves of a sum of 1.
const ROUNDING: f64 = 1e-9;

/// What is wanted of a search.
#[derive(Clone, Debug, Default)]
pub struct Wants {
    /// Its name.
    pub name: String,
    /// The ground; the areas of all sorties where it is empty.
    pub parts: Vec<Part>,
    /// POD wanted over the ground; the targets of the sorties, strip by strip, if `None`.
    pub target_pod: Option<f64>,
    /// Where a re-fly starts from and returns to.
    pub base: Option<Position>,
    /// Ground speed of a re-fly; that of the last sortie if `None`.
    pub ground_speed: Option<Speed>,
    /// Longest re-fly, seconds.
    pub flight_time_s: Option<f64>,
    /// Take sorties of any days as one search.
    pub any_days: bool,
    /// Files beside those of the sorties.
    pub inputs: Vec<InputFile>,
}

/// One sortie of the search.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SortieSummary {
    /// Its name.
    pub name: String,
    /// Its day.
    pub date: NaiveDate,
    /// Beginning of its search.
    pub from: DateTime<Utc>,
    /// End of its search.
    pub to: DateTime<Utc>,
    /// The pattern it was tasked with.
    pub pattern: PatternKind,
    /// Track spacing S.
    #[serde(rename = "spacing_m")]
    pub spacing: Length,
    /// Sweep width W.
    #[serde(rename = "sweep_width_m")]
    pub sweep_width: Length,
    /// Name of the law.
    pub law: &'static str,
    /// What it did.
    #[serde(flatten)]
    pub step: Step,
}

/// A sub-area after the last sortie.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SubAreaSummary {
    /// Its name.
    pub name: String,
    /// Its corners.
    pub corners: Vec<Position>,
    /// Its ground, square metres.
    pub area_m2: f64,
    /// POC before the first sortie.
    pub poc: f64,
    /// POD of all sorties together.
    pub pod: f64,
    /// The same with its band.
    pub pod_band: PodBand,
    /// POC after the last sortie found nothing: POC · (1 - POD).
    pub poc_left: f64,
    /// The same as a share of all that is left, there and elsewhere (Bayes).
    pub poc_left_normalised: f64,
}

/// A search.
#[derive(Clone, Debug, Serialize)]
pub struct Search {
    /// [`SCHEMA`].
    pub schema: &'static str,
    /// Version of the program.
    pub version: &'static str,
    /// Its name.
    pub name: String,
    /// The files it rests on.
    pub inputs: Vec<InputFile>,
    /// Its sorties, in the order flown.
    pub sorties: Vec<SortieSummary>,
    /// Its ground.
    pub sub_areas: Vec<SubAreaSummary>,
    /// POD of all sorties together, weighted by how likely the object was where at the beginning.
    pub pod: PodBand,
    /// Probability that all sorties together found the object (POS).
    pub pos: f64,
    /// At least and at most, as the band of the POD.
    pub pos_low: f64,
    /// See [`pos_low`](Self::pos_low).
    pub pos_high: f64,
    /// What is left of the probability that it is on the ground of the search.
    pub poc_left: f64,
    /// What is left of it elsewhere: 1 less the POC of all sub-areas.
    pub poc_elsewhere: f64,
    /// POD wanted over the ground, if one is given.
    pub target_pod: Option<f64>,
    /// The strips of all plans, those first that one more pass would gain most on.
    pub strips: Vec<SearchStrip>,
    /// What to fly next.
    pub refly: Refly,
    /// The same as a tasking, laid out; `None` where there is nothing to fly again.
    #[serde(skip)]
    pub refly_tasked: Option<Tasked>,
    /// Side of a raster cell.
    #[serde(rename = "cell_m")]
    pub cell: Length,
    /// What a reader must bear in mind about this search in particular.
    pub remarks: Vec<String>,
    /// General cautions.
    pub cautions: Vec<String>,
    /// POD of every cell.
    #[serde(skip)]
    pub raster: Raster,
    /// The same after the re-fly.
    #[serde(skip)]
    pub raster_after: Raster,
    /// The holes that the re-fly leaves, strip by strip.
    #[serde(skip)]
    pub holes_after: Vec<Hole>,
}

/// Takes sorties together.
///
/// # Errors
/// See [`SearchError`].
pub fn search(mut sorties: Vec<Sortie>, wants: &Wants) -> Result<Search, SearchError> {
    sorties.sort_by(|a, b| (a.area_time.from, &a.name).cmp(&(b.area_time.from, &b.name)));
    check(&sorties, wants)?;
    let ground = ground(&sorties, &wants.parts)?;
    let combined = combine(&ground, &sorties);
    if let Some(sortie) = combined.elsewhere.map(|i| &sorties[i]) {
        return Err(SearchError::elsewhere(sortie));
    }
    let of = |values: &[f32]| Raster {
        frame: ground.frame.clone(),
        grid: ground.grid,
        values: values.to_vec(),
    };
    let raster = of(&combined.pod);
    let ends = combined.pod_ends.each_ref().map(|values| of(values));
    let prior = ground.prior();
    let strips_wanted = wanted(&sorties, wants.target_pod);
    let lines: Vec<StripLine<'_>> = strips_wanted.iter().map(|w| w.line()).collect();
    let standing = crate::coverage::strips::strips(&lines, &raster);
    let state = refly::State {
        raster: &raster,
        prior: &prior,
        lines: &lines,
        strips: &standing,
    };
    let means = refly_wanted(&sorties, wants);
    let refly = Refly::over(&state, &means);
    let raster_after = refly.raster_after(&state, &means.look);
    let after = crate::coverage::strips::strips(&lines, &raster_after);
    let holes_after = after.into_iter().flat_map(|strip| strip.holes).collect();
    let gains = refly::gains(&state, &means.look);
    let mut strips = judged(
        &strips_wanted,
        &lines,
        standing,
        &ends,
        &ground,
        &sorties,
        &gains,
    );
    strips.sort_by(|a, b| b.gain.total_cmp(&a.gain));
    Ok(whole(
        sorties,
        wants,
        &ground,
        &combined,
        strips,
        refly,
        After {
            raster,
            raster_after,
            holes_after,
        },
    ))
}

fn check(sorties: &[Sortie], wants: &Wants) -> Result<(), SearchError> {
    let (Some(first), Some(last)) = (sorties.first(), sorties.last()) else {
        return Err(SearchError::NoSortie);
    };
    for (i, sortie) in sorties.iter().enumerate() {
        let same = |other: &Sortie| {
            other.rests_on_a_log_of(sortie) && other.area_time.meets(sortie.area_time)
        };
        if let Some(other) = sorties[..i].iter().find(|other| same(other)) {
            return Err(SearchError::twice(sortie, other));
        }
    }
    let days = (last.date - first.date).num_days();
    if days > DAYS_APART && !wants.any_days {
        return Err(SearchError::days_apart(first, last, days));
    }
    Ok(())
}

fn ground(sorties: &[Sortie], parts: &[Part]) -> Result<Ground, SearchError> {
    let least = |of: fn(&Sortie) -> Length| {
        let all = sorties.iter().map(|sortie| of(sortie).m());
        Length::from_m(all.fold(f64::INFINITY, f64::min))
    };
    let (spacing, width) = (
        least(|s| s.plan.spacing),
        least(|s| s.looks.look().view.detail(s.looks.sweep_width)),
    );
    let own: Vec<Part>;
    let parts = if parts.is_empty() {
        own = areas(sorties);
        &own
    } else {
        parts
    };
    Ok(Ground::new(parts, spacing, width)?)
}

/// The areas of the sorties, each once; one that lies wholly within others adds no ground, nor does the hull
/// of separate legs, unless there is nothing else.
fn areas(sorties: &[Sortie]) -> Vec<Part> {
    let mut parts: Vec<Part> = Vec::new();
    let mut by_size: Vec<&Sortie> = sorties
        .iter()
        .filter(|sortie| sortie.plan.pattern.has_ground(sortie.plan.area_given))
        .collect();
    if by_size.is_empty() {
        by_size = sorties.iter().collect();
    }
    // The largest first, so that what lies within it is known to. Separate legs last: they go over the ground
    // of others, which keeps its name.
    by_size.sort_by(|a, b| {
        let legs = |sortie: &Sortie| sortie.plan.pattern == PatternKind::Legs;
        let larger = b.coverage.area_m2.total_cmp(&a.coverage.area_m2);
        legs(a).cmp(&legs(b)).then(larger)
    });
    for sortie in by_size {
        let part = Part {
            name: sortie.name.clone(),
            corners: sortie.plan.area_corners.clone(),
            poc: None,
        };
        let mut with = parts.clone();
        with.push(part.clone());
        // Coarse cells are enough to tell.
        let coarse = Length::from_m(sortie.coverage.area_m2.sqrt() / 5.0);
        let adds_none = matches!(
            Ground::new(&with, coarse, coarse),
            Err(GroundError::NoGround(name)) if name == part.name
        );
        if !adds_none {
            parts.push(part);
        }
    }
    parts
}

fn refly_wanted(sorties: &[Sortie], wants: &Wants) -> refly::Wanted {
    let last = &sorties[sorties.len() - 1];
    refly::Wanted {
        look: last.looks.look(),
        ground_speed: wants.ground_speed.unwrap_or(last.plan.ground_speed),
        base: wants.base,
        goal: wants.target_pod.map_or(Goal::Stretches, Goal::Everywhere),
        budget_s: wants.flight_time_s,
    }
}

/// What the re-fly is tasked with: looked at as by the last sortie, like [`refly_wanted`].
fn as_tasked<'a>(last: &'a Sortie, wants: &'a Wants, ground: &'a Ground) -> tasked::Task<'a> {
    tasked::Task {
        of: &wants.name,
        date: last.date,
        area: match ground.sub_areas.as_slice() {
            [one] => Some(&one.corners),
            _ => None,
        },
        looks: &last.looks,
        altitude: last.plan.altitude,
        base: wants.base,
        search_object: last.plan.search_object.as_deref(),
    }
}

/// The ground before and after the re-fly.
struct After {
    raster: Raster,
    raster_after: Raster,
    holes_after: Vec<Hole>,
}

fn whole(
    sorties: Vec<Sortie>,
    wants: &Wants,
    ground: &Ground,
    combined: &Combined,
    strips: Vec<SearchStrip>,
    refly: Refly,
    after: After,
) -> Search {
    let last = combined.steps.last().cloned().unwrap_or_default();
    let poc: f64 = ground.sub_areas.iter().map(|sub_area| sub_area.poc).sum();
    let elsewhere = if 1.0 - poc > ROUNDING { 1.0 - poc } else { 0.0 };
    let left: f64 = last.poc.iter().sum();
    let (refly_tasked, not_tasked) = Tasked::or_remark(
        &refly,
        &as_tasked(&sorties[sorties.len() - 1], wants, ground),
    );
    let mut remarks = remarks(&sorties, ground, &combined.steps);
    remarks.extend(not_tasked);
    let mut inputs = wants.inputs.clone();
    inputs.extend(sorties.iter().flat_map(|sortie| sortie.inputs.clone()));
    Search {
        schema: SCHEMA,
        version: env!("CARGO_PKG_VERSION"),
        name: wants.name.clone(),
        inputs,
        sub_areas: ground
            .sub_areas
            .iter()
            .enumerate()
            .map(|(i, sub_area)| SubAreaSummary {
                name: sub_area.name.clone(),
                corners: sub_area.corners.clone(),
                area_m2: sub_area.area_m2,
                poc: sub_area.poc,
                pod: last.pod[i],
                pod_band: combined.by_sub_area[i],
                poc_left: last.poc[i],
                poc_left_normalised: last.poc[i] / (left + elsewhere),
            })
            .collect(),
        pod: last.cumulative,
        pos: last.cumulative_pos,
        pos_low: last.cumulative_pos_low,
        pos_high: last.cumulative_pos_high,
        poc_left: left,
        poc_elsewhere: elsewhere,
        target_pod: wants.target_pod,
        strips,
        refly,
        refly_tasked,
        cell: Length::from_m(ground.grid.cell_m),
        remarks,
        cautions: cautions::DEBRIEF.map(str::to_owned).to_vec(),
        raster: after.raster,
        raster_after: after.raster_after,
        holes_after: after.holes_after,
        sorties: sorties
            .into_iter()
            .zip(&combined.steps)
            .map(|(sortie, step)| SortieSummary {
                name: sortie.name,
                date: sortie.date,
                from: sortie.area_time.from,
                to: sortie.area_time.to,
                pattern: sortie.plan.pattern,
                spacing: sortie.plan.spacing,
                sweep_width: sortie.looks.sweep_width,
                law: sortie.looks.law.name(),
                step: step.clone(),
            })
            .collect(),
    }
}

impl Search {
    /// Labels of the strips that still have holes after the re-fly, in the order of [`strips`](Self::strips).
    #[must_use]
    pub fn strips_left(&self) -> Vec<&str> {
        let left = |leg: &str| self.holes_after.iter().any(|hole| hole.leg == leg);
        let legs = self.strips.iter().map(|strip| strip.strip.leg.as_str());
        legs.filter(|leg| left(leg)).collect()
    }

    /// Number of strips with holes.
    #[must_use]
    pub fn strips_to_refly(&self) -> usize {
        self.strips
            .iter()
            .filter(|strip| strip.strip.needs_refly())
            .count()
    }
}
