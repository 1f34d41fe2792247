"""The run id changes with every input and option, and with nothing else."""

from __future__ import annotations

import hashlib

import pytest
from strategies import plan_of, small_mast, tree_bytes
from synthetic import plane, write_dem

from siting.inputs import fingerprints


def run_id(folder, **tables) -> str:
    return plan_of(folder, **tables).provenance.run_id


def test_the_same_inputs_give_the_same_id(site_folder):
    first = run_id(site_folder)
    assert first == run_id(site_folder) and len(first) == 12 and set(first) <= set("0123456789abcdef")


@pytest.mark.parametrize(
    "change",
    [
        {"name": "Other Ridge"}, {"base": {"lat": 46.50001}}, {"laydown": {"azimuth_deg": 40.0}}, {"limits": {"gap_max_m": 2.9}},
        {"dem": {"vertical_datum": "EGM2008"}}, {"dem": {"vertical_error_m": 0.4}}, {"land": {"setback_factor": 1.2}},
        {"crs": {"projected": "EPSG:32631"}}, {"points": {"blank_unknown_elevation": True}},
    ],
    ids=str,
)  # fmt: skip
def test_every_option_changes_the_id(site_folder, change):
    assert run_id(site_folder) != run_id(site_folder, **change)


def test_the_date_changes_the_id(site_folder):
    import datetime

    from siting.inputs.site_file import read_site
    from siting.planner import make_plan

    path = site_folder / "site.toml"
    first = run_id(site_folder)
    path.write_text(path.read_text().replace("2027-05-10", "2027-05-11"))
    site = read_site(path)
    assert site.date == datetime.date(2027, 5, 11)
    assert make_plan(site).provenance.run_id != first


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
