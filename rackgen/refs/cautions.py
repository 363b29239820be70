"""The usual cautions of the trade, as texts with their sources."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from importlib.resources import files


@dataclass(frozen=True)
class Caution:
    """Cautions under one heading, and where they come from."""

    head: str
    source: str
    texts: tuple[str, ...]


def usual_cautions() -> tuple[Caution, ...]:
    """Return the cautions of the trade in the order they are read."""
    text = (files("rackgen.refs") / "cautions.toml").read_text(encoding="utf-8")
    return tuple(
        Caution(c["head"], c["source"], tuple(c["texts"])) for c in tomllib.loads(text)["caution"]
    )  # fmt: skip
