"""Scans as they come: points in CSV, XYZ or PLY, triangles in STL, PLY, OBJ or GLB; and the landmarks to place them."""

# pyright: reportUnknownMemberType=false, reportUnknownArgumentType=false, reportUnknownVariableType=false
# pyright: reportMissingTypeStubs=false
from __future__ import annotations

import csv
import math
import struct
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from rackgen.errors import BadInput, LengthError, Mistake
from rackgen.geom.frame import Array, Vec
from rackgen.geom.scan_points import Cloud, cloud
from rackgen.units import Unit, read_length

ScanUnit = Literal["mm", "cm", "m", "in", "ft"]
PER: Mapping[ScanUnit, float] = MappingProxyType({"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8})
"""mm in each unit that a scan may be in."""
POINTS = (".csv", ".xyz", ".txt", ".asc")
MESHES = (".ply", ".stl", ".obj", ".glb")
LARGEST = 1_000_000_000
"""Bytes of the largest file that is opened."""
TOLD = 20
"""Wrong lines that are told of one file; the rest are counted."""
COLUMNS = ("name", "scan_x", "scan_y", "scan_z", "x", "y", "z")
"""The first line of a file of landmarks."""


Corners = NDArray[np.int64]


@dataclass(frozen=True)
class Landmark:
    """A point that is found on the scan and on the vehicle.

    Attributes:
        name: as the user calls it.
        scan: where the scan has it, mm, in the scan's own axes.
        place: where it is on the vehicle, mm.
    """

    name: str
    scan: Vec
    place: Vec


def read_scan(path: Path, unit: ScanUnit) -> Cloud:
    """Return the points of a scan in mm, in its own axes.

    Raises:
        BadInput: every wrong line of a file of points; or the file is none that is understood, empty, or too large.
    """
    kind = path.suffix.lower()
    try:
        size = path.stat().st_size
        if not path.is_file():
            raise _refusal(path, "name an ordinary file")
    except OSError as error:
        raise _refusal(path, "there is no such file, or it may not be read", error.strerror or "") from None
    if kind not in POINTS + MESHES:
        kinds = ", ".join(k[1:] for k in POINTS + MESHES)
        raise _refusal(path, f"a scan is a file of points or triangles: {kinds}", kind or "no ending")
    if size == 0:
        raise _refusal(path, "the file is empty")
    if size > LARGEST:
        raise _refusal(path, f"thin the scan out to less than {LARGEST / 1e9:g} GB", f"{size / 1e9:.1f} GB")
    read = _points(path) if kind in POINTS else _mesh(path, kind[1:])
    points, faces = read
    with np.errstate(invalid="ignore", over="ignore"):
        made = cloud(points * PER[unit], faces)
    if not len(made.points):
        raise _refusal(path, "none of its points is three finite numbers" if len(points) else "it holds no points")
    if made.lost > made.read / 2:
        raise _refusal(path, "most of its points are no numbers; save it anew", f"{made.lost} of {made.read}")
    return made


def read_landmarks(path: Path, unit: ScanUnit, bare: Unit | None) -> tuple[Landmark, ...]:
    """Return the landmarks of a CSV file with the columns `COLUMNS`.

    Args:
        path: the file.
        unit: of the scan's numbers.
        bare: of places on the vehicle that state none; None to refuse those.

    Raises:
        BadInput: every mistake in the file.
    """
    try:
        rows = list(csv.reader(path.read_text(encoding="utf-8-sig").splitlines(), skipinitialspace=True))
    except OSError as error:
        raise _refusal(path, "there is no such file, or it may not be read", error.strerror or "") from None
    except (UnicodeDecodeError, csv.Error):
        raise _refusal(path, "this is no CSV text") from None
    lines = [(k, row) for k, row in enumerate(rows, 1) if any(c.strip() for c in row) and not row[0].startswith("#")]
    if not lines or tuple(c.strip().lower() for c in lines[0][1]) != COLUMNS:
        read = ",".join(lines[0][1])[:60] if lines else "nothing"
        raise _refusal(path, f"the first line reads {','.join(COLUMNS)}", read, lines[0][0] if lines else 0)
    wrong: list[Mistake] = []
    out: list[Landmark] = []
    for line, row in lines[1:]:
        cells = [c.strip() for c in row]
        if len(cells) != len(COLUMNS):
            wrong.append(Mistake(str(path), "", line, ",".join(row)[:60], f"a landmark has {len(COLUMNS)} columns"))
            continue
        found: list[float] = []
        for column, text in zip(COLUMNS[1:], cells[1:], strict=True):
            try:
                found.append(_number(text) * PER[unit] if column.startswith("scan") else read_length(text, bare))
            except LengthError as error:
                wrong.append(Mistake(str(path), column, line, text[:60], str(error)))
        if not cells[0] or any(m.name == cells[0] for m in out):
            wrong.append(Mistake(str(path), "name", line, cells[0], "each landmark has a name of its own"))
        elif len(found) == 6:
            out.append(Landmark(cells[0], (found[0], found[1], found[2]), (found[3], found[4], found[5])))
    if len(lines) < 4:
        wrong.append(Mistake(str(path), "", 0, str(len(lines) - 1), "give three landmarks or more"))
    if wrong:
        raise BadInput(wrong)
    return tuple(out)


def _number(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise LengthError("write a plain number, in the scan's unit")
    return value


def _refusal(path: Path, wanted: str, read: str = "", line: int = 0) -> BadInput:
    return BadInput([Mistake(str(path), "", line, read, wanted)])


def _points(path: Path) -> tuple[Array, None]:
    """Return x, y, z of a text with one point a line; further columns, headings and # lines are passed over."""
    try:
        with path.open(encoding="utf-8-sig") as stream:
            head = [stream.readline(2_000) for _ in range(20)]
    except (OSError, UnicodeDecodeError):
        raise _refusal(path, "this is no text of points") from None
    first = next((k for k, t in enumerate(head) if t.strip() and not t.lstrip().startswith("#")), 0)
    mark = next((m for m in (",", ";", "\t") if m in head[first]), None)
    names = [c.strip().strip('"').lower() for c in (head[first].split(mark) if mark else head[first].split())]
    titled = any(c and not _is_number(c) for c in names)
    if titled and not {"x", "y", "z"} <= set(names):
        raise _refusal(path, "the headings name columns x, y and z", head[first].strip()[:60], first + 1)
    columns = tuple(names.index(c) for c in "xyz") if titled else (0, 1, 2)
    try:
        points = np.loadtxt(
            path, delimiter=mark, usecols=columns, skiprows=first + titled, ndmin=2, encoding="utf-8-sig", dtype=float
        )
    except (ValueError, UnicodeDecodeError):
        raise BadInput(_wrong_lines(path, mark, columns, first + titled)) from None
    return points, None


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def _wrong_lines(path: Path, mark: str | None, columns: tuple[int, ...], skip: int) -> list[Mistake]:
    wrong: list[Mistake] = []
    count = 0
    with path.open(encoding="utf-8-sig", errors="replace") as stream:
        for line, text in enumerate(stream, 1):
            bare = text.split("#")[0].strip()
            if line <= skip or not bare:
                continue
            cells = bare.split(mark) if mark else bare.split()
            if len(cells) > max(columns) and all(_is_number(cells[c].strip()) for c in columns):
                continue
            count += 1
            if count <= TOLD:
                wrong.append(Mistake(str(path), "", line, bare[:60], "a point is three numbers: x, y, z"))
    if count > TOLD:
        wrong.append(Mistake(str(path), "", 0, "", f"and {count - TOLD} lines more that are no points"))
    return wrong or [Mistake(str(path), "", 0, "", "this is no text of points")]


def _mesh(path: Path, kind: str) -> tuple[Array, Corners | None]:
    """Return the corners and triangles of a mesh, or the points of a cloud, from a file that trimesh reads."""
    import trimesh

    try:
        loaded = trimesh.load_scene(path, file_type=kind, process=False, maintain_order=True)
        parts = loaded.dump()
    except _BROKEN as error:
        told = str(error).splitlines()[0][:80] if str(error) else type(error).__name__
        raise _refusal(path, f"this is no sound {kind.upper()} file", told) from None
    points: list[Array] = []
    faces: list[Corners] = []
    at = 0
    for part in parts:
        corners = np.asarray(getattr(part, "vertices", np.zeros((0, 3))), dtype=float).reshape(-1, 3)
        own: Corners = np.asarray(getattr(part, "faces", np.zeros((0, 3))), dtype=np.int64)
        if len(own):
            sound = ((own >= 0) & (own < len(corners))).all(axis=1)
            faces.append(own[sound] + at)
        points.append(corners)
        at += len(corners)
    if not at:
        raise _refusal(path, "it holds neither points nor triangles")
    return np.concatenate(points), np.concatenate(faces) if faces else None


_BROKEN = (
    ValueError, KeyError, IndexError, TypeError, AttributeError, AssertionError, NotImplementedError, OSError, EOFError,
    OverflowError, MemoryError, RecursionError, ZeroDivisionError, StopIteration,
    struct.error,
)  # fmt: skip
"""What reading a broken file may end in."""
