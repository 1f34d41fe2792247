"""The figures of the digging against the printed rules and tables: each row with its value, tolerance and source.

Where a row says "read", its text was read in a public copy; the others are from memory and say so. A limit is printed
exactly, so its tolerance is 0; an angle is printed to whole degrees.
"""

from __future__ import annotations

import math

import pytest
from dig.digs import base_hold, case, place_on, plane

from siting.dig.clips import clips_per_end
from siting.dig.holes import DigSettings, openings_of
from siting.dig.locate import locate_area
from siting.dig.marking import BANDS, SLEEVE_FT, SPHERES
from siting.dig.pits import BULKING
from siting.dig.rules import AIR, EGRESS, EGRESS_TRAVEL, ENGINEER, LADDER, PRINTED, PROTECTION, RULES, SPOIL, WALL_H_PER_V

# rule, feet, metres as printed, half a unit of the metres' last digit, source
LIMITS = (
    (PROTECTION, 5.0, 1.52, 0.005, "29 CFR 1926.652(a)(1), read in several public copies"),
    (ENGINEER, 20.0, 6.1, 0.05, "29 CFR 1926 Subpart P App. B, read (secondary copies)"),
    (SPOIL, 2.0, 0.61, 0.005, "29 CFR 1926.651(j)(2), figure read, paragraph from memory"),
    (EGRESS, 4.0, 1.22, 0.005, "29 CFR 1926.651(c)(2), figure read, paragraph from memory"),
    (EGRESS_TRAVEL, 25.0, 7.62, 0.005, "29 CFR 1926.651(c)(2), figure read, paragraph from memory"),
    (AIR, 4.0, 1.22, 0.005, "29 CFR 1926.651(g)(1), figure read, paragraph from memory"),
    (LADDER, 3.0, 0.914, 0.0005, "29 CFR 1926.1053(b)(1), figure read, paragraph from memory"),
)
# type, level for each metre of height, degrees as printed: 29 CFR 1926 Subpart P App. B Table B-1, read (copies agree)
TABLE_B1 = (("rock", 0.0, 90), ("A", 0.75, 53), ("B", 1.0, 45), ("C", 1.5, 34))


@pytest.mark.parametrize(("rule", "feet", "metres", "half_a_digit", "source"), LIMITS)
def test_limits_of_depth_and_distance(rule, feet, metres, half_a_digit, source):
    assert rule.figure_ft == feet, source
    assert rule.figure_m == pytest.approx(metres, abs=half_a_digit), source
    assert source.split(",")[0] in rule.source


def test_every_limit_is_here():
    assert len(LIMITS) == 7
    assert {rule.name for rule, *_ in LIMITS} == {rule.name for rule in RULES if rule.figure_ft is not None}


@pytest.mark.parametrize(("kind", "h_per_v", "degrees"), TABLE_B1)
def test_table_b1(kind, h_per_v, degrees):
    assert WALL_H_PER_V[kind] == h_per_v
    assert math.degrees(math.atan2(1.0, h_per_v)) == pytest.approx(degrees, abs=0.5)


def test_table_b1_is_whole():
    assert [row[0] for row in TABLE_B1] == list(WALL_H_PER_V)


def test_every_rule_is_printed_with_its_source():
    lines = [rule.line() for rule in PRINTED]
    assert len(lines) == 10
    assert all("29 CFR 1926" in line for line in lines)
    assert "25 ft" in EGRESS.text


# Rope (in), forged clips: a Canadian safety authority's table of cable clips (WorkSafeNB), read. It prints two from 5/16 to
# 7/16 in, but its text asks for three at least, as Washington's WAC 296-24-29401(5)(c) does (read).
CLIPS_READ = ((0.5, 3), (0.5625, 3), (0.625, 3), (0.75, 4), (0.875, 4))
# 29 CFR 1926.251 Table H-20, drop-forged, from memory.
CLIPS_RECALLED = ((0.5, 3), (0.625, 3), (0.75, 4), (0.875, 4), (1.0, 5))
# A rigging supplier's table, read: two from 1/8 to 7/16 in. Three are counted.
CLIPS_SMALL = (0.125, 0.1875, 0.25, 0.3125, 0.375, 0.4375)


def test_clips():
    assert (len(CLIPS_READ), len(CLIPS_RECALLED), len(CLIPS_SMALL)) == (5, 5, 6)
    for inches, clips in (*CLIPS_READ, *CLIPS_RECALLED):
        assert clips_per_end(25.4 * inches) == clips, inches
    assert {clips_per_end(25.4 * inches) for inches in CLIPS_SMALL} == {3}


def test_loosening():
    """US Army FM 5-434: sand 1.11, clay 1.43, blasted rock 1.50, from memory; gravel 1.15, clay 1.35 to 1.40, read elsewhere."""
    assert 1.11 <= BULKING["granular"] <= 1.15
    assert 1.35 <= BULKING["cohesive"] <= 1.43
    assert BULKING["rock"] == 1.50


def test_marking_of_the_example_law():
    """Montana Code 67-1-214(2), read: seven bands, two balls on each outside guy wire, sleeve 7 feet up each guy wire."""
    assert (BANDS, SPHERES, SLEEVE_FT) == (7, 2, 7.0)


# Minnesota Statutes 216D.04 subd. 1 (b) (1) to (8), read in a public copy: what the notice must contain.
NOTICE = (
    ("the name of the individual providing the notice", "Name of the person"),
    ("the precise location", "Precise location"),
    ("the name, address, and telephone number of the company", "Company, address, telephone"),
    ("the field telephone number", "Field telephone"),
    ("the type and extent of the activity", "Type of work"),
    ("the type and extent of the activity", "Extent of work"),
    ("whether or not the discharge of explosives is anticipated", "Explosives"),
    ("the date and time when the excavation is to commence", "Date and time of start"),
    ("the estimated duration of the activity", "Duration"),
)


def test_the_notice_has_what_the_statute_lists():
    opened = openings_of((), base_hold(), case().stakes, place_on(plane()), DigSettings())
    area = locate_area(opened.openings, place_on(plane()), 5.0)
    names = [name for name, _ in area.fields]
    assert len(NOTICE) == 9
    for asked, field in NOTICE:
        assert any(name.startswith(field) for name in names), asked
