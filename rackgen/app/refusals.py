"""What every command does with bad input: say all of it and end with exit code 2."""

from __future__ import annotations

import sys
from collections.abc import Generator
from contextlib import contextmanager

from rackgen.app.printing import complain
from rackgen.errors import BadInput, RackgenError


@contextmanager
def refusals() -> Generator[None]:
    """Print what was refused on standard error and end with exit code 2."""
    try:
        yield
    except BadInput as error:
        for mistake in error.mistakes:
            complain(str(mistake))
        count = len(error.mistakes)
        complain(f"{count} mistake{'s' if count != 1 else ''}; nothing was written")
        sys.exit(2)
    except RackgenError as error:
        complain(f"{error}; nothing was written")
        sys.exit(2)
