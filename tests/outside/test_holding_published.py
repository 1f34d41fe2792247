"""What anchors hold, against printed examples and tables, and against a published library of ground engineering.

Tolerances: half a unit of the last digit that the source prints, where not said otherwise on the line.
"""

from __future__ import annotations

import math

import pytest
from geotech_references.dm7_2 import chapter4, chapter6
from geotech_references.gec_4.tables import table_8_rock_anchor_transfer_load
from holding.made_up_ground import clay, ground, load, rock, sand

from siting.holding import breakout
from siting.holding.breakout import sand_factor
from siting.holding.earth_pressure import active_ratio, passive_ratio
from siting.holding.ground_cover import GroundLine
from siting.holding.pins import bending_clay_kn, bending_sand_kn, short_pile_clay_kn, short_pile_sand_kn
from siting.holding.plate import SAFETY_FACTORS, combined_kn, level_kn, upward_kn
from siting.holding.rock_bar import bond_kn, cone_kn, hold_rock_bar
from siting.holding.screw import SHAFTS, plate_bearing_kn, stop_torque_knm
from siting.holding.screw import sand_factor as screw_factor
from siting.records.holding import AnchorWants
from siting.soil.tables import ROCK_TRANSFER_KN_M
from siting.units import METRES_PER_FOOT, NEWTONS_PER_POUND_FORCE

POUNDS_PER_SQUARE_FOOT_KPA = NEWTONS_PER_POUND_FORCE / METRES_PER_FOOT**2 / 1000.0

# --- screws ---------------------------------------------------------------------------------------------------------

# Published worked example of a helical tieback, two 12 in plates: A 0.06271 m2, c 3 kPa, friction 32 deg, Nc 9, Nq 17.
TIEBACK_M2, TIEBACK_C_KPA = 0.06271, 3.0
TIEBACK = [(160.056, 172.3), (150.556, 162.2)]  # effective vertical stress, kPa; bearing of the plate, kN


def test_bearing_factor_of_the_tieback():
    assert screw_factor(32.0) == pytest.approx(17.0, abs=0.5)


def test_plates_of_the_tieback():
    """The example adds c and friction; ground here has one or the other, so both are added. Nq unrounded: 0.04 % more."""
    total = 0.0
    for stress, printed in TIEBACK:
        rubbing = plate_bearing_kn(sand(32.0, unit_weight_kn_m3=stress / 5.0), 5.0, 0.3048, TIEBACK_M2)
        held = rubbing + plate_bearing_kn(clay(TIEBACK_C_KPA), 5.0, 0.3048, TIEBACK_M2)
        assert held == pytest.approx(printed, rel=0.5 / 17.0)  # Nq is printed as 17
        total += held
    assert total == pytest.approx(334.5, rel=0.5 / 17.0)
    assert len(TIEBACK) == 2


# ICC-ES AC358 default torque factors, per foot, as listed with them in makers' data sheets.
PER_FOOT = {"square 38 mm": 10.0, "square 44 mm": 10.0, "round 73 mm": 9.0, "round 89 mm": 7.0}


def test_torque_factors():
    assert set(PER_FOOT) == set(SHAFTS)
    for shaft, printed in PER_FOOT.items():
        assert SHAFTS[shaft][0] * METRES_PER_FOOT == pytest.approx(printed, abs=0.02)  # 1/m to a tenth


def test_torque_of_the_data_sheet():
    """65 000 lb at 6500 ft-lb on the 1.5 in square shaft."""
    pull_kn = 65000.0 * NEWTONS_PER_POUND_FORCE / 1000.0
    torque = stop_torque_knm(pull_kn, "square 38 mm") * 1000.0 / NEWTONS_PER_POUND_FORCE / METRES_PER_FOOT
    assert torque == pytest.approx(6500.0, rel=0.002)  # the factor is kept to a tenth per metre


# --- plates ---------------------------------------------------------------------------------------------------------

# Soil reinforcement for anchor plates, appendix G (Meyerhof and Adams 1968, dense sand): square plate 100 mm;
# depth / width, shape factor, breakout factor, load in N. Ku tan(phi) = 0.92.
SQUARE = [(1.0, 1.48, 3.70, 63.0), (2.0, 1.96, 8.20, 279.0), (3.0, 2.44, 14.47, 738.0), (4.0, 2.92, 22.51, 1531.0)]
UPLIFT = 0.92


@pytest.mark.parametrize(("ratio", "shape", "factor", "newtons"), SQUARE)
def test_breakout_of_a_square_plate(ratio, shape, factor, newtons, monkeypatch):
    """With the print's own coefficients; it rounds them to two digits, and its factors are off the formula by up to 0.03."""
    friction = 44.0
    coefficient = UPLIFT / math.tan(math.radians(friction))
    monkeypatch.setattr(breakout, "SAND", ((20.0, 9.0, 0.48, coefficient), (48.0, 9.0, 0.48, coefficient)))
    assert 1.0 + 0.48 * ratio == pytest.approx(shape)
    assert sand_factor(friction, 0.1 * ratio, 0.1, 0.1) == pytest.approx(factor, abs=0.03)
    dense = sand(friction, unit_weight_kn_m3=17.0)  # fitted to the printed loads: the print's weight is not in the table
    assert 1000.0 * upward_kn(dense, 0.1 * ratio, (0.1, 0.1)) == pytest.approx(newtons, rel=0.006)
    assert len(SQUARE) == 4


