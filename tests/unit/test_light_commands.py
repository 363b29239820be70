"""Which commands load what: only `build` may load the CAD kernel; no other loads vtk, scipy or trimesh either."""

from __future__ import annotations

import subprocess
import sys

import pytest

pytestmark = pytest.mark.racks

HEAVY = ("OCP", "cadquery", "vtkmodules", "vtk", "scipy", "trimesh", "matplotlib", "ezdxf", "shapely")

# First fit proves the demo's sticks. A harder cut list makes that sheet, and no other, load scipy for its solver.
QUICK = (
    ("--help",),
    ("build", "--help"),
    ("presets",),
    ("check", "demo"),
    *(
        ("sheet", "demo", name)
        for name in (
            "cut-list",
            "sticks",
            "test-bend",
            "test-strip",
            "bends",
            "folds",
            "weights",
            "coating",
            "installation",
            "gaps",
            "clearances",
            "findings",
            "cautions",
        )
    ),
    ("sheet", "demo", "cut-list", "--as", "json"),
    ("changes", "demo", "--against", "demo"),
    ("check", "no-such-rack"),
)


@pytest.mark.parametrize("words", QUICK, ids=" ".join)
def test_quick_commands_load_nothing_heavy(words: tuple[str, ...]) -> None:
    """Run the command in a fresh interpreter and look at what it imported."""
    code = (
        "import sys\n"
        "from rackgen.app.cli import main\n"
        f"sys.argv = ['rackgen', *{words!r}]\n"
        "try:\n"
        "    main()\n"
        "except SystemExit as end:\n"
        "    code = end.code\n"
        f"heavy = [m for m in {HEAVY!r} if m in sys.modules]\n"
        "print('heavy:', heavy, 'code:', code)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    wanted = 2 if "no-such-rack" in words else 0
    assert done.stdout.splitlines()[-1] == f"heavy: [] code: {wanted}", done.stdout[-400:] + done.stderr


def test_the_command_line_names_every_sheet() -> None:
    """The names that the command line offers are the sheets that a job gives."""
    from rackgen.app.cli import NEED_CHECK, SHEETS
    from rackgen.paper import SHEETS as MADE

    assert tuple(MADE) == SHEETS
    assert set(NEED_CHECK) <= set(SHEETS)
