"""How far every part stays from the roof and from the vehicle's obstacles.

Tubes are measured by centreline and radius, everything else by points of its surface, against `Roof.gap`. Beside the
roof, where nothing was measured, the distance counts to the roof's side edge.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from rackgen.check.bodies import Body, box_distance
from rackgen.check.result import Gap
from rackgen.errors import Finding, Level
from rackgen.geom.cope import heights
from rackgen.geom.frame import Array, clock_of, vec
from rackgen.geom.spine import arc_length, length
from rackgen.geom.surface import Roof
from rackgen.mesh.points import end_curves, flat_points, points
from rackgen.mesh.sweep import along, evenly
from rackgen.parts.kinds import BentTube, Bought, FoldedBar, UBoltShape
from rackgen.parts.marks import marks
from rackgen.parts.rack import PartId, Placed, Rack
from rackgen.spec.rack import Gaps
from rackgen.spec.shop import BOW
from rackgen.spec.vehicle import Obstacle, Vehicle

ALONG_TUBE = 10.0
ACROSS_FLAT = 25.0
"""Spacing of the points that are measured, mm: over a curve of 1 m radius the nearest lies 0.08 mm nearer at most."""

NEAR_OBSTACLE = 20.0
"""Closer than this to an obstacle is a look, mm (common practice, no source)."""

STRAP = "rear strap"
"""What the shop calls the part of a mount whose level flat has to clear the roof."""

NOISE = 0.02
"""Gaps that miss their limit by less are not spoken of, mm."""


LADDER_FEET = ("ladder standoff", "ladder foot", "ladder pad")
"""What the shop calls the parts of a ladder that stand on the rear face."""


def on_the_body(placed: Placed) -> bool:
    """Return whether a part sits on the body by design: everything that belongs to a mount, and a ladder's feet."""
    return placed.id.startswith("mount.") or placed.word in LADDER_FEET


def limit(placed: Placed, wish: Gaps) -> float | None:
    """Return the gap to the roof that a part is held to, mm, or None for what sits on the body."""
    if isinstance(placed.part, FoldedBar) and placed.word == STRAP:
        return wish.tube
    if on_the_body(placed):
        return None
    return wish.tube if isinstance(placed.part, BentTube) else wish.bow


def gaps(rack: Rack, roof: Roof, wish: Gaps) -> tuple[Gap, ...]:
    """Return the gap of every part, nearest first."""
    names = marks(rack)
    out: list[Gap] = []
    tubes = [p for p in rack.placed if isinstance(p.part, BentTube)]
    others = [p for p in rack.placed if not isinstance(p.part, BentTube)]
    rows = [
        *_rows(tubes, [_tube_points(p, roof) for p in tubes], roof),
        *_rows(others, [_over_stations(p, _points(p), roof, wish) for p in others], roof),
    ]
    for placed, gap, at in rows:
        known = math.isfinite(gap)
        out.append(
            Gap(
                placed.id,
                names[placed.id],
                placed.word,
                round(gap, 3) + 0.0 if known else None,
                vec(np.round(at, 3) + 0.0) if known else None,
                limit(placed, wish),
            )
        )
    return tuple(sorted(out, key=lambda g: (g.gap is None, g.gap or 0.0, g.part)))


def _over_stations(placed: Placed, cloud: Array, roof: Roof, wish: Gaps) -> Array:
    """Return the points to measure: of what sits on the body, those between the stations only.

    Behind the last station the body turns down, and a strap on its rear face would read as far below the roof.
    """
    if limit(placed, wish) is not None:
        return cloud
    first, last = roof.sections[0].x, roof.sections[-1].x
    return cloud[(cloud[:, 0] >= first) & (cloud[:, 0] <= last)]


def roof_findings(table: tuple[Gap, ...], rack: Rack, wish: Gaps) -> list[Finding]:
    """Return what is nearer the roof than is wanted."""
    out: list[Finding] = []
    for row in table:
        if row.limit is None or row.gap is None or row.gap > row.limit - NOISE:
            continue
        part = rack.part(row.part).part
        bow = isinstance(part, Bought) and isinstance(part.shape, UBoltShape)
        stop = wish.tube_stop if row.limit == wish.tube else row.limit / 2
        out.append(
            Finding(
                "bow-near-roof" if bow else "near-roof",
                Level.STOP if row.gap < stop - NOISE else Level.LOOK,
                (row.part,),
                f"{row.word} {row.mark} is {row.gap:.1f} mm from the roof; {row.limit:g} mm is wanted",
                at=row.at,
                got=row.gap,
                limit=row.limit,
                keys=("clearances.bow" if row.limit == wish.bow else "clearances.tube",),
                help=f"lift the rack by {row.limit - row.gap:.0f} mm: longer saddles, or less rake",
            )
        )
    return out


