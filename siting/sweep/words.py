"""Says in plain words what the sweep found: why this laydown, what rules the others out."""

from __future__ import annotations

import numpy as np

from siting.checks import ground as g
from siting.checks import land
from siting.checks.columns import Column
from siting.records.plan import RuledOut, RunnerUp
from siting.sweep.choose import Ranking
from siting.units import compass_point, turn_deg
from siting.verdict import FAIL

# Ground flatter than this in every direction has no uphill worth the name: common practice, no source.
LEVEL_PERCENT = 0.5
# Two laydowns closer than this are the same direction to a crew: common practice, no source.
APART_DEG = 15.0
RUNNERS_UP = 3


def ground_form(slopes_percent: np.ndarray) -> str:
    """What the slopes all around say of the base: level, summit, hollow or slope. No unit."""
    if np.abs(slopes_percent).max() < LEVEL_PERCENT:
        return "level"
    if slopes_percent.max() < -LEVEL_PERCENT:
        return "summit"
    if slopes_percent.min() > LEVEL_PERCENT:
        return "hollow"
    return "slope"


def fault_words(column: Column, k: int) -> str:
    """What a check finds on one azimuth, in plain words with value and limit."""
    value, limit = float(column.values[k if column.by_azimuth else 0]), column.limit.value
    name = column.id.partition(":")[2]
    if column.kind == g.LAYDOWN_SLOPE:
        if value < column.low_limit.value:
            return f"the ground falls along it ({value:+.1f} %)"
        return f"the ground rises {value:.1f} % along it (limit {limit:g} %)"
    if column.kind == g.REST_SLOPE:
        return f"the mast would lie at {value:.1f} % (limit {limit:g} %)"
    if column.kind == g.GAP:
        return f"the mast would bridge a gap of {value:.1f} m, {column.place(k)} (limit {limit:g} m)"
    if column.kind == g.ANCHOR_SLOPE:
        return f"anchor {name} would stand on ground of {value:.0f} % (limit {limit:g} %)"
    if column.kind == g.SIDE_GUY_TRAVEL:
        anchor, _, attach = name.partition("@")
        return f"the side guy from {attach} m to {anchor} would change by {value:.2f} m in the lift (limit {limit:g} m)"
    if column.kind == g.WINCH_ARM:
        return f"the winch line's lever arm shrinks to {value:.2f} of the gin pole (least {limit:g})"
    if column.kind == land.ANCHOR_ON_LAND:
        return f"anchor {name} would stand {abs(value):.1f} m {'inside' if value >= 0 else 'outside'} the own land"
    if column.kind == land.GUY_ON_LAND:
        return f"the guys to {name} would run {value:.1f} m over other land"
    if column.kind == land.LAYOUT_CLEAR:
        return f"{name} or its guys would meet {value:.0f} obstacle{'s' if value != 1 else ''}"
    return f"{column.label}: {value:.2f} {column.unit} (limit {limit:g})"


def runners_up(azimuths_deg: np.ndarray, ranking: Ranking, columns: list[Column], slopes: np.ndarray, chosen: int) -> tuple[RunnerUp, ...]:
    """The best azimuths that lie apart from the chosen one and from each other."""
    taken = [float(azimuths_deg[chosen])]
    found: list[RunnerUp] = []
    for k in ranking.order:
        azimuth = float(azimuths_deg[k])
        if len(found) == RUNNERS_UP:
            break
        if all(abs(turn_deg(azimuth, other)) >= APART_DEG for other in taken):
            taken.append(azimuth)
            why = fault_words(columns[int(ranking.worst_column[k])], int(k))
            found.append(
                RunnerUp(azimuth, float(slopes[k]), float(ranking.worst_utilisation[k]), ranking.verdict(int(k)), why)
            )
    return tuple(found)


