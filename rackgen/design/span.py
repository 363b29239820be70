"""How far a floor may span between its bearers."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

from rackgen.design.choose import Choice
from rackgen.errors import Finding, Level
from rackgen.refs.registry import number
from rackgen.spec.rack import RackSpec
from rackgen.spec.shop import Shop
from rackgen.spec.stock import Expanded, Flat, Perforated

LARGEST_BAY = 230.0
"""Largest bay between bearers that is usual, mm (common practice, no source)."""

WIDER = 20.0
"""How much wider than the slats that are asked for a bar may be that is named instead, mm."""

CONTINUOUS = 5.0
"""A load in a span of a bar that goes on beyond its bearers bends it by load times span over so much: 4 for a single
span, 4.9 for the end span of two (PL · 13/64; from memory of beam tables), 5.7 for those inside."""


@dataclass(frozen=True)
class Span:
    """The farthest that a floor may span.

    Attributes:
        most: mm.
        source: where that is from.
        why: the rule in words.
        rough: whether the rule is but a rule of thumb.
    """

    most: float
    source: str
    why: str
    rough: bool = False


def floor_span(spec: RackSpec, choice: Choice) -> Span | None:
    """Return how far the floor may span between bearers; None where it lies on none."""
    if choice.floor is None:
        return None
    section = choice.floor.section
    if isinstance(section, Expanded):
        return mesh_span(section)
    if isinstance(section, Flat):
        return slat_span(section, spec.floor.gap)
    if isinstance(section, Perforated):
        return Span(1.5 * LARGEST_BAY, "common practice, no source", f"up to {LARGEST_BAY:.0f} mm is usual")
    return None


def mesh_span(section: Expanded) -> Span:
    """Return how far expanded metal spans along the long way of its diamonds with a person standing on it.

    The rule gives one style its span; others are held to it by mass per area times width of strand, which goes as
    their section modulus, for a raised diamond is about twice as deep as its strand is wide. Flattened metal has
    two thirds of that. No style spans more than the rule's.
    """
    rule, share = number("mesh-span"), number("mesh-flattened")
    mass, strand = number("mesh-span-mass").value, number("mesh-span-strand").value
    stout = section.mass_per_area * section.strand_width / (mass * strand)
    if section.style == "flattened":
        stout *= share.value
    most = rule.value * min(1.0, stout)
    return Span(most, rule.cited, f"this {section.style} metal spans up to {most:.0f} mm with a person on it", True)


def slat_span(section: Flat, gap: float) -> Span:
    """Return how far a flat bar spans with a person's foot in a span, by bending to yield of common mild steel.

    The foot is the square of a forefoot or heel, laid even over its length: in the middle of a span it bends the bar by
    half its own length less than all of it in one point.

    Args:
        section: of the bar, lying flat.
        gap: clear between two bars, mm: a foot stands on as many as it is long enough to reach.
    """
    load, foot, steel = number("foot-load"), number("foot-width").value, number("foot-stress").value
    shared = max(1, int((foot + gap) // (section.width + gap)))
    modulus = section.width * section.thickness**2 / 6
    most = CONTINUOUS * shared * modulus * steel / load.value + foot / 2
    return Span(most, load.cited, f"a slat of this bar carries a foot of {load.value:.0f} N over up to {most:.0f} mm")


def thin_slats(spec: RackSpec, shop: Shop, choice: Choice) -> tuple[Finding, ...]:
    """Return a note where thin slats ask for more bearers than is usual, with a bar on the shelf that does not."""
    floor = choice.floor
    if floor is None or not isinstance(floor.section, Flat):
        return ()
    span = slat_span(floor.section, spec.floor.gap)
    if span.most >= LARGEST_BAY:
        return ()
    stouter = sorted(
        (f.width * f.thickness, s.name)
        for s, f in shop.bars()
        if slat_span(f, spec.floor.gap).most >= LARGEST_BAY and f.width <= floor.section.width + WIDER
    )
    instead = f"take {stouter[0][1]} for them" if stouter else "put stouter bar on the shelf"
    return (
        Finding(
            "slats-thin", Level.NOTE, (),
            f"{span.why}: bearers stand that close, where {LARGEST_BAY:.0f} mm is usual",
            got=span.most, limit=LARGEST_BAY, source=span.source, keys=("basket.floor", "floor.gap"),
            help=f"{instead}, or lay them nearer to one another, so that a foot stands on two",
        ),
    )  # fmt: skip


def largest_bay(spec: RackSpec, choice: Choice) -> float:
    """Return the largest bay between bearers that are placed by the rules, mm.

    Slats follow their span; the rule of expanded metal is too rough to fill a basket with bearers by.
    """
    span = floor_span(spec, choice)
    if span is None or (choice.floor is not None and isinstance(choice.floor.section, Expanded)):
        return LARGEST_BAY
    return min(LARGEST_BAY, max(60.0, span.most))


def wide_bays(spec: RackSpec, choice: Choice, bearers: tuple[float, ...], reach: float) -> tuple[Finding, ...]:
    """Return a look, by a rule of thumb a note, where the floor spans farther between bearers than it may.

    Args:
        spec: for the floor.
        choice: of stock.
        bearers: from mid-length, mm.
        reach: of the end tubes' axes from mid-length, mm.
    """
    span = floor_span(spec, choice)
    if span is None:
        return ()
    places = (-reach, *sorted(bearers), reach)
    widest = max(b - a for a, b in itertools.pairwise(places))
    if widest <= span.most + 1e-6:
        return ()
    return (
        Finding(
            "bay-wide",
            # A rule of thumb does not speak against a bay that many build.
            Level.NOTE if span.rough and widest <= 1.5 * LARGEST_BAY else Level.LOOK,
            (),
            f"the floor spans {widest:.0f} mm between bearers; {span.why}",
            got=widest,
            limit=span.most,
            source=span.source,
            keys=("basket.bearers", "basket.floor"),
            help=f"bearers at most {span.most:.0f} mm apart, or a stouter floor",
        ),
    )
