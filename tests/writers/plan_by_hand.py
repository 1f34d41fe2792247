"""A plan made by hand for the writers' tests: invented site, every kind of shape, a failure, a gap, odd letters.

The ground is a plane that rises 8.5 % to azimuth 38, with a knoll on it. Nothing here comes from the planner.
"""

from __future__ import annotations

import math
from functools import cache

import numpy as np
from pyproj import Geod, Proj, Transformer

from siting.figures import rounded
from siting.records.findings import Check, Unchecked
from siting.records.ground import Backdrop, locked
from siting.records.plan import (
    Base,
    BoundaryPoint,
    Candidate,
    Dropped,
    GuyChord,
    InputFile,
    Land,
    Laydown,
    Lift,
    MastFacts,
    ObstacleTouched,
    ParcelTouched,
    Plan,
    PlanCrs,
    Profile,
    Provenance,
    RuledOut,
    RunnerUp,
    Shape,
    SideGuy,
    Stake,
    Terrain,
)

LAT, LON, BASE_HEIGHT_M = 46.5123, 7.4567, 1450.0
LAYDOWN_DEG, MAST_M, TOTAL_M, HINGE_M, GIN_POLE_M = 38.0, 80.0, 82.5, 0.3, 12.0
BOUNDARY_M = 78.3  # west of the base, square to azimuth 270
SETBACK_M = 1.1 * TOTAL_M
GEOD = Geod(ellps="WGS84")
TO_GRID = Transformer.from_crs("EPSG:4326", "EPSG:32632", always_xy=True)
FACTORS = Proj("EPSG:32632").get_factors(LON, LAT)
CONVERGENCE_DEG, POINT_SCALE = FACTORS.meridian_convergence, FACTORS.meridional_scale
DECLINATION_DEG = 3.24
# id: (role, turn from the laydown in degrees, radius in metres, code, description)
LAYOUT = {
    "A1": ("permanent", 60.0, 50.0, "GA", "Guy anchor"),
    "B1": ("permanent", 180.0, 50.0, "GA", "Guy anchor"),
    "C1": ("permanent", 300.0, 50.0, "GA", "Guy anchor"),
    "SL": ("temporary", 270.0, 45.0, "TA", "Side anchor left"),
    "SR": ("temporary", 90.0, 45.0, "TA", "Side anchor right"),
    "BK": ("temporary", 0.0, 96.0, "TA", "Back anchor"),
    "W1": ("winch", 180.0, 62.0, "WA", "Winch anchor"),
}
STAKE_VERDICTS = {"A1": "marginal", "BASE": "fail", "HEAD": "unchecked", "A1-O1": "unchecked"}


def _height_m(east_m, north_m):
    """Height of the invented ground, metres, at offsets from the base."""
    along = east_m * math.sin(math.radians(LAYDOWN_DEG)) + north_m * math.cos(math.radians(LAYDOWN_DEG))
    knoll = 1.6 * np.exp(-((east_m - 30.0) ** 2 + (north_m - 20.0) ** 2) / 800.0)
    return BASE_HEIGHT_M + 0.085 * along + knoll - 1.6 * math.exp(-1300.0 / 800.0)


def _offset(azimuth_deg, radius_m):
    """East and north of the base, metres."""
    turn = np.radians(azimuth_deg)
    return radius_m * np.sin(turn), radius_m * np.cos(turn)


def _radii_m() -> tuple[float, float]:
    """Radii of curvature at the base, in the meridian and across it, metres."""
    root = 1 - GEOD.es * math.sin(math.radians(LAT)) ** 2
    return GEOD.a * (1 - GEOD.es) / root**1.5, GEOD.a / math.sqrt(root)


def _lonlat(azimuth_deg: float, radius_m: float) -> tuple[float, float]:
    """The contract's place of a point: geodesic from the base, its length reduced by R/(R+h), degrees."""
    (m, n), turn = _radii_m(), math.radians(azimuth_deg)
    r = 1 / (math.cos(turn) ** 2 / m + math.sin(turn) ** 2 / n)
    lon, lat, _ = GEOD.fwd(LON, LAT, azimuth_deg, radius_m * r / (r + BASE_HEIGHT_M))
    return lon, lat


