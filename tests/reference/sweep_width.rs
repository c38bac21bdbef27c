//! Sweep widths against the published tables and a worked example.
//!
//! Tables: Australian *National Search and Rescue Manual*, 2026, Appendix D-5 (D-5:6, D-5:9, D-5:10), and
//! IAMSAR Manual, Vol. II (N-7, N-8), all from typed-out copies, so these figures are to be checked against
//! a copy; *National Search and Rescue Manual*, Vol. I, Joint Pub 3-50, 1991, Appendix D, p. 374, read.

use overflown::detection::law::{Law, perfect_sweep_pod};
use overflown::detection::sweep_width::{
    Conditions, FactorTables, Refusal, Surface, SurfaceConditions, SweepWidth, WidthTable,
};
use overflown::detection::{InverseCube, sweep_width::Status};
use overflown::units::{Length, Speed};

fn at_sea(object: &str, feet: f64, visibility_nm: f64) -> Conditions {
    Conditions {
        object: object.into(),
        search_height: Length::from_ft(feet),
        visibility: Length::from_nm(visibility_nm),
        ground_speed: Speed::from_kt(180.0),
        surface: SurfaceConditions::Water {
            wind: Speed::from_kt(10.0),
            seas: Length::from_ft(1.0),
            flotation: false,
        },
        fatigued: false,
    }
}

fn on_land(object: &str, feet: f64, visibility_km: f64, terrain: &str) -> Conditions {
    Conditions {
        visibility: Length::from_m(1000.0 * visibility_km),
        surface: SurfaceConditions::Land {
            terrain: terrain.into(),
        },
        ..at_sea(object, feet, 1.0)
    }
}

fn width(conditions: &Conditions) -> Result<SweepWidth, Refusal> {
    let over = match conditions.surface {
        SurfaceConditions::Water { .. } => Surface::Water,
        SurfaceConditions::Land { .. } => Surface::Land,
    };
    SweepWidth::from_table(
        &WidthTable::built_in(over).unwrap(),
        &FactorTables::built_in().unwrap(),
        conditions,
    )
}

fn width_nm(conditions: &Conditions) -> f64 {
    width(conditions)
        .unwrap_or_else(|e| panic!("{e}: {}", e.hint))
        .width
        .nm()
}

#[track_caller]
fn close(got: f64, expected: f64) {
    assert!((got - expected).abs() < 1e-9, "{got} for {expected}");
}

/// Fixed wing, 500 ft, visibility 10 NM, 4-person raft (1.8 NM); wind 20 kt, seas 4 ft (0.5); 150 kt (1.1);
/// a tired crew (0.9). The arithmetic by hand, the two POD computed from 1 - e^-C and erf(√π/2 · C) at
/// S = 1 NM (Koopman 1946).
#[test]
fn worked_example() {
    let conditions = Conditions {
        ground_speed: Speed::from_kt(150.0),
        surface: SurfaceConditions::Water {
            wind: Speed::from_kt(20.0),
            seas: Length::from_ft(4.0),
            flotation: false,
        },
        fatigued: true,
        ..at_sea("raft 4-person", 500.0, 10.0)
    };
    let width = width(&conditions).unwrap();
    close(width.width.nm(), 0.891);
    close(width.uncorrected.unwrap().nm(), 1.8);
    let factors: Vec<(&str, f64)> = width.factors.iter().map(|f| (f.what, f.value)).collect();
    assert_eq!(
        factors,
        [("weather", 0.5), ("speed", 1.1), ("fatigue", 0.9)]
    );
    let mile = Length::from_nm(1.0);
    let law = InverseCube::new(width.width, None);
    let pod = |of| perfect_sweep_pod(of, &law, mile);
    assert!((pod(Law::Exponential) - 0.5898).abs() < 5e-5);
    assert!((pod(Law::InverseCube) - 0.7359).abs() < 5e-5);
    // The other copy has 1.6 in this cell; half a step of 0.05 either way.
    close(width.low.unwrap().nm(), (1.8 - 0.05 - 0.2) * 0.495);
    close(width.high.unwrap().nm(), (1.8 + 0.05) * 0.495);
    assert!(width.marks.iter().any(|mark| mark.contains("1.8 / 1.6")));
    assert!(
        width
            .marks
            .iter()
            .any(|mark| mark.contains("check against your manual"))
    );
    assert_eq!(width.factors[0].status, Status::SecondHand);
    assert_eq!(width.factors[2].status, Status::Read);
}

