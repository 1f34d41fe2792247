"""Names around the rose, on paper and on the map: each where it finds room, what matters most first."""

from __future__ import annotations

from collections.abc import Sequence

from siting.writers.paper.sketch_labels import Box, Label, Placed, place_labels


def place_around(labels: Sequence[Label], marks: Sequence[Box], area: Box) -> list[Placed]:
    """A place for every name; where they crowd, the compass' degrees give way first, then the last names one by one."""
    tries = (list(labels), [n for n in labels if not n.lines[0].endswith("°")])
    for wanted in tries:
        placed = place_labels(wanted, marks, (), area)
        if placed is not None:
            return placed
    kept: list[Label] = []
    for label in tries[1]:
        if place_labels([*kept, label], marks, (), area) is not None:
            kept.append(label)
    return place_labels(kept, marks, (), area) or []