def obstacle_findings(of: Mapping[PartId, Body], vehicle: Vehicle) -> list[Finding]:
    """Return what runs into the vehicle's obstacles or comes close to them."""
    out: list[Finding] = []
    for obstacle in vehicle.obstacles:
        for one in of.values():
            gap = box_distance(one, obstacle.low, obstacle.high, NEAR_OBSTACLE)
            if gap < NEAR_OBSTACLE - NOISE:
                out.append(_near(one.placed, obstacle, gap))
    return out


def _near(placed: Placed, obstacle: Obstacle, gap: float) -> Finding:
    through = gap <= 0
    says = "runs into" if through else f"is {gap:.1f} mm from"
    return Finding(
        "in-obstacle" if through else "near-obstacle",
        Level.STOP if through else Level.LOOK,
        (placed.id,),
        f"{placed.word} {says} {obstacle.name}",
        at=vec((np.asarray(obstacle.low) + np.asarray(obstacle.high)) / 2),
        got=max(0.0, gap),
        limit=NEAR_OBSTACLE,
        keys=("obstacles",),
        help=f"keep {NEAR_OBSTACLE:g} mm from {obstacle.name}: move the rack, or measure the obstacle again",
    )


def _points(placed: Placed) -> Array:
    """Return the places of a part that is not a tube where it may be nearest the roof, vehicle frame, mm."""
    if isinstance(placed.part, FoldedBar) and placed.word == STRAP:
        # A strap's body flat lies on the rear face; only its level flat has to clear the roof.
        part = placed.part
        flats = [flat_points(part, k, ACROSS_FLAT) for k in range(len(part.flats))]
        level = [placed.frame.points(f) for f in flats if _level(placed, f)]
        return np.concatenate(level) if level else np.zeros((0, 3))
    return placed.frame.points(points(placed.part, ACROSS_FLAT))


def _level(placed: Placed, flat: Array) -> bool:
    """Return whether the points of both faces of a flat lie nearer level than upright."""
    half = len(flat) // 2
    off = placed.frame.points(flat[0]) - placed.frame.points(flat[half])
    return abs(float(off[2])) > math.sqrt(0.5) * float(np.linalg.norm(off))


def _tube_points(placed: Placed, roof: Roof) -> Array:
    """Return the points of a tube's outside nearest the roof along its length, and its end curves, vehicle frame."""
    part = placed.part
    assert isinstance(part, BentTube)
    outer, total = part.fitted.od / 2, length(part.spine)
    here = along(part.spine, evenly(part.spine, ALONG_TUBE))
    middle = placed.frame.points(here.origins)
    axes = placed.frame.rotation() @ here.axes
    down = -_up(middle, roof)
    across = down - np.einsum("ni,ni->n", down, axes[:, :, 0])[:, None] * axes[:, :, 0]
    size = np.linalg.norm(across, axis=1)
    clear = size > 1e-3
    toward = across / np.where(clear, size, 1.0)[:, None]
    local = np.einsum("nij,ni->nj", axes, toward)
    clock = np.array([clock_of(v) for v in local])
    steel = (here.s >= heights(part.end_a, outer, clock)) & (here.s <= total - heights(part.end_b, outer, clock))
    if placed.word == BOW:
        # Its legs stand on the body; what has to clear the roof is its back, from shoulder to shoulder.
        (one, *_, other), (a, *_, b) = part.spine.straights, (arc_length(bend) for bend in part.spine.bends)
        first, last = one + a, total - other - b
        return (middle + outer * toward)[clear & steel & (here.s >= first) & (here.s <= last)]
    return np.concatenate([(middle + outer * toward)[clear & steel], placed.frame.points(end_curves(part))])


def _up(p: Array, roof: Roof) -> Array:
    """Return the direction away from the roof at each point, shape (n, 3), unit length."""
    zx, zy = roof.slope(p[:, 0], p[:, 1])
    over = np.isfinite(zx)
    n = np.column_stack([np.where(over, -zx, 0.0), np.where(over, -zy, 0.0), np.ones(len(p))])
    beside = np.flatnonzero(~over)
    if len(beside):
        near = _nearest_edge(p[beside], roof)
        away = p[beside] - near
        size = np.linalg.norm(away, axis=1)
        ok = np.isfinite(size) & (size > 1e-9)
        n[beside[ok]] = away[ok]
    return n / np.linalg.norm(n, axis=1)[:, None]


