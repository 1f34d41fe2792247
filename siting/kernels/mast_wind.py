"""Wind on a mast and on its guys: loads along the mast, what each guy level takes of them, the guys' own drag. Newtons, metres.

The mast is a continuous beam, hinged at its foot and held still at its guy levels, with a free end above the top level.
Levels that give shift load to their neighbours: not in it.
"""

from __future__ import annotations

import numpy as np

from siting.kernels.beam import BeamLoads, support_forces

# Force coefficient of a guy. EN 1993-3-1, Table B.2.1, as recalled from memory: 1.2 for round bars and wires, 1.3 for a
# seven-wire strand below a Reynolds number of 4e4 (4 mm in 50 m/s: 1.3e4), which is the larger of the two.
GUY_DRAG_RATIO = 1.3
_SLAB_M = 1.0  # longest piece of mast with one pressure


def mast_slabs(height_m: float) -> np.ndarray:
    """(n + 1,) ends of pieces of the mast not longer than a metre, metres from the hinge."""
    return np.linspace(0.0, height_m, max(1, int(np.ceil(height_m / _SLAB_M - 1e-9))) + 1)


def level_forces_n(levels_m: np.ndarray, ends_m: np.ndarray, load_n_per_m: np.ndarray) -> np.ndarray:
    """(L,) horizontal force that each guy level takes, newtons; the hinge takes the rest, a level may be pushed back (below 0).

    Args:
        levels_m: (L,) above the hinge, no two alike; ends_m: (n + 1,) ends of the pieces; load_n_per_m: (n,) on each.
    Source:
        continuous beam (kernels/beam.py, force method); printed tables in tests/outside/test_wind_published.py.
    """
    none = np.zeros(0)
    return support_forces(BeamLoads(ends_m[:-1], ends_m[1:], -np.asarray(load_n_per_m, dtype=float), none, none), levels_m)


def guy_drag_n(
    wind: np.ndarray, direction: np.ndarray, length_m: np.ndarray, diameter_m: np.ndarray, pressure_pa: np.ndarray
) -> np.ndarray:
    """(N, D, 3) wind force on N straight guys in D winds, newtons: square to the guy, by the wind's part square to it.

    Args:
        wind: (D, 3) unit vectors, where the wind blows to; direction: (N, 3) unit vectors along the guys;
        length_m, diameter_m, pressure_pa: (N,).
    Source:
        EN 1993-3-1, B.2.1.3, from memory: coefficient x sin squared of the angle between wind and guy.
    """
    square = wind[None] - np.einsum("nk,dk->nd", direction, wind)[..., None] * direction[:, None, :]
    sine = np.sqrt((square**2).sum(axis=-1, keepdims=True))
    return (GUY_DRAG_RATIO * length_m * diameter_m * pressure_pa)[:, None, None] * sine * square
