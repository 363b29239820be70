"""All maximal ways to cut one length."""

import itertools

import pytest

from rackgen.sheets.patterns import TooMany, patterns


def by_trying(sizes: list[int], most: list[int], room: int) -> set[tuple[int, ...]]:
    """Give the maximal patterns by trying every combination there is."""
    every = list(itertools.product(*(range(m + 1) for m in most)))
    fits = {p for p in every if sum(s * n for s, n in zip(sizes, p, strict=True)) <= room}

    def more(p: tuple[int, ...]) -> bool:
        return any((*p[:k], p[k] + 1, *p[k + 1 :]) in fits for k in range(len(p)))

    return {p for p in fits if not more(p) and any(p)}


@pytest.mark.parametrize(
    ("sizes", "most", "room"),
    [
        ([7, 5, 3], [2, 4, 6], 20),
        ([10], [3], 25),
        ([10], [1], 25),
        ([30, 10], [1, 1], 20),
        ([9, 8, 7, 6, 2], [3, 3, 3, 3, 3], 40),
        ([9, 4], [1, 1], 100),
        ([9], [1], 8),
    ],
)
def test_they_are_those_that_trying_everything_finds(sizes: list[int], most: list[int], room: int) -> None:
    found, left = patterns(sizes, most, room, 10_000)
    assert len(found) == len(set(found))
    assert set(found) == by_trying(sizes, most, room)
    assert list(found) == sorted(found, reverse=True)
    assert 0 <= left < 10_000


def test_the_search_gives_up_by_count() -> None:
    _, left = patterns([9, 8, 7], [5, 5, 5], 60, 1_000)
    used = 1_000 - left
    assert patterns([9, 8, 7], [5, 5, 5], 60, used)[1] == 0
    with pytest.raises(TooMany):
        patterns([9, 8, 7], [5, 5, 5], 60, used - 1)
