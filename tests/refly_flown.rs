//! A re-fly that is flown does what it was worked out to do: its tasking is read back, flown by the simulator
//! and debriefed, and both sorties taken together reach what was foretold.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod support;

use overflown::coverage::look::Look;
use overflown::debrief::{Debrief, debrief};
use overflown::detection::Law;
use overflown::geodesy::Position;
use overflown::plan::{self, Leg, PatternKind};
use overflown::search::{Part, Search, Sortie, Wants, search};
use overflown::simulate::{Fault, Settings, Wind, simulate};
use overflown::tasking;
use overflown::units::{Bearing, Speed};
use std::path::Path;
use support::{TASKING, nm, reading};

/// POD by which a re-fly flown may differ from what was foretold. The aim wanders with 20 m, the receiver errs by some
/// metres, and the lines are thinned to within 0.005 W: beside strips of half a mile that moves the mean POD by about a
/// thousandth at most (the first order cancels between the two sides), on the third of the ground that is flown again.
/// Found: 0.0007 at most.
const WITHIN: f64 = 0.002;
/// The same where the first order does not cancel. Under the laws of a band with an edge this falls within a cell, a tenth
/// of the strip's width. From one side a shift of 20 m adds 20 m next to the track and takes them away far from it, 2 % of
/// a strip; and a wandering track looks into the blind strip of its own neighbouring parts (without wandering the
/// difference is 0.00003 there). That on up to half of the ground is 0.01.
const EDGES_WITHIN: f64 = 0.01;

/// An expanding square of 9 legs.
const SQUARE: &str = "sortie = \"Heron 5\"\ndate = 2026-05-20\n[pattern]\nkind = \"expanding square\"\n\
    datum = [46.4, 11.2]\nfirst_course = \"015 T\"\nturn = \"right\"\nspacing = \"0.8 NM\"\nlegs = 9\n[flight]\n\
    ground_speed = \"90 kt\"\naltitude = \"3000 ft\"\nbase = [46.36, 11.05]\n[detection]\nsweep_width = \"0.7 NM\"\n\
    search_height = \"700 ft\"\n";

/// Two bands of a slope.
const CONTOUR: &str = "sortie = \"Heron 7\"\ndate = 2026-05-20\n[pattern]\nkind = \"contour\"\n\
    spacing = \"0.5 NM\"\n[[pattern.bands]]\naltitude = \"6500 ft\"\n\
    line = [[46.40, 11.20], [46.45, 11.22], [46.50, 11.20]]\n[[pattern.bands]]\naltitude = \"6000 ft\"\n\
    line = [[46.50, 11.215], [46.45, 11.235], [46.40, 11.215]]\n[flight]\nground_speed = \"80 kt\"\n\
    base = [46.36, 11.15]\n[detection]\nsweep_width = \"0.5 NM\"\ntarget_pod = 0.6\n";

struct Sorties {
    flown: Vec<Sortie>,
    seed: u64,
}

impl Sorties {
    /// Flies and debriefs one more, three hours after the last.
    fn fly(&mut self, text: &str, faults: Vec<Fault>) -> Debrief {
        let path = Path::new("tasking.toml");
        let tasking =
            tasking::parse(text, path).unwrap_or_else(|e| panic!("{e}: {}\n{text}", e.hint));
        let plan = plan::lay_out(&tasking, path).unwrap();
        let number = self.flown.len() as u64;
        let seed = 100 * number + self.seed;
        let usual = Settings::for_tasking(&tasking);
        let settings = Settings {
            faults,
            wind: Wind {
                from: Bearing::from_deg(37.0 * seed as f64),
                speed: Speed::from_kt((seed % 5) as f64 * 3.0),
            },
            gust: Speed::from_kt(1.0),
            start: usual.start + chrono::TimeDelta::hours(3 * number as i64),
            ..usual
        };
        let flight = simulate(&plan, &settings, seed).unwrap();
        let mut read = reading(flight.fixes);
        read.sources[0].sha256 = format!("{seed}");
        let track = overflown::track::clean::clean(read, &Default::default()).unwrap();
        let debrief = debrief(&track, Path::new("log.gpx"), &tasking, &plan).unwrap();
        self.flown.push(Sortie::of(&debrief).unwrap());
        debrief
    }

