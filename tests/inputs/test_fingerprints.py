"""The run id changes with every input and option, and with nothing else."""

from __future__ import annotations

import datetime
import hashlib
from dataclasses import replace
from unittest.mock import patch

import pytest
from strategies import plan_of, small_mast, tree_bytes
from synthetic import plane, write_dem

from siting.inputs import fingerprints
from siting.inputs.site_file import read_site, site_from_options
from siting.planner import make_plan
from siting.records.site import Limit


def run_id(folder, **tables) -> str:
    return plan_of(folder, **tables).provenance.run_id


def test_the_same_inputs_give_the_same_id(site_folder):
    first = run_id(site_folder)
    assert first == run_id(site_folder) and len(first) == 12 and set(first) <= set("0123456789abcdef")


def test_the_site_file_changes_the_id(site_folder):
    first = run_id(site_folder)
    path = site_folder / "site.toml"
    path.write_text(path.read_text() + "# a remark\n")
    assert make_plan(read_site(path)).provenance.run_id != first


CHANGES = {
    "name": lambda s: replace(s, name="Other Ridge"),
    "base": lambda s: replace(s, base=replace(s.base, lat=46.500001)),
    "date": lambda s: replace(s, date=datetime.date(2027, 5, 11)),
    "azimuth": lambda s: replace(s, azimuth_deg=40.0),
    "a limit": lambda s: replace(s, limits=replace(s.limits, gap_max_m=Limit(2.9, "user"))),
    "the mast": lambda s: replace(s, mast=replace(s.mast, mass_kg_per_m=12.5)),
    "projected system": lambda s: replace(s, projected_crs="EPSG:32631"),
    "vertical datum": lambda s: replace(s, dem=replace(s.dem, vertical_datum="EGM2008")),
    "vertical unit": lambda s: replace(s, dem=replace(s.dem, vertical_unit="m")),
    "vertical error": lambda s: replace(s, dem=replace(s.dem, vertical_error_m=0.4)),
    "setback factor": lambda s: replace(s, land=replace(s.land, setback_factor=Limit(1.2, "user"))),
    "boundary error": lambda s: replace(s, land=replace(s.land, boundary_error_m=0.4)),
}


@pytest.mark.parametrize("name", CHANGES)
def test_every_option_changes_the_id_of_a_site_without_a_file(site_folder, name):
    """The files are the same: what was typed on the command line, or in a page, must tell two plans apart."""
    site = replace(site_from_options("dem.tif", "46.5, 7.5", "mast.toml"), date=datetime.date(2027, 5, 10))
    changed = CHANGES[name](site)
    assert changed.files == site.files
    with patch("siting.terrain.backdrop.SIDE_PX", 40):
        assert make_plan(changed).provenance.run_id != make_plan(site).provenance.run_id


def test_the_ground_and_the_mast_change_the_id(site_folder):
    first = run_id(site_folder)
    write_dem(site_folder / "dem.tif", plane(6.0, 41.0), 46.5, 7.5, half_width_m=110.0, cell_m=2.0)
    second = run_id(site_folder)
    small_mast(site_folder / "mast.toml", mass_kg_per_m=12.5)
    assert len({first, second, run_id(site_folder)}) == 3


def test_every_file_is_named_with_its_hash(site_folder):
    plan = plan_of(site_folder)
    files = tree_bytes(site_folder)
    assert {i.path: i.sha256 for i in plan.provenance.inputs} == {
        name: hashlib.sha256(files[name]).hexdigest() for name in ("site.toml", "mast.toml", "dem.tif")
    }
    assert {i.covers for i in plan.provenance.inputs} == {"the whole file"}


def test_of_a_large_dem_the_heights_are_hashed(site_folder, monkeypatch):
    monkeypatch.setattr(fingerprints, "WHOLE_FILE_MAX_BYTES", 1000)
    first = plan_of(site_folder).provenance
    assert [i.covers for i in first.inputs if i.path == "dem.tif"] == ["the heights that were read, in metres"]
    write_dem(site_folder / "dem.tif", plane(6.0, 40.1), 46.5, 7.5, half_width_m=110.0, cell_m=2.0, dtype="float64")
    assert plan_of(site_folder).provenance.run_id != first.run_id
