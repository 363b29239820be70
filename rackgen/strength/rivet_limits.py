"""Rivets of a frame: shear, tension with prying, both at once, each by itself and as a group of a rigid plate.

Each rivet is a support of the model, so that its force comes from the frame with its plates as they bend; the group by
the elastic method shares what the mount bears as if the plate were rigid, and the worse of the two counts. Prying: the
tension is multiplied by what the AISC manual's part 9 gives for the plate under the head when its rivet is at what it
may bear; the skin is taken as hard, which is on the safe side.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence

import numpy as np

from rackgen.geom.frame import Array
from rackgen.parts.rack import Rack
from rackgen.refs.registry import number
from rackgen.refs.strengths import weakest
from rackgen.spec.shop import Shop
from rackgen.spec.vehicle import Vehicle
from rackgen.strength.fastener_group import elastic_group
from rackgen.strength.limits import Limit, Loaded, Spot
from rackgen.strength.model import FrameModel
from rackgen.strength.rivet_places import Fastened, fastened
from rackgen.strength.skin import OMEGA_SHEET

OMEGA_BEARING = 2.0
"""Factor of safety of steel in bearing at a fastener (AISC 360 J3.10)."""

ALIKE = 0.9
"""Rivets of a mount whose axes are this near alike, as the cosine between them, are one group."""

IN_LINE = 1.0
"""Rivets no farther than this from one line stand in a row, mm."""

FOR_SHEET = "factor 3.0 of AISI S100 for fasteners in sheet"


def rivet_limits(model: FrameModel, rack: Rack, vehicle: Vehicle, shop: Shop) -> tuple[Limit, ...]:
    """Return the checks of the rivets that hold a frame to its vehicle; none where there are no rivets.

    Raises:
        RackgenError: what a rivet bears, the grade of what it holds, or what it goes into is not known.
    """
    rivets = fastened(model, rack, vehicle, shop)
    if not rivets:
        return ()
    made = "; ".join(dict.fromkeys(r.strength.source for r in rivets))
    tag = weakest(r.strength.tag for r in rivets)
    skin = number("skin-tensile")
    both = weakest([tag, skin.tag, "memory"])
    # EN 1993-1-3 8.3: the shares of shear and tension are added.
    mixed = f"shares added as EN 1993-1-3 8.3 (from memory), prying by AISC manual part 9 (from memory), {FOR_SHEET}"
    return (
        Limit("rivet-shear", "Rivets: shear", OMEGA_SHEET, "ultimate load of the rivet", f"{made}; {FOR_SHEET}", tag,
              _spots(rivets, lambda r: f"{r.strength.shear:.0f} N"),
              _each(rivets, lambda r, v, _: v / r.strength.shear)),
        Limit("rivet-tension", "Rivets: tension with prying", OMEGA_SHEET, "ultimate load of the rivet",
              f"{made}; prying by AISC manual part 9 (from memory); {FOR_SHEET}", weakest([tag, "memory"]),
              _spots(rivets, lambda r: f"{r.strength.tension:.0f} N, prying {r.pried:.2f}"),
              _each(rivets, lambda r, _, t: r.pried * t / r.strength.tension)),
        Limit("rivet-combined", "Rivets in skin: shear and tension together", OMEGA_SHEET,
              "ultimate load of rivet and skin", f"{mixed}; {made}", both, _spots(rivets, _both),
              _each(rivets, _mixed)),
        Limit("rivet-group", "Rivets in skin: the group on a rigid plate", OMEGA_SHEET,
              "ultimate load of rivet and skin", f"elastic method; {mixed}; {made}", both, _spots(rivets, _both),
              _groups(rivets, model)),
        Limit("plate-bearing", "Plates and straps: bearing and edge at rivets", OMEGA_BEARING, "tensile strength",
              "AISC 360 J3.10 (from memory)", weakest([*(r.tag for r in rivets), "memory"]),
              _spots(rivets, lambda r: f"{r.plate:.0f} N"),
              _each(rivets, lambda r, v, _: v / r.plate if r.plate > 0 else np.full_like(v, np.inf),
                    OMEGA_BEARING)),
    )  # fmt: skip


def _both(r: Fastened) -> str:
    return f"{r.in_shear:.0f} N in shear, {r.in_tension:.0f} N in tension, prying {r.pried:.2f}; {r.skin.words}"


def _mixed(r: Fastened, shear: Array, tension: Array) -> Array:
    return shear / r.in_shear + r.pried * tension / r.in_tension


def _spots(rivets: Sequence[Fastened], bears: Callable[[Fastened], str]) -> tuple[Spot, ...]:
    return tuple(spot(r, bears(r)) for r in rivets)


def spot(rivet: Fastened, bears: str) -> Spot:
    """Return the place of a rivet, with what it bears."""
    number_ = rivet.rivet.id.rpartition(".")[2].removeprefix("rivet[").removesuffix("]")
    return Spot(
        f"rivet {number_} of the mount {rivet.mount.replace('_', ' ')}",
        (rivet.rivet.id,),
        rivet.rivet.frame.origin,
        bears,
        ("rivet", f"mounts.{rivet.mount}"),
    )


def shear_and_tension(force: Array) -> tuple[Array, Array]:
    """Return shear and tension from forces of the vehicle on the frame in a rivet's axes, shape (3 or more, cases)."""
    return np.hypot(force[0], force[1]), np.maximum(-force[2], 0.0)


