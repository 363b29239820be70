"""Whatever stands in a filled form, it becomes a vehicle file that reads back alike, or is refused with its places."""

from pathlib import Path

import pytest
from filled_form import filled
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rackgen.errors import BadInput, Mistake
from rackgen.spec.read import read_vehicle
from rackgen.spec.readings import read_readings
from rackgen.spec.vehicle_text import vehicle_text

law = settings(
    deadline=None, derandomize=True, max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture]
)

STEPS = ("roof", "station", "mounts", "front_left", "hatch", "hinge", "outline", "x", "zone", "points", "format",
         "name", "units", "keep_out", "kind", "diagonal", "between", "opening_roof", "drops", "offsets",
         "datum")  # fmt: skip
KEYS = st.lists(
    st.builds(lambda name, at: f"{name}[{at}]" if at else name, st.sampled_from(STEPS), st.integers(0, 3)),
    min_size=1, max_size=4,
).map(".".join)  # fmt: skip
VALUES = st.one_of(
    st.sampled_from(["", "0", "-470", "12.5", "3/4", '2"', "6 ft 2 in", "1; 2; 3", "1, 2", "nan", "inf", "1e9", "roof",
                     "in", "tilt", "=1+1", "a\nb", "'", "\x7f", "½", "10000000000000000000000000", "yes"]),
    st.text(max_size=12),
)  # fmt: skip


@law
@given(st.lists(st.tuples(KEYS, VALUES, st.sampled_from(["", "mm", "in", "deg", "kg", "lb", "furlong"])), max_size=4))
def test_any_rows_are_read_or_refused(tmp_path: Path, rows: list[tuple[str, str, str]]) -> None:
    path = filled(tmp_path)
    quoted = [",".join('"' + cell.replace('"', '""') + '"' for cell in (*row, "n")) for row in rows]
    path.write_text(path.read_text(encoding="utf-8") + "\n".join(quoted), encoding="utf-8", errors="replace")
    told: tuple[Mistake, ...] = ()
    try:
        found = read_readings(path)
    except BadInput as error:
        told = error.mistakes
        found = None
    if found is None:
        assert told
        assert all(m.file == str(path) and m.wanted for m in told)
        return
    made = tmp_path / "made.toml"
    made.write_text(vehicle_text(found.data, path.name, found.notes, found.vehicle.notes), encoding="utf-8")
    assert read_vehicle(made) == found.vehicle


@law
@given(st.binary(max_size=300), st.booleans())
def test_any_bytes_are_refused(tmp_path: Path, content: bytes, headed: bool) -> None:
    path = tmp_path / "odd.csv"
    path.write_bytes((b"key,value,unit,note\n" if headed else b"") + content)
    with pytest.raises(BadInput):
        read_readings(path)
