"""The words of the profiles and the rose, the same on paper and on the map."""

from __future__ import annotations

from siting.figures import shown
from siting.records.plan import Plan
from siting.records.profiles import Hang
from siting.units import compass_point
from siting.writers.profiles.sectors import NOT_JUDGED, Run, Sector, holds, kinds, sectors

NO_PROFILES = "This plan holds no profiles: make it again with this version."
NO_GUYS = "The mast file has no guys: no line is drawn."
NO_JOINTS = "The mast has one section: it has no joint to crib up."
CRIBBING = (
    "Cribbing: height of the rest line over the ground at the joint. The mast's underside is taken on the rest line; it never "
    "lies below the ground.",
    "Joints are counted from the hinge in whole sections. Where the mast's own sections differ, go by the distances.",
    "Heights are the DEM's, not for grade: measure each pack on site before the mast is laid on it.",
)
HANGING = (
    "Guys hang at their set tension with the mast plumb; those of the lift are drawn in the same way. Heights and lengths alike.",
    "Least height: of the guy over the ground, from 3 m off its anchor to the mast (from half way, where the anchor is nearer "
    "than 6 m). Below 0 the guy would lie on the ground.",
)
ALLOWED = "A bar inward from the ring: what is left of the tightest check on that direction; it is longest where nothing is used."
SECTORS_TOLD = "One sector for each direction of the laydown, from the base to the head. True north is up."


def bearing(azimuth_deg: float) -> str:
    """A true azimuth as the pictures write it: whole degrees without noughts behind them."""
    return f"{azimuth_deg:.0f}°" if abs(azimuth_deg - round(azimuth_deg)) < 5e-7 else shown(azimuth_deg, "bearing")


def signed_m(value_m: float, decimals: int = 2) -> str:
    """A height with its sign, metres."""
    return f"{value_m:+.{decimals}f} m".replace("-", "−")


def laydown_facts(plan: Plan) -> str:
    """The laydown in one line."""
    lay = plan.laydown
    return (
        f"Rest line {shown(lay.rest_slope_percent, 'percent')}, {shown(lay.rest_angle_deg, 'angle')} above the horizontal; "
        f"hinge {shown(plan.mast.hinge_height_m, 'length')} above the ground at the base; "
        f"largest gap {shown(lay.max_gap_m, 'travel')} at {shown(lay.max_gap_at_m, 'length')} from the base."
    )


def clear_words(hang: Hang) -> str:
    """The least height of a guy over the ground, and where."""
    if hang.clear_m is None:
        return "ground not known"
    where = "BELOW THE GROUND" if hang.clear_m < 0.0 else "over the ground"
    return f"{shown(abs(hang.clear_m), 'travel')} {where} at {shown(hang.clear_at_m, 'length')} from the base"


def uphill_words(plan: Plan) -> str:
    """Which way is uphill at the base, or that none is."""
    uphill = plan.base.uphill_deg
    if uphill is None or plan.base.slope_percent is None:
        return "uphill: none, the DEM's cell at the base is level or its slope is not known"
    return f"uphill at the base: {uphill:.0f}° ({compass_point(uphill)}), {shown(plan.base.slope_percent, 'percent')}"


def allowed_words(found: tuple[Sector, ...]) -> str:
    """How many directions are allowed, ruled out and not judged."""
    count = {v: sum(s.verdict == v for s in found) for v in ("pass", "marginal", "fail", NOT_JUDGED)}
    told = [f"{count['pass']} pass"]
    told += [f"{count['marginal']} marginal"] if count["marginal"] else []
    told += [f"{count['fail']} ruled out"]
    told += [f"{count[NOT_JUDGED]} not judged"] if count[NOT_JUDGED] else []
    return f"{len(found)} directions: {', '.join(told)}."


def rose_summary(plan: Plan) -> str:
    """What the rose shows, for a reader who cannot see it."""
    lay = plan.laydown
    others = ", ".join(bearing(r.azimuth_deg) for r in lay.runners_up)
    parts = [
        allowed_words(sectors(lay)),
        f"Laydown {shown(lay.azimuth_deg, 'bearing')} true ({lay.chosen_by}), {VERDICTS[lay.verdict]}.",
        f"Next best: {others}." if others else "",
        uphill_words(plan)[:1].upper() + uphill_words(plan)[1:] + ".",
    ]
    return " ".join(p for p in parts if p)


VERDICTS = {"pass": "passes", "marginal": "marginal", "fail": "FAILS"}


def run_words(plan: Plan, run: Run, found: tuple[Sector, ...]) -> str:
    """What rules a run out, the worst of it; why it was not judged; how much of it is left where it is allowed."""
    first = run.sectors[0].azimuth_deg
    if run.verdict == NOT_JUDGED:
        return f"Not judged: {next(d.reason for d in plan.laydown.dropped if d.azimuth_deg == first)}"
    if run.verdict != "fail":
        return f"Allowed, at best {100.0 * max(s.margin for s in run.sectors):.0f} % left"
    told = (r.text for r in plan.laydown.ruled_out if r.check == run.kind and holds(r, first))
    text = next(told, next(kind.words for kind in kinds(found) if kind.kind == run.kind))
    return text[:1].upper() + text[1:]
