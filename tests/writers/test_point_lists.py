"""Point lists in every layout, read back the way a rover reads them, with the side-cars beside them."""

from __future__ import annotations

import csv
import io
import itertools
import re
from dataclasses import replace

import pytest
from writers.plan_by_hand import make_plan
from writers.rover_plans import HOSTILE, LISTS, US_FOOT, demo

from siting.errors import WriteError
from siting.records.site import COLUMNS
from siting.records.survey import PointList
from siting.writers.points.point_lists import COLUMN_WORDS, point_lists

MARKS = {"comma": ",", "tab": "\t", "semicolon": ";", "space": " "}
METRES_IN = {"m": 1.0, "ft": 0.3048, "us-ft": 1200 / 3937}
WORDS = {"m": "metres", "ft": "international feet (0.3048 m)", "us-ft": "US survey feet (1200/3937 m)"}


def read(data: bytes, separator: str) -> list[list[str]]:
    text = data.decode("ascii")
    assert text.endswith("\r\n") and "\n" not in text.replace("\r\n", "")
    return list(csv.reader(io.StringIO(text, newline=""), delimiter=MARKS[separator], quoting=csv.QUOTE_NONE))


def hand_list(**changes) -> PointList:
    made = PointList("own", ("point", "northing", "easting", "code"), "comma", False, "metres", 1.0, 3,
                     (("A1", "5152127.123", "381607.456", "MANCH"),))  # fmt: skip
    return replace(made, **changes)


def files_of(points: PointList) -> dict[str, bytes]:
    return point_lists(replace(make_plan(), point_lists=(points,)))


@pytest.mark.parametrize("layout", LISTS, ids=[layout.name for layout in LISTS])
@pytest.mark.parametrize("projected", [None, US_FOOT])
def test_a_list_comes_back(layout, projected):
    plan = demo(projected, given=True)
    files = point_lists(plan)
    ending = "csv" if layout.separator in ("comma", "semicolon") else "txt"
    rows = read(files[f"points_{layout.name}.{ending}"], layout.separator)
    if layout.has_header:
        assert tuple(rows.pop(0)) == layout.columns
    points = (*plan.stakes, *plan.control)
    assert len(rows) == len(points) == 34
    crs_unit_m = 1200 / 3937 if projected == US_FOOT else 1.0
    unit_m, tolerance_m = METRES_IN[layout.unit], 0.51 * 10.0**-layout.decimals * METRES_IN[layout.unit]
    for row, point in zip(rows, points, strict=True):
        found = dict(zip(layout.columns, row, strict=True))
        assert found["point"] == point.point
        assert float(found["easting"]) * unit_m == pytest.approx(point.easting * crs_unit_m, abs=tolerance_m)
        assert float(found["northing"]) * unit_m == pytest.approx(point.northing * crs_unit_m, abs=tolerance_m)
        assert len(found["easting"].partition(".")[2]) == layout.decimals
        if "elevation" in found and point.height_m is not None:
            assert float(found["elevation"]) * unit_m == pytest.approx(point.height_m, abs=tolerance_m)
        if "lat" in found:
            assert (float(found["lat"]), float(found["lon"])) == pytest.approx((point.lat, point.lon), abs=1e-9)
        assert found.get("code", point.code) == point.code
        assert found.get("none", "") == ""


def test_every_order_of_five_columns_comes_back():
    values = {"point": "A1", "northing": "5.000", "easting": "3.000", "elevation": "1.000", "code": "MANCH"}
    for number, order in enumerate(itertools.permutations(values)):
        separator = ("comma", "tab", "semicolon", "space")[number % 4]
        made = hand_list(columns=order, separator=separator, rows=(tuple(values[c] for c in order),))
        (name, data), (side_name, side) = files_of(made).items()
        assert dict(zip(order, read(data, separator)[0], strict=True)) == values
        lines = [line.split(":")[0].strip() for line in side.decode().split("\r\n") if line.startswith("  ")]
        assert lines == [f"{place}. {column}" for place, column in enumerate(order, 1)]
        assert (name.rpartition(".")[2], side_name) == ("csv" if separator in ("comma", "semicolon") else "txt", "points_own_readme.txt")
    assert number == 119


@pytest.mark.parametrize("layout", LISTS, ids=[layout.name for layout in LISTS])
@pytest.mark.parametrize("projected", [None, US_FOOT])
def test_the_side_car_says_everything_a_rover_must_be_told(layout, projected):
    plan = demo(projected, given=True)
    text = point_lists(plan)[f"points_{layout.name}_readme.txt"].decode()
    factor = {"m": "1.000000000000", "ft": "0.304800000000", "us-ft": "0.304800609601"}[layout.unit]
    for words in (
        plan.crs.name, f"EPSG:{plan.crs.epsg}", plan.crs.datum, f"Epoch of the coordinates: {plan.crs.epoch}",
        f"Run: {plan.provenance.run_id}", f"vertical datum: {plan.terrain.vertical_datum}", "not scaled to ground",
        f"Separator: {layout.separator}", f"heights: {layout.decimals}, with a point",
        f"Unit of this file: {WORDS[layout.unit]}; 1 of them = {factor} m", "Points: 34",
        "names of the columns" if layout.has_header else "there is no header",
    ):  # fmt: skip
        assert words in text
    is_other = METRES_IN[layout.unit] != pytest.approx(plan.crs.unit_m, rel=1e-9)
    assert ("the coordinate system itself counts in" in text) == is_other


def test_no_unit_is_called_a_foot_without_saying_which():
    for projected in (None, US_FOOT):
        for name, data in point_lists(demo(projected, given=True)).items():
            if not name.endswith("_readme.txt"):
                continue
            for line in data.decode().splitlines():
                words = re.sub(r"international feet|US survey (feet|foot)|\(ftUS\)", "", line)
                assert re.findall(r"\b(?:feet|foot|ft)\b", words) == [], line


def test_hostile_cells_cannot_break_a_row():
    for separator, mark in MARKS.items():
        made = hand_list(separator=separator, rows=((f"A{mark}1\r\n", "1.0", "2.0", HOSTILE),))
        data = next(iter(files_of(made).values()))
        (row,) = read(data, separator)
        assert len(row) == 4 and row[1:3] == ["1.0", "2.0"]


def test_an_empty_field_between_blanks_is_refused():
    made = hand_list(separator="space", rows=(("A1", "1.0", "", "X"),))
    with pytest.raises(WriteError, match="^points_own.txt: a field is empty, and between blanks") as fault:
        files_of(made)
    assert "Choose another separator for this list" in str(fault.value)


def test_every_column_that_a_site_file_may_ask_for_is_explained():
    assert set(COLUMN_WORDS) == set(COLUMNS)


def test_no_list_no_file_and_bytes_repeat():
    assert point_lists(make_plan()) == {}
    assert point_lists(demo(given=True)) == point_lists(demo(given=True))
    assert len(point_lists(demo(given=True))) == 2 * len(LISTS)
