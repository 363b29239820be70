"""Round tube against the published section tables."""

import math

import pytest

from rackgen.geom import section
from rackgen.spec.stock import DENSITY

# AISC Shapes Database v14 to v16 = AISC Manual Tables 1-13 and 1-14. OD, nominal wall, design wall in in; W in lb/ft;
# A in2; I in4; S in3; r in; Z in3; J in4. Seen in two public copies that agree row for row.
AISC = {
    "HSS1.660X0.140": (1.660, 0.140, 0.130, 2.27, 0.625, 0.184, 0.222, 0.543, 0.305, 0.368),
    "HSS1.900X0.120": (1.900, 0.120, 0.111, 2.28, 0.624, 0.251, 0.264, 0.634, 0.356, 0.501),
    "HSS1.900X0.145": (1.900, 0.145, 0.135, 2.72, 0.749, 0.293, 0.309, 0.626, 0.421, 0.586),
    "HSS1.900X0.188": (1.900, 0.188, 0.174, 3.44, 0.943, 0.355, 0.374, 0.613, 0.520, 0.710),
    "HSS2.375X0.125": (2.375, 0.125, 0.116, 3.01, 0.823, 0.527, 0.443, 0.800, 0.592, 1.05),
    "HSS2.375X0.154": (2.375, 0.154, 0.143, 3.66, 1.00, 0.627, 0.528, 0.791, 0.713, 1.25),
    "HSS2.375X0.188": (2.375, 0.188, 0.174, 4.40, 1.20, 0.733, 0.617, 0.781, 0.845, 1.47),
    "HSS2.375X0.218": (2.375, 0.218, 0.203, 5.03, 1.39, 0.824, 0.694, 0.771, 0.960, 1.65),
    "HSS2.375X0.250": (2.375, 0.250, 0.233, 5.68, 1.57, 0.910, 0.766, 0.762, 1.07, 1.82),
    "HSS2.500X0.125": (2.500, 0.125, 0.116, 3.17, 0.869, 0.619, 0.495, 0.844, 0.660, 1.24),
    "HSS2.500X0.188": (2.500, 0.188, 0.174, 4.65, 1.27, 0.865, 0.692, 0.825, 0.943, 1.73),
    "Pipe 3/4 STD": (1.050, 0.113, 0.105, 1.13, 0.312, 0.0350, 0.0671, 0.336, 0.0942, 0.0700),
    "Pipe 1 STD": (1.315, 0.133, 0.124, 1.68, 0.469, 0.083, 0.126, 0.423, 0.177, 0.166),
    "Pipe 1 XS": (1.315, 0.179, 0.166, 2.17, 0.602, 0.101, 0.154, 0.410, 0.221, 0.202),
    "Pipe 1-1/4 STD": (1.660, 0.140, 0.130, 2.27, 0.625, 0.184, 0.222, 0.543, 0.305, 0.368),
    "Pipe 1-1/2 STD": (1.900, 0.145, 0.135, 2.72, 0.749, 0.293, 0.309, 0.626, 0.421, 0.586),
    "Pipe 1-1/2 XS": (1.900, 0.200, 0.186, 3.63, 1.00, 0.372, 0.392, 0.610, 0.549, 0.744),
    "Pipe 2 STD": (2.375, 0.154, 0.143, 3.66, 1.02, 0.627, 0.528, 0.791, 0.713, 1.25),
    "Pipe 2 XS": (2.375, 0.218, 0.204, 5.03, 1.40, 0.827, 0.696, 0.771, 0.964, 1.65),
}
HSS = [name for name in AISC if name.startswith("HSS")]
# AISC's area of these pipe rows is 0.6 to 1.7 % above the ring on the design wall: the pipe-area trap.
TRAP = ("Pipe 1 STD", "Pipe 2 STD", "Pipe 2 XS")

# EN 10219-2: D x T mm; M kg/m; A mm2; I mm4; Wel mm3; Wpl mm3; It mm4, three significant figures. Properties seen in an
# open library that holds the EN table, mass by the formula of EN 10219-2 (from memory).
EN = {
    (21.3, 2.6): (1.20, 153, 6_800, 640, 920, 13_600),
    (26.9, 2.6): (1.56, 198, 14_800, 1_100, 1_540, 29_600),
    (33.7, 2.6): (1.99, 254, 30_900, 1_840, 2_520, 61_900),
    (33.7, 3.2): (2.41, 307, 36_000, 2_140, 2_990, 72_100),
    (42.4, 2.6): (2.55, 325, 64_600, 3_050, 4_120, 129_000),
    (48.3, 2.6): (2.93, 373, 97_800, 4_050, 5_440, 196_000),
    (48.3, 3.2): (3.56, 453, 116_000, 4_800, 6_520, 232_000),
    (48.3, 4.0): (4.37, 557, 138_000, 5_700, 7_870, 275_000),
    (60.3, 2.6): (3.70, 471, 197_000, 6_520, 8_660, 393_000),
}
# EN 10305-3 sizes, kg/m, by the formula of the standard (from memory).
EN_10305 = {
    (25, 2): 1.134,
    (28, 2): 1.282,
    (30, 2): 1.381,
    (32, 2): 1.480,
    (38, 2): 1.776,
    (40, 2): 1.874,
    (50, 2): 2.368,
}

