"""What of a plan is a name and never translated: points, parcels, the user's words, files, coordinate systems, cited sources."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from siting.figures import shown
from siting.records.dig import DigPlan
from siting.records.holding import HoldingPlan
from siting.records.plan import Plan
from siting.records.soil import Soil
from siting.writers.paper.language import Speaker

NOT_CITED = ("common practice", "from memory", "user", "not classified")
CITED = re.compile(r"\d|[A-Z]{2}")


def speaker_of(plan: Plan, more: Iterable[str] = ()) -> Speaker:
    """Says the sheets' English in the plan's language.

    Args:
        more: further names that stand on this sheet.
    """
    if plan.language == "en":
        return Speaker()
    return Speaker(plan.language, (*plan_names(plan), *more))


def plan_names(plan: Plan) -> tuple[str, ...]:
    """Every text of the plan that stays as it is, each once."""
    found = [*_places(plan), *_frame(plan), *_mast(plan), *_land(plan), *_sources(plan)]
    if plan.holding is not None:
        found += _ground(plan.holding)
    if plan.dig is not None:
        found += _digging(plan.dig)
    nameless = {kind.replace("_", " ") for kind in _kinds(plan)}  # a thing without a name goes by its kind, which is a word
    return tuple(dict.fromkeys(name for name in found if name and name not in nameless))


def _kinds(plan: Plan) -> Iterator[str]:
    yield from ("own", "road", "building", "overhead line", "dwelling", "water", "fill", "peat", "rock", "organic ground")
    yield from (obstacle.kind for obstacle in plan.land.obstacles_touched)
    yield from (obstacle.kind for zone in plan.reach for obstacle in zone.obstacles)


def is_cited(source: str) -> bool:
    """Whether a source is a citation, which stays as it is; plain words such as `common practice, no source` are translated."""
    return bool(CITED.search(source)) and not source.startswith(NOT_CITED)


def _cited(sources: Iterable[str]) -> Iterator[str]:
    return (source for source in sources if is_cited(source))


def _places(plan: Plan) -> Iterator[str]:
    base = plan.base
    yield from (plan.name, base.dms, base.mgrs, base.given_as)
    for point in (*plan.stakes, *plan.control):
        yield from (point.id, point.point, point.code)


def _frame(plan: Plan) -> Iterator[str]:
    """Coordinate systems and the ground's own names."""
    crs, terrain, made = plan.crs, plan.terrain, plan.provenance
    yield from (crs.name, crs.datum, crs.transformation, terrain.dem, terrain.crs, terrain.transformation, made.run_id, made.version)
    yield from (text for text in (crs.declination_model, crs.epoch, terrain.vertical_datum) if CITED.search(text))
    for file in made.inputs:
        yield from (file.path, file.path.rpartition("/")[2], file.sha256)
    yield from (shown(crs.combined_factor, "factor"),)
    for points in plan.point_lists:
        yield points.name


def _mast(plan: Plan) -> Iterator[str]:
    """The mast, its strands and loads, and what the user writes of the wind."""
    yield plan.mast.name
    yield from (word for word in re.findall(r"mast '([^']+)'", " ".join((*plan.warnings, *plan.notes))))
    if not plan.mast.is_generic:
        yield plan.mast.note
    if plan.wind_stop is not None:
        yield plan.wind_stop.averaging
    if plan.cut_list is not None:
        for strand in plan.cut_list.strands:
            yield strand.name
            yield from _cited((strand.source, strand.modulus_source, strand.expansion_source))
    if plan.tensions is not None:
        yield from _cited((*plan.tensions.tension_source, plan.tensions.tolerance_source))


def _land(plan: Plan) -> Iterator[str]:
    land = plan.land
    yield from (*land.own, land.nearest_neighbour)
    yield from (parcel.id for parcel in land.parcels_touched)
    yield from (obstacle.name for obstacle in land.obstacles_touched)
    for zone in plan.reach:
        for parcel in zone.by_parcel:
            yield from (parcel.id, parcel.owner)
        yield from (obstacle.name for obstacle in zone.obstacles)
    for line in plan.power_lines:
        yield from (line.name, line.owner, *line.information)
    for rule in land.rules:
        yield from (rule.rule_set, rule.title, rule.to, rule.note, *rule.waived)
        yield from _cited((rule.source, rule.how))
    for shape in plan.shapes:
        if shape.kind in ("parcel", "own_land", "obstacle"):
            yield from (shape.id, shape.label)
    for check in plan.checks:
        if check.kind == "fall_zone_obstacle":
            yield check.place.partition(", ")[0]
    for dates in land.permit_dates:
        yield from (dates.rule_set, dates.text)


def _sources(plan: Plan) -> Iterator[str]:
    yield from (item.id.replace("_", " ") for item in plan.unchecked_detail if ":" in item.id)
    yield from _cited(check.source for check in plan.checks)
    yield from _cited(zone.source for zone in plan.reach)
    yield from _cited(line.source for line in plan.power_lines)


def _ground(holding: HoldingPlan) -> Iterator[str]:
    """Sources of soils, loads and methods."""
    soils: dict[Soil, None] = dict.fromkeys(choice.soil for choice in holding.anchors)
    soils[holding.base.soil] = None
    for soil in soils:
        yield from _cited(soil.sources)
        yield _plain_words(soil)
    for choice in holding.anchors:
        yield from _cited((choice.load.source, *(held.source for held in choice.options)))
    yield from _cited(held.source for held in (holding.base.pins, holding.base.pins_uplift, holding.base.buried) if held)
    yield from _cited(check.source for check in holding.checks)


def _plain_words(soil: Soil) -> str:
    """The ground as the user named it; empty where it is named by its group or not known."""
    words = soil.description.partition(", ")[0].partition(": ")[0]
    return "" if "(" in words or "NOT KNOWN" in words else words


def _digging(dig: DigPlan) -> Iterator[str]:
    """What the notice knows of the applicant's: names and places."""
    yield from (value for name, value in dig.locate.fields if name.startswith(("Place", "Site", "County", "Name of the site")))
