"""The inverse-cube exposure by histogram and convolution, and the error of both rasters against the exact integral.

    python exposure.py FOLDER REPETITIONS      prints JSON

FOLDER is what `cargo bench --bench raster` left: the grid, the line flown while looking, fix by fix, in the plane of
the raster, and the exposure made by the program.
"""

import json
import sys
import time
from pathlib import Path

import numpy as np
import scipy.fft

from pipeline import exposure

# Every so many cells in both directions are integrated exactly.
EVERY = 7


def exact(points, a, b, strength):
    """The integral of K/2 r^-3 along every segment, summed: K / (2 x²) [s / √(x² + s²)] between its ends."""
    along = b - a
    lengths = np.hypot(along[:, 0], along[:, 1])
    along /= lengths[:, None]
    sums = np.empty(len(points))
    for i, point in enumerate(points):
        away = point - a
        s1 = away[:, 0] * along[:, 0] + away[:, 1] * along[:, 1]
        x2 = (away[:, 0] * along[:, 1] - away[:, 1] * along[:, 0]) ** 2
        s2 = lengths - s1
        # The difference of the two ends, written so that nothing cancels far from the segment.
        r1, r2 = np.sqrt(x2 + s1**2), np.sqrt(x2 + s2**2)
        rest1, rest2 = 1 / (r1 * (r1 + np.abs(s1))), 1 / (r2 * (r2 + np.abs(s2)))
        beside = (s1 > 0) & (s2 > 0)
        with np.errstate(divide="ignore"):
            part = np.where(beside, 2 / x2 - rest1 - rest2, np.abs(rest1 - rest2))
        sums[i] = strength / 2 * part.sum()
    return sums


def main(folder, repetitions):
    about = json.loads((folder / "raster.json").read_text())
    origin, cell = about["origin_m"], about["cell_m"]
    columns, rows = about["columns"], about["rows"]
    strength = about["width_m"] ** 2 / (4 * np.pi)
    ours = np.fromfile(folder / "exposure.f32", dtype=np.float32).reshape(rows, columns)
    segments = np.fromfile(folder / "segments.f64").reshape(-1, 2, 2)
    a, b = segments[:, 0], segments[:, 1]
    seconds = []
    with scipy.fft.set_workers(about["threads"]):
        for _ in range(repetitions):
            began = time.perf_counter()
            theirs = exposure(
                origin, cell, columns, rows, (a + b) / 2, np.hypot(*(b - a).T), strength
            )
            seconds.append(time.perf_counter() - began)
    result = {"seconds": seconds}
    if "--errors" in sys.argv:
        j, i = np.meshgrid(
            np.arange(EVERY // 2, rows, EVERY), np.arange(EVERY // 2, columns, EVERY), indexing="ij"
        )
        points = np.column_stack(
            [origin[0] + (i.ravel() + 0.5) * cell, origin[1] + (j.ravel() + 0.5) * cell]
        )
        truth = -np.expm1(-exact(points, a, b, strength))
        for name, raster in (("ours", ours), ("theirs", theirs)):
            error = 100 * (-np.expm1(-raster[j.ravel(), i.ravel()].astype(float)) - truth)
            result[name] = {
                "cells": len(truth),
                "mean": float(error.mean()),
                "rms": float(np.sqrt((error**2).mean())),
                "worst": float(np.abs(error).max()),
            }
    print(json.dumps(result))


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]))