POUND_PER_CUBIC_FOOT = 0.45359237 / 0.3048**3


def half_a_digit(value: float) -> float:
    """Give half a unit of the last of three printed figures, as a share of the value."""
    return 0.5 * 10 ** (math.floor(math.log10(value)) - 2) / value


# Pipe under 1 in is left out: AISC prints 3/4 in pipe 0.6 % off the ring, and racks have none.
@pytest.mark.parametrize("name", [name for name in AISC if name != "Pipe 3/4 STD"])
def test_properties_on_the_design_wall_are_aiscs(name: str) -> None:
    od, _, wall, _, _, i, s, r, z, j = AISC[name]
    assert section.second_moment(od, wall) == pytest.approx(i, rel=5e-3)
    assert section.elastic_modulus(od, wall) == pytest.approx(s, rel=5e-3)
    assert section.radius_of_gyration(od, wall) == pytest.approx(r, rel=5e-3)
    assert section.plastic_modulus(od, wall) == pytest.approx(z, rel=5e-3)
    assert section.torsion_constant(od, wall) == pytest.approx(j, rel=5e-3)


@pytest.mark.parametrize("name", HSS)
def test_area_on_the_design_wall_is_aiscs_for_hss(name: str) -> None:
    od, _, wall, _, a, *_ = AISC[name]
    assert section.area(od, wall) == pytest.approx(a, rel=5e-3)


@pytest.mark.parametrize("name", TRAP)
def test_aiscs_area_of_pipe_is_a_trap(name: str) -> None:
    od, _, wall, _, a, *_ = AISC[name]
    assert 0.005 < a / section.area(od, wall) - 1 < 0.02


@pytest.mark.parametrize("name", AISC)
def test_weight_stands_on_the_nominal_wall(name: str) -> None:
    od, nominal, design, weight, *_ = AISC[name]

    def pounds(wall: float) -> float:
        return section.area(od, wall) / 144 * 490

    assert pounds(nominal) == pytest.approx(weight, abs=0.01)
    assert pounds(design) != pytest.approx(weight, abs=0.01)


def test_the_density_of_steel_is_aiscs_490_pounds() -> None:
    assert DENSITY["steel"] == pytest.approx(490 * POUND_PER_CUBIC_FOOT, rel=2e-4)


@pytest.mark.parametrize("size", EN)
def test_properties_are_those_of_en_10219(size: tuple[float, float]) -> None:
    _, a, i, wel, wpl, it = EN[size]
    assert section.area(*size) == pytest.approx(a, rel=6e-3)
    assert section.second_moment(*size) == pytest.approx(i, rel=6e-3)
    assert section.elastic_modulus(*size) == pytest.approx(wel, rel=6e-3)
    assert section.plastic_modulus(*size) == pytest.approx(wpl, rel=6e-3)
    assert section.torsion_constant(*size) == pytest.approx(it, rel=6e-3)


def test_the_wrong_second_moment_in_circulation_is_refused() -> None:
    # Several public data sets give 12.2 to 12.3 cm4 for 48.3 x 3.2; the standard's is 11.6.
    assert section.second_moment(48.3, 3.2) != pytest.approx(122_000, rel=2e-2)


@pytest.mark.parametrize(("size", "mass"), [(s, row[0]) for s, row in EN.items()] + list(EN_10305.items()))
def test_masses_are_those_of_the_standards(size: tuple[float, float], mass: float) -> None:
    got = section.mass_per_length(*size, DENSITY["steel"])
    assert got == pytest.approx(mass, rel=half_a_digit(mass), abs=1e-9)
    # EN 10305 and EN 10219: M = (D - T) T 0.0246615 (from memory).
    assert got == pytest.approx((size[0] - size[1]) * size[1] * 0.0246615, rel=1e-5)


def test_gauge_factor_of_sheet_is_not_a_density() -> None:
    # 41.82 lb/ft2 per in of the sheet gauge is 2.4 % above 490 lb/ft3; weights must not be built on it.
    assert pytest.approx(1.024, abs=5e-4) == 41.82 / (490 / 12)
