"""The land of a tile in ground metres: own areas, obstacles by kind, and what each rule measures to, as segments."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import shapely

from siting.checks import power_distances as published
from siting.checks.land import GROUND_KINDS
from siting.checks.power_lines import is_overhead_line
from siting.checks.rule_distances import BASE, Part, parts_of
from siting.checks.rule_targets import Aim, LayerOnGround, RuleLand, aim_key, aim_of
from siting.checks.rule_words import limit_m
from siting.geodesy.frames import Frame
from siting.layout.footprint import GroundFeature, OwnLand, own_land
from siting.records.rules import PROPERTY_LINE, SetbackRule
from siting.records.search import SearchJob
from siting.search.search_land import GivenLayer, SearchLand, box_of, wider


@dataclass(frozen=True)
class Shape:
    """Outlines, lines and points as segments, and the areas among them as one, None where there are none; metres."""

    pieces: Any  # screening.segments.Segments
    area: Any

    @classmethod
    def of(cls, geometries: list[Any]) -> Shape:
        """The shape of some geometries."""
        from siting.screening.segments import segments_of

        areas = [p for g in geometries for p in _areas(g)]
        return cls(segments_of(geometries), shapely.union_all(areas) if areas else None)

    @cached_property
    def outline(self) -> Any:
        """The areas' outline as segments, None without areas."""
        from siting.screening.segments import segments_of

        return None if self.area is None else segments_of([self.area])

    def is_inside(self, x_m: np.ndarray, y_m: np.ndarray) -> np.ndarray:
        """Which points lie in one of the areas; no unit."""
        from siting.screening.segments import is_inside

        return is_inside(self.outline, x_m, y_m)

    def away_m(self, x_m: np.ndarray, y_m: np.ndarray, reach_m: float) -> np.ndarray:
        """Distance to the nearest piece, negative inside an area; infinite beyond the reach, metres."""
        from siting.screening.segments import nearest_m

        away = nearest_m(self.pieces, x_m, y_m, reach_m)
        if self.area is not None:
            inside = self.is_inside(x_m, y_m)
            away[inside] = 0.0 - away[inside]
        return away


def _areas(geometry: Any) -> list[Any]:
    """The polygons of a geometry, however deep collections lie in it."""
    if geometry.geom_type == "Polygon":
        return [geometry]
    return [p for part in getattr(geometry, "geoms", ()) for p in _areas(part)]


@dataclass(frozen=True)
class TargetedRule:
    """A rule with what it measures to on this land, and from which parts of the mast."""

    rule: SetbackRule
    limit_m: float
    parts: tuple[Part, ...]
    shape: Shape
    cap_m: float  # how far from the base the layer counts; infinite for the own land
    is_own: bool
    key: tuple  # equal where the same is measured to

    @property
    def by_azimuth(self) -> bool:
        """Whether anchors or guys decide it."""
        return any(p.kind != BASE for p in self.parts)

    @property
    def reach_m(self) -> float:
        """How far from the base anything may lie that breaks it, metres."""
        return self.limit_m + max(p.radius_m + p.less_m for p in self.parts)


@dataclass(frozen=True)
class OwnArea:
    """Land that is one owner's for the checks; `shape` None where no parcels were given.

    `rules` are those that depend on whose land it is: they measure to its line, or leave out what stands on it.
    """

    own: OwnLand | None
    shape: Shape | None
    rules: tuple[TargetedRule, ...]


