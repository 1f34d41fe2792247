"""Two packets that the tests of the files read: the demo site, and a made-up slope south of the equator."""

import csv
import json
from dataclasses import dataclass
from pathlib import Path

import pytest
from synthetic import plane, write_dem

from siting.inputs.site_file import read_site
from siting.planner import make_plan
from siting.records.plan import Plan
from siting.writers.packet import write_packet

DEMO = Path(__file__).parents[2] / "sample_dem" / "site.toml"
CAPE_LAT, CAPE_LON = -33.9, 18.4
# Words that a file's form must survive: comma, quotes, a line end, letters beyond ASCII, marks of XML and JSON.
CAPE = f"""
name = "Südhang, \\"Kap\\" <1> & 'zwei'"
[base]
lat = {CAPE_LAT}
lon = {CAPE_LON}
[dem]
path = "dem.tif"
vertical_datum = "sea level, \\"local\\" (Ø)"
[mast]
use = "lattice-80"
[[control]]
name = "Pillar, \\"old\\" <7>"
easting = 259600.0
northing = 6245900.0
height_m = 512.345
"""


@dataclass(frozen=True)
class Packet:
    """A packet on disk and the plan that it was written from."""

    plan: Plan
    folder: Path

    def json(self, name):
        """A JSON file of the packet."""
        return json.loads((self.folder / name).read_text(encoding="utf-8"))

    def csv_rows(self):
        """The rows of stakes.csv as dicts of text."""
        with open(self.folder / "stakes.csv", encoding="ascii", newline="") as file:
            return list(csv.DictReader(file))


@pytest.fixture(scope="session", params=["demo", "cape"])
def packet(request, tmp_path_factory):
    """Each of the two packets in turn. Read it, do not write to it."""
    folder = tmp_path_factory.mktemp(request.param)
    if request.param == "demo":
        site = read_site(DEMO)
    else:
        write_dem(folder / "dem.tif", plane(7.0, 200.0), CAPE_LAT, CAPE_LON, crs="lonlat", cell_m=2.0)
        (folder / "site.toml").write_text(CAPE, encoding="utf-8")
        site = read_site(folder / "site.toml")
    plan = make_plan(site)
    write_packet(plan, folder / "packet", "packet")
    return Packet(plan, folder / "packet")
