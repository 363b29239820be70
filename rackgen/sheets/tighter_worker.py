"""One strip packed by spyrrow, in a process of its own: bad luck there may abort the process, and only that one.

Run as a file, not as a module: it imports nothing of this program. A request comes in as JSON on standard input, and
the places go out as JSON in the last line of standard output.
"""

from __future__ import annotations

import json
import sys


def main() -> None:
    """Read one request, pack, write the places: item, angle in degrees, and the move after turning about its origin."""
    import spyrrow

    asked = json.load(sys.stdin)
    items = [
        spyrrow.Item(str(k), [(x, y) for x, y in one["points"]], one["count"], asked["angles"])
        for k, one in enumerate(asked["items"])
    ]
    config = spyrrow.StripPackingConfig(
        min_items_separation=asked["separation"], total_computation_time=asked["seconds"], seed=0
    )
    found = spyrrow.StripPackingInstance("", asked["height"], items).solve(config)
    places = [[int(p.id), p.rotation, *p.translation] for p in found.placed_items]
    sys.stdout.write("\n" + json.dumps(places) + "\n")


if __name__ == "__main__":
    main()
