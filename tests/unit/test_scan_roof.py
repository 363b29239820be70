"""The roof out of a scan: near the truth whatever the scan suffers from, or refused with the reason."""

import numpy as np
import pytest
from scanned_roofs import TEN, Formula, samples, scan

from rackgen.errors import GeometryError
from rackgen.geom.scan_points import cloud
from rackgen.geom.scan_roof import ScannedRoof, scanned_roof

Array = np.ndarray


def _apart(found: ScannedRoof, roof: Formula) -> tuple[Array, float]:
    """Give how far the surface is off the truth where it answers, and the share of the roof where it does."""
    x, y = np.meshgrid(np.linspace(0, roof.length, 90), np.linspace(-700, 700, 71))
    x, y = x.ravel(), y.ravel()
    on = np.abs(y) <= roof.half(x)
    z = found.roof.height(x, y)
    answered = on & np.isfinite(z)
    return z[answered] - roof.height(x[answered], y[answered]), float(answered.sum() / on.sum())


@pytest.mark.parametrize("name", TEN)
def test_a_bad_scan_of_every_roof_gives_its_surface(name: str) -> None:
    """Noise of 0.8 mm, three holes, doubled points, 2 % strays, a lining underneath, two points kilometres away."""
    roof = TEN[name]
    found = scanned_roof(cloud(scan(roof, apart=15.0)).points)
    off, share = _apart(found, roof)
    # Ribs 180 mm apart are not to be foretold over a hole 180 mm wide: up to 6 mm off there.
    assert float(np.sqrt(np.mean(off**2))) < (0.7 if name == "ribbed" else 0.3)
    assert abs(float(off.mean())) < 0.1
    assert share > 0.9
    assert found.strays > 10
    # What it says of itself is the noise that was put in: normal, so 95 % lie within 1.96 of it.
    assert found.rms == pytest.approx(0.8, rel=0.15)
    assert found.within == pytest.approx(1.96 * 0.8, rel=0.15)
    assert np.diff([s.x for s in found.roof.sections]).max() < 170


def test_the_roof_ends_where_it_falls_away() -> None:
    """The gutter's wall begins at 570 mm from the middle, 5 mm deep at 580; up to two cells are given up before it."""
    found = scanned_roof(cloud(scan(TEN["gutter"])).points)
    assert all(530 <= half <= 580 for s in found.roof.sections for half in (s.left, s.right))


def test_windscreen_and_sides_are_not_roof() -> None:
    """A whole body: a bonnet 500 mm lower, a windscreen at 40°, sides, and the roof between x = 0 and 1500."""
    dice = np.random.default_rng(5)
    roof = samples(TEN["crowned"], 15.0, 3)
    top = float(TEN["crowned"].height(np.zeros(1), np.zeros(1))[0])
    t, y = dice.uniform(0, 1, 9_000), dice.uniform(-600, 600, 9_000)
    side = -80 * (y / 600) ** 2
    screen = np.stack([-t * 600, y, top + side - t * 600 * np.tan(np.radians(40))], axis=1)
    bonnet = np.stack([-600 - t * 1000, y, top - 503.5 - t * 60], axis=1)
    u, z = dice.uniform(-600, 1500, 9_000), dice.uniform(-700, -130, 9_000)
    sides = [np.stack([u, np.full_like(u, s), z], axis=1) for s in (-602.0, 602.0)]
    found = scanned_roof(cloud(np.concatenate([roof, screen, bonnet, *sides])).points)
    off, share = _apart(found, TEN["crowned"])
    assert float(np.sqrt(np.mean(off**2))) < 0.5
    assert share > 0.85
    assert -20 <= found.roof.sections[0].x <= 60


def test_triangles_give_the_surface_whichever_way_they_face() -> None:
    """A coarse mesh with every other triangle turned over and every fifth twice; the facets' own sag is 0.4 mm."""
    x, y = np.meshgrid(np.linspace(0, 1500, 31), np.linspace(-600, 600, 25), indexing="ij")
    roof = TEN["crowned"]
    points = np.stack([x, y, roof.height(x, y)], axis=-1).reshape(-1, 3)
    k = np.arange(31 * 25).reshape(31, 25)
    a, b, c, d = (v.ravel() for v in (k[:-1, :-1], k[1:, :-1], k[1:, 1:], k[:-1, 1:]))
    faces = np.concatenate([np.stack([a, b, c], axis=1), np.stack([a, c, d], axis=1)])
    faces[::2] = faces[::2, ::-1]
    found = scanned_roof(cloud(points, np.concatenate([faces, faces[::5]])).points)
    off, share = _apart(found, roof)
    assert float(np.sqrt(np.mean(off**2))) < 0.5
    assert share > 0.95


