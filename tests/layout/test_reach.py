"""Fall reach, parted guys and the lift's zones against formulas, brute force and a simulated fall."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from lift.rigs import BASE_M, ground_m, mast
from strategies import LAT, LON, box_en, ground_polygon, plan_of, ready_folder, seeds, surface_of, whole_degrees, write_layer
from synthetic import plane, rough_ground
from writers.lift_plans import DEMO, demo

from siting.geodesy.frames import frame_at
from siting.inputs.site_file import read_site
from siting.layout.footprint import GroundFeature
from siting.layout.lift_zones import LiftZoneSettings, lift_zones
from siting.layout.reach import (
    RayGround,
    Stance,
    fall_reach,
    ground_around,
    guy_whips,
    longest_guy_m,
    outline,
    swept_by_guy_m,
)
from siting.layout.reach_zones import ReachLand, farthest_zone_m, reach_zones
from siting.planning.land import read_land
from siting.writers.lift.words import zones

H = 60.9
AZIMUTHS = np.arange(360.0)
S = np.linspace(0.0, H, 123)
EAST, NORTH = np.sin(np.radians(AZIMUTHS)), np.cos(np.radians(AZIMUTHS))
FRAME = frame_at(LAT, LON, BASE_M, None, "test")
NO_LAND = ReachLand(None, (), ())


def rays(height) -> RayGround:
    """Ground of a function of metres east and north, above the base's ground, by each whole degree."""
    z = height(S[None, :] * EAST[:, None], S[None, :] * NORTH[:, None])
    return RayGround(AZIMUTHS, S, BASE_M + z)


def broken(seed: int, wildness: float) -> RayGround:
    """Ground that jumps about from sample to sample, straight between them."""
    dice = np.random.default_rng(seed)
    z = dice.normal(0.0, wildness, (8, 31)) + dice.normal(0.0, 0.3, (8, 1)) * np.linspace(0.0, H, 31)
    z[:, 0] = 0.0
    return RayGround(np.arange(0.0, 360.0, 45.0), np.linspace(0.0, H, 31), BASE_M + z)


# --- the fall -----------------------------------------------------------------------------------------------------


def test_on_flat_ground_the_fall_is_the_circle():
    found = fall_reach(rays(lambda e, n: 0.0 * e), BASE_M, H)
    assert (found.reach_m == H).all() and (found.tip_m == H).all() and found.is_known.all()
    assert np.abs(found.tip_above_m).max() < 1e-9
    area = outline(found.reach_m, AZIMUTHS, 1.3, is_same_area=True)
    assert area.area == pytest.approx(math.pi * H**2, rel=1e-12)
    assert np.hypot(*np.array(outline(found.reach_m, AZIMUTHS, 1.3).exterior.coords).T).max() <= H * (1 + 1e-15)


@given(st.floats(-1.5, 1.5), st.floats(-1.5, 1.5))
def test_on_a_plane_r_solves_r2_times_1_plus_s2(east, north):
    found = fall_reach(rays(lambda e, n: east * e + north * n), BASE_M, H)
    slope = east * EAST + north * NORTH
    assert found.reach_m == pytest.approx(H / np.sqrt(1.0 + slope**2), abs=1e-9)
    assert found.tip_m == pytest.approx(found.reach_m, abs=1e-9)
    assert np.abs(found.tip_above_m).max() < 1e-8


@given(seeds, st.sampled_from([0.0, 1.0, 8.0, 60.0, 400.0]))
@settings(max_examples=60)
def test_no_ground_lets_the_mast_reach_beyond_its_height(seed, wildness):
    found = fall_reach(broken(seed, wildness), BASE_M, H)
    assert (found.reach_m <= H).all() and (found.tip_m <= H).all() and (found.reach_m > 0.0).all()
    assert (found.tip_above_m > -1e-6).all()  # the tip comes to rest on the ground or over it, never in it


@given(seeds, st.sampled_from([0.5, 3.0, 15.0, 60.0]))
@settings(max_examples=20)
def test_rough_ground_by_brute_force(seed, wildness):
    """The farthest of very many points within the height, and the first angle at which the falling mast touches one."""
    ground = broken(seed, wildness)
    found = fall_reach(ground, BASE_M, H)
    r = np.linspace(0.0, H, 200_001)[1:]
    for k in range(ground.azimuths_true_deg.size):
        z = np.interp(r, ground.s_m, ground.ground_m[k]) - BASE_M
        inside = np.hypot(r, z) <= H
        assert found.reach_m[k] == pytest.approx(r[inside].max(), abs=4e-4)
        angle = np.arctan2(z[inside], r[inside]).max()
        # Where the ground stands nearly upright a step of the dice is centimetres of it.
        assert found.tip_m[k] == pytest.approx(H * math.cos(angle), abs=0.03)


