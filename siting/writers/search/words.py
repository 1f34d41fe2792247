"""The words that the files of a search share: verdicts of spots, areas, shares, limits."""

from __future__ import annotations

from siting.figures import shown
from siting.records.search import PASSING, SearchResult, Spot
from siting.records.site import Limits
from siting.verdict import FAIL
from siting.writers.search.parts import Part, hectares

NO_PLAN = "NO PLAN"
VERDICT_WORDS = {"pass": "pass", "marginal": "MARGINAL", "fail": "FAIL", "unchecked": "NOT CHECKED", None: NO_PLAN}
NOT_A_SURVEY = "Screened and calculated from a DEM. Not a survey, and no permission to lift."
# Of each rule with a limit: the limit's field, its quantity, and whether it is a least value.
LIMIT_OF = {
    "anchor slope": ("anchor_slope_max_percent", "percent", False),
    "laydown slope": ("laydown_slope_max_percent", "percent", False),
    "rest slope": ("rest_slope_max_percent", "percent", False),
    "gap under the mast": ("gap_max_m", "length", False),
    "side guy travel": ("side_guy_travel_max_m", "travel", False),
    "winch arm": ("winch_arm_min_ratio", "ratio", True),
}


def holds(spot: Spot) -> bool:
    """True where the spot's plan passes or is marginal."""
    return spot.verdict is not None and spot.verdict not in (FAIL, "unchecked")


def holding(result: SearchResult) -> tuple[Spot, ...]:
    """The spots whose plan passes or is marginal, no unit."""
    return tuple(spot for spot in result.spots if holds(spot))


def used_words(used: float | None) -> str:
    """A utilisation as a reader sees it: percent of the limit."""
    return "–" if used is None else f"{100 * used:.0f} %"


def azimuth_words(azimuth_deg: float | None) -> str:
    """A true azimuth as a reader sees it, degrees."""
    return shown(azimuth_deg, "bearing")


def count_words(cells: int) -> str:
    """A number of cells in groups of three, no unit of its own."""
    return f"{cells:,}".replace(",", " ")


def area_words(result: SearchResult, cells: int) -> str:
    """The ground under some cells, in hectares."""
    area = hectares(result, cells)
    return f"{area:.2f} ha" if area < 10 else f"{area:.1f} ha" if area < 1000 else f"{count_words(round(area))} ha"


def share_words(share: float) -> str:
    """A share in percent; what is not nothing never reads as 0 %, nor what is not all as 100 %."""
    percent = 100.0 * share
    if 0.0 < percent < 0.05:
        return "under 0.1 %"
    return "over 99.9 %" if 99.95 <= percent < 100.0 else f"{percent:.1f} %"


def part_words(result: SearchResult, part: Part) -> str:
    """A part's share, cells and area."""
    about = "about " if part.is_estimate else ""
    return f"{share_words(part.share)}: {about}{count_words(part.cells)} cells, {area_words(result, part.cells)}"


def limit_words(limits: Limits, rule: str, ratio: float) -> str:
    """The limit of a rule, so many times as wide, with its unit; empty for a rule without one.

    A least value is as many times smaller, as its utilisation is limit over value.
    """
    if rule not in LIMIT_OF:
        return ""
    field, kind, is_least = LIMIT_OF[rule]
    value = getattr(limits, field).value
    return shown(value / ratio if is_least else value * ratio, kind)


def headline(result: SearchResult) -> str:
    """What was found, in one sentence, no unit of its own."""
    found, good = len(result.spots), len(holding(result))
    if not found:
        what = "No cell passes" if result.job.options.mode == PASSING else "No spot was found"
        return f"{what}: the picture of what the rules take away says which limit decides."
    if not good:
        return f"None of the {found} best spots holds when it is planned." if found > 1 else "The best spot does not hold when it is planned."
    best = result.spots[0]
    many = f"{good} of {found} spots hold when planned" if found > 1 else "The one spot holds when planned"
    return f"{many}; the best, {best.site_file}, uses {used_words(best.worst_utilisation)} of its limits and lays towards {azimuth_words(best.azimuth_deg)} true."
