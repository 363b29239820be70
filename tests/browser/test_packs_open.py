"""The packet as the command writes it into a pack's folder, for a shop in mm and one in inches."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from browser_seen import Opener
from click.testing import CliRunner

from rackgen.app.cli import main

pytestmark = [pytest.mark.browser, pytest.mark.kernel]


@pytest.mark.parametrize("name", ["survey-crew", "bike-workshop"])
def test_a_built_pack_s_packet_opens_and_every_link_leads_to_a_file(opened: Opener, tmp_path: Path, name: str) -> None:
    done = CliRunner().invoke(main, ["build", name, "--out", str(tmp_path)])
    assert done.exit_code in (0, 1), done.output
    folder = tmp_path / name
    manifest = json.loads((folder / "manifest.json").read_text("utf-8"))
    assert (folder / "packet.html").stat().st_size < 5_000_000
    for width in ("phone", "desk"):
        seen = opened(folder / "packet.html", width)
        assert seen.wrong == []
        assert seen.asked == [(folder / "packet.html").as_uri()]
        page = seen.page
        calls, triangles = page.evaluate("(() => { const i = rackView.info(); return [i.calls, i.triangles]; })()")
        assert 10 < calls <= 80
        assert 10_000 < triangles <= 150_000
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        assert manifest["revision"] in page.locator("#head").inner_text()
    page.evaluate("document.querySelector('#files details').open = true")
    inside = page.evaluate("[...document.querySelectorAll('#files button')].map((b) => b.dataset.save)")
    beside = page.evaluate(
        "[...document.querySelectorAll('#files a')].map((a) => decodeURIComponent(a.getAttribute('href')))"
    )
    assert f"{name}-pack.pdf" in inside
    assert f"{name}.step" in inside
    assert all((folder / file).is_file() for file in (*inside, *beside))
    listed = {f["name"] for f in manifest["files"]} - {"packet.html"}
    assert listed == {*inside, *(file.removeprefix("./") for file in beside)}
