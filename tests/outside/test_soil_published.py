"""Soil and rock tables against a public digest of the manuals (package geotech-references) and against printed rows.

Digest: Caltrans Trenching and Shoring Manual Tables 2-1 and 3-1 to 3-3, FHWA-IF-99-015 (GEC-4) Table 8. Typed here: IBC 2012
Table 1806.2, FHWA-SA-02-054 (GEC-6) Table 4-1, 29 CFR 1926 Subpart P App. A, the trade's probe classes as two printings of an
anchor data sheet give them (newton metres rounded to 1 Nm, which is the tolerance).
"""

from __future__ import annotations

import math

import pytest
from geotech_references.california_trenching import tables as caltrans
from geotech_references.gec_4 import tables as gec_4

from siting.soil import tables
from siting.soil.excavation_type import TYPE_A_KPA, TYPE_B_KPA

KPA_PER_PSF = 0.04788026  # 4.4482216 N / 0.3048^2 m2 / 1000
KN_M3_PER_PCF = 0.1570875


def test_units():
    assert tables.kpa(1.0) == pytest.approx(KPA_PER_PSF, rel=1e-7)
    assert tables.kn_m3(110.0) == pytest.approx(17.3, abs=0.05)  # as TIA-222-G prints the pair
    assert tables.kpa(1000.0) == pytest.approx(48.0, abs=0.5)  # likewise
    assert tables.kn_m3(1.0) == pytest.approx(KN_M3_PER_PCF, rel=1e-6)


def test_densities_are_those_of_table_3_1():
    rows = caltrans.table_3_1_granular_properties()["rows"]
    assert len(rows) == len(tables.DENSITIES) == 5
    for ours, row in zip(tables.DENSITIES, rows):
        assert ours.name == row["apparent_density"].lower()
        first, last = ours.blows
        label = f"N60 < {last}" if first == 0 else f"N60 >= {first}" if math.isinf(last) else f"{first} <= N60 < {last}"
        assert label == row["spt_n60"]
        assert ours.friction_deg == (row["friction_angle_min_deg"], row["friction_angle_max_deg"])
        if ours.name == "very loose":
            # One figure each is printed, an upper end; the digest gives both as the submerged weight's: 100 is the moist one.
            assert (row["unit_weight_submerged_pcf_max"], row["unit_weight_submerged_pcf_min"]) == (100, 60)
            assert (ours.moist_pcf, ours.submerged_pcf) == ((None, 100), (None, 60))
            continue
        assert ours.moist_pcf == (row["unit_weight_moist_pcf_min"], row["unit_weight_moist_pcf_max"])
        assert ours.submerged_pcf == (row["unit_weight_submerged_pcf_min"], row["unit_weight_submerged_pcf_max"])


def test_classes_are_those_of_table_3_2():
    rows = caltrans.table_3_2_simplified_soil_values()["rows"]
    assert len(rows) == 15 == 3 * len(tables.CLASS_ROWS)
    for row in rows:
        column = ("Loose", "Medium Dense", "Dense").index(row["density"])
        assert tables.CLASS_ROWS[row["soil_class"]][column] == (row["friction_angle_deg"], row["unit_weight_pcf"])
    assert min(row["friction_angle_deg"] for row in rows) == tables.CLASS_ROWS[tables.WEAKEST_CLASS][0][0]
    assert min(row["unit_weight_pcf"] for row in rows) == tables.LIGHTEST_PCF


def test_consistencies_are_those_of_table_3_3():
    rows = caltrans.table_3_3_cohesive_properties()["rows"]
    assert len(rows) == len(tables.CONSISTENCIES) == 6
    for ours, row in zip(tables.CONSISTENCIES, rows):
        assert ours.name == row["consistency"].lower()
        strength = (row["unconfined_compressive_strength_psf_min"], row["unconfined_compressive_strength_psf_max"])
        assert ours.compression_psf == strength
        assert ours.moist_pcf == (row["moist_unit_weight_pcf_min"], row["moist_unit_weight_pcf_max"])
        assert ours.undrained_kpa() == pytest.approx(strength[0] / 2.0 * KPA_PER_PSF, rel=1e-6)


def test_consistencies_by_blow_count_are_those_of_gec_6():
    printed = {"very soft": 2, "soft": 4, "medium stiff": 8, "stiff": 15, "very stiff": 30}  # upper ends; GEC-6: "Medium"
    assert {row.name: row.blows[1] for row in tables.CONSISTENCIES[:-1]} == printed
    assert [row.blows[0] for row in tables.CONSISTENCIES] == [0, *printed.values()]
    assert tables.consistency_of_blows(30.0) == tables.VERY_STIFF and tables.consistency_of_blows(30.1) == tables.HARD


