"""The report of strength of a small frame, word for word."""

from __future__ import annotations

from pathlib import Path

from small_rack import small_rack
from toy_strength import strong

from rackgen.export.text import station_text
from rackgen.parts.handbook import HandbookLimit
from rackgen.strength.report import strength_station


def test_the_report_of_a_small_frame_reads_as_it_did() -> None:
    """Rated by straight lines in the payload, so that only words and their order can change."""
    text = station_text(strength_station(strong(), small_rack(), HandbookLimit(120.0), "mm", "0123456789"))
    assert text == (Path(__file__).parent / "small-strength.txt").read_text("utf-8")
