"""The words of the map: verdicts, roles, and what the popups say of stakes, lines and areas."""

from __future__ import annotations

from siting.figures import shown
from siting.records.plan import Plan, Shape, Stake
from siting.records.survey import ControlPoint

Rows = list[tuple[str, str]]

NOT_A_SURVEY = "Calculated from a DEM. Not a survey, and no permission to lift."
VERDICT_WORDS = {"pass": "Pass", "marginal": "Marginal", "fail": "FAIL", "unchecked": "NOT CHECKED"}
STAKE_VERDICTS = {
    "pass": "Pass: every check that names it passes",
    "marginal": "Marginal: a check that names it is within its uncertainty of the limit",
    "fail": "FAIL: a check that names it fails",
    "unchecked": "NOT CHECKED: no check names it",
}
ROLES = {
    "base": "Base plate",
    "permanent": "Permanent anchor",
    "temporary": "Temporary anchor, for the lift only",
    "winch": "Winch anchor",
    "head": "Mast head before the lift",
    "offset": "Offset stake",
    "control": "Control point",
    "feature": "Physical feature",
}


def capital(text: str) -> str:
    """The text with a capital first letter, no unit."""
    return text[:1].upper() + text[1:]


def crs_name(plan: Plan) -> str:
    """The projected CRS as a reader sees it, no unit."""
    return f"EPSG:{plan.crs.epsg} {plan.crs.name}" if plan.crs.epsg else plan.crs.name


def azimuth_rows(true_deg: float, grid_deg: float, magnetic_deg: float | None) -> Rows:
    """The three azimuths of one direction, degrees."""
    return [
        ("Azimuth, true", shown(true_deg, "bearing")),
        ("Azimuth, grid", shown(grid_deg, "bearing")),
        ("Azimuth, magnetic", shown(magnetic_deg, "bearing")),
    ]


def stake_rows(plan: Plan, stake: Stake) -> Rows:
    """What the popup of a stake says below its title, units in the words."""
    rows = [
        ("Latitude", shown(stake.lat, "latlon")),
        ("Longitude", shown(stake.lon, "latlon")),
        ("Easting", f"{shown(stake.easting, 'coordinate', unit=False)} {plan.crs.unit}"),
        ("Northing", f"{shown(stake.northing, 'coordinate', unit=False)} {plan.crs.unit}"),
        ("CRS", crs_name(plan)),
        ("DEM height, not for grade", shown(stake.height_m, "coordinate")),
    ]
    if stake.role == "base":
        rows += [("Deg, min, sec", plan.base.dms), ("MGRS", plan.base.mgrs or "–")]
    else:
        rows += azimuth_rows(stake.azimuth_deg, stake.azimuth_grid_deg, stake.azimuth_magnetic_deg)
        rows += [
            ("Ground distance from base", shown(stake.radius_m, "coordinate")),
            ("Grid distance", shown(stake.grid_distance_m, "coordinate")),
            ("Above the base", shown(stake.above_base_m, "coordinate")),
        ]
    return [*rows, ("Slope of the ground", shown(stake.slope_percent, "percent")), ("Code", stake.code)]


def control_rows(plan: Plan, point: ControlPoint) -> Rows:
    """What the popup of the user's own point says below its title, units in the words."""
    return [
        ("Latitude", shown(point.lat, "latlon")),
        ("Longitude", shown(point.lon, "latlon")),
        ("Easting", f"{shown(point.easting, 'coordinate', unit=False)} {plan.crs.unit}"),
        ("Northing", f"{shown(point.northing, 'coordinate', unit=False)} {plan.crs.unit}"),
        ("CRS", crs_name(plan)),
        ("Height, as given", shown(point.height_m, "coordinate")),
        ("Azimuth from base, true", shown(point.azimuth_deg, "bearing")),
        ("Ground distance from base", shown(point.distance_m, "coordinate")),
        ("Code", point.code),
    ]


def laydown_rows(plan: Plan) -> Rows:
    """The laydown in figures, units in the words."""
    lay = plan.laydown
    return [
        *azimuth_rows(lay.azimuth_deg, lay.azimuth_grid_deg, lay.azimuth_magnetic_deg),
        ("Slope of the ground", shown(lay.slope_percent, "percent")),
        ("Slope of the rest line", f"{shown(lay.rest_slope_percent, 'percent')}, {shown(lay.rest_angle_deg, 'angle')}"),
        ("Largest gap (cribbing)", f"{shown(lay.max_gap_m, 'travel')} at {shown(lay.max_gap_at_m, 'length')} from the base"),
        ("Cross fall, right up +", shown(lay.cross_fall_percent, "percent")),
    ]


def _guy_rows(plan: Plan, shape: Shape) -> Rows:
    rows = []
    for guy in (guy for guy in plan.guys if guy.anchor == shape.id):
        size = f", {shown(guy.diameter_mm, 'diameter')} strand" if guy.diameter_mm is not None else ""
        chord = f"{shown(guy.chord_m, 'coordinate')} chord, {shown(guy.anchor_angle_deg, 'angle')} at the anchor{size}"
        rows.append((f"{shown(guy.attach_m, 'length')} up, {guy.use}", chord))
    for guy in (guy for guy in plan.lift.side_guys if guy.anchor == shape.id):
        text = f"{shown(guy.travel_m, 'travel')} ({shown(guy.shortest_m, 'travel')} to {shown(guy.longest_m, 'travel')})"
        rows.append((f"Travel in the lift, {shown(guy.attach_m, 'length')} up", text))
    return rows


