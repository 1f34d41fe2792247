"""The one picture of what the rules take away: each part's bar begins where the one before ended, what passes is left."""

from __future__ import annotations

from siting.records.search import SearchResult
from siting.writers.profiles.svg_marks import LINE, SMALL, TEXT, WIDTH, block, box, line, picture, words
from siting.writers.search.classes import CLASSES, IN_LIFT, NO_GROUND
from siting.writers.search.parts import AZIMUTH, GROUND, LAND, LEFT, LIFT, Part, area_cells, parts_of
from siting.writers.search.words import area_words, count_words, sample_words, share_words

PREFIX = "search-parts"
BAR, GAP = 4.6, 3.4
# The colours of the map's classes, so that the bars and the map say the same.
_CLASS_OF = {GROUND: NO_GROUND, LAND: 7, AZIMUTH: 6, LIFT: IN_LIFT, LEFT: 2}
INK = {group: "#{:02x}{:02x}{:02x}".format(*next(c.colour for c in CLASSES if c.value == value)) for group, value in _CLASS_OF.items()}
TITLE = "What the rules take away of the area"
LEFT_WORDS = "what ground and land leave"


def waterfall_svg(result: SearchResult) -> str:
    """The picture as markup to stand in a page; shares in percent, cells, hectares.

    What ground and land leave may be a sliver of the area: it is drawn once more as wide as the area was, and its parts under
    it. The share over a bar is always that of the bar's own width.
    """
    parts, whole = parts_of(result.shares), area_cells(result.shares)
    first = tuple(p for p in parts if p.group in (GROUND, LAND))
    second = parts[len(first) :]
    left = sum(p.cells for p in second)
    told = "; ".join(f"{_name(part)} {share_words(part.share)}" for part in parts)
    content, y = _total("the whole area", whole, share_words(1.0), result, 0.0)
    rows, y = _bars(result, first if left else parts, whole, whole, y)
    content += rows
    if first and left:
        content += line((0.0, y - GAP / 2), (WIDTH, y - GAP / 2), "search-rule", 0.5)
        head, y = _total(LEFT_WORDS, left, f"{share_words(left / whole)} of the area, drawn wider", result, y)
        content += head
    if left:
        rows, y = _bars(result, second, left, whole, y)
        content += rows
    if any(part.is_estimate for part in parts):
        text, y = block((0.0, y), f"“about”: {sample_words(result.shares)}. A cell counts under the first rule that it breaks.", WIDTH, SMALL)
        content += text
    return picture(PREFIX, y + 1.0, (TITLE, f"Of {count_words(whole)} cells: {told}."), content)


def _name(part: Part) -> str:
    return "left: it passes" if part.group == LEFT else part.words


def _total(name: str, cells: int, share: str, result: SearchResult, y: float) -> tuple[str, float]:
    """The bar that the parts under it divide, and where the next row begins."""
    return _row((name, share, f"{count_words(cells)} cells, {area_words(result, cells)}"), (0.0, 1.0), "none", y)


def _bars(result: SearchResult, parts: tuple[Part, ...], of: int, whole: int, y: float) -> tuple[str, float]:
    """The parts one under the other, each beginning where the one before ended, and where the next row begins.

    Args:
        of: cells that the width stands for; whole: cells of the area.
    """
    content, before = "", 0
    for part in parts:
        figures = f"{'about ' if part.is_estimate else ''}{count_words(part.cells)} cells, {area_words(result, part.cells)}"
        figures += f"; {share_words(part.share)} of the area" if of != whole else ""
        span = (before / max(of, 1), (before + part.cells) / max(of, 1))
        row, following = _row((_name(part), share_words(part.cells / max(of, 1)), figures), span, INK[part.group], y)
        if part is not parts[-1]:  # to where the next part begins
            row = line((span[1] * WIDTH, following - SMALL * LINE - GAP), (span[1] * WIDTH, following + TEXT * LINE), "search-step", 0.15, "0.8 0.8") + row
        content, before, y = content + row, before + part.cells, following
    return content, y


def _row(told: tuple[str, str, str], span: tuple[float, float], fill: str, y: float) -> tuple[str, float]:
    """A part with its name and share over its bar and its figures under it, and where the next begins.

    Args:
        told: name, share, figures; span: of the width, 0 to 1.
    """
    top = y + TEXT * LINE + 0.4
    bottom = top + BAR
    markup = (
        words((0.0, y + TEXT), told[0], bold=fill in ("none", INK[LEFT]))
        + words((WIDTH, y + TEXT), told[1], align="end", bold=True)
        + line((0.0, bottom), (WIDTH, bottom), "search-floor", 0.15)
        + box((span[0] * WIDTH, top), (max((span[1] - span[0]) * WIDTH, 0.25), BAR), "search-bar", fill, 0.3)
        + words((0.0, bottom + SMALL + 0.5), told[2], SMALL)
    )
    return markup, bottom + SMALL * LINE + GAP
