"""Site maps for the tests: the demonstration with its land, a hand-made site of sixty parcels with long names, what is read back."""

from __future__ import annotations

import subprocess
from dataclasses import replace
from functools import cache
from pathlib import Path

from pyproj import Transformer
from strategies import site_text
from writers.plan_by_hand import _from_offset
from writers.plan_by_hand import make_plan as plan_by_hand

from siting.geodesy.frames import frame_at
from siting.inputs.site_file import read_site
from siting.planner import make_plan
from siting.planning.land import read_land
from siting.planning.permit import plan_permit
from siting.records.permit import GivenItem, MapOutline, PermitFacts, PermitGround, Revision

DEMO = Path(__file__).parents[2] / "sample_dem" / "site.toml"
LONG_NAME = "Übergangsstraße Ödland–Čierna Hora ≤ 2 400 m² × 15° №17 (Süd), Windmessung der Gemeinschaft am Kestrel Ridge"
FACTS = PermitFacts(
    applicant="Curlew Wind Measurement (invented)", address="1240 County Road (invented)", parcel="07-112, 07-115",
    owner="E. Sample (invented)", zoning="A-1 agricultural", adjoining=("07-113: J. Doe, deed book 112 page 45 (invented)",),
    access="from County road by the field track", purpose="wind measurement", drawing="CB-M1-SM-01", drawn_by="E. S.",
    revisions=(Revision("A", "2027-05-10", "first issue", "ES"),),
    given=(GivenItem("permission", "letter, App. B"), GivenItem("removal", "App. C")),
)  # fmt: skip


def with_land(site):
    """The plan of a site and the land around it."""
    plan = make_plan(site)
    frame = frame_at(site.base.lat, site.base.lon, plan.base.height_m, site.projected_crs, "test")
    return plan, plan_permit(site, read_land(site, frame), plan.stakes, frame)


def on_dem(folder: Path, dem: Path):
    """A plan of a 60 m mast in the middle of this DEM, and the land around."""
    import rasterio

    with rasterio.open(dem) as heights:
        x, y = heights.transform * (heights.width / 2, heights.height / 2)
        lon, lat = Transformer.from_crs(heights.crs, "EPSG:4326", always_xy=True).transform(x, y)
    text = site_text(base={"lat": lat, "lon": lon}, dem={"path": str(dem)}, mast={"use": "lattice-60"})
    (folder / "site.toml").write_text(text, encoding="utf-8")
    return with_land(read_site(folder / "site.toml"))


@cache
def demo(projected: str | None = None):
    """The demonstration, in its own UTM zone or in another system."""
    return with_land(replace(read_site(DEMO), projected_crs=projected, accepts_null_shift=True))


def facts(paper: str, units: str = "m", **more) -> PermitFacts:
    """The demonstration's application on this paper."""
    return replace(FACTS, paper=paper, units=units, **more)


def _ring(*corners):
    ring = [_from_offset(e, n) for e, n in corners]
    return (tuple([*ring, ring[0]]),)


def sixty_parcels():
    """A hand-made plan with a long name, sixty small parcels with long ids and owners around one own parcel."""
    outlines = []
    for k in range(72):
        i, j = k % 9, k // 9
        if 3 <= i <= 5 and 2 <= j <= 5:
            continue
        w, s = -270 + 60 * i, -240 + 60 * j
        name, owner = (
            f"12-0{k:02d}/Östliches Flurstück Nr. {k} (Gemarkung Süd)",
            f"Eigentümergemeinschaft Lüdenscheidt & Söhne {k}",
        )
        outlines.append(
            MapOutline("parcel", name, "", owner, "Polygon", _ring((w, s), (w + 60, s), (w + 60, s + 60), (w, s + 60)))
        )
    assert len(outlines) == 60
    outlines.append(
        MapOutline("own_land", "own", "12-004 Süd", "", "Polygon", _ring((-90, -120), (90, -120), (90, 120), (-90, 120)))
    )
    ground = PermitGround(outlines=tuple(outlines), sources=(("parcels", "parcels.gpkg"),))
    revisions = tuple(Revision(str(k), "2027-01-01", LONG_NAME, "ABC") for k in range(4))
    long = PermitFacts(
        applicant=LONG_NAME * 2, address=LONG_NAME, parcel=LONG_NAME, owner=LONG_NAME, zoning=LONG_NAME, drawing="X" * 60,
        adjoining=tuple(f"{k}: {LONG_NAME}" for k in range(30)), revisions=revisions,
    )  # fmt: skip
    return replace(plan_by_hand(), name=LONG_NAME), long, ground


def gdal_transform(path: Path, dots: int = 300, page: int = 1):
    """Origin, pixel size and rotation as GDAL reads them from a page of the PDF at this many dots an inch, and its EPSG code."""
    import json

    told = subprocess.run(
        ["gdalinfo", "-json", "--config", "GDAL_PDF_DPI", str(dots), f"PDF:{page}:{path}"], capture_output=True, text=True, check=True
    )
    info = json.loads(told.stdout)
    return info["geoTransform"], info["size"], info["coordinateSystem"]["wkt"]
