//! `plan`: leg table and files, and the route as a plan again.

use crate::support::{Folder, TASKING};
use serde_json::Value;

fn search_legs(plan: &Value) -> Vec<&Value> {
    let legs = plan["legs"].as_array().unwrap();
    legs.iter().filter(|leg| leg["kind"] == "search").collect()
}

fn degrees(place: &Value) -> (f64, f64) {
    let part = |key: &str| place[key].as_f64().unwrap();
    (part("lat_deg"), part("lon_deg"))
}

/// The tasking with its legs taken from `route.gpx`.
fn routed() -> String {
    let from = TASKING.find("kind =").unwrap();
    let to = TASKING.find("[flight]").unwrap();
    format!(
        "{}kind = \"route\"\nfile = \"route.gpx\"\nspacing = \"0.5 NM\"\n\n{}",
        &TASKING[..from],
        &TASKING[to..]
    )
}

#[test]
fn prints_a_table_and_writes_a_route() {
    let folder = Folder::new();
    let run = folder.run(&["plan", "tasking.toml"]);
    assert_eq!(run.code, 0, "{}", run.err);
    assert_eq!(folder.names("out"), ["Teal 4-plan"]);
    let rows: Vec<Vec<&str>> = run
        .out
        .lines()
        .map(|line| line.split_whitespace().collect::<Vec<_>>())
        .filter(|words| {
            words
                .first()
                .is_some_and(|word| word.starts_with(|c: char| c.is_ascii_digit()))
        })
        .collect();
    let labels: Vec<&str> = rows.iter().map(|row| row[0]).collect();
    assert_eq!(
        labels,
        ["1", "1-2", "2", "2-3", "3", "3-4", "4", "4-5", "5"]
    );
    // Five legs of 4 NM and four of half a mile: 22 NM, 14 min 40 s at 90 kt.
    let last = rows.last().unwrap().join(" ");
    assert!(last.ends_with(" 22.00 14:40 min"), "{last}");
    // The first course is that of the tasking, 020 M.
    let magnetic = run.out.lines().find(|l| l.contains("° M")).unwrap();
    assert!(magnetic.contains("° T  ° M    NM  sum NM"), "{magnetic}");
    assert_eq!(rows[0][6], "020", "{:?}", rows[0]);
    assert_eq!(run.err.lines().count(), 1);
    // 47.1, 12.5 by hand from the rule of CJCSI 3900.01C: band 386 from 12.5° E, ML from 47° N, its
    // south-western quarter, whose cell of 5' from 47°05' is the middle one on the left.
    let start = "start 47°06.000'N 012°30.000'E in GARS cell 386ML34";
    assert!(run.out.lines().any(|line| line == start), "{}", run.out);
}

/// Everything `plan` writes.
const PLAN_FILES: [&str; 7] = [
    "legs.csv",
    "plan.geojson",
    "plan.html",
    "plan.json",
    "plan.kml",
    "plan.txt",
    "route.gpx",
];

#[test]
fn writes_a_folder_and_on_demand_the_route_alone() {
    let folder = Folder::new();
    let run = folder.run(&[
        "plan",
        "tasking.toml",
        "--out",
        "plans/day one",
        "--route",
        "r/alone.gpx",
    ]);
    assert_eq!(run.code, 0, "{}", run.err);
    let place = "plans/day one/Teal 4-plan";
    assert_eq!(folder.names(place), PLAN_FILES);
    assert_eq!(folder.names("plans/day one"), ["Teal 4-plan"]);
    assert_eq!(
        folder.text("r/alone.gpx"),
        folder.text(&format!("{place}/route.gpx"))
    );
    assert_eq!(folder.text(&format!("{place}/plan.txt")), run.out);
    for name in [place, "r/alone.gpx"] {
        assert!(run.err.contains(name), "{}", run.err);
    }
    // What is printed is what is written, and the same tasking gives the same bytes.
    let before = folder.results(place);
    let run = folder.run(&["plan", "tasking.toml", "--out", "plans/day one", "--json"]);
    assert_eq!(run.out, folder.text(&format!("{place}/plan.json")));
    assert!(before == folder.results(place));
    assert_eq!(folder.names(""), ["plans", "r", "tasking.toml"]);
}

