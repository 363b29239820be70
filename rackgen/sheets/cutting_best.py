"""The cheapest way to cut an order: all maximal patterns, and whole numbers of each by HiGHS (through scipy).

The work is bounded by counts alone, never by a clock, so that the same order is cut alike on every machine. Where a
count does not suffice, first fit stands, with the best lower bound that was found.
"""

# scipy.optimize comes without complete types.
# pyright: reportUnknownMemberType=false, reportUnknownVariableType=false, reportUnknownArgumentType=false
# pyright: reportMissingTypeStubs=false

from __future__ import annotations

import math
import os
import sys
from collections.abc import Generator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import Any, cast

import numpy as np

from rackgen.sheets.cutting import Filled, Order, Plan, first_fit, free, plan, step
from rackgen.sheets.patterns import Pattern, TooMany, patterns


@dataclass(frozen=True)
class Work:
    """How much may be tried.

    Attributes:
        steps: places looked at in the search for patterns, over all lengths that are offered.
        patterns: most patterns that go to the solver.
        nodes: most branches that the solver looks at.
    """

    steps: int = 200_000
    patterns: int = 10_000
    nodes: int = 2_000


@dataclass(frozen=True)
class _Column:
    """A pattern of one offer; of no offer when it is a piece left out."""

    offer: int | None
    pieces: Pattern


def best(order: Order, work: Work | None = None) -> Plan:
    """Return the cheapest plan that the allowed work finds, with its lower bound: proven when they are equal.

    It is never worse than first fit, and first fit is kept when nothing is cheaper.

    Raises:
        ValueError: a piece is longer than everything offered and may not be left out.
    """
    work = work or Work()
    start = first_fit(order)
    if start.cost == start.least:
        return start
    try:
        columns = _columns(order, work)
    except TooMany:
        return start
    found, bound = _solved(order, columns, work.nodes)
    bound = min(max(bound, start.least), start.cost)
    if found is None or found.cost >= start.cost:
        return replace(start, least=bound)
    return replace(found, least=min(bound, found.cost))


def _columns(order: Order, work: Work) -> list[_Column]:
    """Return every pattern of every offer.

    Raises:
        TooMany: there are more than may be tried.
    """
    sizes = [size + order.kerf for size in order.sizes]
    steps = work.steps
    out: list[_Column] = []
    for place, offer in enumerate(order.offers):
        found, steps = patterns(sizes, order.wanted, offer.room + order.kerf, steps)
        out += [_Column(place, pattern) for pattern in found]
    if len(out) > work.patterns:
        raise TooMany
    if order.may_leave:
        for place in range(len(sizes)):
            out.append(_Column(None, tuple(int(k == place) for k in range(len(sizes)))))
    return out


def _solved(order: Order, columns: list[_Column], nodes: int) -> tuple[Plan | None, int]:
    """Return the solver's plan, None when it found none, and its lower bound."""
    # Half a second to load; no other sheet needs it.
    from scipy.optimize import Bounds, LinearConstraint, milp

    def cost(column: _Column) -> int:
        if column.offer is None:
            return sum(size * n for size, n in zip(order.sizes, column.pieces, strict=True))
        return order.offers[column.offer].cost

    unit = step(order)
    costs = np.array([cost(c) // unit for c in columns], dtype=float)
    matrix = np.array([c.pieces for c in columns], dtype=float).T
    wanted = np.array(order.wanted, dtype=float)
    limits = [LinearConstraint(matrix, lb=cast("Any", wanted), ub=np.inf)]
    for place, offer in enumerate(order.offers):
        if offer.count is not None:
            mine = np.array([[float(c.offer == place) for c in columns]])
            limits.append(LinearConstraint(mine, lb=0, ub=offer.count))
    most = [max(math.ceil(w / n) for w, n in zip(order.wanted, c.pieces, strict=True) if n) for c in columns]
    with _quiet():
        found = milp(
            costs,
            constraints=limits,
            integrality=np.ones(len(columns)),
            bounds=Bounds(0, cast("Any", np.array(most, dtype=float))),
            options={"disp": False, "node_limit": nodes, "mip_rel_gap": 0.0},
        )
    proven = found.mip_dual_bound
    bound = (
        0 if proven is None or not math.isfinite(proven) else math.ceil(proven - 1e-6 * max(1.0, abs(proven))) * unit
    )
    if found.x is None:
        return None, bound
    used = [(c, round(float(x))) for c, x in zip(columns, found.x, strict=True)]
    return _without_excess(order, [c for c, n in used for _ in range(n)], bound), bound


def _without_excess(order: Order, used: list[_Column], bound: int) -> Plan | None:
    """Return a plan with just what is wanted; None when the solver's numbers do not come to that.

    What is too much is taken out where most room is left already, so that what remains is in long pieces.
    """
    filled = [Filled(c.offer, c.pieces) for c in used if c.offer is not None]
    left = [sum(c.pieces[k] for c in used if c.offer is None) for k in range(len(order.sizes))]
    for place, wanted in enumerate(order.wanted):
        excess = left[place] + sum(f.pieces[place] for f in filled) - wanted
        if excess < 0:
            return None
        spared = min(excess, left[place])
        left[place] -= spared
        for _ in range(excess - spared):
            _, which = max((free(order, f), -k) for k, f in enumerate(filled) if f.pieces[place])
            held = filled[-which].pieces
            less = (*held[:place], held[place] - 1, *held[place + 1 :])
            filled[-which] = replace(filled[-which], pieces=less)
    return plan(order, filled, tuple(left), bound)


@contextmanager
def _quiet() -> Generator[None]:
    """Keep what the solver's own code prints off standard output, where a sheet may be going."""
    sys.stdout.flush()
    try:
        kept = os.dup(1)
    except OSError:
        # There is no standard output to spoil.
        yield
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 1)
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)
