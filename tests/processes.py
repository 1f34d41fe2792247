"""How many processes share a run of the tests: the machine's processors for the whole suite, none beside it for less."""

from __future__ import annotations

import os

import pytest

MOST = 4  # each reads all of the tests and the libraries first, and holds up to half a gigabyte


def how_many(config: pytest.Config) -> int:
    """Processes beside the one that reports; 0, so no other, where files, folders or tests are named or one processor is free."""
    if config.args_source is not pytest.Config.ArgsSource.TESTPATHS:
        return 0
    free = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return min(free, MOST) if free > 1 else 0
