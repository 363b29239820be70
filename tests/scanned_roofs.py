"""Invented roofs as formulas, and scans of them with all that goes wrong with scans."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

A = NDArray[np.float64]


@dataclass(frozen=True)
class Formula:
    """A roof from x = 0 to `length`: its height in mm at (x, y), and its half width at x."""

    height: Callable[[A, A], A]
    half: Callable[[A], A]
    length: float = 1500.0


def _plain(x: A, y: A) -> A:
    return -12 * ((x - 750) / 750) ** 2 - 35 * (y / 600) ** 2


def _wide(x: A) -> A:
    return np.full_like(x, 600.0)


def _ramp(t: A) -> A:
    """Rise from 0 to 1 without a kink."""
    s = np.clip(t, 0, 1)
    return s * s * (3 - 2 * s)


TEN = {
    "flat": Formula(lambda x, y: 0 * x, _wide),
    "crowned": Formula(lambda x, y: -45 * ((x - 700) / 750) ** 2 - 80 * (y / 600) ** 2, _wide),
    "tapered": Formula(_plain, lambda x: 620 - 130 * x / 1500),
    "raked": Formula(lambda x, y: _plain(x, y) - 0.06 * x, _wide),
    "ribbed": Formula(lambda x, y: _plain(x, y) + 3 * np.cos(2 * np.pi * y / 180), _wide),
    "dented": Formula(lambda x, y: _plain(x, y) - 14 * np.exp(-(((x - 900) ** 2 + (y - 330) ** 2) / 120**2)), _wide),
    "narrow": Formula(lambda x, y: -8 * ((x - 600) / 600) ** 2 - 22 * (y / 430) ** 2, lambda x: 0 * x + 430, 1200),
    "long": Formula(lambda x, y: -20 * ((x - 1600) / 1600) ** 2 - 25 * (y / 700) ** 2, lambda x: 0 * x + 700, 3200),
    "gutter": Formula(lambda x, y: _plain(x, y) - 28 * _ramp((abs(y) - 570) / 25), _wide),
    "domed": Formula(lambda x, y: _plain(x, y) - 90 * np.clip(1 - x / 380, 0, None) ** 2.5, _wide),
}


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
