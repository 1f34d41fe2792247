"""Small charts of how the share that passes changes with each limit, one rule at a time; 1.0 is the limit as it stands."""

from __future__ import annotations

import math

from siting.records.search import SearchResult
from siting.writers.profiles.svg_marks import LINE, SMALL, TEXT, WIDTH, block, circle, line, number, picture, polyline, words
from siting.writers.search.words import BEFORE_THE_LIFT, Curve, gains_words, limit_words, sample_words, share_at, share_words

PREFIX = "search-limits"
HIGH, ROW = 26.0, 48.0
SCALE, CHART = 12.0, 44.0  # room for the share's scale, and the chart's own width
TOPS = (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0)
TITLE = "How the share that passes changes with each limit"
NOTE = (
    "Share of the cells that the land leaves. To the right the limit is wider; each is changed alone, the others stay. "
    f"The dashed line is the limit as it stands. {BEFORE_THE_LIFT}"
)



def curves_svg(result: SearchResult) -> str:
    """The charts as markup to stand in a page, empty where no cell was looked at; shares in percent."""
    curves = result.shares.curves
    if not result.shares.sample_count or not curves:
        return ""
    most = max(max(shares) for _, _, shares in curves)
    top = next(value for value in TOPS if most <= value or value == TOPS[-1])
    gains, y = block((0.0, 0.0), gains_words(result), WIDTH, TEXT)
    note, y = block((0.0, y + 1.0), f"{NOTE} Shares {sample_words(result.shares)}.", WIDTH, SMALL)
    drawn = [gains, note]
    for k, curve in enumerate(curves):
        drawn.append(_chart(result, curve, ((k % 2) * (WIDTH / 2 + 2.0), y + 3.0 + (k // 2) * ROW), top))
    told = "; ".join(f"{c[0]} {share_words(share_at(c, 1.0))} at its limit, {share_words(c[2][-1])} at {c[1][-1]:g} times it" for c in curves)
    return picture(PREFIX, y + 3.0 + -(-len(curves) // 2) * ROW, (TITLE, told), "".join(drawn))


def _chart(result: SearchResult, curve: Curve, corner: tuple[float, float], top: float) -> str:
    """One chart with its title, axes, curve, and the share at the limit as it stands."""
    name, ratios, shares = curve
    left, upper = corner[0] + SCALE, corner[1] + TEXT * LINE + 2.0
    lower = upper + HIGH

    def at(ratio: float, share: float) -> tuple[float, float]:
        x = left + CHART * math.log(ratio / ratios[0]) / math.log(ratios[-1] / ratios[0])  # so that half and double lie alike
        return x, lower - HIGH * min(share, top) / top

    now = at(1.0, share_at(curve, 1.0))
    parts = [words((corner[0], corner[1] + TEXT), name, bold=True), line((left, lower), (left + CHART, lower), "search-axis", 0.35)]
    for share in (0.0, top / 2, top):
        y = at(1.0, share)[1]
        parts += [
            line((left, y), (left + CHART, y), "search-grid", 0.12),
            words((left - 1.0, y + 1.3), f"{number(100 * share)} %", SMALL, align="end"),
        ]
    for ratio, align in ((ratios[0], "start"), (1.0, "middle"), (ratios[-1], "end")):
        x = at(ratio, 0.0)[0]
        parts += [
            line((x, lower), (x, lower + 1.0), "search-axis", 0.35),
            words((x, lower + 1.0 + SMALL), f"×{ratio:g}", SMALL, align=align),
            words((x, lower + 1.0 + SMALL * (1 + LINE)), limit_words(result.job.site.limits, name, ratio), SMALL, align=align),
        ]
    parts += [
        line((now[0], lower), (now[0], upper), "search-now", 0.3, "1 0.8"),
        polyline([at(ratio, share) for ratio, share in zip(ratios, shares)], "search-curve", 0.7),
        circle(now, 1.1, "search-now", "#fff", 0.5),
    ]
    # A curve never falls: below it to the right there is room, and above it to the left.
    below = lower - now[1] > TEXT * 1.6
    at_text = (now[0] + 1.4, now[1] + TEXT + 1.0) if below else (now[0] - 1.4, now[1] - 1.6)
    parts.append(words(at_text, share_words(share_at(curve, 1.0)), TEXT, bold=True, align="start" if below else "end"))
    return "".join(parts)
