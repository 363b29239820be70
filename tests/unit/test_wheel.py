"""The wheel carries what the checkout has, and works without the checkout."""

import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

pytestmark = pytest.mark.house

TOP = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The project built as a wheel from a copy, so that the checkout stays as it is."""
    copy = tmp_path_factory.mktemp("source")
    for name in ("pyproject.toml", "README.md", "LICENSE"):
        shutil.copy(TOP / name, copy / name)
    for name in ("rackgen", "presets"):
        shutil.copytree(TOP / name, copy / name, ignore=shutil.ignore_patterns("__pycache__", "node_modules"))
    into = tmp_path_factory.mktemp("wheel")
    done = subprocess.run(
        [sys.executable, "-c", f"import setuptools.build_meta as b; print(b.build_wheel({str(into)!r}))"],
        cwd=copy,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    (made,) = into.glob("*.whl")
    return made


def test_the_wheel_carries_every_module_and_every_preset(wheel: Path) -> None:
    data = {".toml", ".json", ".svg", ".js", ".html", ".css", ".txt"}
    modules = {
        path.relative_to(TOP).as_posix()
        for path in (TOP / "rackgen").rglob("*")
        # The view's source and what it is built with stay in the checkout; what it gives is shipped.
        if path.suffix in data | {".py"} and not {"__pycache__", "web"} & set(path.parts)
    }
    presets = {
        "rackgen/" + path.relative_to(TOP).as_posix() for path in (TOP / "presets").rglob("*") if path.suffix in data
    }
    assert presets
    packed = {name for name in zipfile.ZipFile(wheel).namelist() if ".dist-info/" not in name}
    assert packed == modules | presets


def test_an_unpacked_wheel_finds_its_own_presets(wheel: Path, tmp_path: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(tmp_path)
    program = (
        f"import sys; sys.path.insert(0, {str(tmp_path)!r})\n"
        "from rackgen.spec.shipped import shipped\n"
        "print(shipped())\n"
    )
    done = subprocess.run(
        [sys.executable, "-I", "-c", program],
        cwd=tmp_path,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr
    assert Path(done.stdout.strip()) == (tmp_path / "rackgen" / "presets").resolve()


def test_a_checkout_finds_the_presets_at_its_top() -> None:
    from rackgen.spec.shipped import shipped

    assert shipped() == TOP / "presets"
