"""What the benchmarks measure with: a program's memory is its own, and no figure goes astray."""

from __future__ import annotations

import sys

import numpy as np
import pytest

from benchmarks.timing import peak_memory_bytes

MB = 2**20


def test_a_programs_peak_is_its_own_and_not_that_of_who_measures():
    held = np.ones(40 * MB)  # 320 MB
    small = peak_memory_bytes([sys.executable, "-c", "pass"])
    large = peak_memory_bytes([sys.executable, "-c", f"bytearray({100 * MB})[::4096] = bytes({100 * MB} // 4096)"])
    assert small < 60 * MB < held.nbytes
    assert 90 * MB < large - small < 130 * MB


def test_a_program_that_fails_gives_no_figure():
    with pytest.raises(RuntimeError, match="ended with 3"):
        peak_memory_bytes([sys.executable, "-c", "raise SystemExit(3)"])
