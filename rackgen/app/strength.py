"""What `rackgen strength` does beyond the report: tries changes, each designed and reckoned anew, on two processes."""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable, Generator, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import replace

from rackgen import job
from rackgen.errors import RackgenError
from rackgen.export.text import table_text
from rackgen.made import Design
from rackgen.spec.read import Job
from rackgen.strength.gains import Tried, gains
from rackgen.strength.rated import Strength
from rackgen.strength.rating_plate import is_rated
from rackgen.strength.reckon import reckon
from rackgen.strength.report_rows import ratings_table
from rackgen.strength.variants import Variant, pairs, variants
from rackgen.units import Unit

PROCESSES = 2
"""A variant takes a second or two of one processor, and few shops' computers have less than two."""

CANNOT = "cannot-be-made"
"""Stands for a stop where a variant is refused outright."""

Said = Callable[[str], None]


def ratings_text(found: Strength, unit: Unit) -> str:
    """Return the two ratings as text."""
    return table_text(ratings_table(found, unit))


def carries(made: Design) -> bool:
    """Return whether a reckoned design is rated for any load at all, on its vehicle where that is known."""
    return made.strength is not None and is_rated(made.strength)


def with_gains(made: Design, at_once: int, said: Said) -> Design:
    """Return a design whose strength says what to change to gain most.

    Args:
        made: reckoned.
        at_once: changes at a time: 0 tries none, 1 each by itself, 2 also every pair of them.
        said: called with how far it is.

    Raises:
        BadInput: the rack as it stands cannot be designed.
    """
    found = made.strength
    if at_once == 0 or found is None:
        return made
    singles = variants(made.job)
    listed = (*singles, *(pairs(made.job, singles) if at_once == 2 else ()))
    was = Tried(found.moving.structure, found.parked.structure, found.own_mass, made.stamp.stops)
    tried = list(zip(listed, try_all(made.job, listed, said), strict=True))
    said("the check of what helps")
    before = set((made if made.checked is not None else job.checked(made)).stamp.stops)

    def stopped(variant: Variant) -> bool:
        asked = replace(made.job, spec=variant.spec)
        return bool(set(job.checked(job.design(asked)).stamp.stops) - before)

    return replace(made, strength=replace(found, gains=gains(was, tried, stopped), tried=len(tried)))


def try_all(asked: Job, listed: Sequence[Variant], said: Said) -> tuple[Tried, ...]:
    """Return what every variant comes to, in order, on two processes."""
    out: list[Tried] = []
    with _pool(len(listed)) as each:
        jobs = [replace(asked, spec=variant.spec) for variant in listed]
        for variant, tried in zip(listed, each(jobs), strict=True):
            out.append(tried)
            said(f"change {len(out)} of {len(listed)}: {variant.what}")
    return tuple(out)


@contextmanager
def _pool(count: int) -> Generator[Callable[[Sequence[Job]], Iterator[Tried]]]:
    """Give something that reckons jobs in order: on two processes, or here where there is little to do."""
    if count < 2 * PROCESSES:
        yield lambda jobs: (tried_one(j) for j in jobs)
        return
    # Spawned, not forked: threads of a library that was loaded here do not live on in a fork.
    with ProcessPoolExecutor(PROCESSES, mp_context=multiprocessing.get_context("spawn")) as pool:
        yield lambda jobs: pool.map(tried_one, jobs)


def tried_one(asked: Job) -> Tried:
    """Return what one job comes to; one that is refused or cannot be reckoned carries nothing."""
    try:
        made = job.design(asked)
        found = reckon(made.rack, asked.vehicle, asked.shop, asked.spec.load, quick=True)
    except RackgenError:
        return Tried(0.0, 0.0, 0.0, (CANNOT,))
    rated = found.rated
    return Tried(rated.moving.structure, rated.parked.structure, found.own_mass, made.stamp.stops)
