"""Holds cells that pass against the lift and the base: in the best azimuth of each, as its plan does in the chosen laydown."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from siting.records.search import FATES, IN_THE_LIFT, SearchJob
from siting.screening.base_rules import BaseRules, base_rules_of
from siting.screening.lift_rules import LiftRules, lift_rules_of
from siting.screening.lift_stencil import LiftStencil, lift_stencil_of
from siting.screening.stencil import Stencil
from siting.search.patches import Patches

PASSES, FIRST = FATES.index("passes"), FATES.index(IN_THE_LIFT[0])


@dataclass(frozen=True, slots=True)
class LiftWork:
    """What lift and base need of a search's mast, limits and soil."""

    lift: LiftRules
    base: BaseRules

    @classmethod
    def of(cls, job: SearchJob) -> LiftWork:
        """That of a job."""
        return cls(lift_rules_of(job.site.mast, job.site.limits), base_rules_of(job.site.soil))

    def stencil(self, patches: Patches, patch: tuple[int, int], height_m: float, width: int) -> LiftStencil:
        """Where the ground of the lift lies from a cell of a patch.

        Args:
            height_m: of the patch's ground; width: of the raster in cells.
        """
        return lift_stencil_of(patches.lift_rays(*patch, height_m), patches.mast, patches.azimuths_deg, self.lift.ground_s_m, width)

    def fates(
        self, heights: np.ndarray, cells: np.ndarray, azimuths: np.ndarray, stencil: Stencil, lift_stencil: LiftStencil
    ) -> np.ndarray:
        """uint8 index into FATES of each cell: the first check of lift and base that it fails, or that it passes.

        Args:
            heights: flat raster in metres; cells: (m,) flat indices; azimuths: (m,) int16 index of the best azimuth.
        """
        from siting.screening.lift_cells import base_cells, lift_cells

        bits, loads = np.zeros(cells.size, dtype=np.uint8), np.empty((cells.size, 2))
        lift_cells(heights, cells, azimuths, (stencil, lift_stencil, self.lift), bits, loads)
        if self.base.knows_soil:
            base_cells(heights, cells, azimuths, lift_stencil, self.base, loads, bits)
        return _FATE_OF[bits]


# Of every set of failing checks, bit i for IN_THE_LIFT[i], the fate: that of its first.
_FATE_OF = np.array([PASSES if not bits else FIRST + (bits & -bits).bit_length() - 1 for bits in range(2 ** len(IN_THE_LIFT))], dtype=np.uint8)
