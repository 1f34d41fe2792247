"""The tables of the site map: stakes, checks that a permit turns on, distances, sides of the lot, parcels, sources."""

from __future__ import annotations

from siting.figures import shown
from siting.records.findings import Check, Unchecked
from siting.records.permit import PermitFacts, PermitGround
from siting.records.plan import Plan
from siting.verdict import FAIL, PASS, UNCHECKED
from siting.writers.frame_words import height_words
from siting.writers.map.words import VERDICT_WORDS
from siting.writers.sitemap.distances import known_distances
from siting.writers.sitemap.drawing import MapDrawing, stakes_drawn
from siting.writers.sitemap.lengths import height, length
from siting.writers.sitemap.map_sheet import TEXT, MapSheet
from siting.writers.sitemap.outlines import known_outlines
from siting.writers.sitemap.ruled import Column, Ruled, fitting, ruled

# Kinds of check that a permit turns on, in this order.
PERMIT_KINDS = (
    "rule", "setback", "fall_zone", "fall_zone_obstacle", "anchor_on_own_land", "guy_on_own_land", "layout_clear", "power_line",
)  # fmt: skip
MANY = ("anchor_on_own_land", "guy_on_own_land", "layout_clear")  # one for each anchor: of those that pass, the tightest


def stake_table(sheet: MapSheet, plan: Plan, facts: PermitFacts, width_mm: float) -> Ruled:
    """Every stake but the offset ones: coordinates in the CRS's unit, height in the office's, latitude and longitude."""
    rows = []
    for s in stakes_drawn(plan):
        ground = "–" if plan.terrain.blank_elevation else height(s.height_m, facts.units)
        rows.append((
            s.point, f"{s.easting:.2f}", f"{s.northing:.2f}", ground,
            shown(s.lat, "latlon", unit=False), shown(s.lon, "latlon", unit=False),
        ))  # fmt: skip
    unit = {"metre": "m"}.get(plan.crs.unit, plan.crs.unit)
    heads = (
        Column("Stake", 0.0, "left", True), Column("Easting", 0.0, "right"), Column("Northing", 0.0, "right"),
        Column(f"Height, {facts.units}", 0.0, "right"), Column("Latitude", 0.0, "right"), Column("Longitude", 0.0, "right"),
    )  # fmt: skip
    columns = [fitting(sheet, c, [row[k] for row in rows]) for k, c in enumerate(heads)]
    spare = max(0.0, (width_mm - sum(c.width_mm for c in columns)) / len(columns))
    columns = [Column(c.title, c.width_mm + min(spare, 2.0), c.align, c.bold) for c in columns]
    title = f"Stakes: {plan.crs.name}, {unit}; WGS 84 degrees; DEM heights, not for grade"
    while sheet.text_mm(title, TEXT, bold=True) > sum(c.width_mm for c in columns) and ";" in title:
        title = title.rpartition(";")[0]
    return ruled(sheet, title, columns, rows, sum(c.width_mm for c in columns))


def permit_checks(plan: Plan) -> list[Check]:
    """The checks that a permit turns on, by kind; of many alike that pass, the tightest."""
    found: list[Check] = []
    for kind in PERMIT_KINDS:
        rows = [c for c in plan.checks if c.kind == kind]
        found += [c for k, c in enumerate(rows) if kind not in MANY or c.verdict != PASS or k == 0]
    return found


def permit_gaps(plan: Plan) -> list[Unchecked]:
    """What of the land could not be checked: never a pass."""
    kinds = (*PERMIT_KINDS, *(f"{kind}s" for kind in PERMIT_KINDS), "overhead_lines", "overhead_line", "road", "building")
    return [u for u in plan.unchecked_detail if u.id.partition(":")[0] in kinds or "[land]" in u.do]


def verdict_lines(plan: Plan) -> list[str]:
    """What must be as loud as a missing item: checks of the land that fail, and those that could not be made."""
    failing = sum(c.verdict == FAIL for c in permit_checks(plan))
    lines = [f"FAIL: {failing} check{'s' if failing > 1 else ''} of the land"] if failing else []
    gaps = len(permit_gaps(plan))
    return [*lines, f"NOT CHECKED: {gaps} check{'s' if gaps > 1 else ''} of the land"] if gaps else lines


def check_table(sheet: MapSheet, plan: Plan, facts: PermitFacts, width_mm: float) -> Ruled:
    """Check, what was found, what is asked for, margin, verdict, source; then what was not checked, as loud."""
    rows, strong = [], set()
    for c in permit_checks(plan):
        margin = c.value - c.limit if c.limit_is_least else c.limit - c.value
        least = "≥ " if c.limit_is_least else "≤ "
        figures = [
            (length(v, facts.units) if c.unit == "m" else f"{v:.2f}").replace("-", "−") for v in (c.value, c.limit, margin)
        ]
        if c.verdict != PASS:
            strong.add(len(rows))
        alike = (
            sum(o.kind == c.kind and o.verdict == PASS for o in plan.checks) - 1 if c.kind in MANY and c.verdict == PASS else 0
        )
        label = f"{c.label} (and {alike} more that pass)" if alike else c.label
        words = f"{VERDICT_WORDS[c.verdict]}: {label}{'; ' + c.place if c.place else ''}. Rule and source: {c.source}"
        rows.append((words, figures[0], least + figures[1], figures[2]))
    for item in permit_gaps(plan):
        strong.add(len(rows))
        rows.append((f"{VERDICT_WORDS[UNCHECKED]}: {item.id.replace('_', ' ')}: {item.missing}; {item.do}", "–", "–", "–"))
    if plan.air is not None:
        rows.append((f"Screening, air navigation: {plan.air.headline} {'; '.join(plan.air.sources[:1])}", "–", "–", "–"))
    columns = (
        Column("Check, its rule and source"), Column("Found", 19.0, "right"), Column("Asked for", 22.0, "right"), Column("Margin", 19.0, "right"),
    )  # fmt: skip
    return ruled(sheet, "Checks that a permit turns on", columns, rows, width_mm, frozenset(strong))


