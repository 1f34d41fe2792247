"""stakes.kmz read back as a zip and with GDAL."""

from __future__ import annotations

import io
import time
import zipfile

import pyogrio
import pytest
from writers.plan_by_hand import make_plan
from writers.rover_plans import demo, hostile

from siting.writers.points.kml import kml
from siting.writers.points.kmz import kmz
from siting.writers.repeatable_zip import zip_bytes


@pytest.mark.parametrize("make", [make_plan, demo, hostile], ids=["by hand", "demo", "hostile"])
def test_it_holds_the_kml_and_nothing_else(make):
    with zipfile.ZipFile(io.BytesIO(kmz(make()))) as packed:
        assert packed.testzip() is None
        assert packed.namelist() == ["doc.kml"]
        assert packed.read("doc.kml") == kml(make())
        assert make().provenance.run_id.encode() in packed.read("doc.kml")


def test_gdal_reads_the_stakes(tmp_path):
    plan = demo()
    path = tmp_path / "stakes.kmz"
    path.write_bytes(kmz(plan))
    table = pyogrio.read_dataframe(path, layer="Stakes")
    assert list(table["Name" if "Name" in table else "name"]) == [s.id for s in plan.stakes]
    for row, stake in zip(table.itertuples(), plan.stakes, strict=True):
        assert (row.geometry.x, row.geometry.y) == pytest.approx((stake.lon, stake.lat), abs=1e-9)


def test_bytes_repeat_over_the_seconds_of_a_zip(monkeypatch):
    first = kmz(make_plan())
    later = time.time() + 86400.0
    monkeypatch.setattr(time, "time", lambda: later)
    assert kmz(make_plan()) == first


def test_a_zip_keeps_the_order_it_is_given():
    with zipfile.ZipFile(io.BytesIO(zip_bytes({"b": b"1", "a": b"2"}))) as packed:
        assert packed.namelist() == ["b", "a"]
        assert {i.date_time for i in packed.infolist()} == {(1980, 1, 1, 0, 0, 0)}
