"""Distances to overhead lines against the published tables: every row, with its source. Printed exactly: tolerance 0."""

from __future__ import annotations

import pytest

from siting.checks import power_distances as published

FOOT = 0.3048
# above kV, up to kV, feet: 29 CFR 1926.1408 Table A, read in three public copies; above 1000 kV the owner or an engineer.
TABLE_A = ((0.0, 50.0, 10), (50.0, 200.0, 15), (200.0, 350.0, 20), (350.0, 500.0, 25), (500.0, 750.0, 35), (750.0, 1000.0, 45))
# up to kV, feet: 29 CFR 1926.1407 to 1409, read.
TRIGGER = ((350.0, 20), (1000.0, 50))
# kV, D_V mm: EN 50110-1 Table A.1, read in a public copy; linear between the rows.
VICINITY = (
    (1, 300), (10, 1150), (15, 1160), (20, 1220), (30, 1320), (36, 1380), (60, 1630), (110, 2000), (132, 3000), (150, 3000),
    (220, 3000), (275, 4000), (380, 4000),
)  # fmt: skip
# HSE guidance note GS6, the older edition, read (secondary).
CONSULT = (("steel", 15.0), ("wood or concrete", 9.0))


@pytest.mark.parametrize(("above_kv", "up_to_kv", "feet"), TABLE_A)
def test_table_a(above_kv, up_to_kv, feet):
    assert published.table_a_m(above_kv + 1e-6) == published.table_a_m(up_to_kv) == pytest.approx(feet * FOOT, abs=1e-12)


def test_table_a_is_whole_and_ends():
    assert len(TABLE_A) == len(published.TABLE_A_FT) == 6
    assert published.table_a_m(1000.1) is None
    assert "1926.1408" in published.TABLE_A_SOURCE


@pytest.mark.parametrize(("kv", "feet"), TRIGGER)
def test_trigger_distances(kv, feet):
    assert published.trigger_m(kv) == pytest.approx(feet * FOOT, abs=1e-12)


def test_the_trigger_without_a_voltage_and_above_the_last_row():
    assert len(TRIGGER) == len(published.TRIGGER_FT) == 2
    assert published.trigger_m(None) == pytest.approx(20 * FOOT)
    assert published.trigger_m(None) > published.table_a_m(0.4)
    assert published.trigger_m(350.1) == published.trigger_m(1100.0) == pytest.approx(50 * FOOT)


def test_the_trigger_is_never_inside_the_table():
    for kv in (0.4, 50.0, 200.0, 350.0, 500.0, 750.0, 1000.0):
        assert published.trigger_m(kv) >= published.table_a_m(kv)


@pytest.mark.parametrize(("kv", "mm"), VICINITY)
def test_vicinity_zone(kv, mm):
    assert published.vicinity_m(kv) == pytest.approx(mm / 1000.0, abs=1e-12)


def test_vicinity_zone_between_its_rows_and_outside():
    assert len(VICINITY) == len(published.VICINITY_MM) == 13
    assert published.vicinity_m(25.0) == pytest.approx(1.27)
    assert published.vicinity_m(0.4) is None and published.vicinity_m(400.0) is None


def test_where_the_owner_is_asked():
    assert len(CONSULT) == len(published.CONSULT_M) == 2
    for (word, metres), (support, given) in zip(CONSULT, published.CONSULT_M, strict=True):
        assert support.startswith(word) and given == metres
    assert "older edition" in published.CONSULT_SOURCE
