"""The command line: build, check, one sheet, the presets, the schemas. Exit 0 clean, 1 stops found, 2 bad input."""

from __future__ import annotations

import sys
from collections.abc import Callable, Generator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Literal, TypeVar

import click

from rackgen import __version__
from rackgen.app.printing import complain, say
from rackgen.app.refusals import refusals
from rackgen.app.roof_commands import measure, scan, vehicle
from rackgen.errors import Level

if TYPE_CHECKING:
    from rackgen.sheets.stamp import Stamp
    from rackgen.sheets.table import Table

F = TypeVar("F", bound=Callable[..., None])

SHEETS = (
    "cut-list",
    "sticks",
    "nest",
    "mesh",
    "test-bend",
    "test-strip",
    "bends",
    "folds",
    "hole-saw",
    "fit-up",
    "welds",
    "weights",
    "strength",
    "coating",
    "bill",
    "cost",
    "quotation",
    "installation",
    "seats",
    "gaps",
    "clearances",
    "findings",
    "cautions",
)
NEED_CHECK = ("gaps", "clearances", "findings")
NEED_STRENGTH = ("strength",)

INTERRUPTED = 130
"""Exit code after Ctrl-C, as shells give it: 128 and the number of the signal."""


def _asked(command: F) -> F:
    """Add the argument and options that say which rack is meant."""
    command = click.option("--vehicle", metavar="FILE", help="Vehicle file or preset, instead of the rack's own.")(
        command
    )
    command = click.option("--shop", metavar="FILE", help="Shop file or preset, instead of the rack's own.")(command)
    return click.argument("rack", metavar="RACK")(command)


def _layout(command: F) -> F:
    """Add the option that takes a kept layout."""
    return click.option("--layout", metavar="FILE", help="Kept layout of the plate, from `rackgen nest --keep`.")(
        command
    )


class _Program(click.Group):
    """The group of all commands; an interrupted one does not end with 1, which would say that a stop was found."""

    def invoke(self, ctx: click.Context) -> object:
        try:
            return super().invoke(ctx)
        except KeyboardInterrupt:
            pass
        except ImportError as error:
            # What loads the CAD kernel says Ctrl-C in its own way.
            if not isinstance(error.__cause__, KeyboardInterrupt):
                raise
        complain("interrupted")
        sys.exit(INTERRUPTED)


@click.group(cls=_Program, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="rackgen")
def main() -> None:
    """Roof racks and cargo baskets: three small files in, a whole rack out.

    RACK is a rack file, or the name of a preset that comes with rackgen.
    """


main.add_command(measure)
main.add_command(vehicle)
main.add_command(scan)


@main.command()
@_asked
@click.option("--out", default="out", show_default=True, type=click.Path(path_type=Path), help="Folder for the pack.")
@_layout
@click.option("--kerf-drawn", is_flag=True, help="Also write sheets' cutting files with the table's kerf drawn in.")
@click.option("--paper", type=click.Choice(("A4", "letter")), help="What the pages are printed on, if not the shop's.")
@click.option("--gains", is_flag=True, help="Also try what would let it carry more, for the pages on that.")
def build(
    rack: str,
    shop: str | None,
    vehicle: str | None,
    out: Path,
    layout: str | None,
    kerf_drawn: bool,
    paper: Literal["A4", "letter"] | None,
    gains: bool,
) -> None:
    """Make the pack: solids, flat blanks, wraps, every sheet, pages to print, check, pictures."""
    from rackgen import job
    from rackgen.spec.read import read_job, read_layout

    with refusals():
        kept = None if layout is None else read_layout(layout)
        made = job.checked(job.strong(job.design(read_job(rack, shop=shop, vehicle=vehicle))))
        made = replace(made, layout=kept, kerf_drawn=kerf_drawn, paper=paper)
        with _progress() as said:
            if gains:
                from rackgen.app.strength import with_gains

                made = with_gains(made, 1, said)
            count, missing = job.build(made, out, said)
    for text in missing:
        complain(text)
    _report(made)
    say(f"{count} files in {out / made.job.spec.name}")
    sys.exit(0 if made.cleared else 1)


