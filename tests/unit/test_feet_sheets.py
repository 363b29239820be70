"""Feet on the sheets: where they go, what is drilled for them and what is not, torques, and what is bought."""

from __future__ import annotations

import dataclasses

import pytest
from foot_racks import (
    BED_RAIL,
    GUTTER,
    ONE_THREAD,
    PLACES,
    THREADS,
    TRACK,
    WIDE_RAIL,
    mirrored,
    over,
    site_with,
    standing,
)

from rackgen.check.reach import reach_findings
from rackgen.design.foot import face_at, foot
from rackgen.parts.rack import Rack
from rackgen.sheets.bill import bill
from rackgen.sheets.drill_templates import templates_for_vehicle
from rackgen.sheets.dry_fit_station import dry_fit_station
from rackgen.sheets.inspection_station import bolt_fields, crack_places
from rackgen.sheets.installation import fastener_counts, installation
from rackgen.sheets.installation_rows import holes_table, installation_table
from rackgen.sheets.installation_station import installation_station
from rackgen.sheets.pages import Fields, Heading, Station, Ticks
from rackgen.spec.foot_place import FootPlace, Under
from rackgen.spec.vehicle import Vehicle

IDS = [p.name for p in PLACES]


def _both(*places: FootPlace) -> tuple[Rack, Vehicle]:
    """Return pairs of feet, left and right, under their own pieces of bar."""
    every = [p for place in places for p in (mirrored(place), place)]
    site = site_with(*every)
    racks = [standing(site, p)[0] for p in every]
    placed = tuple(p for rack in racks for p in rack.placed)
    return Rack(placed, tuple(j for rack in racks for j in rack.joints)), site.vehicle


def _words(station: Station) -> str:
    texts: list[str] = []
    for block in station.blocks:
        match block:
            case Heading():
                texts.append(block.text)
            case Ticks():
                texts += block.items
            case Fields():
                texts += [" ".join(row) for row in block.rows]
            case _:
                pass
    return "\n".join(texts)


@pytest.mark.parametrize("place", PLACES, ids=IDS)
def test_every_foot_has_its_row_with_place_bolts_and_torque(place: FootPlace) -> None:
    shop = site_with(place).shop
    rack, vehicle = _both(place)
    found = installation(rack, shop, vehicle)
    assert [(m.letter, m.name) for m in found.mounts] == [("A", mirrored(place).name), ("B", place.name)]
    bolts = [p for p in rack.placed if p.word == "bolt"]
    assert sum(n for _, n in fastener_counts(found)) == len(bolts)
    table = installation_table(found, shop.unit)
    at = [c.key for c in table.columns].index("torque")
    assert len(table.rows) == 2
    assert all(row[at] for row in table.rows)


@pytest.mark.parametrize("place", [GUTTER, THREADS, ONE_THREAD, TRACK], ids=lambda p: p.name)
def test_gutters_threads_and_tracks_are_not_drilled(place: FootPlace) -> None:
    shop = site_with(place).shop
    rack, vehicle = _both(place)
    found = installation(rack, shop, vehicle)
    assert found.holes == ()
    assert templates_for_vehicle(rack, shop, vehicle) == ()
    words = _words(installation_station(rack, shop, vehicle))
    assert "Drill\n" not in words
    assert "rivet gun" not in words
    assert "drill stop" not in words


@pytest.mark.parametrize("place", [BED_RAIL, WIDE_RAIL], ids=lambda p: p.name)
def test_a_bed_rail_is_drilled_where_its_bolts_are(place: FootPlace) -> None:
    site = site_with(place)
    rack, vehicle = _both(place)
    found = installation(rack, site.shop, vehicle)
    for mount in found.mounts:
        bolts = [p for p in rack.placed if p.word == "bolt" and p.id.startswith(f"mount.{mount.name}.")]
        assert len(mount.holes) == len(bolts)
        for hole in mount.holes:
            bolt = rack.part(hole.part)
            # On the rail's upper face, under plate and bedding.
            off = bolt.frame.to_local(hole.at)
            assert tuple(off) == pytest.approx((0.0, 0.0, -4.0 - site.shop.bedding), abs=1e-6)
            assert hole.drill == 9.0
            # Plate, bedding, sheet and 3 mm; the backing goes on after.
            assert hole.stop == pytest.approx(4.0 + site.shop.bedding + 1.0 + 3.0)
    papers = templates_for_vehicle(rack, site.shop, vehicle)
    assert [p.title for p in papers] == [
        f"drill {m.letter}: {m.name.replace('_', ' ')}, bed rail" for m in found.mounts
    ]
    assert len(holes_table(found, "mm").rows) == len(found.holes)


