"""A small rack with one of everything, put together by hand: what the tests of sheets and exports look at."""

from rackgen.geom.fold import Fold
from rackgen.geom.frame import Frame
from rackgen.geom.outline import rectangle
from rackgen.geom.spine import Bend, Spine
from rackgen.parts.kinds import (
    BarEnd,
    BarHole,
    BentTube,
    Bought,
    Break,
    CutPlate,
    FoldedBar,
    PlateHole,
    RivetShape,
    Slit,
    TubeHole,
)
from rackgen.parts.rack import Along, AtEnd, Group, Joint, Layout, OnFace, Placed, Rack
from rackgen.parts.resolve import resolve
from rackgen.spec.shop import Die, Saw, Shop, Table
from rackgen.spec.stock import Expanded, Flat, Rivet, Round, Sheet, Stock, UBolt

TUBE = Stock("33.7 × 2.6", Round(33.7, 2.6), "steel", "E235", "bare", 6000.0)
THIN = Stock("26.9 × 2.6", Round(26.9, 2.6), "steel", "E235", "bare", 6000.0)
INNER = Stock("33.7 × 2.0", Round(33.7, 2.0), "steel", "E235", "bare", 6000.0)
BAR = Stock("50 × 5", Flat(50.0, 5.0), "steel", "S235JR", "bare", 6000.0)
PLATE = Stock("plate 4", Sheet(4.0, 1000.0, 2000.0), "steel", "S235JR", "bare")
MESH = Stock(
    "raised 23 × 50", Expanded("raised", 23.0, 50.0, 1.5, 2.6, 5.3, 2.64, 1250.0, 2500.0), "steel", "DC01", "bare"
)

MM = Shop(
    name="the shed",
    unit="mm",
    stock=(TUBE, THIN, INNER, BAR, PLATE, MESH),
    dies=(Die("33.7 on 120", 33.7, 120.0, 90.0, 60.0),),
    saw=Saw(3.0, 10.0),
    table=Table(1.5, 8.0, False),
    u_bolts=(UBolt("M8 × 40", 8.0, 40.0, 75.0, 40.0, 6.5, 13.0, 16.0, 1.6, 12.0),),
    rivets=(Rivet("closed 6.4", 6.4, 6.5, (3.0, 7.0), 13.0, 3.0, True),),
    fit_up_gap=0.5,
    weld_shrinkage=0.5,
    trim=10.0,
    bedding=1.5,
    isolator=3.0,
)

LEG, CLR, BACK = 600.0, 120.0, 700.0
HALF = (BACK + 2 * CLR) / 2


def hoop() -> Placed:
    """Give a hoop in the plane z = 0: legs aft along +X at y = ±470, its back at x = 0."""
    tube = BentTube(
        TUBE,
        Spine((LEG, BACK, LEG), (Bend(90.0, CLR), Bend(90.0, CLR))),
        holes=(TubeHole(300.0, 180.0, 5.0, "vent"),),
    )
    return Placed("frame.hoop", tube, Frame.of((LEG + CLR, -HALF, 0), (-1, 0, 0), (0, 1, 0)), "hoop", 1)


def layout() -> Layout:
    """Give the intent: hoop, cross bar, two flush bearers, a stub on a broken plate, strap, brace, mesh, rivets."""
    frame = hoop()
    length = LEG + CLR * 3.141592653589793 / 2 + BACK / 2
    members = [frame]
    joints = []

    def across(name: str, word: str, stock: Stock, x: float, up: float, stage: int) -> None:
        tube = BentTube(stock, Spine((2 * HALF,)))
        members.append(Placed(name, tube, Frame.of((x, -HALF, up), (0, 1, 0), (0, 0, 1)), word, stage))
        total = 2 * LEG + BACK + CLR * 3.141592653589793
        at = LEG + CLR - x
        joints.append(Joint(f"{name}.left", "coped weld", AtEnd(name, "A"), Along("frame.hoop", at), "a"))
        joints.append(Joint(f"{name}.right", "coped weld", AtEnd(name, "B"), Along("frame.hoop", total - at), "a"))

    across("frame.bar", "cross bar", TUBE, 500.0, 0.0, 2)
    across("basket.bearer[1]", "bearer", THIN, 250.0, 3.4, 2)
    across("basket.bearer[2]", "bearer", THIN, 400.0, 3.4, 2)
    stub = BentTube(TUBE, Spine((80.0,)))
    members.append(
        Placed("mount.stub", stub, Frame.of((0.0, 0.0, -80.0), (0, 0, 1), (-1, 0, 0)), "saddle", 3),
    )
    plate = CutPlate(
        PLATE,
        rectangle(120.0, 100.0, 12.0),
        tuple(PlateHole(x, y, 6.5) for x in (-45.0, 45.0) for y in (-35.0, 0.0, 35.0)),
        openings=(rectangle(14.0, 9.0, 4.5, (0.0, 40.0)),),
        breaks=(Break((0.0, 5.0), 0.0, 4.5),),
    )
    members.append(
        Placed("mount.plate", plate, Frame.of((0.0, 0.0, -60.0), (0.996, 0.0, 0.087), (-0.087, 0, 0.996)), "plate", 2)
    )
    joints.append(Joint("mount.stub.head", "coped weld", AtEnd("mount.stub", "B"), Along("frame.hoop", length), "a"))
    joints.append(
        Joint("mount.stub.foot", "plane weld", AtEnd("mount.stub", "A"), OnFace("mount.plate", "top", 0, 0), "a")
    )
    strap = FoldedBar(
        BAR,
        (110.0, 180.0),
        (Fold(-82.0, 8.0),),
        end_b=BarEnd(radius=5.0),
        holes=tuple(BarHole(1, 90.0 + 24.0 * k, 0.0, 6.5) for k in range(4)),
    )
    brace = FoldedBar(BAR, (110.0,), end_a=BarEnd(bevel=27.0), end_b=BarEnd(skew=8.0))
    for side, y in (("left", -400.0), ("right", 400.0)):
        members.append(Placed(f"rear.{side}.strap", strap, Frame((700.0, y, -20.0)), "strap", 3))
        members.append(Placed(f"rear.{side}.brace", brace, Frame((760.0, y, -60.0)), "brace", 3))
    mesh = CutPlate(MESH, rectangle(700.0, 400.0))
    members.append(Placed("basket.floor", mesh, Frame((350.0, 0.0, 17.0)), "floor", 2))
    sleeve = BentTube(INNER, Spine((100.0,)), slit=Slit(18.0, 28.5))
    members.append(Placed("frame.sleeve", sleeve, Frame((800.0, -HALF, 0.0)), "sleeve", 2))
    rivet = Bought("rivet closed 6.4", RivetShape(6.4, 5.0, 13.0, 3.0, 9.0, 8.0), 7850.0)
    for k in range(6):
        members.append(Placed(f"mount.rivet[{k + 1}]", rivet, Frame((20.0 * k, 0.0, -56.0)), "rivet", 0))
    return Layout((Group(tuple(members), tuple(joints)),))


def small_rack() -> Rack:
    """Give the resolved rack; it has no findings."""
    rack, findings = resolve(layout())
    assert not findings, findings
    return rack
