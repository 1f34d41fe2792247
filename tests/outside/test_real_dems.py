"""Plans on real ground: open DEMs out of other people's packages, against a plane fit and the naive second plan.

Sources: the DEMs of open_data.py (package, version, hash, licence there). The table of base points was made
independently of siting: a least-squares plane over the bilinear heights of a 60 m disc, with its rms misfit. The
naive second plan is tests/naive/twin.py, written from the contract's words alone. Heights are the file's own numbers
taken as metres. Angles in degrees from true north; lengths in metres; slopes in percent.
"""

import math
from functools import cache

import pytest
from outside.open_data import jacksboro_tif, open_file
from synthetic import write_mast
from twin import twin_plan
from twin_choose import rank_azimuths

from siting.inputs.site_file import site_from_options
from siting.planner import make_plan

# (DEM, lat, lon, slope, uphill azimuth, rms) of the plane over 60 m; bases with a rms over 1 m have no one direction.
PLANE_FITS = (
    ("colorado", 38.992956, -107.060100, 5.6, 239.4, 0.6),
    ("colorado", 38.953724, -107.072663, 13.5, 39.6, 0.8),
    ("rocky_mountain", 40.217938, -105.841863, 2.3, 148.1, 0.0),
    ("rocky_mountain", 40.337948, -105.527343, 7.7, 166.2, 0.0),
    ("luxembourg", 49.590711, 6.202545, 2.8, 77.0, 0.0),
    ("luxembourg", 49.689821, 6.155748, 4.3, 68.0, 0.0),
    ("luxembourg", 49.569252, 6.262308, 10.9, 227.2, 0.1),
    ("olinda", -8.010467, -34.869059, 2.3, 237.4, 0.1),
    ("olinda", -7.961392, -34.889336, 16.0, 298.0, 0.5),
    ("jacksboro", 36.573892, -84.347205, 7.3, 15.0, 0.3),
    ("jacksboro", 36.519635, -84.140663, 13.1, 85.3, 0.3),
)
FIT_DEG = 5.0  # stated with the table, for a rms below 1 m
DISC_M = 60.0

# (DEM, lat, lon, azimuths for the second plan; None: the whole sweep)
SECOND_PLANS = (
    ("colorado", 38.992956, -107.060100, None),
    ("lidar", 46.505516, -93.918980, range(0, 360, 30)),
    ("lidar", 46.506073, -93.919123, range(5, 360, 30)),
    ("lidar_sink", 46.505504, -93.918711, range(0, 360, 15)),
    ("rocky_mountain", 40.337948, -105.527343, range(10, 360, 30)),
    ("luxembourg", 49.569252, 6.262308, range(15, 360, 30)),
    ("olinda", -7.961392, -34.889336, range(20, 360, 30)),
    ("jacksboro", 36.519635, -84.140663, range(25, 360, 30)),
)
KEPT = 1e-4  # a plan keeps four decimals of a slope and of a utilisation; half a unit, and the same once more
ONE_MM = 1e-3
KEPT_DEG, KEPT_FACTOR = 5e-7, 5e-10
KEPT_MM, KEPT_DEGREES_OF_LATLON = 0.5e-3, 5e-10
PULL_KN, PULL_RATIO = 1e-3, 1e-5  # three decimals of a kN; an arm from an angle kept to six decimals


@pytest.fixture(scope="module")
def ground(tmp_path_factory):
    """Name -> path of a DEM, and the mast that every plan here stands."""
    folder = tmp_path_factory.mktemp("ground")
    mast = write_mast(folder / "mast.toml")

    @cache
    def path(name):
        return jacksboro_tif(folder / "jacksboro.tif") if name == "jacksboro" else open_file(name)

    return path, mast


@pytest.fixture(scope="module")
def plan_at(ground):
    """(DEM, lat, lon, mast) -> the plan there, made once."""
    path, own_mast = ground

    @cache
    def make(name, lat, lon, mast=None):
        return make_plan(site_from_options(str(path(name)), f"{lat}, {lon}", str(mast or own_mast)))

    return make


def test_every_row_is_here():
    assert (len(PLANE_FITS), len(SECOND_PLANS)) == (11, 8)


@pytest.mark.parametrize(("name", "lat", "lon", "slope_percent", "uphill_deg", "rms_m"), PLANE_FITS)
def test_the_sweep_tilts_as_an_independent_plane_does(plan_at, name, lat, lon, slope_percent, uphill_deg, rms_m):
    # Slopes along 360 rays of 60 m run as S cos(azimuth - uphill) on a plane: their first harmonic is the tilt.
    # It weighs the misfit otherwise than the disc does: by the rise of the rms, once each way, over the disc's radius.
    rows = plan_at(name, lat, lon, "lattice-60").laydown.candidates
    assert len(rows) == 360
    east, north = (sum(c.slope_percent * f(math.radians(c.azimuth_deg)) for c in rows) / 180.0 for f in (math.sin, math.cos))
    assert abs((math.degrees(math.atan2(east, north)) - uphill_deg + 180.0) % 360.0 - 180.0) <= FIT_DEG
    assert math.hypot(east, north) == pytest.approx(slope_percent, abs=0.05 + 100.0 * 2.0 * (rms_m + 0.05) / DISC_M)


