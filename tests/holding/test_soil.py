"""The ground as the user knows it: what is taken, from where, and what is said where it does not fit together.

Strengths are typed here from the tables (Caltrans 3-1 to 3-3: pcf and psf; 1 psf = 0.0478803 kPa, 1 pcf = 0.157087 kN/m3).
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from siting.errors import InputError
from siting.records.soil import COHESIVE, GRANULAR, ROCK, Soil, SoilInput
from siting.soil import tables
from siting.soil.excavation_type import excavation_type
from siting.soil.find import NOTHING_KNOWN, WATER_KN_M3, find_soil, soils_to_try
from siting.soil.words import CONSISTENCY_WORDS, DENSITY_WORDS, NOUNS, VOCABULARY, known_grounds

WHERE = "site.toml, [soil]"
PSF, PCF = 0.04788026, 0.15708746
GRANULAR_GROUPS = [name for name, group in tables.USCS.items() if group.kind == GRANULAR]
LAB = {"strength_source": "laboratory, 2027"}


def soil(**known: object) -> Soil:
    return find_soil(SoilInput(where=WHERE, **known))


def strength(of: Soil) -> float:
    return of.friction_deg if of.kind == GRANULAR else of.undrained_kpa


def fault(**known: object) -> str:
    with pytest.raises(InputError) as caught:
        soil(**known)
    return str(caught.value)


# --- one thing known ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("known", "kind", "basis", "value"),
    [
        ({"plain_words": "loose sand"}, GRANULAR, "class", 25.0),  # 3-2, fine sand, loose
        ({"plain_words": "medium dense coarse sand"}, GRANULAR, "class", 31.0),  # 3-1's lower end, under 3-2's 34
        ({"plain_words": "dense gravel"}, GRANULAR, "class", 37.0),  # 3-1's lower end, under 3-2's 41
        ({"plain_words": "very dense fine sand"}, GRANULAR, "class", 31.0),
        ({"plain_words": "very loose gravel"}, GRANULAR, "class", 25.0),
        ({"plain_words": "Silt"}, GRANULAR, "class", 23.0),
        ({"plain_words": "stiff clay"}, COHESIVE, "class", 1000 * PSF),
        ({"plain_words": "firm, brown silty clay"}, COHESIVE, "class", 500 * PSF),
        ({"plain_words": "soft to firm clay"}, COHESIVE, "class", 250 * PSF),
        ({"plain_words": "clay"}, COHESIVE, "class", 250 * PSF),
        ({"plain_words": "hard boulder clay"}, COHESIVE, "class", 4000 * PSF),
        ({"uscs": "sp"}, GRANULAR, "class", 25.0),
        ({"uscs": "GW-GM"}, GRANULAR, "class", 25.0),
        ({"uscs": "CH"}, COHESIVE, "class", 250 * PSF),
        ({"uscs": "CL-ML"}, COHESIVE, "class", 250 * PSF),
        ({"uscs": "GP", "blow_count": 5}, GRANULAR, "blow count", 28.0),
        ({"uscs": "GP", "blow_count": 20}, GRANULAR, "blow count", 33.5),  # half way from 31 to 36
        ({"uscs": "GP", "blow_count": 29.9}, GRANULAR, "blow count", 34.0),  # 3-2, medium dense gravel
        ({"uscs": "GP", "blow_count": 80}, GRANULAR, "blow count", 41.0),
        ({"uscs": "SP", "blow_count": 40}, GRANULAR, "blow count", 31.0),  # 3-2, dense fine sand
        ({"uscs": "SP", "blow_count": 3}, GRANULAR, "blow count", 25.0),
        ({"uscs": "CL", "blow_count": 1.9}, COHESIVE, "blow count", 0.0),
        ({"uscs": "CL", "blow_count": 8}, COHESIVE, "blow count", 1000 * PSF),
        ({"uscs": "CL", "blow_count": 30}, COHESIVE, "blow count", 2000 * PSF),  # hard is OVER 30
        ({"uscs": "CL", "blow_count": 31}, COHESIVE, "blow count", 4000 * PSF),
        ({"uscs": "GP", "probe_nm": 50}, GRANULAR, "probe", 34.0),  # class 4: 24 blows, 34.5 deg, but 3-2's 34
        ({"uscs": "CL", "probe_nm": 20}, COHESIVE, "probe", 500 * PSF),  # class 7: 4 blows
        ({"friction_deg": 33.0, **LAB}, GRANULAR, "measured", 33.0),
        ({"undrained_kpa": 66.0, **LAB}, COHESIVE, "measured", 66.0),
    ],
)
def test_what_is_taken(known, kind, basis, value):
    found = soil(**known)
    assert (found.kind, found.basis, found.is_presumptive) == (kind, basis, basis != "measured")
    assert strength(found) == pytest.approx(value, abs=1e-5)
    assert (found.undrained_kpa if kind == GRANULAR else found.friction_deg) is None
    assert found.warnings == (() if strength(found) else (found.warnings[0],))
    assert all(len(text.split()) >= 3 for text in found.sources)


@pytest.mark.parametrize(
    ("known", "moist_pcf", "submerged_pcf"),
    [
        ({"plain_words": "loose sand"}, 85.0, 55.0 * 85 / 95),
        ({"plain_words": "medium dense coarse sand"}, 110.0, 60.0),  # 3-2 prints 120
        ({"plain_words": "dense gravel"}, 110.0, 65.0),
        ({"plain_words": "very dense sand"}, 117.0, 75.0 * 117 / 130),
        ({"plain_words": "stiff clay"}, 115.0, None),
        ({"plain_words": "very soft clay"}, 85.0, None),
        ({"friction_deg": 30.0, **LAB}, 85.0, 55.0 * 85 / 95),
    ],
)
def test_unit_weights_are_the_lower_ends(known, moist_pcf, submerged_pcf):
    found = soil(**known)
    assert found.unit_weight_kn_m3 == pytest.approx(moist_pcf * PCF, rel=1e-6)
    wanted = moist_pcf * PCF - 9.80665 if submerged_pcf is None else submerged_pcf * PCF
    assert found.buoyant_kn_m3 == pytest.approx(wanted, rel=1e-6)


@pytest.mark.parametrize("name", GRANULAR_GROUPS)
def test_groups_of_gravel_stop_a_screw_and_sands_do_not(name):
    assert soil(uscs=name).has_cobbles == name.startswith("G")


@pytest.mark.parametrize("words", ["stiff clay with cobbles", "gravelly sand", "boulder clay", "till", "dense cobbles"])
def test_stones_in_the_ground_are_heard(words):
    assert soil(plain_words=words).has_cobbles


@pytest.mark.parametrize(
    ("known", "what"),
    [
        ({"uscs": "OL"}, "organic ground"), ({"uscs": "OH"}, "organic ground"), ({"uscs": "Pt"}, "organic ground"),
        ({"plain_words": "peat"}, "organic ground"), ({"plain_words": "topsoil"}, "organic ground"),
        ({"plain_words": "stiff clay fill"}, "fill"), ({"plain_words": "made ground"}, "fill"),
        ({"uscs": "SP", "plain_words": "fill"}, "fill"), ({"plain_words": "peat", "uscs": "CL"}, "organic ground"),
    ],
)  # fmt: skip
def test_fill_and_organic_ground_hold_nothing_whatever_was_measured_in_it(known, what):
    for found in (soil(**known), soil(**known, friction_deg=35.0, blow_count=40, **LAB)):
        assert found.is_organic and found.undrained_kpa == 0.0 and found.friction_deg is None and found.is_presumptive
        assert found.warnings[-1].startswith(f"{what}: no strength is taken")


@pytest.mark.parametrize(
    ("known", "name"),
    [
        ({"rock": "Granite"}, "granite or basalt"), ({"rock": "granite or basalt"}, "granite or basalt"),
        ({"plain_words": "hard limestone"}, "soft limestone"), ({"plain_words": "shale and sandstone"}, "soft shales"),
        ({"plain_words": "rock", "rock": "sandstone"}, "sandstone"), ({"rock": "slate", "blow_count": 50}, "slates and hard shales"),
    ],
)  # fmt: skip
def test_rock_is_named_as_the_table_does(known, name):
    found = soil(**known)
    assert (found.kind, found.rock, found.friction_deg, found.undrained_kpa) == (ROCK, name, None, None)
    assert found.is_presumptive and name in tables.ROCK_TRANSFER_KN_M


def test_rock_that_the_table_has_not_is_its_weakest_row():
    found = soil(plain_words="bedrock")
    assert found.rock == "soft shales" == min(tables.ROCK_TRANSFER_KN_M, key=tables.ROCK_TRANSFER_KN_M.get)
    assert found.warnings == ("'bedrock' is no rock of the published table: its weakest row, soft shales, is taken",)


@pytest.mark.parametrize("words", ["weathered rock", "weathered granite", "soft rock", "chalk", "loose rock"])
def test_weathered_rock_is_no_rock(words):
    found = soil(plain_words=words)
    assert (found.kind, found.rock, found.friction_deg, found.has_cobbles) == (GRANULAR, "", 28.0, True)
    assert found.warnings == ("weathered or broken rock: it is taken as loose gravel, not as rock",)


# --- nothing known ------------------------------------------------------------------------------------------------


def test_nothing_known_is_the_weakest_row_under_water_and_says_so():
    found = find_soil(None)
    assert found == find_soil(SoilInput(where="site file"))
    assert (found.kind, found.basis, found.friction_deg, found.is_presumptive) == (GRANULAR, NOTHING_KNOWN, 23.0, True)
    assert found.description == "soil NOT KNOWN: presumptive, taken as loose silt"
    assert found.warnings[0].startswith("soil NOT KNOWN: peat, fill and very soft clay are weaker")
    assert found.pressure_kpa(2.0) == 2.0 * found.buoyant_kn_m3 == pytest.approx(2.0 * 55 * 85 / 95 * PCF, rel=1e-6)
    assert (found.excavation_type, found.water_depth_m, found.frost_depth_m) == ("C", None, None)


def test_nothing_known_is_not_better_than_any_sand_or_gravel():
    unknown = find_soil(None)
    for words in (w for w in known_grounds() if w in NOUNS or w.split(" ", 1)[0] in ("loose", "dense", "very")):
        found = soil(plain_words=words)
        if found.kind == GRANULAR:
            assert found.friction_deg >= unknown.friction_deg and found.buoyant_kn_m3 >= unknown.buoyant_kn_m3


def test_nothing_known_holds_less_than_what_the_tower_standard_presumes():
    """Bearing on a deep plate (9 c, or q N_q) and the push on a wall, at every depth that a crew reaches."""
    unknown = find_soil(None)
    _, clay_psf, _ = tables.PRESUMED_CLAY
    _, sand_deg, sand_pcf = tables.PRESUMED_SAND
    factor = {deg: 0.5 * (12.0 * deg) ** (deg / 54.0) for deg in (unknown.friction_deg, sand_deg)}
    passive = {d: math.tan(math.radians(45 + d / 2)) ** 2 - math.tan(math.radians(45 - d / 2)) ** 2 for d in factor}
    for depth_m in (0.3, 1.0, 2.0, 4.0, 6.0):
        taken = unknown.pressure_kpa(depth_m)
        assert taken * factor[unknown.friction_deg] < 9.0 * clay_psf * PSF
        assert taken * factor[unknown.friction_deg] < 0.5 * sand_pcf * PCF * depth_m * factor[sand_deg]
        assert taken * passive[unknown.friction_deg] < min(4.0 * clay_psf * PSF, 0.7 * sand_pcf * PCF * depth_m * passive[sand_deg])


def test_where_nothing_is_known_soft_clay_is_tried_too():
    first, second = soils_to_try(SoilInput(where=WHERE, water_depth_m=4.0))
    assert (first.kind, second.kind, second.basis) == (GRANULAR, COHESIVE, NOTHING_KNOWN)
    assert second.undrained_kpa == pytest.approx(250 * PSF, rel=1e-6)
    assert first.water_depth_m == second.water_depth_m == 4.0 and first.warnings == second.warnings
    assert soils_to_try(SoilInput(where=WHERE, uscs="SP")) == (soil(uscs="SP"),)


# --- contradictions -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("known", "basis", "value", "warning"),
    [
        ({"plain_words": "loose sand", "blow_count": 40}, "class", 25.0,
         "blow count 40 does not fit loose sand: loose sand is taken, the weaker; find out which is right"),
        ({"plain_words": "dense sand", "blow_count": 6}, "blow count", 25.0,
         "blow count 6 does not fit dense sand: blow count 6 is taken, the weaker; find out which is right"),
        ({"uscs": "GP", "blow_count": 45, "probe_nm": 25}, "probe", 28.8,
         "blow count 45 does not fit probe 25 Nm (class 6): probe 25 Nm (class 6) is taken, the weaker; find out which is right"),
        ({"plain_words": "loose gravel", "friction_deg": 38, **LAB}, "class", 28.0,
         "measured friction 38° does not fit loose gravel: loose gravel is taken, the weaker; find out which is right"),
        ({"plain_words": "stiff clay", "undrained_kpa": 20, **LAB}, "measured", 20.0,
         "measured undrained strength 20 kPa does not fit stiff clay: measured undrained strength 20 kPa is taken, the weaker; "
         "find out which is right"),
        ({"uscs": "SP", "undrained_kpa": 50, **LAB}, "class", 25.0,
         "poorly graded sand (SP): an undrained strength does not go with it; friction alone is taken, and if it is clay, call it clay"),
        ({"uscs": "CL", "friction_deg": 28, **LAB}, "class", 250 * PSF,
         "lean clay (CL): friction does not hold clay in a gust; taken: lean clay (CL), consistency not given: "
         "taken as soft"),
        ({"plain_words": "granite", "blow_count": 8}, "blow count", 23.0, "granite does not fit blow count 8: no strength of rock is taken"),
        ({"rock": "granite", "probe_nm": 40}, "probe", 25.0,
         "granite or basalt does not fit a probe that goes in (40 Nm): no strength of rock is taken"),
        ({"plain_words": "stiff clay", "rock": "granite"}, "class", 1000 * PSF,
         "granite or basalt does not fit stiff clay: no strength of rock is taken"),
        ({"plain_words": "dry sand", "water_depth_m": 0.0}, "class", 25.0,
         "ground called dry, with water 0 m below the surface: the water is taken"),
        ({"plain_words": "hard sand"}, "class", 25.0,
         "'hard' says nothing of sand (its words: very loose, loose, medium dense, dense, very dense): the loose end is taken"),
        ({"uscs": "SP", "unit_weight_kn_m3": 110}, "class", 25.0,
         "unit weight 110 kN/m³ lies outside 12 to 24 (is it in lb/ft³ or t/m³?): the lower of it and the table's is taken"),
        ({"uscs": "GP", "probe_nm": 100}, "probe", 41.0,
         "probe 100 Nm: ground so hard is hard to probe; make sure that the figure is in newton metres"),
        ({"uscs": "CL", "blow_count": 1}, "blow count", 0.0,
         "very soft ground: no strength is taken; go to firmer ground, or have the anchors designed"),
    ],
)  # fmt: skip
def test_what_does_not_fit_is_said_and_the_weaker_taken(known, basis, value, warning):
    found = soil(**known)
    assert found.basis == basis
    assert strength(found) == pytest.approx(value, abs=1e-5)
    assert found.warnings == (warning,)


@pytest.mark.parametrize(
    "known",
    [
        {"plain_words": "loose sand", "blow_count": 7},
        {"uscs": "SM", "blow_count": 12, "probe_nm": 30},
        {"plain_words": "stiff clay", "undrained_kpa": 60.0, "blow_count": 18, **LAB},
        {"plain_words": "dry sand", "water_depth_m": 6.0},
        {"rock": "granite", "unit_weight_kn_m3": 26.0},
    ],
)
def test_what_fits_makes_no_warning(known):
    assert soil(**known).warnings == ()


def test_a_measured_weight_outside_its_range_is_never_taken_where_it_is_the_better():
    assert soil(uscs="SP", unit_weight_kn_m3=26.0).unit_weight_kn_m3 == soil(uscs="SP").unit_weight_kn_m3
    assert soil(uscs="SP", unit_weight_kn_m3=1.8).unit_weight_kn_m3 == 1.8
    # A weight measured at the table's own figure leaves the table's weight below water as it is; a lighter one lowers it alike.
    table = soil(uscs="SP")
    assert soil(uscs="SP", unit_weight_kn_m3=table.unit_weight_kn_m3).buoyant_kn_m3 == pytest.approx(table.buoyant_kn_m3)
    light = soil(uscs="SP", unit_weight_kn_m3=table.unit_weight_kn_m3 * 0.95)
    assert light.buoyant_kn_m3 == pytest.approx(table.buoyant_kn_m3 * 0.95)
    assert soil(uscs="SP", unit_weight_kn_m3=20.0).buoyant_kn_m3 == pytest.approx(20.0 - 9.80665)


# --- refused ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("known", "line"),
    [
        ({"plain_words": "stif clay"}, "site.toml, [soil] plain_words: 'stif' in 'stif clay' is no word that siting knows of the ground. "
         "Did you mean stiff clay or soft clay or very stiff clay?"),
        ({"plain_words": "dense"}, "site.toml, [soil] plain_words: 'dense' names no ground. Name one, such as loose sand, stiff clay or rock."),
        ({"plain_words": "sand over clay"}, "site.toml, [soil] plain_words: 'sand over clay' names more than one layer. Name the one that the "
         "anchor stands in, the weaker where you are not sure."),
        ({"plain_words": "clay and sand"}, "site.toml, [soil] plain_words: 'clay and sand' names grounds of two kinds: clay, sand. Name the one "
         "that the anchor stands in, or give each anchor its own under [[soil.anchors]]."),
        ({"uscs": "CL", "plain_words": "loose sand"}, "site.toml, [soil]: names two kinds of ground: lean clay (CL) is cohesive but loose sand "
         "is granular. Correct uscs or plain_words."),
        ({"blow_count": 12}, "site.toml, [soil] blow_count: a blow count needs to know whether the ground is sand or clay. Give uscs or plain_words."),
        ({"probe_nm": 12}, "site.toml, [soil] probe_nm: a probe torque needs to know whether the ground is sand or clay. Give uscs or plain_words."),
        ({"friction_deg": 30, "undrained_kpa": 30}, "site.toml, [soil] friction_deg: friction beside undrained strength needs to know whether the "
         "ground is sand or clay. Give uscs or plain_words."),
        ({"friction_deg": 46}, "site.toml, [soil] friction_deg: a friction angle of 46° lies outside 20 to 45°. Give it in degrees, not as its tangent."),
        ({"undrained_kpa": 1500}, "site.toml, [soil] undrained_kpa: an undrained strength of 1500 kPa lies outside 0 to 400 kPa. Give it in kPa; "
         "if that is psf, it is 71.8 kPa."),
        ({"uscs": "CL", "probe_nm": 300}, "site.toml, [soil] probe_nm: a probe torque of 300 Nm lies outside 0 to 180.8 Nm. Give it in newton metres; "
         "1 Nm is 8.85 inch-pounds."),
        ({"excavation_type": "D"}, "site.toml, [soil] excavation_type: 'D' is no type of 29 CFR 1926 Subpart P App. A. It is one of A, B, C, rock."),
    ],
)  # fmt: skip
def test_what_cannot_be_used_is_refused_in_one_line(known, line):
    assert fault(**known) == line


def test_names_that_are_not_known_are_told_together_with_the_nearest():
    text = fault(uscs="SPP", rock="granit", plain_words="gravle").splitlines()
    assert len(text) == 3
    assert text[0].startswith("site.toml, [soil] uscs: 'SPP' is no soil group. Did you mean SP? known: GW, GP")
    assert "Did you mean gravel" in text[1]
    assert text[2].startswith("site.toml, [soil] rock: 'granit' is no rock of the published table. Did you mean granite? known:")


@given(words=st.lists(st.sampled_from(sorted(VOCABULARY)), min_size=1, max_size=4), blows=st.none() | st.floats(0, 200))
def test_any_words_of_the_vocabulary_give_a_ground_or_a_plain_fault(words, blows):
    try:
        found = soil(plain_words=" ".join(words), blow_count=blows)
    except InputError as error:
        assert {f.code for f in error.faults} <= {"soil_words", "soil_kind"}
    else:
        assert found.kind == ROCK or 0.0 <= strength(found) <= 4000 * PSF
        assert found.buoyant_kn_m3 < found.unit_weight_kn_m3


# --- excavation ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("known", "kind", "taken", "why"),
    [
        ({}, COHESIVE, "C", "not classified"),
        ({"undrained_kpa": 80.0}, COHESIVE, "C", "may allow type A"),
        ({"undrained_kpa": 40.0}, COHESIVE, "C", "may allow type B"),
        ({"undrained_kpa": 20.0}, COHESIVE, "C", "not classified"),
        ({}, ROCK, "C", "not classified"),
        ({"excavation_type": "A"}, COHESIVE, "A", "as the user gives it"),
        ({"excavation_type": "A", "undrained_kpa": 71.9}, COHESIVE, "A", "as the user gives it"),  # 1.5 tsf = 143.64 kPa = 2 x 71.82
        ({"excavation_type": "A", "undrained_kpa": 71.7}, COHESIVE, "B", "that of type B"),
        ({"excavation_type": "B", "undrained_kpa": 23.9}, COHESIVE, "C", "that of type C"),
        ({"excavation_type": "A"}, GRANULAR, "C", "cohesive or cemented soil only"),
        ({"excavation_type": "B"}, GRANULAR, "B", "as the user gives it"),
        ({"excavation_type": "B", "water_depth_m": 0.0}, GRANULAR, "C", "water stands at the surface"),
        ({"excavation_type": "rock"}, ROCK, "rock", "as the user gives it"),
        ({"excavation_type": "rock"}, GRANULAR, "C", "no stable rock"),
    ],
)
def test_excavation_type(known, kind, taken, why):
    found, source, warnings = excavation_type(SoilInput(where=WHERE, **known), kind)
    assert found == taken and why in source
    assert bool(warnings) == (known.get("excavation_type") not in (None, taken))


def test_a_pit_in_fill_is_type_c():
    found = soil(plain_words="clay fill", excavation_type="A")
    assert found.excavation_type == "C" and "excavation type A does not fit: the ground is fill" in found.warnings[0]


# --- water --------------------------------------------------------------------------------------------------------


def test_water_not_known_is_at_the_surface_of_granular_ground_only_and_said():
    sand, clay = soil(uscs="SP"), soil(uscs="CL")
    assert sand.pressure_kpa(3.0) == pytest.approx(3.0 * sand.buoyant_kn_m3)
    assert "water table not known: taken at the surface" in sand.sources
    assert clay.pressure_kpa(3.0) == pytest.approx(3.0 * clay.unit_weight_kn_m3)
    assert "water table not known: the ground's total weight is taken" in clay.sources
    wet = soil(uscs="SP", water_depth_m=1.0)
    assert wet.pressure_kpa(3.0) == pytest.approx(wet.unit_weight_kn_m3 + 2.0 * wet.buoyant_kn_m3)
    assert soil(uscs="SP", water_depth_m=0.0).pressure_kpa(3.0) == sand.pressure_kpa(3.0)


@given(
    group=st.sampled_from(["GP", "SP", "SM", "ML", "CL"]), depth_m=st.floats(0.0, 8.0), near_m=st.floats(0.0, 8.0),
    farther_m=st.floats(0.0, 8.0),
)  # fmt: skip
def test_deeper_water_never_takes_weight_away(group, depth_m, near_m, farther_m):
    wet, drier = (soil(uscs=group, water_depth_m=w) for w in (near_m, near_m + farther_m))
    assert drier.pressure_kpa(depth_m) >= wet.pressure_kpa(depth_m) - 1e-9
    assert wet.pressure_kpa(depth_m) >= soil(uscs=group, water_depth_m=0.0).pressure_kpa(depth_m) - 1e-9


# --- a stronger input never gives a weaker soil -------------------------------------------------------------------


def not_weaker(low: Soil, high: Soil) -> None:
    assert strength(high) >= strength(low)
    assert high.unit_weight_kn_m3 >= low.unit_weight_kn_m3
    assert high.buoyant_kn_m3 >= low.buoyant_kn_m3 - 1e-12


PAIR = {"low": st.floats(0.0, 1.0), "more": st.floats(0.0, 1.0), "group": st.sampled_from(sorted(tables.USCS))}


@pytest.mark.parametrize(
    ("key", "least", "most", "kind"),
    [
        ("blow_count", 0.0, 120.0, None), ("probe_nm", 0.0, 180.7, None), ("friction_deg", 20.0, 45.0, GRANULAR),
        ("undrained_kpa", 0.0, 400.0, COHESIVE), ("unit_weight_kn_m3", 12.0, 24.0, None),
    ],
)  # fmt: skip
@given(**PAIR)
def test_more_of_one_measure_never_gives_a_weaker_soil(key, least, most, kind, low, more, group):
    if tables.USCS[group].is_organic or kind not in (None, tables.USCS[group].kind):
        return
    value = least + (most - least) * low
    higher = value + (most - value) * more
    not_weaker(soil(uscs=group, **{key: value}), soil(uscs=group, **{key: higher}))


@pytest.mark.parametrize("noun", NOUNS)
def test_a_better_word_never_gives_a_weaker_soil(noun):
    words = DENSITY_WORDS if NOUNS[noun][0] == GRANULAR else CONSISTENCY_WORDS
    ladder = [soil(plain_words=f"{word} {noun}") for word in sorted(words, key=words.get)]
    for low, high in zip(ladder, ladder[1:]):
        not_weaker(low, high)
    assert strength(ladder[-1]) > strength(ladder[0])


@given(
    words=st.sampled_from([w for w in known_grounds() if " " in w]), blows=st.none() | st.floats(0, 100),
    probe_nm=st.none() | st.floats(0, 180), friction_deg=st.none() | st.floats(20, 45), undrained_kpa=st.none() | st.floats(0, 400),
)  # fmt: skip
def test_several_things_known_give_what_one_of_them_gives_and_never_more_than_the_best(
    words, blows, probe_nm, friction_deg, undrained_kpa
):  # fmt: skip
    known = {"blow_count": blows, "probe_nm": probe_nm, "friction_deg": friction_deg, "undrained_kpa": undrained_kpa}
    class_alone = soil(plain_words=words)
    if class_alone.kind == ROCK or class_alone.is_organic:
        return
    unused = "undrained_kpa" if class_alone.kind == GRANULAR else "friction_deg"
    used = {k: v for k, v in known.items() if v is not None and k != unused}
    # Each alone stands beside the noun, which tells the kind; the words' own density is a thing known like the others.
    noun = next(n for n in sorted(NOUNS, key=len, reverse=True) if words.endswith(n))
    order = ("friction_deg", "undrained_kpa", "blow_count", "probe_nm")
    alone = [strength(soil(plain_words=noun, **{k: used[k]})) for k in order if k in used] + [strength(class_alone)]
    found = soil(plain_words=words, **known)
    assert any(strength(found) == pytest.approx(value) for value in alone)
    assert strength(found) <= alone[0]


def test_the_water_weighs_what_water_does():
    assert WATER_KN_M3 == 9.80665
