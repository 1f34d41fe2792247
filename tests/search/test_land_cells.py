"""What the land says of many bases at once against the plan's own checks, held base by base on the same land."""

from __future__ import annotations

import pickle
from dataclasses import replace

import geopandas
import numpy as np
import pytest
import shapely
from rule_lands import FIXTURES, rule, rules
from search.search_jobs import job
from shapely.affinity import translate

from siting.checks.columns import Column
from siting.checks.power_distances import table_a_m, trigger_m
from siting.checks.power_lines import is_overhead_line
from siting.checks.rule_targets import LayerOnGround, RuleLand
from siting.checks.setbacks import judge_rules
from siting.errors import InputError
from siting.geodesy.frames import frame_at
from siting.inputs.rule_file import read_rules
from siting.layout.anchors import anchor_azimuths_deg
from siting.layout.footprint import anchor_points_xy_m, own_land
from siting.planning.land import LandOnGround, columns_by_azimuth, columns_of_base, read_land
from siting.records.mast import Mast
from siting.records.rules import MEASURED, RuleInputs, RuleLayer, Waiver
from siting.records.search import FATES
from siting.records.site import BasePoint, LandSource, Limit
from siting.search.land_cells import UNDECIDED, TileGround, TileLand, azimuths_on_land, land_of_tile, read_search_land
from siting.search.opening import frame_of, open_search
from siting.verdict import UTILISATION_MAX

AZIMUTHS = np.arange(0.0, 360.0, 20.0)
E0, N0 = 587_400.0, 5_208_900.0  # about the demo's middle, UTM 12
STEP_M = 110.0


def net(seed: int = 4, columns: int = 10, rows: int = 6) -> list[shapely.Polygon]:
    """60 parcels of the demo's land, in its UTM zone."""
    dice = np.random.default_rng(seed)
    x, y = np.meshgrid((np.arange(columns + 1) - columns / 2) * STEP_M, (np.arange(rows + 1) - rows / 2) * STEP_M)
    at = np.stack([x + E0, y + N0], axis=-1) + dice.uniform(-20, 20, (*x.shape, 2))
    return [shapely.Polygon([at[i, j], at[i, j + 1], at[i + 1, j + 1], at[i + 1, j]]) for i in range(rows) for j in range(columns)]


def placed(geometry):
    return translate(geometry, E0, N0)


def write_layer(path, geometries, fields) -> None:
    geopandas.GeoDataFrame(fields, geometry=list(geometries), crs="EPSG:32612").to_file(path)


THINGS = {
    "road": shapely.LineString([(-600, -290), (0, -260), (600, -310)]),
    "overhead_line": shapely.LineString([(250, -500), (280, 500)]),
    "power_line": shapely.LineString([(-330, -500), (-310, 500)]),
    "building": shapely.box(-100, 60, -85, 72),
    "house": shapely.box(150, -60, 160, -45),
    "dwelling": shapely.MultiPolygon([shapely.box(-210, 10, -200, 18), shapely.box(-190, 10, -180, 18)]),
    "fuel_tank": shapely.Point(40, -150),
    "water": shapely.Point(-40, -40).buffer(30),
    "stream": shapely.LineString([(-600, 200), (0, 170), (600, 260)]),
    "easement": shapely.box(60, -400, 66, 400),
    "buried_line": shapely.LineString([(-100, -400), (-90, 400)]),
    "protected_area": shapely.box(200, 150, 300, 300),
    "right_of_way": shapely.box(-600, -300, 600, -285),
    "landfill": shapely.box(-280, -240, -150, -110),
}
KV = {"overhead_line": 25.0, "power_line": None}
TARGETS = ("property_line", "road", "dwelling", "overhead_line", "water", "easement", "protected_area")
OURS = (
    *(rule(t, m, id=f"{t}-{m}", least_m=17.0, base_radius_m=1.5) for t in TARGETS for m in MEASURED),
    *(rule("property_line", m, id=f"waived-{m}", factor=0.5, waivers=(Waiver("p14", "the neighbour", "book 4"),)) for m in MEASURED),
    rule("dwelling", "base_centre", id="others", factor=1.0, off_own_land=True),
    rule("dwelling", "guys", id="others-guys", least_m=25.0, off_own_land=True),
    rule("road", "guy_anchors", id="all-anchors", least_m=15.0, anchors="all"),
    rule("obstacle", "guys", id="tank", least_m=30.0, kinds=("fuel_tank",)),
    rule("layer", "base_centre", id="district", layer="residential_district", least_m=120.0),
    rule("road", "fall_circle", id="circle-itself"),
    rule("obstacle", id="not there", least_m=30.0, kinds=("quarry",)),
)
OF_A_LAYER = tuple(rule("layer", m, id=m, layer="residential_district", least_m=45.0) for m in ("guy_anchors", "guys", "nearest_part"))


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    folder = tmp_path_factory.mktemp("land")
    parcels = net()
    write_layer(folder / "parcels.gpkg", parcels, {"pin": [f"p{i}" for i in range(60)]})
    kinds = list(THINGS)
    fields = {"kind": kinds, "name": [f"the {k}" for k in kinds], "voltage_kv": [KV.get(k) for k in kinds]}
    write_layer(folder / "things.gpkg", [placed(g) for g in THINGS.values()], fields)
    write_layer(folder / "district.gpkg", [placed(shapely.box(130, 80, 300, 200))], {"name": ["R-1"]})
    return folder


