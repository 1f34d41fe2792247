"""The same inputs give the same packet, byte for byte, whatever the folder, the hour and the process."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

from strategies import box_en, ground_polygon, tree_bytes, write_layer, write_site

ROOT = Path(__file__).parents[2]


def packet(folder: Path, out: str, **environment: str) -> dict[str, bytes]:
    ran = subprocess.run(
        [sys.executable, "-m", "siting", "plan", "site.toml", "--out", out], cwd=folder, capture_output=True, text=True,
        env=os.environ | {"PYTHONPATH": str(ROOT)} | environment, check=False,
    )  # fmt: skip
    assert ran.returncode == 0, ran.stderr
    return tree_bytes(folder / out)


def test_a_plan_made_twice_is_the_same_in_every_byte(site_folder, tmp_path_factory):
    parcels = [ground_polygon(box_en(-150, -90, 150, 150), 500.0), ground_polygon(box_en(-150, -300, 150, -90), 500.0)]
    write_layer(site_folder / "parcels.gpkg", parcels, {"pin": ["own", "south"]})
    write_site(site_folder, land={"parcels": "parcels.gpkg", "parcel_id_field": "pin", "own": ["own"]})
    elsewhere = tmp_path_factory.mktemp("elsewhere") / "deep" / "er"
    shutil.copytree(site_folder, elsewhere)
    first = packet(site_folder, "out", PYTHONHASHSEED="1", TZ="UTC", LC_ALL="C")
    second = packet(elsewhere, "packet", PYTHONHASHSEED="2", TZ="Pacific/Auckland", LC_ALL="C.UTF-8")
    assert set(first) == set(second) >= {"plan.json", "stakes.geojson", "stakes.kml", "stakes.csv", "map.html", "packet.json"}
    for name, data in first.items():
        assert second[name] == data, name
    assert str(site_folder).encode() not in b"".join(first.values())
    run_id = json.loads(first["plan.json"])["provenance"]["run_id"]
    for name, data in first.items():
        assert run_id.encode() in data, name


def test_the_same_folder_again_replaces_nothing_by_something_else(site_folder, run_siting):
    write_site(site_folder)
    assert run_siting("plan", "site.toml", "--out", "out")[0] == 0
    first = tree_bytes(site_folder / "out")
    assert run_siting("plan", "site.toml", "--out", "out")[0] == 0
    assert tree_bytes(site_folder / "out") == first
