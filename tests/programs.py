"""Which tests drive a program that Python's packages do not bring, and what happens where it is missing.

On a machine with nothing but Python and git those tests are left out, and the last lines of the run say so. Where
SITING_PROGRAMS_REQUIRED is set, as in .ci/run, nothing is left out: a missing program fails its tests.
"""

from __future__ import annotations

import os
import shutil

# Words in a test's name or parameters: the programs that it drives, any one of which will do.
DRIVES = {
    "test_map_browser": ("chromium", "chromium-browser", "google-chrome"),
    "test_map_browser_axe": ("npm",),
    "gdaldem": ("gdaldem",),
    "gdalinfo": ("gdalinfo",),
    "luxembourg": ("apt-get",),
    "olinda": ("apt-get",),
}
MISSING = "siting_missing_programs"


def leave_out(config, items: list) -> None:
    """Deselects the tests whose programs are missing, unless they are required."""
    if os.environ.get("SITING_PROGRAMS_REQUIRED"):
        return
    missing = {word: names[0] for word, names in DRIVES.items() if not any(map(shutil.which, names))}
    left_out = {item: missing[word] for item in items for word in missing if word in item.nodeid}
    if left_out:
        config.hook.pytest_deselected(items=list(left_out))
        items[:] = [item for item in items if item not in left_out]
        counts = {name: list(left_out.values()).count(name) for name in set(left_out.values())}
        setattr(config, MISSING, counts)
        getattr(config, "workeroutput", {})[MISSING] = counts  # of one of several processes, for the one that reports


def take_over(config, process_said: dict) -> None:
    """What one of several processes left out; each looks at all tests, so any of them will do."""
    if MISSING in process_said:
        setattr(config, MISSING, process_said[MISSING])


def say_what_was_left_out(terminalreporter, config) -> None:
    """Names the programs and how many tests want them."""
    for program, count in sorted(getattr(config, MISSING, {}).items()):
        terminalreporter.write_line(f"NOT RUN: {count} tests want the program {program}, which is not on this machine.")