    fn search(&self, wants: &Wants) -> Search {
        search(self.flown.clone(), wants).unwrap()
    }
}

fn begun(text: &str, faults: Vec<Fault>, seed: u64) -> (Sorties, Debrief) {
    let mut sorties = Sorties {
        flown: Vec::new(),
        seed,
    };
    let debrief = sorties.fly(text, faults);
    (sorties, debrief)
}

fn wants(target_pod: Option<f64>, parts: Vec<Part>) -> Wants {
    Wants {
        name: "North".into(),
        parts,
        target_pod,
        base: Position::new(46.46, 10.98),
        ..Wants::default()
    }
}

/// The ground between the first leg and the sixth, and between that and the last; the former is likelier.
fn halves(legs: &[Leg]) -> Vec<Part> {
    let leg = |label: &str| legs.iter().find(|leg| leg.label == label).unwrap();
    let (first, middle, last) = (leg("1"), leg("6"), leg("10"));
    let part = |name: &str, corners: [Position; 4], poc| Part {
        name: name.into(),
        corners: corners.to_vec(),
        poc,
    };
    // Every second leg is flown the other way.
    vec![
        part(
            "west",
            [first.start, first.end, middle.start, middle.end],
            Some(0.6),
        ),
        part(
            "east",
            [middle.end, middle.start, last.start, last.end],
            None,
        ),
    ]
}

fn faults() -> Vec<Fault> {
    vec![
        Fault::SkipLeg(6),
        Fault::CutShort {
            leg: 9,
            by: nm(2.5),
        },
        Fault::Dropout {
            leg: 3,
            along: nm(2.0),
            duration_s: 80.0,
        },
    ]
}

fn within(look: &Look) -> f64 {
    if look.law == Law::InverseCube && look.view.is_whole() {
        WITHIN
    } else {
        EDGES_WITHIN
    }
}

/// The part of a line between the ends of a leg.
fn between_ends(leg: &Leg, line: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let frame = leg.frame();
    let along = |[lat, lon]: [f64; 2]| frame.locate(Position::new(lat, lon).unwrap()).along_m;
    let mut inside: Vec<[f64; 2]> = Vec::new();
    for pair in line.windows(2) {
        let (a, b) = (along(pair[0]), along(pair[1]));
        let share = |at: f64| ((at - a) / (b - a)).clamp(0.0, 1.0);
        let (start, end) = (share(0.0), share(leg.length.m()));
        if start == end {
            continue;
        }
        let at = |share: f64| [0, 1].map(|i| pair[0][i] + share * (pair[1][i] - pair[0][i]));
        inside.extend([at(start.min(end)), at(start.max(end))]);
    }
    inside.dedup();
    inside
}

/// Searches, works the re-fly out, flies it by its tasking, and searches again.
fn flown_again(text: &str, faults: Vec<Fault>, wants: &Wants, seed: u64) -> (Search, Search) {
    let (mut sorties, _) = begun(text, faults, seed);
    let before = sorties.search(wants);
    let tasked = before.refly_tasked.as_ref().unwrap();
    let look = sorties.flown[0].looks.look();
    assert_eq!(
        Look::of(&tasked.tasking.detection, tasked.plan.spacing),
        look
    );
    let debrief = sorties.fly(&tasked.text, Vec::new());
    assert_eq!(debrief.looks.look(), look);
    assert_eq!(debrief.looks.limits, sorties.flown[0].looks.limits);
    assert_eq!(debrief.plan.pattern, PatternKind::Legs);
    assert_eq!(debrief.legs.len(), before.refly.legs.len());
    assert!(
        debrief.passes.len() >= debrief.legs.len(),
        "seed {seed}: {:?}",
        debrief.passes.iter().map(|p| &p.leg).collect::<Vec<_>>()
    );
    let open = debrief.strips.iter().filter(|strip| strip.needs_refly());
    let open: Vec<&str> = open.map(|strip| strip.leg.as_str()).collect();
    assert!(
        open.is_empty(),
        "seed {seed}: {open:?} alone\n{}",
        tasked.text
    );
    let after = sorties.search(wants);
    // What was flown between the ends of the legs is what was foretold; the rest can only add: straight flight
    // onto a leg and past its end, and ways between legs that run straight through the area.
    let mut legs_alone = sorties.flown.clone();
    let looked = &mut legs_alone[1].looks.passages;
    looked.retain_mut(|passage| {
        let leg = debrief
            .plan
            .legs
            .iter()
            .find(|leg| leg.label == passage.leg);
        for line in &mut passage.lines {
            *line = leg.map_or_else(Vec::new, |leg| between_ends(leg, line));
        }
        leg.is_some()
    });
    let alone = search(legs_alone, wants).unwrap().pod.pod;
    let foretold = before.refly.outcome.pod;
    assert!(
        (alone - foretold).abs() <= within(&look),
        "seed {seed}: {foretold} foretold, {alone} between the ends of the legs"
    );
    (before, after)
}

