"""The ground along the laydown's joints and along every guy's plan line, with each guy as it hangs at its set tension."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from siting.geodesy.geodesic import place
from siting.kernels.cable import hang_at_tension
from siting.records.guys import CutList
from siting.records.plan import GuyChord, Plan
from siting.records.profiles import GuyProfile, Hang, Joint, Profiles
from siting.terrain.surface import Surface
from siting.units import GRAVITY_M_S2

STEP_M, PAST_ANCHOR_M = 1.0, 5.0
POINTS = 24  # of a guy: between two of them its curve leaves their straight line by less than a thousandth of its sag
# A guy comes out of the ground at its anchor: its height over the ground is looked at from here on, towards the mast.
CLEAR_FROM_M = 3.0
NO_STRAND = "the mast file gives neither its strand nor its diameter_mm"
NOT_HELD_UP = "its set tension does not hold its own weight up"


@dataclass(frozen=True, slots=True)
class _Guys:
    """Every guy at once, arrays (G,): straight where `parameter_m` is not finite. Metres, from the anchor's ground."""

    span_m: np.ndarray
    rise_m: np.ndarray
    parameter_m: np.ndarray  # of the catenary
    start: np.ndarray  # arcsinh of the slope at the anchor

    def rise_at(self, guy: int, part: np.ndarray) -> np.ndarray:
        """Height above the anchor at these parts of the span, 0 at the anchor, 1 at the mast."""
        c, a = self.parameter_m[guy], self.start[guy]
        if not math.isfinite(c):
            return self.rise_m[guy] * part
        return c * (np.cosh(part * self.span_m[guy] / c + a) - math.cosh(a))


def profiles_of(plan: Plan, surface: Surface) -> Profiles:
    """Cribbing heights at the joints and the ground along every guy; metres above the ground at the base.

    The mast's underside is taken on the rest line. Guys hang with the mast plumb, those of the lift too; one whose strand
    is not known, or that its tension does not hold up, is a straight line and says so.

    Source: CONTRACT, geometry (samples placed like stakes, bilinear heights, rest line); kernels.cable for the shape.
    """
    stakes = {s.id: s for s in plan.stakes}
    anchors = tuple(dict.fromkeys(g.anchor for g in plan.guys))
    along_m, joints_m = _joint_distances_m(plan)
    lines = [(plan.laydown.azimuth_deg, joints_m)]
    lines += [(stakes[a].azimuth_deg, _distances_m(stakes[a].radius_m)) for a in anchors]
    grounds = _grounds_m(plan, surface, lines)
    shape = _hung(plan)
    why = ["" if math.isfinite(c) else _why_straight(plan, g) for g, c in zip(plan.guys, shape.parameter_m, strict=True)]
    guys = []
    for name, (_, s_m), ground_m in zip(anchors, lines[1:], grounds[1:], strict=True):
        own = [k for k, g in enumerate(plan.guys) if g.anchor == name]
        foot_m = stakes[name].height_m - plan.base.height_m
        hangs = tuple(_hang(plan.guys[k], (shape, k), foot_m, (s_m, ground_m), why[k]) for k in own)
        known = tuple(float(h) if np.isfinite(h) else None for h in ground_m)
        guys.append(GuyProfile(name, tuple(s_m.tolist()), known, hangs))
    return Profiles(_joints(plan, along_m, joints_m, grounds[0]), tuple(guys))


def _joint_distances_m(plan: Plan) -> tuple[np.ndarray, np.ndarray]:
    """Every joint along the mast, and its horizontal distance from the base, metres."""
    section_m = plan.mast.section_length_m
    short_m = section_m - (plan.mast.base_section_m or section_m)  # by so much the first section is shorter than the others
    count = math.floor((plan.mast.height_m + short_m) / section_m + 1e-9)
    along = np.arange(1, count + 1) * section_m - short_m
    return along, along * math.cos(math.radians(plan.laydown.rest_angle_deg))


def _distances_m(radius_m: float) -> np.ndarray:
    """From the base to the anchor in even steps that end on it, then on past it, metres."""
    past = radius_m + np.arange(STEP_M, PAST_ANCHOR_M + STEP_M / 2, STEP_M)
    return np.concatenate([np.linspace(0.0, radius_m, math.ceil(radius_m / STEP_M - 1e-9) + 1), past])


