"""Did a mark of the demo's bend sheets move that nobody meant to move?

When one was meant to, look at the difference and put the new text in the file.
"""

from pathlib import Path

from rackgen import job, paper
from rackgen.spec.read import read_job

GOLDEN = Path(__file__).with_name("demo-bends.txt")


def test_the_demos_bend_sheets_read_as_before() -> None:
    _, text, _ = paper.SHEETS["bends"](job.design(read_job("demo")))
    assert text == GOLDEN.read_text("utf-8")
