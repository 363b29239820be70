"""Which flat bar a fitting is of."""

from __future__ import annotations

from rackgen.design.choose import bar_width, thickness
from rackgen.design.fittings.placing import refused
from rackgen.design.site import Site
from rackgen.spec.stock import Stock


def bar_for(site: Site, entry: int, name: str | None, usual: tuple[float, float], widest: float | None = None) -> Stock:
    """Return the bar that is named, else the shelf's nearest to a width and thickness.

    Args:
        site: the site.
        entry: number of the fitting.
        name: of the stock, or None.
        usual: width and thickness, mm.
        widest: no bar that is wider would do, mm.

    Raises:
        BadInput: there is none.
    """
    bars = [s for s, _ in site.shop.bars()]
    if name is not None:
        return next(s for s in bars if s.name == name)
    fits = [s for s in bars if widest is None or bar_width(s) <= widest + 1e-6]
    if not fits:
        raise refused(site, entry, "bar", f"put flat bar of about {usual[0]:g} x {usual[1]:g} mm on the shelf")
    return min(fits, key=lambda s: (abs(bar_width(s) - usual[0]) + 4 * abs(thickness(s) - usual[1]), s.name))