def _rows(placed: list[Placed], clouds: list[Array], roof: Roof) -> list[tuple[Placed, float, Array]]:
    """Return each part's least gap and its place; one look at the roof for all parts together."""
    if not placed:
        return []
    clouds = _lowest(clouds, roof)
    gap = roof_gap(np.concatenate(clouds), roof)
    out: list[tuple[Placed, float, Array]] = []
    at = 0
    for one, cloud in zip(placed, clouds, strict=True):
        mine = gap[at : at + len(cloud)]
        k = int(np.argmin(mine)) if len(mine) else -1
        out.append((one, float(mine[k]), cloud[k]) if k >= 0 else (one, math.inf, np.zeros(3)))
        at += len(cloud)
    return out


def _lowest(clouds: list[Array], roof: Roof) -> list[Array]:
    """Return of each cloud the points that can be the nearest to the roof, judged by their heights alone.

    Where the roof is nowhere steeper than k, a point h above it is between h / sqrt(1 + k²) and h away from it, and
    h changes by no more than k times a step aside.
    """
    steep = _steepest(roof)
    slant = math.sqrt(1 + steep**2) - 1
    lows = np.array([cloud[int(np.argmin(cloud[:, 2]))] if len(cloud) else np.zeros(3) for cloud in clouds])
    drops = lows[:, 2] - roof.height(lows[:, 0], lows[:, 1])
    near: list[Array] = []
    for cloud, low, drop in zip(clouds, lows, drops, strict=True):
        if math.isfinite(drop):
            aside = np.hypot(cloud[:, 0] - low[0], cloud[:, 1] - low[1])
            cloud = cloud[cloud[:, 2] - low[2] - steep * aside <= slant * abs(float(drop)) + 0.01]
        near.append(cloud)
    every = np.concatenate(near)
    each = every[:, 2] - roof.height(every[:, 0], every[:, 1])
    out: list[Array] = []
    for cloud, drop in zip(near, np.split(each, np.cumsum([len(c) for c in near])[:-1]), strict=True):
        least = float(np.nanmin(drop)) if np.isfinite(drop).any() else math.inf
        out.append(cloud[~(drop > least + slant * abs(least) + 0.01)])
    return out


def _steepest(roof: Roof) -> float:
    """Return the largest slope of the roof on a grid of 41 by 41 places, with a tenth in hand."""
    first, last = roof.span()
    wide = max(max(s.left, s.right) for s in roof.sections)
    x, y = np.meshgrid(np.linspace(first, last, 41), np.linspace(-wide, wide, 41))
    zx, zy = roof.slope(x.ravel(), y.ravel())
    return 1.1 * float(np.nanmax(np.hypot(zx, zy)))


def roof_gap(p: Array, roof: Roof) -> Array:
    """Return the distance of points from the roof, mm, shape (n,): signed over it, to its side edges beside it.

    Infinite ahead of and behind the measured stations.
    """
    out = roof.gap(p)
    beside = np.flatnonzero(np.isinf(out))
    if len(beside):
        reach = np.linalg.norm(p[beside] - _nearest_edge(p[beside], roof), axis=1)
        out[beside] = np.where(np.isfinite(reach), reach, np.inf)
    return out


def _nearest_edge(p: Array, roof: Roof) -> Array:
    """Return the nearest points of the roof's side edges, shape (n, 3); NaN ahead of and behind the stations."""
    first, last = roof.sections[0].x, roof.sections[-1].x
    out = np.full((len(p), 3), np.nan)
    abreast = (p[:, 0] >= first) & (p[:, 0] <= last)
    if not abreast.any():
        return out
    q = p[abreast]
    x, side = q[:, 0], q[:, 1]
    # The edge runs nearly fore and aft, so its point abreast is the nearest but for its slope; two steps mend that.
    for _ in range(2):
        edge = _edge(x, side, roof)
        toward = _edge(x + 1.0, side, roof) - edge
        step = np.einsum("ni,ni->n", q - edge, toward) / np.einsum("ni,ni->n", toward, toward)
        x = np.clip(x + step, first, last - 1.0)
    out[abreast] = _edge(x, side, roof)
    return out


def _edge(x: Array, side: Array, roof: Roof) -> Array:
    y = np.sign(np.where(side == 0, 1.0, side)) * (roof.half_width(x, side) - 1e-6)
    return np.column_stack([x, y, roof.height(x, y)])
