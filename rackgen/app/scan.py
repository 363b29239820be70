"""What `rackgen scan` does: a scan placed on the vehicle, its roof read, written as stations; or all that is wrong."""

from __future__ import annotations

import math
import re
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TypeVar

from rackgen.errors import BadInput, GeometryError, LengthError, Mistake
from rackgen.geom.frame import Vec
from rackgen.geom.rigid import Placing, placed_by_frame, placed_by_landmarks
from rackgen.geom.scan_roof import ScannedRoof, scanned_roof
from rackgen.geom.surface import Section
from rackgen.spec.scan import PER, Landmark, ScanUnit, read_landmarks, read_scan
from rackgen.units import INCH, Unit, read_length

T = TypeVar("T")

WORST = 25.0
"""A landmark farther from its place than this is a mistake, not a reading, mm."""
SHORT, NARROW = 1000.0, 700.0
"""A roof shorter or narrower than this is doubted, mm (common practice, no source)."""
SCALED = 0.15
"""How far the distances between landmarks may be off between scan and vehicle, as a share: more is another unit."""


@dataclass(frozen=True)
class Asked:
    """What was asked for, as typed; None where nothing was.

    Attributes:
        file: the scan.
        unit: of its numbers.
        landmarks: file of landmarks.
        frame: origin, direction aft and direction up, nine numbers as the scan has them.
        write: unit of the stations, and of bare places on the vehicle.
        vehicle: vehicle file whose roof is replaced.
        first: where the roof begins, a length.
        last: where it ends.
        out: file to write.
    """

    file: Path
    unit: ScanUnit | None
    landmarks: Path | None
    frame: str | None
    write: Unit | None
    vehicle: Path | None
    first: str | None
    last: str | None
    out: Path


def scan_to_roof(asked: Asked) -> str:
    """Write the roof of a scan as stations and return the report.

    Raises:
        BadInput: every mistake in what was asked and in the files; nothing was written.
        PackError: the system refuses to write there.
    """
    from rackgen.export.roof_toml import roof_toml, with_roof
    from rackgen.export.single import write_single

    wrong: list[Mistake] = []
    vehicle = asked.vehicle
    base = None if vehicle is None else _kept(wrong, lambda: _base(vehicle))
    write = asked.write or (base[1] if base else None)
    if asked.vehicle is None and write is None:
        wrong.append(_mistake("--write", "say the unit of the stations and of bare places: --write mm or --write in"))
    if base and asked.write and asked.write != base[1]:
        wrong.append(_mistake("--write", f"the vehicle file is in {base[1]}; leave it out", asked.write))
    if asked.out.is_dir():
        wrong.append(_mistake("--out", "name a file, not a folder", str(asked.out)))
    elif asked.out.suffix != ".toml":
        wrong.append(_mistake("--out", "name a file that ends in .toml", str(asked.out)))
    elif asked.out.exists() and asked.vehicle is None and not _is_roof(asked.out):
        wrong.append(_mistake("--out", "it is there and holds more than a roof; name another", str(asked.out)))
    if asked.unit is None:
        wanted = "say the scan's unit: --unit mm, cm, m, in or ft. A GLB is in m when it was saved as its standard says"
        wrong.append(_mistake("--unit", wanted))
    unit: ScanUnit = asked.unit or "mm"
    first, last = (_length(wrong, k, t, write) for k, t in (("--from", asked.first), ("--to", asked.last)))
    if first is not None and last is not None and last <= first:
        wrong.append(_mistake("--to", "the roof ends behind where it begins", asked.last or ""))
    marks: tuple[Landmark, ...] = ()
    axes: tuple[Vec, Vec, Vec] | None = None
    if (asked.landmarks is None) == (asked.frame is None):
        wrong.append(_mistake("--landmarks", "place the scan by --landmarks or by --frame, one of them"))
    elif asked.landmarks is not None:
        path = asked.landmarks
        marks = _kept(wrong, lambda: read_landmarks(path, unit, write or "mm")) or ()
    else:
        axes = _frame(wrong, asked.frame or "", unit)
    placing: Placing | None = None
    if not wrong and (marks or axes):
        placing = _kept(wrong, lambda: _placed(asked, marks, axes))
    cloud = _kept(wrong, lambda: read_scan(asked.file, unit))
    if wrong or cloud is None or placing is None or write is None:
        raise BadInput(wrong)
    try:
        found = scanned_roof(placing.frame.points(cloud.points), first, last)
    except GeometryError as error:
        raise BadInput([Mistake(str(asked.file), "", 0, "", str(error))]) from None
    worst = max(placing.off) if placing.off else None
    pitch, roll = (base[2], base[3]) if base else (0.0, 0.0)
    text = roof_toml(found, write, asked.file.name, worst, pitch, roll)
    if base:
        text = _proved(with_roof(base[0], text, str(asked.vehicle)), asked.out)
    else:
        text = f'# Stations for a vehicle file with units = "{write}".\n{text}'
    write_single(asked.out.absolute().parent, {asked.out.name: text.encode()})
    lost = f"{cloud.lost} points were no numbers and left out\n" if cloud.lost else ""
    return _report(found, placing, marks, write) + lost + f"written to {asked.out}\n"


