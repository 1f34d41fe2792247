"""Layers, line types and sizes of the drawing. Sizes are metres on the ground at the plot scale of 1:500."""

from __future__ import annotations

from dataclasses import dataclass

PLOT_SCALE = 500
TEXT_M = 1.25  # 2.5 mm on paper at 1:500
TITLE_M = 2.5
LINE_SPACING = 1.6
# A wide letter against its height in a plain sans serif; drawings are set in whatever font a machine has.
LETTER_WIDTH = 0.9
RIM = 0.35  # free rim around a label, in heights of its letters
SYMBOL_M = 0.6
GAP_M = 0.6
# $INSUNITS of a drawing, and 0 where the unit has no number: then only the text says it.
INSERT_UNITS = {"m": 6, "ft": 2, "us-ft": 21}
DASHES_M = {
    "STAKING_DASHED": (2.0, 1.0),
    "STAKING_DASHDOT": (3.0, 0.75, 0.0, 0.75),
    "STAKING_DOTTED": (0.5, 0.75),
}
CONTINUOUS = "CONTINUOUS"


@dataclass(frozen=True, slots=True)
class DrawingLayer:
    """A layer: its name, AutoCAD colour index, line weight in hundredths of a millimetre, and line type."""

    name: str
    colour: int
    weight: int = 25
    line_type: str = CONTINUOUS


POINT_LAYERS = {
    "base": DrawingLayer("Stake base", 1, 35),
    "permanent": DrawingLayer("Stake permanent anchor", 5, 35),
    "temporary": DrawingLayer("Stake temporary anchor", 30, 35),
    "winch": DrawingLayer("Stake winch anchor", 6, 35),
    "head": DrawingLayer("Stake mast head", 7, 35),
    "offset": DrawingLayer("Stake offset", 8, 18),
    "control": DrawingLayer("Control point", 94, 35),
    "feature": DrawingLayer("Physical feature", 94, 25),
}
SHAPE_LAYERS = {
    "laydown": DrawingLayer("Laydown", 7, 60),
    "guy": DrawingLayer("Guy", 5, 25),
    "side_guy": DrawingLayer("Side guy", 30, 25, "STAKING_DASHED"),
    "winch_line": DrawingLayer("Winch line", 6, 35, "STAKING_DASHDOT"),
    "fall_zone": DrawingLayer("Fall zone", 1, 50),
    "setback": DrawingLayer("Setback", 32, 35, "STAKING_DASHED"),
    "anchor_circle": DrawingLayer("Anchor circle", 8, 18, "STAKING_DOTTED"),
}
INFORMATION = DrawingLayer("Information", 7, 25)