def _crs() -> PlanCrs:
    r = math.sqrt(math.prod(_radii_m()))
    lowered = r / (r + BASE_HEIGHT_M)
    return PlanCrs(
        32632, "WGS 84 / UTM zone 32N", "World Geodetic System 1984 ensemble", "not stated", "metre", 1.0, CONVERGENCE_DEG, POINT_SCALE, lowered, POINT_SCALE * lowered,
        DECLINATION_DEG, 0.38, "WMM2025 for 2027-03-15", "exact: the same datum",
    )  # fmt: skip


def _from_offset(east_m: float, north_m: float) -> tuple[float, float]:
    return _lonlat(math.degrees(math.atan2(east_m, north_m)) % 360.0, math.hypot(east_m, north_m))


def _circle(radius_m: float) -> tuple[tuple[float, float], ...]:
    ring = [_lonlat(-5.0 * step % 360.0, radius_m) for step in range(72)]  # anticlockwise
    return (*ring, ring[0])


def _stake(name: str, role: str, azimuth_deg: float, radius_m: float, code: str, description: str) -> Stake:
    lon, lat = _lonlat(azimuth_deg, radius_m)
    easting, northing = TO_GRID.transform(lon, lat)
    height = float(_height_m(*_offset(azimuth_deg, radius_m)))
    return Stake(
        id=name, point=name, role=role, code=code, description=description, lat=lat, lon=lon,
        easting=easting, northing=northing, height_m=height, ellipsoid_height_m=None, azimuth_deg=azimuth_deg,
        azimuth_grid_deg=(azimuth_deg - CONVERGENCE_DEG) % 360.0,
        azimuth_magnetic_deg=(azimuth_deg - DECLINATION_DEG) % 360.0,
        radius_m=radius_m, grid_distance_m=radius_m * _crs().combined_factor, above_base_m=height - BASE_HEIGHT_M,
        slope_percent=8.5, verdict=STAKE_VERDICTS.get(name, "pass"),
    )  # fmt: skip


def _stakes(head_m: float) -> tuple[Stake, ...]:
    stakes = [_stake("BASE", "base", 0.0, 0.0, "BP", "Base plate centre")]
    for name, (role, turn_deg, radius_m, code, text) in LAYOUT.items():
        stakes.append(_stake(name, role, (LAYDOWN_DEG + turn_deg) % 360.0, radius_m, code, f"{text} {name}"))
    stakes.append(_stake("HEAD", "head", LAYDOWN_DEG, head_m, "HD", "Mast head on the ground"))
    stakes.append(_stake("A1-O1", "offset", LAYDOWN_DEG + 60.0, 55.0, "OF", "Offset of A1 on the guy line"))
    return tuple(stakes)


def _profile() -> tuple[Profile, float, float, float]:
    """The profile, the rest line's slope as a ratio, the largest gap and where it is, metres."""
    s = np.arange(81.0)
    ground = _height_m(*_offset(LAYDOWN_DEG, s))
    hinge = ground[0] + HINGE_M
    rest = float(np.max((ground[1:] - hinge) / s[1:]))
    line = hinge + rest * s
    worst = int(np.argmax(line - ground))
    profile = Profile(s_m=tuple(s), ground_m=tuple(ground), rest_line_m=tuple(line))
    return profile, rest, float((line - ground)[worst]), float(s[worst])


