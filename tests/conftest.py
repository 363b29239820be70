"""Settings that every test shares, and the one browser; it also lets the tests share the modules of this folder."""

import pytest
from browser_open import browser, opened  # noqa: F401 - two starts of its driver in one process refuse each other
from hypothesis import HealthCheck, settings

# The same examples on every run, and no clock: machines differ, laws do not.
# How long examples take to draw says how busy the machine is, not whether a law holds.
settings.register_profile(
    "suite",
    max_examples=60,
    deadline=None,
    derandomize=True,
    print_blob=False,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("suite")


SLOW = ("kernel", "house", "racks", "browser")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark as quick whatever needs no kernel, no whole rack and none of the house's tools: `-m quick`."""
    for item in items:
        if not any(item.get_closest_marker(name) for name in SLOW):
            item.add_marker(pytest.mark.quick)
