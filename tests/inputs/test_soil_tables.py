"""The tables [soil], [anchoring] and [wind]: what they make, what an anchor takes from the site, and their faults word for word."""

from __future__ import annotations

from dataclasses import fields

import pytest
from hypothesis import given
from hypothesis import strategies as st

from siting.errors import InputError
from siting.inputs.soil_tables import (
    LOCATE_BUFFER_M,
    AnchoringTable,
    GroundTable,
    SoilTable,
    WindTable,
    anchor_wants,
    soil_inputs,
    wind_input,
)
from siting.inputs.toml_file import Table, read_table
from siting.records.holding import AnchorWants, WindInput
from siting.records.soil import SoilInput

IDS = ("A1", "B1", "C1", "W1")


class Both(Table):
    """A site file that holds nothing else."""

    soil: SoilTable = SoilTable()
    anchoring: AnchoringTable = AnchoringTable()
    wind: WindTable = WindTable()


@pytest.fixture
def read(tmp_path):
    def reader(text: str) -> Both:
        path = tmp_path / "site.toml"
        path.write_text(text, encoding="utf-8")
        return read_table(path, path.name, Both, "the site file's name")

    return reader


def soils(table: Both) -> tuple[SoilInput | None, dict[str, SoilInput]]:
    return soil_inputs(table.soil, "site.toml", IDS)


def lines(error: InputError) -> list[str]:
    return [fault.line() for fault in error.faults]


def test_the_keys_are_those_of_the_records():
    assert set(GroundTable.model_fields) == {f.name for f in fields(SoilInput)} - {"where"}
    assert set(AnchoringTable.model_fields) == {f.name for f in fields(AnchorWants)} | {"buffer_m"}
    assert set(WindTable.model_fields) == {f.name for f in fields(WindInput)}


def test_nothing_given_is_nothing_known_and_every_default(read):
    table = read("")
    assert soils(table) == (None, {})
    assert anchor_wants(table.anchoring) == AnchorWants()
    assert table.anchoring.buffer_m == LOCATE_BUFFER_M == 5.0
    assert wind_input(table.wind, "site.toml") == WindInput()


def test_a_whole_site(read):
    table = read("""
[soil]
uscs = "SM"
blow_count = 12
water_depth_m = 3
excavation_type = "B"
[[soil.anchors]]
id = "A1"
plain_words = "stiff clay"
[[soil.anchors]]
id = "W1"
water_depth_m = 0.5
[anchoring]
kind = "plate"
screw_diameters_m = [[0.254], [0.254, 0.305]]
plates_m = [[1.2, 0.3]]
pins = 6
buffer_m = 8
[wind]
basic_m_s = 26
terrain = "I"
source = "national annex, map 1"
""")
    site, anchors = soils(table)
    assert site == SoilInput("site.toml, [soil]", uscs="SM", blow_count=12.0, water_depth_m=3.0, excavation_type="B")
    assert anchors == {
        "A1": SoilInput(
            "site.toml, [[soil.anchors]] no. 1 (A1)", plain_words="stiff clay", water_depth_m=3.0, excavation_type="B"
        ),
        "W1": SoilInput(
            "site.toml, [[soil.anchors]] no. 2 (W1)", uscs="SM", blow_count=12.0, water_depth_m=0.5, excavation_type="B"
        ),
    }
    assert isinstance(site.blow_count, float)
    wants = anchor_wants(table.anchoring)
    assert wants == AnchorWants(kind="plate", screw_diameters_m=((0.254,), (0.254, 0.305)), plates_m=((1.2, 0.3),), pins=6)
    assert table.anchoring.buffer_m == 8.0
    assert wind_input(table.wind, "site.toml") == WindInput(26.0, "I", "national annex, map 1")