def distance_table(sheet: MapSheet, plan: Plan, ground: PermitGround | None, facts: PermitFacts, width_mm: float) -> Ruled | None:
    """From the base and the anchors to lines, roads, buildings; None where nothing is known."""
    rows = []
    for d in known_distances(plan, ground):
        to = (
            f"line, {'parcel ' + d.to if d.to else 'neighbour not drawn'}"
            if d.kind == "property_line"
            else d.kind.replace("_", " ")
        )
        if d.kind != "property_line" and d.to and d.to.lower() != to:
            to += f": {d.to}"
        rows.append((d.start, to, length(d.distance_m, facts.units), shown(d.bearing_deg, "bearing")))
    if not rows:
        return None
    columns = (
        Column("From", 17.0, "left", True),
        Column("To the nearest"),
        Column("Ground", 23.0, "right"),
        Column("True az.", 19.0, "right"),
    )
    error = plan.land.boundary_error_m
    title = "Distances" + (f"; property lines known to ± {length(error, facts.units)}" if error else "")
    return ruled(sheet, title, columns, rows, width_mm)


def lot_table(sheet: MapSheet, ground: PermitGround | None, facts: PermitFacts, width_mm: float) -> Ruled | None:
    """The sides of the own land's outline, by the numbers on the vicinity map; None without them."""
    if ground is None or not ground.lot_lines:
        return None
    rows = [(str(s.number), length(s.length_m, facts.units), shown(s.bearing_deg, "bearing")) for s in ground.lot_lines]
    columns = (
        Column("Side", 14.0, "left", True),
        Column("Length on the ground", 0.0, "right"),
        Column("True azimuth", 0.0, "right"),
    )
    title = "Sides of the lot, as drawn in the layer" + ("" if ground.is_whole_lot else ": NOT THE WHOLE LOT")
    return ruled(sheet, title, columns, rows, min(width_mm, 92.0))


def parcel_table(sheet: MapSheet, plan: Plan, ground: PermitGround | None, done: MapDrawing, width_mm: float) -> Ruled | None:
    """Owners of the parcels around, and the names that found no room on the map; None where there is nothing to say."""
    owners = {o.id: o.owner for o in known_outlines(plan, ground)[0] if o.kind == "parcel"}
    rows = []
    for name in sorted(owners, key=lambda n: (done.numbered.get(n, len(owners)), n)):
        number = f"({done.numbered[name]})" if name in done.numbered else "too small" if name in done.unnamed else "by its id"
        if number == "by its id" and name not in done.named:
            number = "off the map"
        if owners[name] or name in done.numbered or name in done.unnamed:
            rows.append((number, name, owners[name] or "–"))
    if not rows:
        return None
    first = fitting(sheet, Column("On the map", 0.0), [r[0] for r in rows])
    return ruled(
        sheet, "Parcels around", (first, Column("Parcel", 0.0, "left", True), Column("Owner, by the layer")), rows, width_mm
    )


def adjoining_table(sheet: MapSheet, facts: PermitFacts, width_mm: float) -> Ruled | None:
    """The adjoining owners as the applicant gives them; None without them."""
    if not facts.adjoining:
        return None
    return ruled(sheet, "Adjoining owners, as the applicant gives them", (Column(""),), [(t,) for t in facts.adjoining], width_mm)


def source_table(sheet: MapSheet, plan: Plan, ground: PermitGround | None, width_mm: float, why_scale: str) -> Ruled:
    """Where everything comes from, and what the map is not."""
    inputs = "; ".join(f"{i.path} ({i.sha256[:8]})" for i in plan.provenance.inputs)
    rows = [
        (
            "Not a survey",
            "NOT A BOUNDARY SURVEY. Property lines are drawn from the layer named here, not surveyed, and carry its errors.",
        ),
        ("Ground", f"{plan.terrain.dem}; heights: {height_words(plan)}"),
        *((layer.capitalize(), path) for layer, path in (ground.sources if ground else ())),
        ("Scale", why_scale),
        ("Files read", f"{inputs}; first digits of their SHA-256"),
        ("Lengths", "Horizontal on the ground; 1 ft = 0.3048 m. Grid length = ground length × combined factor."),
        *(("Warning", text) for text in plan.warnings),
        *(("Permit", d.text) for d in plan.land.permit_dates),
    ]
    return ruled(
        sheet, f"Sources and notes, {plan.provenance.plan_date}", (Column("", 23.0, "left", True), Column("")), rows, width_mm
    )


def text_lines(sheet: MapSheet, text: str, width_mm: float) -> list[str]:
    """A sentence on lines of this width at the map's type size."""
    return list(sheet.wrapped(text, width_mm, TEXT))
