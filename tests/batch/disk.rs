//! No room to write: what is there is whole, and told is what is not.

#![cfg(target_os = "linux")]

use crate::field::{Field, Run, name};
use std::process::Command;

/// Runs the command of the field's folder in a shell, after what is said to it before.
fn in_shell(field: &Field, before: &str, arguments: &str) -> Run {
    let program = env!("CARGO_BIN_EXE_overflown");
    Command::new("bash")
        .args([
            "-c",
            &format!("{before} && \"{program}\" batch {arguments}"),
        ])
        .current_dir(field.path(""))
        .env("NO_COLOR", "1")
        .output()
        .unwrap()
        .into()
}

#[track_caller]
fn nothing_half_written(field: &Field, out: &str, done: usize) {
    let results = field.results(out);
    assert_eq!(results.len(), done, "{results:?}");
    let left: Vec<_> = field.tree(out).into_keys().collect();
    let left: Vec<_> = left
        .iter()
        .filter(|path| path.starts_with(".overflown-batch") && !path.ends_with("lock"))
        .collect();
    assert!(left.is_empty(), "{left:?}");
}

/// Files of no more than 64 kB can be written: the tables can, a page of a report cannot.
#[test]
fn a_result_that_cannot_be_written_is_not_there_in_part() {
    let field = Field::with(3);
    let run = in_shell(&field, "trap '' XFSZ && ulimit -f 64", "m.csv");
    assert_eq!(run.code, 3, "{}", run.err);
    assert!(
        run.out
            .starts_with("3 sorties: 0 debriefed, 0 kept as done before, 3 failed"),
        "{}",
        run.out
    );
    assert_eq!(
        run.err.matches("cannot be written").count(),
        3,
        "{}",
        run.err
    );
    assert!(run.err.contains("report.html"), "{}", run.err);
    nothing_half_written(&field, "out", 0);
    assert_eq!(field.text("out/failed.csv").lines().count(), 4);
    assert_eq!(field.batch(&["m.csv"]).code, 0);
    nothing_half_written(&field, "out", 3);
}

/// A disk with room for some of the results. Making one takes the right to mount, which not every machine gives: without it the
/// test above stands alone.
#[test]
fn a_full_disk_breaks_off_and_can_be_gone_on_with() {
    let field = Field::with(12);
    let alone = Command::new("unshare").args(["-rm", "true"]).status();
    if !alone.is_ok_and(|status| status.success()) {
        println!("not run: a disk of its own cannot be mounted here");
        return;
    }
    std::fs::create_dir(field.path("disk")).unwrap();
    // What is on the disk is gone with it, so it is taken out at the end.
    let script = format!(
        "mount -t tmpfs -o size=2m tmpfs disk && \"{}\" batch m.csv --threads 2 --out disk/out; code=$?; \
         cp -r disk/out kept; exit $code",
        env!("CARGO_BIN_EXE_overflown")
    );
    let run: Run = Command::new("unshare")
        .args(["-rm", "bash", "-c", &script])
        .current_dir(field.path(""))
        .env("NO_COLOR", "1")
        .output()
        .unwrap()
        .into();
    assert_eq!(run.code, 3, "{}", run.err);
    assert!(run.err.contains("No space left on device"), "{}", run.err);
    let done = field.results("kept").len();
    assert!(done > 0 && done < 12, "{done} fitted: {}", run.err);
    nothing_half_written(&field, "kept", done);
    for n in field.results("kept") {
        assert!(field.path("kept").join(&n).join("xte.png").exists(), "{n}");
    }
    // Where there is room it goes on, and is as if it had never been broken off.
    let gone_on = field.batch(&["m.csv", "--out", "kept"]);
    assert_eq!(gone_on.code, 0, "{}", gone_on.err);
    assert!(
        gone_on.out.contains(&format!("{done} kept")),
        "{}",
        gone_on.out
    );
    assert_eq!(field.batch(&["m.csv", "--out", "whole"]).code, 0);
    crate::field::same(&field.tree("kept"), &field.tree("whole"));
    assert!(field.path("whole").join(name(12)).is_dir());
}