@pytest.mark.parametrize(
    ("own", "kept"),
    [
        ({"water_depth_m": 1.0}, {"uscs", "blow_count", "friction_deg", "unit_weight_kn_m3", "strength_source"}),
        ({"blow_count": 5.0}, {"uscs"}),
        ({"probe_nm": 5.0}, {"uscs"}),
        ({"friction_deg": 30.0, "strength_source": "lab 2"}, {"uscs"}),
        ({"uscs": "GP"}, set()),
        ({"plain_words": "clay"}, set()),
        ({"rock": "granite", "frost_depth_m": 1.0}, set()),
    ],
)
def test_strengths_of_the_site_and_of_an_anchor_do_not_mix(own, kept):
    of_site = {
        "uscs": "SP", "blow_count": 20.0, "friction_deg": 34.0, "unit_weight_kn_m3": 18.0, "strength_source": "lab 1",
        "water_depth_m": 2.0, "frost_depth_m": 0.9, "excavation_type": "C",
    }  # fmt: skip
    table = SoilTable(**of_site, anchors=[{"id": "A1", **own}])
    found = soil_inputs(table, "site.toml", IDS)[1]["A1"]
    wanted = {k: v for k, v in of_site.items() if k in kept | {"water_depth_m", "frost_depth_m", "excavation_type"}} | own
    assert found == SoilInput("site.toml, [[soil.anchors]] no. 1 (A1)", **wanted)


VALUES = {
    "uscs": st.sampled_from(["SP", "CL"]), "plain_words": st.just("loose sand"), "blow_count": st.floats(0, 60),
    "probe_nm": st.floats(0, 60), "friction_deg": st.floats(20, 40), "undrained_kpa": st.floats(10, 80), "rock": st.just("granite"),
    "unit_weight_kn_m3": st.floats(14, 20), "water_depth_m": st.floats(0, 9),
}  # fmt: skip


@given(site=st.fixed_dictionaries({}, optional=VALUES), own=st.fixed_dictionaries({}, optional=VALUES))
def test_what_an_anchor_says_itself_always_stands_and_no_strength_comes_under_another_name(site, own):
    table = SoilTable(**site, strength_source="lab 1", anchors=[{"id": "A1", **own, "strength_source": "lab 2"}])
    try:
        found = soil_inputs(table, "site.toml", IDS)[1]["A1"]
    except InputError as refused:
        assert {f.code for f in refused.faults} == {"soil_kind"}  # clay called sand, or blows into nobody knows what
        return
    assert {k: getattr(found, k) for k in own} == own
    if {"uscs", "plain_words", "rock"} & set(own):
        for key in ("blow_count", "probe_nm", "friction_deg", "undrained_kpa", "unit_weight_kn_m3", "uscs", "plain_words", "rock"):
            assert getattr(found, key) == own.get(key)
    assert found.strength_source == "lab 2"


def test_faults_across_keys_come_in_file_order(read):
    table = read("""
[soil]
undrained_kpa = 40
friction_deg = 30
[[soil.anchors]]
id = "A2"
[[soil.anchors]]
id = "B1"
friction_deg = 31
[[soil.anchors]]
id = "B1"
uscs = "SP"
[[soil.anchors]]
id = "mast"
""")
    do = 'Add strength_source = "report, laboratory, date"; where nothing was measured, leave the strength out.'
    with pytest.raises(InputError) as caught:
        soils(table)
    assert lines(caught.value) == [
        f"site.toml, [soil] friction_deg: is a measured strength without its source. {do}",
        f"site.toml, [soil] undrained_kpa: is a measured strength without its source. {do}",
        "site.toml, [soil] friction_deg: friction beside undrained strength needs to know whether the ground is sand or clay. "
        "Give uscs or plain_words.",
        "site.toml, [[soil.anchors]] no. 1 id: there is no anchor 'A2'. Did you mean A1?",
        f"site.toml, [[soil.anchors]] no. 2 friction_deg: is a measured strength without its source. {do}",
        "site.toml, [[soil.anchors]] no. 3 id: the anchor 'B1' stands twice. Give each anchor one table.",
        "site.toml, [[soil.anchors]] no. 4 id: there is no anchor 'mast'. Anchors here: A1, B1, C1, W1.",
    ]


