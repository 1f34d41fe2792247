"""What a rule measures to on this land: the outline that counts, or the obstacles of its kinds; and what is missing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import shapely

from siting.checks.land import MUST_BE_KNOWN
from siting.layout.footprint import GroundFeature, OwnLand
from siting.layout.targets import Target, land_target, things_target
from siting.layout.waived_line import line_that_counts
from siting.records.rules import (
    BURIED_LINE,
    DWELLING,
    EASEMENT,
    LAYER,
    OVERHEAD_LINE,
    PROPERTY_LINE,
    PROTECTED_AREA,
    ROAD,
    WATER,
    SetbackRule,
    Waiver,
)

# The kinds of the obstacle layer that a target counts where the rule names none. A building may be a dwelling.
KINDS = {
    ROAD: (*MUST_BE_KNOWN["road"], "right_of_way", "road_right_of_way"),
    DWELLING: ("dwelling", "residence", "house", "home", "residential_building", "building"),
    OVERHEAD_LINE: (*MUST_BE_KNOWN["overhead_line"], "communication_line", "telephone_line", "utility_line"),
    BURIED_LINE: ("buried_line", "buried_cable", "pipeline", "gas_line", "water_main", "sewer"),
    WATER: ("water", "stream", "river", "creek", "pond", "lake", "canal", "wetland"),
    PROTECTED_AREA: ("protected_area", "nature_reserve", "habitat", "lek", "conservation_area", "wetland"),
    EASEMENT: ("easement", "utility_easement", "access_easement", "conservation_easement"),
}
PLANNED_KINDS = ("planned_road", "planned_right_of_way")
HOW_TO_KNOW = "have the site looked at, and draw the nearest one into the layer"


@dataclass(frozen=True, slots=True)
class LayerOnGround:
    """A layer near the base: its features, the kinds that the whole layer holds, how far from the base it was read."""

    shown: str
    features: tuple[GroundFeature, ...]
    kinds: tuple[str, ...]
    reach_m: float


@dataclass(frozen=True, slots=True)
class RuleLand:
    """The land as rules see it, in the ground frame; None where a layer was not given."""

    own: OwnLand | None
    parcels: tuple[GroundFeature, ...] = ()  # neighbours
    obstacles: LayerOnGround | None = None
    layers: Mapping[str, LayerOnGround] = field(default_factory=dict)  # by the name that rules know
    boundary_error_m: float = 0.0


@dataclass(frozen=True, slots=True)
class Aim:
    """What one rule measures to. `missing` and `do` say why it cannot; `silent` which kinds the layer does not hold."""

    target: Target | None = None
    things: tuple[GroundFeature, ...] = ()  # whose pieces the target's owners count
    reach_m: float | None = None  # how far from the base the layer was read, None for the own land, which is read whole
    missing: str = ""
    do: str = ""
    silent: tuple[tuple[str, str], ...] = ()  # kind, and in words that nothing is known of it
    waived: tuple[Waiver, ...] = ()  # those that left something out


def aim_key(rule: SetbackRule) -> tuple:
    """Equal for rules that measure to the same; no unit."""
    return rule.target, rule.kinds, rule.layer, rule.is_planned, rule.off_own_land, rule.waivers


def aim_of(rule: SetbackRule, land: RuleLand) -> Aim:
    """What a rule measures to, or why it cannot be measured."""
    if rule.target == PROPERTY_LINE:
        return _property_line(rule, land)
    if rule.target == LAYER:
        return _layer(rule, land)
    if land.obstacles is None:
        return Aim(missing=f"no obstacle layer was given: whether {_some(_plain(rule))} is near is not known", do="give [land] obstacles")
    return _kinds(rule, land, land.obstacles, _groups(rule))


def _property_line(rule: SetbackRule, land: RuleLand) -> Aim:
    """The own land's outline without what is waived."""
    if land.own is None:
        return Aim(missing="no parcels were given, so nothing is known of property lines", do="give [land] parcels")
    line, used = land.own.area.boundary, []
    named = [(w, p) for w in rule.waivers for p in land.parcels if _is_named(w, p)]
    if named:
        line, shares = line_that_counts(land.own.area, [p.geometry for _, p in named])
        used = [w for (w, _), is_shared in zip(named, shares, strict=True) if is_shared]
    return Aim(land_target(land.own, line), waived=tuple(dict.fromkeys(used)))


