"""A small measuring form, filled in."""

import csv
import io
from pathlib import Path

from rackgen.spec.measuring_form import Form, empty_csv

READ = {
    "name": "Test wagon",
    "datum": "a seam, on the middle",
    "roof.station[1].x": "0",
    "roof.station[2].x": "600",
    "roof.station[3].x": "1200",
    **{f"roof.station[{k}].crown": c for k, c in ((1, "0"), (2, "2"), (3, "0"))},
    **{f"roof.station[{k}].half_width": "620" for k in (1, 2, 3)},
    **{f"roof.station[{k}].offsets[1]": "300" for k in (1, 2, 3)},
    **{f"roof.station[{k}].offsets[2]": "600" for k in (1, 2, 3)},
    **{f"roof.station[{k}].drops[1]": "9" for k in (1, 2, 3)},
    **{f"roof.station[{k}].drops[2]": "36" for k in (1, 2, 3)},
    **{
        f"mounts.front_{side}.{key}": value
        for side, y in (("left", "-470"), ("right", "470"))
        for key, value in (("x", "200"), ("y", y), ("zone[1]", "40"), ("zone[2]", "30"), ("under", "bow"),
                           ("skin", "0.8"))
    },
    **{
        f"mounts.rear_{side}.{key}": value
        for side, y in (("left", "-558"), ("right", "558"))
        for key, value in (("x", "1250"), ("y", y), ("z", "-64"), ("lean", "0"), ("corner_radius", "45"),
                           ("corner", "595"), ("to_shut_line", "68"), ("zone", "12"), ("under", "pillar"),
                           ("skin", "0.8"))
    },
}  # fmt: skip
SMALL = Form(stations=3, offsets=2, alike=True)


def filled(folder: Path, change: dict[str, str] | None = None, notes: dict[str, str] | None = None) -> Path:
    """Give the small form filled in, with some values otherwise."""
    values = READ | (change or {})
    rows = list(csv.reader(io.StringIO(empty_csv(SMALL))))
    known = {row[0] for row in rows}
    for row in rows[1:]:
        row[1] = values.get(row[0], row[1])
        row[3] = (notes or {}).get(row[0], "")
    rows += [[key, value, "", ""] for key, value in values.items() if key not in known]
    out = io.StringIO()
    csv.writer(out).writerows(rows)
    path = folder / "filled.csv"
    path.write_text(out.getvalue(), encoding="utf-8")
    return path
