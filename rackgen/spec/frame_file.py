"""Tables of a rack file about its frame and its mounts."""

import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Literal

from rackgen.spec import limits
from rackgen.spec.fields import About, Count, Entries, Length, Number, Table, Words, Wrong, refuse, wrong_if

Place = Annotated[float, Length("a place", -6_000, 6_000)]

OF_RAILS = ("length", "front_end", "rear_end")
"""Keys that a hoop and bows have no use for."""


def crowded(key: str, places: tuple[float, ...] | None) -> Wrong | None:
    """Return what is wrong with places that are nearer to each other than the thinnest tube is wide."""
    near = any(b - a < limits.APART for a, b in itertools.pairwise(places or ()))
    return wrong_if(near, key, "no two can stand there: places are at least {} apart", limits.APART)


@dataclass(frozen=True, kw_only=True)
class FrameTable(Table):
    """The frame that carries the basket, or carries alone."""

    kind: Annotated[
        Literal["hoop", "ladder", "bows", "bed"] | None,
        About(
            "a hoop on straps at the rear when left out; a ladder of two side rails on feet; bows across a van, each "
            "on its own pair of feet; a bed frame on posts from a pickup's bed rails"
        ),
    ] = None
    tube: Annotated[str | None, Words("tube of the frame, by its name in the shop's stock")] = None
    width: Annotated[float | None, Length("outside width", 200, 3_000)] = None
    front: Annotated[float | None, Length("x of the front tube's axis, aft of the vehicle's datum", -5_000, 8_000)] = (
        None
    )
    length: Annotated[float | None, Length("of a ladder or bed frame, outside", 300, 8_000)] = None
    front_end: Annotated[
        Literal["bent", "mitred", "open"] | None,
        About("of a ladder or bed frame: rails and front tube bent from one, mitred corners, or open rails with caps"),
    ] = None
    rear_end: Annotated[
        Literal["open", "mitred"] | None,
        About("of a ladder or bed frame: open rails with caps when left out, or a rear tube with mitred corners"),
    ] = None
    cross_bars: Annotated[
        tuple[Annotated[float, Length("a place", 1, 6_000)], ...] | None,
        Entries("aft of the front tube's axis", limits.PARTS, 0, True),
    ] = None
    bar_count: Annotated[int | None, Count("cross bars of a ladder or bed frame, evenly placed", 1, 50)] = None
    height: Annotated[
        float | None, Length("of a bed frame: from the bed rails up to the top of its side rails", 80, 2_000)
    ] = None
    knee_braces: Annotated[
        Literal["tube", "bar", "none"] | None, About("what braces the posts of a bed frame are of; tube when left out")
    ] = None
    ties: Annotated[
        tuple[Place, ...],
        Entries("straight tubes between bows, right of the middle, negative to the left", limits.PARTS, 0, True),
    ] = ()
    leg: Annotated[
        Literal["auto", "straight", "drop", "tail"] | None,
        About("how a hoop's legs end: straight, with a drop bend, continued by a butted tail, or as the roof needs"),
    ] = None
    left_leg: Annotated[
        float | None, Length("left leg from the front's outside, where legs are unequal", 100, 6_000)
    ] = None
    right_leg: Annotated[float | None, Length("right leg from the front's outside", 100, 6_000)] = None
    rake: Annotated[float | None, Number("fall of the frame to the rear", -10, 10, "degrees")] = None
    roll: Annotated[
        float | None, Number("fall of the frame to the right; level across when left out", -5, 5, "degrees")
    ] = None

    def __post_init__(self) -> None:
        """Refuse what another kind of frame has, and cross bars in each other."""
        kind = self.kind or "hoop"
        rails = kind in ("ladder", "bed")
        both = self.bar_count is not None and self.cross_bars is not None
        only = 'that is for kind = {}; this frame is a "{}": leave it out'

        def alone(key: str, of: str, fits: bool) -> Wrong | None:
            given = getattr(self, key) not in (None, ())
            return wrong_if(given and not fits, key, only.replace("{}", of, 1).replace("{}", kind, 1))

        refuse(
            crowded("cross_bars", self.cross_bars),
            crowded("ties", self.ties),
            wrong_if(both, "bar_count", "give cross_bars, or how many; not both"),
            *(alone(key, '"ladder" or "bed"', rails) for key in (*OF_RAILS, "bar_count")),
            *(alone(key, '"hoop"', kind == "hoop") for key in ("left_leg", "right_leg")),
            wrong_if(
                kind != "hoop" and self.leg == "drop", "leg", f'only a hoop\'s legs drop; this frame is a "{kind}"'
            ),
            alone("leg", '"hoop", "ladder" or "bed"', kind != "bows" or self.leg in ("auto", "drop")),
            *(alone(key, '"bed"', kind == "bed") for key in ("height", "knee_braces")),
            *(alone(key, '"bows"', kind == "bows") for key in ("ties",)),
            *(alone(key, '"hoop", "ladder" or "bed"', kind != "bows") for key in ("cross_bars", "width", "front")),
            wrong_if(kind == "bed" and self.height is None, "height", "add `height`: from the bed rails to its top"),
        )


