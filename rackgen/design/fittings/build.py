"""The fittings that a rack file asks for, one group each, in the file's order but for a deflector, which is first."""

from __future__ import annotations

from typing import assert_never

from rackgen.design.fittings.brackets import brackets
from rackgen.design.fittings.deflector import deflector
from rackgen.design.fittings.ladder import ladder
from rackgen.design.fittings.lamp_tabs import lamp_tabs
from rackgen.design.fittings.loops import loops
from rackgen.design.site import Site
from rackgen.errors import BadInput, Mistake
from rackgen.parts.rack import Group
from rackgen.spec.fittings import BracketsWish, DeflectorWish, FittingWish, LadderWish, LampTabsWish, LoopsWish


def with_fittings(site: Site) -> Site:
    """Return the site with every fitting on it; a later one keeps off those before it, and all off a deflector.

    Raises:
        BadInput: what cannot stand where it is asked for, of all fittings at once.
    """
    wrong: list[Mistake] = []
    # Its sheet goes from side to side, and what else is at the front goes where the sheet leaves room.
    for wish in sorted(site.spec.fittings, key=lambda w: not isinstance(w, DeflectorWish)):
        try:
            site = site.with_group(fitting(site, wish))
        except BadInput as refusal:
            wrong += refusal.mistakes
    if wrong:
        raise BadInput(wrong)
    return site


def fitting(site: Site, wish: FittingWish) -> Group:
    """Return the parts of one fitting.

    Raises:
        BadInput: it cannot stand where it is asked for.
    """
    match wish:
        case LampTabsWish():
            return lamp_tabs(site, wish)
        case LoopsWish():
            return loops(site, wish)
        case BracketsWish():
            return brackets(site, wish)
        case DeflectorWish():
            return deflector(site, wish)
        case LadderWish():
            return ladder(site, wish)
        case _:
            assert_never(wish)