@pytest.mark.parametrize("place", PLACES, ids=IDS)
def test_the_pages_speak_of_the_feet_that_are_there(place: FootPlace) -> None:
    site = site_with(place)
    rack, vehicle = _both(place)
    kind = {"gutter": "jaw", "thread": "pad", "track": "bracket", "rail": "rail plate", "wide": "rail plate"}
    word = next(w for k, w in kind.items() if place.name.startswith(k))
    assert word in _words(dry_fit_station(rack, site.shop, vehicle))
    assert "strap" not in _words(dry_fit_station(rack, site.shop, vehicle))
    assert "torque" in _words(installation_station(rack, site.shop, vehicle))
    fields = bolt_fields(rack, site.shop)
    assert fields is not None
    assert len(fields.rows) == sum(p.word == "bolt" for p in rack.placed)


def test_a_jaws_folds_are_looked_at_for_cracks() -> None:
    rack, _ = _both(GUTTER)
    assert sum("jaw" in text for text in crack_places(rack)) == 2


@pytest.mark.parametrize("place", PLACES, ids=IDS)
def test_bolts_are_bought_with_their_price(place: FootPlace) -> None:
    site = site_with(place)
    rack, _ = _both(place)
    (line,) = [b for b in bill(rack, site.shop).lines if "8.8" in b.name]
    bolts = [p for p in rack.placed if p.word == "bolt"]
    assert line.count == len(bolts)
    assert line.price is not None
    assert float(line.price) == pytest.approx(0.40 * len(bolts))


@pytest.mark.parametrize("place", PLACES, ids=IDS)
def test_a_spanner_goes_over_every_head(place: FootPlace) -> None:
    rack, vehicle = _both(place)
    assert [f for f in reach_findings(rack, vehicle) if f.code == "bolt-out-of-reach"] == []


def test_a_head_too_near_its_stub_is_found() -> None:
    """The same pad with its stub drawn 6 mm nearer to one bolt."""
    rack, vehicle = _both(TRACK)
    stub = next(p for p in rack.placed if p.word == "saddle")
    moved = dataclasses.replace(stub, frame=dataclasses.replace(stub.frame, origin=(
        stub.frame.origin[0] + 6.0, *stub.frame.origin[1:])))  # fmt: skip
    near = Rack(tuple(moved if p is stub else p for p in rack.placed), rack.joints)
    (finding,) = [f for f in reach_findings(near, vehicle) if f.code == "bolt-out-of-reach"]
    assert finding.got is not None
    assert finding.limit is not None
    assert finding.got < finding.limit
    assert finding.keys == (f"mounts.{finding.parts[0].split(chr(46))[1]}",)
    # The same bolt in a fitting is moved with its fitting.
    bolt = next(p for p in near.placed if p.id == finding.parts[0])
    fitted = dataclasses.replace(bolt, id="fitting[2].tab[1].bolt[2]")
    again = Rack(tuple(fitted if p is bolt else p for p in near.placed), near.joints)
    (finding,) = [f for f in reach_findings(again, vehicle) if f.code == "bolt-out-of-reach"]
    assert finding.keys == ("fitting[2]",)
    assert "fitting" in finding.help
    assert "stub" not in finding.help


def test_a_roof_place_serves_as_a_foot_under_a_side_rail() -> None:
    site = site_with()
    place = site.vehicle.front[0]
    at, normal = face_at(place, site.shop, site.vehicle, site.choice, place.at[0])
    made = foot(site, place, over(site, place, (1.0, 0.0, 0.0)))
    words = sorted({m.word for m in made.group.members})
    assert words == ["bedding", "mount plate", "rivet"]
    assert normal[2] > 0.9
    assert made.at[2] == pytest.approx(at[2], abs=3.0)
    under: Under = place.under
    assert under == "bow"
