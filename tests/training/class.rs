//! `overflown review --class`, as it is used.

use crate::command::{course, overflown, refused, text, write};
use crate::judge::Judge;
use crate::pilots::{Habit, debriefed};
use overflown::simulate::Manner;
use overflown::training::{Class, Flight, Tolerances, review};
use serde_json::Value;
use std::fs;

#[test]
fn pilots_stand_beside_each_other() {
    let course = course();
    let folder = course.path();
    let sorties: Vec<String> = (1..=5)
        .map(|i| format!("Wren {i}"))
        .chain((6..=7).map(|i| format!("Tern {i}")))
        .collect();
    let mut arguments = vec!["review", "--class"];
    arguments.extend(sorties.iter().map(String::as_str));
    let output = overflown(folder, &arguments).assert().success();
    let of_folders = text(&output.get_output().stdout);
    assert!(of_folders.lines().all(|line| line.chars().count() <= 100));
    assert!(of_folders.contains("2 pilots, 7 flights"), "{of_folders}");

    let result = folder.join("out/Review class");
    let judge = Judge::new(include_str!("../../docs/class.schema.json"));
    let class = judge.holds(&fs::read(result.join("class.json")).unwrap(), "class");
    assert_eq!(class["pilots"][0]["pilot"], "Ada");
    assert_eq!(class["pilots"][1]["flights"], 2);
    // Each pilot is told what a review of that pilot alone tells.
    let mut arguments = vec!["review", "--json"];
    arguments.extend(sorties[..5].iter().map(String::as_str));
    let output = overflown(folder, &arguments).assert().success();
    let judge = Judge::new(include_str!("../../docs/review.schema.json"));
    let alone = judge.holds(&output.get_output().stdout, "review");
    let practised: Vec<&Value> = alone["practise"]
        .as_array()
        .unwrap()
        .iter()
        .map(|i| &alone["causes"][usize::try_from(i.as_u64().unwrap()).unwrap()])
        .collect();
    let told: Vec<&Value> = class["pilots"][0]["practise"]
        .as_array()
        .unwrap()
        .iter()
        .collect();
    assert_eq!(told, practised);
    for (compared, measured) in class["measures"]
        .as_array()
        .unwrap()
        .iter()
        .zip(alone["measures"].as_array().unwrap())
    {
        assert_eq!(compared["measure"], measured["measure"]);
        assert_eq!(compared["pilots"][0]["trend"], measured["trend"]);
        let mut latest: Vec<f64> = measured["values"].as_array().unwrap()[2..]
            .iter()
            .filter_map(|values| values["flight"].as_f64())
            .collect();
        latest.sort_by(f64::total_cmp);
        let middle = (latest.len() == 3).then(|| latest[1]);
        assert_eq!(compared["pilots"][0]["latest"].as_f64(), middle);
    }
    let table = fs::read_to_string(result.join("class.csv")).unwrap();
    assert_eq!(table.lines().count(), 1 + 2 * 14);
    let row = table.lines().find(|row| row.starts_with("Ada,5,bias,m,"));
    let value: f64 = row.unwrap().split(',').nth(4).unwrap().parse().unwrap();
    let latest = class["measures"][0]["pilots"][0]["latest"].as_f64();
    assert!((value - latest.unwrap()).abs() < 0.001);

    let mut add = vec!["logbook", "add"];
    add.extend(sorties.iter().map(String::as_str));
    overflown(folder, &add).assert().success();
    let two = ["review", "--class", "--pilot", "ben", "--pilot", "Ada"];
    for arguments in [&["review", "--class"][..], &two] {
        let output = overflown(folder, arguments).assert().success();
        assert_eq!(text(&output.get_output().stdout), of_folders);
    }
}

#[test]
fn what_several_have_to_practise_is_told() {
    let drifting = Habit {
        wind_share: 0.0,
        least_wind_kt: 10.0,
        manner: Manner {
            drift_learnt_s: f64::INFINITY,
            ..Manner::default()
        },
        ..Habit::default()
    };
    let tolerances = Tolerances::usual().unwrap();
    let of = |name: &str, habit: &Habit, seed| {
        let flights = (0..3).map(|i| Flight::of(&debriefed(habit, seed, i)).unwrap());
        review(name, flights.collect(), &[], &tolerances)
    };
    let reviews = [
        of("Ada", &drifting, 1),
        of("Ben", &Habit::default(), 2),
        of("Cid", &drifting, 3),
    ];
    let class = Class::of(&reviews, &tolerances);
    let first = &class.common[0];
    assert_eq!(serde_json::to_value(first.kind).unwrap(), "drift-under");
    assert_eq!(first.pilots, [0, 2]);
    assert!(class.remarks[0].contains("Of 3 of 3 pilots there are too few flights"));
    let report = overflown::report::class::text::report(&class);
    assert!(
        report.contains("too little allowed for the wind: 2 of 3 (Ada, Cid)"),
        "{report}"
    );
}

#[test]
fn names_are_left_out_of_a_class() {
    let course = course();
    let folder = course.path();
    let arguments = [
        "review",
        "--class",
        "--anonymise",
        "Tern 7",
        "Tern 6",
        "Wren 3",
    ];
    overflown(folder, &arguments).assert().success();
    for name in ["class.html", "class.txt", "class.json", "class.csv"] {
        let file = fs::read_to_string(folder.join("out/Review class").join(name)).unwrap();
        assert!(file.contains("Pilot 2"), "{name}");
        for told in ["Ada", "Ben", "Tern", "Wren"] {
            assert!(!file.contains(told), "{told} in {name}");
        }
    }
}

#[test]
fn what_is_no_class_is_refused() {
    let course = course();
    let folder = course.path();
    let nameless = debriefed(&Habit::default(), 5, 9);
    write(folder, "Nameless", None, nameless);
    refused(
        folder,
        &["review", "--class", "Wren 1", "Wren 2"],
        &["all flights are of Ada", "two pilots or more"],
    );
    refused(
        folder,
        &["review", "--class", "Wren 1", "Nameless"],
        &["nothing says who flew Nameless", "`pilot`"],
    );
    refused(
        folder,
        &["review", "--class", "Wren 1", "Tern 6", "--pilot", "Ada"],
        &["folders say themselves"],
    );
    refused(
        folder,
        &["review", "--class", "Wren 1", "Wren 1", "Tern 6"],
        &["Wren 1 and Wren 1 are the same flight"],
    );
    refused(
        folder,
        &["review", "--pilot", "Ada", "--pilot", "Ben"],
        &["a review is of one pilot", "--class"],
    );
    overflown(folder, &["logbook", "add", "Wren 1", "Tern 6"])
        .assert()
        .success();
    refused(
        folder,
        &["review", "--class", "--pilot", "Ada", "--pilot", "Bem"],
        &["did you mean Ben?"],
    );
}
