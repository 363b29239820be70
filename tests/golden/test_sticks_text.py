"""Did a piece of the demo move to another stick, or a running dimension change, that nobody meant to?

When one was meant to, look at the difference and put the new text in the file.
"""

from pathlib import Path

from rackgen import job, paper
from rackgen.spec.read import read_job

GOLDEN = Path(__file__).with_name("demo-sticks.txt")


def test_the_demos_sticks_read_as_before() -> None:
    _, text, _ = paper.SHEETS["sticks"](job.design(read_job("demo")))
    assert text == GOLDEN.read_text("utf-8")
