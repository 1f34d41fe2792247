"""Wind pressure against printed EN 1991-1-4 worked sheets, the mast's beam against printed tables of continuous beams.

Tolerances: half a unit of the last digit that the source prints, where not said otherwise on the line.
"""

from __future__ import annotations

import numpy as np
import pytest

from siting.kernels.mast_wind import GUY_DRAG_RATIO, guy_drag_n, level_forces_n, mast_slabs
from siting.kernels.wind_pressure import (
    AIR_KG_M3,
    TERRAIN,
    mean_wind_m_s,
    peak_pressure_pa,
    roughness_factor,
    terrain_factor,
    turbulence_intensity,
)

SHEET = "published EN 1991-1-4 worked sheet"
FORMULAS = "formulas of EN 1991-1-4, 4.3 to 4.5, recomputed outside this project"
WIND = (
    # id, quantity, value, printed, tolerance, source
    ("ec1-qp-1", "kr", terrain_factor("0"), 0.156, 5e-4, SHEET),
    ("ec1-qp-1", "cr", roughness_factor(77.36, "0"), 1.585, 5e-4, SHEET),
    ("ec1-qp-1", "vm", mean_wind_m_s(77.36, 25.0, "0"), 39.624, 5e-4, SHEET),
    ("ec1-qp-1", "Iv", turbulence_intensity(77.36, "0"), 0.098, 5e-4, SHEET),
    ("ec1-qp-1", "qp_kPa", peak_pressure_pa(77.36, 25.0, "0") / 1000.0, 1.658, 5e-4, SHEET),
    ("ec1-qp-2", "qp_kPa", peak_pressure_pa(3.5, 27.0, "I") / 1000.0, 0.989, 5e-4, SHEET),
    ("ec1-qp-3", "kr", terrain_factor("III"), 0.215389, 5e-7, SHEET),
    ("ec1-qp-3", "cr", roughness_factor(7.02, "III"), 0.68, 5e-3, SHEET),  # printed to two decimals
    ("ec1-qp-3", "vm", mean_wind_m_s(7.02, 22.0, "III"), 14.939, 5e-4, SHEET),
    ("ec1-qp-3", "Iv", turbulence_intensity(7.02, "III"), 0.31718482, 5e-9, SHEET),
    ("ec1-qp-3", "qp_kPa", peak_pressure_pa(7.02, 22.0, "III") / 1000.0, 0.449, 5e-4, SHEET),
    ("ec1-qp-60m", "qp_Pa at 10", peak_pressure_pa(10.0, 26.0, "II"), 993.84, 5e-3, FORMULAS),
    ("ec1-qp-60m", "qp_Pa at 60", peak_pressure_pa(60.0, 26.0, "II"), 1523.7, 5e-2, FORMULAS),
    ("ec1-qp-60m", "vm at 10", mean_wind_m_s(10.0, 26.0, "II"), 26.17369, 5e-6, FORMULAS),
    ("ec1-qp-60m", "vm at 60", mean_wind_m_s(60.0, 26.0, "II"), 35.02498, 5e-6, FORMULAS),
    ("ec1-qp-60m", "Iv at 10", turbulence_intensity(10.0, "II"), 0.18873917, 5e-9, FORMULAS),
    ("ec1-qp-60m", "Iv at 60", turbulence_intensity(60.0, "II"), 0.1410422, 5e-8, FORMULAS),
)

PIPING = "public table of continuous beams, equal spans"
CIVIL = "Civil Engineering Formulas, Table 2.1"
SPAN_M, LOAD = 12.0, 250.0
BEAMS = (
    # spans loaded (1) or bare (0), reactions as parts of load x span from the second support on, tolerance, source
    ("three spans", (1, 1, 1), (1.1, 1.1, 0.4), 1e-9, PIPING),
    ("three spans, the lower two loaded", (1, 1, 0), (1.2, 0.45, -1.0 / 30.0), 1e-9, f"{PIPING}: 1.200, 0.450, -0.033"),
    ("four spans, first and third loaded", (1, 0, 1, 0), (0.572, 0.464, 0.572, -0.054), 6e-4, PIPING),
    ("two spans", (1, 1), (10 / 8, 3 / 8), 1e-9, CIVIL),
    ("four spans", (1, 1, 1, 1), (32 / 28, 26 / 28, 32 / 28, 11 / 28), 1e-9, CIVIL),
    ("five spans", (1,) * 5, (43 / 38, 37 / 38, 37 / 38, 43 / 38, 15 / 38), 1e-9, CIVIL),
    ("seven spans", (1,) * 7, (161 / 142, 137 / 142, 143 / 142, 143 / 142, 137 / 142, 161 / 142, 56 / 142), 1e-9, CIVIL),
)  # fmt: skip


def test_the_rows_are_all_there():
    assert (len(WIND), len(BEAMS)) == (17, 7)
    assert {row[0] for row in WIND} == {"ec1-qp-1", "ec1-qp-2", "ec1-qp-3", "ec1-qp-60m"}


