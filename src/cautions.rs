//! What every report, page and help text says about its limits.

/// One paragraph for the end of `--help`.
pub const SHORT: &str = "A debrief aid, not for navigation. Figures are no better than the log, the \
tasking and the published detection laws they rest on. Decisions belong to the search mission \
coordinator or incident command and to qualified crew; local procedures and aviation rules prevail.";

/// The cautions of a debrief, most important first.
pub const DEBRIEF: [&str; 7] = [
    "A debrief aid only: not for navigation, terrain clearance, separation or any other use in flight.",
    "Decisions belong to the search mission coordinator or incident command and to qualified crew; \
     where local procedures, manuals or aviation rules differ from this report, they prevail.",
    "POD is the result of a model, not a promise: it assumes the sweep width of the tasking, trained \
     and rested scanners, independent glances and an object that stays put. A high POD never proves \
     that an area is empty.",
    "The track shows where the aircraft was, not where anybody looked. Turns, orbits and transits \
     are not counted as looking; glare, window posts and terrain are not known to the log.",
    "Coverage is of the ground. Over water it does not follow a drifting object.",
    "Stretches without a record are reported as not recorded, neither as searched nor as missed.",
    "Leaving the track can be good airmanship: weather, terrain, traffic or a sighting. The figures \
     say what was flown, not why.",
];

/// Beside every raster map below a map.
pub const BACKDROP: &str = "For orientation only, not for navigation: it may be out of date, and lies where its file says.";

/// Beside every height above the ground.
pub const TERRAIN: &str = "Heights above the ground come from terrain tiles, which are samples with errors of \
tens of metres in places, smooth ridges off, and hold no masts, wires, trees or buildings: they tell after the \
flight how high it was, and are never for navigation or terrain clearance.";

/// The cautions of a plan, most important first.
pub const PLAN: [&str; 4] = [
    "A planning aid only: not for navigation, terrain clearance, separation or any other use in flight.",
    "Decisions belong to the search mission coordinator or incident command and to qualified crew; \
     where local procedures, manuals or aviation rules differ from this sheet, they prevail.",
    "Terrain, obstacles, airspace, weather and fuel are not known to it; the crew checks every \
     position, course and height before use.",
    "POD is the result of a model for a pattern flown as laid out: it assumes the sweep width of the \
     tasking, trained and rested scanners and an object that stays put.",
];

/// The cautions of a training review, most important first.
pub const TRAINING: [&str; 4] = [
    "An aid for a talk between instructor and pilot, not a test and not a qualification: what a pilot may fly is decided by qualified \
     people under the rules of the organisation and the authority.",
    "The log says what was flown, not why: weather, traffic, terrain, a sighting or an instruction can be behind any of it. Ask before judging.",
    "Safety comes before the line: height, speed and bank limits are those of the aircraft and the rules, not of this review.",
    "It speaks of named people. Keep and share it as the rules on personal data and your organisation say.",
];
