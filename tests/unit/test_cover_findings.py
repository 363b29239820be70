"""What was found is read in the shop's own unit on the first page."""

import pytest

from rackgen.sheets.cover_station import in_shop_unit


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        (
            "a 6.528 mm hole in packer is 10.5 mm (1.6 diameters) from an edge, not 2",
            "a 6.528 mm (0.257 in) hole in packer is 10.5 mm (0.413 in) (1.6 diameters) from an edge, not 2",
        ),
        ("move it in by 2.6 mm", "move it in by 2.6 mm (0.102 in)"),
        (
            "side plate is 1200 × 800 mm; 3 to 5 mm",
            "side plate is 1200 × 800 mm (47.244 × 31.496 in); 3 to 5 mm (0.118 to 0.197 in)",
        ),
        (
            "113 kg are wanted; the roof limit leaves 42 kg, 1.5 kg/l",
            "113 kg (249 lb) are wanted; the roof limit leaves 42 kg (92 lb), 1.5 kg/l",
        ),
        ("B6 12-15/32 × 2 in, 30 degrees", "B6 12-15/32 × 2 in, 30 degrees"),
    ],
)
def test_millimetres_of_a_finding_have_inches_behind_them_in_an_inch_shop_alone(text: str, inches: str) -> None:
    assert in_shop_unit(text, "in") == inches
    assert in_shop_unit(text, "mm") == text
