"""A sleeve inside a butt: a stock tube that slides in whole, else one slit to spring to the bore."""

from __future__ import annotations

import math
from dataclasses import dataclass

from rackgen.errors import Finding, Level
from rackgen.geom import spine
from rackgen.geom.frame import Frame
from rackgen.parts.kinds import BentTube, Slit
from rackgen.parts.rack import AtEnd, Joint, Placed
from rackgen.spec.shop import Shop
from rackgen.spec.stock import Round, Stock

SLIDE = (0.2, 0.8)
LEAST_GAP = 1.0
STRIP_STEP = 0.5
PLUG_HOLE = 8.0
PLUG_FROM_END = 0.25
"""Clearance on the diameter with which a whole tube slides in; least gap left in a slit one; step of the strip sawn
out; plug-weld hole, mm, and its place as a share of the sleeve's length (common practice, no source)."""


@dataclass(frozen=True)
class SleeveStock:
    """The tube a sleeve is cut from, and the strip to saw out of it, or None when it slides in whole."""

    stock: Stock
    slit: Slit | None


def gap_left(od: float, slit: Slit) -> float:
    """Return the gap that stays open when a slit sleeve is sprung to its host's bore, mm.

    The metal keeps its length round the middle of its wall, so the gap is the strip less what the smaller circle takes:
    strip - π (OD - bore).
    """
    return slit.strip - math.pi * (od - slit.bore)


def sleeve_stock(host: Round, shop: Shop) -> SleeveStock | None:
    """Return what a sleeve for a host tube is cut from, or None when nothing on the shelf will do.

    First choice is a whole tube with a clearance of `SLIDE` on the diameter; the closest-fitting one is taken. Else the
    smallest tube that is too wide to slide in, slit so that at least `LEAST_GAP` stays open.
    """
    whole = [(host.inner - s.od, s.wall, t) for t, s in shop.tubes() if SLIDE[0] <= host.inner - s.od <= SLIDE[1]]
    if whole:
        return SleeveStock(min(whole, key=lambda w: (w[0], w[1], w[2].name))[2], None)
    wide = [(s.od, s.wall, t) for t, s in shop.tubes() if s.od > host.inner - SLIDE[0]]
    if not wide:
        return None
    tube_od, _, tube = min(wide, key=lambda w: (w[0], w[1], w[2].name))
    strip = math.ceil((math.pi * (tube_od - host.inner) + LEAST_GAP) / STRIP_STEP - 1e-9) * STRIP_STEP
    return SleeveStock(tube, Slit(strip, host.inner))


def sleeve_length(host: Round) -> float:
    """Return the length of a sleeve: three diameters, to the nearest 5 mm (common practice, no source)."""
    return round(3 * host.od / 5) * 5.0


def sleeve(
    name: str, host: Stock, shop: Shop, butt: Frame, a: AtEnd, b: AtEnd
) -> tuple[tuple[Placed, ...], tuple[Joint, ...], tuple[Finding, ...]]:
    """Return a sleeve in a butt, and the joints of the butt.

    Args:
        name: id of the sleeve; the butt's joint is named after it.
        host: stock of both tubes.
        shop: whose shelf it comes from.
        butt: frame at the butt in the vehicle frame, X along the tubes.
        a: the one tube's end.
        b: the other's.
    """
    assert isinstance(host.section, Round)
    found = sleeve_stock(host.section, shop)
    joint = Joint(f"{name}.butt", "butt with sleeve", a, b, fixing="butt weld over the sleeve, dressed flush")
    if found is None:
        finding = Finding(
            "no-sleeve",
            Level.STOP,
            (a.part, b.part),
            f"nothing on the shelf fits the bore of {host.section.inner:.2f} mm as a sleeve, whole or slit",
            got=host.section.inner,
            help="put a tube on the shelf that slides in with 0.2 to 0.8 mm, or a piece of the host's own tube",
        )
        return (), (joint,), (finding,)
    length = sleeve_length(host.section)
    part = BentTube(found.stock, spine.Spine((length,)), slit=found.slit)
    placed = Placed(name, part, butt.moved((-length / 2, 0.0, 0.0)), "sleeve", 1)
    plugs = "two plug welds, ground flush"
    joints = (
        joint,
        Joint(f"{name}.plug[1]", "plug weld", AtEnd(name, "A"), a, fixing=plugs),
        Joint(f"{name}.plug[2]", "plug weld", AtEnd(name, "B"), b, fixing=plugs),
    )
    return (placed,), joints, ()