@main.command()
@_asked
@click.option("--strength", "rated", is_flag=True, help="Also reckon how much it carries.")
def check(rack: str, shop: str | None, vehicle: str | None, rated: bool) -> None:
    """Check fit, clearance and making, without writing anything."""
    from rackgen import job
    from rackgen.spec.read import read_job

    with refusals():
        made = job.design(read_job(rack, shop=shop, vehicle=vehicle))
        made = job.checked(job.strong(made) if rated else made)
    _report(made)
    if made.strength is not None:
        from rackgen.app.strength import ratings_text

        say(ratings_text(made.strength, made.job.shop.unit), line=False)
    sys.exit(0 if made.cleared else 1)


@main.command()
@_asked
@click.option("--gains", "at_once", type=click.IntRange(0, 2), default=0, is_flag=False, flag_value=1, metavar="[N]",
              help="Also try what would help most: every change by itself, or with 2 up to 100 pairs too.")  # fmt: skip
@click.option("--as", "form", type=click.Choice(("text", "csv", "json")), default="text", show_default=True)
def strength(rack: str, shop: str | None, vehicle: str | None, at_once: int, form: str) -> None:
    """Print how much it carries, moving and parked, what sets that, and what the figure is not.

    Ends with 1 also where there is no rating, or one of nothing.
    """
    from rackgen import job, paper
    from rackgen.app.strength import carries, with_gains
    from rackgen.spec.read import read_job

    with refusals():
        made = job.strong(job.design(read_job(rack, shop=shop, vehicle=vehicle)))
        with _progress() as said:
            made = with_gains(made, at_once, said)
        table, text, record = paper.strength(made)
    _show(form, "strength", table, text, record, made.stamp)
    sys.exit(0 if made.cleared and carries(made) else 1)


@main.command()
@_asked
@click.argument("name", metavar="SHEET", type=click.Choice(SHEETS))
@click.option("--as", "form", type=click.Choice(("text", "csv", "json")), default="text", show_default=True)
def sheet(rack: str, shop: str | None, vehicle: str | None, name: str, form: str) -> None:
    """Print one sheet."""
    from rackgen import job, paper
    from rackgen.spec.read import read_job

    with refusals():
        made = job.design(read_job(rack, shop=shop, vehicle=vehicle))
        if name in NEED_STRENGTH:
            made = job.strong(made)
        if name in NEED_CHECK:
            made = job.checked(made)
        table, text, record = paper.SHEETS[name](made)
    _show(form, name, table, text, record, made.stamp)
    sys.exit(0 if made.cleared else 1)


@main.command()
@_asked
@click.option("--as", "form", type=click.Choice(("text", "csv", "json")), default="text", show_default=True)
def fit(rack: str, shop: str | None, vehicle: str | None, form: str) -> None:
    """Print how far every joint may stand open, what drives it, and which to leave for the dry fit."""
    from rackgen import job
    from rackgen.design.settle import bench
    from rackgen.design.tolerance import study
    from rackgen.export.text import table_text
    from rackgen.sheets.fit_rows import fit_table
    from rackgen.sheets.fit_station import fit_words
    from rackgen.spec.read import read_job

    with refusals():
        made = job.design(read_job(rack, shop=shop, vehicle=vehicle))
    own = made.job.shop
    found = study(bench(made.rack, made.job.vehicle, own.isolator), own.spread)
    table = fit_table(made.rack, found, own.unit)
    _show(form, "fit", table, table_text(fit_words(made.rack, found, own.unit)), found, made.stamp)
    sys.exit(0 if made.cleared else 1)


@main.command()
@_asked
@click.option("--against", required=True, metavar="RACK", help="The rack as it was: file or preset.")
@click.option("--against-shop", metavar="FILE", help="The shop that made it, instead of that rack's own.")
def changes(rack: str, shop: str | None, vehicle: str | None, against: str, against_shop: str | None) -> None:
    """Print which marks and cuts to redo, and which to keep, when a rack or its shop has changed."""
    from rackgen import job
    from rackgen.export.text import stamped, table_text
    from rackgen.parts.compare import compare
    from rackgen.sheets.changes import changes_table
    from rackgen.spec.read import read_job

    with refusals():
        before = job.design(read_job(against, shop=against_shop, vehicle=vehicle))
        made = job.design(read_job(rack, shop=shop, vehicle=vehicle))
    table = changes_table(compare(before.rack, made.rack), made.job.shop.unit)
    against_line = f"against {before.stamp.rack}, revision {before.stamp.revision}\n"
    say(stamped(made.stamp, against_line, table_text(table)), line=False)
    sys.exit(0 if made.cleared else 1)


