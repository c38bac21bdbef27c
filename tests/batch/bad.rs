//! What fails fails alone, and is told.

use crate::field::{Field, log, name, rows, tasking};
use overflown::batch::{self, BatchError, How, Order, Orders, Outcome};
use overflown::debrief::{Debrief, debrief};
use overflown::input::InputError;
use overflown::report::drawing::Paper;
use overflown::track::{clean::clean, read::read};
use overflown::{plan, tasking as taskings};
use std::io::Write;

#[test]
fn one_that_fails_stops_no_other() {
    let field = Field::with(5);
    field.put("log-2.gpx", "<gpx><trk><trkseg><trkpt lat=\"47\"");
    field.put("bad.toml", &tasking("Wren 9").replace("spacing", "spacin"));
    let manifest = field.text("m.csv")
        + "gone.gpx,tasking.toml,Gone\nlog-1.gpx,bad.toml,\nlog-1.gpx,nowhere.toml,\n.,tasking.toml,A folder\n";
    field.put("m.csv", &manifest);
    let run = field.batch(&["m.csv", "--check"]);
    assert_eq!(run.code, 3, "{}", run.err);
    assert!(
        run.out
            .starts_with("9 sorties: 4 debriefed, 0 kept as done before, 5 failed\n"),
        "{}",
        run.out
    );
    let expected = [
        ("3", "Wren 002", "log-2.gpx"),
        ("7", "Gone", "gone.gpx"),
        ("8", "", "bad.toml"),
        ("9", "", "nowhere.toml"),
        ("10", "A folder", "."),
    ];
    let rows = rows(&field.text("out/failed.csv"));
    assert_eq!(rows.len(), expected.len());
    let mut rest = run.err.as_str();
    for (row, (line, sortie, file)) in rows.iter().zip(expected) {
        assert_eq!(
            (row["manifest_line"].as_str(), row["sortie"].as_str()),
            (line, sortie)
        );
        assert!(row["file"].ends_with(file), "{row:?}");
        assert!(
            !row["problem"].is_empty() && !row["hint"].is_empty(),
            "{row:?}"
        );
        // In this order on the terminal as well.
        let told = format!("error: m.csv, line {line}: ");
        rest = &rest[rest.find(&told).unwrap_or_else(|| panic!("{told}: {rest}"))..];
        assert!(
            rest.contains(&row["problem"]) && rest.contains(&row["hint"]),
            "{rest}"
        );
    }
    assert_eq!(rows[2]["line"], "9");
    assert!(rows[2]["problem"].contains("spacin"), "{:?}", rows[2]);
    assert_eq!(field.results("out"), [name(1), name(3), name(4), name(5)]);
    assert_eq!(field.text("out/summary.csv").lines().count(), 5);
    // Mended, it is done with the rest kept.
    field.put("log-2.gpx", &log(2));
    let run = field.batch(&["m.csv"]);
    assert!(
        run.out
            .contains("1 debriefed, 4 kept as done before, 4 failed"),
        "{}",
        run.out
    );
}

/// A pipe that nobody writes to is not waited for.
#[cfg(unix)]
#[test]
fn a_pipe_is_no_log() {
    let field = Field::with(1);
    let pipe = field.path("pipe.gpx");
    assert!(
        std::process::Command::new("mkfifo")
            .arg(pipe)
            .status()
            .unwrap()
            .success()
    );
    field.put("m.csv", "log,tasking\npipe.gpx,tasking.toml\n");
    let run = field.batch(&["m.csv"]);
    assert!(
        run.code == 3 && run.err.contains("pipe.gpx: it is no plain file"),
        "{}",
        run.err
    );
}

fn debriefed(order: &Order) -> Result<Debrief, InputError> {
    let file = order.tasking.as_ref().unwrap();
    let mut tasking = taskings::read(file)?;
    if let Some(name) = &order.sortie {
        tasking.sortie.clone_from(name);
    }
    let plan = plan::lay_out(&tasking, file)?;
    let track = clean(
        read(&order.logs[0], Default::default())?,
        &Default::default(),
    )?;
    debrief(&track, &order.logs[0], &tasking, &plan)
}

fn run(
    field: &Field,
    work: &(dyn Fn(&Order) -> Result<Debrief, InputError> + Sync),
) -> Result<Outcome, BatchError> {
    let out = field.path("out");
    let orders = Orders::read(&field.path("m.csv"), &out).unwrap();
    let how = How {
        out: &out,
        threads: 2,
        options: "",
        terrain: None,
        also: &[],
        paper: Paper::default(),
        again: false,
    };
    batch::run(&orders, &how, work, &mut |_| ())
}

fn is(order: &Order, n: usize) -> bool {
    order.name == Some(name(n))
}

