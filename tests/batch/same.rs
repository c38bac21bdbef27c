//! The same whatever the threads; and what is done is not done again, unless something it rests on differs.

use crate::field::{Field, log, name, same, tasking};
use std::path::Path;
use std::time::SystemTime;

#[test]
fn threads_change_no_byte() {
    let field = Field::with(7);
    field.put("log-5.gpx", "no log");
    for (threads, out) in [("1", "one"), ("4", "four"), ("64", "many")] {
        let run = field.batch(&[
            "m.csv",
            "--threads",
            threads,
            "--out",
            out,
            "--also",
            "fixes",
        ]);
        assert_eq!(run.code, 3, "{}", run.err);
        assert!(run.err.contains("m.csv, line 6: log-5.gpx"), "{}", run.err);
    }
    let one = field.tree("one");
    assert_eq!(field.results("one").len(), 6);
    same(&one, &field.tree("four"));
    same(&one, &field.tree("many"));
}

/// When each result folder was put in place.
fn made(field: &Field, count: usize) -> Vec<SystemTime> {
    let made = |n| {
        let file = field.path("out").join(name(n)).join("debrief.json");
        std::fs::metadata(file).unwrap().modified().unwrap()
    };
    (1..=count).map(made).collect()
}

/// Runs again, and tells which sorties were done anew.
#[track_caller]
fn anew(field: &Field, count: usize, arguments: &[&str]) -> Vec<usize> {
    let before = made(field, count);
    let run = field.batch(&[&["m.csv"], arguments].concat());
    assert_eq!(run.code, 0, "{}", run.err);
    let after = made(field, count);
    let anew: Vec<usize> = (1..=count)
        .filter(|n| before[n - 1] != after[n - 1])
        .collect();
    let told = format!(
        "{} debriefed, {} kept as done before",
        anew.len(),
        count - anew.len()
    );
    assert!(run.out.contains(&told), "{}", run.out);
    anew
}

#[test]
fn what_is_done_is_done_again_only_if_something_differs() {
    let field = Field::with(4);
    let route = "<gpx version=\"1.1\" creator=\"t\" xmlns=\"http://www.topografix.com/GPX/1/1\"><rte>\
                 <rtept lat=\"47.1\" lon=\"12.5\"/><rtept lat=\"47.13\" lon=\"12.52\"/></rte></gpx>";
    field.put("route.gpx", route);
    let by_route = tasking("Wren 1");
    let (head, rest) = by_route.split_once("kind = ").unwrap();
    let flight = &rest[rest.find("[flight]").unwrap()..];
    let by_route =
        format!("{head}kind = \"route\"\nfile = \"route.gpx\"\nspacing = \"0.5 NM\"\n{flight}");
    field.put("by-route.toml", &by_route);
    let manifest = field
        .text("m.csv")
        .replace("log-4.gpx,tasking.toml", "log-4.gpx,by-route.toml");
    field.put("m.csv", &manifest);
    let run = field.batch(&["m.csv"]);
    assert_eq!(run.code, 0, "{}", run.err);
    assert!(anew(&field, 4, &[]).is_empty());
    // How many threads there are changes nothing of it.
    assert!(anew(&field, 4, &["--threads", "1", "--check", "--quiet"][..2]).is_empty());

    field.put("log-2.gpx", &log(22));
    assert_eq!(anew(&field, 4, &[]), [2]);
    field.put("by-route.toml", &format!("{by_route}\n# changed\n"));
    assert_eq!(anew(&field, 4, &[]), [4]);
    field.put("route.gpx", &route.replace("12.52", "12.521"));
    assert_eq!(anew(&field, 4, &[]), [4]);
    std::fs::remove_file(field.path("out").join(name(3)).join("report.txt")).unwrap();
    assert_eq!(anew(&field, 4, &[]), [3]);
    std::fs::write(field.path("out").join(name(1)).join("legs.csv"), "cut").unwrap();
    assert_eq!(anew(&field, 4, &[]), [1]);
    field.put(
        "m.csv",
        &manifest.replace(&name(3), &format!("{}\n", name(3)).trim()),
    );
    assert!(anew(&field, 4, &[]).is_empty());
    let with_pilot: String = manifest
        .lines()
        .map(|line| match line {
            _ if line.starts_with("log,") => format!("{line},pilot\n"),
            _ if line.contains(&name(2)) => format!("{line},Bo Ek\n"),
            _ => format!("{line},\n"),
        })
        .collect();
    field.put("m.csv", &with_pilot);
    assert_eq!(anew(&field, 4, &[]), [2]);
    for options in [
        &["--also", "fixes"][..],
        &["--also", "fixes", "--speed-limit", "300"],
        &[
            "--also",
            "fixes",
            "--speed-limit",
            "300",
            "--picture-theme",
            "dark",
        ],
        &["--again"],
    ] {
        assert_eq!(anew(&field, 4, options), [1, 2, 3, 4], "{options:?}");
    }
    // A log that was only touched is the same log.
    field.put("log-1.gpx", &log(1));
    assert!(anew(&field, 4, &[]).is_empty());
}

/// Two manifests may fill one folder: neither forgets what the other did.
#[test]
fn other_sorties_in_the_folder_stay_done() {
    let field = Field::with(3);
    let whole = field.text("m.csv");
    assert_eq!(field.batch(&["m.csv"]).code, 0);
    let one: String = whole.lines().take(2).map(|l| format!("{l}\n")).collect();
    field.put("m.csv", &one);
    assert_eq!(field.batch(&["m.csv"]).code, 0);
    assert_eq!(field.text("out/summary.csv").lines().count(), 2);
    field.put("m.csv", &whole);
    let run = field.batch(&["m.csv"]);
    assert!(run.out.contains("0 debriefed, 3 kept"), "{}", run.out);
    assert_eq!(field.text("out/summary.csv").lines().count(), 4);
}

#[test]
fn another_tile_below_a_flight_makes_it_anew() {
    let field = Field::with(1);
    // A tile of three arc-seconds, all at 700 m; the flight is in N47E012.
    let tile = [2_u8, 188].repeat(1201 * 1201);
    std::fs::create_dir(field.path("tiles")).unwrap();
    let put = |name: &str, bytes: &[u8]| std::fs::write(field.path("tiles").join(name), bytes);
    put("N47E012.hgt", &tile).unwrap();
    let terrain = ["--terrain", "tiles"];
    assert_eq!(field.batch(&["m.csv", "--terrain", "tiles"]).code, 0);
    assert!(anew(&field, 1, &terrain).is_empty());
    put("N47E012.hgt", &[2_u8, 189].repeat(1201 * 1201)).unwrap();
    assert_eq!(anew(&field, 1, &terrain), [1]);
    // One that lies elsewhere may as well have lain below it.
    put("N10E010.hgt", &tile).unwrap();
    assert_eq!(anew(&field, 1, &terrain), [1]);
    assert_eq!(anew(&field, 1, &[]), [1]);
    assert!(Path::new(&field.path("out")).exists());
}