def job_on(folder, own=(), parcels=True, obstacles=True, sets=(), total_m: float | None = None):
    made = job()
    source = LandSource(
        parcels=folder / "parcels.gpkg" if parcels else None, parcels_shown="parcels.gpkg", parcel_id_field="pin", own=tuple(own),
        obstacles=folder / "things.gpkg" if obstacles else None, obstacles_shown="things.gpkg", setback_factor=Limit(0.6, "made up"),
    )  # fmt: skip
    layers = (RuleLayer("residential_district", folder / "district.gpkg", "district.gpkg"),)
    mast: Mast = made.site.mast if total_m is None else replace(made.site.mast, total_height_m=total_m)
    return replace(made, site=replace(made.site, land=source, rules=RuleInputs(tuple(sets), layers), mast=mast))


class Tile:
    """A tile of the demo's DEM, its cells in ground metres of its middle, and the land of a search."""

    def __init__(self, of_job, corner=(100, 60), shape=(520, 560)):
        self.job = of_job
        self.context = open_search(of_job, "test")
        self.dem = frame_of(self.context)
        self.cells = np.meshgrid(np.arange(shape[1]) + corner[1] + 0.5, np.arange(shape[0]) + corner[0] + 0.5)
        self.lon, self.lat = self.dem.lonlat(*self.cells)
        self.frame = frame_at(float(self.lat.mean()), float(self.lon.mean()), 1400.0, None, "test")
        self.x_m, self.y_m = self.frame.ground_xy(self.lon, self.lat)
        self.land = read_search_land(of_job, self.context.header, self.dem, self.context.grid)
        self.anchors_deg = anchor_azimuths_deg(of_job.site.mast, AZIMUTHS)
        radii = np.array([a.radius_m for a in of_job.site.mast.anchors])
        self.anchor_xy_m = anchor_points_xy_m(self.frame, self.anchors_deg, radii)
        self._on_ground = {}

    def nearest_cell(self, x_m: float, y_m: float) -> int:
        """The cell nearest to a place of this land, as a flat index."""
        easting, northing = self.frame.grid(self.lon, self.lat)
        return int(np.argmin(np.hypot(easting - E0 - x_m, northing - N0 - y_m)))

    def judged(self) -> TileLand:
        return self.judged_at(self.x_m, self.y_m)

    def judged_at(self, x_m, y_m, land=None) -> TileLand:
        """What the land says of cells of a tile that holds these alone."""
        return land_of_tile(TileGround(land or self.land, self.frame, self.job, x_m, y_m), x_m, y_m)

    def azimuths_at(self, x_m, y_m) -> tuple[np.ndarray, np.ndarray]:
        """The azimuths that the land leaves to bases, and how far it uses each up."""
        return azimuths_on_land(TileGround(self.land, self.frame, self.job, x_m, y_m), x_m, y_m, self.anchor_xy_m)

    def features(self, given, x: float, y: float):
        """A layer's features as they lie from a base."""
        if id(given) not in self._on_ground:
            self._on_ground[id(given)] = given.on_ground(self.frame, None)
        base, found = shapely.Point(x, y), []
        for f in self._on_ground[id(given)]:
            moved = translate(f.geometry, -x, -y)
            tie = shapely.get_coordinates(shapely.shortest_line(shapely.Point(0, 0), moved))[1]
            found.append(replace(f, geometry=moved, distance_m=float(f.geometry.distance(base)), nearest_xy_m=tuple(tie)))
        return tuple(found)

    def land_from(self, x: float, y: float) -> LandOnGround | None:
        """The plan's record of the land around a base; None where no parcel holds it."""
        own, parcels, mine, obstacles, held = None, (), (), (), None
        if self.land.parcels is not None:
            features, ids = self.features(self.land.parcels, x, y), self.land.parcels.layer.own
            if not ids:
                holding = [f for f in features if f.geometry.covers(shapely.Point(0, 0))]
                if not holding:
                    return None
                ids = (min(holding, key=lambda f: f.geometry.boundary.distance(shapely.Point(0, 0))).id,)
            own, _ = own_land(features, ids)
            mine, parcels = (tuple(f for f in features if (f.id in ids) is is_mine) for is_mine in (True, False))
        if self.land.obstacles is not None:
            given = self.land.obstacles
            obstacles = tuple(f for f in self.features(given, x, y) if f.distance_m <= given.reach_m)
            held = LayerOnGround("things.gpkg", obstacles, given.layer.kinds, given.reach_m)
        layers = {k: LayerOnGround(k, self.features(v, x, y), v.layer.kinds, v.reach_m) for k, v in self.land.rule_layers.items()}
        on = RuleLand(own, parcels, held, layers, self.job.site.land.boundary_error_m)
        return LandOnGround(own, parcels, mine, obstacles, (), on, (), (), ())

    def columns(self, land: LandOnGround) -> tuple[list[Column], list[Column]]:
        """The plan's checks of the base, and those by azimuth."""
        site = self.job.site
        held = judge_rules(site.rules.sets, land.rules, site.mast, self.frame, self.anchors_deg)
        base = [*columns_of_base(land, site, self.frame), *held.columns_of_base]
        return base, [*columns_by_azimuth(land, site, self.frame, self.anchors_deg), *held.columns_by_azimuth]

    def wanted(self, land: LandOnGround | None) -> tuple[float, int, np.ndarray, np.ndarray]:
        """Utilisation and fate of a base, and what each azimuth may do and uses."""
        if land is None:
            none = np.zeros(AZIMUTHS.size, dtype=bool)
            return UTILISATION_MAX, FATES.index("off the own land"), none, np.full(AZIMUTHS.size, UTILISATION_MAX)
        base, by_azimuth = self.columns(land)
        fates = {"setback": "setback or fall circle", "fall_zone": "setback or fall circle", "fall_zone_obstacle": "obstacle in the fall circle"}
        used, fails = [float(c.utilisation[0]) for c in base], [fates.get(c.kind, "rule of the land") for c in base if c.verdicts[0] == 2]
        for line in (o for o in land.obstacles if is_overhead_line(o.kind)):
            room_m = line.distance_m - self.job.site.mast.total_height_m
            asked_m = trigger_m(None) if line.voltage_kv is None else table_a_m(line.voltage_kv)
            used.append(min(asked_m / room_m, 10.0) if room_m > 0 else 10.0)
            fails += ["obstacle in the fall circle"] if room_m < asked_m else []
        if land.own is not None and land.own.boundary_m < 0:
            fails.append("off the own land")
        allowed = np.ones(AZIMUTHS.size, dtype=bool)
        top = np.zeros(AZIMUTHS.size)
        for column in by_azimuth:
            allowed &= column.verdicts != 2
            top = np.maximum(top, np.where(column.values == 0.0, np.where(column.verdicts == 2, 10.0, 0.0), column.utilisation))
        return max(used, default=0.0), min((FATES.index(f) for f in fails), default=UNDECIDED), allowed, top