@main.command()
@_asked
@click.option("--have", metavar="FILE", help="What is at hand, as [[remnant]] tables; the shop's own when left out.")
@click.option("--as", "form", type=click.Choice(("text", "csv", "json")), default="text", show_default=True)
def offcuts(rack: str, shop: str | None, vehicle: str | None, have: str | None, form: str) -> None:
    """Print what of a rack's cut list comes out of offcuts alone, with nothing bought."""
    from rackgen import job, paper
    from rackgen.spec.read import read_job, read_offcuts

    with refusals():
        asked = read_job(rack, shop=shop, vehicle=vehicle)
        remnants = asked.shop.remnants if have is None else read_offcuts(have, asked.shop)
        made = job.design(asked)
        table, text, record = paper.on_sticks(made, remnants, fresh=False)
    _show(form, "offcuts", table, text, record, made.stamp)
    sys.exit(0 if made.cleared else 1)


@main.command()
@_asked
@_layout
@click.option("--tighter", is_flag=True, help="Seek a tighter nest by the pieces' shapes; keep it, it never repeats.")
@click.option(
    "--seconds", default=20, show_default=True, type=click.IntRange(1, 3600), help="For each sheet so sought."
)
@click.option("--keep", metavar="FILE", type=click.Path(path_type=Path), help="Keep the layout for `build --layout`.")
@click.option("--as", "form", type=click.Choice(("text", "csv", "json")), default="text", show_default=True)
def nest(
    rack: str,
    shop: str | None,
    vehicle: str | None,
    layout: str | None,
    tighter: bool,
    seconds: int,
    keep: Path | None,
    form: str,
) -> None:
    """Print where every piece of plate lies on its sheet, and keep that layout when asked."""
    from rackgen import job
    from rackgen.app.nest import nest_sheet
    from rackgen.spec.read import read_job, read_layout

    if tighter and layout is not None:
        raise click.UsageError("--tighter makes a new layout and --layout takes a kept one: give one of them")
    with refusals():
        kept = None if layout is None else read_layout(layout)
        made = replace(job.design(read_job(rack, shop=shop, vehicle=vehicle)), layout=kept)
        with _progress() as said:
            found = nest_sheet(made, seconds if tighter else None, keep, said)
    _show(form, "nest", found.table, found.text, found.nest, made.stamp)
    for text in found.said:
        complain(text)
    sys.exit(0 if made.cleared and not found.stopped else 1)


@main.command()
@click.option(
    "--width", metavar="LENGTH", help='Basket, outside: "1040 mm", "41 in"; bare numbers in the shop\'s unit.'
)
@click.option("--length", metavar="LENGTH", help="Basket, outside.")
@click.option("--height", metavar="LENGTH", help="Underside of the lower ring to the top of the upper.")
@click.option("--tube", metavar="TUBE", help='Of rings and frame: its name on the shelf, or "33.7 x 2.6".')
@click.option(
    "--shop", metavar="FILE", help="Shop file or preset; the first shipped one that has the tube if left out."
)
@click.option("--vehicle", metavar="FILE", help="Vehicle file or preset; a plain flat roof if left out.")
@click.option(
    "--quantity", type=int, metavar="N", help="Racks alike made in one go; the shop's own number if left out."
)
@click.option("--as", "form", type=click.Choice(("text", "json")), default="text", show_default=True)
def quote(width: str | None, length: str | None, height: str | None, tube: str | None, shop: str | None,
          vehicle: str | None, quantity: int | None, form: str) -> None:  # fmt: skip
    """Print price, weight and material of a rack from its width, length, height and tube alone."""
    from rackgen.app.quote import Asked, quick_quote, quote_text
    from rackgen.export.tables import json_bytes
    from rackgen.export.text import stamped

    with refusals():
        found, made = quick_quote(Asked(width, length, height, tube, shop, vehicle, quantity))
    if form == "json":
        say(json_bytes("quote", found, made.stamp), line=False)
    else:
        say(stamped(made.stamp, quote_text(found, made.job.shop.unit)), line=False)
    sys.exit(0 if made.cleared else 1)


