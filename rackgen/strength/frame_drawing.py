"""The frame askew from above, how much each place is used as colour and breadth, and the frame bent by its load.

Broader and darker is more: what is seen in colour is also seen on a print without it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rackgen.geom.frame import Array, Vec
from rackgen.sheets.drawing import Colour, Drawing, Item, Point, Stroke, Words
from rackgen.sheets.isometric import FRONT_LEFT, View, looking
from rackgen.sheets.lettering import LEADING, SMALL, room
from rackgen.strength.model import FrameModel, Member
from rackgen.strength.rated import Share

WIDE, HIGH = 168.0, 98.0
"""Paper that a frame may take up with its labels, mm."""

AROUND = 15.0
"""Left round the frame for the labels, mm on paper."""

SCALES = (1 / 4, 1 / 5, 1 / 6, 1 / 8, 1 / 10, 1 / 12, 1 / 15, 1 / 16, 1 / 20, 1 / 25, 1 / 30, 1 / 40, 1 / 50)

GREY: Colour = (0.62, 0.62, 0.62)
WHITE: Colour = (1.0, 1.0, 1.0)

CLEAR = 0.9
"""White on both sides of a line that passes in front of another, mm on paper."""

APART = 25.0
"""Two lines cross where one is so much nearer to the eye, mm; else they are joined there."""


@dataclass(frozen=True)
class Band:
    """A step of the scale: up to which share, its colour, and how broad its lines are, mm on paper."""

    to: float
    colour: Colour
    wide: float


BANDS = (
    Band(0.25, (0.72, 0.78, 0.84), 0.7),
    Band(0.5, (0.40, 0.66, 0.80), 1.0),
    Band(0.75, (0.90, 0.48, 0.20), 1.3),
    Band(0.9, (0.80, 0.15, 0.15), 1.7),
    Band(np.inf, (0.42, 0.0, 0.15), 2.2),
)


def band(share: float) -> Band:
    """Return the step of the scale that a share belongs to."""
    return next(b for b in BANDS if share <= b.to)


def scale_for(points: Array) -> float:
    """Return the largest usual scale at which flat points and their labels keep to the paper; mm."""
    wide, high = np.ptp(points, axis=0)
    fits = (s for s in SCALES if wide * s <= WIDE - 2 * AROUND and high * s <= HIGH - AROUND)
    return next(fits, SCALES[-1])


def use_by_member(model: FrameModel, shares: Sequence[Share]) -> Mapping[str, float]:
    """Return the largest share used on each member of steel: of each place on the nearest member of its part.

    A member that no check names shows what the nearest place of its part uses; parts without a check are left out.
    """
    at = {n.id: np.asarray(n.at) for n in model.nodes}
    of: dict[str, list[Member]] = {}
    for member in model.members:
        if member.kind in ("tube", "bar", "plate"):
            of.setdefault(member.part, []).append(member)
    placed: dict[str, list[Share]] = {}
    for share in shares:
        if share.part in of:
            placed.setdefault(share.part, []).append(share)
    out: dict[str, float] = {}
    for part, here in placed.items():
        members = of[part]
        a, b = (np.array([at[end] for end in ends]) for ends in zip(*((m.a, m.b) for m in members), strict=True))
        places = np.array([s.at for s in here])
        off = _distances(places, a, b)
        uses = np.array([s.use for s in here])
        nearest = off.argmin(axis=1)
        for k, member in enumerate(members):
            mine = uses[nearest == k]
            out[member.id] = float(mine.max() if len(mine) else uses[off[:, k].argmin()])
    return out


def _distances(points: Array, a: Array, b: Array) -> Array:
    """Return how far points are from straight lines between `a` and `b`, shape (points, lines)."""
    way = b - a
    square = np.maximum(np.einsum("ni,ni->n", way, way), 1e-12)
    share = np.clip(np.einsum("mni,ni->mn", points[:, None] - a[None], way) / square, 0.0, 1.0)
    return np.linalg.norm(points[:, None] - (a[None] + share[:, :, None] * way[None]), axis=2)


def use_drawing(model: FrameModel, shares: Sequence[Share], named: Sequence[tuple[Vec, str]]) -> Drawing:
    """Return the frame with how much is used of each place.

    Args:
        model: the frame.
        shares: what is used where.
        named: places that get a label, with its text.
    """
    view = looking(FRONT_LEFT)
    points = np.array([n.at for n in model.nodes])
    used = use_by_member(model, shares)
    scale = scale_for(view.flat(points))
    items = _members(model, points, view, scale, {m: band(u) for m, u in used.items()})
    items += _supports(model, points, view, scale)
    items += labels(view.flat(np.array([p for p, _ in named]).reshape(-1, 3)), [t for _, t in named],
                    view.flat(points), scale)  # fmt: skip
    words = ("to 25 %", "to 50 %", "to 75 %", "to 90 %", "over 90 %")
    items += _legend(view.flat(points), scale, "used, factor of safety included", words)
    return Drawing(tuple(items), scale)


def bent_drawing(
    model: FrameModel, moved: Array, moments: Array, words: Sequence[str], text: str
) -> tuple[Drawing, float]:
    """Return the frame bent by a case, over the frame as it is, and how many times its movement is drawn.

    Args:
        model: the frame.
        moved: of its nodes, mm, shape (nodes, 3).
        moments: largest bending moment of each member, any unit, shape (members,).
        words: of the steps of the scale of moments, lowest first.
        text: at the place that moves most.
    """
    view = looking(FRONT_LEFT)
    points = np.array([n.at for n in model.nodes])
    flat = view.flat(points)
    most = float(np.linalg.norm(moved, axis=1).max())
    times = _times(float(np.linalg.norm(np.ptp(flat, axis=0))), most)
    bent = points + times * moved
    scale = scale_for(view.flat(np.concatenate([points, bent])))
    index = {n.id: k for k, n in enumerate(model.nodes)}
    items: list[Item] = [
        Stroke((_point(flat[index[m.a]]), _point(flat[index[m.b]])), "thin", colour=GREY)
        for m in model.members
        if m.kind in ("tube", "bar", "plate")
    ]
    top = float(moments.max()) or 1.0
    items += _members(
        model, bent, view, scale,
        {m.id: band(float(q) / top) for m, q in zip(model.members, moments, strict=True)
         if m.kind in ("tube", "bar", "plate")},
    )  # fmt: skip
    items += _supports(model, points, view, scale)
    worst = int(np.linalg.norm(moved, axis=1).argmax())
    around = view.flat(np.concatenate([points, bent]))
    items += labels(view.flat(bent[worst : worst + 1]), [text], around, scale)
    items += _legend(around, scale, "bending moment", words)
    return Drawing(tuple(items), scale), times


def _times(size: float, most: float) -> float:
    """Return by what a movement is multiplied so that it shows: a round number, about a tenth of the frame's size."""
    if most <= 0.0:
        return 1.0
    wanted = 0.06 * size / most
    return next((t for t in (500, 200, 100, 50, 20, 10, 5, 2) if t <= wanted), 1.0)


