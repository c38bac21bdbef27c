"""A debrief of a parallel sweep from general-purpose libraries: what `overflown debrief` is timed against.

    python pipeline.py LOG.gpx TASKING.toml OUT

The log is parsed by lxml's streaming target parser, which took two thirds of the time of its iterparse here.
Everything after it works on whole arrays. One transverse Mercator plane about the area serves for all lengths: in
an area of 20 x 50 NM its scale is off by 3e-5 and the geodesic of a leg departs from the straight line by 0.2 m.
Written: results.json, legs.csv, report.html, heatmap.png, xte.png.
"""

import base64
import csv
import json
import sys
import tomllib
from array import array
from pathlib import Path

import matplotlib

matplotlib.use("Agg")
import matplotlib.pyplot as plt
import numpy as np
import shapely
from lxml import etree
from pyproj import Geod, Transformer
from scipy.signal import fftconvolve

NM = 1852.0
GPX = "{http://www.topografix.com/GPX/1/1}"
# A fix is on a leg when it flies along it within this of its course, degrees.
ALONG = 30.0
# A fix does not count as looking when its bank is beyond this, degrees.
LEVEL_BANK = 15.0
GRAVITY = 9.80665


class Points:
    """Collects latitudes, longitudes, heights and times of track points."""

    def __init__(self):
        self.latitudes, self.longitudes, self.heights = array("d"), array("d"), array("d")
        self.times = []
        self.text = ""

    def start(self, tag, attributes):
        if tag == POINT:
            self.latitudes.append(float(attributes["lat"]))
            self.longitudes.append(float(attributes["lon"]))
        self.text = ""

    def data(self, text):
        self.text += text

    def end(self, tag):
        if tag == HEIGHT:
            self.heights.append(float(self.text))
        elif tag == TIME:
            self.times.append(self.text[:-1])

    def close(self):
        # Times have milliseconds at most, and end on "Z".
        times = np.array(self.times, dtype="datetime64[ms]")
        self.times = None
        return (
            np.frombuffer(self.latitudes),
            np.frombuffer(self.longitudes),
            np.frombuffer(self.heights),
            times,
        )


POINT, HEIGHT, TIME = GPX + "trkpt", GPX + "ele", GPX + "time"


def nautical_miles(text):
    number, unit = text.split()
    assert unit == "NM", text
    return float(number) * NM


class Plan:
    """A parallel sweep: legs and area in a plane, metres."""

    def __init__(self, tasking):
        pattern = tasking["pattern"]
        self.spacing = nautical_miles(pattern["spacing"])
        self.width = nautical_miles(tasking["detection"]["sweep_width"])
        length, legs = nautical_miles(pattern["leg_length"]), pattern["legs"]
        course = float(pattern["first_course"].split()[0])
        side = course + (90.0 if pattern["turn"] == "right" else -90.0)
        latitude, longitude = pattern["start"]
        ellipsoid = Geod(ellps="WGS84")
        centre_longitude, centre_latitude, _ = ellipsoid.fwd(
            longitude, latitude, side, self.spacing * (legs - 1) / 2
        )
        centre_longitude, centre_latitude, _ = ellipsoid.fwd(
            centre_longitude, centre_latitude, course, length / 2
        )
        self.plane = Transformer.from_crs(
            "EPSG:4326",
            f"+proj=tmerc +lat_0={centre_latitude} +lon_0={centre_longitude} +ellps=WGS84",
        )
        # Every leg begins where the one before left off, a spacing to the side.
        steps = np.arange(legs) * self.spacing
        here = np.full(legs, longitude), np.full(legs, latitude), np.full(legs, side)
        near_lon, near_lat, back = ellipsoid.fwd(*here, steps)
        along = back + 180.0 - (side - course)
        far_lon, far_lat, _ = ellipsoid.fwd(near_lon, near_lat, along, np.full(legs, length))
        near = np.column_stack(self.plane.transform(near_lat, near_lon))
        far = np.column_stack(self.plane.transform(far_lat, far_lon))
        odd = (np.arange(legs) % 2 == 1)[:, None]
        self.starts, self.ends = np.where(odd, far, near), np.where(odd, near, far)
        self.lengths = np.hypot(*(self.ends - self.starts).T)
        self.alongs = (self.ends - self.starts) / self.lengths[:, None]
        # Half a spacing about the legs all round.
        half = self.spacing / 2
        ahead = (far - near)[0] / np.hypot(*(far - near)[0])
        aside = (near[-1] - near[0]) / np.hypot(*(near[-1] - near[0]))
        self.area = shapely.Polygon(
            [
                near[0] - half * (ahead + aside),
                near[-1] + half * (aside - ahead),
                far[-1] + half * (ahead + aside),
                far[0] + half * (ahead - aside),
            ]
        )


