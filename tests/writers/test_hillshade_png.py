"""The shaded ground's PNG, read back by another library."""

from __future__ import annotations

import numpy as np
import pytest
from rasterio.io import MemoryFile

from siting.writers.map.hillshade_png import LEVELS, grey_png


def _shade() -> np.ndarray:
    rows, cols = np.mgrid[0:37, 0:53]
    shade = (1 + (rows * 7 + cols * 4) % 255).astype(np.uint8)
    shade[3:9, 10:20] = 0
    return shade


@pytest.mark.filterwarnings("ignore::rasterio.errors.NotGeoreferencedWarning")
def test_grey_levels_come_back_within_half_a_step_and_holes_stay_clear():
    shade = _shade()
    with MemoryFile(grey_png(shade)) as file, file.open() as image:
        assert image.driver == "PNG"
        assert image.nodata == 0
        grey = image.read(1)
    assert grey.shape == shade.shape
    assert np.array_equal(grey == 0, shade == 0)
    assert np.max(np.abs(grey.astype(int) - shade.astype(int))) <= 254 / (LEVELS - 1) / 2 + 0.5


def test_the_same_ground_gives_the_same_bytes():
    assert grey_png(_shade()) == grey_png(_shade())