/// Cumulative POD and strips are what was foretold.
fn as_foretold(what: &str, seed: u64, (before, after): &(Search, Search)) {
    let tasked = before.refly_tasked.as_ref().unwrap();
    let look = Look::of(&tasked.tasking.detection, tasked.plan.spacing);
    let foretold = before.refly.outcome;
    assert!(before.refly.goal_met, "{what}, seed {seed}: {foretold:?}");
    assert!(
        after.pod.pod >= foretold.pod - within(&look),
        "{what}, seed {seed}: {} foretold, {} reached",
        foretold.pod,
        after.pod.pod
    );
    assert_eq!(after.sub_areas.len(), before.sub_areas.len());
    let mut left: Vec<&str> = Vec::new();
    for leg in before.refly.legs.iter().flat_map(|leg| &leg.mends) {
        let strip = |search: &Search| {
            let found = search.strips.iter().find(|strip| strip.strip.leg == *leg);
            found.map(|found| found.strip.clone()).unwrap()
        };
        if strip(after).needs_refly() && !left.contains(&leg.as_str()) {
            left.push(leg);
        }
    }
    // A POD wanted over the ground is reached before all strips are at it.
    if before.target_pod.is_none() {
        assert!(left.is_empty(), "{what}, seed {seed}: {left:?} have holes");
    }
}

#[test]
fn a_sweep_is_mended() {
    for seed in 1..=12 {
        let wants = wants(None, Vec::new());
        as_foretold("sweep", seed, &flown_again(TASKING, faults(), &wants, seed));
    }
}

#[test]
fn a_sweep_reaches_the_pod_wanted() {
    for (seed, target) in [(1, 0.75), (2, 0.8), (3, 0.85)] {
        let wants = wants(Some(target), Vec::new());
        let both = flown_again(TASKING, faults(), &wants, seed);
        assert!(both.0.refly.outcome.pod >= target);
        assert!(both.1.pod.pod >= target - WITHIN, "{}", both.1.pod.pod);
        as_foretold("sweep to a target", seed, &both);
    }
}

#[test]
fn sub_areas_are_mended_without_an_area_of_the_refly() {
    for (seed, target) in [(1, None), (2, None), (3, Some(0.8))] {
        let (_, plan) = support::tasking(TASKING);
        let both = flown_again(TASKING, faults(), &wants(target, halves(&plan.legs)), seed);
        let tasked = both.0.refly_tasked.as_ref().unwrap();
        assert!(!tasked.plan.area_given && tasked.plan.notes[0].contains("hull"));
        as_foretold("sub-areas", seed, &both);
    }
}

#[test]
fn an_expanding_square_is_mended() {
    for seed in 1..=4 {
        let faults = vec![Fault::SkipLeg(7)];
        for target in [None, Some(0.75)] {
            let both = flown_again(SQUARE, faults.clone(), &wants(target, Vec::new()), seed);
            as_foretold("square", seed, &both);
        }
    }
}

/// Every leg of the re-fly has the height of the band it mends.
#[test]
fn a_contour_search_is_mended_at_its_heights() {
    for seed in 1..=4 {
        let both = flown_again(
            CONTOUR,
            vec![Fault::SkipLeg(3)],
            &wants(None, Vec::new()),
            seed,
        );
        as_foretold("contour", seed, &both);
        for (_, leg) in both.0.refly_tasked.as_ref().unwrap().plan.search_legs() {
            let ft = leg.altitude.unwrap().ft().round();
            assert!(ft == 6000.0 || ft == 6500.0, "{ft}");
        }
    }
}

