//! The peak of memory does not grow with the number of sorties.

#![cfg(target_os = "linux")]

use crate::field::Field;
use std::process::Stdio;
use std::time::Duration;

/// Highest memory of a batch of so many sorties, kB, as the system saw it.
fn peak_kb(count: usize) -> u64 {
    let field = Field::with(count);
    let mut command = field.command(&["m.csv", "--threads", "2"]);
    let mut child = command
        .stderr(Stdio::null())
        .stdout(Stdio::null())
        .spawn()
        .unwrap();
    let status = format!("/proc/{}/status", child.id());
    let mut peak = 0;
    while child.try_wait().unwrap().is_none() {
        let text = std::fs::read_to_string(&status).unwrap_or_default();
        let line = text.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let kb = line.and_then(|line| line.trim().strip_suffix(" kB")?.trim().parse().ok());
        peak = kb.unwrap_or(peak);
        std::thread::sleep(Duration::from_millis(2));
    }
    assert!(child.wait().unwrap().success());
    peak
}

/// A result of these sorties takes about a megabyte to be written, and more in memory before: were they held, forty more would
/// take that many times it.
#[test]
fn forty_take_no_more_than_five() {
    let (few, many) = (peak_kb(5), peak_kb(45));
    println!("{few} kB for 5, {many} kB for 45");
    assert!(few > 10_000, "{few} kB cannot be the peak of a debrief");
    assert!(
        many < few + few / 4 + 8_000,
        "{few} kB for 5 sorties, {many} kB for 45"
    );
}
