"""What to bring, by group: anchors, guys, their ends, the lift's lines, earthing, marking."""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from typing import TypeVar

from siting.dig.clips import CLIPS_SOURCE, clips_per_end
from siting.dig.holes import DigSettings
from siting.dig.marking import marking
from siting.figures import shown
from siting.records.dig import Hole, Material
from siting.records.guys import NO_SOURCE, CutList, GuyLength
from siting.records.holding import PLATE, ROCK_BAR, SCREW, AnchorChoice, BaseHold
from siting.records.lift_guys import LiftGuys
from siting.records.mast import Mast
from siting.records.plan import Stake
from siting.records.rigging import EQUALISED

DRAWING = "check against the mast maker's drawing"
ANCHOR_WORDS = {SCREW: "screw anchor with its shaft", PLATE: "anchor plate", ROCK_BAR: "rock bar with grout"}
# Along the conductor, for its two ends and the bends. Common practice, no source.
CONDUCTOR_ENDS_M = 2.0
# Ends of a lift line or of the winch line. Common practice, no source.
LINE_ENDS_M, WINCH_ENDS_M = 2.0, 5.0

T = TypeVar("T")
K = TypeVar("K", bound=Hashable)


@dataclass(frozen=True, slots=True)
class MaterialCase:
    """What the list is made from."""

    mast: Mast
    choices: tuple[AnchorChoice, ...]
    base: BaseHold
    stakes: tuple[Stake, ...]
    holes: tuple[Hole, ...]
    cut_list: CutList | None
    lift_guys: LiftGuys | None
    settings: DigSettings


def material_list(case: MaterialCase) -> tuple[Material, ...]:
    """Every line of the list, in the order of the groups: pieces, metres.

    Raises:
        OutOfMethod: a rope too thick for the table of clips.
    """
    return (
        *_anchors(case), *_guys(case), *_ends(case), *_lift(case), *_earthing(case),
        *marking(case.mast, case.stakes, case.holes),
    )  # fmt: skip


def _by(items: Iterable[T], key: object) -> dict[K, list[T]]:
    """Items in groups, in the order in which each group is first met."""
    groups: dict[K, list[T]] = {}
    for item in items:
        groups.setdefault(key(item), []).append(item)  # type: ignore[operator]
    return groups


def _names(choices: list[AnchorChoice]) -> str:
    return " ".join(choice.anchor for choice in choices)


def _anchors(case: MaterialCase) -> list[Material]:
    """Anchors by kind and size, their rods by length, the base's pins, and what has no anchor yet."""
    rows = []
    held = [c for c in case.choices if c.chosen is not None]
    for (kind, size), group in _by(held, lambda c: (c.chosen.kind, c.chosen.size)).items():
        note = f"size worked out for the load and the ground; {DRAWING}, and the anchor maker's load"
        rows.append(Material("anchors", ANCHOR_WORDS.get(kind, kind), size, len(group), "pcs", _names(group), note))
    above = case.settings.rod_above_m
    # A millimetre over a decimetre orders no longer rod: such a length is a rounding.
    rods = [
        (c, math.ceil(round((c.chosen.rod_m + above) * 10.0, 2)) / 10.0)
        for c in held
        if c.chosen.rod_m and c.chosen.kind == PLATE
    ]
    for long_m, group in sorted(_by(rods, lambda pair: pair[1]).items()):
        load_kn = max(c.load.load_kn for c, _ in group)
        note = (
            f"with nut and washer plate; to carry {shown(load_kn, 'force')} with the rod maker's factor; {shown(above, 'length')} "
            f"over the ground is counted in ({NO_SOURCE})"
        )
        rows.append(
            Material(
                "anchors", "anchor rod with eye", shown(long_m, "length"), len(group), "pcs", _names([c for c, _ in group]), note
            )
        )
    if case.base.pins.ultimate_kn is not None:
        pins = case.settings.anchors
        size = f"{pins.pin_diameter_m * 1000:g} mm, {shown(pins.pin_length_m, 'length')}"
        rows.append(Material("anchors", "steel pin", size, pins.pins, "pcs", "BASE", f"holes in the base plate: {DRAWING}"))
    bare = [c for c in case.choices if c.chosen is None]
    if bare:
        note = "none of the kinds holds there: the list is not whole until one is chosen"
        rows.append(Material("anchors", "ANCHOR NOT CHOSEN", "not known", len(bare), "pcs", _names(bare), note))
    return rows


def _levels(guys: Iterable[GuyLength]) -> str:
    """The levels that guys are at, in words."""
    heights = sorted({round(guy.attach_m, 3) for guy in guys})
    return "levels " + ", ".join(f"{height:g}" for height in heights) + " m"


