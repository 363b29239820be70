"""Welds of a frame by length, size and direction: the bead itself, and the metal beside it.

Each welded joint is a line of weld (`weld_line.py`) under what the frame sends through it. The bead's worst force per
length is held to the weld metal's least direction: the increase for a load across a bead is not used, for branches of
tube may not have it. Legs are those of the weld map. Stitches count by what is welded of them.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from rackgen.geom.frame import Array, vec
from rackgen.parts.kinds import Bought
from rackgen.parts.rack import Anchor, Joint, OnFace, Placed, Rack
from rackgen.refs.registry import Number, number
from rackgen.refs.strengths import Strengths, check_known, strength_of, weakest
from rackgen.sheets.weld_lines import runs, welded_joints
from rackgen.sheets.welds import Weld, wall_of, weld_map
from rackgen.spec.shop import Shop
from rackgen.spec.stock import Stock
from rackgen.spec.vehicle import Vehicle
from rackgen.strength.joint_force import Crossing, carried, cross_matrix, crossings
from rackgen.strength.limits import Limit, Loaded, Spot
from rackgen.strength.model import FrameModel
from rackgen.strength.weld_line import WeldLine, weld_line
from rackgen.strength.weld_strength import (
    OMEGA_RUPTURE,
    OMEGA_WELD,
    OMEGA_YIELD,
    SHEAR,
    THIN,
    THROAT,
    beside_rupture,
    beside_yield,
)

STOP = "fore-aft stop"
"""Its weld is checked with the stop, which bears one way only."""


@dataclass(frozen=True, eq=False)
class Welded:
    """One welded joint of a frame.

    Attributes:
        joint: the joint.
        line: its beads.
        through: what carries its force.
        leg: of the bead; the throat of a butt, mm.
        metal: what the bead bears, N/mm.
        rupture: what the metal beside it bears at rupture, the weaker part, N/mm.
        yields: the same at yield.
        parts: the two parts.
        tag: of the strengths.
        source: of the strengths.
    """

    joint: Joint
    line: WeldLine
    through: tuple[Crossing, ...]
    leg: float
    metal: float
    rupture: float
    yields: float
    parts: tuple[Placed, Placed]
    tag: str
    source: str

    def per_length(self, loaded: Loaded) -> Array:
        """Return the largest force per length along the bead, N/mm, shape (cases,)."""
        return self.line.most(*carried(loaded, self.through, self.line.centre))


def weld_limits(model: FrameModel, rack: Rack, vehicle: Vehicle, shop: Shop) -> tuple[Limit, ...]:
    """Return the checks of every weld that the frame sends a force through.

    Mesh, strips and side plates carry nothing in the model, and their welds are not checked.

    Raises:
        RackgenError: the grade of a welded part is not known.
    """
    welds = [w for w in welded(model, rack, shop) if STOP not in (w.parts[0].word, w.parts[1].word)]
    return limits_of(welds) if welds else ()


def welded(model: FrameModel, rack: Rack, shop: Shop) -> tuple[Welded, ...]:
    """Return the welded joints that the frame sends a force through, in the rack's order.

    Raises:
        RackgenError: the grade of a welded part is not known.
    """
    members = {p.id: p for p in rack.placed}
    shelf = {s.name: s for s in shop.stock}
    lines = _lines(rack)
    through = crossings(model, [weld.joint for weld in lines])
    checked = [weld for weld in lines if weld.joint.id in through]
    stocks = {a.part: _stock(members[a.part], shelf) for w in checked for a in (w.joint.a, w.joint.b)}
    kinds = dict.fromkeys(stocks.values())
    check_known(kinds)
    strong = {stock: strength_of(stock) for stock in kinds}
    return tuple(_one(w, members, through[w.joint.id], stocks, strong) for w in checked)


@dataclass(frozen=True, eq=False)
class _Line:
    """A welded joint, what the weld map says of it, and its beads as a line."""

    joint: Joint
    mapped: Weld
    line: WeldLine


@lru_cache(maxsize=4)
def _lines(rack: Rack) -> tuple[_Line, ...]:
    """Return the welds of a rack that have beads; a frame with each U-bolt loose in turn asks nine times."""
    members = {p.id: p for p in rack.placed}
    mapped = {w.joint: w for w in weld_map(rack, torch=False)[0].welds}
    beads = [(joint, runs(joint, members)) for joint in welded_joints(rack)]
    return tuple(_Line(j, mapped[j.id], weld_line(b, _throat(mapped[j.id]))) for j, b in beads if b)


def _one(
    weld: _Line,
    members: dict[str, Placed],
    through: tuple[Crossing, ...],
    stocks: dict[str, Stock],
    strong_of: dict[Stock, Strengths],
) -> Welded:
    joint, line = weld.joint, weld.line
    own = (stocks[joint.a.part], stocks[joint.b.part])
    parts = (members[joint.a.part], members[joint.b.part])
    strong = [strong_of[s] for s in own]
    walls = [_beside(p, a, weld.mapped) for p, a in zip(parts, (joint.a, joint.b), strict=True)]
    pairs = list(zip(strong, walls, strict=True))
    filler = _filler(*own)
    return Welded(
        joint,
        line,
        through,
        weld.mapped.leg,
        _shear_of(filler) * line.throat,
        min(beside_rupture(s.welded_tensile, t) for s, t in pairs),
        min(beside_yield(s.welded_yield, t) for s, t in pairs),
        parts,
        weakest([*(s.tag for s in strong), filler.tag]),
        _cited(strong, filler),
    )


def _cited(strong: list[Strengths], filler: Number) -> str:
    return "; ".join(dict.fromkeys([f"{filler.text}: {filler.cited}", *(s.source for s in strong)]))


def _throat(weld: Weld) -> float:
    return weld.leg if weld.kind == "butt" else THROAT * weld.leg


def _beside(placed: Placed, anchor: Anchor, weld: Weld) -> float:
    """Return the metal beside one bead, mm: a plate on edge has a bead on either face, which share it."""
    on_edge = isinstance(anchor, OnFace) and anchor.face == "edge" and weld.kind != "butt"
    return wall_of(placed) / 2 if on_edge else wall_of(placed)


def _stock(placed: Placed, shelf: dict[str, Stock]) -> Stock:
    assert not isinstance(placed.part, Bought)
    return shelf.get(placed.part.stock.name, placed.part.stock)


def _filler(one: Stock, other: Stock) -> Number:
    aluminium = "aluminium" in (one.material, other.material)
    return number("weld-metal-aluminium-shear" if aluminium else "weld-metal")


def _shear_of(filler: Number) -> float:
    """Return the shear strength of weld metal, MPa: stated for aluminium, 0.60 of the tensile strength of steel."""
    return filler.value if filler.name.endswith("shear") else SHEAR * filler.value


def limits_of(
    welds: Sequence[Welded], title: str = "", per_length: Callable[[Loaded], Array] | None = None
) -> tuple[Limit, ...]:
    """Return the three checks of welds: weld metal, rupture and yield of the metal beside it.

    Args:
        welds: at least one.
        title: what is welded, where it is not the whole frame: "fore-aft stops".
        per_length: gives the largest force per length of each, N/mm, (welds, cases); None for what the frame sends
            through them.
    """
    # Three checks ask the same of the same forces, one after the other.
    demand = lru_cache(maxsize=1)(all_at_once(welds) if per_length is None else per_length)
    of = f" of {title}" if title else "s"
    mark = f"{title.rsplit(maxsplit=1)[-1].rstrip('s')}-weld" if title else "weld"
    thin = " (metal under 3.2 mm is AWS D1.3's: its sheet rules are a second figure in the tests)" if any(
        wall_of(p) < THIN for w in welds for p in w.parts
    ) else ""  # fmt: skip
    tag = weakest([w.tag for w in welds])
    source = "; ".join(dict.fromkeys(w.source for w in welds))
    rows: tuple[tuple[str, str, float, str, str, Callable[[Welded], float]], ...] = (
        ("metal", f"Weld{of}: the bead", OMEGA_WELD, "tensile strength of the weld metal",
         "AISC 360 J2.4, beads as lines by Blodgett's method", lambda w: w.metal),
        ("beside", f"Weld{of}: the metal beside the bead, rupture", OMEGA_RUPTURE, "tensile strength",
         "AISC 360 J4.2", lambda w: w.rupture),
        ("beside-yield", f"Weld{of}: the metal beside the bead, yield", OMEGA_YIELD, "yield strength",
         "AISC 360 J4.2", lambda w: w.yields),
    )  # fmt: skip
    return tuple(
        Limit(
            f"{mark}-{end}",
            text,
            factor,
            on,
            f"{clause}{thin}; {source}",
            tag,
            tuple(_spot(w, bears(w)) for w in welds),
            _use(demand, np.array([bears(w) / factor for w in welds])),
        )
        for end, text, factor, on, clause, bears in rows
    )


def all_at_once(welds: Sequence[Welded]) -> Callable[[Loaded], Array]:
    """Return what gives the largest force per length of every weld, N/mm, (welds, cases): each weld's `per_length`.

    What each asks of the frame's forces is linear and always the same, so it is asked for in one go.
    """
    through = [(k, c) for k, w in enumerate(welds) for c in w.through]
    member, end = (np.array([getattr(c, name) for _, c in through]) for name in ("member", "end"))
    turn: Array = np.array([c.sign * c.axes.T for _, c in through])
    arm: Array = np.array([cross_matrix(c.at - welds[k].line.centre) for k, c in through])
    first = np.searchsorted([k for k, _ in through], np.arange(len(welds)))
    lines = [w.line for w in welds]
    turning = [line.turning for line in lines]
    theta_of: Array = np.array([one for one, _ in turning])
    itself_of: Array = np.array([other * line.throat / 2 for (_, other), line in zip(turning, lines, strict=True)])
    length: Array = np.array([line.length for line in lines])
    points = [line.points - line.centre for line in lines]
    of_point = np.repeat(np.arange(len(lines)), [len(p) for p in points])
    begins = np.searchsorted(of_point, np.arange(len(lines)))
    # theta x r is -[r]x theta.
    lever: Array = np.array([-cross_matrix(r) for r in np.concatenate(points)])

    def sent(loaded: Loaded) -> Array:
        ends = loaded.ends[member, end]
        pull = turn @ ends[:, :3]
        moment = np.add.reduceat(turn @ ends[:, 3:] + arm @ pull, first)
        force = np.add.reduceat(pull, first) / length[:, None, None]
        line = force[of_point] + lever @ (theta_of @ moment)[of_point]
        most = np.sqrt(np.maximum.reduceat(np.einsum("pik,pik->pk", line, line), begins))
        return np.asarray(most + np.linalg.norm(itself_of @ moment, axis=1))

    return sent


def _use(demand: Callable[[Loaded], Array], allowed: Array) -> Callable[[Loaded], Array]:
    def use(loaded: Loaded) -> Array:
        return demand(loaded) / allowed[:, None]

    return use


def _spot(weld: Welded, bears: float) -> Spot:
    one, other = weld.parts
    return Spot(
        f"weld of the {one.word} to the {other.word}",
        (one.id, other.id),
        vec(weld.line.centre),
        f"{bears:.0f} N/mm on {weld.line.length:.0f} mm of bead, leg {weld.leg:.1f} mm",
    )
