"""Times commands and functions, several runs in turn, and keeps the median."""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from collections.abc import Callable

SITING = [sys.executable, "-m", "siting"]
_STARTER = """
import os, subprocess, sys
process = subprocess.Popen(sys.argv[1:], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
_, status, usage = os.wait4(process.pid, 0)
print(os.waitstatus_to_exitcode(status), usage.ru_maxrss)
"""


def interleaved_s(commands: dict[str, list[str]], runs: int) -> dict[str, float]:
    """Median wall time (seconds) of each command, run in turn so that a slow moment hits them all."""
    times: dict[str, list[float]] = {name: [] for name in commands}
    for number in range(runs + 1):
        for name, command in commands.items():
            start = time.perf_counter()
            subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, check=True)
            if number:  # the first round only warms the disk cache
                times[name].append(time.perf_counter() - start)
    return {name: statistics.median(values) for name, values in times.items()}


def peak_memory_bytes(command: list[str], environment: dict[str, str] | None = None) -> int:
    """Peak resident memory of a command, bytes.

    A program's peak begins at what held whoever started it, so a small program starts it: not this one, which may be large.
    """
    done = subprocess.run([sys.executable, "-I", "-S", "-c", _STARTER, *command], stdout=subprocess.PIPE, check=True, env=environment)
    code, peak_kb = (int(word) for word in done.stdout.split())
    if code not in (0, 1):
        raise RuntimeError(f"{command} ended with {code}")
    return peak_kb * 1024


def function_s(function: Callable[[], object], runs: int) -> float:
    """Median time (seconds) of a function after one warm-up."""
    function()
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        function()
        times.append(time.perf_counter() - start)
    return statistics.median(times)