def _mistake(option: str, wanted: str, read: str = "") -> Mistake:
    return Mistake("rackgen scan", option, 0, read, wanted)


def _kept(wrong: list[Mistake], read: Callable[[], T]) -> T | None:
    """Return what is read, or None with its mistakes added."""
    try:
        return read()
    except BadInput as error:
        wrong.extend(error.mistakes)
        return None


def _length(wrong: list[Mistake], option: str, text: str | None, bare: Unit | None) -> float | None:
    if text is None:
        return None
    try:
        return read_length(text, bare or "mm")
    except LengthError as error:
        wrong.append(_mistake(option, str(error), text))
        return None


def _frame(wrong: list[Mistake], text: str, unit: ScanUnit) -> tuple[Vec, Vec, Vec] | None:
    wanted = 'write origin, aft and up as nine numbers of the scan: --frame "0,0,0  1,0,0  0,0,1"'
    try:
        n = [float(t) for t in re.split(r"[,\s;]+", text.strip())]
    except ValueError:
        n = []
    if len(n) != 9 or not all(math.isfinite(v) for v in n):
        wrong.append(_mistake("--frame", wanted, text[:60]))
        return None
    k = PER[unit]
    return (n[0] * k, n[1] * k, n[2] * k), (n[3], n[4], n[5]), (n[6], n[7], n[8])


def _placed(asked: Asked, marks: tuple[Landmark, ...], axes: tuple[Vec, Vec, Vec] | None) -> Placing:
    """Return the placing; refuse landmarks that do not go together."""
    file = str(asked.landmarks or "rackgen scan")
    try:
        if axes is not None:
            return placed_by_frame(*axes)
        found = placed_by_landmarks([m.scan for m in marks], [m.place for m in marks])
    except GeometryError as error:
        raise BadInput([Mistake(file, "" if marks else "--frame", 0, "", str(error))]) from None
    if abs(found.scale - 1) > SCALED:
        likely = [u for u, mm in PER.items() if abs(found.scale * PER[asked.unit or "mm"] / mm - 1) < SCALED]
        unit = f"; is the scan in {likely[0]}?" if likely else ""
        wanted = f"the landmarks lie {found.scale:.4g} times as far apart on the vehicle as in the scan{unit}"
        raise BadInput([Mistake(file, "", 0, f"--unit {asked.unit}", wanted)])
    if max(found.off) > WORST:
        raise BadInput([Mistake(file, "", 0, "", _doubtful(found, marks))])
    return found


def _doubtful(found: Placing, marks: tuple[Landmark, ...]) -> str:
    if found.mirrored > 0.8:
        return "the scan is a mirror image of the vehicle: are left and right, or two axes, exchanged?"
    worst = max(range(len(marks)), key=lambda k: found.off[k])
    told = ", ".join(f"{m.name} {d:.0f} mm" for m, d in zip(marks, found.off, strict=True))
    out = f"the landmarks do not go together, {WORST:g} mm is the most: {told}"
    if len(marks) < 4:
        return f"{out}; with four the wrong one could be named"
    best: tuple[float, int] = (math.inf, worst)
    for k in range(len(marks)):
        rest = [m for i, m in enumerate(marks) if i != k]
        try:
            left = placed_by_landmarks([m.scan for m in rest], [m.place for m in rest])
        except GeometryError:
            continue
        best = min(best, (max(left.off), k))
    if best[0] < max(found.off) / 3:
        return f"{out}; without {marks[best[1]].name} the others lie within {best[0]:.1f} mm: measure that again"
    return out


