"""How the kernels are compiled, and where what was compiled is kept for the next run."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

from numba import config, njit

ROOM = Path(__file__).parent
USED = ("lift", "holding", "kernels", "records")  # rooms whose constants and functions stand in kernels


def _kept_in() -> Path | None:
    """A folder that belongs to exactly this source, made if need be; None where none can be written.

    numba keeps a compiled kernel for as long as the file that it stands in is unchanged, and does not look at the files
    that it uses: with one folder for each state of this room and those that it uses a kernel is never older than its parts.
    """
    sources = [path for room in (ROOM, *(ROOM.parent / name for name in USED)) for path in sorted(room.glob("*.py"))]
    text = b"".join(path.name.encode() + path.read_bytes() for path in (*sources, ROOM.parent / "verdict.py"))
    home = os.environ.get("NUMBA_CACHE_DIR") or os.environ.get("XDG_CACHE_HOME") or str(Path.home() / ".cache")
    folder = Path(home) / "siting" / f"kernels-{hashlib.sha256(text).hexdigest()[:16]}"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        probe = folder / f".{os.getpid()}"
        probe.touch()
        probe.unlink()
    except (OSError, RuntimeError):
        return None
    return folder


_FOLDER = _kept_in()
if _FOLDER is not None:
    config.CACHE_DIR = str(_FOLDER)

# What is called from Python: releases the interpreter while it runs, and is kept compiled.
kernel = njit(nogil=True, cache=_FOLDER is not None)
# A part of a kernel: compiled into what calls it.
part = njit