/// Single cells of D-5:6 and D-5:9, at factors of 1.
#[test]
fn cells_of_the_tables() {
    for (object, feet, visibility_nm, expected) in [
        ("raft 1-person", 500.0, 1.0, 0.3),
        ("raft 1-person", 500.0, 20.0, 1.4),
        ("power boat 5-8 m", 500.0, 10.0, 3.6),
        ("ship over 91 m", 500.0, 20.0, 27.9),
        ("sail boat 12 m", 1000.0, 5.0, 4.3),
        ("power boat 12-20 m", 1500.0, 15.0, 11.0),
        ("raft 25-person", 2000.0, 3.0, 1.6),
        ("person in water", 1000.0, 10.0, 0.1),
        ("Sail Boat 23-27 m", 2000.0, 10.0, 10.0),
    ] {
        close(width_nm(&at_sea(object, feet, visibility_nm)), expected);
    }
    for (object, feet, visibility_km, expected) in [
        ("vehicle", 500.0, 5.0, 0.9),
        ("vehicle", 2000.0, 40.0, 2.0),
        ("aircraft under 5700 kg", 1000.0, 30.0, 1.6),
        ("aircraft over 5700 kg", 1500.0, 10.0, 2.8),
    ] {
        let conditions = on_land(object, feet, visibility_km, "open");
        close(width_nm(&conditions), expected);
    }
    // Person over open ground: 0.4 NM x 0.8 (D-5:10).
    close(width_nm(&on_land("person", 500.0, 10.0, "open")), 0.32);
    close(
        width_nm(&on_land("person", 1000.0, 40.0, "Rainforest")),
        0.05,
    );
}

/// Half-way between two rows, two columns, and both, by hand.
#[test]
fn between_the_lines() {
    // 8-12 m power boat: 500 ft 5.3 and 6.7, 1000 ft 5.4 and 6.8 at 10 and 15 NM.
    let boat = |feet, nm| at_sea("power boat 8-12 m", feet, nm);
    close(width_nm(&boat(500.0, 12.5)), 6.0);
    close(width_nm(&boat(750.0, 10.0)), 5.35);
    close(width_nm(&boat(750.0, 12.5)), 6.05);
    // A quarter of the way: 5.3 + (6.7 - 5.3) / 4. The spread there: half a step, and 3/16 of the step
    // between the cells.
    let quarter = width(&boat(500.0, 11.25)).unwrap();
    close(quarter.width.nm(), 5.65);
    close(quarter.high.unwrap().nm(), 5.65 + 0.05 + 1.4 * 3.0 / 16.0);
    // A doubtful cell counts by its weight: 1.8 or 1.6, half-way to 2.0.
    let raft = width(&at_sea("raft 4-person", 500.0, 12.5)).unwrap();
    close(raft.low.unwrap().nm(), 1.9 - 0.05 - 0.1 - 0.25 * 0.2);
}