def test_a_wall_holds_the_mast_up():
    """10 m high, 20 m away, level behind: the mast lies on its edge, its tip in the air; the ground behind is within its length."""
    ground = RayGround(np.array([0.0]), np.array([0.0, 19.999, 20.0, 20.001, H]), BASE_M + np.array([[0.0, 0.0, 10.0, 0.0, 0.0]]))
    found = fall_reach(ground, BASE_M, H)
    lean = math.atan2(10.0, 20.0)
    assert found.reach_m[0] == pytest.approx(H)
    assert found.tip_m[0] == pytest.approx(H * math.cos(lean), abs=1e-9)
    assert found.tip_above_m[0] == pytest.approx(H * math.sin(lean), abs=1e-9)


def test_beyond_a_cliff_the_ground_is_out_of_reach_but_the_tip_is_not():
    ground = RayGround(np.array([0.0]), np.array([0.0, 30.0, 30.001, H]), BASE_M + np.array([[0.0, 0.0, -200.0, -200.0]]))
    found = fall_reach(ground, BASE_M, H)
    assert found.reach_m[0] == pytest.approx(30.0, abs=0.001)
    assert (found.tip_m[0], found.tip_above_m[0]) == (H, pytest.approx(200.0))


def test_missing_ground_makes_the_reach_the_whole_height():
    z = np.tile(-0.8 * S, (2, 1))
    z[0, 40] = np.nan
    found = fall_reach(RayGround(np.array([0.0, 90.0]), S, BASE_M + z), BASE_M, H)
    assert found.is_known.tolist() == [False, True]
    assert (found.reach_m[0], found.tip_m[0]) == (H, H) and found.reach_m[1] < 0.8 * H
    assert math.isnan(found.tip_above_m[0])


def test_an_outline_lies_to_grid_north_as_layers_do():
    """Grid azimuth = true azimuth - convergence."""
    radii = np.full(360, 10.0)
    radii[90] = 50.0
    corners = np.array(outline(radii, AZIMUTHS, 4.0).exterior.coords)
    east, north = corners[np.argmax(np.hypot(*corners.T))]
    assert math.degrees(math.atan2(east, north)) == pytest.approx(86.0)


# --- parted guys --------------------------------------------------------------------------------------------------


def test_on_level_ground_a_guy_parted_at_its_anchor_sweeps_the_circle_through_it():
    made = mast()
    stance = Stance(30.0, 0.0, BASE_M, ground_m(made))
    level = RayGround(AZIMUTHS, np.linspace(0.0, 100.0, 101), np.full((360, 101), BASE_M))
    found = {w.anchor: w for w in guy_whips(made, stance, level, FRAME)}
    assert set(found) == set("ABCRLK")  # the winch anchor holds no guy
    for anchor in made.anchors[:-1]:
        whip = found[anchor.id]
        assert whip.length_m == pytest.approx(math.hypot(anchor.radius_m, 58.3))
        assert whip.mast_reach_m == pytest.approx(anchor.radius_m, abs=1e-9)
        assert whip.about_mast.area == pytest.approx(math.pi * anchor.radius_m**2, rel=1e-9)
        assert whip.about_anchor.area == pytest.approx(math.pi * whip.length_m**2, rel=1e-9)
        turn = math.radians(30.0 + anchor.bearing_deg - FRAME.convergence_deg)
        middle = whip.about_anchor.centroid
        assert (middle.x, middle.y) == pytest.approx(
            (anchor.radius_m * math.sin(turn), anchor.radius_m * math.cos(turn)), abs=1e-6
        )
    assert longest_guy_m(made, stance) == pytest.approx(math.hypot(66.0, 58.3))


@given(seeds)
@settings(max_examples=10)
def test_guys_on_rough_ground_by_brute_force(seed):
    """Every guy of an anchor, not its highest and lowest alone."""
    dice = np.random.default_rng(seed)
    s = np.linspace(0.0, 110.0, 56)
    ground = RayGround(AZIMUTHS[::30], s, BASE_M + np.cumsum(dice.normal(0.0, 1.0, (12, 56)), axis=1))
    made = mast()
    stance = Stance(0.0, 0.0, BASE_M, {a.id: BASE_M + float(dice.normal(0.0, 5.0)) for a in made.anchors})
    r = np.linspace(0.0, 110.0, 110_001)
    for whip in guy_whips(made, stance, ground, FRAME):
        radius = next(a.radius_m for a in made.anchors if a.id == whip.anchor)
        farthest = 0.0
        for k in range(12):
            z = np.interp(r, s, ground.ground_m[k])
            for level in made.guys:
                if whip.anchor in level.anchors:
                    top = BASE_M + 0.3 + level.attach_m
                    length = math.hypot(radius, top - stance.anchor_m[whip.anchor])
                    farthest = max(farthest, r[np.hypot(r, z - top) <= length].max())
        assert whip.mast_reach_m == pytest.approx(farthest, abs=2e-3)


