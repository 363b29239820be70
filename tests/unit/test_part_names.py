"""Parts of the dry fit are called as on the other sheets, never by their place in a file."""

import pytest

from rackgen.parts.names import part_name


@pytest.mark.parametrize(
    ("word", "part", "said"),
    [
        ("cross bar", "frame.bar[2]", "cross bar 2"),
        ("frame hoop", "frame.hoop", "frame hoop"),
        ("U-bolt", "basket.clamp.left[2].u_bolt[1]", "U-bolt 1, clamp left 2"),
        ("ring hoop", "basket.lower.front", "ring hoop, lower, front"),
        ("upright", "basket.upright.right[2]", "upright 2, right"),
        ("upright", "basket.upright.left[2]", "upright 2, left"),
        ("bearer", "alone", "bearer, alone"),
    ],
)
def test_a_part_is_called_by_its_word_and_where_it_sits(word: str, part: str, said: str) -> None:
    assert part_name(word, part) == said
