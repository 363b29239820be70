"""The commands by which a vehicle gets into the program: a sheet to measure with, its table, a scan."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import click

from rackgen.app.printing import say
from rackgen.app.refusals import refusals


@click.command()
@click.option("--pdf", required=True, metavar="FILE", type=click.Path(path_type=Path), help="The sheet to print.")
@click.option("--csv", "table", metavar="FILE", type=click.Path(path_type=Path),
              help="The table to fill in afterwards; beside the sheet, by its name, if left out.")  # fmt: skip
@click.option("--paper", type=click.Choice(("A4", "letter")), default="A4", show_default=True)
@click.option("--units", type=click.Choice(("mm", "in")), default="mm", show_default=True)
@click.option("--stations", type=click.IntRange(2, 20), default=5, show_default=True, help="Lines across the roof.")
@click.option("--offsets", type=click.IntRange(1, 8), default=3, show_default=True, help="Readings to each side.")
@click.option("--mounts", type=click.IntRange(1, 4), default=1, show_default=True, help="On the roof, to each side.")
@click.option("--foot", "feet", type=click.Choice(("gutter", "threads", "track", "bed rail")), multiple=True,
              help="A pair of places on it; given twice, two pairs.")  # fmt: skip
@click.option("--heights", type=click.Choice(("level-line", "straightedge")), default="level-line", show_default=True,
              help="What heights fore and aft are read against.")  # fmt: skip
@click.option("--bar", type=click.Choice(("levelled", "on-crown")), default="levelled", show_default=True,
              help="Whether the bar across is levelled, or lies on the crown.")  # fmt: skip
@click.option("--alike", is_flag=True, help="Both sides of the roof are alike: read one.")
def measure(pdf: Path, table: Path | None, paper: Literal["A4", "letter"], units: Literal["mm", "in"], stations: int,
            offsets: int, mounts: int, feet: tuple[Literal["gutter", "threads", "track", "bed rail"], ...],
            heights: str, bar: str, alike: bool) -> None:  # fmt: skip
    """Write the sheet a vehicle is measured with, and its table to fill in."""
    from rackgen.app.measuring import write_form
    from rackgen.spec.measuring_form import Form

    form = Form(units, stations, offsets, mounts, heights == "straightedge", bar == "levelled", alike, feet)
    with refusals():
        for path in write_form(form, pdf, table, paper):
            say(str(path))


@click.command()
@click.argument("readings", metavar="CSV", type=click.Path(path_type=Path))
@click.option("--out", required=True, metavar="FILE", type=click.Path(path_type=Path), help="The vehicle file.")
def vehicle(readings: Path, out: Path) -> None:
    """Turn the filled table of a measuring sheet into a vehicle file, and say what was not read and what that costs."""
    from rackgen.app.measuring import write_vehicle

    with refusals():
        costs = write_vehicle(readings, out)
    for cost in costs:
        say(cost)
    say(str(out))


@click.command()
@click.argument("file", metavar="FILE", type=click.Path(path_type=Path))
@click.option("--unit", type=click.Choice(("mm", "cm", "m", "in", "ft")), help="Of the scan's numbers; never guessed.")
@click.option("--landmarks", metavar="FILE", type=click.Path(path_type=Path),
              help="CSV of three or more points found on both: name,scan_x,scan_y,scan_z,x,y,z.")  # fmt: skip
@click.option("--frame", metavar="NUMBERS", help='Or the datum, aft and up, as the scan has them: "0,0,0 1,0,0 0,0,1".')
@click.option("--write", type=click.Choice(("mm", "in")), help="Of the stations, and of bare places on the vehicle.")
@click.option("--vehicle", metavar="FILE", type=click.Path(path_type=Path),
              help="Vehicle file to take all but the roof from.")  # fmt: skip
@click.option("--from", "first", metavar="X", help="Where the roof begins; where it falls away, if left out.")
@click.option("--to", "last", metavar="X", help="Where it ends.")
@click.option("--out", required=True, metavar="FILE", type=click.Path(path_type=Path), help="TOML file to write.")
def scan(file: Path, unit: Literal["mm", "cm", "m", "in", "ft"] | None, landmarks: Path | None, frame: str | None,
         write: Literal["mm", "in"] | None, vehicle: Path | None, first: str | None, last: str | None,
         out: Path) -> None:  # fmt: skip
    """Read the roof out of a scan, points or mesh, and write it as the stations of a vehicle file."""
    from rackgen.app.scan import Asked, scan_to_roof

    with refusals():
        told = scan_to_roof(Asked(file, unit, landmarks, frame, write, vehicle, first, last, out))
    say(told, line=False)
