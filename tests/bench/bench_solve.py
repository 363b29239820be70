"""How fast frames are solved, on the demo rack: `python -m pytest tests/bench/bench_solve.py -s`; not among the tests.

Times are the least of several, CPU seconds; a BLAS of one thread (OPENBLAS_NUM_THREADS=1) gives the steadiest.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache

from rackgen import job
from rackgen.spec.read import read_job
from rackgen.strength.loosened import loosened
from rackgen.strength.model import FrameModel
from rackgen.strength.reckon import loaded_model
from rackgen.strength.solve import solve

MOST_ONE = 0.25
"""CPU seconds for the demo rack with all of its actions."""

MOST_RATIO = 3.0
"""Sixteen cases take at most this many times as long as one."""


@lru_cache
def demo() -> FrameModel:
    asked = read_job("presets/racks/demo.toml")
    return loaded_model(job.design(asked).rack, asked.vehicle, asked.spec.load)


def least(work: Callable[[], object], times: int = 9) -> float:
    spent: list[float] = []
    for _ in range(times):
        start = time.process_time()
        work()
        spent.append(time.process_time() - start)
    return min(spent)


def said(text: str) -> None:
    sys.stdout.write(f"\n{text}\n")


def only(model: FrameModel, count: int) -> FrameModel:
    """The model with its first cases and what they call for."""
    cases = model.cases[:count]
    called = {action for case in cases for action, _ in (*case.always, *case.per_kg)}
    return replace(model, cases=cases, actions=tuple(a for a in model.actions if a.id in called))


def test_all_actions() -> None:
    model = demo()
    solve(model)
    spent = least(lambda: solve(model).loaded(50.0))
    said(f"{len(model.members)} members, {len(model.actions)} actions, {len(model.cases)} cases: {spent:.3f} s")
    assert spent < MOST_ONE


def test_sixteen_cases_against_one() -> None:
    one, sixteen = only(demo(), 1), only(demo(), 16)
    assert len(sixteen.cases) == 16
    solve(one)
    first, all_of_them = (least(lambda m=m: solve(m).loaded(50.0)) for m in (one, sixteen))
    said(f"one case {first:.3f} s, sixteen {all_of_them:.3f} s: {all_of_them / first:.2f} times")
    assert all_of_them <= MOST_RATIO * first


def test_a_loose_clamp_costs_less_than_a_solve() -> None:
    model = demo()
    found = solve(model)
    clamp = next(m.id for m in model.members if m.kind == "clamp")
    anew, loose = least(lambda: solve(model)), least(lambda: loosened(found, clamp))
    said(f"solved anew {anew:.3f} s, with a clamp loose {loose:.3f} s")
    assert loose < anew
