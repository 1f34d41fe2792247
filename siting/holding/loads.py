"""The pull that each anchor must take: the maker's figure, else a wind screening, else what its guys break at; in the lift, the lift's."""

from __future__ import annotations

from dataclasses import dataclass, replace

from siting.figures import shown
from siting.holding.lift_loads import steepest_deg, swing_deg, temporary_grounds, winch_grounds
from siting.holding.pulls import Grounds, GuyAtAnchor, LiftPulls, anchor_load, pull_kn, scaled, turned_down
from siting.holding.wind_loads import DIRECTIONS, Screening, wind_screening
from siting.records.holding import BREAKING, MAKER, SCREENING, AnchorLoad, GuyLoad, WindInput
from siting.records.mast import PERMANENT, WINCH, Anchor, Mast

LEFT_OUT = (
    "Not in it: ice, gust response and vibration, instruments and booms, the speed-up of the wind over a hill or ridge, "
    "any partial factor (the factor of safety is on the ground's side)."
)
SCREENING_SOURCE = (
    "EN 1991-1-4, 4.3 to 4.5 (recommended values); mast as a continuous beam; "
    "guys' drag 1.3, EN 1993-3-1, Table B.2.1, from memory"
)
BREAKING_SOURCE = (
    "US Army FM 5-125, ch. 4: an anchorage should bear the breaking strength of the line attached to it; "
    "summed over the guys: common practice, no source"
)
# A side guy's pull that turns by more than this in plan leaves the rod's line: common practice, no source.
SWING_TOLD_DEG = 10.0


@dataclass(frozen=True, slots=True)
class _Job:
    """What every anchor's load is worked out from."""

    mast: Mast
    guys: tuple[GuyAtAnchor, ...]
    drop_m: dict[str, float]
    lift: LiftPulls
    wind: WindInput
    screening: Screening


def anchor_loads(
    mast: Mast,
    guys: tuple[GuyAtAnchor, ...],
    azimuth_deg: dict[str, float],
    drop_m: dict[str, float],
    wind: WindInput,
    lift: LiftPulls,
) -> tuple[AnchorLoad, ...]:
    """The load of every anchor that has one, kN, in the mast file's order; `without_load` names the others.

    Args:
        guys: every guy whose strand is known.
        azimuth_deg: true, from the base to each anchor.
        drop_m: how far the hinge stands above the ground at each anchor, below 0 where it stands lower.
    Raises:
        OutOfMethod: a terrain that EN 1991-1-4 does not have, or a wind that is not over 0.
    """
    job = _Job(mast, guys, drop_m, lift, wind, wind_screening(mast, guys, azimuth_deg, wind))
    found = []
    for anchor in mast.anchors:
        made = _pull(job, anchor)
        if made is not None:
            load = anchor_load(anchor.id, azimuth_deg[anchor.id] % 360.0, *made)
            found.append(load if anchor.use == PERMANENT else turned_down(load))
    return tuple(found)


def without_load(mast: Mast, loads: tuple[AnchorLoad, ...]) -> tuple[str, ...]:
    """One sentence for each anchor whose load is not known, and what would give it; no unit."""
    known = {load.anchor for load in loads}
    what = "give design_load_kn (the maker's figure), or strand or diameter_mm of its guys"
    winch = "give design_load_kn, or [winch] limit_kn"
    return tuple(
        f"{a.id}: the pull on it is not known; {winch if a.use == WINCH else what}" for a in mast.anchors if a.id not in known
    )


def _pull(job: _Job, anchor: Anchor) -> tuple[tuple[GuyLoad, ...], Grounds] | None:
    """An anchor's guys with their pulls, and what they rest on; None where nothing is known."""
    own = _own_guys(job, anchor)
    angles = _angles_deg(job, anchor, own)
    as_set = tuple(GuyLoad(g.attach_m, g.set_kn, angle) for g, angle in zip(own, angles, strict=True))
    if anchor.design_load_kn is not None:
        if anchor.use == WINCH:
            return _maker(job, anchor, (_winch_line(job, anchor, anchor.design_load_kn),))
        return _maker(job, anchor, as_set) if as_set else None
    if anchor.use == WINCH:
        known = winch_grounds(job.mast, job.lift)
        return None if known is None else ((_winch_line(job, anchor, known[0]),), known[1])
    if anchor.use == PERMANENT:
        if anchor.id in job.screening.anchors:
            return _screened(job, anchor)
    else:
        hauled = temporary_grounds(anchor, own, angles, job.lift)
        if hauled is not None:
            return hauled[0], _with_swing(job, anchor, hauled[1], hauled[0])
    if not own:
        return None
    breaking = tuple(GuyLoad(g.attach_m, g.breaking_kn, angle) for g, angle in zip(own, angles, strict=True))
    return breaking, _with_swing(job, anchor, _breaking_grounds(job, anchor), breaking)