@pytest.mark.parametrize(("ratio", "shape", "factor", "newtons"), SQUARE)
def test_breakout_by_the_table_itself(ratio, shape, factor, newtons):
    """Friction angle from Ku tan(phi) = 0.92 and Ku = 0.95; the table is straight between 40 and 45 degrees."""
    friction = math.degrees(math.atan(UPLIFT / 0.95))
    assert sand_factor(friction, 0.1 * ratio, 0.1, 0.1) == pytest.approx(factor, rel=0.012)


def test_deepest_breakout_times_growth_is_the_printed_largest_shape_factor():
    """Meyerhof and Adams 1968, Table 1: largest shape factor, from memory, tests the table's other two columns."""
    printed = (1.12, 1.30, 1.60, 2.25, 3.45, 5.50, 7.60)
    assert len(printed) == len(breakout.SAND)
    for row, largest in zip(breakout.SAND, printed, strict=True):
        assert 1.0 + row[1] * row[2] == pytest.approx(largest, abs=0.0051)


def test_continuous_deadman_at_the_surface():
    """1/2 gamma H^2 (Kp - Ka): UFC 3-220-20 Fig. 4-39(b); 1 m high, 18 kN/m3, 30 degrees: 24.0 kN for each metre."""
    assert level_kn(sand(30.0, unit_weight_kn_m3=18.0), 0.5, (1.0, 1.0)) == pytest.approx(24.0, abs=0.05)


@pytest.mark.parametrize(("friction", "active", "passive"), [(30.0, 0.333333, 3.0), (35.0, 0.27099, 3.690172)])
def test_rankine(friction, active, passive):
    assert active_ratio(friction, 0.0) == pytest.approx(active, abs=5e-7)
    assert passive_ratio(friction, 0.0) == pytest.approx(passive, abs=5e-7)


@pytest.mark.parametrize("friction", [22.0, 30.0, 38.0, 46.0])
@pytest.mark.parametrize("slope", [0.0, 5.0, 12.0, 20.0])
def test_coulomb_on_a_slope(friction, slope):
    """UFC 3-220-20 eq. 4-10 and 4-11, upright face without friction."""
    passive = chapter4.coulomb_passive_coefficient(friction, beta_deg=-slope)
    active = chapter4.coulomb_active_coefficient(friction, beta_deg=slope)
    assert passive_ratio(friction, slope) == pytest.approx(passive, rel=1e-9)
    assert active_ratio(friction, slope) == pytest.approx(active, rel=1e-9)


# TM 5-5420-278-10 Table 9, holding power of deadmen in loamy soil, lb for each square foot of face: mean depth in feet,
# pull at 1:1 (45 deg), 1:2, 1:3 and 1:4 (14 deg). Set against the cable's breaking strength. "For fine-grained or sandy
# soil" it takes half.
LOAM = {
    3: (950, 1300, 1450, 1500),
    4: (1750, 2200, 2600, 2700),
    5: (2800, 3600, 4000, 4100),
    6: (3800, 5100, 5800, 6000),
    7: (5100, 7000, 8000, 8400),
}
PULLS_DEG = tuple(math.degrees(math.atan(1.0 / run)) for run in (1, 2, 3, 4))
LOG_M = (10.0 * METRES_PER_FOOT, 1.0 * METRES_PER_FOOT)
LOAMS = {
    "sandy": (sand(30.0, unit_weight_kn_m3=17.3), (0.42, 1.36), 0.46),
    "medium clay": (clay(37.0, unit_weight_kn_m3=17.3), (0.50, 2.78), 1.12),
}


def log_holds(there) -> dict[int, list[float]]:
    """Ultimate of a 10 ft log, lb for each square foot of face, as the table is laid out."""
    held = {}
    for feet in LOAM:
        depth = feet * METRES_PER_FOOT
        both = upward_kn(there, depth, LOG_M), level_kn(there, depth, LOG_M)
        face = LOG_M[0] * LOG_M[1] * POUNDS_PER_SQUARE_FOOT_KPA
        held[feet] = [combined_kn(*both, angle) / face for angle in PULLS_DEG]
    return held


