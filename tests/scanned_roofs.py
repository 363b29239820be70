"""Invented roofs as formulas, and scans of them with all that goes wrong with scans."""

import numpy as np
from numpy.typing import NDArray

from tests.ten_roofs import TEN, Formula

__all__ = ["TEN", "Formula", "samples", "scan"]

A = NDArray[np.float64]


def samples(roof: Formula, apart: float, seed: int) -> A:
    """Give places scattered over a roof's plan about so far apart, with their true heights."""
    dice = np.random.default_rng(seed)
    n = int(roof.length * 1400 / apart**2)
    x, y = dice.uniform(0, roof.length, n), dice.uniform(-700, 700, n)
    keep = np.abs(y) <= roof.half(x)
    return np.stack([x[keep], y[keep], roof.height(x[keep], y[keep])], axis=1)


def scan(roof: Formula, apart: float = 12.0, noise: float = 0.8, seed: int = 1) -> A:
    """Give a scan of a roof in its own frame: noise, three holes, every fifth point twice, strays, a lining below."""
    dice = np.random.default_rng(seed + 100)
    p = samples(roof, apart, seed)
    p[:, 2] += dice.normal(0, noise, len(p))
    for x, y, r in ((300.0, -250.0, 70.0), (800.0, 120.0, 90.0), (1100.0, -300.0, 60.0)):
        p = p[np.hypot(p[:, 0] - x, p[:, 1] - y) > r]
    strays = p[dice.choice(len(p), len(p) // 50)] + dice.uniform(-250, 250, (len(p) // 50, 3))
    lining = p[dice.choice(len(p), len(p) // 4)] - np.array([0.0, 0.0, 38.0])
    far = np.array([[9e4, 0, 0], [-2e5, 1e5, 3e4]])
    out = np.concatenate([p, p[::5], strays, lining, far])
    return out[dice.permutation(len(out))]