def _laydown() -> Laydown:
    profile, rest, gap_m, gap_at_m = _profile()
    candidates = []
    for azimuth in range(0, 360, 10):
        ground = _height_m(*_offset(float(azimuth), np.arange(81.0)))
        slope = 100.0 * float(np.polyfit(np.arange(81.0), ground, 1)[0])
        used = max(slope / 15.0, 0.4) if slope >= -0.5 else 1.0 + (-0.5 - slope) / 15.0
        verdict = "pass" if used <= 1.0 else "fail"
        candidates.append(
            Candidate(float(azimuth), slope, slope + 1.0, used, verdict, "side_guy_travel:SR 78 m", 1.1, -0.8, 14.2, 0.7, 0.3, 31.5)
        )
    return Laydown(
        azimuth_deg=LAYDOWN_DEG, azimuth_grid_deg=LAYDOWN_DEG - CONVERGENCE_DEG,
        azimuth_magnetic_deg=LAYDOWN_DEG - DECLINATION_DEG, slope_percent=8.5, rest_slope_percent=100.0 * rest,
        rest_angle_deg=math.degrees(math.atan(rest)), max_gap_m=gap_m, max_gap_at_m=gap_at_m,
        cross_fall_percent=-0.8, worst_utilisation=0.8254, verdict="marginal", chosen_by="recommended", ground="slope",
        summary="Lay the mast to 38.00° true, up a slope of 8.5 %.",
        reasons=("The slope rises evenly there.", "The side anchors are nearly level with the hinge."),
        runners_up=(RunnerUp(50.0, 8.1, 1.31, "fail", "the travel of the side guy SR"),),
        ruled_out=(RuledOut(130.0, 310.0, "laydown_slope", "the ground falls away: downhill"),),
        dropped=(Dropped(220.0, "BK has no height: the DEM ends there"),),
        profile=profile, candidates=tuple(candidates),
    )  # fmt: skip


def _guys(stakes: tuple[Stake, ...]) -> tuple[GuyChord, ...]:
    heights = {stake.id: stake.height_m for stake in stakes}
    guys = []
    for name, (role, _, radius_m, _, _) in LAYOUT.items():
        for attach_m in (40.0, 78.0) if role != "winch" else ():
            rise = BASE_HEIGHT_M + HINGE_M + attach_m - heights[name]
            angle = math.degrees(math.atan2(rise, radius_m))
            diameter = 4.0 if role == "permanent" else None
            guys.append(GuyChord(name, attach_m, role, diameter, math.hypot(radius_m, rise), angle))
    return tuple(guys)


def _lift(stakes: tuple[Stake, ...], rest_deg: float) -> Lift:
    angles = np.append(rest_deg, np.arange(10.0, 91.0, 10.0))
    t = np.radians(angles)
    by_id = {stake.id: stake for stake in stakes}
    side_guys = []
    for name in ("SL", "SR"):
        across, below = by_id[name].radius_m, by_id[name].height_m - BASE_HEIGHT_M - HINGE_M
        for attach_m in (40.0, 78.0):
            length = np.sqrt((attach_m * np.cos(t)) ** 2 + across**2 + (attach_m * np.sin(t) - below) ** 2)
            low, high = int(np.argmin(length)), int(np.argmax(length))
            side_guys.append(SideGuy(name, attach_m, tuple(length), float(np.ptp(length)), float(length[low]),
                                     float(angles[low]), float(length[high]), float(angles[high])))  # fmt: skip
    tip = np.array([-GIN_POLE_M * np.sin(t), GIN_POLE_M * np.cos(t)])
    winch = np.array([[-62.0], [by_id["W1"].height_m - BASE_HEIGHT_M - HINGE_M]])
    line = winch - tip
    arm = (tip[1] * line[0] - tip[0] * line[1]) / -np.hypot(*line)
    pull = 12.0 * MAST_M * 9.80665 * MAST_M / 2 * np.cos(t) / arm / 1000.0
    pulls = tuple(float(p) if a > 0 else None for p, a in zip(pull, arm, strict=True))
    least = int(np.argmin(np.where(angles <= 80.0, arm, np.inf)))
    return Lift(tuple(angles), tuple(side_guys), pulls, tuple(arm), float(arm[least]) / GIN_POLE_M, float(angles[least]))