def _grounds_m(plan: Plan, surface: Surface, lines: list[tuple[float, np.ndarray]]) -> list[np.ndarray]:
    """Ground above the ground at the base along each (true azimuth, distances), metres; NaN where there is none."""
    base = plan.base
    azimuths = np.concatenate([np.full(s.size, azimuth) for azimuth, s in lines])
    lon, lat = place(base.lat, base.lon, azimuths, np.concatenate([s for _, s in lines]), base.height_m)
    heights = surface.heights_m(*surface.frame.colrow(lon, lat)) - base.height_m
    return np.split(heights, np.cumsum([s.size for _, s in lines])[:-1])


def _joints(plan: Plan, along_m: np.ndarray, s_m: np.ndarray, ground_m: np.ndarray) -> tuple[Joint, ...]:
    """The joints; a joint on a hole between two known samples takes the ground between those."""
    profile = plan.laydown.profile
    between = np.interp(s_m, profile.s_m, profile.ground_m) - plan.base.height_m
    ground_m = np.where(np.isfinite(ground_m), ground_m, between)
    line_m = plan.mast.hinge_height_m + along_m * math.sin(math.radians(plan.laydown.rest_angle_deg))
    cribbing = np.maximum(line_m - ground_m, 0.0)
    return tuple(Joint(*(float(v) for v in row)) for row in zip(along_m, s_m, ground_m, cribbing, strict=True))


def _hung(plan: Plan) -> _Guys:
    """Every guy of the plan with the mast plumb, at its set tension where it has one."""
    stakes = {s.id: s for s in plan.stakes}
    span = np.array([stakes[g.anchor].radius_m for g in plan.guys])
    foot = np.array([stakes[g.anchor].height_m for g in plan.guys])
    rise = plan.base.height_m + plan.mast.hinge_height_m + np.array([g.attach_m for g in plan.guys]) - foot
    weight, tension = np.full(span.size, np.nan), np.full(span.size, np.nan)
    mass = {s.name: s.mass_kg_per_m for s in plan.cut_list.strands} if plan.cut_list else {}
    listed = _listed(plan.cut_list)
    for k, guy in enumerate(plan.guys):
        if (guy.anchor, guy.attach_m, guy.use) in listed:
            strand, tension_kn = listed[guy.anchor, guy.attach_m, guy.use]
            weight[k], tension[k] = mass[strand] * GRAVITY_M_S2, tension_kn * 1000.0
    shape = hang_at_tension(span, rise, weight, tension)
    return _Guys(span, rise, shape.parameter_m, np.arcsinh(np.tan(shape.anchor_angle_rad)))


def _listed(cut_list: CutList | None) -> dict[tuple[str, float, str], tuple[str, float]]:
    """Strand and set tension (kN) of every guy that has them."""
    guys = cut_list.guys if cut_list else ()
    return {(g.anchor, g.attach_m, g.use): (g.strand, g.set_tension_kn) for g in guys}


def _why_straight(plan: Plan, guy: GuyChord) -> str:
    """What keeps a guy's curve from being known: its tension, the cut list's words, or the strand that is not given."""
    if (guy.anchor, guy.attach_m, guy.use) in _listed(plan.cut_list):
        return NOT_HELD_UP
    begun = f"{guy.anchor} at {guy.attach_m:g} m: "
    said = plan.cut_list.not_listed if plan.cut_list else ()
    return next((text.removeprefix(begun) for text in said if text.startswith(begun)), NO_STRAND)


def _hang(
    guy: GuyChord, which: tuple[_Guys, int], foot_m: float, ground: tuple[np.ndarray, np.ndarray], why_straight: str
) -> Hang:
    """One guy: its points, and where it comes nearest to the ground."""
    shape, k = which
    part = np.linspace(0.0, 1.0, POINTS)
    span = float(shape.span_m[k])
    x, z = span * (1.0 - part), foot_m + shape.rise_at(k, part)
    s_m, ground_m = ground
    over = (s_m <= span) & np.isfinite(ground_m)
    s_m, clear = s_m[over], foot_m + shape.rise_at(k, 1.0 - s_m[over] / span) - ground_m[over]
    near = s_m > span - min(CLEAR_FROM_M, span / 2.0)
    counted = (~near | (clear < 0.0)) & (s_m < span)
    least = int(np.argmin(np.where(counted, clear, np.inf))) if counted.any() else None
    return Hang(
        attach_m=guy.attach_m,
        use=guy.use,
        x_m=tuple(x.tolist()),
        z_m=tuple(z.tolist()),
        clear_m=None if least is None else float(clear[least]),
        clear_at_m=None if least is None else float(s_m[least]),
        straight_because=why_straight,
    )
