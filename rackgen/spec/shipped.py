"""Where the presets that come with the program stand."""

from functools import lru_cache
from pathlib import Path

import rackgen
from rackgen.errors import RackgenError


@lru_cache(maxsize=1)
def shipped() -> Path:
    """Return the folder of the shipped presets: `shops/`, `vehicles/`, `racks/` and `schemas/` stand in it.

    In a wheel the folder is inside the package; in a checkout, installed for editing or not, it stands beside
    the package at the top, where people read and edit it.

    Raises:
        RackgenError: the folder is in neither place, so the installation is not whole.
    """
    package = Path(rackgen.__file__).resolve().parent
    places = (package / "presets", package.parent / "presets")
    for place in places:
        if place.is_dir():
            return place
    raise RackgenError(f"the shipped presets are missing: neither {places[0]} nor {places[1]} is a folder")
