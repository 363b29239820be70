"""The sheet of the mount plates' seats: every fastener's gap as the rivet itself stands over the roof."""

import json

import numpy as np
import pytest

from rackgen import job, paper
from rackgen.design.skin import Skin
from rackgen.export.tables import json_bytes
from rackgen.parts.kinds import CutPlate
from rackgen.sheets.seats import seats
from rackgen.spec.read import read_job

TEN = "tests/presets/ten/racks/"


@pytest.mark.parametrize("name", ["demo", TEN + "egg-basket.toml", TEN + "rail-rider.toml"])
def test_the_gap_is_what_stands_between_bedding_and_skin_under_the_rivet(name: str) -> None:
    made = job.design(read_job(name))
    found = seats(made.rack, made.job.shop, made.job.vehicle)
    assert [s.mount for s in found] == [m.name for m in made.job.vehicle.front]
    for seat, mount in zip(found, made.job.vehicle.front, strict=True):
        plate = made.rack.part(f"mount.{seat.mount}.plate").part
        assert isinstance(plate, CutPlate)
        assert len(seat.holes) == len(plate.holes)
        assert len(seat.breaks) == len(plate.breaks)
        stack = plate.stock.section.thickness + made.job.shop.bedding  # type: ignore[union-attr]
        rivets = [
            made.rack.part(f"mount.{seat.mount}.plate.rivet[{h.number}]".replace(".plate", "")) for h in seat.holes
        ]
        expected: list[float] = []
        for rivet in rivets:
            x, y, z = np.asarray(rivet.frame.origin) - stack * np.asarray(rivet.frame.z)
            expected.append(float(z - Skin(made.job.vehicle.roof, mount).height(x, y)))
        got = [h.gap or 0.0 for h in seat.holes]
        # The rivets look along their own piece of the plate, the sheet along the whole plate's normal.
        assert sorted(got) == pytest.approx(sorted(expected), abs=0.15)


def test_the_sheet_has_a_row_for_every_fastener_in_the_shops_unit() -> None:
    made = job.design(read_job("survey-crew"))
    table, text, record = paper.SHEETS["seats"](made)
    assert table is not None
    assert len(table.rows) == 12
    assert [c.title for c in table.columns][-1] == "gap in"
    assert "Mount plates on the roof" in text
    assert json.loads(json_bytes("seats", record, made.stamp))