#[test]
fn a_foreign_file_in_the_folder_is_left_alone() {
    let folder = Folder::new();
    assert_eq!(folder.run(&["plan", "tasking.toml"]).code, 0);
    let before = folder.results("out/Teal 4-plan");
    folder.put("out/Teal 4-plan/notes.txt", "call sign changed");
    folder.put("tasking.toml", TASKING.replace("legs = 5", "legs = 7"));
    let run = folder.run(&["plan", "tasking.toml", "--route", "alone.gpx"]);
    assert_eq!((run.code, run.out.as_str()), (3, ""), "{}", run.err);
    assert!(
        run.err.starts_with("error: out/Teal 4-plan: "),
        "{}",
        run.err
    );
    assert!(
        run.err.contains("\"notes.txt\"")
            && run.err.contains("hint: ")
            && !run.err.contains("debrief"),
        "{}",
        run.err
    );
    let mut after = folder.results("out/Teal 4-plan");
    assert_eq!(after.remove("notes.txt").unwrap(), b"call sign changed");
    assert!(before == after);
    // Nothing is half done: the route is not written either.
    assert_eq!(folder.names(""), ["out", "tasking.toml"]);
}

/// What `plan` writes reads back as the same search legs, and a flight debriefed against either
/// comes out the same, leg by leg.
#[test]
fn the_route_reads_back_as_the_plan() {
    let folder = Folder::flown(&["--skip-leg", "4", "--bias", "2:150 m right"]);
    let run = folder.run(&["plan", "tasking.toml", "--route", "route.gpx", "--json"]);
    assert_eq!(run.code, 0, "{}", run.err);
    let swept: Value = serde_json::from_str(&run.out).unwrap();
    folder.put("routed.toml", routed());
    let run = folder.run(&["plan", "routed.toml", "--route", "again.gpx", "--json"]);
    assert_eq!(run.code, 0, "{}", run.err);
    let read: Value = serde_json::from_str(&run.out).unwrap();

    let (swept_legs, read_legs) = (search_legs(&swept), search_legs(&read));
    assert_eq!((swept_legs.len(), read_legs.len()), (5, 5));
    for (a, b) in swept_legs.iter().zip(&read_legs) {
        assert_eq!(a["label"], b["label"]);
        for end in ["start", "end"] {
            let ((lat_a, lon_a), (lat_b, lon_b)) = (degrees(&a[end]), degrees(&b[end]));
            // Written to seven decimals.
            assert!((lat_a - lat_b).abs() <= 5.1e-8 && (lon_a - lon_b).abs() <= 5.1e-8);
        }
    }
    assert_eq!(folder.text("route.gpx").matches("<rtept").count(), 10);

    let debriefed = |tasking: &str, out: &str| {
        let run = folder.run(&["debrief", "log.gpx", "--tasking", tasking, "--out", out]);
        assert_eq!(run.code, 0, "{}", run.err);
        folder.json(&format!("{out}/Teal 4/debrief.json"))
    };
    let (a, b) = (
        debriefed("tasking.toml", "a"),
        debriefed("routed.toml", "b"),
    );
    assert_eq!(b["inputs"].as_array().unwrap().len(), 3);
    assert_eq!(b["plan"]["pattern"], "route");
    let (legs_a, legs_b) = (a["legs"].as_array().unwrap(), b["legs"].as_array().unwrap());
    assert_eq!(legs_a.len(), legs_b.len());
    for (a, b) in legs_a.iter().zip(legs_b) {
        assert_eq!((&a["leg"], &a["state"]), (&b["leg"], &b["state"]));
        let mean = |leg: &Value| leg["tracking"]["xte_mean_m"].as_f64();
        match (mean(a), mean(b)) {
            (Some(a), Some(b)) => assert!((a - b).abs() < 0.05, "{a} {b}"),
            (a, b) => assert_eq!(a, b),
        }
    }
    assert_eq!(legs_a[3]["state"], "not-flown");
}

