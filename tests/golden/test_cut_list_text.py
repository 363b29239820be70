"""Did a number of the cut list move that nobody meant to move?

When one was meant to, look at the difference and put the new text in the file.
"""

from pathlib import Path

from small_rack import MM, small_rack

from rackgen.export.text import table_text
from rackgen.sheets.cutlist import cut_list
from rackgen.sheets.rows import cut_table, totals_table, weights_table
from rackgen.sheets.weights import weights

GOLDEN = Path(__file__).with_name("small-rack.txt")


def text() -> str:
    rack = small_rack()
    cuts, findings = cut_list(rack, MM)
    assert not findings
    tables = (cut_table(cuts), totals_table(cuts), weights_table(weights(rack), MM.unit))
    return "\n".join(table_text(t) for t in tables)


def test_the_small_racks_sheets_read_as_before() -> None:
    assert text() == GOLDEN.read_text("utf-8")
