"""The words that the files of a search share: verdicts of spots, areas, shares, limits."""

from __future__ import annotations

import math

from siting.figures import shown
from siting.records.search import PASSING, SearchResult, Shares, Spot
from siting.records.site import Limits
from siting.verdict import FAIL
from siting.writers.search.parts import Part, hectares, is_counted

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
BEFORE_THE_LIFT = "Lift and base are not looked at in these shares."
# Shares for limits as wide as these are worth a word: half as wide again, and a gain of so much.
WIDER, WORTH_A_WORD = 1.5, 0.005

Curve = tuple[str, tuple[float, ...], tuple[float, ...]]


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
    """The ground under some cells, in hectares; what is small, in square metres."""
    area = hectares(result, cells)
    if 0.0 < area < 0.01:
        return f"{area * 1e4:.0f} m²"
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


def share_at(curve: Curve, ratio: float) -> float:
    """The share where the limit is so many times itself, 0 to 1: at the nearest ratio that was worked out."""
    nearest = min(range(len(curve[1])), key=lambda k: abs(curve[1][k] - ratio))
    return curve[2][nearest]


def gains_words(result: SearchResult) -> str:
    """Which limits are worth a look, the one that gains most first: what half as wide again brings, shares in percent."""
    gains = [(share_at(curve, WIDER) - share_at(curve, 1.0), curve) for curve in result.shares.curves]
    worth = sorted((item for item in gains if item[0] > WORTH_A_WORD), key=lambda item: -item[0])
    if not worth:
        return "No limit, half as wide again, lets notably more cells pass."
    limits = result.job.site.limits
    told = "; ".join(
        f"{curve[0]} ({limit_words(limits, curve[0], 1.0)} to {limit_words(limits, curve[0], WIDER)}), "
        f"from {share_words(share_at(curve, 1.0))} to {share_words(share_at(curve, WIDER))}"
        for _, curve in worth[:2]
    )
    return f"Of limits half as wide again, {'these gain' if len(worth) > 1 else 'this one gains'} most: {told}."


def sample_words(shares: Shares) -> str:
    """From how many cells the shares of the rules are told, and how far they may be off, in points of a percent.

    Source: twice the standard error of a share of one half, as if the cells had been drawn by lot; any textbook of statistics.
    """
    if is_counted(shares):
        return f"told from all {count_words(shares.sample_count)} cells that the land leaves"
    off = 100.0 / math.sqrt(max(shares.sample_count, 1))
    points = f"about {off:.0f} {'point' if round(off) == 1 else 'points'}" if off >= 0.95 else "less than a point"
    return f"told from a sample of {count_words(shares.sample_count)} cells, a share may be off by {points}"


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


def fails_words(spot: Spot) -> str:
    """What fails in a spot's plan and is not screened, which is no difference between the two; empty where nothing does. No unit."""
    checks = spot.failing_unscreened
    which = "a check that is" if len(checks) == 1 else "checks that are"
    return f"Fails in its plan on {which} not screened: {'; '.join(checks)}." if checks else ""


def other_failing(spot: Spot) -> tuple[str, ...]:
    """The failing checks that neither `differs` nor `fails_words` says, no unit."""
    return tuple(text for text in spot.failing if text not in spot.differs and text not in spot.failing_unscreened)


def tried_words(result: SearchResult) -> str:
    """How many plans were made and how they ended, the counts adding up; no unit of its own."""
    tried = result.tried
    if not tried.plans:
        return "No spot was planned."
    ended = [
        (tried.holding, "holds", "hold"),
        (tried.failing_unscreened, "fails only a check that is not screened", "fail only checks that are not screened"),
        (tried.failing_screened, "fails a screened check", "fail a screened check"),
        (tried.without_plan, "cannot be planned", "cannot be planned"),
    ]
    said = "; ".join(f"{count} {one if count == 1 else many}" for count, one, many in ended if count)
    checks = ", ".join(f"{result.of_plan_only[kind]} ({count})" for kind, count in tried.by_check)
    spots = "1 spot was" if tried.plans == 1 else f"{tried.plans} spots were"
    return f"{spots} planned, of {tried.most} at most: {said}." + (f" Failing checks that are not screened: {checks}." if checks else "")
