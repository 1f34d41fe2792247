"""A search as an analyst reads it in a terminal: what was found, the spots, what the rules take away, what differs."""

from __future__ import annotations

import textwrap

from siting.records.search import SearchResult, Spot
from siting.writers.search.parts import area_cells, largest_loss, parts_of
from siting.writers.search.words import (
    BEFORE_THE_LIFT,
    NO_PLAN,
    VERDICT_WORDS,
    area_words,
    azimuth_words,
    count_words,
    fails_words,
    gains_words,
    headline,
    holding,
    limit_words,
    other_failing,
    part_words,
    sample_words,
    share_words,
    tried_words,
    used_words,
)

WIDTH = 100
CURVE_RATIOS = (0.8, 1.0, 1.2, 1.5)


def search_text(result: SearchResult, files: tuple[str, ...], out: str) -> str:
    """The whole text, lines of at most 100 characters.

    Args:
        files: names of what was written; out: the folder as shown.
    """
    mast = result.job.site.mast
    parts = [
        _wrapped(f"{result.job.name}   {mast.name}   run {result.run_id}"),
        _wrapped(f"{'FOUND' if holding(result) else 'NONE HOLDS'}. {headline(result)}"),
        _loud(result),
        _spots(result),
        _area(result),
        _limits(result),
        "\n".join(_wrapped(f"note  {text}") for text in (*result.notes, *result.land.notes)),
        f"{_wrapped(f'FILES in {out}')}\n{_wrapped('  '.join(files), '  ')}",
        _next(result, out),
        _wrapped(" ".join(result.cautions[:2])),
    ]
    return "\n\n".join(part for part in parts if part) + "\n"


def _wrapped(text: str, indent: str = "") -> str:
    return textwrap.fill(text, WIDTH, initial_indent=indent, break_on_hyphens=False, subsequent_indent=indent + "  ")


def _loud(result: SearchResult) -> str:
    """Where screening and plan differ, what fails in the plan alone, what is not checked."""
    lines = [_wrapped(f"WARNING  {text}") for text in result.warnings]
    lines += [_wrapped(f"DIFFERS  no. {s.rank}: {s.differs}") for s in result.spots if s.differs]
    for spot in result.spots:
        said = [text for text in (fails_words(spot), "; ".join(other_failing(spot))) if text]
        lines += [_wrapped(f"FAILS  no. {spot.rank}: {text}") for text in said]
    for items, ranks in _unchecked(result.spots):
        at = "at every spot" if len(ranks) == len(result.spots) else f"at {', '.join(f'no. {n}' for n in ranks)}"
        lines.append(_wrapped(f"NOT CHECKED {at}: {', '.join(v.replace('_', ' ') for v in items)}."))
    return "\n".join(lines)


def _unchecked(spots: tuple[Spot, ...]) -> list[tuple[tuple[str, ...], list[int]]]:
    """What is not checked, and at which spots, those with the same list together."""
    found: dict[tuple[str, ...], list[int]] = {}
    for spot in spots:
        if spot.unchecked:
            found.setdefault(spot.unchecked, []).append(spot.rank)
    return list(found.items())


def _spots(result: SearchResult) -> str:
    if not result.spots:
        return ""
    lines = [
        "SPOTS, the best first; azimuths true, as planned",
        f"  {'no.':<5}{'verdict':<13}{'used':>6}{'azimuth':>10}{'latitude':>13}{'longitude':>14}{'height':>11}  site file",
    ]
    for spot in result.spots:
        used, azimuth = used_words(spot.worst_utilisation), azimuth_words(spot.azimuth_deg)
        height = "–" if spot.verdict is None else f"{spot.height_m:.2f} m"
        lines.append(
            f"  {spot.rank:<5}{VERDICT_WORDS[spot.verdict]:<13}{used:>6}{azimuth:>10}{spot.lat:>13.7f}{spot.lon:>14.7f}{height:>11}  {spot.site_file}"
        )
        if spot.worst_check:
            lines.append(_wrapped(f"tightest: {spot.worst_check}", " " * 7))
    if any(spot.verdict is None for spot in result.spots):
        lines.append(_wrapped(f"{NO_PLAN}: what was screened there stands in search.json.", "  "))
    lines += ["", _wrapped(f"PLANNED  {tried_words(result)}")]
    return "\n".join(lines)


def _area(result: SearchResult) -> str:
    """What became of the area; the parts add up."""
    cells = area_cells(result.shares)
    parts = parts_of(result.shares)
    lines = [_wrapped(f"AREA  {count_words(cells)} cells, {area_words(result, cells)}, {len(result.azimuths_deg)} azimuths each")]
    wide = max((len(part.words) for part in parts), default=0)
    lines += [f"  {part.words:<{wide}}  {part_words(result, part)}" for part in parts]
    most = largest_loss(parts)
    if most is not None:
        lines.append(_wrapped(f"Most is taken away by: {most.words}, {share_words(most.share)} of the area.", "  "))
    if any(part.is_estimate for part in parts):
        lines.append(_wrapped(f"“about”: {sample_words(result.shares)}.", "  "))
    return "\n".join(lines)


def _limits(result: SearchResult) -> str:
    """How the share that passes changes with each limit, in four columns."""
    curves = [curve for curve in result.shares.curves if result.shares.sample_count]
    if not curves:
        return ""
    lines = ["LIMITS  share of the cells that the land leaves, if this limit alone were so many times as wide"]
    lines.append(f"  {'':<20}{'limit':>9}" + "".join(f"{f'x {ratio:g}':>13}" for ratio in CURVE_RATIOS))
    for name, ratios, shares in curves:
        at = {round(ratio, 6): share for ratio, share in zip(ratios, shares)}
        cells = [share_words(at[ratio]) if ratio in at else "–" for ratio in CURVE_RATIOS]
        lines.append(f"  {name:<20}{limit_words(result.job.site.limits, name, 1.0):>9}" + "".join(f"{cell:>13}" for cell in cells))
    lines += [_wrapped(text, "  ") for text in (gains_words(result), f"Shares {sample_words(result.shares)}. {BEFORE_THE_LIFT}")]
    return "\n".join(lines)


def _next(result: SearchResult, out: str) -> str:
    """How to go on with a spot."""
    good = holding(result)
    return _wrapped(f"NEXT  siting plan {out.rstrip('/')}/{good[0].site_file}") if good else ""
