"""What was found is read in the shop's own unit on the first page."""

import pytest

from rackgen.sheets.cover_station import in_shop_unit


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        (
            "a 6.528 mm hole in packer is 10.5 mm (1.6 diameters) from an edge, not 2",
            "a 0.257 in hole in packer is 0.413 in (1.6 diameters) from an edge, not 2",
        ),
        ("move it in by 2.6 mm", "move it in by 0.102 in"),
        ("B6 12-15/32 × 2 in, 30 degrees", "B6 12-15/32 × 2 in, 30 degrees"),
    ],
)
def test_millimetres_of_a_finding_become_inches_in_an_inch_shop_alone(text: str, inches: str) -> None:
    assert in_shop_unit(text, "in") == inches
    assert in_shop_unit(text, "mm") == text