@pytest.mark.parametrize("name", LOAMS)
def test_deadmen_of_the_army(name):
    """The table's "loamy soil" has no figures, so no tolerance: the ratios are measured and held, the trends must agree.

    Of half the table (its sandy or fine-grained soil): sand at 30 degrees, ultimate 1.36 (3 ft, 1:1) to 0.42 (7 ft, 1:4),
    allowable 0.46 to 0.14. Clay of 37 kPa: ultimate 2.78 to 0.50, allowable 1.12 to 0.20, above 1 only at 3 ft and 1:1.
    """
    there, (least, most), allowable_most = LOAMS[name]
    held = log_holds(there)
    ratios = [mine / (0.5 * printed) for feet, row in LOAM.items() for mine, printed in zip(held[feet], row, strict=True)]
    assert len(ratios) == 20
    assert min(ratios) == pytest.approx(least, abs=0.02)
    assert max(ratios) == pytest.approx(most, abs=0.05)
    assert max(ratios) / SAFETY_FACTORS[there.kind] <= allowable_most
    for table in (LOAM, held):
        for row in table.values():
            assert list(row) == sorted(row)  # the flatter the pull, the more
        for column in zip(*table.values(), strict=True):
            assert list(column) == sorted(column)  # the deeper, the more


# --- rock -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("apex", "printed"), [(60.0, 235.62), (90.0, 706.86)])
def test_rock_cone(apex, printed):
    """Geometry of UFC 3-220-20 Fig. 5-38(a): 3 m high, 25 kN/m3."""
    assert cone_kn(3.0, 25.0, 15.0, None, apex) == pytest.approx(printed, abs=0.005)


@pytest.mark.parametrize("name", ROCK_TRANSFER_KN_M)
def test_load_transfer(name):
    """FHWA-IF-99-015 Table 8: ultimate over 3 m of bond, and a third of it to work with."""
    key = {"granite or basalt": "granite_basalt", "slates and hard shales": "slates_hard_shales"}.get(name, name)
    table = table_8_rock_anchor_transfer_load(key)
    assert bond_kn(name, 3.0) == pytest.approx(3.0 * table["ultimate_transfer_load_kN_per_m"])
    held = hold_rock_bar(load(1.0, 90.0), rock(name), GroundLine(ground()), AnchorWants())
    assert held.parts[0].value_kn / held.safety_factor == pytest.approx(3.0 * table["allowable_load_per_m_kN"], abs=0.15)


# --- pins -----------------------------------------------------------------------------------------------------------


def test_short_pile_in_clay_of_the_textbook():
    """Reese and Van Impe, Piles under Lateral Loading, appendix A: b 0.305 m, e 0.61 m, L 2.44 m, cu 47.9 kPa.

    Printed: P^2 + 1083 P - 67 900 = 0. Tolerance from half a unit of both coefficients (0.5 and 50): 0.07 kN.
    """
    printed = (-1083.0 + math.sqrt(1083.0**2 + 4.0 * 67900.0)) / 2.0
    assert short_pile_clay_kn(47.9, 0.305, 2.44, 0.61) == pytest.approx(printed, abs=0.07)


@pytest.mark.parametrize("height", [0.0, 0.61])
@pytest.mark.parametrize(("strength", "width", "length"), [(47.9, 0.305, 2.44), (37.5, 0.03, 1.5), (100.0, 0.05, 2.0)])
def test_short_pile_in_clay_by_the_manual(strength, width, length, height):
    """UFC 3-220-20 eq. 6-59 to 6-61: the pile that just carries the force is as long as the one given."""
    force = short_pile_clay_kn(strength, width, length, height)
    f = chapter6.broms_undrained_f(force, strength, width)
    g = chapter6.broms_undrained_g(force * height, force, width, f, strength)
    assert chapter6.broms_undrained_Zmin(width, f, g) == pytest.approx(length)


@pytest.mark.parametrize("height", [0.0, 0.5])
@pytest.mark.parametrize(("growth", "passive", "width", "length"), [(18.0, 3.0, 0.3, 4.0), (9.0, 2.4, 0.03, 1.5)])
def test_short_pile_in_sand_by_the_manual(growth, passive, width, length, height):
    """UFC 3-220-20 eq. 6-63 (iterated to 1e-6 m)."""
    force = short_pile_sand_kn(growth, passive, width, length, height)
    assert chapter6.broms_drained_Zmin(force, force * height, growth, width, passive) == pytest.approx(length, abs=1e-5)


def test_bending_by_the_manual():
    """UFC 3-220-20 eq. 6-64 and 6-65 in sand; in clay the moment is H (1.5 b + f/2), f by eq. 6-59."""
    force = bending_sand_kn(9.0, 3.0, 0.03, 0.6)
    f = chapter6.broms_drained_zero_shear_depth(force, 9.0, 0.03, 3.0)
    assert chapter6.broms_drained_max_moment(0.0, force, f, 9.0, 0.03, 3.0) == pytest.approx(0.6)
    push = bending_clay_kn(40.0, 0.03, 0.6)
    assert push * (1.5 * 0.03 + 0.5 * chapter6.broms_undrained_f(push, 40.0, 0.03)) == pytest.approx(0.6)