/// Of several routes in a file one is chosen by name.
#[test]
fn one_of_several_routes_is_chosen() {
    let folder = Folder::new();
    assert_eq!(
        folder
            .run(&["plan", "tasking.toml", "--route", "route.gpx"])
            .code,
        0
    );
    let one = folder.text("route.gpx");
    let route = &one[one.find("<rte>").unwrap()..one.find("</gpx>").unwrap()];
    let other = route
        .replace("Teal 4", "Heron")
        .replace("lat=\"47.1\"", "lat=\"47.09\"");
    folder.put(
        "route.gpx",
        one.replace("</gpx>", &format!("{other}</gpx>")),
    );
    folder.put("routed.toml", routed());
    let run = folder.run(&["plan", "routed.toml"]);
    assert_eq!(run.code, 3);
    assert!(
        run.err
            .contains("route.gpx: holds 2 lines: \"Teal 4\", \"Heron\""),
        "{}",
        run.err
    );
    let chosen = routed().replace("spacing =", "name = \"Heron\"\nspacing =");
    folder.put("routed.toml", chosen);
    let run = folder.run(&["plan", "routed.toml", "--json"]);
    assert_eq!(run.code, 0, "{}", run.err);
    let plan: Value = serde_json::from_str(&run.out).unwrap();
    assert!((plan["legs"][0]["start"]["lat_deg"].as_f64().unwrap() - 47.09).abs() < 1e-9);
}

/// The same triangle from three kinds of file, told apart by content.
#[test]
fn an_area_from_a_file_is_remembered() {
    let folder = Folder::flown(&[]);
    let with_file = TASKING.replace("[pattern]", "[area]\nfile = \"area.txt\"\n\n[pattern]");
    folder.put("filed.toml", with_file);
    let places = [(47.05, 12.4), (47.05, 12.7), (47.25, 12.55), (47.05, 12.4)];
    let listed = |format: &dyn Fn(f64, f64) -> String, between: &str| {
        let each: Vec<String> = places.iter().map(|(lat, lon)| format(*lat, *lon)).collect();
        each.join(between)
    };
    let geojson = format!(
        "{{\"type\": \"Polygon\", \"coordinates\": [[{}]]}}",
        listed(&|lat, lon| format!("[{lon}, {lat}]"), ", ")
    );
    let kml = format!(
        "<kml><Polygon><outerBoundaryIs><LinearRing><coordinates>{}</coordinates></LinearRing>\
         </outerBoundaryIs></Polygon></kml>",
        listed(&|lat, lon| format!("{lon},{lat}"), " ")
    );
    let gpx = format!(
        "<gpx version=\"1.1\" creator=\"t\"><rte>{}</rte></gpx>",
        listed(
            &|lat, lon| format!("<rtept lat=\"{lat}\" lon=\"{lon}\"></rtept>"),
            ""
        )
    );
    for content in [&geojson, &kml, &gpx] {
        folder.put("area.txt", content);
        let run = folder.run(&["plan", "filed.toml", "--json"]);
        assert_eq!(run.code, 0, "{}", run.err);
        let plan: Value = serde_json::from_str(&run.out).unwrap();
        assert_eq!(plan["area_source"], "outline in area.txt");
        let corners: Vec<(f64, f64)> = plan["area_corners"]
            .as_array()
            .unwrap()
            .iter()
            .map(degrees)
            .collect();
        assert_eq!(corners, places[..3]);
    }
    let run = folder.run(&["debrief", "log.gpx", "--tasking", "filed.toml"]);
    assert_eq!(run.code, 0, "{}", run.err);
    let debrief = folder.json("out/Teal 4/debrief.json");
    let inputs = debrief["inputs"].as_array().unwrap();
    assert_eq!(inputs.len(), 3);
    let area = &inputs[2];
    assert_eq!(
        (&area["role"], &area["name"]),
        (&"area".into(), &"area.txt".into())
    );
    assert_eq!(area["bytes"], gpx.len());
    assert_eq!(area["sha256"], overflown::input::sha256_hex(gpx.as_bytes()));
}

