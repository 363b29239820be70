"""Small whole preset files for tests, and ways to spoil them in one place."""

from pathlib import Path

import pytest

from rackgen.errors import BadInput, Mistake

SHOP = """\
format = 1
name = "Test shop"
units = "mm"

[[tube]]
name = "33.7 x 2.6 tube"
od = 33.7
wall = 2.6
grade = "S235JRH"
coating = "bare"
stick = "6 m"

[[tube]]
name = "28 x 2 tube"
od = 28
wall = 2
grade = "E235"
coating = "oiled"
stick = "6 m"

[[bar]]
name = "50 x 5 bar"
width = 50
thickness = 5
grade = "S235JR"
coating = "bare"
stick = "6 m"

[[plate]]
name = "4 mm plate"
thickness = 4
width = 1250
length = 2500
grade = "S235JR"
coating = "bare"

[[mesh]]
name = "mesh"
style = "raised"
swd = 23
lwd = 50
strand_thickness = 1.5
strand_width = 2.6
overall = 5.3
mass_per_area = 2.64
width = 1250
length = 2500
grade = "mild"
coating = "bare"

[[die]]
name = "33.7 / 120"
tube_od = 33.7
clr = 120
clamp = 90
tail = 60

[saw]
kerf = 3
end_trim = 10

[table]
kerf = 1.5
smallest_hole = 8
can_mark = true

[[u_bolt]]
name = "M8 x 40"
rod = 8
inside_width = 40
leg = 60
thread = 30
nut_height = 6.8
nut_across = 13
washer = 16
washer_thickness = 1.6
torque = 12

[[rivet]]
name = "6.4"
diameter = 6.4
hole = 6.5
grip = [3, 6]
head = 13.4
head_height = 2.7
closed_end = true

[allowances]
fit_up_gap = 0.5
weld_shrinkage = 0.5
trim = 10
bedding = 1.5
isolator = 3
"""

VEHICLE = """\
format = 1
name = "Test wagon"
units = "mm"
datum = "a seam on the middle"
roof_limit = 120

[roof]
reference = "level line"
across = "levelled"

[[roof.station]]
x = 0
crown = 0
half_width = 620
offsets = [300, 600]
drops = [9, 36]

[[roof.station]]
x = 600
crown = 2
half_width = 620
offsets = [300, 600]
drops = [9, 36]

[[roof.station]]
x = 1200
crown = 0
half_width = 620
offsets = [300, 600]
drops = [9, 36]

[mounts.front_left]
kind = "roof"
x = 200
y = -470
zone = [40, 30]
under = "bow"
skin = 0.8

[mounts.front_right]
kind = "roof"
x = 200
y = 470
zone = [40, 30]
under = "bow"
skin = 0.8

[mounts.rear_left]
kind = "rear corner"
x = 1250
y = -558
z = -64
lean = 0
corner_radius = 45
corner = 595
to_shut_line = 68
zone = 12
under = "pillar"
skin = 0.8

[mounts.rear_right]
kind = "rear corner"
x = 1250
y = 558
z = -64
lean = 0
corner_radius = 45
corner = 595
to_shut_line = 68
zone = 12
under = "pillar"
skin = 0.8

[[obstacle]]
name = "aerial"
low = [-150, 260, -15]
high = [-90, 310, 180]
"""

STRAIGHTEDGE = (
    VEHICLE.replace('reference = "level line"', 'reference = "straightedge"\nrests = [0, 1200]\nblocks = 40')
    .replace("crown = 0", "down = 40")
    .replace("crown = 2", "down = 30")
    .replace('across = "levelled"', 'across = "on crown"')
)

RACK = """\
format = 1
units = "mm"
shop = "shed"
vehicle = "wagon"

[basket]
width = 1000
length = 1000
height = 200

[frame]
tube = "33.7 x 2.6 tube"

[mounts]
tilt = "foot"

[clearances]
tube = 25

[[waiver]]
code = "shut-line"
part = "mount.rear_left.strap"
reason = "looked at"
"""


def line_of(text: str, part: str, nth: int = 1) -> int:
    """Return the 1-based line of the nth line that holds a text."""
    found = [number for number, line in enumerate(text.splitlines(), 1) if part in line]
    return found[nth - 1]


def swapped(text: str, old: str, new: str, nth: int = 1) -> str:
    """Return a text with the nth occurrence of a part replaced."""
    parts = text.split(old)
    assert len(parts) > nth, f"{old!r} stands there {len(parts) - 1} times"
    return old.join(parts[:nth]) + new + old.join(parts[nth:])


def saved(folder: Path, text: str | bytes, name: str = "preset.toml") -> Path:
    """Write a preset and return its file."""
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def mistakes_of(read: object, *args: object, **named: object) -> tuple[Mistake, ...]:
    """Return the mistakes that a reading ends in."""
    assert callable(read)
    with pytest.raises(BadInput) as caught:
        read(*args, **named)
    return caught.value.mistakes


def only(mistakes: tuple[Mistake, ...]) -> Mistake:
    """Return the one mistake."""
    assert len(mistakes) == 1, "\n".join(map(str, mistakes))
    return mistakes[0]
