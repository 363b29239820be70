"""Settings that every test shares; standing here, it also lets the tests share the modules of this folder."""

from hypothesis import settings

# The same examples on every run, and no clock: machines differ, laws do not.
settings.register_profile("suite", deadline=None, derandomize=True, print_blob=False)
settings.load_profile("suite")
