"""A localisation to compare with: shift, turn and scale between the plan's grid and the user's local control."""

from __future__ import annotations

import math

import numpy as np

from siting.errors import OutOfMethod
from siting.records.survey import Localisation, Residual

# A pair is suspect where leaving it out brings the others' misfit down to this part: common practice, no source.
SUSPECT_GAIN = 0.25
# Below this a misfit is a rover's ordinary noise: common practice, no source.
NOISE_M = 0.02


def fit_similarity(grid_m: np.ndarray, local_m: np.ndarray) -> tuple[float, float, np.ndarray]:
    """Scale, clockwise turn (degrees) and shift (east, north) of the least-squares similarity grid -> local.

    local = scale * R(turn) * grid + shift, R turning clockwise.

    Args:
        grid_m, local_m: (n, 2) east and north, n >= 2.
    Raises:
        OutOfMethod: fewer than two pairs, or all in one place.
    Source:
        S. Umeyama, Least-squares estimation of transformation parameters between two point patterns, IEEE PAMI 13
        (1991) 376-380, in its complex two-dimensional form.
    """
    if len(grid_m) < 2:
        raise OutOfMethod.of("localisation_pairs", "[[control]]", "has fewer than two pairs", "give at least two, better four")
    a = grid_m[:, 0] + 1j * grid_m[:, 1]
    b = local_m[:, 0] + 1j * local_m[:, 1]
    a0, b0 = a - a.mean(), b - b.mean()
    spread = float(np.sum(np.abs(a0) ** 2))
    if spread < 1e-6:
        raise OutOfMethod.of("localisation_pairs", "[[control]]", "its pairs all lie in one place", "give pairs around the site")
    factor = complex(np.sum(b0 * np.conj(a0)) / spread)
    shift = b.mean() - factor * a.mean()
    return abs(factor), -math.degrees(math.atan2(factor.imag, factor.real)), np.array([shift.real, shift.imag])


def localise(names: tuple[str, ...], grid_m: np.ndarray, local_m: np.ndarray) -> Localisation:
    """The localisation of control pairs, with the pair that spoils it. Coordinates in metres from the base.

    Raises:
        OutOfMethod: fewer than two pairs, or all in one place.
    """
    scale, turn, shift = fit_similarity(grid_m, local_m)
    misses = _misses(grid_m, local_m)
    lengths = np.hypot(misses[:, 0], misses[:, 1])
    rms = float(np.sqrt(np.mean(lengths**2)))
    suspect = _suspect(grid_m, local_m, rms)
    return Localisation(
        pairs=len(names),
        shift_east_m=float(shift[0]),
        shift_north_m=float(shift[1]),
        turn_deg=turn,
        scale_ppm=(scale - 1.0) * 1e6,
        rms_m=rms,
        residuals=tuple(
            Residual(name, float(m[0]), float(m[1]), float(n)) for name, m, n in zip(names, misses, lengths, strict=True)
        ),
        suspect=names[suspect] if suspect is not None else "",
        verdict=_verdict(names, suspect, rms, len(names)),
    )


def _misses(grid_m: np.ndarray, local_m: np.ndarray) -> np.ndarray:
    scale, turn, shift = fit_similarity(grid_m, local_m)
    t = math.radians(turn)
    turned = np.column_stack(
        [
            scale * (math.cos(t) * grid_m[:, 0] + math.sin(t) * grid_m[:, 1]),
            scale * (-math.sin(t) * grid_m[:, 0] + math.cos(t) * grid_m[:, 1]),
        ]
    )
    return local_m - turned - shift


def _suspect(grid_m: np.ndarray, local_m: np.ndarray, rms: float) -> int | None:
    """The pair whose absence heals the fit; needs four pairs, since three always leave two that fit."""
    if len(grid_m) < 4 or rms < NOISE_M:
        return None
    without = []
    for leave in range(len(grid_m)):
        keep = np.arange(len(grid_m)) != leave
        misses = _misses(grid_m[keep], local_m[keep])
        without.append(float(np.sqrt(np.mean(np.sum(misses**2, axis=1)))))
    best = int(np.argmin(without))
    return best if without[best] < SUSPECT_GAIN * rms else None


def _verdict(names: tuple[str, ...], suspect: int | None, rms: float, pairs: int) -> str:
    if suspect is not None:
        return f"{names[suspect]} does not fit the others: check its coordinates before anything is staked from it."
    if rms < NOISE_M:
        return "The pairs fit within a rover's noise." if pairs > 2 else "Two pairs always fit: give a third to have a check."
    if pairs < 4:
        return "The pairs do not fit each other; with fewer than four no single one can be named."
    return "The pairs do not fit each other, and no single one explains it."
