"""What the shipped masts' own lift data come to on even ground: the table of docs/mast_file.md, and how its numbers are made."""

from __future__ import annotations

import math
import re
from pathlib import Path

import numpy as np
import pytest

from siting.checks.lift import judge_lift
from siting.inputs.mast_file import find_shipped, read_mast, shipped_mast_text
from siting.layout.guys import guy_chords
from siting.lift.line_clearance import WinchGround
from siting.lift.slope_gain import even_ground
from siting.lift.statics import StaticsCase, lift_statics
from siting.lift.strands import find_strands
from siting.records.site import Limits

PAGE = Path(__file__).parents[2] / "docs" / "mast_file.md"
NAMES = ("lattice-60", "lattice-80", "lattice-100")
FACE_M = {"lattice-60": 0.3, "lattice-80": 0.4, "lattice-100": 0.5}
SLOPES = {"level": 0.0, "10 % up": 10.0, "5 % down": -5.0}
BASE_M = 1000.0


def mast_of(name: str):
    path, shown = find_shipped(name, "test")
    return read_mast(path, shown, True)


def statics_of(name: str, slope_percent: float):
    """The forces on even ground that rises along the laydown."""
    mast, rise = mast_of(name), slope_percent / 100.0
    heights = {a.id: BASE_M + rise * a.radius_m * math.cos(math.radians(a.bearing_deg)) for a in mast.anchors}
    strands = find_strands(((g.strand, g.diameter_mm) for g in mast.guys), mast.shown)
    masses = tuple(s.mass_kg_per_m for s, level in zip(strands, mast.guys, strict=True) for _ in level.anchors)
    s_m = np.arange(0.0, mast.winch.radius_m + 30.0)
    case = StaticsCase(
        mast, mast.rigging, heights, BASE_M + mast.hinge_height_m, even_ground(mast, slope_percent)[1], slope_percent, 0.1,
        tuple(guy_chords(mast, BASE_M, heights)), masses, WinchGround(s_m, BASE_M - rise * s_m),
    )  # fmt: skip
    return mast, lift_statics(case)


def row_of(name: str, laid: str) -> tuple[str, ...]:
    mast, found = statics_of(name, SLOPES[laid])
    stage = found.stages[-1]
    checks = {c.id: c for c in judge_lift(mast, found, Limits(), None).checks}
    at = lambda kind: f"{checks[kind].value:.2f}" + ("" if checks[kind].verdict == "pass" else f", {checks[kind].verdict}s")  # noqa: E731
    pushes = [f for f in stage.gin_pole_compression_kn if f is not None]
    return (
        name, laid, f"{stage.start_pull_kn:.1f}", f"{stage.largest_pull_kn:.1f}", at("winch_use"), at("mast_bending"),
        f"{max(pushes):.0f} to {min(pushes):.0f}".replace("-", "−"), at("pole_clearance").replace("-", "−"),
        at("line_clearance").replace("-", "−"),
    )  # fmt: skip


@pytest.mark.parametrize(("name", "base_m", "sections"), [("lattice-60", 3.0, 20), ("lattice-80", 2.0, 27), ("lattice-100", 1.0, 34)])
def test_the_sections_fill_the_mast_from_its_own_base_section_up(name, base_m, sections):
    """The hinged base section that the file speaks of is the first; every other is 3 m long, the last one too."""
    mast = mast_of(name)
    lengths = np.diff(mast.section_ends_m)
    assert lengths.size == sections and lengths[0] == base_m
    assert lengths[1:] == pytest.approx(3.0)
    assert mast.section_ends_m[-1] == mast.height_m


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("laid", SLOPES)
def test_the_table_of_the_mast_page_is_what_comes_out(name, laid):
    row = " | ".join(row_of(name, laid))
    assert f"| {row} |" in PAGE.read_text(encoding="utf-8"), row


@pytest.mark.parametrize("name", NAMES)
def test_stiffness_and_moment_limit_are_the_formulas_that_stand_beside_them(name):
    """I = A a^2 / 2; the limit: what a leg may take, less a third of the push, times the triangle's height."""
    mast, text = mast_of(name), shipped_mast_text(name)
    rig, face = mast.rigging, FACE_M[name]
    area_m2 = 0.75 * mast.mass_kg_per_m / 3.0 / 7850.0
    assert f"= {area_m2 * 1e6:.0f} mm2" in text and f"triangle of {face * 1000:.0f} mm" in text
    assert rig.stiffness_knm2 == pytest.approx(210e6 * area_m2 * face**2 / 2.0, rel=0.002)
    push_kn = float(re.search(r"a third of (\d+) kN", text)[1])
    limit = (120e3 * area_m2 - push_kn / 3.0) * face * math.sqrt(3.0) / 2.0
    assert 0.0 <= limit - rig.moment_limit_knm < 0.1
    _, level = statics_of(name, 0.0)
    along = [
        sum(line.force_kn[k] * line.attach_m / line.length_m for line in level.stages[-1].lift_lines)
        for k, pull in enumerate(level.stages[-1].winch_pull_kn) if pull is not None
    ]  # fmt: skip
    assert max(along) == pytest.approx(push_kn, rel=0.03)  # the largest push at the foot, of the lift lines


@pytest.mark.parametrize("name", NAMES)
def test_every_level_of_the_permanent_guys_has_its_lift_line(name):
    mast = mast_of(name)
    assert mast.rigging.lift_attach_m == tuple(g.attach_m for g in mast.guys if g.use == "permanent")


def test_the_100_m_mast_goes_up_by_two_gin_poles_the_light_one_first():
    mast, found = statics_of("lattice-100", 0.0)
    assert [s.raises for s in found.stages] == ["mast's gin pole", "mast"]
    assert mast.rigging.gin_poles[0].mass_kg < 0.2 * mast.rigging.gin_pole_mass_kg
    assert found.first_pole is not None and found.first_pole.tip_kg[0] == pytest.approx(30.0, abs=0.1)
    assert 0.0 < found.stages[0].start_pull_kn < found.stages[1].start_pull_kn


@pytest.mark.parametrize("name", NAMES)
def test_nothing_that_the_mast_file_could_say_is_left_out(name):
    mast, found = statics_of(name, 0.0)
    assert found.loads.left_out == ("jerks, ice, and the pull of guys that are held tight",)
    assert judge_lift(mast, found, Limits(), None).unchecked == ()
    assert "common practice, no source" in shipped_mast_text(name).partition("# The lift's own data")[2].partition("\n")[0]