def _point(xy: Array) -> Point:
    return float(xy[0]), float(xy[1])


def _members(model: FrameModel, points: Array, view: View, scale: float, bands: Mapping[str, Band]) -> list[Item]:
    """Return the members from the far to the near, each with white beside it where it passes in front of another."""
    index = {n.id: k for k, n in enumerate(model.nodes)}
    flat, deep = view.flat(points), points @ np.asarray(view.sight)
    steel = [m for m in model.members if m.kind in ("tube", "bar", "plate")]
    ends = [(index[m.a], index[m.b]) for m in steel]
    order = sorted(range(len(steel)), key=lambda k: (-(deep[ends[k][0]] + deep[ends[k][1]]), steel[k].id))
    items: list[Item] = []
    first, last = (np.array([ends[k][e] for k in order], dtype=np.int64) for e in (0, 1))
    for drawn, k in enumerate(order):
        a, b = ends[k]
        look = bands.get(steel[k].id)
        wide = look.wide if look else 0.5
        beyond = first[:drawn], last[:drawn]
        which, t, u = _crossings(flat[a], flat[b], *(flat[e] for e in beyond))
        near = deep[a] + t * (deep[b] - deep[a])
        c, d = (deep[e[which]] for e in beyond)
        way = (flat[b] - flat[a]) / max(float(np.linalg.norm(flat[b] - flat[a])), 1e-9)
        reach = (wide / 2 + CLEAR) / scale
        for share in t[c + u * (d - c) - near >= APART]:
            at = flat[a] + share * (flat[b] - flat[a])
            pair = (_point(at - reach * way), _point(at + reach * way))
            items.append(Stroke(pair, colour=WHITE, wide=wide + 2 * CLEAR))
        items.append(Stroke((_point(flat[a]), _point(flat[b])), colour=look.colour if look else GREY, wide=wide))
    return items