def fixtures():
    return [read_rules(FIXTURES / f"{p.stem}.toml", p.name, False) for p in sorted(FIXTURES.glob("*.toml"))]


OWN = [f"p{i}" for i in range(60) if i % 7 and i not in (14, 33)]
CASES = {
    "demo": lambda folder: job(land=True),
    "60 parcels": lambda folder: job_on(folder, OWN),
    "60 parcels, our rules": lambda folder: job_on(folder, OWN, sets=[rules(*OURS, height_most_m=90.0)], total_m=40.0),
    "a few parcels, our rules": lambda folder: job_on(folder, ["p24", "p25", "p34", "p35"], sets=[rules(*OURS)], total_m=30.0),
    "published rules": lambda folder: job_on(folder, OWN, sets=fixtures(), total_m=30.0),
    "each parcel its own": lambda folder: job_on(folder, sets=[rules(*OURS)], total_m=20.0),
    "no parcels": lambda folder: job_on(folder, parcels=False, sets=[rules(*OURS)], total_m=30.0),
    "a layer of our own": lambda folder: job_on(folder, parcels=False, obstacles=False, sets=[rules(*OF_A_LAYER)]),
    "anchors off a layer": lambda folder: job_on(folder, parcels=False, obstacles=False, sets=[rules(OF_A_LAYER[0])]),
    "nothing but a height": lambda folder: job_on(folder, parcels=False, obstacles=False, sets=[rules(height_most_m=60.0)]),
    "nothing": lambda folder: job_on(folder, parcels=False, obstacles=False),
}