@pytest.fixture(scope="module")
def both(ground, plan_at):
    """(DEM, lat, lon, azimuths) -> siting's plan and the naive one for siting's laydown."""

    @cache
    def make(name, lat, lon, azimuths):
        plan = plan_at(name, lat, lon)
        chosen = plan.laydown.azimuth_deg
        wanted = azimuths if azimuths is None else tuple(sorted({*azimuths, int(chosen)}))
        twin = twin_plan(
            str(ground[0](name)), lat, lon, ground[1], azimuth=chosen, azimuths=wanted, angles_deg=plan.lift.angles_deg
        )
        return plan, twin

    return make


@pytest.mark.parametrize("where", SECOND_PLANS, ids=lambda w: f"{w[0]} {w[1]}")
def test_base_and_frame_of_the_second_plan(both, where):
    plan, twin = both(*where)
    for key, tolerance in (("easting", KEPT_MM), ("northing", KEPT_MM), ("height_m", KEPT_MM)):
        assert getattr(plan.base, key) == pytest.approx(twin["base"][key], abs=tolerance * 1.01), key
    assert plan.crs.epsg == twin["crs"]["epsg"]
    assert plan.crs.convergence_deg == pytest.approx(twin["crs"]["convergence_deg"], abs=2 * KEPT_DEG)
    for key in ("point_scale", "elevation_factor", "combined_factor"):
        assert getattr(plan.crs, key) == pytest.approx(twin["crs"][key], abs=2 * KEPT_FACTOR), key


@pytest.mark.parametrize("where", SECOND_PLANS, ids=lambda w: f"{w[0]} {w[1]}")
def test_every_candidate_of_the_second_plan(both, where):
    plan, twin = both(*where)
    rows = {c.azimuth_deg: c for c in plan.laydown.candidates}
    dropped = {d.azimuth_deg for d in plan.laydown.dropped}
    found = twin["laydown"]["candidates"]
    assert len(found) + len(twin["laydown"]["dropped"]) >= (360 if where[3] is None else 12)
    for second in found:
        first = rows[second["azimuth_deg"]]
        for key in ("slope_percent", "rest_slope_percent", "worst_utilisation"):
            assert getattr(first, key) == pytest.approx(second[key], abs=KEPT), (second["azimuth_deg"], key)
        assert first.verdict == second["verdict"], "no land is given and no error is stated: pass or fail alone"
    asked = {c["azimuth_deg"] for c in found} | set(twin["laydown"]["dropped"])
    assert dropped & asked == set(twin["laydown"]["dropped"])


@pytest.mark.parametrize("where", SECOND_PLANS, ids=lambda w: f"{w[0]} {w[1]}")
def test_every_stake_guy_and_lift_row_of_the_second_plan(both, where):
    plan, twin = both(*where)
    stakes = {s.id: s for s in plan.stakes}
    assert len(twin["stakes"]) == 11
    for second in twin["stakes"]:
        first = stakes["HEAD" if second["id"] == "head" else second["id"]]
        for key in ("easting", "northing", "height_m", "above_base_m", "radius_m"):
            assert getattr(first, key) == pytest.approx(second[key], abs=ONE_MM), (first.id, key)
        for key in ("lat", "lon"):
            assert getattr(first, key) == pytest.approx(second[key], abs=2 * KEPT_DEGREES_OF_LATLON), (first.id, key)
        assert first.slope_percent == pytest.approx(second["slope_percent"], abs=KEPT, nan_ok=True), first.id
    for first, second in zip(plan.guys, twin["guys"], strict=True):
        assert (first.anchor, first.attach_m, first.use) == (second["anchor"], second["attach_m"], second["use"])
        assert first.chord_m == pytest.approx(second["chord_m"], abs=ONE_MM)
    assert len(plan.lift.side_guys) == 4
    for first, second in zip(plan.lift.side_guys, twin["lift"]["side_guys"], strict=True):
        assert (first.anchor, first.attach_m) == (second["anchor"], second["attach_m"])
        assert first.travel_m == pytest.approx(second["travel_m"], abs=ONE_MM)
        assert first.length_m == pytest.approx(second["length_m"], abs=ONE_MM)
    for first, second in zip(plan.lift.winch_pull_kn, twin["lift"]["winch_pull_kn"], strict=True):
        assert (first is None) == (second is None)
        assert first is None or first == pytest.approx(second, abs=PULL_KN, rel=PULL_RATIO)
    for key in ("slope_percent", "rest_slope_percent", "max_gap_m"):
        assert getattr(plan.laydown, key) == pytest.approx(twin["laydown"][key], abs=KEPT), key


def test_the_whole_sweep_chooses_as_the_second_plan_does(both):
    plan, twin = both(*SECOND_PLANS[0])
    assert len(twin["laydown"]["candidates"]) == 360
    assert plan.laydown.azimuth_deg == rank_azimuths(twin["laydown"]["candidates"])[0]