@main.command()
@click.argument("file", metavar="FILE", type=click.Path(path_type=Path))
@click.option("--vehicle", metavar="FILE", help="Vehicle file or preset.")
@click.option("--shop", metavar="FILE", help="Shop file or preset.")
@click.option("--carries", type=click.Choice(("gear", "crates", "tent", "ladders", "boats")), help="What it is for.")
@click.option("--width", metavar="LENGTH", help="Outside; as the vehicle's mounts suit it if left out.")
@click.option("--length", metavar="LENGTH", help="Outside; as far as the mounts reach if left out.")
@click.option("--height", metavar="LENGTH", help="Of a basket; of a bed frame, over the bed's rails.")
@click.option(
    "--frame", type=click.Choice(("hoop", "ladder", "bows", "bed")), help="As the vehicle suits it if left out."
)
@click.option("--mounts", type=click.Choice(("roof", "gutter", "threads", "track", "bed rail")),
              help="What its feet stand on; what the vehicle has if left out.")  # fmt: skip
@click.option("--top", type=click.Choice(("basket", "tray", "deck", "bars")), help="By what it carries if left out.")
@click.option("--floor", type=click.Choice(("expanded metal", "perforated sheet", "slats", "none")),
              help="By what lies on it and what the shop has if left out.")  # fmt: skip
@click.option("--title", metavar="TEXT", help="Shown on sheets.")
def new(file: Path, vehicle: str | None, shop: str | None, carries: str | None, width: str | None, length: str | None,
        height: str | None, frame: str | None, mounts: str | None, top: str | None, floor: str | None,
        title: str | None) -> None:  # fmt: skip
    """Write a new rack file with comments, that builds as it stands; without options, questions are asked.

    FILE is never written over.
    """
    from rackgen.app.new import Asked, ask, make_new, write_new
    from rackgen.app.strength import ratings_text

    with refusals():
        asked = Asked(file, vehicle, shop, carries, width, length, height, frame, mounts, top, floor, title)
        try:
            asked = ask(asked) if asked.bare else asked
        except click.Abort as end:
            broken = isinstance(end.__context__, KeyboardInterrupt)
            complain("interrupted" if broken else "the questions were not answered to the end; nothing was written")
            sys.exit(INTERRUPTED if broken else 2)
        text, made = make_new(asked, rated=True)
        write_new(text, file)
    _report(made)
    if made.strength is not None:
        say(ratings_text(made.strength, made.job.shop.unit))
    say(str(file))
    sys.exit(0 if made.cleared else 1)


@main.command()
def presets() -> None:
    """List the shops, vehicles and racks that come with rackgen."""
    from rackgen.spec.find import presets as listed

    with refusals():
        for preset in listed():
            say(f"{preset.kind:8} {preset.name:24} {preset.title}".rstrip())


@main.command()
@click.argument("folder", type=click.Path(path_type=Path))
def schemas(folder: Path) -> None:
    """Write the JSON Schema of each kind of preset into FOLDER, for editors that complete TOML."""
    from rackgen.export.single import write_single
    from rackgen.spec.schema import schema_files

    with refusals():
        for path in write_single(folder, schema_files()):
            say(str(path))


def _show(form: str, name: str, table: Table | None, text: str, record: object, stamp: Stamp) -> None:
    """Print a sheet as text, csv or json.

    Raises:
        click.UsageError: csv is asked of running text.
    """
    from rackgen.export.tables import csv_bytes, json_bytes
    from rackgen.export.text import stamped

    if form == "json":
        say(json_bytes(name, record, stamp), line=False)
    elif form == "csv" and table is not None:
        say(csv_bytes(table, stamp), line=False)
    elif form == "csv":
        raise click.UsageError(f"{name} is running text; print it as text or json")
    else:
        say(stamped(stamp, text), line=False)


@contextmanager
def _progress() -> Generator[Callable[[str], None]]:
    """Show what is being made while a person watches; stay quiet otherwise."""
    if not sys.stderr.isatty():
        yield lambda text: None
        return
    from rich.console import Console

    with Console(stderr=True).status("reading") as status:
        yield lambda text: status.update(f"making {text}")


def _report(made: object) -> None:
    from rackgen.export.text import findings_text
    from rackgen.made import Design

    assert isinstance(made, Design)
    say("\n".join(made.stamp.lines))
    counts = {level: sum(f.level is level for f in made.findings) for level in reversed(Level)}
    say(", ".join(f"{n} {level}" for level, n in counts.items()))
    if made.findings:
        say()
        say(findings_text(made.findings), line=False)
        say()


if __name__ == "__main__":
    main()
