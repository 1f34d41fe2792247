"""A line winding onto a drum: wraps and layers. Arrays broadcast; lengths share one unit."""

from __future__ import annotations

import numpy as np


def wraps_in_layer(drum_width: float, line_diameter: float) -> int:
    """Whole wraps that lie side by side in one layer, no unit."""
    return int(np.floor(drum_width / line_diameter + 1e-9))


def layer_diameter(layer: np.ndarray, drum_diameter: float, line_diameter: float) -> np.ndarray:
    """Diameter of a layer (1 is the lowest) from the line's middle to the line's middle, in the lengths' unit.

    Layers are taken to lie straight on each other, not in each other's grooves: the diameter is then largest.
    """
    return drum_diameter + (2.0 * layer - 1.0) * line_diameter


def wind_on(
    length: np.ndarray, drum_diameter: float, drum_width: float, line_diameter: float
) -> tuple[np.ndarray, np.ndarray]:
    """Wraps (not whole) and the layer that the last of them lies in, for lengths wound on from the bare drum; no unit.

    Source: geometry. With n wraps a layer, the first k layers hold n pi (k D + k^2 d): the sum of the layers'
    diameters D + (2i - 1) d.
    """
    count = wraps_in_layer(drum_width, line_diameter)
    length = np.asarray(length, dtype=float)
    # Full layers below: the largest k with n pi (k D + k^2 d) <= length.
    root = np.sqrt(drum_diameter**2 + 4.0 * line_diameter * length / (np.pi * count))
    full = np.floor((root - drum_diameter) / (2.0 * line_diameter) + 1e-12)
    left = np.maximum(length - np.pi * count * (full * drum_diameter + full**2 * line_diameter), 0.0)
    wraps = full * count + left / (np.pi * layer_diameter(full + 1.0, drum_diameter, line_diameter))
    return wraps, (full + 1.0).astype(int)