def _guys(case: MaterialCase) -> list[Material]:
    """Strand to order, and the guys that no length is known of."""
    if case.cut_list is None:
        return []
    rows = []
    for total in case.cut_list.totals:
        guys = [g for g in case.cut_list.guys if g.strand == total.strand and g.diameter_mm == total.diameter_mm]
        note = (
            f"{total.pieces} pieces {shown(total.total_m, 'length')} and {shown(total.spare_m, 'length')} spare, "
            f"{shown(total.mass_kg, 'mass')}; cut by the cut list; {DRAWING}"
        )
        size = f"{shown(total.diameter_mm, 'diameter')}, {total.strand}"
        rows.append(Material("guys", "guy strand", size, total.order_m, "m", _levels(guys), note))
    if case.cut_list.not_listed:
        missing = case.cut_list.not_listed
        rows.append(
            Material("guys", "GUY WITHOUT A LENGTH", "not known", len(missing), "pcs", "see the cut list", "; ".join(missing))
        )
    return rows


def _ends(case: MaterialCase) -> list[Material]:
    """Thimbles, shackles, adjusters and clips for both ends of every guy, by diameter."""
    rows = []
    guys = case.cut_list.guys if case.cut_list is not None else ()
    for diameter_mm, group in sorted(_by(guys, lambda g: g.diameter_mm).items()):
        size, where, count = f"for {shown(diameter_mm, 'diameter')} strand", _levels(group), len(group)
        clips = clips_per_end(diameter_mm)
        rows += [
            Material("ends", "thimble", size, 2 * count, "pcs", where, f"one for each end; {DRAWING}"),
            Material("ends", "shackle, screw pin secured", size, 2 * count, "pcs", where, f"one for each end; {DRAWING}"),
            Material(
                "ends", "turnbuckle or other adjuster", size, count, "pcs", where,
                f"one for each guy, at the anchor, secured against turning; {DRAWING}",
            ),
            Material(
                "ends", "wire rope clip, forged", size, 2 * clips * count, "pcs", where,
                f"{clips} for each end: {CLIPS_SOURCE}; the saddle on the live part; tighten as their maker says, again after "
                "loading; where the maker's drawing has preformed grips, two grips for each guy in their place",
            ),
        ]  # fmt: skip
    return rows


def _lift(case: MaterialCase) -> list[Material]:
    """The winch line and the lift lines."""
    rows, mast = [], case.mast
    gear = mast.rigging.winch
    lines = case.lift_guys.lines if case.lift_guys is not None else ()
    for line in (line for line in lines if line.role == "winch"):
        thick = "not given (line_diameter_mm)" if gear.line_diameter_mm is None else shown(gear.line_diameter_mm, "diameter")
        note = (
            f"single line: longest straight {shown(line.tightest_m, 'length')}, {shown(gear.wound_m, 'length')} on the drum, "
            f"{WINCH_ENDS_M:g} m for its end ({NO_SOURCE}); with a tackle so many times as it has parts; {DRAWING}"
        )
        long_m = math.ceil(line.tightest_m + gear.wound_m + WINCH_ENDS_M - 1e-9)
        rows.append(Material("lift", "winch line", thick, long_m, "m", f"gin pole to {line.anchor}", note))
        if gear.line_diameter_mm is not None:
            clips = clips_per_end(gear.line_diameter_mm)
            rows.append(
                Material(
                    "lift", "wire rope clip, forged", f"for {thick} rope", clips, "pcs", "end of the winch line", CLIPS_SOURCE
                )
            )
    for attach_m in mast.rigging.lift_attach_m:
        straight_m = math.hypot(attach_m, mast.gin_pole_length_m)
        led = "; led over a block, so in pairs of one length" if mast.rigging.lift_lines == EQUALISED else ""
        note = f"straight {shown(straight_m, 'length')} and {LINE_ENDS_M:g} m for its ends ({NO_SOURCE}){led}; its thickness: {DRAWING}"
        long_m = math.ceil((straight_m + LINE_ENDS_M) * 10.0 - 1e-9) / 10.0
        rows.append(
            Material("lift", "lift line", "see the lift's forces", long_m, "m", f"gin pole to {attach_m:g} m on the mast", note)
        )
    return rows


def _earthing(case: MaterialCase) -> list[Material]:
    """Lightning conductor from the air terminal to the earth rod, and the rod."""
    settings = case.settings
    long_m = math.ceil(case.mast.total_height_m + settings.earth_rod_out_m + CONDUCTOR_ENDS_M - 1e-9)
    note = (
        f"total height, base to rod {settings.earth_rod_out_m:g} m, {CONDUCTOR_ENDS_M:g} m for its ends ({NO_SOURCE}); without sharp bends; "
        "check whether the local code asks for more than one rod or for the guys to be earthed"
    )
    return [
        Material("earthing", "lightning conductor", "by the local code", long_m, "m", "air terminal to earth rod", note),
        Material(
            "earthing",
            "earth rod",
            shown(settings.earth_rod_m, "length"),
            1,
            "pcs",
            "beside BASE",
            "8 ft at least: NFPA 780, from memory",
        ),
        Material(
            "earthing", "conductor clamp", "for conductor and rod", 2, "pcs", "air terminal, earth rod", f"{NO_SOURCE}; {DRAWING}"
        ),
    ]
