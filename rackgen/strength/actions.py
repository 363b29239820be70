"""What may act on a rack's frame, each at a unit size. Vehicle frame: X aft, Y right, Z up; N and mm.

A load that is thrown or blown acts at the height of its own centre: the floor takes the level force evenly, and the
turning over as a push down on one side and a pull up on the other. `load_nodes.split_for_load` gives a frame the nodes
that a person and a long item stand on; without them they are spread along the member that they stand on.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np

from rackgen.geom.frame import Array, Vec, unit, vec
from rackgen.refs.registry import number
from rackgen.spec.load import ACTIONS, CORNERS, LoadWish
from rackgen.strength.air import PASCAL, outside_diameter, tube_drag
from rackgen.strength.floor import (
    Laid,
    Stretch,
    centre,
    chains,
    even,
    extent,
    floor_of,
    half,
    pushed,
    stood,
    stretches,
    turned,
)
from rackgen.strength.model import GRAVITY, Action, FrameModel, LineLoad, NodeLoad

FORWARD: Vec = (-1.0, 0.0, 0.0)
RIGHT: Vec = (0.0, 1.0, 0.0)
DOWN: Vec = (0.0, 0.0, -1.0)

UNIT = 1000.0
"""Size of a person's and of a strap's action, N."""

SIDES: dict[str, tuple[int, float]] = {
    "front-half": (0, 1.0), "rear-half": (0, -1.0), "left-half": (1, 1.0), "right-half": (1, -1.0),
}  # fmt: skip
"""Axis across the line between the halves, and which way is out of this half."""


def actions(model: FrameModel, wish: LoadWish) -> tuple[Action, ...]:
    """Return everything that may act on a frame, by the ids and at the unit sizes of `spec.load.ACTIONS`.

    Besides those, `tie-<place>` for each place of a strap: 1 kN up and inward. What a rack has no place for (a long
    item without cross bars, straps without ties) is left out.

    Args:
        model: the frame, its masses and the places where load comes on.
        wish: size and centre of the load.

    Raises:
        RackgenError: nothing of the frame carries load, or what does is too narrow to keep it from turning over.
    """
    floor = floor_of(model)
    made: dict[str, Laid] = {
        "own-down": own(model, DOWN),
        "own-forward": own(model, FORWARD),
        "own-sideways": own(model, RIGHT),
        "payload-even": even(floor, GRAVITY),
    }
    low, high = extent(floor)
    middle = (low + high) / 2
    for lay, (axis, out) in SIDES.items():
        made[f"payload-{lay}"] = half(floor, GRAVITY, lambda at, i=axis, o=out: o * (at[:, i] - middle[i]))
    bars = chains(stretches(model, model.places.bars))
    if bars:
        made["payload-long-item"] = _sum(_on_middle(bar, GRAVITY / len(bars)) for bar in bars)
    height = model.places.top + centre_height(wish)
    made["payload-forward"] = pushed(floor, FORWARD, GRAVITY, height)
    made["payload-sideways"] = pushed(floor, RIGHT, GRAVITY, height)
    made["person-middle"] = stood(floor, middle, UNIT)
    for corner in CORNERS:
        node, side = _corner(model, floor, corner)
        made[f"person-on-{corner}"] = Laid((NodeLoad(node, vec(UNIT * np.array(DOWN))),))
        pull = UNIT * unit((0.0, side, -1.0))
        made[f"person-pulls-{corner}"] = Laid((NodeLoad(node, vec(pull)),))
    if model.places.hung:
        made["person-ladder"] = _hanging(model.places.hung)
    if model.places.ties:
        made["straps"] = _straps(model, floor)
    made |= _wind(model, wish, floor)
    texts = {id: made[id] for id in ACTIONS if id in made}
    known = [Action(id, ACTIONS[id], laid.nodes, laid.lines) for id, laid in texts.items()]
    return (*known, *_ties(model))


def centre_height(wish: LoadWish) -> float:
    """Return the height of the load's centre over the floor, mm."""
    return number("load-centre").value if wish.centre_height is None else wish.centre_height


def load_size(wish: LoadWish, floor: Sequence[Stretch]) -> Vec:
    """Return length, width and height of the bluff load, mm: as wished, else the floor's and twice its centre's."""
    low, high = extent(floor)
    length = wish.load_length or float(high[0] - low[0])
    width = wish.load_width or float(high[1] - low[1])
    return length, width, wish.load_height or 2 * centre_height(wish)


