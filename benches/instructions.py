#!/usr/bin/env python3
"""Counts the instructions of the hot stages of a debrief, and compares them with those on record.

    benches/instructions.py            prints a table; exit code 1 where a stage takes more than 3 % more
    benches/instructions.py --renew    writes benches/instructions.json anew

Instructions do not depend on what else the machine does, so that they tell a change of some per cent where times do
not. They are those of valgrind's callgrind, on one thread, for a log of 4 hours at a fix a second. Each stage runs once
and three times; half the difference is the stage itself, on whichever thread, without reading what it works on. Counts
on record hold for the compiler and the processor that are named with them: on others renew them before a change.
"""

import argparse
import json
import os
import platform
import subprocess
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent / "compare"))
from compare import REPOSITORY, SORTIES, built, inputs  # noqa: E402

RECORD = Path(__file__).resolve().parent / "instructions.json"
STAGES = ["read", "motion", "match", "passages", "exposure", "growth", "report"]
# Chosen: hashing and the allocator move counts by less than 1 % from run to run.
MARGIN = 0.03


def collected(command):
    """Instructions of one run."""
    with tempfile.TemporaryDirectory() as folder:
        valgrind = ["valgrind", "--tool=callgrind", f"--callgrind-out-file={folder}/out"]
        run = subprocess.run(
            [*valgrind, *map(str, command)],
            env={**os.environ, "RAYON_NUM_THREADS": "1"},
            stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True,
        )
    counts = [line.split(":")[1] for line in run.stderr.splitlines() if "Collected" in line]
    if run.returncode or not counts:
        sys.exit(f"failed: {command}\n{run.stderr}")
    return int(counts[0])


def machine():
    rustc = subprocess.run(["rustc", "--version"], check=True, stdout=subprocess.PIPE, text=True)
    models = [
        line.split(":")[1].strip()
        for line in Path("/proc/cpuinfo").read_text().splitlines()
        if line.startswith("model name")
    ]
    return {"compiler": rustc.stdout.strip(), "processor": (models or [platform.machine()])[0]}


def main():
    arguments = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    arguments.add_argument("--renew", action="store_true", help="write the counts on record anew")
    arguments.add_argument("--cargo", nargs="*", default=[], help="more arguments for cargo build")
    given = arguments.parse_args()
    work = Path(tempfile.gettempdir()) / "overflown-compare"
    work.mkdir(parents=True, exist_ok=True)
    program, stages = built(given.cargo, "stages")
    log, tasking = inputs(program, work, *SORTIES[0])
    counts = {}
    for stage in STAGES:
        once, thrice = (collected([stages, stage, times, log, tasking]) for times in (1, 3))
        counts[stage] = (thrice - once) // 2
    if given.renew:
        RECORD.write_text(json.dumps({**machine(), "instructions": counts}, indent=2) + "\n")
    record = json.loads(RECORD.read_text())
    here = machine()
    for what, value in here.items():
        if record[what] != value:
            print(f"on record with another {what}: {record[what]}, here {value}")
    print(f"{'stage':20}{'millions':>10}{'on record':>12}{'ratio':>8}")
    slower = False
    for stage, count in counts.items():
        before = record["instructions"][stage]
        slower |= count > (1 + MARGIN) * before
        mark = "  more" if count > (1 + MARGIN) * before else ""
        print(f"{stage:20}{count / 1e6:10.1f}{before / 1e6:12.1f}{count / before:8.3f}{mark}")
    sys.exit(1 if slower else 0)


if __name__ == "__main__":
    main()
