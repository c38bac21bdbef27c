//! What many sorties cost: two threads against one, a sortie among 10, 100 and 1,000, and the peak of memory.
//!
//! `cargo bench --bench batch`, or with the numbers of sorties behind `--`. On a machine with two idle cores; the ratios and the
//! growth are within one run, and can be compared where the times cannot. The sorties are short: three legs of 2 NM, one fix
//! in two seconds, each with a log of its own; what a result folder costs weighs more than in a season of long flights. The peak
//! is what Linux says of the process (`VmHWM`); elsewhere it is left out.

#![allow(
    clippy::expect_used,
    clippy::print_stdout,
    reason = "a benchmark fails by panicking, and prints"
)]

use std::fmt::Write;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};
use tempfile::TempDir;

const TASKING: &str = r#"sortie = "Wren"
date = 2026-06-14
[pattern]
kind = "parallel sweep"
start = [47.1, 12.5]
first_course = "020 T"
turn = "right"
spacing = "0.5 NM"
leg_length = "2 NM"
legs = 3
[flight]
ground_speed = "90 kt"
[detection]
sweep_width = "0.5 NM"
"#;

/// Sorties of the comparison of threads.
const COMPARED: usize = 100;

fn program(folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_overflown"));
    command.current_dir(folder).stdin(Stdio::null());
    command.stdout(Stdio::null()).stderr(Stdio::null());
    command
}

/// A folder with a log that was flown, and a manifest of as many copies of it.
fn season(count: usize) -> TempDir {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let put = |name: &str, text: &str| {
        std::fs::write(folder.path().join(name), text).expect("there is room");
    };
    put("tasking.toml", TASKING);
    let flown = program(folder.path())
        .args([
            "rehearse",
            "tasking.toml",
            "--rate",
            "0.5",
            "--out",
            "log.gpx",
        ])
        .status()
        .expect("the program is there");
    assert!(flown.success());
    let log = std::fs::read_to_string(folder.path().join("log.gpx")).expect("it was written");
    let mut manifest = "log,tasking,sortie\n".to_owned();
    for n in 0..count {
        put(&format!("{n}.gpx"), &format!("{log}<!-- {n} -->"));
        let _ = writeln!(manifest, "{n}.gpx,tasking.toml,Wren {n}");
    }
    put("m.csv", &manifest);
    folder
}

/// Time and peak of memory, kB, of a batch; the results are removed again.
fn run(folder: &Path, threads: &str) -> (Duration, Option<u64>) {
    let began = Instant::now();
    let mut child = program(folder)
        .args(["batch", "m.csv", "--threads", threads])
        .spawn()
        .expect("the program is there");
    let status = format!("/proc/{}/status", child.id());
    let mut peak = None;
    let ended = loop {
        if let Some(ended) = child.try_wait().expect("it is a child of ours") {
            break ended;
        }
        let text = std::fs::read_to_string(&status).unwrap_or_default();
        let line = text.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let kb = line.and_then(|line| line.trim().strip_suffix(" kB")?.trim().parse().ok());
        peak = kb.or(peak);
        std::thread::sleep(Duration::from_millis(5));
    };
    let took = began.elapsed();
    assert!(ended.success());
    std::fs::remove_dir_all(folder.join("out")).expect("it was written");
    (took, peak)
}

fn main() {
    let numbers = std::env::args().skip(1);
    let mut numbers: Vec<usize> = numbers.filter_map(|text| text.parse().ok()).collect();
    if numbers.is_empty() {
        numbers = vec![10, 100, 1000];
    }
    let folder = season(COMPARED);
    let (one, _) = run(folder.path(), "1");
    let (two, _) = run(folder.path(), "2");
    println!(
        "{COMPARED} sorties: {:.1} s with one thread, {:.1} s with two: {:.2} times as fast",
        one.as_secs_f64(),
        two.as_secs_f64(),
        one.as_secs_f64() / two.as_secs_f64()
    );
    for count in numbers {
        let folder = season(count);
        let (took, peak) = run(folder.path(), "2");
        let peak = peak.map_or_else(String::new, |kb| format!(", peak {} MB", kb / 1000));
        println!(
            "{count} sorties with two threads: {:.1} s, {:.1} ms each{peak}",
            took.as_secs_f64(),
            1000.0 * took.as_secs_f64() / count as f64
        );
    }
}
