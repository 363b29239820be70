"""Lines of a drawing in colour and of a width of their own."""

from pdf_pages import read
from pypdf.generic import ContentStream

from rackgen.export.paper.painter import extent
from rackgen.export.paper.pdf import pdf_bytes
from rackgen.sheets.drawing import Drawing, Stroke
from rackgen.sheets.pages import Figure, Station
from rackgen.sheets.stamp import Stamp

WIDE = Stroke(((0.0, 0.0), (100.0, 0.0)), colour=(0.8, 0.15, 0.2), wide=2.0)


def test_a_coloured_line_is_painted_in_its_colour_and_width_and_the_next_one_in_black():
    drawing = Drawing((WIDE, Stroke(((0.0, 10.0), (100.0, 10.0)))))
    stamp = Stamp("demo", "0123456789", "rackgen 0.1.0")
    pages = read(pdf_bytes((Station("x", "Frame", (Figure(drawing),)),), stamp, "mm", "A4", "pack"))
    page = pages.pages[0]
    content = page.get_contents()
    assert content is not None
    steps = [
        (o.decode(), [float(v) for v in a])
        for a, o in ContentStream(content, pages).operations
        if o in (b"RG", b"w", b"G")
    ]
    at = next(n for n, (name, _) in enumerate(steps) if name == "RG")
    assert steps[at][1] == [0.8, 0.15, 0.2]
    widths = [v[0] for name, v in steps[:at] if name == "w"]
    assert abs(widths[-1] - 2.0 * 72 / 25.4) < 1e-3
    assert steps[at + 1 :][0][0] in ("w", "G")
    assert any(name == "G" and v == [0.0] for name, v in steps[at + 1 :])


def test_the_width_counts_in_what_a_drawing_covers_and_moving_keeps_colour():
    assert extent(Drawing((WIDE,)))[1] == -1.0
    moved = Drawing((WIDE,)).moved(5.0, 5.0).items[0]
    assert isinstance(moved, Stroke)
    assert (moved.colour, moved.wide) == (WIDE.colour, WIDE.wide)
