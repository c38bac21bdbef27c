"""What GDAL reads in a logbook: prints it as JSON.

    cargo test --test logbook -- --ignored logbook_for_others    # writes target/tmp/for-others.gpkg
    python -m venv /tmp/venv && /tmp/venv/bin/pip install pyogrio==0.13.0 pandas shapely
    /tmp/venv/bin/python tests/logbook/read_back.py target/tmp/for-others.gpkg > tests/logbook/read_back.json

pyogrio 0.13.0 carries GDAL 3.12.4.
"""

import json
import sys

import pyogrio
import shapely

file = sys.argv[1]
layers = {}
for name, _ in pyogrio.list_layers(file):
    info = pyogrio.read_info(file, layer=name, force_total_bounds=True, force_feature_count=True)
    driver = info["driver"]
    layers[name] = {
        "features": int(info["features"]),
        "crs": info["crs"],
        "geometry": info["geometry_type"],
        "bounds": info["total_bounds"] and [float(bound) for bound in info["total_bounds"]],
    }


def columns(layer, names):
    meta, _, geometry, fields = pyogrio.raw.read(file, layer=layer, columns=names)
    found = dict(zip(meta["fields"], fields))
    return geometry, [found[name] for name in names]


geometry, (sortie_ids, labels) = columns("legs", ["sortie_id", "leg"])
lines = [shapely.get_coordinates(line).tolist() for line in shapely.from_wkb(geometry)]
legs = [
    {"sortie_id": int(sortie), "leg": label, "line": line}
    for sortie, label, line in zip(sortie_ids, labels, lines)
]
_, (pilots, started) = columns("sorties", ["pilot", "started"])
_, (values,) = columns("measures", ["value"])
print(
    json.dumps(
        {
            "driver": driver,
            "layers": layers,
            "legs": legs,
            "pilots": list(pilots),
            "started": [str(moment) for moment in started],
            "values": [None if value != value else float(value) for value in values],
        },
        indent=1,
        ensure_ascii=False,
    )
)