@pytest.mark.parametrize("name", CASES)
def test_as_the_plans_own_checks_at_random_cells(files, name):
    tile = Tile(CASES[name](files))
    found = tile.judged()
    dice = np.random.default_rng(11)
    if name in ("demo", "60 parcels", "each parcel its own"):
        assert {UNDECIDED, FATES.index("off the own land")} < set(np.unique(found.fate)) or name == "each parcel its own"
    flat = dice.choice(tile.x_m.size, 36, replace=False)
    open_cells = np.flatnonzero((found.fate == UNDECIDED).ravel())
    beside = [tile.nearest_cell(x, y) for x, y in ((-215, -175), (-40, -30), (120, 140), (160, 70), (320, 150), (250, 240))]
    flat = np.concatenate([flat, dice.choice(open_cells, min(12, open_cells.size), replace=False), beside])
    x, y = tile.x_m.ravel()[flat], tile.y_m.ravel()[flat]
    allowed, used = tile.azimuths_at(x, y)
    near = found.near.ravel()[flat]
    for n in range(flat.size):
        land = tile.land_from(float(x[n]), float(y[n]))
        used_of_base, fate, may, top = tile.wanted(land)
        assert found.used.ravel()[flat[n]] == pytest.approx(used_of_base, abs=1e-7), (name, n)
        assert found.fate.ravel()[flat[n]] == fate, (name, n)
        if land is None or land.own is None or land.own.boundary_m > 0:
            assert allowed[n].tolist() == may.tolist(), (name, n)
            np.testing.assert_allclose(used[n], top, atol=1e-7)
        else:
            assert not allowed[n].any() and not may.any()
        assert near[n] or may.all()
        assert near[n] or used[n].max() <= found.by_azimuth.ravel()[flat[n]]


def test_the_cases_meet_every_fate_and_azimuths_of_both_kinds(files):
    seen, shares = set(), []
    for name in ("60 parcels, our rules", "published rules", "no parcels"):
        tile = Tile(CASES[name](files))
        found = tile.judged()
        seen |= set(np.unique(found.fate).tolist())
        some = np.flatnonzero(found.near.ravel())[::997]
        shares.append(tile.azimuths_at(tile.x_m.ravel()[some], tile.y_m.ravel()[some])[0].mean())
    assert seen >= {FATES.index(v) for v in ("off the own land", "setback or fall circle", "obstacle in the fall circle", "rule of the land")}
    assert UNDECIDED in seen and any(0.05 < s < 0.95 for s in shares)


def test_the_land_that_a_plan_reads_at_a_cell_gives_the_same(files):
    """Read anew from the files around a base, in the base's own frame: millimetres."""
    tile = Tile(job(land=True))
    found = tile.judged()
    dice = np.random.default_rng(3)
    inside = np.flatnonzero((found.fate != FATES.index("off the own land")).ravel())
    for n in dice.choice(inside, 6, replace=False):
        lat, lon = float(tile.lat.ravel()[n]), float(tile.lon.ravel()[n])
        frame = frame_at(lat, lon, 1400.0, None, "test")
        site = replace(tile.job.site, base=BasePoint(lat, lon, "a cell"))
        land = read_land(site, frame)
        assert land.rules.obstacles.reach_m == tile.land.obstacles.reach_m
        used_of_base, fate, _, _ = tile.wanted(land)
        assert found.used.ravel()[n] == pytest.approx(used_of_base, rel=1e-4) and found.fate.ravel()[n] == fate


def test_no_answer_depends_on_the_tile(files):
    """The same frame and cells in other tiles: the same bytes."""
    tile = Tile(CASES["60 parcels, our rules"](files), shape=(130, 150), corner=(280, 240))
    whole = tile.judged()
    for part in ((slice(0, 70), slice(0, 90)), (slice(70, 130), slice(33, 150)), (slice(64, 65), slice(5, 6))):
        alone = tile.judged_at(tile.x_m[part], tile.y_m[part])
        for field in ("used", "fate", "near", "by_azimuth"):
            assert getattr(alone, field).tobytes() == np.ascontiguousarray(getattr(whole, field)[part]).tobytes(), field


