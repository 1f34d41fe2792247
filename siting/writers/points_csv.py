"""stakes.csv: one point a line, for a GNSS rover or an office program."""

from __future__ import annotations

from siting.figures import kept
from siting.records.plan import Plan

HEADER = ("point", "northing", "easting", "elevation", "code", "lat", "lon", "description")


def points_csv(plan: Plan) -> bytes:
    """stakes.csv as ASCII, comma separated, CRLF, one header row; no field holds a comma or a quote.

    Eastings and northings are in the plan's projected CRS; elevation is the DEM's height in metres, blank where
    the user wants none without a named vertical datum; the description ends with the CRS and the run id.
    """
    lines = [",".join(HEADER)]
    epsg = f"EPSG {plan.crs.epsg}" if plan.crs.epsg else _bare(plan.crs.name)
    for stake in plan.stakes:
        elevation = "" if plan.terrain.blank_elevation else kept(stake.height_m, "coordinate")
        fields = (
            stake.point,
            kept(stake.northing, "coordinate"),
            kept(stake.easting, "coordinate"),
            elevation,
            stake.code,
            kept(stake.lat, "latlon"),
            kept(stake.lon, "latlon"),
            f"{stake.description}; {epsg}; run {plan.provenance.run_id}",
        )
        lines.append(",".join(_bare(f) for f in fields))
    return ("\r\n".join(lines) + "\r\n").encode("ascii")


def _bare(text: str) -> str:
    """A field that survives the plainest reader: ASCII, no comma, no quote, no line end."""
    plain = text.encode("ascii", "ignore").decode()
    return "".join(" " if c in ",\"'\r\n\t" else c for c in plain)