/// Under every law, from one side, with a blind strip, in the direction the legs have.
#[test]
fn every_way_of_looking_is_foretold() {
    for (seed, detection) in [
        (1, "law = \"exponential\""),
        (2, "law = \"definite range\""),
        (3, "search_height = \"800 ft\"\nblind_strip = \"120 m\""),
        (4, "scanners = \"left\""),
        (5, "scanners = \"right\"\nblind_strip = \"80 m\""),
        (
            6,
            "highest = \"3300 ft\"\nlowest = \"2700 ft\"\nslowest = \"60 kt\"\nfastest = \"120 kt\"",
        ),
    ] {
        let width = "sweep_width = \"0.5 NM\"";
        let text = TASKING.replace(width, &format!("{width}\n{detection}"));
        // From one side a strip may stay below target; what was foretold is reached even so.
        let (before, after) = flown_again(&text, faults(), &wants(None, Vec::new()), seed);
        let foretold = before.refly.outcome.pod;
        assert!(foretold > before.refly.pod_before + 0.05, "{detection}");
        assert!(after.pod.pod >= foretold - EDGES_WITHIN, "{detection}");
    }
}

/// One side, a blind strip, limits, a width from a table: all of it comes back as it was.
#[test]
fn the_look_of_a_refly_is_the_one_it_was_chosen_with() {
    let table = "object = \"vehicle\"\nover = \"land\"\nsearch_height = \"733 ft\"\nvisibility = \"12 km\"\n\
                 terrain = \"mountainous\"\nfatigued = true";
    for (detection, spacing) in [
        (
            "sweep_width = \"0.37 NM\"\nsweep_width_spread = \"23 %\"\nlaw = \"exponential\"",
            "0.41 NM",
        ),
        (
            "sweep_width = \"777.7 m\"\nsearch_height = \"411 ft\"\nblind_strip = \"131 m\"",
            "917 m",
        ),
        (
            "sweep_width = \"0.5 NM\"\nlaw = \"definite range\"\nposition_error = \"13 m\"",
            "0.5 NM",
        ),
        (
            "sweep_width = \"0.5 NM\"\nscanners = \"left\"\nlowest = \"2222 ft\"\nhighest = \"3456 ft\"\n\
             slowest = \"61.7 kt\"\nfastest = \"199 km/h\"",
            "0.5 NM",
        ),
        (table, "0.333 NM"),
    ] {
        let text = TASKING
            .replace("sweep_width = \"0.5 NM\"", detection)
            .replace("spacing = \"0.5 NM\"", &format!("spacing = \"{spacing}\""));
        let (sorties, debrief) = begun(&text, faults(), 1);
        // As it is after having been a file.
        let json = serde_json::to_string(&debrief).unwrap();
        let read: Sortie = serde_json::from_str(&json).unwrap();
        let of_search = search(vec![read.clone()], &wants(None, Vec::new())).unwrap();
        for (tasked, of) in [
            (debrief.refly_tasked.as_ref(), &sorties.flown[0]),
            (of_search.refly_tasked.as_ref(), &read),
        ] {
            let tasked = tasked.unwrap_or_else(|| panic!("{detection}: {:?}", debrief.remarks));
            let task = &tasked.tasking.detection;
            assert_eq!(
                Look::of(task, tasked.plan.spacing),
                of.looks.look(),
                "{detection}"
            );
            assert_eq!(task.limits, of.looks.limits, "{detection}");
            assert_eq!(task.position_error, of.looks.position_error);
            assert_eq!(tasked.tasking.flight.ground_speed, of.plan.ground_speed);
            assert_eq!(tasked.tasking.flight.altitude, of.plan.altitude);
            // The spread is that of the tasking, or the wider side of that of a table.
            let spread = &task.sweep_width_basis;
            let low = spread.low.unwrap_or(task.sweep_width);
            let high = spread.high.unwrap_or(task.sweep_width);
            assert!(
                low.m() <= of.looks.sweep_width_low.m() + 0.01,
                "{detection}"
            );
            assert!(
                high.m() >= of.looks.sweep_width_high.m() - 0.01,
                "{detection}"
            );
        }
        assert_eq!(
            debrief.refly_tasked.unwrap().tasking.flight.base,
            Position::new(46.46, 10.98)
        );
    }
}

