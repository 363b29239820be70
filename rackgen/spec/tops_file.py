"""The tables of a rack file about floors and sides."""

from dataclasses import dataclass
from typing import Annotated, Literal

from rackgen.spec.fields import About, Length, Table, Words, YesNo, given, refuse, wrong_if
from rackgen.spec.tops import FloorKind, FloorWish, Motif, SidesWish


@dataclass(frozen=True, kw_only=True)
class FloorTable(Table):
    """The floor. Its stock is named by `floor` under [basket]."""

    kind: Annotated[
        Literal["expanded metal", "slats", "perforated sheet", "none"] | None,
        About("what it is made of: expanded metal when left out, slats on a deck"),
    ] = None
    gap: Annotated[float | None, Length("clear between two slats, at most; they are spaced evenly", 5, 400)] = None

    def __post_init__(self) -> None:
        """Refuse a gap between what are no slats."""
        other = self.kind is not None and self.kind != "slats"
        refuse(wrong_if(self.gap is not None and other, "gap", 'that is for kind = "slats"; leave it out'))

    def record(self, *, deck: bool) -> FloorWish:
        """Return the record.

        Args:
            deck: whether it is the floor of a deck, which is of slats.
        """
        usual: FloorKind = "slats" if deck else "expanded metal"
        return FloorWish(self.kind or usual, **given(self, "kind"))


@dataclass(frozen=True, kw_only=True)
class SidesTable(Table):
    """The sides between the rings of a basket."""

    mid_rail: Annotated[
        Literal["ring", "rails"] | None,
        About("a third ring half way up, or rails between neighbouring uprights; none when left out"),
    ] = None
    slots: Annotated[
        bool | None, YesNo("slots for straps in the side plates; they have them unless something else is cut in them")
    ] = None
    text: Annotated[str | None, Words("cut through the side plates, to be read from outside")] = None
    letter_height: Annotated[
        float | None, Length("of the text's capitals; as high as there is room for when left out", 12, 400)
    ] = None
    outline: Annotated[
        str | None, Words("DXF or SVG file beside this one, whose closed outlines are cut through the side plates")
    ] = None
    outline_length: Annotated[
        float | None, Length("how long that is on the plate; as drawn when left out", 5, 3_000)
    ] = None
    bridge: Annotated[
        float | None,
        Length("width of what holds the islands of letters and outlines; by the table's kerf when left out", 0.5, 40),
    ] = None

    def __post_init__(self) -> None:
        """Refuse a text and an outline in one place, and what belongs to neither."""
        cut = self.text is not None or self.outline is not None
        refuse(
            wrong_if(self.text is not None and self.outline is not None, "outline", "a plate has room for `text` or "
                     "`outline`; leave one out"),
            wrong_if(self.letter_height is not None and self.text is None, "letter_height", "it is for `text`"),
            wrong_if(self.outline_length is not None and self.outline is None, "outline_length", "it is for `outline`"),
            wrong_if(self.bridge is not None and not cut, "bridge", "it is for `text` or `outline`"),
        )  # fmt: skip

    @property
    def asked(self) -> bool:
        """Whether anything is asked for."""
        return bool(given(self))

    def record(self, motif: Motif | None) -> SidesWish:
        """Return the record.

        Args:
            motif: what was read from the outline's file.
        """
        length = self.outline_length
        return SidesWish(motif=motif, motif_length=length, **given(self, "outline", "outline_length"))