#[test]
fn a_fault_of_the_program_is_told_as_one() {
    let field = Field::with(4);
    let work = |order: &Order| {
        assert!(!is(order, 2), "no such leg");
        if is(order, 3) {
            std::panic::panic_any(7);
        }
        debriefed(order)
    };
    let outcome = run(&field, &work).unwrap();
    assert_eq!(outcome.progress.debriefed, 2);
    let told: Vec<String> = outcome.failures.iter().map(ToString::to_string).collect();
    assert!(
        told[0].ends_with("log-2.gpx: the program failed on it: no such leg"),
        "{told:?}"
    );
    assert!(
        told[1].ends_with("log-3.gpx: the program failed on it: it did not say why"),
        "{told:?}"
    );
    let hint = &outcome.failures[0].error.hint;
    assert!(
        hint.contains("fault of the program") && hint.contains("report"),
        "{hint}"
    );
    assert_eq!(field.results("out"), [name(1), name(4)]);
    assert_eq!(rows(&field.text("out/failed.csv")).len(), 2);
}

#[test]
fn a_log_that_grows_while_it_is_read_gives_no_result() {
    let field = Field::with(3);
    let grows = |file: &str| {
        let mut file = std::fs::OpenOptions::new()
            .append(true)
            .open(field.path(file))
            .unwrap();
        file.write_all(b"\n").unwrap();
    };
    let work = |order: &Order| {
        let result = debriefed(order)?;
        if is(order, 2) {
            grows("log-2.gpx");
        }
        Ok(result)
    };
    let outcome = run(&field, &work).unwrap();
    assert_eq!(outcome.failures.len(), 1);
    let told = outcome.failures[0].to_string();
    assert!(
        told.ends_with("log-2.gpx: it was changed while it was read"),
        "{told}"
    );
    assert_eq!(field.results("out"), [name(1), name(3)]);
    // It stands still now.
    assert_eq!(run(&field, &debriefed).unwrap().progress.debriefed, 1);
}

/// The name was taken from the tasking before; a folder of another name could be that of another sortie.
#[test]
fn a_tasking_that_is_given_another_name_meanwhile_gives_no_result() {
    let field = Field::empty();
    field.put("a.gpx", &log(1));
    field.put("a.toml", &tasking("Wren 1"));
    field.put("m.csv", "log,tasking\na.gpx,a.toml\n");
    let work = |order: &Order| {
        field.put("a.toml", &tasking("Wren 2"));
        debriefed(order)
    };
    let outcome = run(&field, &work).unwrap();
    let told = outcome.failures[0].to_string();
    assert!(
        told.ends_with("a.toml: it was changed while it was read"),
        "{told}"
    );
    assert!(field.results("out").is_empty());
}

#[test]
fn two_batches_do_not_write_into_one_folder() {
    let field = Field::with(1);
    let work = |order: &Order| {
        let second = field.batch(&["m.csv"]);
        assert_eq!(second.code, 3);
        assert!(
            second.err.contains("another run of `overflown batch`"),
            "{}",
            second.err
        );
        debriefed(order)
    };
    let outcome = run(&field, &work).unwrap();
    assert!(outcome.failures.is_empty(), "{:?}", outcome.failures);
    assert_eq!(field.batch(&["m.csv"]).code, 0);
}

#[test]
fn files_of_others_stay() {
    let field = Field::with(2);
    field.put("out/summary.csv", "mine");
    let run = field.batch(&["m.csv"]);
    assert!(
        run.code == 3 && run.err.contains("not of a batch"),
        "{}",
        run.err
    );
    assert_eq!(field.text("out/summary.csv"), "mine");
    std::fs::remove_file(field.path("out/summary.csv")).unwrap();
    field.put("out/batch.jsonl", "mine");
    let run = field.batch(&["m.csv"]);
    assert!(
        run.code == 3 && run.err.contains("no record of a batch"),
        "{}",
        run.err
    );
    std::fs::remove_file(field.path("out/batch.jsonl")).unwrap();
    field.put("out/Wren 001/notes.md", "mine");
    let run = field.batch(&["m.csv"]);
    assert!(run.code == 3 && run.err.contains("notes.md"), "{}", run.err);
    assert!(
        run.out
            .contains("1 debriefed, 0 kept as done before, 1 failed"),
        "{}",
        run.out
    );
    assert_eq!(field.text("out/Wren 001/notes.md"), "mine");
    // No folder can be made where a file is.
    field.put("file", "mine");
    let run = field.batch(&["m.csv", "--out", "file"]);
    assert!(
        run.code == 3 && run.err.contains("file: cannot be written"),
        "{}",
        run.err
    );
}
