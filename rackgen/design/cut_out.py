"""What is cut through a side plate besides slots: a text or a picture, as large as asked or as there is room."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rackgen.design.choose import thickness
from rackgen.design.site import Site
from rackgen.errors import BadInput, Finding, GeometryError, Level, Mistake
from rackgen.geom.frame import Array
from rackgen.geom.glyphs import CAP, glyph, known
from rackgen.geom.outline import Contour, Vertex, polygon
from rackgen.geom.stencil import cut_outs, narrowest_cut, narrowest_metal
from rackgen.refs.registry import number

FACE = "DejaVuSans-Bold"
DEVIATION = 0.05
FILL = 0.75
LEAST_LETTER = 12.0
SPACED = 1.1
LEAST_BRIDGE = 3.0
"""How far chords lie from a letter's curves, mm; how much of the room's height letters take when their height is left
open; least height of capitals, mm; how much wider letters are set, for the metal between them; least bridge when it is
left open, mm (common practice, no source)."""


@dataclass(frozen=True)
class Room:
    """The part of a plate that letters or a picture may take, about `middle`; mm."""

    width: float
    height: float
    middle: tuple[float, float]


@dataclass(frozen=True)
class CutOut:
    """What is cut.

    Attributes:
        contours: closed, without islands, anticlockwise, in the plate's outline; none where it does not fit.
        findings: why not, or where it is too narrow; without parts.
    """

    contours: tuple[Contour, ...] = ()
    findings: tuple[Finding, ...] = ()


def bridge(site: Site) -> float:
    """Return the width of bridges, mm."""
    if site.spec.sides.bridge is not None:
        return site.spec.sides.bridge
    least = number("slot-kerfs").value * site.shop.table.kerf
    return max(least, number("bridge-thickness").value * thickness(site.choice.side_plate), LEAST_BRIDGE)


def cut_out(site: Site, outline: Contour, others: Sequence[Contour], room: Room) -> CutOut:
    """Return what is cut through a plate.

    Args:
        site: the site.
        outline: of the plate.
        others: what else is cut out of it.
        room: where there is place for it.

    Raises:
        BadInput: a letter that the face does not have.
    """
    sides = site.spec.sides
    if sides.text is not None:
        rows, fault = _text(site, sides.text, room)
    elif sides.motif is not None:
        rows, fault = _picture(site, room)
    else:
        return CutOut()
    if fault is not None:
        return CutOut((), (fault,))
    try:
        made = cut_outs(rows, bridge(site))
    except GeometryError as error:
        what, key = _named(site)
        return CutOut((), (_no_room(f"{what} cannot be cut: {error}", 0.0, 0.0, key, "make it larger, or its bridges "
                                    "narrower"),))  # fmt: skip
    metal = narrowest_metal(polygon(outline), [*made, *(polygon(o) for o in others)], 2 * _least(site)[1] + 4.0)
    contours = tuple(tuple(Vertex(round(float(x), 3), round(float(y), 3)) for x, y in row) for row in made)
    return CutOut(contours, _narrow(site, narrowest_cut(made, 4 * _least(site)[0]), metal))


def _least(site: Site) -> tuple[float, float]:
    """Return the least width of a cut and of metal between cuts, mm."""
    cut = number("slot-kerfs").value * site.shop.table.kerf
    return cut, max(cut, number("bridge-thickness").value * thickness(site.choice.side_plate))


def _named(site: Site) -> tuple[str, str]:
    sides = site.spec.sides
    if sides.text is not None:
        return f'"{sides.text}"', "sides.text"
    assert sides.motif is not None
    return sides.motif.name, "sides.outline"


def _text(site: Site, text: str, room: Room) -> tuple[list[Array], Finding | None]:
    """Return the outlines of a text about the middle of its room, or why it does not fit."""
    # A letter and its accent are one sign of the face.
    text = unicodedata.normalize("NFC", text)
    if strange := sorted({c for c in text if not _set_alone(c)}):
        wanted = "letters, digits and signs that the face DejaVu Sans Bold has and that are set from left to right"
        raise BadInput([Mistake(site.spec.name, "sides.text", 0, " ".join(strange), wanted)])
    asked = site.spec.sides.letter_height
    ems = _set(text, DEVIATION * CAP / (asked or room.height))
    if not ems:
        return [], _no_room(f"{text!r} has nothing to cut", 0.0, 0.0, "sides.text", "write some letters")
    low, high = np.min([r.min(axis=0) for r in ems], axis=0), np.max([r.max(axis=0) for r in ems], axis=0)
    size = (high - low) / CAP
    fits = min(room.width / float(size[0]), room.height / float(size[1]))
    height = asked or min(fits, max(FILL * room.height, LEAST_LETTER))
    if height > fits + 1e-6 or height < LEAST_LETTER:
        shown = max(height, LEAST_LETTER)
        long, tall = (float(s) * shown for s in size)
        said = (
            f'"{text}" is {long:.0f} mm long and {tall:.0f} mm high with letters of {shown:.0f} mm; the bay has room '
            f"for {room.width:.0f} × {room.height:.0f} mm"
        )
        cure = f"letters of at most {fits:.0f} mm, " if fits >= LEAST_LETTER else ""
        return [], _no_room(said, long, room.width, "sides.text", f"{cure}a shorter text, or uprights farther apart")
    middle = (low + high) / 2
    return [(r - middle) / CAP * height + np.array(room.middle) for r in ems], None


def _set_alone(sign: str) -> bool:
    """Return whether the face has a sign, and it stands beside the one to its left and not over or before it."""
    runs_left = unicodedata.bidirectional(sign) in ("R", "AL", "AN")
    return known(sign, FACE) and not runs_left and unicodedata.category(sign)[0] != "M"


def _set(text: str, deviation: float) -> list[Array]:
    """Return the outlines of a text as it is set, em."""
    out: list[Array] = []
    x = 0.0
    for letter in text:
        loops, advance = glyph(letter, FACE, deviation=deviation)
        out += [np.array(loop) + np.array([x, 0.0]) for loop in loops]
        x += advance * SPACED
    return out


def _picture(site: Site, room: Room) -> tuple[list[Array], Finding | None]:
    """Return the contours of a drawing about the middle of its room, or why it does not fit."""
    sides = site.spec.sides
    assert sides.motif is not None
    rows = [polygon(c, DEVIATION) for c in sides.motif.contours]
    low, high = np.min([r.min(axis=0) for r in rows], axis=0), np.max([r.max(axis=0) for r in rows], axis=0)
    scale = 1.0 if sides.motif_length is None else sides.motif_length / float(high[0] - low[0])
    wide, tall = (float(v) for v in (high - low) * scale)
    if wide > room.width + 1e-6 or tall > room.height + 1e-6:
        most = wide * min(room.width / wide, room.height / tall)
        said = (
            f"{sides.motif.name} is {wide:.0f} × {tall:.0f} mm; the plate has room for {room.width:.0f} × "
            f"{room.height:.0f} mm"
        )
        return [], _no_room(said, wide, room.width, "sides.outline", f"set outline_length to {most:.0f} mm or less")
    return [(r - (low + high) / 2) * scale + np.array(room.middle) for r in rows], None


def _no_room(said: str, got: float, limit: float, key: str, cure: str) -> Finding:
    keys = (key, "sides.letter_height" if key == "sides.text" else "sides.outline_length")
    code = "text-too-long" if key == "sides.text" else "outline-too-big"
    return Finding(
        code, Level.STOP, (), f"{said}; the plate is left without it", got=got, limit=limit, keys=keys, help=cure
    )  # fmt: skip


def _narrow(site: Site, cut: float, metal: float) -> tuple[Finding, ...]:
    """Return where what is cut, or what is left, is narrower than the table cuts well; narrower than its kerf stops."""
    kerf, (least_cut, least_metal) = site.shop.table.kerf, _least(site)
    what, key = _named(site)
    out: list[Finding] = []
    for code, got, least, thing, cure in (
        ("cut-narrow", cut, least_cut, "cut", "make it larger, or choose a plainer shape"),
        ("bridge-narrow", metal, least_metal, "metal left", "make it larger, or set sides.bridge wider"),
    ):
        if got < least - 0.02:
            rule = number("slot-kerfs")
            out.append(
                Finding(
                    code, Level.STOP if got < kerf - 0.02 else Level.LOOK, (),
                    f"{what}: the narrowest {thing} is {got:.1f} mm; with a kerf of {kerf:g} mm and this plate it "
                    f"should be at least {least:.1f}",
                    got=got, limit=least, source=rule.cited, keys=(key, "sides.bridge", "table.kerf"), help=cure,
                )
            )  # fmt: skip
    return tuple(out)