@pytest.mark.parametrize("blows", [5, 7.5, 10, 29, 30, 45, 49.9, 50, 90])
def test_friction_by_blow_count_stays_inside_the_printed_row(blows):
    name = tables.DENSITIES[tables.density_of_blows(blows)].name
    row = caltrans.table_3_1_granular_properties(name)
    most = row["friction_angle_max_deg"] or row["friction_angle_min_deg"]
    assert row["friction_angle_min_deg"] <= tables.friction_by_blows_deg(blows) <= most


def test_rocks_are_those_of_gec_4_table_8():
    keys = {
        "granite or basalt": "granite_basalt", "dolomitic limestone": "dolomitic_limestone", "soft limestone": "soft_limestone",
        "sandstone": "sandstone", "slates and hard shales": "slates_hard_shales", "soft shales": "soft_shales",
    }  # fmt: skip
    assert list(keys) == list(tables.ROCK_TRANSFER_KN_M)
    for name, key in keys.items():
        row = gec_4.table_8_rock_anchor_transfer_load(key)
        assert tables.ROCK_TRANSFER_KN_M[name] == row["ultimate_transfer_load_kN_per_m"]
    for name in ("granite", "basalt", "dolomite", "limestone", "slates", "shale", "soft shale"):
        assert keys[tables.ROCK_NAMES[name]] == gec_4.table_8_rock_anchor_transfer_load(name)["rock_type"]


PROBE_ROWS = (  # class, torque in in-lb and in Nm as printed, blow count
    (1, (750, 1600), (85, 181), (60, None)), (2, (600, 750), (68, 85), (45, 60)), (3, (500, 600), (56, 68), (35, 50)),
    (4, (400, 500), (45, 56), (24, 40)), (5, (300, 400), (34, 45), (14, 25)), (6, (200, 300), (23, 34), (7, 14)),
    (7, (100, 200), (11, 23), (4, 8)), (8, (0, 100), (0, 11), (0, 5)),
)  # fmt: skip


@pytest.mark.parametrize(("number", "inch_pounds", "newton_metres", "blows"), PROBE_ROWS)
def test_probe_classes_are_as_printed(number, inch_pounds, newton_metres, blows):
    torque, counts = tables.PROBE_CLASSES[number]
    assert torque == inch_pounds
    assert counts == (blows[0], math.inf if blows[1] is None else blows[1])
    for ours, printed in zip(torque, newton_metres):
        assert ours * tables.NEWTON_METRES_PER_INCH_POUND == pytest.approx(printed, abs=0.6)  # 45 and 56 are cut, not rounded
    assert tables.probe_class(sum(newton_metres) / 2.0) == number


def test_every_probe_class_is_looked_at():
    assert [row[0] for row in PROBE_ROWS] == list(tables.PROBE_CLASSES) == list(range(1, 9))
    assert tables.probe_class(0.0) == 8 and tables.probe_class(tables.PROBE_LARGEST_NM) == 1


@pytest.mark.parametrize(
    ("group", "psf"),
    [
        ("GW", 3000), ("GP", 3000), ("SW", 2000), ("SP", 2000), ("SM", 2000), ("SC", 2000), ("GM", 2000), ("GC", 2000),
        ("CL", 1500), ("ML", 1500), ("MH", 1500), ("CH", 1500), ("SP-SM", 2000), (None, 1500),
    ],
)  # fmt: skip
def test_bearing_is_that_of_the_building_code(group, psf):
    assert tables.presumptive_bearing_kpa(group) == pytest.approx(psf * KPA_PER_PSF, rel=1e-6)


def test_organic_ground_bears_nothing_and_every_row_is_as_printed():
    assert [tables.presumptive_bearing_kpa(group) for group in ("OL", "OH", "PT")] == [None, None, None]
    rows = [(r.vertical_psf, r.lateral_psf_per_ft, r.friction_ratio, r.cohesion_psf) for r in tables.BEARING_ROWS]
    assert rows == [
        (12000, 1200, 0.70, None), (4000, 400, 0.35, None), (3000, 200, 0.35, None), (2000, 150, 0.25, None), (1500, 100, None, 130),
    ]  # fmt: skip


@pytest.mark.parametrize(("tsf", "name"), [(1.5, "A"), (1.49, "B"), (0.51, "B"), (0.5, "C")])
def test_excavation_types_turn_at_the_strengths_of_the_standard(tsf, name):
    assert caltrans.osha_soil_type_from_qu(tsf)["osha_type"] == name
    compression_kpa = tsf * 2000.0 * KPA_PER_PSF
    ours = "A" if compression_kpa >= TYPE_A_KPA * (1 - 1e-6) else "B" if compression_kpa > TYPE_B_KPA * (1 + 1e-6) else "C"
    assert ours == name