@given(seeds, st.floats(5.0, 58.0), st.floats(0.5, 40.0))
def test_a_parted_guy_never_lands_beyond_its_length(seed, attach, more):
    found = swept_by_guy_m(broken(seed, 5.0), BASE_M + attach, attach + more if attach + more < H else H)
    assert (found <= min(attach + more, H)).all() and (found >= 0.0).all()


# --- the lift's zones ---------------------------------------------------------------------------------------------


def test_zones_of_the_lift_have_the_areas_of_their_formulas():
    made = mast()
    found = {z.id: z for z in lift_zones(made, 77.0, FRAME, LiftZoneSettings())}
    assert list(found) == ["laydown_corridor", "tilt_sector", "side_guys", "back_guys", "behind_hinge", "winch_line"]
    half = math.pi * made.total_height_m**2 / 2
    assert found["tilt_sector"].area.area == pytest.approx(half, rel=1e-9)
    assert found["behind_hinge"].area.area == pytest.approx(half, rel=1e-9)
    round_end = math.pi * 5.0**2 / 2  # at the base
    assert found["laydown_corridor"].area.area == pytest.approx(10.0 * made.total_height_m + round_end, abs=0.01)
    assert found["winch_line"].area.area == pytest.approx(10.0 * 1.5 * 64.0 + round_end, abs=0.01)
    assert found["side_guys"].area.area == pytest.approx(10.0 * 1.5 * 72.0, abs=0.01)


def test_zones_of_the_lift_lie_where_the_anchors_stand():
    made = mast()
    turned = tuple(
        replace(a, bearing_deg={"R": 75.0, "K": 20.0, "W": 170.0}.get(a.id, a.bearing_deg)) for a in made.anchors if a.id != "L"
    )
    found = {z.id: z.area for z in lift_zones(replace(made, anchors=turned), 40.0, FRAME, LiftZoneSettings())}

    def at(bearing_deg: float, radius_m: float) -> shapely.Point:
        turn = math.radians(40.0 + bearing_deg - FRAME.convergence_deg)
        return shapely.Point(radius_m * math.sin(turn), radius_m * math.cos(turn))

    for zone, bearing, radius in (("side_guys", 75.0, 36.0), ("back_guys", 20.0, 66.0), ("winch_line", 170.0, 64.0)):
        assert found[zone].covers(at(bearing, 1.49 * radius)) and not found[zone].covers(at(-bearing, radius)), zone
    assert found["laydown_corridor"].covers(at(0.0, 60.8)) and not found["laydown_corridor"].covers(at(180.0, 20.0))
    assert found["tilt_sector"].covers(at(0.0, 60.0)) and not found["tilt_sector"].covers(at(180.0, 60.0))
    assert found["behind_hinge"].covers(at(180.0, 60.0)) and not found["behind_hinge"].covers(at(0.0, 60.0))


def test_side_anchors_off_the_axis_set_the_tilt_sector_and_without_both_it_is_a_half_circle():
    made = mast()
    turned = tuple(replace(a, bearing_deg={"R": 100.0, "L": 275.0}.get(a.id, a.bearing_deg)) for a in made.anchors)
    sector = next(z for z in lift_zones(replace(made, anchors=turned), 0.0, FRAME, LiftZoneSettings()) if z.id == "tilt_sector")
    assert sector.area.area == pytest.approx(math.pi * made.total_height_m**2 * 185.0 / 360.0, rel=1e-9)
    one = replace(made, anchors=tuple(a for a in made.anchors if a.id != "L"))
    sector = next(z for z in lift_zones(one, 0.0, FRAME, LiftZoneSettings()) if z.id == "tilt_sector")
    assert "no side anchor on both sides" in sector.what


