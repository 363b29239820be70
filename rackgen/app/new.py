"""What `rackgen new` does: a handful of questions or options in, a rack file out that builds as it stands."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, TypeVar, cast

import click

from rackgen.app.new_text import Written, new_text, size
from rackgen.app.new_wish import LOADS, Load, Sizes, offers, pick, wish
from rackgen.design.plan import plan
from rackgen.errors import BadInput, LengthError, Mistake
from rackgen.spec.document import written
from rackgen.spec.fields import Reading, Refused, Words, is_name
from rackgen.spec.find import Kind, given_file, presets
from rackgen.spec.foot_place import FootKind
from rackgen.spec.frames import FrameKind
from rackgen.spec.limits import TEXT
from rackgen.spec.read import read_job, read_shop, read_vehicle
from rackgen.spec.tops import BasketKind, FloorKind
from rackgen.units import Unit, read_length

if TYPE_CHECKING:
    from rackgen.made import Design

T = TypeVar("T")
LONGEST = 8_000.0
SMALLEST = 200.0
LOWEST = 40.0
"""Bounds of a size, mm."""


THERE = "it is there already, and nothing is written over; name another"

TITLES: Mapping[BasketKind, str] = {"basket": "Basket", "tray": "Tray", "deck": "Deck", "bars": "Bars"}


@dataclass(frozen=True)
class Asked:
    """What was typed; None for what was not.

    Attributes:
        file: to write.
        vehicle: file or preset.
        shop: file or preset.
        carries: what it is for.
        width: outside.
        length: outside.
        height: of a basket, or of a bed frame over its rails.
        frame: a kind of frame.
        mounts: what its feet stand on.
        top: what lies on it.
        floor: what the floor is.
        title: shown on sheets.
    """

    file: Path
    vehicle: str | None = None
    shop: str | None = None
    carries: str | None = None
    width: str | None = None
    length: str | None = None
    height: str | None = None
    frame: str | None = None
    mounts: str | None = None
    top: str | None = None
    floor: str | None = None
    title: str | None = None

    @property
    def bare(self) -> bool:
        """Whether nothing but the file was named, so that questions are asked."""
        return self == Asked(self.file)


def ask(asked: Asked) -> Asked:
    """Return what was answered to the questions, one at a time; Enter takes what stands in brackets.

    Raises:
        BadInput: a file named in an answer is wrong.
        click.Abort: the answers ended before the questions did.
    """
    known = presets()
    vehicle = _chosen("Vehicle", [(p.name, p.title) for p in known if p.kind == "vehicle"])
    shop = _chosen("Shop", [(p.name, p.title) for p in known if p.kind == "shop"])
    carries = _chosen("What it carries", list(LOADS.items()))
    found = replace(asked, vehicle=vehicle, shop=shop, carries=carries)
    stands = read_vehicle(given_file("vehicle", vehicle, asked.file))
    own = read_shop(given_file("shop", shop, asked.file))
    usual, _ = pick(stands, cast("Load", carries), None, None, None)
    kinds = list(dict.fromkeys(o.frame for o in offers(stands)))
    if len(kinds) > 1:
        frame = click.prompt("Frame", type=click.Choice(kinds), default=usual.frame, err=True)
        found = replace(found, frame=str(frame))
    offer, top = pick(stands, cast("Load", carries), cast("FrameKind | None", found.frame), None, None)
    if offer.frame == "bows":
        return found
    spec, _ = wish("new", "new", (shop, own), (vehicle, stands), offer, top, cast("Load", carries), None, Sizes())
    of = spec.basket
    bars = top == "bars"
    for key, now in (
        ("width", None if bars else of.width),
        ("length", None if bars else of.length),
        ("height", spec.frame.height or (of.height if top == "basket" else None)),
    ):
        if now is None and (key == "height" or not bars):
            continue
        shown = "as the feet stand" if now is None else size(now, own.unit).strip('"')
        answer = click.prompt(f"{key.capitalize()}, {own.unit}", default=shown, err=True)
        if answer != shown:
            found = replace(found, **{key: str(answer)})
    return found


def _chosen(question: str, known: list[tuple[str, str]]) -> str:
    """Return the answer to a question with a list, by its number or in its own words."""
    for n, (name, words) in enumerate(known, 1):
        click.echo(f"  {n:2}  {name:22} {words}", err=True)
    answer = str(click.prompt(f"{question}, number or name", err=True)).strip()
    if answer.isdigit() and 1 <= int(answer) <= len(known):
        return known[int(answer) - 1][0]
    return answer


def make_new(asked: Asked, *, rated: bool = False) -> tuple[str, Design]:
    """Return the text of a new rack file, and the rack that it gives, designed and checked.

    Args:
        asked: what is wanted.
        rated: whether it is also reckoned how much it carries, which takes a second or two.

    Raises:
        BadInput: every mistake in what was typed and in the files it names, or what is asked for cannot be.
    """
    from rackgen import job

    wrong: list[Mistake] = []
    name = asked.file.stem
    if asked.file.suffix != ".toml" or not is_name(name):
        wrong.append(_mistake("FILE", "name a file by letters, digits, - and _, ending in .toml", str(asked.file)))
    elif os.path.lexists(asked.file):
        wrong.append(_mistake("FILE", THERE, str(asked.file)))
    shop = _opened(wrong, asked.file, "shop", asked.shop, read_shop)
    vehicle = _opened(wrong, asked.file, "vehicle", asked.vehicle, read_vehicle)
    if asked.carries is None:
        wrong.append(_mistake("--carries", f"say what it carries: {', '.join(LOADS)}"))
    elif asked.carries not in LOADS:
        wrong.append(_mistake("--carries", f"write one of {', '.join(LOADS)}", asked.carries))
    said = _titled(wrong, asked.title)
    unit = shop[2].unit if shop else "mm"
    sizes = Sizes(*(_size(wrong, key, getattr(asked, key), unit) for key in ("width", "length", "height")))
    if wrong or shop is None or vehicle is None or asked.carries is None:
        raise BadInput(wrong)
    load = cast("Load", asked.carries)
    offer, top = pick(
        vehicle[2], load, cast("FrameKind | None", asked.frame), cast("FootKind | None", asked.mounts),
        cast("BasketKind | None", asked.top),
    )  # fmt: skip
    title = said or f"{TITLES[top]} for {load} on the {_lower(vehicle[2].name)}"
    floor = cast("FloorKind | None", asked.floor)
    try:
        spec, choice = wish(name, title, (shop[0], shop[2]), (vehicle[0], vehicle[2]), offer, top, load, floor, sizes)
        sized, _ = plan(spec, shop[2], vehicle[2], choice)
    except BadInput as refusal:
        raise BadInput(_as_typed(m) for m in refusal.mistakes) from refusal
    schema = (asked.file.absolute().parent.parent / "schemas" / "rack.schema.json").is_file()
    words = LOADS[load]
    text = new_text(Written(spec, choice, sized, shop[2], vehicle[2].name, words, schema))
    with TemporaryDirectory() as folder:
        trial = Path(folder) / asked.file.name
        trial.write_text(text, "utf-8")
        try:
            found = job.design(read_job(trial, shop=shop[1], vehicle=vehicle[1]))
        except BadInput as refusal:
            raise BadInput(_as_typed(m) for m in refusal.mistakes) from refusal
    return text, job.checked(job.strong(found) if rated else found)


def write_new(text: str, file: Path) -> None:
    """Write a new file; never over one that is there.

    Raises:
        BadInput: it is there by now, or the system refuses to write.
    """
    try:
        file.absolute().parent.mkdir(parents=True, exist_ok=True)
        with file.open("x", encoding="utf-8", newline="\n") as new:
            new.write(text)
    except FileExistsError:
        raise BadInput([_mistake("FILE", THERE, str(file))]) from None
    except OSError as error:
        raise BadInput([_mistake("FILE", f"it cannot be written: {error.strerror or error}", str(file))]) from error


def _opened(
    wrong: list[Mistake], file: Path, kind: Kind, given: str | None, read: Callable[[Path], T]
) -> tuple[str, Path, T] | None:
    """Return the name by which a new file names its shop or vehicle, that one's file, and its record."""
    if given is None:
        known = ", ".join(p.name for p in presets() if p.kind == kind)
        wrong.append(_mistake(f"--{kind}", f"name a {kind}'s file or a preset: {known}"))
        return None
    try:
        path = given_file(kind, given, file)
        found = read(path)
    except BadInput as error:
        wrong.extend(error.mistakes)
        return None
    try:
        there = given_file(kind, path.stem, file)
    except BadInput:
        there = None
    if there is None or not there.exists() or not there.samefile(path):
        wanted = f"{file.name} will name it by its name alone: write it beside it, or into `racks` beside its folder"
        wrong.append(_mistake(f"--{kind}", wanted, given))
        return None
    return path.stem, path, found