/// The arithmetic beside the plan: every line fits into 100 columns, every figure has its unit, and the
/// JSON holds the same.
#[test]
fn prints_the_arithmetic_beside_the_plan() {
    let folder = Folder::new();
    let area = "[area]\ncell_corner = [47.125, 12.5]\ncell_size = \"7.5'\"\n\n[pattern]";
    let celled = TASKING.replace("[pattern]", area);
    let from = celled.find("start =").unwrap();
    let to = celled.find("first_course").unwrap();
    let celled = format!("{}{}", &celled[..from], &celled[to..]);
    let celled = celled.replace("leg_length = \"4 NM\"\nlegs = 5\n", "");
    let lone = "kind = \"sector\"\ndatum = [47.1, 12.5]\nradius = \"5 NM\"\nfirst_course = \"020 M\"\n\
                turn = \"right\"\n\n[flight]";
    let sector = format!(
        "{}{lone}{}",
        &TASKING[..TASKING.find("kind =").unwrap()],
        &TASKING[TASKING.find("[flight]").unwrap() + "[flight]".len()..]
    );
    for (tasking, corners) in [(TASKING, 4), (&celled, 4), (&sector, 0)] {
        folder.put("asked.toml", tasking);
        let asked = [
            "plan",
            "asked.toml",
            "--time",
            "2 h",
            "--corner-offset",
            "0.5 NM",
        ];
        let run = folder.run(&[&asked[..], &["--table"]].concat());
        assert_eq!(run.code, 0, "{}", run.err);
        for line in run.out.lines() {
            assert!(line.chars().count() <= 100, "{line}");
        }
        for words in [
            "Area and legs",
            "Where the search may begin",
            "Distance and time",
            "Expected POD",
            "Spacing for a POD",
            "In 2:00:00 h on scene",
            "at other latitudes",
        ] {
            assert!(run.out.contains(words), "no {words}: {}", run.out);
        }
        let run = folder.run(&[&asked[..], &["--json", "--pod", "0.75"]].concat());
        assert_eq!(run.code, 0, "{}", run.err);
        let plan: Value = serde_json::from_str(&run.out).unwrap();
        let preflight = &plan["preflight"];
        let found = preflight["start_points"]["corners"].as_array().unwrap();
        assert_eq!(found.len(), corners);
        assert_eq!(preflight["spacings"].as_array().unwrap().len(), 3);
        assert_eq!(preflight["spacings"][0]["pod"], 0.75);
        assert_eq!(preflight["in_time"]["on_scene_s"], 7200.0);
        let legs = search_legs(&plan).len();
        assert_eq!(preflight["legs"]["search_legs"], legs);
    }
    // What was not asked about is not there.
    folder.put("asked.toml", &celled);
    let run = folder.run(&["plan", "asked.toml", "--table"]);
    assert!(run.out.contains("020° M"), "{}", run.out);
    assert!(
        !run.out.contains("h on scene") && !run.out.contains("run-in"),
        "{}",
        run.out
    );
}

/// Nonsense is refused with the option, the problem and what would do, and nothing is written.
#[test]
fn nonsense_about_the_arithmetic_is_refused() {
    let folder = Folder::new();
    for (option, value, problem, accepted) in [
        (
            "--pod",
            "1.5",
            "is not a POD",
            "more than 0 and less than 1",
        ),
        ("--pod", "0", "is not a POD", "such as 0.8"),
        ("--pod", "-0.2", "is not a POD", "such as 0.8"),
        ("--pod", "NaN", "is not a POD", "such as 0.8"),
        ("--time", "-1 h", "not more than zero", "such as \"2 h\""),
        ("--time", "0 min", "not more than zero", "such as \"2 h\""),
        ("--time", "2", "has no unit", "\"1.5 h\""),
        ("--time", "2 d", "unknown unit", "\"1.5 h\""),
        (
            "--corner-offset",
            "-1 NM",
            "less than zero",
            "such as \"0.5 NM\"",
        ),
        (
            "--corner-offset",
            "wide",
            "does not begin with a number",
            "0.5 NM",
        ),
    ] {
        let run = folder.run(&["plan", "tasking.toml", "--table", option, value]);
        assert_eq!(run.code, 2, "{option} {value}");
        for words in [option, problem, accepted] {
            assert!(run.err.contains(words), "no {words}: {}", run.err);
        }
        assert!(run.out.is_empty() && folder.names("out").is_empty());
    }
    // A question to which no answer would be printed.
    let run = folder.run(&["plan", "tasking.toml", "--pod", "0.8"]);
    assert_eq!(run.code, 2);
    assert!(run.err.contains("--table"), "{}", run.err);
}
