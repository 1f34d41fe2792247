"""stakes.csv: one point a line, for a GNSS rover or an office program."""

from __future__ import annotations

from siting.figures import kept
from siting.records.plan import Plan, Stake
from siting.records.survey import ControlPoint

HEADER = ("point", "northing", "easting", "elevation", "code", "lat", "lon", "description")


def points_csv(plan: Plan) -> bytes:
    """stakes.csv as ASCII, comma separated, CRLF, one header row; no field holds a comma or a quote.

    Eastings and northings are in the plan's projected CRS; elevation is the DEM's height in metres, blank where
    the user wants none without a named vertical datum; the description ends with the CRS, its epoch and the run id.
    The user's own control points and features follow the stakes, as check points.
    """
    system = f"EPSG {plan.crs.epsg}" if plan.crs.epsg else plan.crs.name
    tail = f"; {system}; epoch {plan.crs.epoch}; run {plan.provenance.run_id}"
    lines = [",".join(HEADER)]
    lines += [_line(s, "" if plan.terrain.blank_elevation else _height(s), s.description + tail) for s in plan.stakes]
    lines += [_line(c, _height(c), f"{c.role} point {c.id} as given by the user{tail}") for c in plan.control]
    return ("\r\n".join(lines) + "\r\n").encode("ascii")


def _line(point: Stake | ControlPoint, elevation: str, description: str) -> str:
    fields = (
        point.point,
        kept(point.northing, "coordinate"),
        kept(point.easting, "coordinate"),
        elevation,
        point.code,
        kept(point.lat, "latlon"),
        kept(point.lon, "latlon"),
        description,
    )
    return ",".join(_bare(f) for f in fields)


def _height(point: Stake | ControlPoint) -> str:
    return "" if point.height_m is None else kept(point.height_m, "coordinate")


def _bare(text: str) -> str:
    """A field that survives the plainest reader: ASCII, no comma, no quote, no line end."""
    plain = text.encode("ascii", "ignore").decode()
    return "".join(" " if c in ",\"'\r\n\t" else c for c in plain)
