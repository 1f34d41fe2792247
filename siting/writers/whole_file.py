"""Writes one file whole or not at all, beside whatever else lies in its folder."""

from __future__ import annotations

import contextlib
import os
import tempfile
from pathlib import Path

from siting.writers.folder import unwritable


def write_whole(data: bytes, path: Path, shown: str) -> None:
    """Puts the file in place at once; an earlier one of that name is replaced, and stays where this fails.

    Raises:
        WriteError: the folder cannot be written to; nothing there has changed.
    """
    staged = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, staged = tempfile.mkstemp(prefix=f".{path.name}-new-", dir=path.parent)
        with os.fdopen(handle, "wb") as out:
            out.write(data)
        os.chmod(staged, 0o644)
        os.replace(staged, path)
    except OSError as fault:
        if staged is not None:
            with contextlib.suppress(OSError):
                os.unlink(staged)
        raise unwritable(shown, fault) from None


def write_new(data: bytes, path: Path, shown: str) -> bool:
    """Whether the file was written: one of that name is never replaced.

    Raises:
        WriteError: the folder cannot be written to; nothing there has changed.
    """
    is_made = False
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        if os.path.lexists(path):
            return False
        with path.open("xb") as out:
            is_made = True
            out.write(data)
    except OSError as fault:
        if is_made:
            with contextlib.suppress(OSError):
                path.unlink()
        raise unwritable(shown, fault) from None
    return True