def test_of_a_sheet_scanned_on_both_faces_the_outer_one_counts() -> None:
    """The same skin again 3 mm lower."""
    p = samples(TEN["crowned"], 12.0, 3)
    q = samples(TEN["crowned"], 12.0, 4) - np.array([0, 0, 3.0])
    off, _ = _apart(scanned_roof(cloud(np.concatenate([p, q])).points), TEN["crowned"])
    assert abs(float(off.mean())) < 0.1


def test_points_by_hand_are_enough() -> None:
    """A hundred-odd points set out by hand, every 120 mm or so."""
    x, y = np.meshgrid(np.linspace(0, 1500, 14), np.linspace(-590, 590, 11))
    x, y = x.ravel(), y.ravel()
    found = scanned_roof(cloud(np.stack([x, y, TEN["crowned"].height(x, y)], axis=1)).points)
    off, share = _apart(found, TEN["crowned"])
    assert float(np.sqrt(np.mean(off**2))) < 0.5
    assert share > 0.85


def _tilted(x: Array, y: Array) -> Array:
    return 100 + 0.05 * x - 0.03 * y


def _cylinder(x: Array, y: Array) -> Array:
    return np.sqrt(3000.0**2 - y**2) - 3000


def _sphere(x: Array, y: Array) -> Array:
    return np.sqrt(4000.0**2 - y**2 - (x - 700) ** 2) - 4000


def _paraboloid(x: Array, y: Array) -> Array:
    return -((x - 700) ** 2) / 9000 - y**2 / 5000


@pytest.mark.parametrize(
    ("height", "zx", "zy"),
    [
        (_tilted, lambda x, y: 0.05, lambda x, y: -0.03),
        (_cylinder, lambda x, y: 0.0, lambda x, y: -y / np.sqrt(3000.0**2 - y**2)),
        (
            _sphere,
            lambda x, y: -(x - 700) / np.sqrt(4000.0**2 - y**2 - (x - 700) ** 2),
            lambda x, y: -y / np.sqrt(4000.0**2 - y**2 - (x - 700) ** 2),
        ),
        (_paraboloid, lambda x, y: -(x - 700) / 4500, lambda x, y: -y / 2500),
    ],
)
def test_heights_and_normals_of_known_surfaces(height, zx, zy) -> None:
    """A plane, a cylinder, a sphere and an elliptic paraboloid, their heights and slopes by hand."""
    roof = Formula(height, lambda x: np.full_like(x, 600.0))
    found = scanned_roof(cloud(samples(roof, 15.0, 2)).points).roof
    for x, y in ((120.0, 0.0), (700.0, 400.0), (1300.0, -500.0), (450.0, -33.0)):
        assert float(found.height(x, y)) == pytest.approx(float(height(x, y)), abs=0.1)
        normal = np.array([-zx(x, y), -zy(x, y), 1.0])
        cosine = float(np.array(found.normal(x, y)) @ normal / np.linalg.norm(normal))
        assert np.degrees(np.arccos(min(1.0, cosine))) < 0.15


def test_where_the_user_says_the_roof_ends_it_ends() -> None:
    found = scanned_roof(cloud(samples(TEN["long"], 18.0, 2)).points, 500.0, 1900.0)
    assert found.roof.sections[0].x == pytest.approx(500, abs=45)
    assert found.roof.sections[-1].x == pytest.approx(1900, abs=45)


def _refused(points: Array) -> str:
    with pytest.raises(GeometryError) as error:
        scanned_roof(cloud(points).points)
    return str(error.value)


def test_what_is_no_roof_is_refused_with_the_reason() -> None:
    p = samples(TEN["crowned"], 18.0, 2)
    assert "too few" in _refused(p[:40])
    assert "unit" in _refused(p / 25.4)
    assert "unit" in _refused(p * 1000)
    assert "it shows leans 8" in _refused(p[:, [0, 2, 1]])
    assert "upside down" in _refused(p * np.array([1, 1, -1]))
    assert "middle" in _refused(p + np.array([0, 900, 0]))
    assert "surface" in _refused(np.random.default_rng(1).uniform(-600, 600, (20_000, 3)))
    hole = p[(np.abs(p[:, 0] - 750) > 450) | (np.abs(p[:, 1]) > 420)]
    assert _refused(hole)


def test_points_that_are_no_numbers_are_counted_and_left_out() -> None:
    p = samples(TEN["flat"], 18.0, 2)
    p[::7, 1] = np.nan
    p[3] = np.inf
    made = cloud(p)
    assert made.lost == len(p[::7]) + 1
    assert np.isfinite(made.points).all()
    scanned_roof(made.points)
