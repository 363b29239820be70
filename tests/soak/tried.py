"""One sample through everything: read, designed, checked, made solid, and held to every law."""

from __future__ import annotations

import time
import traceback
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Literal

from rackgen import job
from rackgen.errors import BadInput, Level
from rackgen.made import Design
from tests.soak.drawn import Sample
from tests.whole_design import read
from tests.whole_laws import LAWS
from tests.whole_solids import wrong_solids

Outcome = Literal["clean", "looks", "stops", "refused", "wrong", "traceback"]

EVERY_SHEET = 45
"""One in so many drawn is also reckoned for strength, and has every sheet written."""


@dataclass(frozen=True)
class Result:
    """What came of a sample.

    Attributes:
        outcome: the worst of it.
        parts: of the rack; 0 where it was refused.
        seconds: of CPU.
        codes: of findings above notes, or keys that were refused.
        wrong: laws that do not hold, or a traceback.
    """

    outcome: Outcome
    parts: int
    seconds: float
    codes: tuple[str, ...]
    wrong: tuple[str, ...]


def tried(sample: Sample) -> Result:
    """Return what comes of a sample; nothing that goes wrong stops the run."""
    begun = time.process_time()

    def result(outcome: Outcome, parts: int, codes: tuple[str, ...], wrong: tuple[str, ...]) -> Result:
        return Result(outcome, parts, round(time.process_time() - begun, 2), codes, wrong)

    try:
        with TemporaryDirectory() as folder:
            # A refusal looks up its lines in the files.
            made = job.design(read(sample.whole, Path(folder)))
        full = sample.number % EVERY_SHEET == EVERY_SHEET - 1
        made = job.checked(job.strong(made) if full else made)
    except BadInput as refusal:
        unclear = tuple(str(m) for m in refusal.mistakes if not (m.wanted and m.key))
        return result("wrong" if unclear else "refused", 0, tuple(str(m.key) for m in refusal.mistakes), unclear)
    except Exception:  # noqa: BLE001
        return result("traceback", 0, (), (traceback.format_exc(),))
    parts = len(made.rack.placed)
    codes = tuple(sorted({f.code for f in made.findings if f.level > Level.NOTE}))
    try:
        if full:
            job.sheet_files(made)
        wrong = tuple(broken(made))
    except Exception:  # noqa: BLE001
        return result("traceback", parts, codes, (traceback.format_exc(),))
    worst = max((f.level for f in made.findings), default=Level.NOTE)
    outcome: Outcome = {Level.STOP: "stops", Level.LOOK: "looks", Level.NOTE: "clean"}[worst]
    return result("wrong" if wrong else outcome, parts, codes, wrong)


def broken(made: Design) -> Iterator[str]:
    """Tell which laws do not hold."""
    for law in LAWS:
        try:
            law(made)
        except AssertionError as error:
            yield f"{law.__name__}: {error or traceback.format_exc(limit=-1)}"
    yield from wrong_solids(made)
