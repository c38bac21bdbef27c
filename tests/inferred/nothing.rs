//! No pattern is made up where none was flown.

use crate::flown::track;
use crate::wanderings::{
    approaches, circuits, cross_country, gliding, holds, one_way, orbits, out_and_home,
    random_legs, random_walk, ridge, round_the_edge,
};
use overflown::infer::infer;
use overflown::track::Fix;

/// Of every sort of flight, and of all together, at least this share must be refused.
const EACH: f64 = 0.85;
const ALL: f64 = 0.97;
const SEEDS: u64 = 8;

#[test]
fn wandering_flights_have_no_pattern() {
    let sorts: [(&str, fn(u64) -> Vec<Fix>); 12] = [
        ("random legs", random_legs),
        ("random walk", random_walk),
        ("cross-country", cross_country),
        ("gliding", gliding),
        ("ridge", ridge),
        ("circuits", circuits),
        ("approaches", approaches),
        ("orbits", orbits),
        ("holds", holds),
        ("one way", one_way),
        ("out and home", out_and_home),
        ("round the edge", round_the_edge),
    ];
    let (mut refused, mut all) = (0, 0);
    for (sort, fly) in sorts {
        let mut own = 0;
        for seed in 0..SEEDS {
            match infer(&track(fly(seed))) {
                Err(none) => {
                    own += 1;
                    let words = none.to_string();
                    assert!(words.contains("straight run"), "{words}");
                }
                Ok(found) => println!(
                    "{sort}, seed {seed}: {:?} of {} legs, {:.2} NM, scatter {:.0} m",
                    found.pattern,
                    found.legs,
                    found.size.value.nm(),
                    found.scatter.m()
                ),
            }
        }
        println!("{sort}: {own} of {SEEDS} refused");
        assert!(
            f64::from(own) >= EACH * SEEDS as f64,
            "{sort}: {own} refused"
        );
        refused += own;
        all += SEEDS;
    }
    assert!(f64::from(refused) >= ALL * all as f64, "{refused} of {all}");
}

/// What is said in place of a pattern: how many runs, how long, and where to.
#[test]
fn what_was_found_instead_is_told() {
    for fly in [one_way, orbits, cross_country] {
        let none = infer(&track(fly(3))).unwrap_err().to_string();
        assert!(
            none.contains("straight run") && none.contains('°'),
            "{none}"
        );
        assert!(
            none.contains("neither evenly spaced parallel legs"),
            "{none}"
        );
    }
}