@dataclass(frozen=True, kw_only=True)
class MountsTable(Table):
    """The mounts."""

    front: Annotated[
        Literal["roof", "gutter", "threads", "track", "bed rail"] | None,
        About("what the front feet stand on; what the vehicle has when left out"),
    ] = None
    rear: Annotated[
        Literal["rear corner", "roof", "gutter", "threads", "track", "bed rail"] | None,
        About("what the rear feet stand on: a hoop's legs on straps round the rear corners, other frames on feet"),
    ] = None
    pairs: Annotated[
        int | None, Count("pairs of feet; all that the vehicle has under the frame's length when left out", 1, 50)
    ] = None
    tilt: Annotated[
        Literal["foot", "cope"] | None,
        About("cure of a tilted plate: the stub's foot cut to its angle, or a square foot and a deeper cope"),
    ] = None
    plate: Annotated[str | None, Words("plate of the mount plates, by its name in the shop's stock")] = None
    strap: Annotated[str | None, Words("flat bar of rear straps and braces, by its name in the shop's stock")] = None
    wrap: Annotated[str | None, Words("flat bar of the wraps, by its name in the shop's stock")] = None
    plate_rivets: Annotated[int | None, Count("fasteners of each plate on the roof, an even number", 4, 16)] = None

    fastener: Annotated[
        Literal["rivets", "rivet nuts", "bolts"] | None,
        About("of plates on the roof: rivets when left out, bolts into rivet nuts, or bolts through backing strips"),
    ] = None

    def __post_init__(self) -> None:
        """Refuse a plate whose two rows are not alike."""
        odd = self.plate_rivets is not None and self.plate_rivets % 2 == 1
        refuse(wrong_if(odd, "plate_rivets", "an even number: half of them on each side of the saddle"))


def across_frame(frame: FrameTable, mounts: MountsTable, bare: bool) -> Iterator[Wrong | None]:
    """Yield what is wrong between a frame, its mounts and what lies on it.

    Args:
        frame: the frame.
        mounts: the mounts.
        bare: whether nothing lies on it.
    """
    kind = frame.kind or "hoop"
    yield wrong_if(
        kind == "hoop" and mounts.rear not in (None, "rear corner"),
        "mounts.rear",
        'a hoop\'s legs end on straps, rear = "rear corner"; a ladder frame stands on other feet at the rear',
    )
    yield wrong_if(
        kind != "hoop" and mounts.rear == "rear corner",
        "mounts.rear",
        f"straps round the rear corners hold a hoop's legs; a {kind} frame stands on feet",
    )
    yield wrong_if(
        kind == "hoop" and mounts.pairs is not None,
        "mounts.pairs",
        "a hoop stands on its straps and on every foot of one kind that the vehicle has; leave it out",
    )
    yield wrong_if(
        kind == "bows" and mounts.tilt == "cope",
        "mounts.tilt",
        'the legs of a bow are cut to their feet: leave `tilt` out, or set it to "foot"',
    )
    for key in ("front", "rear") if kind == "bed" else ():
        yield wrong_if(
            getattr(mounts, key) not in (None, "bed rail", *(("rear corner",) if key == "rear" else ())),
            f"mounts.{key}",
            "a bed frame stands on bed rails; leave it out, or ask for a ladder frame",
        )
    for key in ("rake", "roll") if kind == "bows" else ():
        yield wrong_if(
            (getattr(frame, key) or 0.0) != 0.0, f"frame.{key}", f"each bow follows the roof: leave `{key}` out"
        )
    yield wrong_if(
        kind != "hoop" and mounts.wrap is not None,
        "mounts.wrap",
        f'a wrap goes round a rear corner under a hoop\'s strap; this frame is a "{kind}": leave it out',
    )
    braced = kind == "bed" and frame.knee_braces == "bar"
    yield wrong_if(
        kind != "hoop" and not braced and mounts.strap is not None,
        "mounts.strap",
        f'that is for straps under a hoop, or knee braces of bar; this frame is a "{kind}": leave it out',
    )
