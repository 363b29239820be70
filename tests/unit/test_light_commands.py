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

RUN = """
import contextlib, io, sys
from rackgen.app.cli import main
heavy, wanted = {heavy!r}, {quick!r}
for words in wanted:
    sys.argv = ['rackgen', *words]
    code, told = None, io.TextIOWrapper(io.BytesIO(), 'utf-8')
    try:
        with contextlib.redirect_stdout(told), contextlib.redirect_stderr(told):
            main()
    except SystemExit as end:
        code = end.code
    print(' '.join(words), '|', 'exit', code, *[m for m in heavy if m in sys.modules])
    if code and words[-1] != 'no-such-rack':
        told.seek(0)
        print(told.read()[-400:])
"""
"""Runs the commands one after the other. What one loads stays loaded: with nothing heavy at the end none loaded it, and
else the first line that names it is the command that did."""


def test_quick_commands_load_nothing_heavy() -> None:
    """All of them in one fresh interpreter: starting one for each takes most of a minute and shows no more."""
    code = RUN.format(heavy=HEAVY, quick=QUICK)
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    wanted = [f"{' '.join(words)} | exit {2 if 'no-such-rack' in words else 0}" for words in QUICK]
    assert done.stdout.splitlines() == wanted, done.stderr


def test_the_command_line_names_every_sheet() -> None:
    """The names that the command line offers are the sheets that a job gives."""
    from rackgen.app.cli import NEED_CHECK, SHEETS
    from rackgen.paper import SHEETS as MADE

    assert tuple(MADE) == SHEETS
    assert set(NEED_CHECK) <= set(SHEETS)
