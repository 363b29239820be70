"""A clamp loose, from the factorised frame, against the frame solved anew without it."""

from dataclasses import replace

import numpy as np
import pytest
from toy_strength import portal

from rackgen import job
from rackgen.errors import FrameError, FreeError
from rackgen.spec.read import read_job
from rackgen.strength import reckon
from rackgen.strength.loosened import loosened
from rackgen.strength.model import FREEDOMS, Action, FrameModel, NodeLoad
from rackgen.strength.solve import solve


def braced() -> FrameModel:
    """The portal with a bar across its feet and one from a foot to the middle of its top, that may each be loose."""
    model = portal()
    like = model.members[0]
    more = (
        replace(like, id="tie", a="a", b="e", kind="clamp", free_b=("rx", "ry", "rz")),
        replace(like, id="strut", a="a", b="c", kind="clamp", free_b=("dz", "rx")),
    )
    load = Action("push", "a push", (NodeLoad("c", (300.0, 200.0, -1000.0), (0.0, 5e4, 0.0)),))
    held = tuple(replace(s, stiffness=(1e4, 1e4, 1e4, 1e8, 1e8, 1e8)) for s in model.supports)
    return replace(model, members=(*model.members, *more), supports=held, actions=(load,), cases=())


@pytest.mark.parametrize("which", ["tie", "strut"])
def test_a_loose_member_is_as_if_it_held_nothing_at_its_begin(which):
    model = braced()
    free = [replace(m, free_a=FREEDOMS, free_b=()) if m.id == which else m for m in model.members]
    anew = solve(replace(model, members=tuple(free)))
    quick = loosened(solve(model), which)
    assert np.allclose(quick.moved, anew.moved, rtol=1e-9, atol=1e-12 * np.abs(anew.moved).max())
    assert np.allclose(quick.ends, anew.ends, rtol=1e-8, atol=1e-8 * np.abs(anew.ends).max())
    assert np.allclose(quick.supports, anew.supports, rtol=1e-8, atol=1e-8 * np.abs(anew.supports).max())
    number = [m.id for m in model.members].index(which)
    assert not quick.ends[number].any()
    assert np.abs(solve(model).ends[number]).max() > 1.0


def test_what_holds_the_frame_alone_is_not_to_be_loose():
    model = portal()
    load = Action("push", "a push", (NodeLoad("c", (0.0, 0.0, -1000.0)),))
    held = (replace(model.supports[0], stiffness=(1e4, 1e4, 1e4, 1e8, 1e8, 1e8)),)
    alone = replace(model, supports=held, actions=(load,), cases=())
    with pytest.raises(FreeError, match="left#0 loose something moves freely"):
        loosened(solve(alone), "left#0")
    with pytest.raises(KeyError):
        loosened(solve(alone), "nothing")


def test_only_what_moves_freely_means_that_clamps_hold_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Forces that do not balance, say, are no reason to rate a rack at nothing without a word."""
    made = job.design(read_job("demo"))
    asked = made.rack, made.job.vehicle, made.job.shop, made.job.spec.load

    def fails(error: FrameError) -> None:
        def loose(*_: object) -> None:
            raise error

        monkeypatch.setattr(reckon, "loosened", loose)

    fails(FrameError(["the forces at node 7 do not balance"]))
    with pytest.raises(FrameError, match="node 7"):
        reckon.reckon(*asked, quick=True)
    fails(FreeError(["with x loose something moves freely"]))
    assert reckon.reckon(*asked, quick=True).rated.moving.structure == 0.0