def test_only_the_area_is_searched(files, tmp_path):
    area = placed(shapely.box(-100, -100, 100, 150))
    write_layer(tmp_path / "area.gpkg", [area], {"name": ["area"]})
    made = CASES["nothing"](files)
    made = replace(made, options=replace(made.options, area=tmp_path / "area.gpkg", area_shown="area.gpkg"))
    tile = Tile(made)
    easting, northing = tile.frame.grid(tile.lon, tile.lat)
    wanted = shapely.contains_xy(area.buffer(-0.01), easting, northing)
    found = tile.judged().fate == UNDECIDED
    assert found.sum() == pytest.approx(100 * 2.5 * 200, rel=0.01)
    assert not (wanted & ~found).any() and not (found & ~shapely.contains_xy(area.buffer(0.01), easting, northing)).any()


def test_the_land_can_be_sent_to_another_process(files):
    tile = Tile(CASES["each parcel its own"](files), shape=(60, 60), corner=(300, 300))
    sent = pickle.loads(pickle.dumps(tile.land))
    again = tile.judged_at(tile.x_m, tile.y_m, sent)
    assert again.used.tobytes() == tile.judged().used.tobytes()


def test_parcels_that_lie_elsewhere_and_a_field_that_is_not_there(files, tmp_path):
    write_layer(tmp_path / "parcels.gpkg", [translate(p, 60_000.0, 0.0) for p in net()[:3]], {"pin": ["a", "b", "c"]})
    with pytest.raises(InputError, match=r"parcels.gpkg: holds no parcel where the search looks \(curlew_bench.tif\)"):
        Tile(job_on(tmp_path, obstacles=False))
    made = job_on(files, obstacles=False)
    with pytest.raises(InputError, match="parcels.gpkg, field 'lot': is not in the file. Its fields: pin"):
        Tile(replace(made, site=replace(made.site, land=replace(made.site.land, parcel_id_field="lot"))))


def test_of_two_parcels_over_one_cell_the_one_with_the_nearest_line_holds_it(files, tmp_path):
    large, small = placed(shapely.box(-250, -250, 250, 250)), placed(shapely.box(-60, -60, 80, 60))
    write_layer(tmp_path / "parcels.gpkg", [small, large], {"pin": ["small", "large"]})
    tile = Tile(job_on(tmp_path, obstacles=False, total_m=30.0))
    easting, northing = tile.frame.grid(tile.lon, tile.lat)
    at = tile.nearest_cell(0.0, 0.0)
    away_m = 60.0 - max(abs(easting.ravel()[at] - E0), abs(northing.ravel()[at] - N0))
    assert tile.judged().used.ravel()[at] == pytest.approx(30.0 / away_m, abs=2e-3)


def test_an_obstacle_counts_to_the_same_circle_in_plan_and_search(files, tmp_path):
    """The window that a plan reads is a box: what lies in its corners, beyond what is read all around, counts in neither."""
    things = {"barn": shapely.box(-298, -20, -295, 20), "house": shapely.box(214, 214, 220, 220), "silo": shapely.box(-40, 305, 40, 320)}
    write_layer(tmp_path / "things.gpkg", [placed(g) for g in things.values()], {"kind": list(things), "name": list(things)})
    made = job_on(files, parcels=False, total_m=60.0)
    made = replace(made, site=replace(made.site, land=replace(made.site.land, obstacles=tmp_path / "things.gpkg")))
    tile = Tile(made)
    n = tile.nearest_cell(0.0, 0.0)
    lat, lon = float(tile.lat.ravel()[n]), float(tile.lon.ravel()[n])
    frame = frame_at(lat, lon, 1400.0, None, "test")
    land = read_land(replace(made.site, base=BasePoint(lat, lon, "a cell")), frame)
    assert land.rules.obstacles.reach_m == 300.0
    assert "house" in {o.kind for o in land.obstacles}  # read, and drawn
    columns = columns_of_base(land, made.site, frame)
    assert [c.id for c in columns] == ["fall_zone_obstacle:barn"]
    assert tile.judged().used.ravel()[n] == pytest.approx(float(columns[0].utilisation[0]), abs=1e-3)