def _boundary_rows(plan: Plan, _: Shape) -> Rows:
    land = plan.land
    rows = [
        ("Base to the boundary", shown(land.nearest_boundary_m, "length")),
        ("Azimuth, true", shown(land.nearest_boundary_bearing_deg, "bearing")),
        ("Across the line", land.nearest_neighbour or "not known"),
        ("Lines known to", f"± {shown(land.boundary_error_m, 'length')}"),
        ("Setback asked for", shown(land.setback_m, "length")),
    ]
    point = land.nearest_boundary_point
    if point is not None:
        rows.append(("Nearest point", f"{shown(point.lat, 'latlon')}, {shown(point.lon, 'latlon')}"))
    return rows


def _parcel_rows(plan: Plan, shape: Shape) -> Rows:
    rows = []
    for parcel in (parcel for parcel in plan.land.parcels_touched if parcel.id == shape.id):
        place = f"{shown(parcel.distance_m, 'length')} from the base, {shown(parcel.bearing_deg, 'bearing')} true"
        rows += [("Inside the fall circle", shown(parcel.area_m2, "area")), ("Nearest point", place)]
    return rows


def _lift_rows(plan: Plan, _: Shape) -> Rows:
    lift = plan.lift
    return [
        ("Smallest arm / gin pole", shown(lift.winch_arm_min_ratio, "ratio")),
        ("at a mast angle of", shown(lift.winch_arm_min_at_deg, "angle")),
        *_clear_rows(plan),
    ]


def _clear_rows(plan: Plan) -> Rows:
    """What the winch line and the gin pole keep of the ground below them over the whole lift."""
    clear = plan.statics.clearance if plan.statics else None
    if clear is None:
        return [("Over the ground", "not checked")]
    return [
        ("Winch line over the ground, least", shown(min(clear.line_clear_m), "travel")),
        ("Gin pole over the ground, least", shown(min(clear.pole_clear_m), "travel")),
    ]


def _circle_rows(plan: Plan, shape: Shape) -> Rows:
    land = plan.land
    if shape.kind == "setback":
        factor = f"{shown(land.setback_factor, 'ratio')} × total height {shown(plan.mast.total_height_m, 'length')}"
        return [("Setback", shown(land.setback_m, "length")), ("that is", factor)]
    if shape.kind == "anchor_circle":
        return [("Radius", shown(land.anchor_circle_m, "length")), ("through", "the outermost permanent anchors")]
    return [("Radius", shown(land.fall_radius_m, "length")), ("that is", "the total height of the mast")]


def _zone_rows(plan: Plan, shape: Shape) -> Rows:
    """Of a zone that the mast, its guys or its lift can reach: what it rests on, its size, and whose ground it is."""
    rows = []
    for zone in (zone for zone in plan.reach if zone.id == shape.id):
        rows += [("What it is", zone.what), ("Area", shown(zone.area_m2, "area"))]
        rows += [(f"Inside {parcel.id}{' (own)' if parcel.is_own else ''}", shown(parcel.area_m2, "area")) for parcel in zone.by_parcel]
        rows += [(capital(found.name or found.kind), f"{shown(found.distance_m, 'length')} from the base") for found in zone.obstacles]
        rows.append(("Source", zone.source))
    return rows


def _power_rows(plan: Plan, shape: Shape) -> Rows:
    """Of the place where the mast comes nearest to an overhead line."""
    rows = []
    for line in (line for line in plan.power_lines if line.name == shape.id):
        rows += [
            ("Verdict", VERDICT_WORDS[line.verdict]),
            ("Nearest that anything comes", shown(line.least_m, "length")),
            ("Asked for", shown(line.needed_m, "length")),
            ("This point", f"{shown(line.lat, 'latlon')}, {shown(line.lon, 'latlon')}"),
            ("From the base, true", shown(line.bearing_deg, "bearing")),
            ("In words", line.text),
            ("Source", line.source),
        ]
    return rows


def _move_rows(plan: Plan, _: Shape) -> Rows:
    """Of the shortest move of the base after which the rules of the land hold."""
    move = plan.move
    if move is None:
        return []
    return [
        ("Move", f"{shown(move.distance_m, 'length')} to {shown(move.bearing_deg, 'bearing')} true"),
        ("New base", f"{shown(move.lat, 'latlon')}, {shown(move.lon, 'latlon')}"),
        ("Easting", f"{shown(move.easting, 'coordinate', unit=False)} {plan.crs.unit}"),
        ("Northing", f"{shown(move.northing, 'coordinate', unit=False)} {plan.crs.unit}"),
        ("Laydown there, true", shown(move.azimuth_deg, "bearing")),
        ("Verdict there", VERDICT_WORDS[move.verdict]),
        ("In words", move.text),
    ]


SHAPE_ROWS = {
    "laydown": lambda plan, _: laydown_rows(plan),
    "guy": _guy_rows,
    "side_guy": _guy_rows,
    "winch_line": _lift_rows,
    "fall_zone": _circle_rows,
    "setback": _circle_rows,
    "anchor_circle": _circle_rows,
    "parcel": _parcel_rows,
    "own_land": _parcel_rows,
    "obstacle": lambda plan, shape: [],
    "boundary_tie": _boundary_rows,
    "move": _move_rows,
}
PREFIX_ROWS = {"zone_": _zone_rows, "reach_": _zone_rows, "power_": _power_rows}


def shape_rows(plan: Plan, shape: Shape) -> Rows:
    """What the popup of a line or an area says below its title, units in the words; nothing of an unknown kind."""
    by_prefix = (rows for prefix, rows in PREFIX_ROWS.items() if shape.kind.startswith(prefix))
    found = SHAPE_ROWS.get(shape.kind) or next(by_prefix, None)
    return found(plan, shape) if found else []