@pytest.mark.parametrize(("row", "quantity", "value", "printed", "tolerance", "source"), WIND, ids=lambda v: str(v)[:20])
def test_wind_as_printed(row, quantity, value, printed, tolerance, source):
    assert float(value) == pytest.approx(printed, abs=tolerance), f"{row} {quantity}: {source}"


@pytest.mark.parametrize(("name", "loaded", "parts", "tolerance", "source"), BEAMS, ids=[b[0] for b in BEAMS])
def test_level_forces_are_the_printed_reactions(name, loaded, parts, tolerance, source):
    levels = SPAN_M * np.arange(1, len(loaded) + 1)
    ends = mast_slabs(levels[-1])
    load = LOAD * np.array(loaded, dtype=float)[np.searchsorted(levels, (ends[:-1] + ends[1:]) / 2.0)]
    found = level_forces_n(levels, ends, load) / (LOAD * SPAN_M)
    assert found == pytest.approx(parts, abs=tolerance), source


def test_level_forces_with_a_free_end_over_the_top_level():
    """One level, overhang a: R = w (l + a)^2 / (2 l), any table of beams; and by moments about the hinge."""
    found = level_forces_n(np.array([40.0]), mast_slabs(60.0), np.full(60, 100.0))
    assert found == pytest.approx([100.0 * 60.0**2 / (2.0 * 40.0)], rel=1e-12)


def test_level_forces_balance_any_load():
    """The hinge takes the rest of the force; the moments about the hinge balance by the levels alone."""
    levels, ends = np.array([9.0, 21.0, 30.5, 52.0]), mast_slabs(60.3)
    middle, piece = (ends[:-1] + ends[1:]) / 2.0, np.diff(ends)
    load = peak_pressure_pa(middle, 30.0, "I") * 0.2
    force = level_forces_n(levels, ends, load)
    assert np.diff(ends).max() <= 1.0 and ends[-1] == 60.3
    assert force @ levels == pytest.approx((load * piece) @ middle, rel=1e-12)
    assert 0.0 < (load * piece).sum() - force.sum() < 0.2 * (load * piece).sum()


def test_pressure_is_that_of_zmin_below_it_and_rises_above():
    for terrain, (_, least_m) in TERRAIN.items():
        height = np.array([0.0, 0.5 * least_m, least_m, 1.5 * least_m, 60.0, 200.0])
        pressure = peak_pressure_pa(height, 25.0, terrain)
        assert pressure[0] == pressure[1] == pressure[2]
        assert (np.diff(pressure[2:]) > 0.0).all()
    at_60 = [float(peak_pressure_pa(60.0, 25.0, terrain)) for terrain in ("0", "I", "II", "III", "IV")]
    assert at_60 == sorted(at_60, reverse=True)


def test_orography_raises_the_mean_wind_and_leaves_the_gusts():
    """(4.7) with (4.8): the mean's part grows by co squared, the gusts' part by co."""
    mean = 0.5 * AIR_KG_M3 * float(mean_wind_m_s(50.0, 25.0, "II")) ** 2
    gusts = 7.0 * float(turbulence_intensity(50.0, "II")) * mean
    assert float(peak_pressure_pa(50.0, 25.0, "II", 1.3)) == pytest.approx(1.3**2 * mean + 1.3 * gusts, rel=1e-12)


@pytest.mark.parametrize("height_m", [200.1, -0.1, float("nan")])
def test_heights_outside_the_part_are_refused(height_m):
    with pytest.raises(ValueError, match="heights from 0 to 200 m"):
        peak_pressure_pa(np.array([10.0, height_m]), 25.0, "II")


def test_an_unknown_terrain_is_refused():
    with pytest.raises(ValueError, match="'V'; there are 0, I, II, III, IV"):
        peak_pressure_pa(10.0, 25.0, "V")


def test_drag_of_a_guy_across_along_and_aslant():
    """Across: the whole; along: nothing; at 30 degrees: sin squared, square to the guy, with the wind."""
    wind = np.array([[1.0, 0.0, 0.0]])
    along = np.array([[0.0, 0.6, 0.8], [1.0, 0.0, 0.0], [np.cos(np.pi / 6), 0.0, 0.5]])
    force = guy_drag_n(wind, along, np.full(3, 80.0), np.full(3, 0.004), np.full(3, 1500.0))[:, 0]
    whole = GUY_DRAG_RATIO * 80.0 * 0.004 * 1500.0
    assert force[0] == pytest.approx([whole, 0.0, 0.0]) and force[1] == pytest.approx([0.0, 0.0, 0.0])
    assert np.linalg.norm(force[2]) == pytest.approx(0.25 * whole)
    assert force[2] @ along[2] == pytest.approx(0.0, abs=1e-9) and force[2, 0] > 0.0
