"""Mast files of legal but unlikely numbers: each gives a plan, or plain faults that say where and what to do; never a crash.

A finite plan.json stands for the plan: it refuses a number that is not finite.
"""

from __future__ import annotations

import copy
import tomllib
from unittest.mock import patch

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from strategies import LAT, LON, toml_value, write_site
from synthetic import plane, write_dem

from siting.errors import InputError, SitingError
from siting.inputs.mast_file import shipped_mast_text
from siting.inputs.site_file import read_site
from siting.planner import make_plan
from siting.writers.plan_json import plan_json

MAST = tomllib.loads(shipped_mast_text("lattice-60"))
LEVELS = [level["attach_m"] for level in MAST["guys"]]
TINY = 1e-300  # over 0, as the bounds want it
# Table and key: the least and the largest that the file may say, and what lies awkwardly beside the mast's other numbers.
# None takes the key away.
EDGES = {
    ("", "height_m"): [58.0, 60.001, 400.0],
    ("", "total_height_m"): [62.0, 500.0, None],
    ("", "mass_kg_per_m"): [TINY, 1000.0],
    ("", "section_length_m"): [0.5, 59.999, 60.001, 1000.0],
    ("", "base_section_m"): [0.1, 3.0, 59.95, 60.0],
    ("", "hinge_height_m"): [0.0, 10.0],
    ("", "gin_pole_length_m"): [0.1, 60.0, 63.9, 64.0, 65.0, 1000.0],
    ("", "gin_pole_mass_kg"): [TINY, 1e5, None],
    ("", "lift_attach_m"): [[0.1], [0.1, 0.1000001], [30.0] * 4, [60.0], None],
    ("", "lift_lines"): ["fixed", "equalised"],
    ("", "friction_ratio"): [0.0, 0.999999, None],
    ("", "stiffness_knm2"): [TINY, 1e-3, 1e9, None],
    ("", "moment_limit_knm"): [TINY, 1e6, None],
    ("", "drag_coefficient"): [TINY, 10.0, None],
    ("", "wind_area_m2_per_m"): [TINY, 50.0, None],
    ("", "initial_tension_ratio"): [TINY, 1e-4, 0.999999],
    ("", "reference_temperature_c"): [-60.0, 60.0],
    ("", "termination_m"): [0.0, 50.0],
    ("", "spare_ratio"): [0.0, 5.0],
    ("", "pulse_returns"): [1, 100],
    ("", "mast_expansion_ppm_per_k"): [0.0, 50.0],
    ("anchors", "bearing_deg"): [-360.0, 0.0, 90.0, 179.9999, 360.0],
    ("anchors", "radius_m"): [0.1, 5.0, 200.0, 1000.0],
    ("anchors", "use"): ["permanent", "temporary", "winch"],
    ("anchors", "design_load_kn"): [TINY, 1e4],
    ("guys", "attach_m"): [0.1, LEVELS[0] + 1e-7, 59.999999, 60.0],
    ("guys", "anchors"): [["A1"], ["A1", "A1"], ["WINCH"], ["SIDE-R", "BACK"]],
    ("guys", "use"): ["permanent", "temporary"],
    ("guys", "diameter_mm"): [0.5, 100.0, None],
    ("guys", "strand"): ["A475 EHS 3/16 in", "EN 12385 6x7-IWRC 1770", "no such strand"],
    ("guys", "initial_tension_kn"): [TINY, 0.002, 0.02, 8.0, 1e4],
    ("winch", "limit_kn"): [TINY, 1e4, None],
    ("winch", "line_diameter_mm"): [TINY, 200.0, None],
    ("winch", "drum_diameter_mm"): [TINY, 5000.0, None],
    ("winch", "drum_width_m"): [TINY, 10.0, None],
    ("winch", "wound_m"): [0.0, 1e4],
    ("loads", "at_m"): [0.0, 60.0],
    ("loads", "mass_kg"): [TINY, 1e5],
}
# (table, key), value, and which of the table's rows: a number, or all of them.
CHANGES = st.one_of(
    *(st.tuples(st.just(place), st.sampled_from(values), st.one_of(st.none(), st.integers(0, 20))) for place, values in EDGES.items())
)
SOIL = {"uscs": "CL", "undrained_kpa": 60.0, "strength_source": "made up"}
WIND = {"basic_m_s": 24.0, "source": "made up"}


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A folder with an even slope that is wider than the farthest plan of the test."""
    made = tmp_path_factory.mktemp("odd")
    write_dem(made / "dem.tif", plane(5.0, 0.0), LAT, LON, half_width_m=450.0, cell_m=5.0, dtype="float64")
    write_site(made, laydown={"azimuth_deg": 0.0}, soil=SOIL, wind=WIND)
    return made


def mast_text(changes) -> str:
    """lattice-60 with these changes, as TOML."""
    made = copy.deepcopy(MAST)
    for (table, key), value, row in changes:
        rows = [made] if table == "" else made[table] if isinstance(made[table], list) else [made[table]]
        for one in rows if row is None else [rows[row % len(rows)]]:
            if value is None:
                one.pop(key, None)
            else:
                one[key] = value
    plain = [f"{k} = {toml_value(v)}" for k, v in made.items() if not isinstance(v, dict) and k not in ("anchors", "guys", "loads")]
    tables = [("[winch]", made["winch"]), *((f"[[{name}]]", row) for name in ("anchors", "guys", "loads") for row in made[name])]
    for head, table in tables:
        plain += [head, *(f"{k} = {toml_value(v)}" for k, v in table.items())]
    return "\n".join(plain) + "\n"


def plan_with(folder, *changes):
    """The plan of the site with such a mast; its picture of the ground is small, to be quick."""
    (folder / "mast.toml").write_text(mast_text(changes), encoding="utf-8")
    with patch("siting.terrain.backdrop.SIDE_PX", 40):
        return make_plan(read_site(folder / "site.toml"))


SLACK = (("guys", "initial_tension_kn"), 0.002, None)
SOFT = (("", "stiffness_knm2"), None, None)


@given(changes=st.lists(CHANGES, min_size=1, max_size=3))
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@example(changes=[SOFT, SLACK])
@example(changes=[SOFT, (("", "initial_tension_ratio"), 1e-4, None)])
@example(changes=[SOFT, (("guys", "initial_tension_kn"), 1e4, 0)])
@example(changes=[(("", "gin_pole_length_m"), 64.0, None)])
@example(changes=[(("", "gin_pole_length_m"), 1000.0, None)])
@example(changes=[(("anchors", "radius_m"), 0.1, None)])
@example(changes=[(("guys", "attach_m"), 0.1, None)])
@example(changes=[(("guys", "diameter_mm"), 0.5, None), (("guys", "attach_m"), LEVELS[0] + 1e-7, 1)])
def test_a_mast_of_legal_numbers_gives_a_plan_or_plain_faults(folder, changes):
    try:
        plan = plan_with(folder, *changes)
    except SitingError as refused:
        for fault in refused.faults:
            assert fault.where and fault.what and fault.do
            assert "nan" not in fault.line() and "inf " not in fault.line()
    else:
        data = plan_json(plan)
        assert b"NaN" not in data and b"Infinity" not in data
        assert not [w for w in plan.warnings if "nan" in w.split() or "inf" in w.split()]


@pytest.mark.parametrize("soft", [True, False])
def test_a_tension_that_does_not_hold_its_guy_up_gives_no_plumb_form_and_names_its_field(folder, soft):
    plan = plan_with(folder, *([SOFT] if soft else []), (SLACK[0], 0.002, 2))
    assert plan.plumb_form is None and plan.standing is None
    said = [w for w in plan.warnings if w.startswith("No form for plumbing")]
    assert len(said) == 1
    assert said[0].startswith("No form for plumbing: mast.toml, [[guys]] no. 3, initial_tension_kn: sets the guy to ")
    assert "to 0.002 kN, which does not hold its own weight up: it would lie on the ground. Give the maker's set tension" in said[0]
    ratio = plan_with(folder, (("", "initial_tension_ratio"), 1e-4, None))
    assert any("mast.toml, initial_tension_ratio: sets the guy to " in w for w in ratio.warnings)


def test_a_tension_that_breaks_its_strand_is_refused_for_every_level(folder):
    with pytest.raises(InputError) as caught:
        plan_with(folder, (SLACK[0], 40.0, 0), (SLACK[0], 11.0, 3))
    assert [f.line() for f in caught.value.faults] == [
        f"mast.toml, [[guys]] no. {number}, initial_tension_kn: is {kn} kN, and EN 12385 6x7-IWRC 1770, 4 mm breaks at 10.2 kN. "
        "Write kilonewtons; common practice is 7 to 15 % of the breaking strength."
        for number, kn in ((1, "40"), (4, "11"))
    ]


def test_a_gin_pole_that_reaches_past_the_winch_is_told_and_judged_by_nothing(folder):
    plan = plan_with(folder, (("", "gin_pole_length_m"), 70.0, None))
    assert plan.statics.clearance is None
    assert any("gin_pole_length_m: is 70 m, and the winch stands " in text for text in plan.statics.remarks)
    assert {"pole_clearance", "line_clearance"} <= set(plan.unchecked)


def test_a_winch_that_lifts_nothing_fails_and_says_why(folder):
    plan = plan_with(folder, (("anchors", "radius_m"), 0.1, None))
    check = next(c for c in plan.checks if c.kind == "winch_use")
    assert check.verdict == "fail" and check.utilisation == 10.0


def test_numbers_beyond_any_mast_are_refused_at_their_line(folder):
    changes = (
        (("", "section_length_m"), 0.01, None), (("", "drag_coefficient"), 1e30, None), (("guys", "initial_tension_kn"), 1e300, 0),
        (("winch", "wound_m"), 1e300, None), (("loads", "mass_kg"), 1e300, 0),
    )  # fmt: skip
    (folder / "mast.toml").write_text(mast_text(changes), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_site(folder / "site.toml")
    lines = (folder / "mast.toml").read_text(encoding="utf-8").splitlines()
    told = [fault.where.split(", ") for fault in caught.value.faults]
    assert [lines[int(line.removeprefix("line ")) - 1].split(" =")[0] for _, line, _ in told] == [
        key.split()[-1] for _, _, key in told
    ]  # fmt: skip
    assert {key.split()[-1] for _, _, key in told} == {"section_length_m", "drag_coefficient", "initial_tension_kn", "wound_m", "mass_kg"}
