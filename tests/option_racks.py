"""Racks that differ from a plain one in one option each: small files, read through the program's own reader."""

from pathlib import Path

from rackgen.spec.read import Job, read_job
from rackgen.spec.shipped import shipped

PERFORATED = """\
[[perforated]]
name = "perforated 10 on 15"
pattern = "staggered"
hole = 10
pitch = 15
thickness = 2
mass_per_area = 9.37
width = 1250
length = 2500
grade = "DC01"
coating = "oiled"

"""

PLAIN = "width = 1040\nlength = 1080\nheight = 220"
HIGH = "width = 1040\nlength = 1080\nheight = 260"
FLAT = "width = 1040\nlength = 1080"
BARS = '\nfloor = "50 x 5 bar"'

FERN = """\
<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 90">
<path d="M0,60 C40,0 80,0 110,30 S160,60 190,20 L190,40 Q150,90 100,75 T0,60 Z
M60,40 a12,12 0 1 0 24,0 a12,12 0 1 0 -24,0 z"/>
<circle cx="110" cy="55" r="8"/></svg>
"""
"""A leaf with two round islands."""

OPTIONS: dict[str, dict[str, str]] = {
    "expanded metal": {"basket": PLAIN},
    "tray": {"basket": FLAT + '\nkind = "tray"'},
    "tray of bars": {"basket": FLAT + '\nkind = "tray"' + BARS, "floor": 'kind = "slats"\ngap = 40'},
    "tray of tubes": {"basket": FLAT + '\nkind = "tray"', "floor": 'kind = "slats"'},
    "tray of perforated sheet": {"basket": FLAT + '\nkind = "tray"', "floor": 'kind = "perforated sheet"'},
    "deck of tubes": {"basket": FLAT + '\nkind = "deck"', "floor": "gap = 50"},
    "deck of bars": {"basket": FLAT + '\nkind = "deck"' + BARS, "floor": "gap = 30"},
    "slats of tube": {"basket": PLAIN, "floor": 'kind = "slats"\ngap = 60'},
    "slats of bar": {"basket": PLAIN + BARS, "floor": 'kind = "slats"\ngap = 40'},
    "no floor": {"basket": PLAIN, "floor": 'kind = "none"'},
    "perforated sheet": {"basket": PLAIN, "floor": 'kind = "perforated sheet"'},
    "third ring": {"basket": HIGH, "sides": 'mid_rail = "ring"'},
    "letters": {"basket": PLAIN, "sides": 'text = "OAK R8"'},
    "letters under slots": {"basket": HIGH, "sides": 'text = "BODEN"\nslots = true'},
    "picture": {"basket": PLAIN, "sides": 'outline = "fern.svg"\noutline_length = 180'},
    "mid rails": {"basket": HIGH + "\nside_plates = 0", "sides": 'mid_rail = "rails"'},
}


def option_job(folder: Path, option: str) -> Job:
    """Read a rack with one option, on the shipped wagon, made in the shipped shop with more on its shelf."""
    return written_job(folder, OPTIONS[option])


def written_job(folder: Path, tables: dict[str, str]) -> Job:
    """Read a rack of some tables, each as its lines."""
    shop = (shipped() / "shops" / "slipway-mm.toml").read_text("utf-8")
    mark = "# ---- Bending dies"
    assert mark in shop
    (folder / "shop.toml").write_text(shop.replace(mark, PERFORATED + mark, 1), "utf-8")
    (folder / "fern.svg").write_text(FERN, "utf-8")
    head = 'format = 1\nshop = "shop"\nvehicle = "boxy-wagon-mm"\nunits = "mm"\n'
    file = folder / "option.toml"
    file.write_text(head + "".join(f"\n[{name}]\n{lines}\n" for name, lines in tables.items()), "utf-8")
    return read_job(str(file), shop=str(folder / "shop.toml"), vehicle="boxy-wagon-mm")