def _land() -> Land:
    lon, lat = _lonlat(270.0, BOUNDARY_M)
    easting, northing = TO_GRID.transform(lon, lat)
    r, d = TOTAL_M, BOUNDARY_M
    segment = r * r * math.acos(d / r) - d * math.sqrt(r * r - d * d)
    return Land(
        fall_radius_m=TOTAL_M, setback_m=SETBACK_M, setback_factor=1.1, anchor_circle_m=50.0, own=("12-004 Süd",),
        nearest_boundary_m=BOUNDARY_M, nearest_boundary_bearing_deg=270.0,
        nearest_boundary_point=BoundaryPoint(lat, lon, easting, northing), nearest_neighbour="12-005 Ödland",
        boundary_error_m=1.5, parcels_touched=(ParcelTouched("12-005 Ödland", segment, BOUNDARY_M, 270.0),),
        obstacles_touched=(ObstacleTouched("road", 70.0, 180.0, "Čierna cesta ≤ 3.5 t"),),
    )  # fmt: skip


def _checks(laydown: Laydown, lift: Lift) -> tuple[Check, ...]:
    own = "common practice, no source"
    county = "Toquerville UT 10-26-6 (met towers), as an example: check your local code"
    gap, rest, arm = laydown.max_gap_m, laydown.rest_slope_percent, lift.winch_arm_min_ratio
    travel = lift.side_guys[-1].travel_m
    checks = (
        Check("setback:12-005 Ödland", "setback", "Base to the boundary", BOUNDARY_M, SETBACK_M, "m", True,
              SETBACK_M / BOUNDARY_M, 1.5, "fail", county, "towards 12-005 Ödland, 270.00° true"),
        Check("winch_arm", "winch_arm", "Smallest arm of the winch line", arm, 0.1, "ratio", True, 0.1 / arm, 0.0,
              "pass", own, "at 80° of the lift"),
        Check("gap", "gap", "Largest gap under the mast", gap, 3.0, "m", False, gap / 3.0, 0.6, "marginal",
              "user", f"{laydown.max_gap_at_m:.0f} m from the base"),
        Check("rest_slope", "rest_slope", "Slope of the rest line", rest, 20.0, "%", False, rest / 20.0, 0.9, "pass",
              own, "along the laydown"),
        Check("side_guy_travel:SR 78 m", "side_guy_travel", "Travel of the side guy SR", travel, 1.0, "m", False,
              travel, 0.1, "pass", own, "guy to SR, attached 78 m up"),
    )  # fmt: skip
    return tuple(sorted(checks, key=lambda check: -check.utilisation))


def _shapes(stakes: tuple[Stake, ...]) -> tuple[Shape, ...]:
    by_id = {stake.id: (stake.lon, stake.lat) for stake in stakes}
    base = by_id["BASE"]

    def area(kind, name, label, ring):
        return Shape(kind, name, label, "Polygon", (tuple(ring),))

    def line(kind, name, label, *points):
        return Shape(kind, name, label, "LineString", (tuple(points),))

    own = [_from_offset(e, n) for e, n in ((-BOUNDARY_M, -140), (170, -150), (160, 150), (-BOUNDARY_M, 140))]
    west = [_from_offset(e, n) for e, n in ((-220, -140), (-BOUNDARY_M, -140), (-BOUNDARY_M, 140), (-220, 150))]
    house = [_from_offset(e, n) for e, n in ((118, -90), (132, -90), (132, -78), (118, -78))]
    road = [_from_offset(e, n) for e, n in ((-200, -70), (0, -70), (170, -82))]
    shapes = [
        area("parcel", "12-005 Ödland", "Parcel 12-005 Ödland", [*west, west[0]]),
        area("own_land", "12-004 Süd", "Own land 12-004 Süd", [*own, own[0]]),
        area("setback", "setback", "Setback 90.75 m", _circle(SETBACK_M)),
        area("fall_zone", "fall_zone", "Fall zone 82.50 m", _circle(TOTAL_M)),
        area("anchor_circle", "anchor_circle", "Anchor circle 50.00 m", _circle(50.0)),
        area("obstacle", "building:1", "building Hütte", [*house, house[0]]),
        line("obstacle", "road:1", "road Čierna cesta ≤ 3.5 t", *road),
        line("laydown", "laydown", "Laydown 38.00° true", base, by_id["HEAD"]),
        line("boundary_tie", "12-005 Ödland", "Base to boundary 78.30 m", base, _lonlat(270.0, BOUNDARY_M)),
        line("winch_line", "W1", "Winch line", base, by_id["W1"]),
    ]
    for name, (role, *_) in LAYOUT.items():
        for attach_m in (40, 78) if role != "winch" else ():
            shapes.append(line("guy", name, f"Guy {name} at {attach_m} m ({role})", base, by_id[name]))
    for name in ("SL", "SR"):
        shapes.append(line("side_guy", name, f"Side guy {name}", base, by_id[name]))
    return tuple(shapes)