def _crossings(a: Array, b: Array, c: Array, d: Array) -> tuple[NDArray[np.int64], Array, Array]:
    """Return which of many lines from c to d, shape (n, 2), one from a to b crosses inside both.

    Returns:
        Their numbers, and where along the one line and along each of them, as shares.
    """
    p, q, r = b - a, d - c, c - a
    cross = p[0] * q[:, 1] - p[1] * q[:, 0]
    apart = np.abs(cross) >= 1e-9
    over = np.where(apart, cross, 1.0)
    t, u = (r[:, 0] * q[:, 1] - r[:, 1] * q[:, 0]) / over, (r[:, 0] * p[1] - r[:, 1] * p[0]) / over
    which = np.flatnonzero(apart & (t > 0.0) & (t < 1.0) & (u > 0.0) & (u < 1.0))
    return which, t[which], u[which]


def _supports(model: FrameModel, points: Array, view: View, scale: float) -> list[Item]:
    """Return a small dark triangle below every mount."""
    index = {n.id: k for k, n in enumerate(model.nodes)}
    mounts: dict[str, list[int]] = {}
    for support in model.supports:
        mounts.setdefault(support.mount or support.node, []).append(index[support.node])
    items: list[Item] = []
    for nodes in mounts.values():
        x, y = view.flat(points[nodes]).mean(axis=0)
        s = 1.6 / scale
        items.append(Stroke(((x, y), (x - s, y - 1.7 * s), (x + s, y - 1.7 * s)), "thin", closed=True, fill="dark"))
    return items


def labels(at: Array, texts: Sequence[str], points: Array, scale: float) -> list[Item]:
    """Return texts beside the frame with a thin line to the place each is about, none on another.

    Args:
        at: the places, flat, mm.
        texts: one each.
        points: of the frame, flat, mm.
        scale: paper over the frame.
    """
    low, high = points.min(axis=0) * scale, points.max(axis=0) * scale
    left: list[tuple[float, int]] = []
    right: list[tuple[float, int]] = []
    middle = (low[0] + high[0]) / 2
    for k, (x, y) in enumerate(at * scale):
        (left if x < middle else right).append((float(y), k))
    items: list[Item] = []
    for side, found in ((-1.0, left), (1.0, right)):
        edge = (low[0] if side < 0 else high[0]) + side * 5.0
        heights = spread([y for y, _ in sorted(found)], SMALL * LEADING, float(low[1]), float(high[1]))
        for (_, k), y in zip(sorted(found), heights, strict=True):
            end = (edge - side * 1.0) / scale, y / scale
            items.append(Stroke((_point(at[k]), end), "thin"))
            align = "right" if side < 0 else "left"
            items.append(Words(edge / scale, y / scale, texts[k], SMALL, align, bold=True))
    return items


def spread(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Return ascending heights at least a gap apart, near the wanted ones and within bounds where there is room."""
    out: list[float] = []
    for y in wanted:
        out.append(max(y, out[-1] + gap if out else low))
    over = (out[-1] if out else high) - high
    for k in reversed(range(len(out))):
        if over <= 0:
            break
        out[k] = min(out[k], high if k == len(out) - 1 else out[k + 1] - gap)
    return out


def _legend(points: Array, scale: float, title: str, words: Sequence[str]) -> list[Item]:
    """Return the scale of colours below the frame."""
    low = points.min(axis=0) * scale
    width = float(np.ptp(points[:, 0])) * scale
    step = max(room(max(words, key=len), SMALL) * 0.75, 20.0)
    x, y = low[0] + (width - step * (len(words) - 1)) / 2, low[1] - 11.0
    items: list[Item] = [Words((low[0] + width / 2) / scale, (y + 4.5) / scale, title, SMALL)]
    for k, (said, one) in enumerate(zip(words, BANDS, strict=True)):
        at = x + k * step
        pair = ((at - 6.0) / scale, y / scale), ((at + 6.0) / scale, y / scale)
        items.append(Stroke(pair, colour=one.colour, wide=one.wide))
        items.append(Words(at / scale, (y - 4.0) / scale, said, SMALL))
    return items
