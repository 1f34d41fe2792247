"""The land around, as the permit's site map draws it."""

from __future__ import annotations

from dataclasses import replace

from siting.geodesy.frames import Frame
from siting.layout.permit_lines import permit_ground
from siting.planning.land import LandOnGround
from siting.records.permit import PermitGround
from siting.records.plan import Stake
from siting.records.site import Site


def plan_permit(site: Site, land: LandOnGround, stakes: tuple[Stake, ...], frame: Frame) -> PermitGround:
    """Whole outlines, distances and sides of the lot, lengths in metres on the ground, with the layers' files."""
    drawn = permit_ground(land.own, land.parcels, land.own_parcels, land.obstacles, stakes, frame)
    sources = (("parcels", site.land.parcels_shown), ("obstacles", site.land.obstacles_shown))
    return replace(drawn, layer_kinds=land.obstacle_kinds, sources=tuple(s for s in sources if s[1]))
