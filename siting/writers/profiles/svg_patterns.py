"""The patterns of the inline rose, one for each kind of check: lines, dots and tones that are told apart without colour."""

from __future__ import annotations

from siting.writers.profiles.sectors import Kind
from siting.writers.profiles.svg_marks import circle, element

TILE = 2.6
# In the order of sectors.KINDS; None: a tone, whose ink stands in PATTERN_INK.
PATHS: tuple[str | None, ...] = (
    f"M{TILE / 2:g} 0V{TILE:g}",
    f"M0 {TILE / 2:g}H{TILE:g}",
    "dots",
    f"M{TILE / 2:g} 0V{TILE:g}M0 {TILE / 2:g}H{TILE:g}",
    f"M0 {TILE:g}L{TILE:g} 0",
    f"M0 0L{TILE:g} {TILE:g}",
    f"M0 {TILE:g}L{TILE:g} 0M0 0L{TILE:g} {TILE:g}",
    None,
    "rings",
    None,
)
PATTERN_INK = {7: 0.2, 9: 0.55}


def pattern_fill(prefix: str, kind: Kind) -> str:
    """What fills a sector of this kind: a pattern's address, or the ink of a tone; no unit."""
    return "currentColor" if PATHS[kind.pattern % len(PATHS)] is None else f"url(#{prefix}-{kind.pattern})"


def kind_patterns(prefix: str, found: tuple[Kind, ...]) -> str:
    """The patterns of these kinds, their ids beginning with the prefix; no unit."""
    return "".join(_pattern(prefix, kind) for kind in sorted(found, key=lambda k: k.pattern) if PATHS[kind.pattern % len(PATHS)])


def _pattern(prefix: str, kind: Kind) -> str:
    path = PATHS[kind.pattern % len(PATHS)]
    if path == "dots":
        inside = circle((TILE / 4, TILE / 4), 0.4, "rose-dot", "currentColor", None) + circle((0.75 * TILE, 0.75 * TILE), 0.4, "rose-dot", "currentColor", None)
    elif path == "rings":
        inside = circle((TILE / 2, TILE / 2), 0.7, "rose-ring", "none", 0.25)
    else:
        inside = element("path", d=path, stroke="currentColor", stroke_width=0.3, fill="none")
    return element("pattern", inside, id=f"{prefix}-{kind.pattern}", width=TILE, height=TILE, patternUnits="userSpaceOnUse")
