"""Memory that was freed between things still in use goes back to the system."""

from __future__ import annotations

import ctypes
import subprocess
import sys

import pytest

HAS_TRIM = sys.platform == "linux" and hasattr(ctypes.CDLL(None), "malloc_trim")
# 20,000 pieces of 5 kB, of which every 100th is kept: nothing lies free above all that is in use.
PROGRAM = """
from siting.freed_memory import give_back

def held_mb():
    return next(int(line.split()[1]) / 1024 for line in open("/proc/self/status") if line.startswith("VmRSS"))

before = held_mb()
pieces = [bytes(5000) for _ in range(20_000)]
kept = pieces[99::100]
del pieces
freed = held_mb()
give_back()
print(freed - before, held_mb() - before)
"""


@pytest.mark.skipif(not HAS_TRIM, reason="this C library gives back on its own terms")
def test_what_lies_free_between_pieces_in_use_is_given_back():
    said = subprocess.run([sys.executable, "-c", PROGRAM], capture_output=True, text=True, check=True).stdout
    freed_mb, given_back_mb = (float(word) for word in said.split())
    assert freed_mb > 50.0, "nothing was held, so this shows nothing"
    assert given_back_mb < 0.2 * freed_mb
