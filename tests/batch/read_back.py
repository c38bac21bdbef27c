"""What other programs read in a Parquet file: prints it as JSON.

    cargo test --test batch -- --ignored table_for_others    # writes target/tmp/for-others.parquet
    python -m venv /tmp/venv && /tmp/venv/bin/pip install pyarrow==26.0.1 duckdb==2.0.1
    /tmp/venv/bin/python tests/batch/read_back.py target/tmp/for-others.parquet > tests/batch/read_back.json
"""

import datetime
import json
import sys

import duckdb
import pyarrow.parquet

file = sys.argv[1]
EPOCH = datetime.datetime(1970, 1, 1, tzinfo=datetime.timezone.utc)


def shown(value):
    if isinstance(value, datetime.datetime):
        return (value - EPOCH) // datetime.timedelta(milliseconds=1)
    if isinstance(value, datetime.date):
        return value.isoformat()
    return value


table = pyarrow.parquet.read_table(file)
by_arrow = {
    "types": {field.name: str(field.type) for field in table.schema},
    "rows": table.num_rows,
    "values": {name: [shown(v) for v in table[name].to_pylist()] for name in table.column_names},
}
connection = duckdb.connect()
connection.execute("SET TimeZone = 'UTC'")
found = connection.execute("SELECT * FROM read_parquet(?)", [file])
names = [column[0] for column in found.description]
rows = found.fetchall()
types = connection.execute("DESCRIBE SELECT * FROM read_parquet(?)", [file]).fetchall()
by_duckdb = {
    "types": {row[0]: row[1] for row in types},
    "rows": len(rows),
    "values": {name: [shown(row[at]) for row in rows] for at, name in enumerate(names)},
}
print(json.dumps({"pyarrow": by_arrow, "duckdb": by_duckdb}, indent=1, ensure_ascii=False))
