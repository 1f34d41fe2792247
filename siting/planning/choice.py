"""Sweeps every azimuth, ranks them, and takes the best one or the user's own."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

import numpy as np

from siting.checks.columns import Column
from siting.checks.setbacks import judge_rules
from siting.errors import TerrainGap
from siting.geodesy.frames import Frame
from siting.planning.ground import Ground
from siting.planning.land import LandOnGround, columns_by_azimuth, columns_of_base
from siting.records.findings import Check, Unchecked
from siting.records.rules import RuleFinding
from siting.records.site import Site
from siting.sweep.azimuths import Sweep, azimuths_to_sweep, rays_for, sweep_azimuths
from siting.sweep.choose import Ranking, rank_azimuths


@dataclass(frozen=True, slots=True)
class Choice:
    """The sweep, its ranking, and the azimuth that the plan is for."""

    sweep: Sweep
    ranking: Ranking
    by_azimuth: list[Column]  # the checks that depend on the azimuth
    index: int  # of the chosen azimuth in the sweep
    checks: tuple[Check, ...]  # of the chosen azimuth and of the base, the tightest first
    anchor_m: dict[str, float]  # ground height at each anchor
    rest_rad: float  # rest line above the horizontal
    rules: tuple[RuleFinding, ...]  # of the chosen azimuth
    unchecked: tuple[Unchecked, ...]  # what rules leave unchecked
    warnings: tuple[str, ...]


def choose_laydown(site: Site, ground: Ground, frame: Frame, land: LandOnGround) -> Choice:
    """The laydown with the most margin, or the user's own azimuth judged by the same checks.

    Raises:
        TerrainGap: the user's azimuth, or every azimuth, needs ground that the DEM does not have.
    """
    mast, base_m, surface = site.mast, ground.base_height_m, ground.surface
    azimuths = azimuths_to_sweep(site.azimuth_deg)
    rays = rays_for(surface, mast, azimuths, base_m)
    sweep = sweep_azimuths(surface, rays, ground.header, mast, site.limits, azimuths, base_m)
    _require_ground(sweep, site)
    rules = judge_rules(site.rules.sets, land.rules, mast, frame, sweep.anchors.azimuths_deg)
    by_azimuth = [*sweep.columns, *columns_by_azimuth(land, site, frame, sweep.anchors.azimuths_deg), *rules.columns_by_azimuth]
    ranking = rank_azimuths(sweep.azimuths_deg, by_azimuth)
    index = int(ranking.order[0])
    if site.azimuth_deg is not None:
        index = int(np.argmin(np.abs(sweep.azimuths_deg - site.azimuth_deg)))
    checks = (c.check(index) for c in (*by_azimuth, *columns_of_base(land, site, frame), *rules.columns_of_base))
    return Choice(
        sweep=sweep,
        ranking=ranking,
        by_azimuth=by_azimuth,
        index=index,
        checks=tuple(sorted(checks, key=lambda c: (-c.utilisation, c.id))),
        anchor_m={a.id: float(sweep.anchors.heights_m[index, i]) for i, a in enumerate(mast.anchors)},
        rest_rad=float(sweep.rest.rest_rad[index]),
        rules=rules.findings(index),
        unchecked=rules.unchecked,
        warnings=rules.warnings,
    )


def _require_ground(sweep: Sweep, site: Site) -> None:
    """Gives up where the user's azimuth, or every azimuth, needs ground that the DEM does not have."""
    wanted = site.azimuth_deg
    reasons = [d.reason for d in sweep.dropped if wanted is None or d.azimuth_deg == wanted]
    if wanted is not None and reasons:
        raise TerrainGap.of(
            "ground_missing", f"{site.where}, [laydown] azimuth_deg = {wanted:g}", reasons[0],
            "choose another azimuth or base, or give a DEM that covers the layout",
        )  # fmt: skip
    if wanted is None and sweep.azimuths_deg.size == 0:
        reason, count = Counter(r.partition(" (")[0].partition(" from")[0] for r in reasons).most_common(1)[0]
        raise TerrainGap.of(
            "ground_missing", f"base {site.base.lat:.6f}, {site.base.lon:.6f}",
            f"no azimuth has ground under the whole layout; most often ({count} of {len(reasons)}) {reason}, "
            f"first at {sweep.dropped[0].azimuth_deg:g}°: {sweep.dropped[0].reason}",
            "move the base away from the gap, or give a DEM that covers the layout",
        )  # fmt: skip
