"""Settings that every test shares; standing here, it also lets the tests share the modules of this folder."""

from hypothesis import HealthCheck, settings

# The same examples on every run, and no clock: machines differ, laws do not.
# How long examples take to draw says how busy the machine is, not whether a law holds.
settings.register_profile(
    "suite", deadline=None, derandomize=True, print_blob=False, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("suite")