def test_words_and_values_of_the_ground_are_refused_where_they_are_read(read):
    """Each fault once: an anchor that takes the site's word over does not say it again."""
    table = read("""
[soil]
uscs = "XX"
blow_count = 2000
[[soil.anchors]]
id = "A1"
water_depth_m = 2.0
[[soil.anchors]]
id = "B1"
plain_words = "blorb"
[[soil.anchors]]
id = "C1"
uscs = "CL"
plain_words = "dense sand"
[[soil.anchors]]
id = "W1"
rock = "cheese"
probe_nm = 9000
""")
    with pytest.raises(InputError) as caught:
        soils(table)
    assert [(f.code, f.where) for f in caught.value.faults] == [
        ("soil_group", "site.toml, [soil] uscs"),
        ("soil_unit", "site.toml, [soil] blow_count"),
        ("soil_words", "site.toml, [[soil.anchors]] no. 2 (B1) plain_words"),
        ("soil_kind", "site.toml, [[soil.anchors]] no. 3 (C1)"),
        ("soil_rock", "site.toml, [[soil.anchors]] no. 4 (W1) rock"),
        ("soil_unit", "site.toml, [[soil.anchors]] no. 4 (W1) probe_nm"),
    ]


def test_a_wind_speed_without_its_source_is_refused(read):
    with pytest.raises(InputError) as caught:
        wind_input(read("[wind]\nbasic_m_s = 25").wind, "site.toml")
    assert lines(caught.value) == [
        'site.toml, [wind] basic_m_s: is a wind speed without its source. Add source = "national annex, map, place".'
    ]


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("[soil]\nblow_counts = 5", ["site.toml, line 2, [soil] blow_counts: is not a key that siting knows. Did you mean blow_count?"]),
        ("[soil]\nblow_count = -1", ["site.toml, line 2, [soil] blow_count: is -1, but it must be at least 0. Correct it."]),
        ('[[soil.anchors]]\nuscs = "SP"', ["site.toml, line 1, [[soil.anchors]] no. 1 id: is missing. Add id = …"]),
        (
            '[soil]\nwater_depth_m = -2\n[[soil.anchors]]\nid = "A1"\nexcavation_type = "D"\n[wind]\nterrain = "V"',
            [
                "site.toml, line 2, [soil] water_depth_m: is -2, but it must be at least 0. Correct it.",
                "site.toml, line 5, [[soil.anchors]] no. 1 excavation_type: is 'D', but it must be 'A', 'B', 'C' or 'rock'. Correct it.",
                "site.toml, line 7, [wind] terrain: is 'V', but it must be '0', 'I', 'II', 'III' or 'IV'. Correct it.",
            ],
        ),
        (
            "[anchoring]\nscrew_diameters_m = [[0.254], [10, 12]]\nplates_m = [[1.2]]\nkind = \"block\"",
            [
                "site.toml, line 2, [anchoring] screw_diameters_m: screw no. 2 is [10.0, 12.0], but it must be a list of its plates' "
                "diameters in metres, each 0.05 to 1, as in [[0.254], [0.254, 0.305]]. Correct it.",
                "site.toml, line 3, [anchoring] plates_m: plate no. 1 is [1.2], but it must be its length and its height in metres, "
                "each 0.1 to 6, as in [[0.9, 0.3], [1.2, 0.3]]. Correct it.",
                "site.toml, line 4, [anchoring] kind: is 'block', but it must be 'auto', 'screw', 'plate' or 'rock_bar'. Correct it.",
            ],
        ),
        ("[anchoring]\npins = 2.5", ["site.toml, line 2, [anchoring] pins: is 2.5, but it must be a whole number. Correct it."]),
        ("[anchoring]\nplates_m = []", ["site.toml, line 2, [anchoring] plates_m: is [], but it must not be empty. Correct it."]),
    ],
)  # fmt: skip
def test_faults_of_keys_word_for_word(read, text, wanted):
    with pytest.raises(InputError) as caught:
        read(text)
    assert lines(caught.value) == wanted
