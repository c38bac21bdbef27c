"""What other programs read in the files of a debrief: prints it as JSON.

    cargo test --test for_others -- --ignored files_for_others    # writes target/tmp/for-others/<flight>/
    python -m venv /tmp/venv && /tmp/venv/bin/pip install rasterio==1.4.4 pyogrio==0.13.0 pyproj==3.7.2
    /tmp/venv/bin/python tests/for_others/read_back.py target/tmp/for-others > tests/for_others/read_back.json

rasterio 1.4.4 carries GDAL 3.10.3, pyogrio 0.13.0 carries GDAL 3.12.4 with the driver LIBKML, pyproj 3.7.2 PROJ 9.5.1.
"""

import json
import math
import sys
from pathlib import Path

import numpy
import pyogrio
import pyproj
import rasterio

# Pixels looked at in each raster.
PIXELS = 12


def raster(path):
    with rasterio.open(path) as file:
        values = file.read(1)
        to_degrees = pyproj.Transformer.from_crs(file.crs, 4326, always_xy=True)
        known = numpy.argwhere(~numpy.isnan(values))
        pixels = []
        for row, column in known[:: max(1, len(known) // PIXELS)][:PIXELS]:
            lon, lat = to_degrees.transform(*file.xy(row, column))
            pixels.append([int(row), int(column), lat, lon, float(values[row, column])])
        return {
            "driver": file.driver,
            "epsg": file.crs.to_epsg(),
            "name": file.crs.to_wkt().split('"')[1],
            "area_or_point": file.tags()["AREA_OR_POINT"],
            "compression": file.compression.name,
            "bands": file.count,
            "type": file.dtypes[0],
            "no_data_is_nan": math.isnan(file.nodata),
            "transform": list(file.transform)[:6],
            "columns": file.width,
            "rows": file.height,
            "known": len(known),
            "mean": float(numpy.nanmean(values, dtype="float64")),
            "pixels": pixels,
        }


def drawn(path, layer):
    """Number of features with a shape, and the box about them all."""
    _, _, shapes, _ = pyogrio.raw.read(path, layer=layer)
    shapes = [shape for shape in shapes if shape is not None]
    box = pyogrio.read_bounds(path, layer=layer)[1]
    box = [numpy.nanmin(box[0]), numpy.nanmin(box[1]), numpy.nanmax(box[2]), numpy.nanmax(box[3])]
    return {"features": len(shapes), "box": [float(edge) for edge in box]}


def folders(path):
    names = [name for name, _ in pyogrio.list_layers(path)]
    # GDAL knows no Track of KML 2.3: that folder has a feature without a shape.
    return {name: drawn(path, name) for name in names if name != "Flight along the clock"}


def whats(path):
    meta, _, shapes, fields = pyogrio.raw.read(path)
    column = fields[list(meta["fields"]).index("what")]
    names, counts = numpy.unique(column.astype(str), return_counts=True)
    assert all(shape is not None for shape in shapes)
    return {"crs": meta["crs"], "features": dict(zip(names.tolist(), counts.tolist()))}


def flight(folder):
    rasters = {path.name: raster(path) for path in sorted(folder.glob("*.tif"))}
    return {
        "rasters": rasters,
        "layers.kml": folders(folder / "layers.kml"),
        "layers.geojson": whats(folder / "layers.geojson"),
    }


root = Path(sys.argv[1])
found = {folder.name: flight(folder) for folder in sorted(root.iterdir()) if folder.is_dir()}
print(json.dumps(found, indent=1))
