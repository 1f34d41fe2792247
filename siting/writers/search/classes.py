"""The classes in which a search's cells are drawn: by how much of the limits the best azimuth uses, or why there is none."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from siting.records.search import FATES, IN_THE_LIFT, TileResult, fails_in_lift

OUTSIDE = 0  # of every raster of classes: outside the area, drawn clear


@dataclass(frozen=True, slots=True)
class CellClass:
    """A class: its value in the raster, what it says, how it is drawn."""

    value: int
    words: str
    colour: tuple[int, int, int]
    at_most: float | None = None  # largest utilisation; None: no utilisation decides


# From dark to light by the room that is left, in an order that is also read without colour; what does not pass is grey.
CLASSES = (
    CellClass(1, "passes, uses at most 50 % of the limits", (0, 68, 84), 0.5),
    CellClass(2, "passes, uses 50 to 75 %", (16, 124, 124), 0.75),
    CellClass(3, "passes, uses 75 to 90 %", (96, 178, 120), 0.9),
    CellClass(4, "passes, uses 90 to 100 %", (250, 214, 72), 1.0),
    CellClass(5, "best azimuth over a limit", (186, 132, 110), float("inf")),
    CellClass(6, "no azimuth passes", (234, 229, 219)),
    CellClass(7, "the land rules it out", (160, 152, 168)),
    CellClass(8, "no ground under the base", (60, 58, 62)),
    CellClass(9, "ground and land pass, lift or base fails", (158, 70, 58)),
)
NO_GROUND, IN_LIFT = 8, 9
WITHIN_LAND = (1, 2, 3, 4, 6, IN_LIFT)  # where an azimuth passes, or ground and limits alone decide that none does
# The class of a cell without a utilisation, by its fate.
OF_FATE = {
    "outside the area": OUTSIDE,
    "no ground under the base": NO_GROUND,
    "off the own land": 7,
    "setback or fall circle": 7,
    "obstacle in the fall circle": 7,
    "rule of the land": 7,
    "no azimuth": 6,
    **dict.fromkeys(IN_THE_LIFT, IN_LIFT),
    "passes": 6,
}
_BY_FATE = np.array([OF_FATE[name] for name in FATES], dtype=np.uint8)
NO_USE = 255  # where no utilisation decides
OVER = 5  # a point of a small picture under which some cells are over a limit, and others fail in the lift only
_BOUNDS = np.array([c.at_most for c in CLASSES if c.at_most is not None and c.at_most < np.inf])


def used_classes(used: np.ndarray, fate: np.ndarray) -> np.ndarray:
    """uint8 class of each cell's utilisation; NO_USE where there is none, or where the cell fails in the lift or on the base.

    Exactly at a class's limit is inside it.

    Args:
        used: worst utilisation of the best azimuth, NaN where there is none; fate: indices into FATES.
    """
    found = np.ones(used.shape, dtype=np.uint8)
    for bound in _BOUNDS:
        found += used > bound
    found[np.isnan(used) | fails_in_lift(fate)] = NO_USE
    return found


def with_fates(used_class: np.ndarray, fate: np.ndarray) -> np.ndarray:
    """uint8 class of each cell, no unit.

    Args:
        used_class: from `used_classes`, or the least of several cells'; fate: indices into FATES, or the largest of theirs.
    """
    by_fate = (used_class == NO_USE) | ((used_class == OVER) & fails_in_lift(fate))
    return np.where(by_fate, _BY_FATE[fate], used_class)


def classes_of(used: np.ndarray, fate: np.ndarray) -> np.ndarray:
    """uint8 class of each cell, no unit; exactly at a class's limit is inside it.

    Args:
        used: worst utilisation of the best azimuth, NaN where there is none; fate: indices into FATES.
    """
    return with_fates(used_classes(used, fate), fate)


def tile_classes(result: TileResult) -> np.ndarray:
    """uint8 class of each cell of a tile, no unit."""
    return classes_of(result.used, result.fate)


def class_words() -> str:
    """All classes in one line, for a file's tags; no unit."""
    return "; ".join(["0 outside the area", *(f"{c.value} {c.words}" for c in CLASSES)])
