"""Racks with fittings: small files, read through the program's own reader."""

from pathlib import Path

from rackgen.spec.read import Job, read_job
from rackgen.spec.shipped import shipped
from tests.option_racks import FLAT, HIGH, PLAIN, written_job

BASKETS: dict[str, dict[str, str]] = {
    "basket": {"basket": PLAIN},
    "third ring": {"basket": HIGH, "sides": 'mid_rail = "ring"'},
    "tray": {"basket": FLAT + '\nkind = "tray"'},
    "deck": {"basket": FLAT + '\nkind = "deck"'},
}

FITTINGS: dict[str, tuple[str, str]] = {
    "deflector": ("basket", 'kind = "air deflector"'),
    "deflector on a tray, steep": ("tray", 'kind = "air deflector"\ntilt = 40\nabove = 110\nwidth = 700\ntabs = 3'),
    "lamp tabs": ("basket", 'kind = "lamp tabs"'),
    "lamp tabs up on the upper ring": (
        "basket", 'kind = "lamp tabs"\non = "upper ring"\nstand = "up"\nat = [-300, -100, 100, 300]\nside = "rear"'
    ),
    "lamp tab on a side": ("deck", 'kind = "lamp tabs"\nside = "left"\nat = [200]\nhole = 8.5\nlength = 40'),
    "loops": ("basket", 'kind = "tie-down loops"'),
    "loops on the frame": ("tray", 'kind = "tie-down loops"\nside = "right"\nat = [-150, 150]'),
    "loops on a tray's ring": ("tray", 'kind = "tie-down loops"\non = "lower ring"\nside = "front"\nat = [-200, 200]'),
    "loops on a deck's rail": ("deck", 'kind = "tie-down loops"\non = "lower ring"\nside = "left"'),
    "shovel brackets": ("basket", 'kind = "shovel brackets"'),
    "shovel brackets past a third ring": (
        "third ring", 'kind = "shovel brackets"\nside = "left"\nreach = 90\nlip = 60'
    ),
    "awning brackets": ("basket", 'kind = "awning brackets"\nside = "left"'),
    "ladder": ("basket", 'kind = "rear ladder"\nat = 180'),
}  # fmt: skip
"""What stands on which basket, by name."""


DOOR = """[hatch]
hinge = [[1300, -540, -40], [1300, -540, -790]]
outline = [[1295, -520, -30], [1295, -60, -30], [1301.5, -60, -800], [1301.5, -520, -800]]"""
"""A rear door on the left, hinged at its left edge: right of it the rear face is fixed."""


def side_door(folder: Path, asked: Job) -> Job:
    """Read a rack again on the wagon with a rear door on the left in place of its hatch."""
    text = (shipped() / "vehicles" / "boxy-wagon-mm.toml").read_text("utf-8")
    begin = text.index("[hatch]")
    file = folder / "side-door.toml"
    file.write_text(text[:begin] + DOOR + text[text.index("\nthickness", begin) :], "utf-8")
    assert asked.sources.rack is not None
    return read_job(str(asked.sources.rack), shop=str(asked.sources.shop), vehicle=str(file))


def fitting_job(folder: Path, name: str) -> Job:
    """Read a rack with one fitting; a ladder stands beside a rear door."""
    basket, lines = FITTINGS[name]
    asked = fitted_job(folder, basket, lines)
    return side_door(folder, asked) if "ladder" in name else asked


def fitted_job(folder: Path, basket: str, *fittings: str) -> Job:
    """Read a rack with some fittings, each as its lines."""
    tables = dict(BASKETS[basket])
    last = list(tables)[-1]
    tables[last] += "".join(f"\n\n[[fitting]]\n{lines}" for lines in fittings)
    return written_job(folder, tables)
