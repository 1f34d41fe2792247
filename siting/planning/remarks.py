"""What must be said beside the numbers: headline, warnings, cautions, and how the numbers are defined."""

from __future__ import annotations

from dataclasses import dataclass

from siting.checks.ground import unchecked_of_mast
from siting.checks.land import unchecked_of_land
from siting.geodesy.frames import Frame
from siting.geodesy.links import Link, hidden_shift_words
from siting.geodesy.north import Declination
from siting.planning.ground import Ground, cell_m
from siting.planning.land import LandOnGround
from siting.records.findings import Check, Unchecked
from siting.records.ground import DemHeader
from siting.records.mast import Mast
from siting.records.site import Site
from siting.verdict import FAIL, MARGINAL, PASS

# A cell longer than this part of the smallest anchor radius cannot tell the ground at one anchor from the ground
# at the next: common practice, no source.
COARSE_CELL_RATIO = 0.5

CAUTIONS = (
    "This is a calculation on open terrain data, not a survey, not a design and not a permission to build or to lift.",
    "The mast maker's drawing and instructions, local codes and a licensed engineer or surveyor come first.",
    "Look at the ground before you rely on a slope: a DEM does not show rocks, ditches, crops, walls or what was built since.",
    "Heights come from the DEM: they are not for grade, and not a rover's heights.",
    "Find overhead and buried lines on site and call the local locating service before any stake is driven or hole dug.",
    "Nobody stands under the mast, near a tight line, behind the hinge or inside the fall circle while the mast moves.",
    "Wind, visibility and the state of anchors and rigging decide on the day whether anything is raised.",
)

METHOD = (
    "Azimuths: degrees clockwise from true north at the base; grid = true - convergence; magnetic = true - declination.",
    "A radius is a horizontal ground distance; a stake is the geodesic direct solution on WGS 84 with length d*R/(R+h).",
    "Heights are bilinear between DEM cell centres; slope and aspect are Horn's operator on the DEM cell, in ground metres.",
    "h is the DEM's height; a geoid's undulation would move a stake at 110 m by under 2 mm and is left out.",
    "Pull: mast alone, mass x H at H/2, gin pole square to the mast; guys, instruments and friction are not in it.",
)


@dataclass(frozen=True, slots=True)
class Remarks:
    """What a plan must say beside its numbers."""

    unchecked: tuple[Unchecked, ...]
    warnings: tuple[str, ...]
    notes: tuple[str, ...]


def all_remarks(
    site: Site, ground: Ground, frame: Frame, north: Declination, land: LandOnGround, lift_warnings: tuple[str, ...],
    lift_unchecked: tuple[Unchecked, ...],
) -> Remarks:
    """What could not be checked, what must be read before use, what was assumed or repaired."""
    coarse, coarse_warnings = coarse_ground(cell_m(ground), site.mast)
    frame_warnings, frame_notes = frame_remarks(ground.surface.frame.link, ground.header, frame)
    mast_warnings, mast_notes = mast_remarks(site.mast)
    return Remarks(
        unchecked=(*coarse, *unchecked_of_mast(site.mast), *unchecked_of_land(site.land, land.obstacle_kinds), *lift_unchecked),
        warnings=(*coarse_warnings, *frame_warnings, *land.warnings, *north.warnings, *lift_warnings, *mast_warnings),
        notes=(*frame_notes, *ground.notes, *land.notes, *mast_notes),
    )


def headline(verdict: str, checks: tuple[Check, ...], unchecked: tuple[Unchecked, ...]) -> str:
    """The verdict in one plain sentence. Never a final word: no 'safe', no 'approved'."""
    failing = sum(c.verdict == FAIL for c in checks)
    marginal = sum(c.verdict == MARGINAL for c in checks)
    found = {
        FAIL: f"{failing} of {len(checks)} checks fail",
        MARGINAL: f"Nothing fails on the best estimate, but {marginal} of {len(checks)} checks pass by less than the "
        "data's own error",
        PASS: f"All {len(checks)} checks that could be made pass",
    }.get(verdict, "Nothing could be checked")
    return f"{found}; {len(unchecked)} could NOT be checked." if unchecked else f"{found}."


def coarse_ground(cell_m: tuple[float, float], mast: Mast) -> tuple[tuple[Unchecked, ...], tuple[str, ...]]:
    """What to say of a DEM whose cell is of the order of the anchor radius."""
    smallest_m = min(a.radius_m for a in mast.anchors)
    cell = max(cell_m)
    if cell < COARSE_CELL_RATIO * smallest_m:
        return (), ()
    text = (
        f"The DEM is too coarse for this mast: a cell is {cell:.0f} m and the nearest anchor stands {smallest_m:.0f} m "
        "from the base, so slopes and heights at the anchors are smoothed over ground that nobody has measured"
    )
    item = Unchecked("terrain_detail", text, "use a DEM with cells of a few metres, or have the ground surveyed")
    return (item,), (f"{text}. A smooth fit on such cells is not knowledge of the ground.",)


def frame_remarks(dem_link: Link, header: DemHeader, frame: Frame) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Warnings and notes on units and transformations."""
    warnings, notes = [], []
    for link, what in ((dem_link, f"DEM {header.shown_path}"), (frame.link, f"coordinates in {frame.name}")):
        hidden = hidden_shift_words(link)
        if hidden:
            warnings.append(f"{what}: {hidden}.")
        elif link.accuracy_m is None or link.accuracy_m > 0:
            size = "of unknown accuracy" if link.accuracy_m is None else f"good to about {link.accuracy_m:g} m"
            notes.append(f"{what}: reached from WGS 84 by '{link.operation}', {size}.")
    if not header.unit_is_stated:
        axis_m = frame_unit_m(dem_link)
        text = f"{header.shown_path} does not state the unit of its heights: taken as metres"
        if axis_m != 1.0:
            warnings.append(f'{text}, though its map unit is a foot. Write [dem] vertical_unit = "m", "ft" or "us-ft".')
        else:
            notes.append(f"{text}.")
    if not header.vertical_datum:
        notes.append(f"{header.shown_path} names no vertical datum: its heights fit together, but not with a rover's.")
    return tuple(warnings), tuple(notes)


def frame_unit_m(link: Link) -> float:
    """Metres in the unit of a link's CRS; 1 for degrees."""
    return 1.0 if link.crs.is_geographic else link.crs.axis_info[0].unit_conversion_factor


def mast_remarks(mast: Mast) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Warnings and notes on the mast."""
    warnings, notes = [], []
    if mast.is_generic:
        warnings.append(f"The mast '{mast.name}' is generic: it is no maker's product. Use the maker's drawing for a real mast.")
    if mast.total_height_m < mast.hinge_height_m + mast.height_m - 1e-9:
        warnings.append(
            f"total_height_m is {mast.total_height_m:g} m, less than hinge height + height "
            f"({mast.hinge_height_m + mast.height_m:g} m): the fall zone may be drawn too small."
        )
    if not mast.guys:
        notes.append("The mast file has no guys.")
    return tuple(warnings), tuple(notes)