class TileGround:
    """The land around some cells in the ground metres of one frame; every part is made once, when it is asked for."""

    def __init__(self, land: SearchLand, frame: Frame, job: SearchJob, x_m: np.ndarray, y_m: np.ndarray) -> None:
        self.land, self.frame, self.job = land, frame, job
        self.box_deg = _box_deg(frame, x_m, y_m) if np.size(x_m) else None

    @cached_property
    def obstacles(self) -> tuple[GroundFeature, ...]:
        """Obstacles within reach of the cells."""
        return self._near(self.land.obstacles) if self.land.obstacles is not None else ()

    @cached_property
    def kinds(self) -> dict[str, Shape]:
        """The obstacles of each kind."""
        names = dict.fromkeys(o.kind for o in self.obstacles)
        return {name: Shape.of([o.geometry for o in self.obstacles if o.kind == name]) for name in sorted(names)}

    @cached_property
    def standing(self) -> Shape:
        """Everything that a guy must not cross."""
        return Shape.of([o.geometry for o in self.obstacles if o.kind not in GROUND_KINDS])

    @cached_property
    def lying(self) -> Shape:
        """What only an anchor must not stand in."""
        return Shape.of([o.geometry for o in self.obstacles if o.kind in GROUND_KINDS])

    @cached_property
    def lines(self) -> tuple[tuple[float, bool, Shape], ...]:
        """Overhead lines by the distance that is asked for (checks.power_lines), and whether keeping it can pass."""
        groups: dict[tuple[float, bool], list[Any]] = {}
        for line in self.obstacles:
            if is_overhead_line(line.kind):
                groups.setdefault(_asked_of_line(line.voltage_kv), []).append(line.geometry)
        return tuple((*key, Shape.of(groups[key])) for key in sorted(groups))

    @cached_property
    def area(self) -> Any:
        """The outline of the search's area as segments."""
        from siting.screening.segments import segments_of

        return segments_of([shapely.transform(self.land.area, self.frame.ground_xy, interleaved=False)])

    @cached_property
    def _rule_obstacles(self) -> LayerOnGround | None:
        given = self.land.obstacles
        return None if given is None else LayerOnGround(given.layer.shown_path, self.obstacles, given.layer.kinds, given.reach_m)

    @cached_property
    def _rule_layers(self) -> dict[str, LayerOnGround]:
        return {
            name: LayerOnGround(given.layer.shown_path, self._near(given), given.layer.kinds, given.reach_m)
            for name, given in self.land.rule_layers.items()
        }

    @cached_property
    def own_areas(self) -> tuple[OwnArea, ...]:
        """The own land, or each parcel that may hold one of the cells; one without shape where no parcels were given."""
        parcels = self.land.parcels
        if parcels is None:
            return (OwnArea(None, None, self._rules(None, (), self._of_owners)),)
        named = self._named_by_waivers()
        if parcels.layer.own:
            ids = parcels.layer.own
            is_own = np.array([f.id in ids for f in parcels.layer.features])
            features = self._chosen(parcels, is_own | named)
            own, _ = own_land(features, ids)
            return (self._own_area(own, tuple(p for p in features if p.id not in ids)),)
        features = parcels.on_ground(self.frame, self.box_deg, named) if self.box_deg else ()
        names = {f.id for f, is_named in zip(parcels.layer.features, named, strict=True) if is_named}
        others = tuple(p for p in features if p.id in names)
        return tuple(self._own_area(own_land((mine,), (mine.id,))[0], tuple(p for p in others if p.id != mine.id)) for mine in features)

    @cached_property
    def shared_rules(self) -> tuple[TargetedRule, ...]:
        """The rules that measure to the same on whoever's land; those that cannot be measured are left out."""
        return self._rules(None, (), tuple(r for r in self._every_rule if not _is_of_owners(r)))

    @cached_property
    def _every_rule(self) -> tuple[SetbackRule, ...]:
        return tuple(r for v in self.job.site.rules.sets for r in v.rules)

    @cached_property
    def _of_owners(self) -> tuple[SetbackRule, ...]:
        """The rules that depend on whose land it is."""
        return tuple(r for r in self._every_rule if _is_of_owners(r))

    def _own_area(self, own: OwnLand, neighbours: tuple[GroundFeature, ...]) -> OwnArea:
        shape = Shape.of([own.area])
        return OwnArea(own, shape, self._rules(own, neighbours, self._of_owners, shape))

    def _rules(
        self, own: OwnLand | None, neighbours: tuple[GroundFeature, ...], rules: tuple[SetbackRule, ...], line: Shape | None = None
    ) -> tuple[TargetedRule, ...]:  # fmt: skip
        """Those of the rules that can be measured with this own land.

        Args:
            neighbours: those that a waiver may name.
            line: the own land's outline; a rule that measures to all of it gets the very same segments.
        """
        on = RuleLand(own, neighbours, self._rule_obstacles, self._rule_layers, self.job.site.land.boundary_error_m)
        made, aims, shapes = [], {}, {}
        for rule in rules:
            parts = parts_of(rule, self.job.site.mast)
            key = aim_key(rule)
            if key not in aims:
                aims[key] = aim_of(rule, on)
            aim: Aim = aims[key]
            # Where nothing is left of the own line to measure to, a part is at most off the own land: other checks say so.
            if aim.target is None or not parts or (aim.target.is_own and aim.target.is_empty):
                continue
            if key not in shapes:
                shapes[key] = _shape_of(aim, line)
            cap = np.inf if aim.reach_m is None else aim.reach_m
            made.append(TargetedRule(rule, limit_m(rule, self.job.site.mast), parts, shapes[key], cap, aim.target.is_own, key))
        return tuple(made)

    def _named_by_waivers(self) -> np.ndarray:
        """Which parcels a waiver of a rule about property lines names, wherever they lie."""
        names = {w.line.casefold() for r in self._every_rule if r.target == PROPERTY_LINE for w in r.waivers}
        features = self.land.parcels.layer.features
        return np.array([bool({f.id.strip().casefold(), f.name.strip().casefold()} & names) for f in features], dtype=bool)

    def _chosen(self, given: GivenLayer, chosen: np.ndarray) -> tuple[GroundFeature, ...]:
        """The chosen features of a layer, wherever they lie."""
        nowhere = (np.inf, np.inf, -np.inf, -np.inf)
        return given.on_ground(self.frame, nowhere, chosen)

    def _near(self, given: GivenLayer) -> tuple[GroundFeature, ...]:
        """The features of a layer within reach of the cells."""
        return given.on_ground(self.frame, wider(self.box_deg, given.reach_m)) if self.box_deg else ()


def _is_of_owners(rule: SetbackRule) -> bool:
    """Whether what a rule measures to depends on whose land the base stands on."""
    return rule.target == PROPERTY_LINE or rule.off_own_land


def _shape_of(aim: Aim, line: Shape | None) -> Shape:
    """What a rule measures to as segments; of the own land the line that counts, and its whole outline."""
    from siting.screening.segments import segments_of

    target = aim.target
    if line is not None and target.is_own:
        ends = shapely.get_coordinates(target.pieces).reshape(-1, 4)
        if np.array_equal(ends, np.column_stack(line.pieces)):
            return Shape(line.pieces, target.area)
    return Shape(segments_of(target.pieces), target.area)


def _box_deg(frame: Frame, x_m: np.ndarray, y_m: np.ndarray) -> tuple[float, float, float, float]:
    """West, south, east and north of cells, degrees."""
    xs, ys = np.linspace(np.min(x_m), np.max(x_m), 5), np.linspace(np.min(y_m), np.max(y_m), 5)
    return box_of(*frame.lonlat(*np.meshgrid(xs, ys)))


def _asked_of_line(voltage_kv: float | None) -> tuple[float, bool]:
    """The distance (metres) that an overhead line asks for, and whether keeping it passes (above the table nothing does)."""
    table_m = None if voltage_kv is None else published.table_a_m(voltage_kv)
    return (published.trigger_m(voltage_kv), voltage_kv is None) if table_m is None else (table_m, True)
