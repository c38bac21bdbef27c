//! Broken off anywhere and gone on with, it is in the end as if it had not been.

use crate::field::{Field, same};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

const MANY: usize = 8;

fn start(field: &Field, out: &str) -> Child {
    let mut command = field.command(&["m.csv", "--threads", "2", "--out", out]);
    command.stdout(Stdio::null()).stderr(Stdio::null());
    command.spawn().unwrap()
}

/// Waits until so many sorties are in the record.
fn wait(field: &Field, out: &str, done: usize, child: &mut Child) {
    let record = field.path(out).join("batch.jsonl");
    let began = Instant::now();
    loop {
        let text = std::fs::read_to_string(&record).unwrap_or_default();
        let over = child.try_wait().unwrap().is_some();
        if text.matches('\n').count() > done || over || began.elapsed() > Duration::from_secs(120) {
            return;
        }
        std::thread::sleep(Duration::from_millis(1));
    }
}

#[test]
fn kills_leave_no_trace() {
    let field = Field::with(MANY);
    assert_eq!(field.batch(&["m.csv", "--out", "whole"]).code, 0);
    let whole = field.tree("whole");
    let (mut midway, mut half_done) = (0, 0);
    for round in 0..8_u64 {
        let out = format!("out-{round}");
        let mut child = start(&field, &out);
        wait(&field, &out, round as usize % 6, &mut child);
        // Anywhere in the work on the next ones, also while one is being put in place.
        std::thread::sleep(Duration::from_millis(17 * round));
        child.kill().unwrap();
        child.wait().unwrap();
        let done = field.results(&out).len();
        midway += usize::from(done > 0 && done < MANY);
        let tree = field.tree(&out);
        let left = tree.keys().filter(|path| {
            let path = path.to_string_lossy();
            path.contains(".overflown-batch") && !path.ends_with("lock")
        });
        half_done += left.count();
        // Killed a second time in going on.
        let mut child = start(&field, &out);
        wait(&field, &out, done, &mut child);
        child.kill().unwrap();
        child.wait().unwrap();
        let run = field.batch(&["m.csv", "--out", &out]);
        assert_eq!(run.code, 0, "{}", run.err);
        // What the two runs before did is not done again.
        assert!(round == 0 || !run.out.contains(" 0 kept"), "{}", run.out);
        same(&whole, &field.tree(&out));
    }
    assert!(midway >= 3, "killed midway only {midway} times");
    println!("{half_done} files had been left half done");
}

/// What was being put in place when the power went: a line cut short, and files of no use.
#[test]
fn what_is_half_done_is_done_again() {
    let field = Field::with(3);
    assert_eq!(field.batch(&["m.csv"]).code, 0);
    let whole = field.tree("out");
    let record = field.text("out/batch.jsonl");
    field.put("out/batch.jsonl", &record[..record.len() - 40]);
    field.put("out/.overflown-batch/.overflown-x/new/report.txt", "half");
    field.put("out/.overflown-batch/.overflown-y", "half");
    std::fs::write(field.path("out/Wren 001/report.html"), "").unwrap();
    std::fs::remove_dir_all(field.path("out/Wren 002")).unwrap();
    let run = field.batch(&["m.csv"]);
    assert!(run.out.contains("3 debriefed"), "{}", run.out);
    same(&whole, &field.tree("out"));
}

#[cfg(unix)]
#[test]
fn interrupted_what_is_done_stays_done() {
    let field = Field::with(MANY);
    let mut child = start(&field, "out");
    wait(&field, "out", 2, &mut child);
    let sent = Command::new("kill")
        .args(["-INT", &child.id().to_string()])
        .status();
    assert!(sent.unwrap().success());
    assert!(!child.wait().unwrap().success());
    let done = field.text("out/batch.jsonl").lines().count() - 1;
    assert!(done >= 2 && done < MANY, "{done}");
    let run = field.batch(&["m.csv"]);
    let told = format!("{} debriefed, {done} kept", MANY - done);
    assert!(run.code == 0 && run.out.contains(&told), "{}", run.out);
}