def test_a_margin_is_added_on_every_side_and_takes_nothing_away():
    plain = lift_zones(mast(), 12.0, FRAME, LiftZoneSettings())
    wide = lift_zones(mast(), 12.0, FRAME, LiftZoneSettings(margin_m=3.0))
    for narrow, wider in zip(plain, wide, strict=True):
        assert wider.area.covers(narrow.area) and "margin of 3 m" in wider.what
        assert narrow.area.boundary.distance(wider.area.boundary) == pytest.approx(3.0, abs=0.01)


def test_names_and_radii_are_those_of_the_lift_sheet():
    """The sheet prints its zones from the plan alone; here they come from the mast: they must agree."""
    plan, made = demo(), read_site(DEMO).mast
    mine = {z.title: z.radius_m for z in lift_zones(made, plan.laydown.azimuth_deg, FRAME, LiftZoneSettings())}
    mine["Fall circle"] = made.total_height_m
    sheet = {z.name: z.figure for z in zones(plan)}
    assert len(sheet) >= 6
    assert {name: f"{mine[name]:.2f} m" for name in sheet} == sheet
    assert set(mine) - set(sheet) == {"Laydown"}


# --- against the land, on a real plan -------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def rough_place(tmp_path_factory):
    folder = ready_folder(
        tmp_path_factory.mktemp("reach"), rough_ground(3, amplitude_m=3.0, slope_percent=8.0), half_width_m=170.0
    )
    surface = surface_of(folder / "dem.tif")
    base_m = float(surface.heights_m(*(np.array([v]) for v in surface.frame.colrow(np.array(LON), np.array(LAT))))[0])
    return surface, base_m


def stance_on(surface, base_m: float, made, laydown_deg: float) -> Stance:
    ground = ground_around(surface, base_m, 110.0)
    index = {a.id: int(laydown_deg + a.bearing_deg) % 360 for a in made.anchors}
    return Stance(
        laydown_deg, 0.05, base_m,
        {a.id: float(np.interp(a.radius_m, ground.s_m, ground.ground_m[index[a.id]])) for a in made.anchors},
    )  # fmt: skip


def parcel(name: str, area, owner: str = "") -> GroundFeature:
    return GroundFeature(name, "parcel", name, area, 0.0, (0.0, 0.0), owner=owner)


def test_areas_by_parcel_add_up_and_name_the_owner(rough_place):
    surface, base_m = rough_place
    made = mast()
    land = ReachLand(
        (parcel("own", shapely.box(-400, -20, 400, 400), "Aunt May"), parcel("south", shapely.box(-400, -400, 0, -20)),
         parcel("south", shapely.box(0, -400, 10, -20), "Uncle Ben")),
        ("own",),
        (GroundFeature("r", "road", "Lane", shapely.LineString([(-300, -40), (300, -40)]), 40.0, (0.0, -40.0)),
         GroundFeature("b", "building", "Barn", shapely.box(200, 200, 210, 210), 283.0, (200.0, 200.0))),
    )  # fmt: skip
    found = {z.id: z for z in reach_zones(made, stance_on(surface, base_m, made, 40.0), surface, FRAME, land)}
    for zone in found.values():
        assert sum(p.area_m2 for p in zone.by_parcel) + zone.no_parcel_m2 == pytest.approx(zone.area_m2, abs=1.0)
        assert shapely.Polygon(zone.rings[0], zone.rings[1:]).is_valid
        assert shapely.is_ccw(shapely.LinearRing(zone.rings[0]))
    fall = found["fall_circle"]
    own, south = fall.by_parcel
    segment_m2 = H**2 * math.acos(20.0 / H) - 20.0 * math.sqrt(H**2 - 20.0**2)  # of a circle beyond a chord
    assert (own.id, own.owner, own.is_own) == ("own", "Aunt May", True)
    assert own.area_m2 == pytest.approx(math.pi * H**2 - segment_m2, abs=0.1)
    assert (south.id, south.owner, south.is_own) == ("south", "Uncle Ben", False)
    assert south.area_m2 + fall.no_parcel_m2 == pytest.approx(segment_m2, abs=0.1)
    assert [(o.kind, o.name, o.distance_m) for o in fall.obstacles] == [("road", "Lane", 40.0)]
    assert all("Barn" not in [o.name for o in z.obstacles] for z in found.values())


def test_without_parcels_nothing_is_said_of_them(rough_place):
    surface, base_m = rough_place
    found = reach_zones(mast(), stance_on(surface, base_m, mast(), 0.0), surface, FRAME, NO_LAND)
    assert all((z.by_parcel, z.no_parcel_m2, z.obstacles) == ((), None, ()) for z in found)
    assert [z.id for z in found if z.is_rule] == ["fall_circle"]


