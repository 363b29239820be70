"""The text of a new rack's file: what was chosen, and as comments what else can be said, with what follows now."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from rackgen.design.choose import Choice
from rackgen.design.plan_record import Plan
from rackgen.spec.rack import RackSpec
from rackgen.spec.shop import Shop
from rackgen.units import INCH, Unit, shown_step, write_length

WIDE = 34
"""Where comments begin."""

_FRAMES = {
    "hoop": "one bent hoop, its legs on straps round the rear corners",
    "ladder": "two side rails with cross bars, on feet all along",
    "bows": "bowed tubes across, each on its own pair of feet",
    "bed": "side rails on posts from the bed's rails",
}
_TOPS = {"basket": "two rings", "tray": "one low ring", "deck": "flat, slats between side rails"}


@dataclass(frozen=True)
class Written:
    """What a new file is written from.

    Attributes:
        spec: the rack.
        choice: the stock of every role.
        plan: its sizes.
        shop: the shop.
        vehicle: name of the vehicle, as its file says it.
        carries: what it carries, in words.
        schema: whether the schema stands where the first line of such a file looks for it.
    """

    spec: RackSpec
    choice: Choice
    plan: Plan
    shop: Shop
    vehicle: str
    carries: str
    schema: bool


def new_text(new: Written) -> str:
    """Return the text of a rack file.

    Every line that begins with "# " and a key or table can be uncommented, one at a time, and the file still reads.
    """
    lines = ["#:schema ../schemas/rack.schema.json"] if new.schema else []
    lines += [
        f"# A rack for {new.carries}, on {new.vehicle}, by {new.shop.name}: begun with `rackgen new`.",
        "# It can be built as it stands. What stands behind a # follows by the rules of the trade: take the # away and",
        "# write your own. `rackgen check` says what comes of it.",
        "",
        "format = 1",
        f"title = {_quoted(new.spec.title)}",
        f'shop = "{new.spec.shop}"',
        f'vehicle = "{new.spec.vehicle}"',
        f'units = "{new.shop.unit}"',
    ]
    for section in (_frame(new), _mounts(new), _basket(new), _floor(new), _load(new), _fittings(new)):
        block = list(section)
        lines += ["", *block] if block else []
    return "\n".join(lines) + "\n"


def _frame(new: Written) -> Iterator[str]:
    spec, plan, unit = new.spec.frame, new.plan, new.shop.unit
    yield "[frame]"
    yield _line(f'kind = "{spec.kind}"', _FRAMES[spec.kind])
    bent = [s.name for s, t in new.shop.tubes() if new.shop.die_for(t.od)]
    yield _line(f"tube = {_quoted(new.choice.frame.name)}", _but(bent, new.choice.frame.name))
    wide = 2 * plan.leg_y + new.choice.frame_od
    if spec.width is not None:
        yield _line(f"width = {size(spec.width, unit)}", "outside")
    elif spec.kind != "bows":
        yield _line(f"# width = {size(wide, unit, up=True)}", "outside, as it comes out now")
    if spec.length is not None:
        yield _line(f"length = {size(spec.length, unit)}", "outside")
    if spec.height is not None:
        yield _line(f"height = {size(spec.height, unit)}", "from the bed's rails up to the top of its side rails")
    if spec.kind != "bows":
        bars = ", ".join(size(x, unit) for x in plan.bars)
        yield _line(f"# cross_bars = [{bars}]", "aft of the front tube's axis")
    if spec.kind in ("ladder", "bed"):
        yield _line(f'# front_end = "{spec.front_end}"', _but(("bent", "mitred", "open"), spec.front_end))
        yield _line(f'# rear_end = "{spec.rear_end}"', _but(("open", "mitred"), spec.rear_end))
    if spec.kind == "bows":
        ties = ", ".join(size(y, unit) for y in spec.ties)
        yield _line(f"ties = [{ties}]", "straight tubes that keep the bows upright, across from the middle")


def _mounts(new: Written) -> Iterator[str]:
    spec, hoop = new.spec.mounts, new.plan.kind == "hoop"
    yield "[mounts]"
    if spec.front is not None:
        yield _line(f'front = "{spec.front}"', "its front feet" if hoop else "what its feet stand on")
    if hoop:
        yield _line(f"# strap = {_quoted(new.choice.strap.name)}", "down the rear corners; the braces too")
    else:
        yield _line(f"# pairs = {sum(c.mount.at[1] < 0 for c in new.plan.carriers)}", "of feet")
    plates = _but((s.name for s, _ in new.shop.sheets()), new.choice.mount_plate.name)
    yield _line(f"# plate = {_quoted(new.choice.mount_plate.name)}", plates)


def _basket(new: Written) -> Iterator[str]:
    spec, plan, unit = new.spec.basket, new.plan, new.shop.unit
    if spec.kind == "bars":
        yield f"# No [basket]: what is carried lies on the {'bows' if plan.kind == 'bows' else 'cross bars'}."
        return
    yield "[basket]"
    if spec.kind != "basket":
        yield _line(f'kind = "{spec.kind}"', _TOPS[spec.kind])
    yield _line(f"width = {size(spec.width, unit)}", "outside")
    yield _line(f"length = {size(spec.length, unit)}", "outside")
    if spec.kind == "basket":
        yield _line(f"height = {size(spec.height, unit)}", "underside of the lower ring to the top of the upper")
    bent = [s.name for s, t in new.shop.tubes() if spec.kind == "deck" or new.shop.die_for(t.od)]
    yield _line(f"ring_tube = {_quoted(new.choice.ring.name)}", _but(bent, new.choice.ring.name))
    thin = [s.name for s, t in new.shop.tubes() if t.od <= new.choice.ring_od]
    yield _line(f"bar_tube = {_quoted(new.choice.bar.name)}", _but(thin, new.choice.bar.name))
    if spec.floor is not None:
        yield _line(f"floor = {_quoted(spec.floor)}", "what [floor] is of")
    if plan.bearers and not new.choice.tube_slats:
        yield _places("# bearers", plan.bearers, unit, "fore and aft of mid-length")
    if plan.side_uprights:
        yield _places("# side_uprights", plan.side_uprights, unit, "half a bay from the bearers")
        yield _places("# end_uprights", plan.end_uprights, unit, "across from the middle")
        yield _line("# side_plates = 1", "bays a side with a plate, from the middle; 0 for none")
    yield _places("# pads", plan.pads, unit, "clamp pads, fore and aft of mid-length")
    moved = f"forward = {size(spec.forward, unit)}"
    yield _line(moved if spec.forward else f"# {moved}", "how far its middle is moved ahead of the frame's")


def _floor(new: Written) -> Iterator[str]:
    if new.spec.basket.kind == "bars":
        return
    yield "[floor]"
    kind = new.spec.floor.kind
    kinds = ("expanded metal", "perforated sheet", "slats", "none")
    yield _line(f'kind = "{kind}"', "" if new.spec.basket.kind == "deck" else _but(kinds, kind))
    if new.spec.floor.kind == "slats":
        yield _line(f"gap = {size(new.spec.floor.gap, new.shop.unit)}", "clear between two slats, at most")


def _load(new: Written) -> Iterator[str]:
    yield "# What it is to carry: less than that is a look of `rackgen check --strength`."
    yield "[load]"
    pounds = new.shop.unit == "in"
    moving, parked = ('"110 lb"', '"300 lb"') if pounds else ("50", "140")
    yield _line(f"# moving = {moving}", "on the road" if pounds else "on the road, kg")
    yield _line(f"# parked = {parked}")
    yield _line("# rough_track = false", "no rough tracks: 2 g down in place of 3")


def _fittings(new: Written) -> Iterator[str]:
    kind = new.spec.basket.kind
    on = "upper ring" if kind == "basket" else "frame"
    yield "# Fittings, as many as wanted: tie-down loops, lamp tabs, an air deflector, a rear ladder ..."
    yield "# [[fitting]]"
    yield '# kind = "tie-down loops"'
    yield _line('# side = "left"', 'or "right", "front", "rear"')
    yield f'# on = "{on}"'


def size(mm: float, unit: Unit, *, up: bool = False) -> str:
    """Return a length as it is typed in a file of that unit.

    Args:
        mm: the length.
        unit: of the file.
        up: whether it may be no less than that when it is read again.
    """
    step = 0.1 if unit == "mm" else shown_step(unit, fine=True)
    if up:
        one = step if unit == "mm" else step * INCH
        mm = math.ceil(mm / one - 1e-6) * one
    if unit == "mm":
        return f"{round(mm, 1) + 0.0:g}"
    text = write_length(mm, unit, step)
    return f'"{text} in"' if "/" in text else text


def _places(key: str, places: Iterable[float], unit: Unit, comment: str) -> str:
    return _line(f"{key} = [{', '.join(size(p, unit) for p in places)}]", comment)


def _but(names: Iterable[str], taken: str) -> str:
    others = [f'"{n}"' for n in dict.fromkeys(names) if n != taken]
    return f"or {', '.join(others)}" if others else "the only one on the shelf"


def _line(text: str, comment: str = "") -> str:
    return f"{text.ljust(WIDE - 2)}  # {comment}" if comment else text


def _quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'
