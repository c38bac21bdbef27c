//! The section `[pattern]` of a tasking.

use super::legs::{LEGS, legs as separate_legs};
use super::line_patterns::{CONTOUR, ROUTE, TRACK_LINE, contour, route, track_line};
use crate::geodesy::Position;
use crate::input::InputError;
use crate::tasking::fields::Section;
use crate::tasking::quantity::{at_least, at_most};
use crate::tasking::{
    Course, ExpandingSquareTask, Fit, PatternTask, SectorTask, Side, SquareSize, SweepTask,
};
use crate::units::Length;

const SWEEP: [&str; 10] = [
    "kind",
    "start",
    "first_course",
    "turn",
    "spacing",
    "leg_length",
    "legs",
    "end_inset",
    "fit",
    "interleave",
];
const EXPANDING_SQUARE: [&str; 7] = [
    "kind",
    "datum",
    "first_course",
    "turn",
    "spacing",
    "legs",
    "size",
];
const SECTOR: [&str; 7] = [
    "kind",
    "datum",
    "first_course",
    "turn",
    "radius",
    "sectors",
    "second_pass",
];

/// Most legs a pattern may have. Chosen: far more than anyone flies, few enough to lay out at once.
pub(super) const MAX_LEGS: u32 = 2000;
/// Longest leg. Chosen: an area may reach 120 NM from its middle.
pub(super) const LONGEST_LEG: Length = Length::from_nm(200.0);
/// Radius of a sector search, metres. Chosen: nothing smaller is searched from the air, and an area
/// reaches at most 120 NM.
const RADIUS_M: std::ops::RangeInclusive<f64> = 100.0..=185_200.0;
/// Sectors of a sector search flown with all turns to one side: twice an odd number, else the
/// pattern comes back along its first leg and leaves the opposite one out. Six by default, as the
/// manuals have it (IAMSAR Manual Vol II ch. 5; JP 3-50 Vol I, 1991, p. 185).
const SECTORS: [u32; 4] = [6, 10, 14, 18];

#[derive(Clone, Copy)]
enum Kind {
    ParallelSweep,
    CreepingLine,
    ExpandingSquare,
    Sector,
    TrackLineReturn,
    TrackLineNonReturn,
    Contour,
    Route,
    Legs,
}

impl Kind {
    const fn keys(self) -> &'static [&'static str] {
        match self {
            Self::ParallelSweep | Self::CreepingLine => &SWEEP,
            Self::ExpandingSquare => &EXPANDING_SQUARE,
            Self::Sector => &SECTOR,
            Self::TrackLineReturn | Self::TrackLineNonReturn => &TRACK_LINE,
            Self::Contour => &CONTOUR,
            Self::Route => &ROUTE,
            Self::Legs => &LEGS,
        }
    }
}

/// The keys of all kinds of pattern together, each once.
pub(super) fn known_keys() -> Vec<&'static str> {
    let mut keys = Vec::new();
    for key in SWEEP
        .iter()
        .chain(&EXPANDING_SQUARE)
        .chain(&SECTOR)
        .chain(&TRACK_LINE)
        .chain(&CONTOUR)
        .chain(&ROUTE)
        .chain(&LEGS)
    {
        if !keys.contains(key) {
            keys.push(*key);
        }
    }
    keys
}

/// The pattern; `has_area` says whether the tasking has an area.
pub(super) fn parse(section: &Section<'_>, has_area: bool) -> Result<PatternTask, InputError> {
    let kinds = [
        ("parallel sweep", Kind::ParallelSweep),
        ("creeping line", Kind::CreepingLine),
        ("expanding square", Kind::ExpandingSquare),
        ("sector", Kind::Sector),
        ("track line return", Kind::TrackLineReturn),
        ("track line non-return", Kind::TrackLineNonReturn),
        ("contour", Kind::Contour),
        ("route", Kind::Route),
        ("legs", Kind::Legs),
    ];
    let kind = section.choice("kind", &kinds)?;
    let kind = section.require("kind", kind, "\"parallel sweep\"")?;
    for key in known_keys().iter().filter(|key| !kind.keys().contains(key)) {
        section.check(
            key,
            !section.has(key),
            "does not belong to a pattern of this kind",
        )?;
    }
    match kind {
        Kind::ParallelSweep => sweep(section, has_area).map(PatternTask::ParallelSweep),
        Kind::CreepingLine => sweep(section, has_area).map(PatternTask::CreepingLine),
        Kind::ExpandingSquare => expanding_square(section).map(PatternTask::ExpandingSquare),
        Kind::Sector => sector(section).map(PatternTask::Sector),
        Kind::TrackLineReturn => track_line(section, 2).map(PatternTask::TrackLineReturn),
        Kind::TrackLineNonReturn => track_line(section, 1).map(PatternTask::TrackLineNonReturn),
        Kind::Contour => contour(section).map(PatternTask::Contour),
        Kind::Route => route(section),
        Kind::Legs => separate_legs(section).map(PatternTask::Legs),
    }
}

pub(super) fn spacing(section: &Section<'_>) -> Result<Length, InputError> {
    let spacing = section.positive_length("spacing")?;
    let spacing = section.require("spacing", spacing, "\"0.5 NM\"")?;
    section.check(
        "spacing",
        (10.0..=100_000.0).contains(&spacing.m()),
        "must be from 10 m to 100 km",
    )?;
    Ok(spacing)
}

