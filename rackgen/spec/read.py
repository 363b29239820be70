"""Preset files in, frozen records out; or every mistake in every file at once."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType
from typing import TypeVar

from rackgen.errors import BadInput, Mistake
from rackgen.spec.document import Document, open_document
from rackgen.spec.fields import Table, is_name
from rackgen.spec.find import Kind, given_file, named_file
from rackgen.spec.layout import SheetLayout
from rackgen.spec.offcuts_file import OffcutsFile, across_offcuts
from rackgen.spec.places import Path as KeyPath
from rackgen.spec.rack import RackSpec
from rackgen.spec.rack_file import RackFile, across_rack, unknown_stock
from rackgen.spec.shape import keys
from rackgen.spec.shop import Remnant, Shop
from rackgen.spec.shop_across import across_shop
from rackgen.spec.shop_file import ShopFile
from rackgen.spec.validate import Across, validated
from rackgen.spec.vehicle import Vehicle
from rackgen.spec.vehicle_file import VehicleFile, across_vehicle

FILES: Mapping[Kind, type[Table]] = MappingProxyType({"shop": ShopFile, "vehicle": VehicleFile, "rack": RackFile})
"""What a whole file of each kind should be."""

T = TypeVar("T", bound=Table)
R = TypeVar("R")


@dataclass(frozen=True)
class Sources:
    """The files that a job was read from; None for what no file says."""

    rack: Path | None
    shop: Path
    vehicle: Path | None


@dataclass(frozen=True)
class Job:
    """Everything that is asked for, read and found right.

    Attributes:
        spec: the rack; its `shop` and `vehicle` name what was used.
        shop: the shop.
        vehicle: the vehicle.
        sources: the files.
    """

    spec: RackSpec
    shop: Shop
    vehicle: Vehicle
    sources: Sources


def read_shop(path: str | Path) -> Shop:
    """Return a shop from its file, or from the shipped preset of that name.

    Raises:
        BadInput: every mistake in the file.
    """
    return _shop(opened("shop", given_file("shop", path)))


def read_vehicle(path: str | Path) -> Vehicle:
    """Return a vehicle from its file, or from the shipped preset of that name.

    Raises:
        BadInput: every mistake in the file.
    """
    return vehicle_of(opened("vehicle", given_file("vehicle", path)))


def read_rack(path: str | Path) -> RackSpec:
    """Return a rack from its file, or from the shipped preset of that name; its shop and vehicle are not opened.

    Raises:
        BadInput: every mistake in the file.
    """
    return _rack(opened("rack", given_file("rack", path)))


def read_offcuts(path: str | Path, shop: Shop) -> tuple[Remnant, ...]:
    """Return the offcuts at hand from their file.

    Args:
        path: the file.
        shop: whose stock they are of.

    Raises:
        BadInput: every mistake in the file.
    """
    return _tables(open_document(Path(path), str(path)), OffcutsFile, across_offcuts(shop)).record()


def read_layout(path: str | Path) -> SheetLayout:
    """Return a kept layout from its file.

    Raises:
        BadInput: every mistake in the file.
    """
    from rackgen.spec.layout_file import LayoutFile, across_layout

    document = open_document(Path(path), str(path))
    return _tables(document, LayoutFile, across_layout).record(document)


def read_job(rack: str | Path, *, shop: str | Path | None = None, vehicle: str | Path | None = None) -> Job:
    """Return a rack with its shop and its vehicle.

    Args:
        rack: a rack file, or the name of a shipped rack.
        shop: a shop file or preset to use instead of the one that the rack file names.
        vehicle: the same for the vehicle.

    Raises:
        BadInput: every mistake in all three files, and what the rack asks for that the shop does not have.
    """
    wrong: list[Mistake] = []

    def tried(read: Callable[[], R]) -> R | None:
        try:
            return read()
        except BadInput as error:
            wrong.extend(error.mistakes)
            return None

    asked = tried(lambda: opened("rack", given_file("rack", rack)))
    spec = tried(lambda: _rack(asked)) if asked else None
    shop_path = tried(lambda: _partner("shop", shop, asked))
    vehicle_path = tried(lambda: _partner("vehicle", vehicle, asked))
    the_shop = tried(lambda: _shop(opened("shop", shop_path))) if shop_path else None
    the_vehicle = tried(lambda: vehicle_of(opened("vehicle", vehicle_path))) if vehicle_path else None
    if asked and the_shop:
        wrong.extend(unknown_stock(asked, the_shop))
    if wrong or not (asked and spec and shop_path and vehicle_path and the_shop and the_vehicle):
        raise BadInput(wrong)
    spec = replace(spec, shop=shop_path.stem, vehicle=vehicle_path.stem)
    return Job(spec, the_shop, the_vehicle, Sources(asked.path, shop_path, vehicle_path))


def located(job: Job, refusal: BadInput) -> BadInput:
    """Return a refusal of what a job asks for, each mistake at its file and line.

    Args:
        job: as it was read.
        refusal: its mistakes name the rack, the vehicle, or `shop` and the shop, and a key in the file.
    """
    files = {
        job.vehicle.name: job.sources.vehicle,
        f"shop {job.shop.name}": job.sources.shop,
        job.spec.name: job.sources.rack,
    }

    def there(mistake: Mistake) -> Mistake:
        path = files.get(mistake.file)
        if path is None:
            return mistake
        return open_document(path, str(path)).mistake(_path(mistake.key), mistake.wanted, mistake.read)

    return BadInput(there(mistake) for mistake in refusal.mistakes)


def _path(key: str) -> KeyPath:
    """Return a key as a path: entries of lists, which are written from 1, by their place from 0."""
    steps: list[str | int] = []
    for step in key.split("."):
        entry = re.fullmatch(r"(.+)\[(\d+)\]", step)
        steps += [step] if entry is None else [entry.group(1), int(entry.group(2)) - 1]
    return tuple(steps)


def _partner(kind: Kind, given: str | Path | None, rack: Document | None) -> Path | None:
    """Return the file of the rack's shop or vehicle; None when the rack's own mistakes leave it open."""
    if given is not None:
        return given_file(kind, given, rack.path if rack else None)
    name = rack.get((kind,)) if rack else None
    if rack is None or not isinstance(name, str) or not is_name(name):
        return None
    return named_file(kind, rack)


def opened(kind: Kind, path: Path) -> Document:
    """Return a parsed file that is at least of the kind that is wanted; numbers without end are left to validation.

    Raises:
        BadInput: it cannot be read, or it is a file of another kind.
    """
    document = open_document(path, str(path), endless=True)
    stated = set(document.data)
    if not stated & _own(kind):
        for other in FILES:
            if stated & _own(other):
                raise BadInput([document.mistake((), f"this is a {other}'s file; a {kind}'s file is wanted here")])
    return document


def _own(kind: Kind) -> set[str]:
    """Return the keys at the top of a file that no other kind of file has."""
    others = {key for other, file in FILES.items() if other != kind for key in keys(file)}
    return set(keys(FILES[kind])) - others


def vehicle_of(document: Document) -> Vehicle:
    """Return the vehicle of a parsed file, whatever it was parsed from.

    Raises:
        BadInput: every mistake in it.
    """
    return _tables(document, VehicleFile, across_vehicle).record(document)


def _shop(document: Document) -> Shop:
    return _tables(document, ShopFile, across_shop).record()


def _rack(document: Document) -> RackSpec:
    tables = _tables(document, RackFile, across_rack)
    picture = tables.sides.outline
    if picture is None:
        return tables.record(document.path.stem)
    from rackgen.spec.motif_file import read_motif

    motif = read_motif(document, picture, sized=tables.sides.outline_length is not None)
    return tables.record(document.path.stem, motif)


def _tables(document: Document, file: type[T], across: Across) -> T:
    tables, mistakes = validated(document, file, across)
    if tables is None:
        raise BadInput(mistakes)
    return tables
