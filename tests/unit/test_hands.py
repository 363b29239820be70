"""Left and right parts: which they are, and that paper and drawing name them and never mirror a letter."""

import dataclasses

import numpy as np
import pytest
from small_rack import MM, PLATE

from rackgen.export.dxf import Line as Drawn
from rackgen.export.dxf import marked_shapes
from rackgen.geom.fold import Fold
from rackgen.geom.frame import Frame
from rackgen.geom.outline import rectangle
from rackgen.parts.canonical import canonical, mirror
from rackgen.parts.hands import hands, twins
from rackgen.parts.kinds import BarHole, CutPlate, FoldedBar, Part, PlateHole
from rackgen.parts.marks import lines
from rackgen.parts.measure import centroid, volume
from rackgen.parts.rack import Placed, Rack
from rackgen.sheets.cutlist import cut_list
from rackgen.sheets.flats import blanks
from rackgen.sheets.rows import cut_table
from rackgen.sheets.stamp import Stamp
from rackgen.spec.stock import Flat, Stock

BAR = Stock("50 x 5", Flat(50.0, 5.0), "steel", "S235", "bare", 6000.0)
HANDED = FoldedBar(BAR, (100.0, 80.0), (Fold(90.0, 8.0),), holes=(BarHole(0, 30.0, 10.0, 6.5),))
ALIKE = FoldedBar(BAR, (90.0, 70.0), (Fold(90.0, 8.0),), holes=(BarHole(0, 30.0, 0.0, 6.5),))
STAMP = Stamp("rack", "rev", "rackgen", (), (), True)


def rack(*placed: tuple[Part, float]) -> Rack:
    members: list[Placed] = []
    for i, (part, y) in enumerate(placed):
        one, frame = canonical(part)
        at = Frame((0.0, y - part_middle(part), 0.0)).then(frame)
        members.append(Placed(f"a.part[{i}]", one, at, "wrap", 3))
    return Rack(tuple(members), ())


def part_middle(part: Part) -> float:
    return float(centroid(part)[1])


@pytest.fixture
def pair() -> Rack:
    return rack((HANDED, 400.0), (mirror(HANDED), -400.0), (ALIKE, 300.0), (mirror(ALIKE), -300.0))


def test_mirror_images_on_either_side_are_left_and_right(pair: Rack) -> None:
    found = lines(pair)
    side = {line.mark: np.sign(line.placed[0].frame.origin[1]) for line in found}
    named = hands(found)
    assert sorted(named.values()) == ["left", "right"]
    assert all(side[mark] == (-1 if hand == "left" else 1) for mark, hand in named.items())
    one, other = twins(found)
    assert (twins(found)[one], twins(found)[other]) == (other, one)


def test_a_part_that_is_its_own_mirror_image_has_no_hand(pair: Rack) -> None:
    (alike,) = (line for line in lines(pair) if line.part == canonical(ALIKE)[0])
    assert len(alike.placed) == 2
    assert alike.mark not in hands(lines(pair))


def test_mirror_images_that_stand_on_both_sides_are_twins_without_a_hand() -> None:
    mixed = lines(rack((HANDED, 400.0), (HANDED, -400.0), (mirror(HANDED), -400.0), (mirror(HANDED), 400.0)))
    assert len(twins(mixed)) == 2
    assert hands(mixed) == {}


def test_parts_that_merely_weigh_the_same_are_no_twins() -> None:
    moved = dataclasses.replace(HANDED, holes=(BarHole(0, 45.0, -10.0, 6.5),))
    assert twins(lines(rack((HANDED, 400.0), (moved, -400.0)))) == {}


def test_the_cut_list_names_the_hand_and_the_twin(pair: Rack) -> None:
    found, _ = cut_list(pair, MM)
    table = cut_table(found)
    words = [row[1] for row in table.rows]
    assert words.count("wrap, left") == words.count("wrap, right") == 1
    assert words.count("wrap") == 1
    assert sum("mirror image of B" in row[-1] for row in table.rows) == 2
    assert sum("as the driver sits" in note for note in table.notes) == 1
    assert not any("as the driver sits" in n for n in cut_table(cut_list(rack((ALIKE, 3.0)), MM)[0]).notes)


def test_mirrored_blanks_are_mirrored_and_their_letters_are_not(pair: Rack) -> None:
    left, right = sorted((b for b in blanks(pair, MM)[0] if b.hand), key=lambda b: b.hand)
    assert (left.called, right.called) == ("wrap, left", "wrap, right")
    holes = [[(round(h.x, 3), round(h.y, 3)) for h in (*b.holes, *b.centres)] for b in (left, right)]
    width = left.folds[0].end[1] - left.folds[0].start[1]
    total = max(v.x for v in left.outline)
    flipped = {(x, -y) for x, y in holes[0]}
    turned = {(round(total - x, 3), y) for x, y in holes[0]}
    assert set(holes[1]) in (flipped, turned)
    assert width == 50.0
    # The program's name stands in both labels: every letter of it turns the same way and has the same shape.
    texts = [[s for s in marked_shapes(b, STAMP) if isinstance(s, Drawn) and s.layer == "text"] for b in (left, right)]
    rows = [np.array([(v.x, v.y) for s in t[:8] for v in s.vertices]) for t in texts]
    assert np.allclose(rows[0] - rows[0][0], rows[1] - rows[1][0])
    said = [" ".join(str(s) for s in t) for t in texts]
    assert said[0] != said[1]


@pytest.mark.parametrize("part", [HANDED, CutPlate(PLATE, rectangle(90.0, 60.0), (PlateHole(20.0, 10.0, 8.0),))])
def test_mirror_images_have_one_volume_and_mirrored_middles(part: Part) -> None:
    other = mirror(part)
    assert volume(other) == pytest.approx(volume(part), rel=1e-12)
    x, y, z = centroid(part)
    assert centroid(other) == pytest.approx((x, -y, z), abs=1e-9)


def test_plates_turned_over_are_one_part() -> None:
    plate = CutPlate(PLATE, rectangle(90.0, 60.0), (PlateHole(20.0, 10.0, 8.0),))
    assert hands(lines(rack((plate, 200.0), (mirror(plate), -200.0)))) == {}
