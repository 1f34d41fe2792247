"""as_staked.kml against the OGC schema and read back with GDAL."""

from __future__ import annotations

from dataclasses import replace
from importlib.util import find_spec
from pathlib import Path

import pyogrio
import pytest
from lxml import etree
from writers.plan_by_hand import make_plan

from siting.records.as_staked import Tolerance
from siting.records.plan import InputFile
from siting.survey.as_staked import report_as_staked
from siting.writers.as_staked.kml import as_staked_kml


@pytest.fixture(scope="module")
def report(tmp_path_factory):
    from siting.inputs.staked_csv import read_staked
    from siting.writers.points.points_csv import points_csv

    plan = make_plan()
    lines = points_csv(plan).decode().splitlines()
    moved = lines[3].split(",")
    moved[1] = f"{float(moved[1]) + 2.0:.3f}"
    path = tmp_path_factory.mktemp("staked") / "staked.csv"
    path.write_text("\n".join([*lines[:3], ",".join(moved), *lines[4:-1]]), encoding="utf-8")
    return plan, report_as_staked(plan, read_staked(path, path.name), Tolerance(0.10, 0.50, "test"), (InputFile(path.name, "0" * 64, "the whole file"),), "abc123")


def test_it_is_valid_kml(report):
    schemas = Path(find_spec("pykml").origin).parent / "schemas"
    schema = etree.XMLSchema(etree.parse(schemas / "ogckml22.xsd", etree.XMLParser(no_network=True)))
    schema.assertValid(etree.fromstring(as_staked_kml(report[1])))


def test_points_misses_and_what_was_not_measured_read_back(report, tmp_path):
    plan, made = report
    path = tmp_path / "as_staked.kml"
    path.write_bytes(as_staked_kml(made))
    frame = pyogrio.read_dataframe(path)
    at = {name: (g.x, g.y) for name, g in zip(frame.Name, frame.geometry, strict=True) if g.geom_type == "Point"}
    for point in made.points:
        assert at[point.id][:2] == pytest.approx((point.lon, point.lat), abs=1e-8)
    assert {m.id for m in made.missing} <= set(at) and len(made.missing) == 1
    lines = [name for name, g in zip(frame.Name, frame.geometry, strict=True) if g.geom_type == "LineString"]
    assert lines == [f"{p.id}, miss" for p in made.points if p.verdict != "pass"] and lines
    assert b"abc123" in path.read_bytes()


def test_a_point_without_a_place_is_left_out(report):
    _, made = report
    lost = replace(made, points=(replace(made.points[0], lon=None, lat=None), *made.points[1:]))
    assert as_staked_kml(lost).count(b"<Placemark>") == as_staked_kml(made).count(b"<Placemark>") - 1
