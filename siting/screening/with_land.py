"""The best azimuth where the land uses azimuths up too: rules that are measured from anchors or guys."""

from __future__ import annotations

import numpy as np

from siting.screening.alone import USES, uses_of
from siting.screening.compiled import kernel, part
from siting.screening.eight import bare
from siting.screening.lanes import at, pointer
from siting.screening.rules import at_most_used, capped, steepest
from siting.screening.stencil import Stencil


@part
def comes_first(used, ground, k, best, best_ground, best_k):
    """Whether an azimuth takes the place of the best so far: less used, or as much with less by ground and lift, or the smaller one."""
    if used != best:
        return used < best
    return ground < best_ground or (ground == best_ground and k < best_k)


@kernel
def take_land(raster, cells, allowed, land_used, whole_stencil: Stencil, best_out, azimuth_out):
    """Turns the best azimuth by ground and lift into the best with the land: the least of the larger of both.

    Where the land uses the azimuth that is best by ground and lift no more than they do, it is the best with the land too.
    Elsewhere only an azimuth that the land uses less than what is found so far may take its place, or one that it uses as
    much and ground and lift use less.

    Args:
        raster: as eight.search_rows has them.
        cells: (m,) flat indices; allowed: (m, K) uint8; land_used: (m, K), at most 1 where allowed.
        best_out, azimuth_out: (m,) as alone.search_cells fills them; left as they are where there is no azimuth.
    """
    heights, slopes, stencil = pointer(raster[0]), pointer(raster[1]), bare(whole_stencil)
    profile, z, uses = np.empty(stencil.sample_count), np.empty(stencil.rules.side_count + 1), np.empty(USES)
    for cell in range(cells.size):
        ground, best_k = best_out[cell], np.int64(azimuth_out[cell])
        if best_k < 0 or land_used[cell, best_k] <= ground:
            continue
        p, best, least_ground = cells[cell], land_used[cell, best_k], ground
        for k in np.argsort(land_used[cell]):
            # Nothing takes the place of an equal that ground and lift use least.
            if land_used[cell, k] > best or (land_used[cell, k] == best and ground == least_ground):
                break
            if allowed[cell, k] == 0:
                continue
            steep = steepest(slopes, p, stencil.anchors, k * stencil.anchor_count, stencil.anchor_count, at(heights, p))
            if capped(at_most_used(steep, stencil.rules.anchor_most)) > best:
                continue
            used = uses_of(heights, slopes, p, k, stencil, pointer(profile), pointer(z), pointer(uses))
            if used != used:
                continue
            both = max(used, land_used[cell, k])
            if comes_first(both, used, k, best, ground, best_k):
                best, ground, best_k = both, used, k
        best_out[cell], azimuth_out[cell] = best, np.int16(best_k)
    return profile.size + z.size + uses.size