/// IAMSAR II, N-7, and JP 3-50, D-1: the worse of wind and seas decides, limits count as the calmer side.
#[test]
fn weather_factors() {
    for (wind_kt, seas_ft, small, other) in [
        (15.0, 3.0, 1.0, 1.0),
        (16.0, 0.0, 0.5, 0.9),
        (0.0, 3.5, 0.5, 0.9),
        (25.0, 5.0, 0.5, 0.9),
        (26.0, 0.0, 0.25, 0.9),
        (5.0, 6.0, 0.25, 0.9),
        (20.0, 6.0, 0.25, 0.9),
    ] {
        let of = |object| Conditions {
            surface: SurfaceConditions::Water {
                wind: Speed::from_kt(wind_kt),
                seas: Length::from_ft(seas_ft),
                flotation: false,
            },
            ..at_sea(object, 500.0, 10.0)
        };
        close(width_nm(&of("raft 6-person")), 2.2 * small);
        close(width_nm(&of("ship 27-46 m")), 11.1 * other);
    }
    // Seas of 2.5 ft: 1.0 by N-7, 0.5 by the older table, which has its limit at 2 ft; said, and in the
    // spread.
    let conditions = Conditions {
        surface: SurfaceConditions::Water {
            wind: Speed::from_kt(10.0),
            seas: Length::from_ft(2.5),
            flotation: false,
        },
        ..at_sea("raft 6-person", 500.0, 10.0)
    };
    let width = width(&conditions).unwrap();
    close(width.width.nm(), 2.2);
    close(width.low.unwrap().nm(), 2.15 * 0.5);
    assert!(
        width.marks.iter().any(|mark| mark.contains("D-1")),
        "{:?}",
        width.marks
    );
}

/// IAMSAR II, N-8; JP 3-50, p. 220: a slower aeroplane gets no more than the 150 kt column.
#[test]
fn speed_factors() {
    let at = |object, knots| Conditions {
        ground_speed: Speed::from_kt(knots),
        ..at_sea(object, 500.0, 20.0)
    };
    for (object, table, knots, factor) in [
        ("person in water", 0.1, 90.0, 1.2),
        ("person in water", 0.1, 150.0, 1.2),
        ("raft 1-person", 1.4, 90.0, 1.1),
        ("raft 1-person", 1.4, 165.0, 1.05),
        ("raft 1-person", 1.4, 210.0, 0.9),
        ("raft 25-person", 4.6, 195.0, 0.95),
        ("power boat 20-27 m", 16.7, 210.0, 1.0),
        ("ship 46-91 m", 24.7, 150.0, 1.0),
    ] {
        close(width_nm(&at(object, knots)), table * factor);
    }
    let refusal = width(&at("raft 1-person", 211.0)).unwrap_err();
    assert!(refusal.problem.contains("210 kt"), "{}", refusal.problem);
}

/// Footnote of D-5:6(1): times 4 at 500 ft only.
#[test]
fn flotation_device() {
    let with = |object, feet| Conditions {
        surface: SurfaceConditions::Water {
            wind: Speed::from_kt(0.0),
            seas: Length::from_ft(0.0),
            flotation: true,
        },
        ..at_sea(object, feet, 10.0)
    };
    close(width_nm(&with("person in water", 500.0)), 0.4);
    assert_eq!(
        width(&with("person in water", 1000.0)).unwrap_err().key,
        "flotation"
    );
    assert_eq!(
        width(&with("raft 4-person", 500.0)).unwrap_err().key,
        "flotation"
    );
}

/// Nothing is extrapolated, and cells without a figure are not filled.
#[test]
fn outside_the_tables_there_is_no_width() {
    for (conditions, key, named) in [
        (
            at_sea("raft 4-person", 400.0, 10.0),
            "search_height",
            "from 500 to 2000 ft",
        ),
        (
            at_sea("raft 4-person", 2001.0, 10.0),
            "search_height",
            "from 500 to 2000 ft",
        ),
        (
            at_sea("raft 4-person", 500.0, 0.9),
            "visibility",
            "from 1 to 20 NM",
        ),
        (
            at_sea("raft 4-person", 500.0, 21.0),
            "visibility",
            "from 1 to 20 NM",
        ),
        (at_sea("raft", 500.0, 10.0), "object", "\"raft 4-person\""),
        // 0.0 in the table.
        (
            at_sea("person in water", 2000.0, 10.0),
            "object",
            "search lower",
        ),
        (
            on_land("person", 1200.0, 10.0, "open"),
            "search_height",
            "500 ft, 1000 ft",
        ),
        (
            on_land("person", 1500.0, 10.0, "open"),
            "search_height",
            "500 ft, 1000 ft",
        ),
        (
            on_land("vehicle", 500.0, 41.0, "open"),
            "visibility",
            "from 5 to 40 km",
        ),
        (
            on_land("vehicle", 500.0, 10.0, "steep"),
            "terrain",
            "\"mountainous\"",
        ),
    ] {
        let refusal = width(&conditions).unwrap_err();
        assert_eq!(refusal.key, key, "{refusal:?}");
        assert!(refusal.hint.contains(named), "{refusal:?}");
    }
}

