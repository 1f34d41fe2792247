"""How the walls of a pit stand: the threshold, the published slopes, water, signs of a cave-in, what is refused."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from dig.digs import soil

from siting.dig.pits import COMMON_EARTH, PitWants, bulking_ratio, plan_pit, wall_type
from siting.dig.rules import ENGINEER, PROTECTION, WALL_H_PER_V, is_at_least, is_beyond
from siting.errors import OutOfMethod

WANTS = PitWants()


def level(u, v):
    return np.zeros(np.broadcast(u, v).shape)


def pit_of_depth(depth_m, kind="B", wants=WANTS, **ground):
    """A rod straight down: the plate lies flat at its end."""
    return plan_pit((1.2, 0.3), depth_m, 90.0, soil(kind, **ground), level, wants)


def test_the_threshold_itself_is_deep_and_a_hair_less_is_not():
    assert pit_of_depth(1.524).is_deep
    assert pit_of_depth(1.524).floor.wall_h_per_v == 1.0
    shallow = pit_of_depth(1.523)
    assert not shallow.is_deep
    assert shallow.floor.wall_h_per_v == 0.0
    assert "only if a competent person finds no sign of a cave-in" in shallow.support
    assert "NOBODY GOES IN" in pit_of_depth(1.524).support


def test_the_highest_wall_counts_not_the_middle():
    """Across a slope the middle is 1.45 m deep; the uphill end of the floor is over the threshold."""
    pit = plan_pit((1.2, 0.3), 1.45, 90.0, soil("B"), lambda u, v: 0.2 * np.asarray(v, float) + 0.0 * u, WANTS)
    assert pit.depth_m == pytest.approx(1.45)
    assert pit.is_deep


@pytest.mark.parametrize(("kind", "h_per_v"), [("rock", 0.0), ("A", 0.75), ("B", 1.0), ("C", 1.5)])
def test_a_deep_pit_takes_the_slope_of_its_type(kind, h_per_v):
    pit = pit_of_depth(2.0, kind)
    assert pit.floor.wall_h_per_v == h_per_v
    assert pit.top_width_m == pytest.approx(0.6 + 2 * 2.0 * h_per_v)
    assert pit.top_length_m == pytest.approx(1.8 + 2 * 2.0 * h_per_v)
    assert pit.is_deep


def test_signs_of_a_cave_in_lay_a_shallow_pit_back_too():
    pit = pit_of_depth(1.0, wants=replace(WANTS, has_cave_in_signs=True))
    assert not pit.is_deep
    assert pit.floor.wall_h_per_v == 1.0
    assert "signs of a cave-in" in pit.support


def test_water_over_the_bottom_makes_it_type_c():
    assert wall_type(soil("A", water_m=1.0), 2.0) == ("C", "type C soil, because water stands over the pit's bottom")
    assert wall_type(soil("A", water_m=2.5), 2.0) == ("A", "")
    assert wall_type(soil("rock", water_m=1.0), 2.0) == ("rock", "")
    assert pit_of_depth(2.0, "A", water_m=1.0).floor.wall_h_per_v == 1.5


def test_an_unknown_type_is_refused():
    with pytest.raises(OutOfMethod, match="none of rock, A, B and C"):
        pit_of_depth(2.0, "D")


def test_over_twenty_feet_a_pit_is_refused_and_at_twenty_feet_not():
    assert pit_of_depth(6.096).wall_m == pytest.approx(6.096)
    with pytest.raises(OutOfMethod, match=r"over 20 ft .*registered engineer"):
        pit_of_depth(6.11)


def test_the_engineer_is_called_by_the_rim_and_not_by_the_middle():
    """5.6 m deep in the middle; uphill the wall that is laid back comes out over 20 ft."""
    with pytest.raises(OutOfMethod, match="over 20 ft"):
        plan_pit((1.2, 0.3), 5.6, 90.0, soil("B"), lambda u, v: 0.1 * np.asarray(u, float) + 0.0 * v, WANTS)


def test_thresholds_count_as_their_rules_say():
    assert is_at_least(5 * 0.3048, PROTECTION) and not is_at_least(1.5239, PROTECTION)
    assert not is_beyond(20 * 0.3048, ENGINEER) and is_beyond(6.0961, ENGINEER)


def test_a_flatter_type_never_digs_less():
    dug = [pit_of_depth(2.0, kind).pit_m3 for kind in ("A", "B", "C")]
    assert dug == sorted(dug) and dug[0] < dug[2] / 1.5
    assert list(WALL_H_PER_V.values()) == sorted(WALL_H_PER_V.values())


def test_loosening_by_kind_and_where_nothing_is_known():
    assert [bulking_ratio(soil(kind=kind)) for kind in ("granular", "cohesive", "rock")] == [1.15, 1.40, 1.50]
    assert bulking_ratio(soil(kind="granular", basis="nothing known")) == COMMON_EARTH == 1.25
