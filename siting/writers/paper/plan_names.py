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
# What siting puts before a rule file's own note, and what it says itself of the nearest thing.
_FROM_FILE = re.compile(r"^(?:(?:Not checked: .*?|No parcels were given, .*? too)\.(?: (?=[A-Z])|$))+")
_COMPOSED = re.compile(r"line to parcel |outer line of |none within |no line is left")


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
    found = [*_places(plan), *_frame(plan), *_mast(plan), *_land(plan), *_permit(plan), *_air(plan), *_sources(plan)]
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
        yield from (file.path, file.path.rpartition("/")[2], file.sha256, file.sha256[:8])
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
        yield rule.id if "-" in rule.id else ""
        yield from (rule.rule_set, rule.title, _FROM_FILE.sub("", rule.note), *rule.waived)
        yield from () if _COMPOSED.match(rule.to) else (rule.to,)
        yield from _cited((rule.source,))
    for shape in plan.shapes:
        if shape.kind in ("parcel", "own_land", "obstacle"):
            yield from (shape.id, shape.label.partition(": ")[2])
    for check in plan.checks:
        if check.kind == "fall_zone_obstacle":
            yield check.place.partition(", ")[0]
    for dates in land.permit_dates:
        yield dates.rule_set
        yield from (source.partition("; read ")[0] for source in re.findall(r"Source: (.*); check your local code", dates.text))


def _permit(plan: Plan) -> Iterator[str]:
    """What the applicant says, what the layers call things; paper and layers of the site map."""
    facts, ground = plan.permit, plan.permit_ground
    yield plan.paper
    if facts is not None:
        yield from (facts.applicant, facts.address, facts.parcel, facts.owner, facts.zoning, facts.access, facts.purpose, facts.drawing)
        yield from (facts.drawn_by, facts.checked_by, facts.paper, *facts.adjoining, *(item.reference for item in facts.given))
        for revision in facts.revisions:
            yield from (text for text in (revision.mark, revision.date, revision.text, revision.by) if len(text) > 1)  # A is a word
    if ground is not None:
        yield from (text for outline in ground.outlines for text in (outline.name, outline.owner))
        yield from (outline.id for outline in ground.outlines if outline.kind == "parcel")
        yield from (distance.to for distance in ground.distances)
        yield from (path for _, path in ground.sources)


def _air(plan: Plan) -> Iterator[str]:
    """Laws with their citations, airports and their files; what is to be written into a form of the United States."""
    if plan.air is None:
        return
    air, form = plan.air, plan.air.form
    yield from re.findall(r"authority of ([A-Z-]+)", air.headline)
    yield from (air.airfields, *air.airfields.split(" and "), *air.sources)
    for found in air.criteria:
        yield from (found.id, found.source)
    for near in air.nearest:
        yield from (near.airport, near.name, near.runway)
    for law in air.markings:
        yield from (law.law, law.source, law.place if len(law.place) > 2 else "")  # US is a word of other names
    yield from (form.latitude, form.longitude, form.datum, form.nearest_airport, form.lead_time, form.file_by, form.supplemental)
    yield from (form.accuracy, "; ".join(form.supplied))


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
