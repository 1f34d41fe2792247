"""Where the ground around an anchor, or the base, is looked at: a profile along the guy, a place to either side, rings."""

from __future__ import annotations

import numpy as np

# As far as a rod and what would break out over it reach; a step well below a cell of a fine DEM.
INWARD_M, OUTWARD_M, STEP_M = 12.0, 24.0, 0.5
LINE_M = np.arange(-round(INWARD_M / STEP_M), round(OUTWARD_M / STEP_M) + 1) * STEP_M
RINGS_M, POINTS_ON_RING = np.arange(1.0, 25.0), 36
ACROSS_M = 2.0
