"""Fractal ground for benchmarks and tests: invented, with a stated median slope."""

from __future__ import annotations

import numpy as np


def hills(shape: tuple[int, int], slope: float, seed: int, cell_m: float = 1.0, forms: float = 1.1) -> np.ndarray:
    """Heights (m) with a median slope (rise per metre); the larger `forms`, the smoother in the small."""
    rows, cols = shape
    wave = np.fft.fftfreq(rows)[:, None] ** 2 + np.fft.rfftfreq(cols)[None, :] ** 2
    wave[0, 0] = 1.0
    ground = np.fft.irfft2(np.fft.rfft2(np.random.default_rng(seed).normal(size=shape)) * wave**-forms, s=shape)
    steep = np.median(np.hypot(*np.gradient(ground))) / cell_m
    return 800.0 + ground * slope / steep
