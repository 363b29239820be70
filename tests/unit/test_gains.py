"""Changes that were tried: which are listed, and in which order."""

from dataclasses import replace
from types import SimpleNamespace

from rackgen.app.strength import PAIRS, second_round
from rackgen.spec.rack import BasketWish, RackSpec
from rackgen.strength.gains import Tried, gains, promising
from rackgen.strength.variants import Variant, changed, value_of

SPEC = RackSpec("r", "r", "s", "v", BasketWish(1000.0, 1200.0, 160.0))
WAS = Tried(50.0, 150.0, 45.0, ("old-stop",))


def variant(what: str, kind: str = "") -> Variant:
    return Variant(what, kind or what, ("frame.tube",), SPEC)


def test_best_first_and_the_best_place_of_the_same_thing_once():
    bar = "one more cross bar"
    tried = [
        (variant("rings of thick tube"), Tried(55.0, 150.0, 49.0)),
        (variant("one more cross bar, at 500", bar), Tried(61.0, 150.0, 47.0)),
        (variant("one more cross bar, at 600", bar), Tried(64.0, 150.0, 47.0)),
        (variant("mount plates"), Tried(55.0, 150.0, 45.5)),
    ]
    found = gains(WAS, tried, lambda v: False)
    # Of two that give alike the lighter comes first.
    assert [g.what for g in found] == ["one more cross bar, at 600", "mount plates", "rings of thick tube"]
    assert found[0].added == 2.0


def test_what_does_not_help_or_brings_a_stop_is_not_listed():
    tried = [
        (variant("nothing gained"), Tried(50.2, 150.2, 45.0, ("old-stop",))),
        (variant("more parked, less moving"), Tried(45.0, 200.0, 45.0)),
        (variant("more parked"), Tried(50.0, 160.0, 45.0, ("old-stop",))),
        (variant("refused"), Tried(0.0, 0.0, 0.0, ("cannot-be-made",))),
        (variant("a new stop of the builders"), Tried(90.0, 200.0, 45.0, ("legs-untied",))),
        (variant("stopped by the check"), Tried(80.0, 200.0, 45.0)),
    ]
    assert [g.what for g in gains(WAS, tried, lambda v: "check" in v.what)] == ["more parked"]


def test_the_check_is_asked_only_of_what_would_be_listed():
    asked = []
    tried = [(variant(f"change {n}"), Tried(60.0 + n, 150.0, 45.0)) for n in range(30)]
    found = gains(WAS, tried, lambda v: asked.append(v.what), most=5)
    assert [g.what for g in found] == [f"change {n}" for n in (29, 28, 27, 26, 25)]
    assert len(asked) == 5


def test_pairs_are_made_of_the_best_place_of_each_change_the_best_first():
    bar = "one more cross bar"
    tried = [
        (variant("one more cross bar, at 500", bar), Tried(61.0, 150.0, 47.0)),
        (variant("one more cross bar, at 600", bar), Tried(64.0, 150.0, 47.0)),
        (variant("nothing gained by itself"), Tried(50.0, 150.0, 45.0)),
        (variant("rings"), Tried(70.0, 150.0, 45.0)),
        (variant("stopped"), Tried(90.0, 150.0, 45.0, ("legs-untied",))),
    ]
    found = [(v.what, gain) for v, gain in promising(WAS, tried)]
    assert found == [("rings", 20.0), ("one more cross bar, at 600", 14.0), ("nothing gained by itself", 0.0)]


def test_a_second_round_tries_no_more_than_a_hundred_pairs_those_first_that_gave_most():
    keys = ("frame.tube", "frame.width", "basket.pad", "basket.ring_tube", "mounts.plate", "mounts.strap")
    tried = [
        (Variant(f"{key} {n}", f"{key} {n}", (key,), SPEC), Tried(50.0 + n, 150.0, 45.0))
        for key in keys
        for n in range(5)
    ]
    asked = SimpleNamespace(spec=SPEC)
    found = second_round(asked, WAS, tried)  # type: ignore[arg-type]
    assert len(found) == PAIRS == 100
    gave = [sum(int(half.rsplit(" ", 1)[1]) for half in v.what.split("; ")) for v in found]
    assert gave == sorted(gave, reverse=True)
    assert all(len(set(v.keys)) == 2 for v in found)


def test_a_pair_that_gives_no_more_than_one_of_its_two_is_not_listed():
    tried = [
        (variant("pads apart"), Tried(60.0, 150.0, 45.0)),
        (variant("thick plates"), Tried(50.0, 150.0, 46.0)),
        (variant("stout straps"), Tried(51.0, 150.0, 46.0)),
        (variant("pads apart; thick plates"), Tried(60.1, 150.1, 46.0)),
        (variant("pads apart; stout straps"), Tried(75.0, 150.0, 46.0)),
    ]
    assert [g.what for g in gains(WAS, tried, lambda v: False)] == [
        "pads apart; stout straps", "pads apart", "stout straps",
    ]  # fmt: skip


def test_keys_are_changed_by_their_dotted_names():
    spec = changed(SPEC, {"frame.tube": "42.4", "basket.pads": (-300.0, 0.0, 300.0)})
    assert value_of(spec, "frame.tube") == "42.4"
    assert spec.basket == replace(SPEC.basket, pads=(-300.0, 0.0, 300.0))
    assert SPEC.frame.tube is None