fn first_course(section: &Section<'_>) -> Result<Course, InputError> {
    section.require("first_course", section.course("first_course")?, "\"092 M\"")
}

pub(super) fn turn(section: &Section<'_>) -> Result<Side, InputError> {
    let sides = [("left", Side::Left), ("right", Side::Right)];
    section.require("turn", section.choice("turn", &sides)?, "\"right\"")
}

fn datum(section: &Section<'_>) -> Result<Position, InputError> {
    section.require("datum", section.position("datum")?, "[47.1250, 12.5000]")
}

fn legs(section: &Section<'_>) -> Result<Option<u32>, InputError> {
    let legs = section.count("legs")?;
    section.check(
        "legs",
        legs.is_none_or(|n| n <= MAX_LEGS),
        &format!("must be at most {MAX_LEGS}"),
    )?;
    Ok(legs)
}

fn sweep(section: &Section<'_>, has_area: bool) -> Result<SweepTask, InputError> {
    let task = SweepTask {
        spacing: spacing(section)?,
        start: section.position("start")?,
        first_course: first_course(section)?,
        turn: turn(section)?,
        leg_length: section.positive_length("leg_length")?,
        legs: legs(section)?,
        end_inset: section.length("end_inset")?,
        fit: section
            .choice("fit", &[("nearest", Fit::Nearest), ("cover", Fit::Cover)])?
            .unwrap_or(Fit::Nearest),
        interleave: section.flag("interleave")?.unwrap_or(false),
    };
    section.check(
        "leg_length",
        task.leg_length
            .is_none_or(|l| l.m() >= 100.0 && l.m() <= LONGEST_LEG.m()),
        "must be from 100 m to 200 NM",
    )?;
    if let Some(length) = task.leg_length.filter(|l| *l < task.spacing) {
        return Err(section.error_at(
            "leg_length",
            format!(
                "`leg_length` in [pattern] is {:.2} NM, shorter than the `spacing` of {:.2} NM",
                length.nm(),
                task.spacing.nm()
            ),
            format!(
                "a leg is at least one spacing long: give a `leg_length` of at least {}, or a `spacing` \
                 of at most {}",
                at_least(task.spacing),
                at_most(length)
            ),
        ));
    }
    if task.interleave && task.legs == Some(1) {
        return Err(section.error_at(
            "interleave",
            "`interleave` in [pattern]: there is nothing midway between the legs of a set of one",
            "give `legs = 2` or more, or leave `interleave` out",
        ));
    }
    section.check(
        "end_inset",
        task.end_inset.is_none_or(|l| l.m() >= 0.0),
        "must be zero or more",
    )?;
    if !has_area {
        // Without an area there is nothing to work them out from.
        section.require(
            "start",
            task.start,
            "[47.1250, 12.5000]   (or give an [area])",
        )?;
        section.require(
            "leg_length",
            task.leg_length,
            "\"7.5 NM\"   (or give an [area])",
        )?;
        section.require("legs", task.legs, "10   (or give an [area])")?;
    }
    Ok(task)
}

fn expanding_square(section: &Section<'_>) -> Result<ExpandingSquareTask, InputError> {
    let spacing = spacing(section)?;
    let (legs, side) = (legs(section)?, section.positive_length("size")?);
    section.check(
        "size",
        legs.is_none() || side.is_none(),
        "cannot stand beside `legs`",
    )?;
    let size = match side {
        Some(side) => SquareSize::Side(side),
        None => SquareSize::Legs(section.require("legs", legs, "10   (or give `size`)")?),
    };
    section.check(
        "size",
        side.is_none_or(|side| side.m() > spacing.m() && side.m() <= LONGEST_LEG.m()),
        "must be more than `spacing` and at most 200 NM",
    )?;
    section.check(
        "legs",
        legs.is_none_or(|n| f64::from(n.div_ceil(2)) * spacing.m() <= LONGEST_LEG.m()),
        "makes a last leg of more than 200 NM at this `spacing`",
    )?;
    Ok(ExpandingSquareTask {
        datum: datum(section)?,
        first_course: first_course(section)?,
        turn: turn(section)?,
        spacing,
        size,
    })
}

fn sector(section: &Section<'_>) -> Result<SectorTask, InputError> {
    let radius = section.require("radius", section.length("radius")?, "\"5 NM\"")?;
    if !RADIUS_M.contains(&radius.m()) {
        return Err(section.error_at(
            "radius",
            format!(
                "`radius` in [pattern] must be from 100 m to 100 NM, found {:.2} NM",
                radius.nm()
            ),
            if radius.m() < *RADIUS_M.start() {
                "a sector search needs a circle to fill; the smallest is radius = \"100 m\""
            } else {
                "the largest is radius = \"100 NM\""
            },
        ));
    }
    let sectors = section.count("sectors")?;
    section.check(
        "sectors",
        sectors.is_none_or(|n| SECTORS.contains(&n)),
        "must be 6, 10, 14 or 18",
    )?;
    Ok(SectorTask {
        datum: datum(section)?,
        radius,
        first_course: first_course(section)?,
        turn: turn(section)?,
        sectors: sectors.unwrap_or(SECTORS[0]),
        second_pass: section.flag("second_pass")?.unwrap_or(false),
    })
}