def motion(xy, seconds):
    """Velocity and bank at every fix: differences over about three seconds, which a receiver's noise leaves alone."""
    half = max(1, round(1.5 / np.median(np.diff(seconds[: 10_000]))))
    before = np.maximum(np.arange(len(xy)) - half, 0)
    after = np.minimum(np.arange(len(xy)) + half, len(xy) - 1)
    velocity = (xy[after] - xy[before]) / (seconds[after] - seconds[before])[:, None]
    course = np.unwrap(np.arctan2(velocity[:, 0], velocity[:, 1]))
    rate = (course[after] - course[before]) / (seconds[after] - seconds[before])
    speed = np.hypot(velocity[:, 0], velocity[:, 1])
    return velocity, speed, np.degrees(np.arctan(speed * np.abs(rate) / GRAVITY))


def leg_of_each(plan, xy, velocity, speed):
    """The leg that each fix is flown on, -1 for none, with the distance along it and to its right."""
    tree = shapely.STRtree(shapely.linestrings(np.stack([plan.starts, plan.ends], axis=1)))
    fixes, legs = tree.query(shapely.points(xy), predicate="dwithin", distance=plan.spacing / 2)
    away = xy[fixes] - plan.starts[legs]
    along_axis = plan.alongs[legs]
    along = np.einsum("ij,ij->i", away, along_axis)
    cross = away[:, 0] * along_axis[:, 1] - away[:, 1] * along_axis[:, 0]
    ahead = np.einsum("ij,ij->i", velocity[fixes], along_axis)
    fits = (np.abs(ahead) >= np.cos(np.radians(ALONG)) * speed[fixes]) & (speed[fixes] > 10.0)
    fits &= (along >= 0.0) & (along <= plan.lengths[legs])
    fixes, legs, along, cross = fixes[fits], legs[fits], along[fits], cross[fits]
    # Of two legs the nearer: the farther is written first.
    order = np.argsort(-np.abs(cross), kind="stable")
    leg_of = np.full(len(xy), -1)
    along_of, cross_of = np.full(len(xy), np.nan), np.full(len(xy), np.nan)
    leg_of[fixes[order]] = legs[order]
    along_of[fixes[order]] = along[order]
    cross_of[fixes[order]] = cross[order]
    return leg_of, along_of, cross_of


def leg_figures(plan, leg_of, along, cross, seconds):
    """Mean, standard deviation and 95 % of the cross-track error leg by leg, each fix with half the way to its neighbours."""
    together = np.concatenate([[False], (leg_of[1:] == leg_of[:-1]) & (leg_of[1:] >= 0), [False]])
    steps = np.where(together[1:-1], np.abs(np.diff(along)), 0.0)
    way = (np.concatenate([[0.0], steps]) + np.concatenate([steps, [0.0]])) / 2
    figures = []
    for leg in range(len(plan.lengths)):
        on = np.flatnonzero(leg_of == leg)
        if len(on) < 2:
            figures.append({"leg": leg + 1, "flown": False})
            continue
        weight, xte = way[on], cross[on]
        total = weight.sum()
        mean = (weight * xte).sum() / total
        sd = np.sqrt((weight * (xte - mean) ** 2).sum() / total)
        sizes = np.argsort(np.abs(xte))
        within = np.searchsorted(np.cumsum(weight[sizes]), 0.95 * total)
        figures.append(
            {
                "leg": leg + 1,
                "flown": True,
                "entered_s": float(seconds[on[0]]),
                "left_s": float(seconds[on[-1]]),
                "length_m": float(total),
                "xte_mean_m": float(mean),
                "xte_sd_m": float(sd),
                "xte_p95_m": float(np.abs(xte)[sizes[min(within, len(sizes) - 1)]]),
                "xte_max_m": float(xte[sizes[-1]]),
            }
        )
    return figures


def outside(plan, xy, seconds, first, last):
    """Seconds outside the area from the first fix to the last; a step across its edge counts half."""
    shapely.prepare(plan.area)
    part = slice(first, last + 1)
    out = ~shapely.contains_xy(plan.area, xy[part, 0], xy[part, 1])
    return float((np.diff(seconds[part]) * (out[1:] * 0.5 + out[:-1] * 0.5)).sum())


def kernel(columns, rows, cell, strength):
    """Exposure by metre flown at the middle of a cell, K/2 r^-3, over every cell; averaged over the cells near it."""
    x, y = np.arange(1 - columns, columns) * cell, np.arange(1 - rows, rows) * cell
    r2 = x[None, :] ** 2 + y[:, None] ** 2
    r2[rows - 1, columns - 1] = 1.0
    weights = strength / 2 * r2**-1.5
    parts = (np.arange(16) + 0.5) / 16 - 0.5
    for j in range(-2, 3):
        for i in range(-2, 3):
            if abs(i) < columns and abs(j) < rows:
                at = (i + parts[None, :]) ** 2 + (j + parts[:, None]) ** 2
                weights[rows - 1 + j, columns - 1 + i] = strength / 2 * np.mean(at**-1.5) / cell**3
    return weights


def exposure(origin, cell, columns, rows, middles, lengths, strength):
    """Inverse-cube exposure of every cell: metres flown in each, convolved."""
    flown, _, _ = np.histogram2d(
        middles[:, 1],
        middles[:, 0],
        bins=(rows, columns),
        range=(
            (origin[1], origin[1] + rows * cell),
            (origin[0], origin[0] + columns * cell),
        ),
        weights=lengths,
    )
    spread = fftconvolve(flown, kernel(columns, rows, cell, strength), mode="full")
    return np.maximum(spread[rows - 1 : 2 * rows - 1, columns - 1 : 2 * columns - 1], 0.0)


