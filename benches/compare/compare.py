#!/usr/bin/env python3
"""`overflown debrief` beside the same job from general-purpose Python libraries, in one run.

    benches/compare/compare.py [--repeat 5] [--only "4 h at 1 Hz"] [--work DIR]

Builds the program, makes a virtual environment with requirements.txt and the inputs with `overflown rehearse` (once,
in DIR), checks that both sides find the same figures, and ends with exit code 1 if they don't. Then both run by turns;
printed are the least and the median of wall time, processor time and peak of memory, each with its ratio.
"""

import argparse
import json
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

HERE = Path(__file__).resolve().parent
REPOSITORY = HERE.parent.parent
# Name, legs of 20 NM (as in benches/debrief.rs), fixes per second.
SORTIES = [("4 h at 1 Hz", 16, 1), ("24 h at 10 Hz", 100, 10)]
TASKING = """sortie = "Compared"
date = 2026-06-14
[pattern]
kind = "parallel sweep"
start = [47.0, 12.0]
first_course = "000 T"
turn = "right"
spacing = "0.5 NM"
leg_length = "20 NM"
legs = {legs}
[flight]
ground_speed = "90 kt"
[detection]
sweep_width = "0.5 NM"
"""
# How far both sides may be apart. The plane of the pipeline bends the geodesic of a leg by up to 0.2 m; it counts a
# step across the edge of the area as half; and a histogram takes every metre flown to the middle of a cell.
MOST_XTE_M = 0.5
MOST_OUTSIDE = 0.01
MOST_POD = 0.015


def run(command, **more):
    subprocess.run([str(part) for part in command], check=True, **more)


def measured(command):
    """Wall and processor seconds and the peak of memory in MB of one run."""
    began = time.perf_counter()
    # The child's peak cannot be below that of this process, which imports little for that reason.
    child = subprocess.Popen([str(part) for part in command], stdout=subprocess.DEVNULL)
    _, status, usage = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode:
        sys.exit(f"failed: {command}")
    return time.perf_counter() - began, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024


def built(cargo, bench="raster"):
    """The program and one of the benches, built."""
    command = ["cargo", "build", "--release", "--locked", "--bin", "overflown", "--bench", bench]
    text = subprocess.run(
        [*command, "--message-format=json-render-diagnostics", *cargo],
        check=True, cwd=REPOSITORY, stdout=subprocess.PIPE, text=True,
    ).stdout
    artifacts = [json.loads(line) for line in text.splitlines()]
    made = {a["target"]["name"]: a["executable"] for a in artifacts if a.get("executable")}
    return Path(made["overflown"]), Path(made[bench])


def environment(work):
    python = work / "venv" / "bin" / "python"
    if not python.exists():
        run([sys.executable, "-m", "venv", work / "venv"])
        run([python, "-m", "pip", "install", "--quiet", "-r", HERE / "requirements.txt"])
        # Or each run of Python would compile what it imports, where the environment keeps it from writing that down.
        subprocess.run([python, "-m", "compileall", "-q", work / "venv" / "lib"], stdout=subprocess.DEVNULL)
    return python


def inputs(program, work, name, legs, rate):
    tasking, log = work / f"{name}.toml", work / f"{name}.gpx"
    if not log.exists():
        tasking.write_text(TASKING.format(legs=legs))
        run([program, "rehearse", tasking, "--rate", rate, "--out", log, "--quiet"])
    return log, tasking


def agree(ours, theirs):
    """Says how far the two are apart; whether that is within what is allowed."""
    ours = json.loads((ours / "Compared" / "debrief.json").read_text())
    theirs = json.loads((theirs / "results.json").read_text())
    pairs = list(zip(ours["legs"], theirs["legs"], strict=True))
    xte = max(abs(a["tracking"]["xte_mean_m"] - b["xte_mean_m"]) for a, b in pairs)
    outside = abs(theirs["outside_s"] / ours["area_time"]["outside_s"] - 1)
    pod = abs(ours["coverage"]["pod"]["inverse_cube"] - theirs["pod"])
    print(
        f"  the same figures: mean XTE of {len(pairs)} legs within {xte:.2f} m (allowed {MOST_XTE_M}), "
        f"time outside {outside:.2%} ({MOST_OUTSIDE:.0%}), mean POD {100 * pod:.2f} points ({100 * MOST_POD})"
    )
    fixes = ours["log"]["fixes_kept"] == theirs["fixes"]
    return fixes and xte <= MOST_XTE_M and outside <= MOST_OUTSIDE and pod <= MOST_POD


