"""What makes the mast and the place of the digging seen: spheres, sleeves, paint, stakes, flags."""

from __future__ import annotations

from siting.figures import shown
from siting.records.dig import Hole, Material
from siting.records.mast import PERMANENT, Mast
from siting.records.plan import Stake
from siting.units import METRES_PER_FOOT

# Montana Code 67-1-214(2), read: two balls on each outside guy wire, a sleeve 7 ft up each guy wire, seven bands.
SPHERES, BANDS, SLEEVE_FT = 2, 7, 7.0
EXAMPLE = "as one law has it, Montana Code 67-1-214(2); CHECK YOUR LOCAL CODE and the aviation authority"


def marking(mast: Mast, stakes: tuple[Stake, ...], holes: tuple[Hole, ...]) -> list[Material]:
    """Lines of the group marking: pieces, metres of mast to paint."""
    return [*_guy_marks(mast), *_paint(mast), *_stakes_and_flags(stakes, holes)]


def outer_guys(mast: Mast) -> tuple[str, ...]:
    """Anchors of the outside guys, those of the highest permanent level; no unit."""
    levels = [level for level in mast.guys if level.use == PERMANENT]
    return max(levels, key=lambda level: level.attach_m).anchors if levels else ()


def _guy_marks(mast: Mast) -> list[Material]:
    """Spheres on the outer guys, sleeves on every permanent guy."""
    outer = outer_guys(mast)
    if not outer:
        return []
    levels = [level for level in mast.guys if level.use == PERMANENT]
    guys = sum(len(level.anchors) for level in levels)
    anchors = " ".join(dict.fromkeys(anchor for level in levels for anchor in level.anchors))
    sleeve = f"{shown(SLEEVE_FT * METRES_PER_FOOT, 'length')} (7 ft), yellow"
    return [
        Material(
            "marking", "marker sphere", "by the local code", SPHERES * len(outer), "pcs", f"outer guys at {' '.join(outer)}",
            f"{SPHERES} on each outer guy, evenly spaced, {EXAMPLE}",
        ),
        Material("marking", "guy sleeve", sleeve, guys, "pcs", f"anchors {anchors}", f"one on each guy, up from its anchor, {EXAMPLE}"),
    ]  # fmt: skip


def _paint(mast: Mast) -> list[Material]:
    """Bands of paint, as metres of mast."""
    band_m = mast.height_m / BANDS
    orange = (BANDS + 1) // 2
    seen = mast.rigging.wind_area_m2_per_m
    area = "paint by its maker's figure for the mast's faces" if seen is None else (
        f"one side seen flat is {band_m * seen:.1f} m2 a band: paint goes round all faces"
    )  # fmt: skip
    size = f"{BANDS} equal bands of {shown(band_m, 'length')}, orange at the top and at the base"
    note = f"{area}; {EXAMPLE}; a mast painted by its maker needs none"
    return [
        Material("marking", "mast in aviation orange", size, band_m * orange, "m", "mast", note),
        Material("marking", "mast in white", size, band_m * (BANDS - orange), "m", "mast", note),
    ]


def _stakes_and_flags(stakes: tuple[Stake, ...], holes: tuple[Hole, ...]) -> list[Material]:
    """A stake with a flag for each point, a white flag for each place where the ground is opened."""
    return [
        Material(
            "marking", "stake with flag", "with its number", len(stakes), "pcs", " ".join(stake.id for stake in stakes),
            "one for each point of the staking plan; bring spare ones",
        ),
        Material(
            "marking", "white flag", "one for each hole", len(holes), "pcs", ", ".join(hole.id for hole in holes),
            "white marks the ground that is to be opened (APWA colours, from memory), before the locating service comes",
        ),
    ]  # fmt: skip
