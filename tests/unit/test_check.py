"""The whole check: what it returns, what it survives, what it loads."""

import dataclasses
import subprocess
import sys

from roofs import SPEC, roof, vehicle
from small_rack import MM, PLATE, small_rack

from rackgen.check.all import check
from rackgen.errors import Level, order
from rackgen.geom.frame import Frame
from rackgen.geom.outline import rectangle
from rackgen.parts.kinds import CutPlate, PlateHole
from rackgen.parts.rack import OnFace, Placed, Rack

VAN = vehicle(roof(top=-200.0))


def test_every_part_has_its_gap_and_findings_come_worst_first() -> None:
    rack = small_rack()
    result, findings = check(rack, MM, VAN, SPEC)
    assert sorted(row.part for row in result.gaps) == sorted(p.id for p in rack.placed)
    assert findings == order(findings)


def test_it_repeats() -> None:
    rack = small_rack()
    other = Rack(rack.placed[::-1], rack.joints[::-1])
    first, second = check(rack, MM, VAN, SPEC), check(other, MM, VAN, SPEC)
    assert first[0] == second[0]
    assert [(f.code, f.parts) for f in first[1]] == [(f.code, f.parts) for f in second[1]]


def test_an_impossible_part_is_a_stop_and_the_rest_is_still_checked() -> None:
    rack = small_rack()
    wrong = CutPlate(PLATE, rectangle(100.0, 50.0), (PlateHole(60.0, 0.0, 6.5),))
    joint = dataclasses.replace(rack.joints[0], id="odd", a=OnFace("odd", "top", 0.0, 0.0))
    both = Rack((*rack.placed, Placed("odd", wrong, Frame(), "plate", 2)), (*rack.joints, joint))
    result, findings = check(both, MM, VAN, SPEC)
    assert [(f.code, f.level) for f in findings if "odd" in f.parts] == [("impossible-shape", Level.STOP)]
    assert result == check(rack, MM, VAN, SPEC)[0]


def test_an_empty_rack_has_nothing_to_find() -> None:
    result, findings = check(Rack((), ()), MM, VAN, SPEC)
    assert result.gaps == ()
    assert findings == ()


def test_checking_loads_neither_kernel_nor_pictures_nor_scipy_nor_trimesh() -> None:
    script = (
        "import sys; sys.path.insert(0, 'tests')\n"
        "from roofs import SPEC, roof, vehicle\n"
        "from small_rack import MM, small_rack\n"
        "from rackgen.check.all import check\n"
        "check(small_rack(), MM, vehicle(roof(top=-200.0)), SPEC)\n"
        "heavy = {'OCP', 'cadquery', 'vtk', 'vtkmodules', 'scipy', 'trimesh', 'matplotlib', 'ezdxf', 'shapely'}\n"
        "print(sorted(heavy & sys.modules.keys()))\n"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True)
    assert done.stdout == "[]\n", done.stderr