def _base(path: Path) -> tuple[str, Unit, float, float]:
    """Return a vehicle file's text, its unit, and how the vehicle stood."""
    from rackgen.spec.read import opened

    document = opened("vehicle", path)
    unit = document.get(("units",))
    if unit not in ("mm", "in"):
        raise BadInput([document.mistake(("units",), 'state units = "mm" or units = "in"')])
    stood: list[float] = []
    for key in ("pitch", "roll"):
        value = document.get(("stood", key))
        stood.append(float(value) if isinstance(value, int | float) else 0.0)
    return path.read_text(encoding="utf-8"), "in" if unit == "in" else "mm", stood[0], stood[1]


def _is_roof(path: Path) -> bool:
    """Return whether a file holds a roof and nothing else, so that it may be written over."""
    from rackgen.spec.document import open_document

    try:
        return set(open_document(path, str(path)).data) == {"roof"}
    except BadInput:
        return False


def _proved(text: str, out: Path) -> str:
    """Return the text of a vehicle file once it has been read as one."""
    from rackgen.spec.read import read_vehicle

    with tempfile.TemporaryDirectory() as folder:
        there = Path(folder) / out.name
        there.write_text(text, encoding="utf-8")
        try:
            read_vehicle(there)
        except BadInput as error:
            raise BadInput(replace(m, file=f"{out} as it would be", line=0) for m in error.mistakes) from None
    return text


def doubts_of_size(sections: Sequence[Section], unit: Unit) -> list[str]:
    """Return what is odd about the size of a scanned roof, a sentence each."""
    long = sections[-1].x - sections[0].x
    wide = max(s.left + s.right for s in sections)
    ask = "is it a roof, the whole of it, and in the unit that was given?"
    out: list[str] = []
    for what, size, least, word in (("long", long, SHORT, "shorter"), ("wide", wide, NARROW, "narrower")):
        if size < least:
            shown, limit = (f"{mm / INCH:.1f} in" if unit == "in" else f"{mm:.0f} mm" for mm in (size, least))
            out.append(f"this roof is {shown} {what}, and few are {word} than {limit}: {ask}")
    return out


def _report(found: ScannedRoof, placing: Placing, marks: tuple[Landmark, ...], unit: Unit) -> str:
    def says(mm: float) -> str:
        return f"{mm / INCH:.3f} in" if unit == "in" else f"{mm:.1f} mm"

    lines: list[str] = []
    if marks:
        lines.append("landmark, distance from its place")
        lines += [f"  {m.name}: {says(d)}" for m, d in zip(marks, placing.off, strict=True)]
        lines.append(f"  root mean square {says(placing.rms)}")
        if len(marks) == 3:
            lines.append("  three landmarks can hide a mistake, a mirror image too: a fourth would show it")
    else:
        lines.append("placed by an explicit frame: nothing says how well it lies on the vehicle")
    sections = found.roof.sections
    left, right = [s.left for s in sections], [s.right for s in sections]
    lines += [
        f"roof from x = {says(sections[0].x)} to {says(sections[-1].x)}, {len(sections)} stations",
        f"to the left {says(min(left))} to {says(max(left))}, to the right {says(min(right))} to {says(max(right))}",
        f"{found.points:,} points, {says(found.rms)} rms off the surface, 95 % within {says(found.within)}",
        f"{found.strays:,} stray points left out; {found.covered:.0%} of the roof holds points of its own",
    ]
    lines += [f"DOUBTFUL: {doubt}" for doubt in doubts_of_size(sections, unit)]
    if found.trimmed > 1:
        lines.append(f"one side reaches up to {says(found.trimmed)} further and is cut to go with the other")
    return "\n".join(lines) + "\n"