def _each(rivets: Sequence[Fastened], used: Callable[[Fastened, Array, Array], Array], factor: float = OMEGA_SHEET
          ) -> Callable[[Loaded], Array]:  # fmt: skip
    def use(loaded: Loaded) -> Array:
        return np.stack([factor * used(r, *shear_and_tension(loaded.supports[r.support])) for r in rivets])

    return use


def groups_of(rivets: Sequence[Fastened]) -> tuple[tuple[int, ...], ...]:
    """Return the rivets of each mount that go into one face, by their numbers in `rivets`."""
    out: dict[str, list[list[int]]] = defaultdict(list)
    for i, rivet in enumerate(rivets):
        way = np.asarray(rivet.rivet.frame.z)
        near = (g for g in out[rivet.mount] if float(way @ np.asarray(rivets[g[0]].rivet.frame.z)) > ALIKE)
        found = next(near, None)
        if found is None:
            out[rivet.mount].append([i])
        else:
            found.append(i)
    return tuple(tuple(g) for of_mount in out.values() for g in of_mount)


def _groups(rivets: Sequence[Fastened], model: FrameModel) -> Callable[[Loaded], Array]:
    at = {n.id: np.asarray(n.at) for n in model.nodes}
    groups = groups_of(rivets)
    axes = [_axes(model, r) for r in rivets]

    def use(loaded: Loaded) -> Array:
        out = np.zeros((len(rivets), loaded.supports.shape[2]))
        for group in groups:
            points = np.array([at[model.supports[rivets[i].support].node] for i in group])
            on = np.stack([axes[i].T @ loaded.supports[rivets[i].support, :3] for i in group])
            r = points - points.mean(axis=0)
            moment = np.asarray(np.cross(r[:, :, None], on, axis=1), dtype=np.float64).sum(axis=0)
            own, rocking = _about_row(r, moment)
            shared = elastic_group(points, on.sum(axis=0), own)
            for k, i in enumerate(group):
                shear, tension = shear_and_tension(axes[i] @ shared[k])
                # A row rocks on the edge of its bar.
                tension = tension + rocking / (len(group) * max(rivets[i].rim, 1.0))
                out[i] = OMEGA_SHEET * _mixed(rivets[i], shear, tension)
        return out

    return use


def _axes(model: FrameModel, rivet: Fastened) -> Array:
    support = model.supports[rivet.support]
    z = np.asarray(support.z)
    x = np.asarray(support.x)
    return np.array([x, np.cross(z, x), z])


def _about_row(r: Array, moment: Array) -> tuple[Array, Array]:
    """Return the moment that a group holds by its levers, and what a row would have to hold about itself."""
    # The longest way of the points, and how far they lie beside it.
    values, ways = np.linalg.eigh(r.T @ r)
    if float(values[1]) > IN_LINE**2:
        return moment, np.zeros_like(moment[0])
    if float(values[2]) <= IN_LINE**2:
        size: Array = np.sqrt((moment**2).sum(axis=0))
        return np.zeros_like(moment), size
    along = ways[:, 2]
    about = along @ moment
    return moment - along[:, None] * about[None], np.abs(about)