def own(model: FrameModel, direction: Vec) -> Laid:
    """Return the rack's own mass under 1 g in a direction.

    Args:
        model: the frame.
        direction: unit; down is its weight.
    """
    way = GRAVITY * np.array(direction)
    lines = tuple(LineLoad(m.id, vec(way * m.mass_per_mm)) for m in model.members if m.mass_per_mm > 0.0)
    return Laid(tuple(NodeLoad(lump.node, vec(way * lump.mass)) for lump in model.lumps), lines)


def _sum(laid: Iterable[Laid]) -> Laid:
    out = Laid()
    for one in laid:
        out += one
    return out


def _on_middle(bar: tuple[Stretch, ...], force: float) -> Laid:
    low, high = extent(bar)
    return stood(bar, (low + high) / 2, force)


def _corner(model: FrameModel, floor: Sequence[Stretch], corner: str) -> tuple[str, float]:
    """Return the node that is furthest into a corner of what straps are hooked to, else of the floor; and its side."""
    x, y = (-1.0 if "front" in corner else 1.0), (-1.0 if "left" in corner else 1.0)
    at = {n.id: n.at for n in model.nodes}
    ties = {node for _, node in model.places.ties}
    # A part with two such places is a ring; its corner is in its bend, away from what holds it up.
    hooked: dict[str, set[str]] = {}
    for m in model.members:
        if m.kind == "tube":
            hooked.setdefault(m.part, set()).update({m.a, m.b} & ties)
    rings = {part for part, nodes in hooked.items() if len(nodes) > 1}
    near = {n for m in model.members if m.kind == "tube" and m.part in rings for n in (m.a, m.b)}
    nodes = near or ties or {n for s in floor for n in (s.a, s.b)}
    return max(sorted(nodes), key=lambda n: round(x * at[n][0] + y * at[n][1], 6)), y


def _ties(model: FrameModel) -> tuple[Action, ...]:
    """Return 1 kN at each place of a strap, half-way between straight up and level toward the middle of them all."""
    at = {n.id: np.array(n.at) for n in model.nodes}
    if not model.places.ties:
        return ()
    points = np.array([at[node] for _, node in model.places.ties])
    middle = (points.min(axis=0) + points.max(axis=0)) / 2
    out: list[Action] = []
    for name, node in model.places.ties:
        inward = np.array([*(middle - at[node])[:2], 0.0])
        far = float(np.linalg.norm(inward))
        pull = UNIT * (unit(inward / far + [0.0, 0.0, 1.0]) if far > 1.0 else np.array([0.0, 0.0, 1.0]))
        out.append(Action(f"tie-{name}", f"1 kN of a strap at {name}, up and inward", (NodeLoad(node, vec(pull)),)))
    return tuple(out)


def _hanging(hung: Sequence[tuple[str, float]]) -> Laid:
    """Return a person on a ladder, on all its clamps alike: down, and aft with what its feet press on the body with."""
    share = UNIT / len(hung)
    return Laid(tuple(NodeLoad(node, vec(share * np.array([pull, 0.0, -1.0]))) for node, pull in hung))


def _straps(model: FrameModel, floor: Sequence[Stretch]) -> Laid:
    """Return 1 kN straight up at every tie, and what they press the load onto the floor with: in balance as a whole."""
    at = {n.id: np.array(n.at) for n in model.nodes}
    up = np.array([0.0, 0.0, UNIT])
    nodes = tuple(NodeLoad(node, vec(up)) for _, node in model.places.ties)
    moment: Array = -np.sum([np.cross(at[node] - centre(floor), up) for _, node in model.places.ties], axis=0)
    return Laid(nodes) + turned(floor, -UNIT * len(nodes), moment)


def _wind(model: FrameModel, wish: LoadWish, floor: Sequence[Stretch]) -> dict[str, Laid]:
    """Return head wind of 1 Pa on tubes and on the bluff load, and its lift.

    A tube aslant feels what of the wind is square to it (cross-flow rule; from memory).
    """
    at = {n.id: np.array(n.at) for n in model.nodes}
    lines: list[LineLoad] = []
    for m in model.members:
        if m.kind != "tube":
            continue
        axis = unit(at[m.b] - at[m.a])
        square = np.array([1.0, 0.0, 0.0]) - axis[0] * axis
        size = math.sqrt(float(square @ square))
        if size > 1e-9:
            lines.append(LineLoad(m.id, vec(tube_drag(outside_diameter(m.properties)) * size * square)))
    length, width, height = load_size(wish, floor)
    drag = number("drag-bluff").value * width * height * PASCAL
    lift = number("lift-flat").value * length * width * PASCAL
    return {
        "wind-tubes": Laid((), tuple(lines)),
        "wind-load": pushed(floor, (1.0, 0.0, 0.0), drag, model.places.top + height / 2),
        "lift-load": even(floor, -lift),
    }