/// The re-fly that a debrief offers keeps the ground of its sortie, which keeps its name in the search.
#[test]
fn the_refly_of_a_debrief_goes_over_the_ground_of_its_sortie() {
    for seed in 1..=3 {
        let (mut sorties, first) = begun(TASKING, faults(), seed);
        let tasked = first.refly_tasked.clone().unwrap();
        assert_eq!(tasked.plan.area.corners(), first.plan.area_corners);
        sorties.fly(&tasked.text, Vec::new());
        let both = sorties.search(&Wants::default());
        let names: Vec<&str> = both.sub_areas.iter().map(|s| s.name.as_str()).collect();
        assert_eq!(names, ["Heron 3"]);
        assert!(
            both.pod.pod >= first.refly.outcome.pod - WITHIN,
            "seed {seed}"
        );
        assert_eq!(both.strips_to_refly(), 0, "seed {seed}");
    }
}

/// Separate legs without an area are a look at the ground of others; alone their hull is all there is.
#[test]
fn the_hull_of_separate_legs_is_nobodys_ground() {
    let (mut sorties, first) = begun(TASKING, faults(), 1);
    // Three legs that begin inside the area and end far outside.
    let legs = "sortie = \"Legs\"\ndate = 2026-05-20\n[pattern]\nkind = \"legs\"\nspacing = \"0.5 NM\"\n\
                lines = [[[46.45, 11.25], [46.55, 11.25]], [[46.55, 11.5], [46.45, 11.5]], \
                [[46.45, 11.3], [46.45, 11.2]]]\n[flight]\nground_speed = \"90 kt\"\n[detection]\n\
                sweep_width = \"0.5 NM\"\n";
    sorties.fly(legs, Vec::new());
    let both = sorties.search(&Wants::default());
    assert_eq!(both.sub_areas.len(), 1);
    assert_eq!(both.sub_areas[0].corners, first.plan.area_corners);
    assert!(both.pod.pod > first.coverage.pod_band.pod);
    // With an area of their own they add ground.
    let given = legs.replace(
        "[pattern]",
        "[area]\ncorners = [[46.4, 11.4], [46.6, 11.4], [46.6, 11.6], [46.4, 11.6]]\n[pattern]",
    );
    let (mut other, _) = begun(TASKING, faults(), 1);
    other.fly(&given, Vec::new());
    assert_eq!(other.search(&Wants::default()).sub_areas.len(), 2);
    // Alone there is nothing else to go by.
    let (alone, debrief) = begun(legs, Vec::new(), 2);
    assert!(debrief.remarks.iter().any(|remark| remark.contains("hull")));
    let search = alone.search(&Wants::default());
    assert_eq!(search.sub_areas[0].corners, debrief.plan.area_corners);
}

/// What cannot be tasked is said: at the ground speed asked of the re-fly nothing would count as looking.
#[test]
fn a_refly_that_contradicts_the_look_is_not_tasked_and_says_so() {
    let text = TASKING.replace("[detection]", "[detection]\nfastest = \"100 kt\"");
    let (sorties, _) = begun(&text, faults(), 1);
    let wants = Wants {
        ground_speed: Some(Speed::from_kt(120.0)),
        ..wants(None, Vec::new())
    };
    let search = sorties.search(&wants);
    assert!(search.refly_tasked.is_none() && !search.refly.legs.is_empty());
    let said = search
        .remarks
        .iter()
        .find(|remark| remark.contains("cannot be written as a tasking"));
    assert!(said.unwrap().contains("`fastest`"), "{:?}", search.remarks);
}

/// After nothing but a clean flight there is nothing to fly again.
#[test]
fn nothing_to_fly_again_is_no_tasking() {
    let (sorties, debrief) = begun(TASKING, Vec::new(), 1);
    assert!(debrief.refly_tasked.is_none());
    let search = sorties.search(&Wants::default());
    assert!(search.refly.legs.is_empty() && search.refly_tasked.is_none());
    assert!(
        !search
            .remarks
            .iter()
            .any(|remark| remark.contains("tasking:"))
    );
}
