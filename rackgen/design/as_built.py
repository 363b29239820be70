"""Parts that are made already: they stay as measured, and what lands on them is cut to them."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping, Sequence
from typing import Literal

import numpy as np

from rackgen.design.contacts import Place, frame_of, place_along, place_of
from rackgen.errors import BadInput, Finding, GeometryError, Level, Mistake
from rackgen.geom.fold import legs_and_arcs
from rackgen.geom.frame import Frame
from rackgen.geom.spine import Bend, Spine, setback
from rackgen.parts.kinds import BentTube, CutPlate, FoldedBar, Part
from rackgen.parts.rack import Along, Anchor, Group, Joint, Layout, OnFace, PartId, Placed, Rack
from rackgen.spec.as_built import AsBuilt

APART = 1.0
"""How far a made part may have drawn away from what is not cut to it before that is said, mm (common practice, no
source)."""

FAR_OFF = 30.0
FAR_TURNED = 10.0
"""A size that is off by more than this, mm and degrees, was not measured on that part, or typed wrong."""


def with_as_built(layout: Layout, drawn: Rack, made: Sequence[AsBuilt], rack_name: str) -> Layout:
    """Return the intent with its made parts as measured: finished, uncut again, their middle where it was drawn.

    Tubes that land on them are cut to where they now are when the intent is resolved. Plates, bars and bought parts
    keep their places; where that leaves them off what was made, a finding says by how much.

    Args:
        layout: the intent as drawn.
        drawn: the same, resolved; ends A and B are its own.
        made: what was measured.
        rack_name: name in a mistake.

    Raises:
        BadInput: no such part, or a size that such a part cannot have; all mistakes at once.
    """
    wrong: list[Mistake] = []
    done: dict[PartId, Placed] = {}
    before = {p.id: p for p in drawn.placed}
    for i, one in enumerate(made):
        placed = before.get(one.part)
        key = f"as_built.{i}"
        if placed is None:
            wrong.append(Mistake(rack_name, f"{key}.part", 0, one.part, "the rack has no part of that id"))
            continue
        if one.part in done:
            wrong.append(
                Mistake(rack_name, f"{key}.part", 0, one.part, "named twice; write all its sizes in one entry")
            )
            continue
        try:
            part = measured(placed.part, one)
        except BadInput as refusal:
            wrong += [dataclasses.replace(m, file=rack_name, key=f"{key}.{m.key}") for m in refusal.mistakes]
            continue
        done[placed.id] = dataclasses.replace(placed, part=part, frame=_kept(placed, part))
    if wrong:
        raise BadInput(wrong)
    of_drawn = {j.id: j for j in drawn.joints}

    def joint(asked: Joint) -> Joint:
        seen = of_drawn[asked.id]
        ends = {
            side: _carried(anchor, before[anchor.part].part, done[anchor.part].part) if anchor.part in done else own
            for side, anchor, own in (("a", seen.a, asked.a), ("b", seen.b, asked.b))
        }
        cut = (asked.a if asked.yields == "a" else asked.b).part if asked.yields else ""
        return dataclasses.replace(asked, **ends, yields=None if cut in done else asked.yields)  # type: ignore[arg-type]

    asked = {j.id: joint(j) for group in layout.groups for j in group.joints}

    def left(made: PartId) -> list[Finding]:
        return _left(made, before, done, [(of_drawn[name], j.yields) for name, j in asked.items()])

    return Layout(
        tuple(
            Group(
                tuple(done.get(m.id, m) for m in group.members),
                tuple(asked[j.id] for j in group.joints),
                group.keys,
                (*group.findings, *(f for m in group.members if m.id in done for f in left(m.id))),
            )
            for group in layout.groups
        )
    )


def _left(
    made: PartId,
    before: Mapping[PartId, Placed],
    done: Mapping[PartId, Placed],
    joints: Sequence[tuple[Joint, Literal["a", "b"] | None]],
) -> list[Finding]:
    """Return a look where a made part has drawn away from parts that are not cut to it.

    Args:
        made: its id.
        before: all parts as drawn.
        done: the made ones as they are.
        joints: of the rack as drawn, each with which side is still to be cut.
    """
    off: list[tuple[float, str, PartId]] = []
    for joint, yields in joints:
        for mine, its, side in ((joint.a, joint.b, "b"), (joint.b, joint.a, "a")):
            if mine.part != made or its.part in done or yields == side:
                continue
            was, now = before[made], done[made]
            place = place_of(was.part, made, mine)
            there, here = (np.asarray(p.frame.then(frame_of(p.part, place)).origin) for p in (was, now))
            off.append((float(np.linalg.norm(here - there)), joint.id, its.part))
    apart = sorted((o for o in off if o[0] > APART), reverse=True)
    if not apart:
        return []
    far, joint_id, other = apart[0]
    more = f", and by less at {len(apart) - 1} more joints" if len(apart) > 1 else ""
    one = done[made]
    return [
        Finding(
            "as-built-apart",
            Level.LOOK,
            (made, *dict.fromkeys(o[2] for o in apart)),
            f"{one.word} {made} as built lies {far:.1f} mm off at {joint_id}, where {before[other].word} {other} keeps "
            f"its drawn place{more}; up to {APART:g} mm goes unsaid",
            at=one.frame.origin,
            got=far,
            limit=APART,
            source="common practice, no source",
            keys=("as_built",),
            help="fit these at the dry fit to what was made, or make the part again",
        )
    ]


def measured(part: Part, one: AsBuilt) -> Part:
    """Return a part with the sizes that were measured on it.

    Raises:
        BadInput: sizes that such a part does not have, or cannot have.
    """
    if isinstance(part, BentTube) and not part.spine.bends:
        _only(one, ("length",), "a straight tube")
        assert one.length is not None
        _near(one.length, part.spine.straights[0], "length")
        return _straight(part, one.length)
    if isinstance(part, BentTube):
        return _bent(part, one)
    if isinstance(part, FoldedBar):
        return _bar(part, one)
    if isinstance(part, CutPlate) and part.breaks:
        return _plate(part, one)
    what = "a flat plate" if isinstance(part, CutPlate) else "a bought part"
    wanted = f"{what} has no size that can be taken as built: tubes, bars and the breaks of plates are; cut a new one"
    raise BadInput([Mistake("", "part", 0, one.part, wanted)])


def _straight(part: BentTube, length: float) -> BentTube:
    """Return a straight tube of another length; holes keep their distance from the nearer end."""
    (drawn,) = part.spine.straights
    holes = tuple(dataclasses.replace(h, at=h.at + (length - drawn if h.at > drawn / 2 else 0.0)) for h in part.holes)
    return dataclasses.replace(part, spine=Spine((length,)), holes=holes)


def _bent(part: BentTube, one: AsBuilt) -> BentTube:
    hoop = len(part.spine.bends) == 2
    sizes = ("outside_width", "leg_a", "leg_b", "angles") if hoop else ("angles",)
    _only(one, sizes, "a hoop of two bends" if hoop else "a tube of more or fewer bends than two")
    line = part.spine
    angles = one.angles or tuple(b.angle for b in line.bends)
    _count("angles", angles, len(line.bends))
    for got, drawn in zip(angles, (b.angle for b in line.bends), strict=True):
        _near(got, drawn, "angles", FAR_TURNED)
    bends = tuple(Bend(a, b.clr, b.turn) for a, b in zip(angles, line.bends, strict=True))
    if not hoop:
        return dataclasses.replace(part, spine=Spine(line.straights, bends))
    od = part.section.od
    back = [setback(b) for b in line.bends]
    now = [setback(b) for b in bends]
    drawn = (
        line.straights[0] + back[0] + od / 2,
        line.straights[1] + back[0] + back[1] + od,
        line.straights[2] + back[1] + od / 2,
    )
    names = ("leg_a", "outside_width", "leg_b")
    sizes_now: list[float] = []
    for name, was in zip(names, drawn, strict=True):
        value = getattr(one, name)
        sizes_now.append(was if value is None else value)
        _near(sizes_now[-1], was, name)
    straights = (
        sizes_now[0] - od / 2 - now[0],
        sizes_now[1] - od - now[0] - now[1],
        sizes_now[2] - od / 2 - now[1],
    )
    try:
        made = Spine(straights, bends)
    except GeometryError as error:
        raise BadInput([Mistake("", "part", 0, one.part, f"no such tube: {error}")]) from error
    return dataclasses.replace(
        part,
        spine=made,
        holes=tuple(
            dataclasses.replace(h, at=place_along(made, place_of(part, one.part, Along(one.part, h.at))))
            for h in part.holes
        ),
    )


def _bar(part: FoldedBar, one: AsBuilt) -> FoldedBar:
    _only(one, ("flats", "folds"), "a bar")
    flats = one.flats or part.flats
    folds = one.folds or tuple(abs(f.angle) for f in part.folds)
    _count("flats", flats, len(part.flats))
    _count("folds", folds, len(part.folds))
    for got, drawn in zip(flats, part.flats, strict=True):
        _near(got, drawn, "flats")
    for angle, fold in zip(folds, part.folds, strict=True):
        _near(angle, abs(fold.angle), "folds", FAR_TURNED)
    return dataclasses.replace(
        part,
        flats=flats,
        folds=tuple(
            dataclasses.replace(f, angle=math.copysign(a, f.angle)) for a, f in zip(folds, part.folds, strict=True)
        ),
    )


def _plate(part: CutPlate, one: AsBuilt) -> CutPlate:
    """Return a plate with its breaks as measured; which way each goes is as drawn."""
    _only(one, ("folds",), "a plate with breaks")
    assert one.folds is not None
    _count("folds", one.folds, len(part.breaks))
    for angle, line in zip(one.folds, part.breaks, strict=True):
        _near(angle, abs(line.angle), "folds", FAR_TURNED)
    breaks = tuple(
        dataclasses.replace(b, angle=math.copysign(a, b.angle)) for a, b in zip(one.folds, part.breaks, strict=True)
    )
    return dataclasses.replace(part, breaks=breaks)


def _only(one: AsBuilt, sizes: tuple[str, ...], what: str) -> None:
    given = [f.name for f in dataclasses.fields(one) if f.name != "part" and getattr(one, f.name) is not None]
    other = [name for name in given if name not in sizes]
    if other:
        wanted = f"{one.part} is {what}: measure {', '.join(sizes)}"
        raise BadInput([Mistake("", name, 0, "", wanted) for name in other])


def _near(got: float, drawn: float, key: str, far: float = FAR_OFF) -> None:
    if abs(got - drawn) > far:
        wanted = f"drawn {drawn:.1f}; off by more than {far:g} it is another part, or typed wrong: make a new one"
        raise BadInput([Mistake("", key, 0, f"{got:g}", wanted)])


def _count(key: str, values: tuple[float, ...], count: int) -> None:
    if len(values) != count:
        raise BadInput([Mistake("", key, 0, f"{len(values)} values", f"it has {count}; give every one of them")])


def _kept(drawn: Placed, part: Part) -> Frame:
    """Return where a made part lies so that its middle straight, or its longest flat, is where it was drawn."""
    if isinstance(drawn.part, BentTube) and isinstance(part, BentTube):
        k = len(part.spine.straights) // 2
        halves = (drawn.part.spine.straights[k] / 2, part.spine.straights[k] / 2)
    elif isinstance(drawn.part, FoldedBar) and isinstance(part, FoldedBar):
        k = drawn.part.flats.index(max(drawn.part.flats))
        halves = (drawn.part.flats[k] / 2, part.flats[k] / 2)
    else:
        return drawn.frame
    was, now = (
        frame_of(p, Place(drawn.id, k, False, half)) for p, half in zip((drawn.part, part), halves, strict=True)
    )
    return drawn.frame.then(was).then(now.inverse())


def _carried(anchor: Anchor, drawn: Part, made: Part) -> Anchor:
    """Return an anchor of the drawn part on the made one: it keeps its distance from the bend or fold beside it."""
    place = place_of(drawn, anchor.part, anchor)
    if isinstance(anchor, Along) and isinstance(made, BentTube):
        return dataclasses.replace(anchor, at=place_along(made.spine, place))
    if isinstance(anchor, OnFace) and isinstance(made, FoldedBar):
        into = made.flats[place.piece] - place.along if place.from_end else place.along
        begin, flat = 0.0, -1
        for _, length, fold in legs_and_arcs(made.flats, made.folds, made.section.thickness, made.section.width):
            flat += fold is None
            if fold is None and flat == place.piece:
                break
            begin += length
        return dataclasses.replace(anchor, x=begin + into)
    return anchor