def _titled(wrong: list[Mistake], text: str | None) -> str | None:
    """Return a title as a rack file may hold it; None where none was typed, or it is wrong."""
    if text is None:
        return None
    try:
        title = Words("").read(text, Reading(None))
    except Refused as refused:
        wrong.append(_mistake("--title", refused.wanted, written(text)))
        return None
    if len(title) > TEXT:
        wrong.append(_mistake("--title", f"a text has at most {TEXT} characters", written(text)))
    return title


def _size(wrong: list[Mistake], key: str, text: str | None, unit: Unit) -> float | None:
    if text is None:
        return None
    try:
        mm = read_length(text, unit)
    except LengthError as error:
        wrong.append(_mistake(f"--{key}", str(error), text))
        return None
    low = LOWEST if key == "height" else SMALLEST
    if not low <= mm <= LONGEST:
        says = Reading(unit).says
        wrong.append(_mistake(f"--{key}", f"write a length from {says(low)} to {says(LONGEST)}", text))
        return None
    return mm


def _lower(name: str) -> str:
    """Return a vehicle's name within a sentence: its first letter small unless more of its first word is large."""
    return name[:1].lower() + name[1:] if name[1:2].islower() else name


def _as_typed(mistake: Mistake) -> Mistake:
    """Return a mistake in a file that is not there yet, without its file and line."""
    return replace(mistake, file="rackgen new", line=0)


def _mistake(option: str, wanted: str, read: str = "") -> Mistake:
    return Mistake("rackgen new", option, 0, read, wanted)
