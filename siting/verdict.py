"""The four verdicts, and how several combine into one."""

from __future__ import annotations

from collections.abc import Iterable

PASS = "pass"
MARGINAL = "marginal"
FAIL = "fail"
UNCHECKED = "unchecked"

# A verdict's rank: the larger, the worse. `unchecked` has none: it never counts as a pass nor as a failure.
ORDER = (PASS, MARGINAL, FAIL)
# Utilisation is capped, so that a ratio over nearly nothing stays a readable number (docs/method/verdicts.md).
UTILISATION_MAX = 10.0


def worst(verdicts: Iterable[str]) -> str:
    """The worst of the checked verdicts; `unchecked` where none was checked. No unit."""
    checked = [v for v in verdicts if v in ORDER]
    return max(checked, key=ORDER.index) if checked else UNCHECKED
