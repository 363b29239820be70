"""What is too much for one preset file: beyond these the file is refused, with the limit in the message."""

FILE_BYTES = 1_000_000
"""Size of a file."""
TEXT = 200
"""Characters of one text."""
DEPTH = 12
"""Tables and lists inside each other, and parts of one dotted key."""
APART = 10.0
"""Least distance between places of one list, mm: nothing that is bent or welded for a rack is thinner."""
STATIONS = 200
"""Stations of a roof."""
READINGS = 50
"""Readings to one side at one station."""
PARTS = 1_000
"""Parts that one rack file may ask for, and entries in any one list."""
MISTAKES = 200
"""Mistakes that are told about one file; the rest are counted."""

OUTERMOST = 120.0
"""How far the outermost reading across a roof may stand from the half width, mm."""
STRAY = 25.0
"""How far a mount's own height may stand from the roof's table before the two contradict each other, mm."""
