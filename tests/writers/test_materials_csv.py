"""materials.csv: one row a line of the list, readable by the plainest reader and by a spreadsheet."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

import pytest
from writers.dig_plans import plans

from siting.records.dig import Material
from siting.writers.dig.materials_csv import HEADER, materials_csv


@pytest.fixture(scope="module")
def dig():
    return plans()["mixed"][2]


def rows(data: bytes) -> list[list[str]]:
    return list(csv.reader(io.StringIO(data.decode("utf-8"), newline="")))


def test_the_header_and_one_row_for_each_line(dig):
    found = rows(materials_csv(dig))
    assert tuple(found[0]) == HEADER == ("group", "item", "size", "count", "unit", "used_at", "note")
    assert len(found) == 1 + len(dig.materials) == 7
    assert all(len(row) == 7 for row in found)
    for row, material in zip(found[1:], dig.materials, strict=True):
        assert row[0] == material.group and float(row[3]) == material.count and row[4] == material.unit


def test_no_field_holds_a_comma_or_a_quote_so_that_a_plain_split_reads_it(dig):
    odd = Material("guys", 'strand, "1x19"', "4.0 mm × 12 m;\nleft", 1.5, "m", "40 m, 78 m", "≤ 3 % more, Ø of Süd's list\t²")
    text = materials_csv(replace(dig, materials=(odd,))).decode("utf-8")
    line = text.split("\r\n")[1]
    assert line.split(",") == ["guys", "strand 1x19", "4.0 mm x 12 m left", "1.5", "m", "40 m 78 m", "<= 3 % more Ø of Süds list 2"]
    assert '"' not in text and text.endswith("\r\n") and text.count("\r\n") == 2


def test_signs_with_a_plain_twin_are_plain(dig):
    assert materials_csv(dig).isascii()
    assert b"25 mm x 4.20 m" in materials_csv(dig) and b"thimble heavy" in materials_csv(dig)


@pytest.mark.parametrize(("count", "shown"), [(3.0, "3"), (512.4, "512.4"), (0.0, "0"), (10.0, "10"), (0.125, "0.125"), (1200.0, "1200")])
def test_counts_without_noughts_at_their_end(dig, count, shown):
    made = replace(dig, materials=(replace(dig.materials[0], count=count),))
    assert rows(materials_csv(made))[1][3] == shown


def test_an_empty_list_is_a_header_and_the_same_plan_gives_the_same_bytes(dig):
    assert materials_csv(replace(dig, materials=())) == (",".join(HEADER) + "\r\n").encode()
    assert materials_csv(dig) == materials_csv(dig)