def ruled_out(azimuths_deg: np.ndarray, columns: list[Column]) -> tuple[RuledOut, ...]:
    """Runs of neighbouring azimuths that fail, by the kind of check that fails worst, clockwise from north."""
    used = np.stack([np.where(c.verdicts == 2, c.utilisation, -1.0) for c in columns])
    main = used.argmax(axis=0)
    fails = used.max(axis=0) >= 0
    kinds = [columns[m].kind if f else "" for m, f in zip(main, fails, strict=True)]
    runs: list[list[int]] = []
    for k, kind in enumerate(kinds):
        joined = runs and kinds[runs[-1][-1]] == kind and azimuths_deg[k] - azimuths_deg[runs[-1][-1]] <= 1.0
        if joined:
            runs[-1].append(k)
        else:
            runs.append([k])
    if len(runs) > 1 and kinds[runs[0][0]] == kinds[runs[-1][0]] and azimuths_deg[0] + 360 - azimuths_deg[-1] <= 1.0:
        runs[0] = runs.pop() + runs[0]
    out = []
    for run in runs:
        kind = kinds[run[0]]
        if kind:
            worst = max(run, key=lambda k: used[main[k], k])
            text = fault_words(columns[int(main[worst])], worst)
            out.append(RuledOut(float(azimuths_deg[run[0]]), float(azimuths_deg[run[-1]]), kind, text))
    return tuple(out)


def summary(azimuth_deg: float, slope_percent: float, form: str, verdict: str) -> str:
    """The laydown in one plain sentence."""
    where = f"Lay the mast toward {azimuth_deg:.1f}° true ({compass_point(azimuth_deg)})"
    run = f"the ground {'rises' if slope_percent >= 0 else 'falls'} {abs(slope_percent):.1f} % along it"
    if form == "level":
        return f"The ground is level: no direction is uphill. {where}, the azimuth with the most margin; {run}."
    if form == "summit":
        return f"The base stands on a summit: the ground falls away in every direction, so there is no uphill laydown. Of all azimuths {azimuth_deg:.1f}° falls short by least; {run}."
    if form == "hollow":
        return f"The base stands in a hollow: the ground rises in every direction, and water will gather at the base. {where}; {run}."
    if verdict == FAIL:
        return f"No good laydown here: {azimuth_deg:.1f}° true ({compass_point(azimuth_deg)}) is judged, and it fails; {run}."
    return f"{where}; {run}."


def reasons(
    azimuths_deg: np.ndarray, ranking: Ranking, columns: list[Column], slopes: np.ndarray, chosen: int, is_given: bool
) -> tuple[str, ...]:
    """Why this azimuth, in plain sentences."""
    azimuth = float(azimuths_deg[chosen])
    tightest = columns[int(ranking.worst_column[chosen])]
    passing = ranking.verdicts < 2
    lines = [
        f"Tightest check on {azimuth:.1f}°: {fault_words(tightest, chosen)}, "
        f"{100 * float(ranking.worst_utilisation[chosen]):.0f} % of what is allowed."
    ]
    lines.append(f"{int(passing.sum())} of {azimuths_deg.size} azimuths meet every check that depends on the direction.")
    best = int(ranking.order[0])
    if is_given and best != chosen:
        lines.append(
            f"The azimuth was given by the user. The sweep would choose {float(azimuths_deg[best]):.1f}° "
            f"({100 * float(ranking.worst_utilisation[best]):.0f} % of what is allowed, {ranking.verdict(best)})."
        )
    steepest = int(np.argmax(slopes))
    if abs(turn_deg(azimuth, float(azimuths_deg[steepest]))) > 2.0 and ranking.verdicts[steepest] == 2:
        failing = max(
            (c for c in columns if c.verdicts[steepest] == 2), key=lambda c: float(c.utilisation[steepest])
        )
        lines.append(
            f"Straight up the steepest rise, {float(azimuths_deg[steepest]):.0f}° true ({slopes[steepest]:.1f} %), fails: "
            f"{fault_words(failing, steepest)}."
        )
    return tuple(lines)
