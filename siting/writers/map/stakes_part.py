"""The stakes as tables: every figure in the map's panel, and the few that a crew needs on the printed page."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from siting.figures import shown
from siting.records.plan import Plan, Stake
from siting.writers.map.markup import section, wide_table
from siting.writers.map.words import VERDICT_WORDS, crs_name

# The printed table stands in halves beside each other from this many stakes on.
ONE_COLUMN = 8


def _cells(stake: Stake) -> tuple[str, ...]:
    is_base, name = stake.role == "base", escape(stake.id)
    button = f'<button type="button" data-stake="{name}" title="Show on the map">{name}</button><span class="id">{name}</span>'
    return (
        button,
        escape(stake.role),
        shown(stake.lat, "latlon", unit=False),
        shown(stake.lon, "latlon", unit=False),
        shown(stake.easting, "coordinate", unit=False),
        shown(stake.northing, "coordinate", unit=False),
        shown(stake.height_m, "coordinate", unit=False),
        "–" if is_base else shown(stake.azimuth_deg, "bearing", unit=False),
        "–" if is_base else shown(stake.azimuth_grid_deg, "bearing", unit=False),
        "–" if is_base else shown(stake.azimuth_magnetic_deg, "bearing", unit=False),
        shown(stake.radius_m, "coordinate", unit=False),
        shown(stake.slope_percent, "percent", unit=False),
        VERDICT_WORDS[stake.verdict],
    )


def stakes_part(plan: Plan) -> str:
    """The section with every figure of every stake; HTML, units in its heads."""
    unit = escape(plan.crs.unit)
    heads = (
        "Stake", "Role", "Latitude °", "Longitude °", f"Easting<br>{unit}", f"Northing<br>{unit}", "DEM height<br>m",
        "Azimuth<br>true °", "Azimuth<br>grid °", "Azimuth<br>magnetic °", "Ground<br>distance m", "Slope<br>%", "Verdict",
    )  # fmt: skip
    told = f'<p class="small">WGS 84; {escape(crs_name(plan))}. Azimuths and distances from the base.</p>'
    table = wide_table("Stake table", heads, [_cells(stake) for stake in plan.stakes], "figures")
    return section("Stakes", told + table, "stakes", told=f'<span class="told">{len(plan.stakes)}</span>')


def _half(plan: Plan, stakes: Sequence[Stake]) -> str:
    unit = escape(plan.crs.unit)
    rows = []
    for stake in stakes:
        flagged = f" {VERDICT_WORDS[stake.verdict]}" if stake.verdict in ("fail", "marginal") else ""
        cells = (
            "–" if stake.role == "base" else shown(stake.azimuth_deg, "bearing", unit=False),
            shown(stake.radius_m, "coordinate", unit=False),
            shown(stake.easting, "coordinate", unit=False),
            shown(stake.northing, "coordinate", unit=False),
        )
        rows.append(f'<tr><th scope="row">{escape(stake.id)}{flagged}</th>{"".join(f"<td>{cell}</td>" for cell in cells)}</tr>')
    heads = ("Stake", "True °", "Ground m", f"Easting {unit}", f"Northing {unit}")
    head = "".join(f'<th scope="col">{text}</th>' for text in heads)
    return f"<table><thead><tr>{head}</tr></thead><tbody>{''.join(rows)}</tbody></table>"


def paper_stakes(plan: Plan) -> str:
    """The stakes below the map on paper, in two halves; not on the screen. HTML, units in its heads."""
    count = len(plan.stakes)
    half = count if count < ONE_COLUMN else (count + 1) // 2
    parts = [plan.stakes[:half], plan.stakes[half:]]
    tables = "".join(_half(plan, part) for part in parts if part)
    return (
        f'<div class="paper-stakes"><div class="halves">{tables}</div>'
        f"<p>{escape(crs_name(plan))}. Azimuths and ground distances from the base. Heights and latitudes: stakes.csv. "
        "Checks, lift and anchors: the same map.html, Print everything.</p></div>"
    )
