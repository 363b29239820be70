"""The house rules that tools can check, run with the tests so that green means one thing."""

import importlib.util
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

pytestmark = pytest.mark.house

TOP = Path(__file__).resolve().parents[2]


LAYERS = "from importlinter.cli import lint_imports_command; lint_imports_command()"


@pytest.mark.parametrize(
    "arguments",
    [
        pytest.param(("-m", "ruff", "check", "--no-cache"), id="lint"),
        pytest.param(("-m", "ruff", "format", "--check", "--no-cache"), id="format"),
        pytest.param(("-m", "pyright", "--pythonpath", sys.executable), id="types"),
        pytest.param(("-c", LAYERS, "--no-cache"), id="layers"),
    ],
)
def test_the_checkout_is_clean_to(arguments: tuple[str, ...]) -> None:
    done = subprocess.run(
        [sys.executable, *arguments], cwd=TOP, stdin=subprocess.DEVNULL, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stdout + done.stderr


def pins(file: str) -> dict[str, str]:
    """Read a lock file as name -> version, refusing any line that is not an exact pin."""
    found: dict[str, str] = {}
    for line in (TOP / file).read_text("utf-8").splitlines():
        text = line.partition("#")[0].strip()
        if not text:
            continue
        match = re.fullmatch(r"([A-Za-z0-9._-]+)==([A-Za-z0-9.!+]+)", text)
        assert match, f"{file}: not an exact pin: {line}"
        found[canonical(match[1])] = match[2]
    return found


def canonical(name: str) -> str:
    """Give a distribution's name as PEP 503 writes it."""
    return re.sub(r"[-_.]+", "-", name).lower()


def declared() -> tuple[set[str], set[str]]:
    """Give the names that pyproject asks for: to run, and to test."""
    project = tomllib.loads((TOP / "pyproject.toml").read_text("utf-8"))["project"]

    def names(lines: list[str]) -> set[str]:
        return {canonical(re.split(r"[\[<>=~! ;]", line, maxsplit=1)[0]) for line in lines}

    return names(project["dependencies"]), names(project["optional-dependencies"]["test"])


def test_every_declared_dependency_is_locked() -> None:
    to_run, to_test = declared()
    assert to_run <= pins("requirements.txt").keys()
    assert to_run | to_test <= pins("requirements-test.txt").keys()


def test_tests_run_on_the_versions_that_users_run() -> None:
    assert pins("requirements.txt").items() <= pins("requirements-test.txt").items()


def test_every_package_folder_is_packed() -> None:
    listed = set(tomllib.loads((TOP / "pyproject.toml").read_text("utf-8"))["tool"]["setuptools"]["packages"])
    folders = {".".join(init.parent.relative_to(TOP).parts) for init in (TOP / "rackgen").rglob("__init__.py")}
    assert listed == folders | {"rackgen.presets"}


def test_the_version_is_said_once() -> None:
    import rackgen

    project = tomllib.loads((TOP / "pyproject.toml").read_text("utf-8"))["project"]
    assert project["version"] == rackgen.__version__


def test_the_package_under_test_is_the_checkout() -> None:
    spec = importlib.util.find_spec("rackgen")
    assert spec is not None
    assert spec.origin is not None
    assert Path(spec.origin).resolve().is_relative_to(TOP)
