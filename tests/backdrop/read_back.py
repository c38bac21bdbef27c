"""What PROJ and GDAL make of reference systems and rasters: prints it as JSON.

    cargo test --test backdrop -- --ignored files_for_others      # writes target/tmp/backdrop/
    python -m venv /tmp/venv && /tmp/venv/bin/pip install rasterio==1.4.4 pyproj==3.7.2
    /tmp/venv/bin/python tests/backdrop/read_back.py target/tmp/backdrop > tests/backdrop/read_back.json

rasterio 1.4.4 carries GDAL 3.10.3, pyproj 3.7.2 PROJ 9.5.1, without grids.
"""

import json
import sys
from pathlib import Path

import numpy
import pyproj
import rasterio
from rasterio.transform import from_origin
from rasterio.warp import Resampling, reproject

# Reference systems of many kinds, each with places within it: longitude and latitude.
PLACES = {
    4258: [(10.5, 47.2), (-8.0, 38.0)],
    4269: [(-105.2, 39.9), (-80.0, 45.0)],
    3857: [(10.5, 47.2), (-170.0, -60.0)],
    3395: [(10.5, 47.2), (-170.0, -60.0)],
    32633: [(12.1, 47.3), (17.5, 60.0)],
    32719: [(-70.9, -33.2), (-68.0, -54.0)],
    32661: [(30.0, 87.0), (-120.0, 85.0)],
    25832: [(9.0, 50.0), (6.2, 55.0)],
    26912: [(-111.0, 35.0), (-109.0, 44.0)],
    2154: [(2.3, 48.9), (7.2, 43.7)],
    3035: [(10.0, 52.0), (25.0, 60.0)],
    5070: [(-96.0, 40.0), (-120.0, 35.0)],
    3413: [(-45.0, 75.0), (20.0, 80.0)],
    3031: [(60.0, -75.0), (-120.0, -80.0)],
    2193: [(170.5, -44.0), (175.0, -38.0)],
    2232: [(-105.0, 39.0), (-107.0, 38.7)],
    2056: [(7.45, 46.95), (9.8, 46.5)],
    21781: [(7.45, 46.95), (9.8, 46.5)],
    28992: [(5.4, 52.1), (6.5, 53.2)],
    27700: [(-1.5, 52.5), (-4.2, 57.2)],
    31468: [(12.1, 47.7), (11.0, 49.0)],
    31258: [(14.3, 47.5), (13.5, 46.8)],
    5514: [(15.0, 49.5), (18.0, 49.0)],
}


def places(code):
    to_plane = pyproj.Transformer.from_crs(4326, code, always_xy=True)
    return [[*to_plane.transform(lon, lat), lat, lon] for lon, lat in PLACES[code]]


def white(path):
    """Latitude and longitude of the middle of the one white cell."""
    with rasterio.open(path) as file:
        row, column = numpy.argwhere(file.read(1) == 255)[0]
        to_degrees = pyproj.Transformer.from_crs(file.crs, 4326, always_xy=True)
        lon, lat = to_degrees.transform(*file.xy(row, column))
        return [lat, lon]


def averaged(path):
    """The raster in the azimuthal equidistant plane about 47.3 N 12.1 E: 40 by 30 pixels of 100 m."""
    with rasterio.open(path) as file:
        plane = "+proj=aeqd +lat_0=47.3 +lon_0=12.1 +datum=WGS84 +units=m"
        values = numpy.zeros((30, 40), "float32")
        reproject(
            file.read(1).astype("float32"),
            values,
            src_transform=file.transform,
            src_crs=file.crs,
            dst_transform=from_origin(-2000.0, 1500.0, 100.0, 100.0),
            dst_crs=plane,
            resampling=Resampling.average,
        )
        return [round(float(value), 1) for value in values.ravel()]


def main(folder):
    files = sorted(Path(folder).glob("white-*.tif"))
    found = {
        "places": {str(code): places(code) for code in PLACES},
        "white": {path.name: white(path) for path in files},
        "averaged": {path.name: averaged(path) for path in sorted(Path(folder).glob("average-*.tif"))},
    }
    print(json.dumps(found, indent=1))


main(sys.argv[1])