def table(rows):
    """Least and median of both sides with the ratio of the other to ours."""
    print(f"  {'':22}{'overflown':>18}{'Python':>18}{'ratio':>14}")
    print(f"  {'':22}{'least   median':>18}{'least   median':>18}{'least median':>14}")
    for name, unit, ours, theirs in rows:
        a, b = (min(ours), statistics.median(ours)), (min(theirs), statistics.median(theirs))
        digits = 0 if unit == "MB" else 3
        print(
            f"  {name + ', ' + unit:22}{a[0]:9.{digits}f}{a[1]:9.{digits}f}"
            f"{b[0]:9.{digits}f}{b[1]:9.{digits}f}{b[0] / a[0]:7.1f}{b[1] / a[1]:7.1f}"
        )


def whole(program, python, work, log, tasking, repeat):
    folder = Path(tempfile.mkdtemp(dir=work))
    ours, theirs = folder / "ours", folder / "theirs"
    command = [program, "debrief", log, "--tasking", tasking, "--out", ours, "--quiet"]
    other = [python, HERE / "pipeline.py", log, tasking, theirs]
    # The first of each is not counted: it reads programs and log from the disk, and writes compiled modules.
    measured(command), measured(other)
    if not agree(ours, theirs):
        sys.exit("the two sides differ: nothing to compare")
    runs = [(measured(command), measured(other)) for _ in range(repeat)]
    names = [("wall time", "s"), ("processor time", "s"), ("peak of memory", "MB")]
    table(
        (what, unit, [a[k] for a, _ in runs], [b[k] for _, b in runs])
        for k, (what, unit) in enumerate(names)
    )
    shutil.rmtree(folder)


def raster(bench, python, work, log, tasking, repeat):
    folder = Path(tempfile.mkdtemp(dir=work))
    command = [bench, log, tasking, folder, 3]
    other = [python, HERE / "exposure.py", folder, 3]
    ours, theirs, last = [], [], repeat - 1
    for turn in range(repeat):
        for command_of, seconds in ((command, ours), (other, theirs)):
            errors = ["--errors"] if command_of is other and turn == last else []
            text = subprocess.run(
                [str(part) for part in command_of + errors],
                check=True, stdout=subprocess.PIPE, text=True,
            ).stdout
            result = json.loads(text.splitlines()[-1])
            seconds.extend(result["seconds"])
    table([("exposure raster", "s", ours, theirs)])
    print("  error against the exact integral over every fix, points of POD:")
    for name, errors in (("overflown", result["ours"]), ("Python", result["theirs"])):
        print(
            f"    {name:10} mean {errors['mean']:+.3f}, root mean square {errors['rms']:.3f}, "
            f"worst of {errors['cells']} cells {errors['worst']:.2f}"
        )
    shutil.rmtree(folder)


def main():
    arguments = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    arguments.add_argument("--repeat", type=int, default=5, help="counted runs of each side")
    arguments.add_argument("--only", default="", help="part of the name of a sortie")
    default = Path(tempfile.gettempdir()) / "overflown-compare"
    arguments.add_argument("--work", type=Path, default=default, help="for environment and inputs")
    arguments.add_argument("--cargo", nargs="*", default=[], help="more arguments for cargo build")
    given = arguments.parse_args()
    given.work.mkdir(parents=True, exist_ok=True)
    program, bench = built(given.cargo)
    python = environment(given.work)
    print(f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.1f} when it began")
    for name, legs, rate in SORTIES:
        if given.only in name:
            log, tasking = inputs(program, given.work, name, legs, rate)
            print(f"{name}, {log.stat().st_size / 1e6:.1f} MB, {given.repeat} runs each", flush=True)
            whole(program, python, given.work, log, tasking, given.repeat)
            if rate == 1:
                raster(bench, python, given.work, log, tasking, given.repeat)


if __name__ == "__main__":
    main()