/// A slip in copying shows as a dip: no row falls with better visibility, none of the larger objects on
/// the same row order is seen less far than the smaller one before it, but where the table itself says
/// that a cell is doubtful.
#[test]
fn the_tables_rise_with_visibility_and_size() {
    let order = [
        &[
            "raft 1-person",
            "raft 4-person",
            "raft 6-person",
            "raft 8-person",
            "raft 10-person",
            "raft 15-person",
            "raft 20-person",
            "raft 25-person",
        ][..],
        &[
            "power boat under 5 m",
            "power boat 5-8 m",
            "power boat 8-12 m",
            "power boat 12-20 m",
            "power boat 20-27 m",
            "ship 27-46 m",
            "ship 46-91 m",
            "ship over 91 m",
        ],
        &[
            "sail boat 5 m",
            "sail boat 8 m",
            "sail boat 12 m",
            "sail boat 15 m",
            "sail boat 20-23 m",
            "sail boat 23-27 m",
        ],
        &[
            "person",
            "vehicle",
            "aircraft under 5700 kg",
            "aircraft over 5700 kg",
        ],
    ];
    let mut cells_seen = 0;
    for over in [Surface::Water, Surface::Land] {
        let table = WidthTable::built_in(over).unwrap();
        let rows: Vec<(f64, &str, Vec<Option<f64>>)> = table.rows().collect();
        for (feet, object, cells) in &rows {
            cells_seen += cells.len();
            for (column, pair) in cells.windows(2).enumerate() {
                assert!(
                    pair[0] <= pair[1],
                    "{object} at {feet} ft, after column {column}: {pair:?}"
                );
            }
        }
        for pair in order.iter().flat_map(|group| group.windows(2)) {
            for (feet, object, cells) in rows.iter().filter(|row| row.1 == pair[0]) {
                let larger = rows.iter().find(|row| row.0 == *feet && row.1 == pair[1]);
                for (column, (small, large)) in cells.iter().zip(&larger.unwrap().2).enumerate() {
                    let doubtful = table.is_doubtful(*feet, object, column)
                        || table.is_doubtful(*feet, pair[1], column);
                    assert!(
                        doubtful || large.is_none() || small <= large,
                        "{feet} ft, column {column}: {object} {small:?}, {} {large:?}",
                        pair[1]
                    );
                }
            }
        }
    }
    // 23 objects, 4 heights, 6 visibilities, and 4 objects, 4 heights, 5 visibilities.
    assert_eq!(cells_seen, 23 * 4 * 6 + 4 * 4 * 5);
}

/// The 8-12 m power boat may be under or over the 10 m at which N-7 divides: taken as over, the other
/// factor in the spread.
#[test]
fn a_row_on_both_sides_of_ten_metres() {
    let conditions = Conditions {
        surface: SurfaceConditions::Water {
            wind: Speed::from_kt(20.0),
            seas: Length::from_ft(0.0),
            flotation: false,
        },
        ..at_sea("power boat 8-12 m", 500.0, 10.0)
    };
    let width = width(&conditions).unwrap();
    close(width.width.nm(), 5.3 * 0.9);
    close(width.low.unwrap().nm(), 5.25 * 0.5);
    assert!(width.marks.iter().any(|mark| mark.contains("take 0.5")));
}
