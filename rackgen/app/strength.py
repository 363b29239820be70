"""What `rackgen strength` does beyond the report: tries changes, each designed and reckoned anew, on two processes."""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable, Generator, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import replace

from rackgen import job
from rackgen.errors import RackgenError
from rackgen.export.text import table_text
from rackgen.made import Design
from rackgen.spec.read import Job
from rackgen.strength.gains import Tried, gains, promising
from rackgen.strength.rated import Strength
from rackgen.strength.rating_plate import is_rated
from rackgen.strength.reckon import reckon
from rackgen.strength.report_rows import ratings_table
from rackgen.strength.variants import AND, Variant, pairs, variants
from rackgen.units import Unit

PROCESSES = 2
"""A variant takes a second or two of one processor, and few shops' computers have less than two."""

PAIRS = 100
"""Pairs of changes that are tried at most, so that nobody waits for more than a few minutes."""

THREADS = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")

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
        at_once: changes at a time: 0 tries none, 1 each by itself, 2 also pairs of them, those that gave most first.
        said: called with how far it is.

    Raises:
        BadInput: the rack as it stands cannot be designed.
    """
    found = made.strength
    if at_once == 0 or found is None:
        return made
    was = Tried(found.moving.structure, found.parked.structure, found.own_mass, made.stamp.stops)
    with pool() as each:
        tried = try_all(made.job, variants(made.job), each, said)
        if at_once == 2:
            tried += try_all(made.job, second_round(made.job, was, tried), each, said)
    said("the check of what helps")
    before = set((made if made.checked is not None else job.checked(made)).stamp.stops)

    def stopped(variant: Variant) -> bool:
        return bool(set(job.checked(job.design(variant.asked(made.job))).stamp.stops) - before)

    return replace(made, strength=replace(found, gains=gains(was, tried, stopped), tried=len(tried)))


def second_round(asked: Job, was: Tried, tried: Sequence[tuple[Variant, Tried]]) -> tuple[Variant, ...]:
    """Return the pairs of changes that are worth trying, no more than `PAIRS`: those first that gave most alone."""
    best = promising(was, tried)
    gave = {variant.what: gain for variant, gain in best}
    both = pairs(asked, tuple(variant for variant, _ in best))
    # Of those that gave alike the earlier stays first.
    return tuple(sorted(both, key=lambda v: -sum(gave[what] for what in v.what.split(AND)))[:PAIRS])


def try_all(
    asked: Job, listed: Sequence[Variant], each: Callable[[Sequence[Job]], Iterator[Tried]], said: Said
) -> list[tuple[Variant, Tried]]:
    """Return every variant with what it comes to, in order."""
    out: list[tuple[Variant, Tried]] = []
    for variant, tried in zip(listed, each([v.asked(asked) for v in listed]), strict=True):
        out.append((variant, tried))
        said(f"change {len(out)} of {len(listed)}: {variant.what}")
    return out


@contextmanager
def pool() -> Generator[Callable[[Sequence[Job]], Iterator[Tried]]]:
    """Give something that reckons jobs in order, on two processes with one thread each."""
    # What multiplies matrices starts a thread for every processor, and they then wait for each other: a third of the
    # time. It reads this when it is loaded, so the processes that are started have it and this one has not.
    kept = {name: os.environ.get(name) for name in THREADS}
    os.environ.update(dict.fromkeys(THREADS, "1"))
    try:
        # Spawned, not forked: threads of a library that was loaded here do not live on in a fork.
        with ProcessPoolExecutor(PROCESSES, mp_context=multiprocessing.get_context("spawn")) as workers:
            yield lambda jobs: workers.map(tried_one, jobs)
    finally:
        for name, value in kept.items():
            if value is None:
                del os.environ[name]
            else:
                os.environ[name] = value


def tried_one(asked: Job) -> Tried:
    """Return what one job comes to; one that is refused or cannot be reckoned carries nothing."""
    try:
        made = job.design(asked)
        found = reckon(made.rack, asked.vehicle, asked.shop, asked.spec.load, quick=True)
    except RackgenError:
        return Tried(0.0, 0.0, 0.0, (CANNOT,))
    rated = found.rated
    return Tried(rated.moving.structure, rated.parked.structure, found.own_mass, made.stamp.stops)
