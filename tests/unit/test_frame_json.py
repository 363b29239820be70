"""A model goes to JSON and comes back the same, byte for byte; what is not one is refused with its place."""

from __future__ import annotations

import json

import pytest
from hypothesis import given

from rackgen.errors import FrameError
from rackgen.strength.model import Case, Deck, Elastic, FrameModel, Lump, Places, Properties
from rackgen.strength.model_json import read, written
from tests.frames import BALL, chain, with_
from tests.strategies import frames


@given(frames())
def test_a_model_comes_back_the_same(model: FrameModel) -> None:
    text = written(model)
    assert read(text) == model
    assert written(read(text)) == text


def whole() -> FrameModel:
    model = with_(chain([(0, 0, 0), (1, 0, 0)], Properties(1.0, 2.0, 3.0, 4.0), Elastic(5.0, 6.0)), {"0": BALL}, [])
    return FrameModel(
        model.nodes, model.members, model.supports, (Lump("1", 2.5),),
        Places((Deck("m0", 100.0),), (Deck("m0", 0.0),), (("front left", "1"),), 1234.5), model.actions,
        (Case("c", "braking ½", (("a0", 1.0),), (("a0", 0.5),), "moving", "49 CFR 393.102"),),
    )  # fmt: skip


def test_everything_that_a_model_holds_is_written_a_line_each() -> None:
    text = written(whole())
    assert read(text) == whole()
    assert "rigid" in text
    assert "½" in text
    assert sum('"id": "m0"' in line for line in text.splitlines()) == 1
    json.loads(text)


def test_what_is_left_out_is_as_in_the_record() -> None:
    data = json.loads(written(whole()))
    del data["cases"], data["members"][0]["joint"]
    assert read(json.dumps(data)).members[0].joint == ""


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda d: d["nodes"][0].pop("at"), r"model.nodes\[0\].at is missing"),
        (lambda d: d["nodes"][1].update(at=[1.0, 2.0]), r"model.nodes\[1\].at must hold 3 values, not 2"),
        (lambda d: d["nodes"][1].update(at=[1.0, 2.0, "x"]), r"model.nodes\[1\].at\[2\] must be a number, not 'x'"),
        (lambda d: d["nodes"][1].update(at=[1.0, True, 2.0]), r"at\[1\] must be a number, not True"),
        (
            lambda d: d["members"][0].update(kind="rope"),
            r"kind must be one of tube, bar, plate, link, clamp, not 'rope'",
        ),
        (lambda d: d["members"][0].update(colour="red"), r"members\[0\].colour is not a key of Member"),
        (lambda d: d["supports"][0].update(node=7), r"node must be a text, not 7"),
        (lambda d: d["lumps"][0].update(mass=float("nan")), r"mass must be a number, not nan"),
        (lambda d: d["lumps"][0].update(mass=10**400), r"mass must be a number"),
        (lambda d: d.update(nodes={}), r"model.nodes must be a list"),
        (lambda d: d.update(places=[]), r"model.places must be a record of Places"),
        (lambda d: d.update(format="another"), r"not of this format"),
    ],
)
def test_what_is_no_model_is_refused_with_its_place(change: object, told: str) -> None:
    data = json.loads(written(whole()))
    change(data)  # type: ignore[operator]
    with pytest.raises(FrameError, match=told):
        read(json.dumps(data))


@pytest.mark.parametrize("text", ["", "{", "[" * 100_000, "[]", "null", '"x"'])
def test_what_is_not_json_is_refused(text: str) -> None:
    with pytest.raises(FrameError):
        read(text)


def test_a_model_with_what_is_no_number_is_not_written() -> None:
    model = FrameModel((), (), (), (Lump("n", float("nan")),))
    with pytest.raises(FrameError, match="no number"):
        written(model)