def _layer(rule: SetbackRule, land: RuleLand) -> Aim:
    """The user's own layer, all of it or the kinds that the rule names."""
    layer = land.layers.get(rule.layer)
    if layer is None:
        return Aim(
            missing=f"no layer '{rule.layer}' was given, so nothing is known of it",
            do=f'give [[land.layers]] name = "{rule.layer}" with its path',
        )
    if rule.kinds:
        return _kinds(rule, land, layer, tuple((kind,) for kind in rule.kinds))
    if not layer.kinds and not layer.features:
        return Aim(missing=f"{layer.shown} holds nothing: whether nothing is there or nothing was drawn cannot be told", do=HOW_TO_KNOW)
    return _things(rule, land, layer, layer.features, ())


def _groups(rule: SetbackRule) -> tuple[tuple[str, ...], ...]:
    """Kinds that mean one thing, group by group: each group must be held by the layer to be known."""
    groups = tuple((kind,) for kind in rule.kinds) if rule.kinds else (KINDS[rule.target],)
    return (*groups, PLANNED_KINDS) if rule.is_planned else groups


def _kinds(rule: SetbackRule, land: RuleLand, layer: LayerOnGround, groups: tuple[tuple[str, ...], ...]) -> Aim:
    """The things of these kinds; unknown where the layer holds none of them anywhere."""
    held = set(layer.kinds) | {f.kind for f in layer.features}
    known = [group for group in groups if held & set(group)]
    silent = tuple(
        (group[0], f"{layer.shown} holds no {group[0].replace('_', ' ')}: whether none is there or none was drawn cannot be told")
        for group in groups
        if group not in known
    )
    if not known:
        return Aim(missing=silent[0][1], do=HOW_TO_KNOW)
    wanted = {kind for group in known for kind in group}
    return _things(rule, land, layer, tuple(f for f in layer.features if f.kind in wanted), silent)


def _things(
    rule: SetbackRule, land: RuleLand, layer: LayerOnGround, things: tuple[GroundFeature, ...], silent: tuple[tuple[str, str], ...]
) -> Aim:  # fmt: skip
    """These things as a target: without those on the own land where the rule counts others' only, and without the waived."""
    if rule.off_own_land and land.own is not None and things:
        shapely.prepare(land.own.area)
        mine = shapely.covers(land.own.area, [f.geometry for f in things])
        things = tuple(f for f, is_mine in zip(things, mine, strict=True) if not is_mine)
    used = tuple(w for w in rule.waivers if any(_is_named(w, f) for f in things))
    things = tuple(f for f in things if not any(_is_named(w, f) for w in used))
    return Aim(things_target([f.geometry for f in things]), things, layer.reach_m, silent=silent, waived=used)


def _is_named(waiver: Waiver, thing: GroundFeature) -> bool:
    """Whether a waiver's line is this parcel or thing, by id or by name."""
    return waiver.line.casefold() in (thing.id.strip().casefold(), thing.name.strip().casefold())


def _plain(rule: SetbackRule) -> str:
    """What a rule measures to, in plain words."""
    return (rule.kinds[0] if rule.kinds else rule.target).replace("_", " ")


def _some(words: str) -> str:
    return "water" if words == "water" else f"{'an' if words[0] in 'aeiou' else 'a'} {words}"


def waivers_without_use(rules: tuple[SetbackRule, ...], aims: tuple[Aim, ...]) -> tuple[Waiver, ...]:
    """Waivers that left nothing out of any rule: a name that is wrong, or a line that is not shared. No unit."""
    used = {w for aim in aims for w in aim.waived}
    given = dict.fromkeys(w for rule in rules for w in rule.waivers)
    return tuple(w for w in given if w not in used)


def neighbour_across(parcels: tuple[GroundFeature, ...], xy_m: tuple[float, float], touch_m: float) -> str:
    """Id of the parcel across a line at this point, empty where none is drawn there; no unit."""
    if not parcels:
        return ""
    away = shapely.distance([p.geometry for p in parcels], shapely.Point(xy_m))
    nearest = int(away.argmin())
    return parcels[nearest].id if away[nearest] <= touch_m else ""