def _own_guys(job: _Job, anchor: Anchor) -> tuple[GuyAtAnchor, ...]:
    """Guys that pull an anchor at one time: of a permanent one the permanent guys, where it has any."""
    own = tuple(g for g in job.guys if g.anchor == anchor.id)
    lasting = tuple(g for g in own if not g.is_temporary)
    return lasting if anchor.use == PERMANENT and lasting else own


def _angles_deg(job: _Job, anchor: Anchor, own: tuple[GuyAtAnchor, ...]) -> tuple[float, ...]:
    """Angle of each guy at the anchor: as it hangs; of a guy of the lift the steepest of the lift."""
    drop_m = job.drop_m[anchor.id]
    return tuple(
        steepest_deg(job.mast, anchor, drop_m, g.attach_m, job.lift) if g.is_temporary or anchor.use != PERMANENT else g.angle_deg
        for g in own
    )


def _winch_line(job: _Job, anchor: Anchor, tension_kn: float) -> GuyLoad:
    """The winch line at its anchor, at its steepest."""
    pole_m = job.mast.gin_pole_length_m
    return GuyLoad(pole_m, tension_kn, steepest_deg(job.mast, anchor, job.drop_m[anchor.id], pole_m, job.lift))


def _maker(job: _Job, anchor: Anchor, as_set: tuple[GuyLoad, ...]) -> tuple[tuple[GuyLoad, ...], Grounds]:
    """The maker's figure, shared over the guys as their set tensions are; and what else was found to be more."""
    design_kn = anchor.design_load_kn
    text = f"The mast file's figure, {shown(design_kn, 'force')}, shared over the anchor's guys as their set tensions are."
    if anchor.use == WINCH:
        text = f"The mast file's figure, {shown(design_kn, 'force')}, on the winch line at its steepest."
        known = winch_grounds(job.mast, job.lift)
        if known is not None and known[0] > design_kn:
            text += f" It is LESS than {shown(known[0], 'force')}: {known[1].text[0].lower()}{known[1].text[1:]}"
    elif pull_kn(as_set) > design_kn:
        text += f" It is LESS than the guys pull at their set tensions, {shown(pull_kn(as_set), 'force')}: ask the maker."
    screened = job.screening.anchors.get(anchor.id)
    if screened is not None and pull_kn(screened.guys) > design_kn:
        text += (
            f" It is LESS than a screening in a basic wind of {job.wind.basic_m_s:g} m/s gives, "
            f"{shown(pull_kn(screened.guys), 'force')}: ask the maker which wind it is for."
        )
    return scaled(as_set, design_kn), Grounds(MAKER, text, "mast file, design_load_kn")


def _screened(job: _Job, anchor: Anchor) -> tuple[tuple[GuyLoad, ...], Grounds]:
    """The wind screening's pull."""
    wind, found = job.wind, job.screening.anchors[anchor.id]
    text = (
        f"Screening, not design: peak wind pressure at a basic wind of {wind.basic_m_s:g} m/s, terrain {wind.terrain}, on the bare "
        f"mast and its guys; worst of {DIRECTIONS} directions and every anchor's own: from {found.wind_from_deg:.0f}° true. {LEFT_OUT}"
    )
    if found.broken:
        text += f" In this wind guys are loaded over their breaking strength: {', '.join(found.broken)}. Ask the maker."
    source = f"{SCREENING_SOURCE}; wind: {wind.source}" if wind.source else SCREENING_SOURCE
    return found.guys, Grounds(SCREENING, text, source)


def _breaking_grounds(job: _Job, anchor: Anchor) -> Grounds:
    """Why the breaking strengths are taken, and what would make the load smaller."""
    every = "Every guy at this anchor at its breaking strength, all at once: the most that they can pull."
    if anchor.use == PERMANENT:
        why = job.screening.refused or "the anchor holds no permanent guy"
        text = f"{every} The mast file gives no design_load_kn, and {why}. Either makes this load smaller."
    elif anchor.is_side:
        text = f"{every} No side wind is given for the lift; with one, and the mast's drag and area, this load is smaller."
    else:
        text = f"{every} The lift's forces give no pull of this guy."
    return Grounds(BREAKING, text, BREAKING_SOURCE)


def _with_swing(job: _Job, anchor: Anchor, grounds: Grounds, guys: tuple[GuyLoad, ...]) -> Grounds:
    """The same, and that the pull swings in plan where it does."""
    if anchor.use == PERMANENT:
        return grounds
    swing = swing_deg(job.mast, anchor, job.drop_m[anchor.id], max(g.attach_m for g in guys), job.lift)
    if swing <= SWING_TOLD_DEG:
        return grounds
    return replace(
        grounds, text=f"{grounds.text} In the lift the pull swings by {swing:.0f}° in plan: the rod cannot lie on it all the way."
    )
