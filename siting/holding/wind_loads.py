"""The pull at each permanent anchor in a wind on the standing mast: screening, not design.

Wind pressure by EN 1991-1-4 on mast and guys; the mast as a continuous beam over its guy levels; at each level the guys
share what the beam gives them; an anchor takes the vector sum of its guys, in the wind that loads it most.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from siting.holding.pulls import GuyAtAnchor, guy_load
from siting.holding.refusal import out_of_range
from siting.kernels.level_guys import LevelGuys, share_push
from siting.kernels.mast_wind import guy_drag_n, level_forces_n, mast_slabs
from siting.kernels.wind_pressure import HIGHEST_M, TERRAIN, peak_pressure_pa
from siting.records.holding import GuyLoad, WindInput
from siting.records.mast import TEMPORARY, Mast

DIRECTIONS = 36  # beside every anchor's own side


@dataclass(frozen=True, slots=True)
class ScreenedAnchor:
    """One anchor in the wind that loads it most."""

    wind_from_deg: float  # true
    guys: tuple[GuyLoad, ...]
    broken: tuple[str, ...]  # guys that this wind would load over their breaking strength, in words


@dataclass(frozen=True, slots=True)
class Screening:
    """Every permanent anchor in its worst wind; or why there is none."""

    anchors: dict[str, ScreenedAnchor]
    refused: str  # in plain words; empty where it holds
    wanted: bool  # a wind was given


@dataclass(frozen=True, slots=True)
class Rig:
    """The permanent guys as arrays: N guys from the lowest level up, L levels."""

    guys: tuple[GuyAtAnchor, ...]
    azimuth_deg: np.ndarray  # (N,)
    levels_m: np.ndarray  # (L,)
    level: np.ndarray  # (N,)
    towards: np.ndarray  # (N, 2) east, north
    chord_m: np.ndarray
    level_ratio: np.ndarray
    rise_ratio: np.ndarray
    level_set_n: np.ndarray  # level pull at the set tension
    half_weight_n: np.ndarray  # half the guy's weight, from its angle at the anchor


def wind_screening(mast: Mast, guys: tuple[GuyAtAnchor, ...], azimuth_deg: dict[str, float], wind: WindInput) -> Screening:
    """Pull of the guys at each permanent anchor, kN, in the worst of 36 winds and of those from every anchor's own side.

    Args:
        azimuth_deg: true, from the base to each anchor.
    Raises:
        OutOfMethod: a terrain that EN 1991-1-4 does not have, or a wind that is not over 0.
    """
    if wind.basic_m_s is None:
        return Screening({}, "no wind is given ([wind] basic_m_s)", False)
    if wind.terrain not in TERRAIN:
        raise out_of_range("[wind] terrain", f"'{wind.terrain}' is no terrain category", f"give one of {', '.join(TERRAIN)}")
    if not 0.0 < wind.basic_m_s < float("inf"):
        raise out_of_range("[wind] basic_m_s", f"{wind.basic_m_s:g} m/s is no wind", "give the national annex's basic wind, m/s")
    temporary = {a.id for a in mast.anchors if a.use == TEMPORARY}
    lasting = (g for g in guys if not g.is_temporary and g.anchor not in temporary)
    permanent = tuple(sorted(lasting, key=lambda g: g.attach_m))
    refused = _refusal(mast, permanent, azimuth_deg, temporary)
    if refused:
        return Screening({}, refused, True)
    return Screening(_worst(rig_guys(permanent, azimuth_deg), mast, wind), "", True)


def _refusal(mast: Mast, guys: tuple[GuyAtAnchor, ...], azimuth_deg: dict[str, float], temporary: set[str]) -> str:
    """Why the wind on this mast cannot be screened; empty where it can."""
    rigging = mast.rigging
    keys = {"drag_coefficient": rigging.drag_coefficient, "wind_area_m2_per_m": rigging.wind_area_m2_per_m}
    missing = " and ".join(name for name, value in keys.items() if value is None)
    if missing:
        return f"the mast file does not give {missing}"
    named = {(lv.attach_m, a) for lv in mast.guys if lv.use != TEMPORARY for a in lv.anchors if a not in temporary}
    known = {(g.attach_m, g.anchor) for g in guys}
    if not named:
        return "the mast has no permanent guys"
    if named - known:
        attach_m, anchor = min(named - known)
        return f"the guy from {attach_m:g} m to {anchor} has no length or strand"
    if mast.hinge_height_m + mast.height_m > HIGHEST_M:
        return f"EN 1991-1-4 ends at {HIGHEST_M:g} m above the ground"
    for attach_m in sorted({g.attach_m for g in guys}):
        around = np.sort([azimuth_deg[g.anchor] % 360.0 for g in guys if g.attach_m == attach_m])
        if np.diff(around, append=around[0] + 360.0).max() >= 180.0 - 1e-6:
            return f"the guys at {attach_m:g} m do not hold the mast on every side"
    return ""


def rig_guys(guys: tuple[GuyAtAnchor, ...], azimuth_deg: dict[str, float]) -> Rig:
    """The permanent guys as arrays, no unit of their own: lengths in metres, forces in newtons."""
    azimuth = np.array([azimuth_deg[g.anchor] for g in guys])
    levels_m, level = np.unique([g.attach_m for g in guys], return_inverse=True)
    chord = np.array([g.chord_m for g in guys])
    level_ratio = np.array([g.span_m for g in guys]) / chord
    rise_ratio = np.array([g.rise_m for g in guys]) / chord
    set_n, angle = np.array([g.set_kn for g in guys]) * 1000.0, np.radians([g.angle_deg for g in guys])
    level_set_n = set_n * np.cos(angle)
    half_weight_n = np.maximum(level_set_n * rise_ratio / level_ratio - set_n * np.sin(angle), 0.0)
    towards = np.stack([np.sin(np.radians(azimuth)), np.cos(np.radians(azimuth))], axis=-1)
    return Rig(guys, azimuth, levels_m, level, towards, chord, level_ratio, rise_ratio, level_set_n, half_weight_n)


def _worst(rig: Rig, mast: Mast, wind: WindInput) -> dict[str, ScreenedAnchor]:
    """Each anchor in its worst wind."""
    winds_deg = np.unique(np.concatenate([np.arange(DIRECTIONS) * 360.0 / DIRECTIONS, rig.azimuth_deg % 360.0]))
    level_n, upward_n = anchor_parts_n(rig, mast, wind, winds_deg)
    names = [g.anchor for g in rig.guys]
    found = {}
    for name in dict.fromkeys(names):
        own = [i for i, other in enumerate(names) if other == name]
        worst = int(np.hypot(level_n[own].sum(axis=0), upward_n[own].sum(axis=0)).argmax())
        loads = tuple(
            guy_load(rig.guys[i].attach_m, float(level_n[i, worst]) / 1000.0, float(upward_n[i, worst]) / 1000.0) for i in own
        )
        broken = tuple(
            f"{rig.guys[i].attach_m:g} m ({100.0 * load.tension_kn / rig.guys[i].breaking_kn:.0f} %)"
            for i, load in zip(own, loads, strict=True)
            if load.tension_kn > rig.guys[i].breaking_kn
        )
        found[name] = ScreenedAnchor(float(winds_deg[worst]), loads, broken)
    return found


def anchor_parts_n(rig: Rig, mast: Mast, wind: WindInput, winds_deg: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """(N, D) pull of each guy on its anchor, newtons: level part towards the base, upward part.

    The guy's tension runs along its chord; at the anchor half its weight pulls down, and half of the wind on it is held.
    """
    from_rad = np.radians(winds_deg)
    blows = -np.stack([np.sin(from_rad), np.cos(from_rad), np.zeros_like(from_rad)], axis=-1)
    drag = _drag_n(rig, mast, wind, blows)
    push = _mast_forces_n(rig, mast, wind)[:, None, None] * blows[None, :, :2]
    np.add.at(push, rig.level, drag[..., :2] / 2.0)
    shared = share_push(level_guys(rig), push)
    if not np.isfinite(shared.tension_n).all():
        raise out_of_range("[wind]", "the guys of a level find no balance in this wind", "check wind, drag, area and strands")
    level_n = shared.tension_n * rig.level_ratio[:, None]
    straight_n = shared.tension_n * rig.rise_ratio[:, None]
    towards_base = level_n - np.einsum("ndk,nk->nd", drag[..., :2], rig.towards) / 2.0
    upward = straight_n - rig.half_weight_n[:, None] + drag[..., 2] / 2.0
    # A slack guy lies on the ground; it does not press its anchor down.
    return np.maximum(towards_base, 0.0), np.maximum(upward, np.minimum(straight_n, 0.0))


def _mast_forces_n(rig: Rig, mast: Mast, wind: WindInput) -> np.ndarray:
    """(L,) wind on the mast that each level takes."""
    ends = mast_slabs(mast.height_m)
    pressure = peak_pressure_pa(mast.hinge_height_m + (ends[:-1] + ends[1:]) / 2.0, wind.basic_m_s, wind.terrain)
    per_m = pressure * mast.rigging.drag_coefficient * mast.rigging.wind_area_m2_per_m
    return level_forces_n(rig.levels_m, ends, per_m)


def _drag_n(rig: Rig, mast: Mast, wind: WindInput, blows: np.ndarray) -> np.ndarray:
    """(N, D, 3) wind on each guy, at the pressure of its attachment: the largest along it."""
    pressure = peak_pressure_pa(rig.levels_m + mast.hinge_height_m, wind.basic_m_s, wind.terrain)[rig.level]
    along = np.concatenate([-rig.level_ratio[:, None] * rig.towards, rig.rise_ratio[:, None]], axis=-1)
    diameter_m = np.array([g.diameter_mm for g in rig.guys]) / 1000.0
    return guy_drag_n(blows, along, rig.chord_m, diameter_m, pressure)


def level_guys(rig: Rig) -> LevelGuys:
    """The guys as hanging springs of their levels, newtons and metres."""
    stiffness_n = np.array([g.stiffness_n for g in rig.guys])
    return LevelGuys(
        level=rig.level,
        towards=rig.towards,
        level_ratio=rig.level_ratio,
        set_n=rig.level_set_n / rig.level_ratio,
        spring_n_per_m=stiffness_n / np.array([g.unstressed_m for g in rig.guys]),
        sag_n3=stiffness_n * (2.0 * rig.half_weight_n * rig.level_ratio) ** 2 / 24.0,
    )