def _backdrop() -> Backdrop:
    """Shade and contours of the invented ground, 300 m around the base; contours as the plane has them."""
    west, north = _from_offset(-300.0, 300.0)
    east, south = _from_offset(300.0, -300.0)
    e, n = np.meshgrid(np.linspace(-300, 300, 120), np.linspace(300, -300, 120))
    dn, de = np.gradient(_height_m(e, n), 600 / 119)
    shade = np.clip(180 + 900 * (-de + -dn) / 2, 1, 255).astype(np.uint8)
    shade[:6, :6] = 0  # a hole in the data
    contours = []
    for step in range(-10, 11):
        along = 2.0 * step / 0.085
        ends = [_offset(LAYDOWN_DEG, along), _offset(LAYDOWN_DEG + 90.0, 250.0)]
        points = [(ends[0][0] + k * ends[1][0], ends[0][1] + k * ends[1][1]) for k in (-1.0, -0.5, 0.0, 0.5, 1.0)]
        contours.append((BASE_HEIGHT_M + 2.0 * step, tuple(_from_offset(*point) for point in points)))
    return Backdrop(locked(shade), west, south, east, north, tuple(contours), 2.0)


@cache
def make_plan() -> Plan:
    """The plan, rounded as the planner rounds it. It fails, and one thing is unchecked."""
    laydown = _laydown()
    head_m = MAST_M * math.cos(math.radians(laydown.rest_angle_deg))
    stakes = _stakes(head_m)
    lift = _lift(stakes, laydown.rest_angle_deg)
    easting, northing = TO_GRID.transform(LON, LAT)
    plan = Plan(
        name="Grüße ≤ Kestrel Ridge M1", verdict="fail",
        headline="The base stands 12.45 m too near to the boundary; overhead lines were not checked.",
        base=Base(LAT, LON, easting, northing, BASE_HEIGHT_M, 8.5, 38.0, "46°30'44.280\"N 7°27'24.120\"E",
                  "32TLS8160752127", "46.5123, 7.4567"),
        crs=_crs(),
        terrain=Terrain(dem="dem.tif", crs="EPSG:32632", transformation="exact: the same datum", cell_m=(2.0, 2.0),
                        unit="m, the file's own", vertical_datum="none stated", geoid="none given", blank_elevation=False),
        mast=MastFacts("Gittermast 80 ≤ Ø", "lattice", MAST_M, TOTAL_M, HINGE_M, 3.0, GIN_POLE_M, 960.0, True,
                       "Generic: use the maker's drawing."),
        laydown=laydown, stakes=stakes, guys=_guys(stakes), lift=lift, land=_land(),
        checks=_checks(laydown, lift), unchecked=("overhead_lines",),
        unchecked_detail=(Unchecked("overhead_lines", "no layer of overhead lines was given",
                                    "give one under [land] obstacles"),),
        warnings=("The DEM names no vertical datum: heights are not for grade.",),
        notes=("One ring of parcel 12-005 Ödland was closed.",),
        cautions=("This is a calculation, not a survey.", "Look for overhead lines on site before you set out."),
        shapes=_shapes(stakes),
        provenance=Provenance("7f3a9c21d4", "0.1.0", "2027-03-15",
                              (InputFile("site.toml", "ab" * 32, "the whole file"),
                               InputFile("dem.tif", "cd" * 32, "the heights that were read")),
                              ("Azimuths are clockwise from true north.", "Distances are horizontal, on the ground.")),
        backdrop=_backdrop(),
    )  # fmt: skip
    return rounded(plan)