@given(whole_degrees)
@settings(max_examples=8)
def test_every_zone_stays_within_what_the_layers_are_read_to(rough_place, laydown):
    surface, base_m = rough_place
    made = mast()
    for zone in reach_zones(made, stance_on(surface, base_m, made, laydown), surface, FRAME, NO_LAND):
        lon, lat = np.array(zone.rings[0]).T
        assert np.hypot(*FRAME.ground_xy(lon, lat)).max() <= farthest_zone_m(made) + 0.1
        if zone.id in ("fall_circle", "fall_on_ground", "tip_lands"):
            assert np.hypot(*FRAME.ground_xy(lon, lat)).max() <= H + 0.001


@given(whole_degrees, st.integers(0, 10_000))
@settings(max_examples=10)
def test_every_point_of_a_simulated_fall_lies_in_the_keep_out(rough_place, laydown, seed):
    """A mast that gets loose at any angle of the lift, to either side or over the hinge: each of its points, guys' and line's ends."""
    surface, base_m = rough_place
    made, dice = mast(), np.random.default_rng(seed)
    found = {z.id: z for z in reach_zones(made, stance_on(surface, base_m, made, laydown), surface, FRAME, NO_LAND)}
    lon, lat = np.array(found["keep_out"].rings[0]).T
    keep_out = shapely.Polygon(np.column_stack(FRAME.ground_xy(lon, lat))).buffer(0.05)  # the outline leaves corners out
    size = 400
    along = dice.uniform(0.0, made.total_height_m, size)
    azimuth, lean = dice.uniform(0, 2 * math.pi, size), dice.uniform(-0.3, math.pi / 2, size)
    plan = along * np.cos(lean)
    assert shapely.contains_xy(keep_out, plan * np.sin(azimuth), plan * np.cos(azimuth)).all()
    for anchor in made.anchors:
        if anchor.use != "permanent":
            turn = math.radians(laydown + anchor.bearing_deg - FRAME.convergence_deg)
            r = np.linspace(0.0, 1.5 * anchor.radius_m, 50)
            assert shapely.contains_xy(keep_out, r * math.sin(turn), r * math.cos(turn)).all()


@pytest.mark.parametrize("slope_percent", [0.0, 14.0])
def test_no_computed_reach_makes_setback_or_fall_zone_smaller(tmp_path, slope_percent):
    """On a whole plan: the steeper the ground the less of it a stiff mast reaches; rule, limits and land stay as they are."""
    folder = ready_folder(tmp_path, plane(slope_percent, 40.0), half_width_m=170.0)
    own, south = box_en(-200, -50, 200, 200), box_en(-200, -250, 200, -50)
    write_layer(folder / "p.gpkg", [ground_polygon(own, 500.0), ground_polygon(south, 500.0)], {"pin": ["own", "south"]})
    plan = plan_of(folder, land={"parcels": "p.gpkg", "parcel_id_field": "pin", "own": ["own"]})
    site = read_site(folder / "site.toml")
    made, height_m, base_m = site.mast, plan.mast.total_height_m, plan.base.height_m
    frame = frame_at(LAT, LON, base_m, None, "test")
    near = read_land(site, frame)
    land = ReachLand((parcel("own", near.own.area), *near.parcels), ("own",), ())
    stance = Stance(
        plan.laydown.azimuth_deg, math.radians(plan.laydown.rest_angle_deg), base_m, {s.id: s.height_m for s in plan.stakes}
    )
    found = {z.id: z for z in reach_zones(made, stance, surface_of(folder / "dem.tif"), frame, land)}
    fall, reached = found["fall_circle"], found["fall_on_ground"]

    assert plan.land.fall_radius_m == height_m == fall.radius_m
    assert plan.land.setback_m == pytest.approx(plan.land.setback_factor * height_m, abs=1e-3)
    limits = {c.id: c.limit for c in plan.checks}
    assert (limits["fall_zone"], limits["setback"]) == (height_m, pytest.approx(1.1 * height_m, abs=1e-3))
    assert [z.id for z in found.values() if z.is_rule] == ["fall_circle"]
    assert fall.area_m2 == pytest.approx(math.pi * height_m**2, rel=1e-9)
    (touched,) = plan.land.parcels_touched
    assert [(p.id, round(p.area_m2, 1)) for p in fall.by_parcel if not p.is_own] == [("south", touched.area_m2)]

    assert reached.area_m2 <= fall.area_m2 + 1e-6 <= found["keep_out"].area_m2 + 2e-6
    assert (reached.area_m2 < fall.area_m2 - 50.0) == (slope_percent > 0.0)
    assert "no setback" in reached.what