def coverage(plan, xy, looking):
    """POD of every cell, NaN outside the area, with the bounds of the grid."""
    west, south, east, north = plan.area.bounds
    cell = min(plan.spacing / 10, plan.width / 8)
    columns, rows = int(np.ceil((east - west) / cell)), int(np.ceil((north - south) / cell))
    origin = (
        west - (columns * cell - (east - west)) / 2,
        south - (rows * cell - (north - south)) / 2,
    )
    together = looking[1:] & looking[:-1]
    a, b = xy[:-1][together], xy[1:][together]
    strength = plan.width**2 / (4 * np.pi)
    exposed = exposure(
        origin, cell, columns, rows, (a + b) / 2, np.hypot(*(b - a).T), strength
    )
    x = origin[0] + (np.arange(columns) + 0.5) * cell
    y = origin[1] + (np.arange(rows) + 0.5) * cell
    inside = shapely.contains_xy(plan.area, *np.meshgrid(x, y))
    pod = np.where(inside, -np.expm1(-exposed), np.nan)
    return pod, (origin[0], origin[0] + columns * cell, origin[1], origin[1] + rows * cell)


def thinned(xy, tolerance):
    return shapely.get_coordinates(shapely.simplify(shapely.linestrings(xy), tolerance))


def heatmap(path, plan, pod, bounds, line):
    figure, axes = plt.subplots(figsize=(11, 11), dpi=100)
    shown = axes.imshow(
        pod, extent=bounds, origin="lower", vmin=0, vmax=1, cmap="viridis", interpolation="nearest"
    )
    figure.colorbar(shown, ax=axes, label="POD")
    for start, end in zip(plan.starts, plan.ends):
        axes.plot([start[0], end[0]], [start[1], end[1]], color="white", lw=0.6, ls="--")
    axes.plot(line[:, 0], line[:, 1], color="black", lw=0.7)
    axes.set_aspect("equal")
    axes.set_xlabel("east, m")
    axes.set_ylabel("north, m")
    figure.savefig(path)
    plt.close(figure)


def chart(path, leg_of, along, cross, legs):
    """Cross-track error along every leg."""
    figure, axes = plt.subplots(figsize=(11, 8), dpi=100)
    for leg in range(legs):
        on = np.flatnonzero(leg_of == leg)
        # More points than pixels show nothing more.
        on = on[:: max(1, len(on) // 2000)]
        axes.plot(along[on] / NM, cross[on], lw=0.7)
    axes.set_xlabel("along the leg, NM")
    axes.set_ylabel("cross-track error, m")
    figure.savefig(path)
    plt.close(figure)


def page(results, figures, pictures):
    rows = "".join(
        "<tr>" + "".join(f"<td>{value}</td>" for value in figure.values()) + "</tr>"
        for figure in figures
    )
    images = "".join(
        f'<img src="data:image/png;base64,{base64.b64encode(p.read_bytes()).decode()}">'
        for p in pictures
    )
    return (
        f"<!doctype html><title>Debrief</title><pre>{json.dumps(results, indent=1)}</pre>"
        f"<table>{rows}</table>{images}"
    )


def main(log, tasking, out):
    latitudes, longitudes, heights, times = etree.parse(log, etree.XMLParser(target=Points()))
    with open(tasking, "rb") as file:
        plan = Plan(tomllib.load(file))
    seconds = (times - times[0]).astype(np.float64) / 1e3
    xy = np.column_stack(plan.plane.transform(latitudes, longitudes))
    velocity, speed, bank = motion(xy, seconds)
    leg_of, along, cross = leg_of_each(plan, xy, velocity, speed)
    figures = leg_figures(plan, leg_of, along, cross, seconds)
    on_legs = np.flatnonzero(leg_of >= 0)
    first, last = on_legs[0], on_legs[-1]
    pod, bounds = coverage(plan, xy, (leg_of >= 0) & (bank <= LEVEL_BANK))
    results = {
        "fixes": len(xy),
        "outside_s": outside(plan, xy, seconds, first, last),
        "pod": float(np.nanmean(pod)),
        "height_mean_m": float(heights[on_legs].mean()),
        "ground_speed_mean_mps": float(speed[on_legs].mean()),
        "legs": figures,
    }
    out.mkdir(parents=True, exist_ok=True)
    (out / "results.json").write_text(json.dumps(results))
    with open(out / "legs.csv", "w", newline="") as file:
        table = csv.DictWriter(file, fieldnames=list(figures[0]))
        table.writeheader()
        table.writerows(figures)
    heatmap(out / "heatmap.png", plan, pod, bounds, thinned(xy, 0.01 * plan.spacing))
    chart(out / "xte.png", leg_of, along, cross, len(figures))
    pictures = [out / "heatmap.png", out / "xte.png"]
    (out / "report.html").write_text(page(results, figures, pictures))


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], Path(sys.argv[3]))
