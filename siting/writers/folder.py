"""Puts a set of files into a folder, all of them or none, and keeps what else lies there."""

from __future__ import annotations

import contextlib
import os
import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path

from siting.errors import WriteError


def check_folder(out: Path, shown: str) -> None:
    """Refuses a folder that cannot be written to, before any work is done.

    Raises:
        WriteError: it is a file, or its parent cannot be written to.
    """
    try:
        exists = out.exists()
        parent = next(p for p in (out, *out.absolute().parents) if p.exists())
    except OSError as fault:
        raise unwritable(shown, fault) from None
    if exists and not out.is_dir():
        raise WriteError.of("out_not_folder", shown, "is a file, not a folder", "name a folder with --out")
    if not parent.is_dir():
        raise WriteError.of("out_not_folder", shown, f"lies under the file {parent.name}", "name a folder with --out")
    if not os.access(parent, os.W_OK | os.X_OK):
        raise WriteError.of("out_unwritable", shown, "cannot be written to", "name a folder of your own with --out")


def unwritable(shown: str, fault: OSError) -> WriteError:
    """What the system said of a folder, as a plain fault, no unit."""
    return WriteError.of(
        "out_unwritable", shown, f"cannot be written to ({fault.strerror or fault})", "name another folder with --out"
    )


def put_in_place(contents: dict[str, bytes], out: Path, earlier: set[str]) -> None:
    """Puts the whole set into the folder at once; where the folder itself cannot be swapped, file by file, the last last.

    Args:
        earlier: names of files there that an earlier set left behind: they go where the new set does not hold them.
    """

    def build(staged: Path) -> tuple[str, ...]:
        for name, data in contents.items():
            (staged / name).write_bytes(data)
        return tuple(contents)

    build_in_place(build, out, earlier)


def build_in_place(build: Callable[[Path], tuple[str, ...]], out: Path, earlier: set[str]) -> tuple[str, ...]:
    """As `put_in_place`, for files too large for the memory; the names of the files, no unit.

    Args:
        build: writes the files into the folder that it is given, and nothing else; returns their names.
        earlier: names of files there that an earlier set left behind: they go where the new set does not hold them.
    """
    out = out.resolve()
    out.parent.mkdir(parents=True, exist_ok=True)
    cannot_swap = out.exists() and (out == Path.cwd() or os.path.ismount(out) or not os.access(out.parent, os.W_OK))
    home = out if cannot_swap else out.parent
    staged = Path(tempfile.mkdtemp(prefix=f".{out.name}-new-", dir=home))
    try:
        names = build(staged)
        if cannot_swap:
            _replace_files(staged, out, names, earlier)
        else:
            _swap_folders(staged, out, set(names) | earlier)
    finally:
        shutil.rmtree(staged, ignore_errors=True)
    return names


def _swap_folders(staged: Path, out: Path, own_files: set[str]) -> None:
    """Carries over what is not the set's, then puts the staged folder where the old one was."""
    staged.chmod(out.stat().st_mode & 0o7777 if out.exists() else 0o755)
    if not out.exists():
        os.rename(staged, out)
        return
    _carry_over(out, staged, own_files)
    old = Path(tempfile.mkdtemp(prefix=f".{out.name}-old-", dir=out.parent))
    try:
        os.rename(out, old / "earlier")
        try:
            os.rename(staged, out)
        except OSError:
            os.rename(old / "earlier", out)
            raise
    except OSError:
        with contextlib.suppress(OSError):
            old.rmdir()  # only where it is empty: what could not be put back stays in it
        raise
    shutil.rmtree(old, ignore_errors=True)


def _replace_files(staged: Path, out: Path, names: tuple[str, ...], earlier: set[str]) -> None:
    """Replaces file by file; where one fails, the earlier files are put back.

    What only the earlier set had is taken away.
    """
    gone = earlier - set(names)
    kept = staged / "earlier"
    kept.mkdir()
    for name in names:
        if (out / name).exists():
            _link_or_copy(str(out / name), str(kept / name))
    try:
        for name in names:
            os.replace(staged / name, out / name)
    except OSError:
        for name in names:
            if (kept / name).exists():
                os.replace(kept / name, out / name)
            else:
                (out / name).unlink(missing_ok=True)
        raise
    for name in gone:
        with contextlib.suppress(OSError):
            (out / name).unlink()


def _carry_over(out: Path, staged: Path, own_files: set[str]) -> None:
    """Links or copies what else lies in the folder into the staged one, so that nothing is lost by the swap."""
    for entry in out.iterdir():
        if entry.name in own_files:
            continue
        if entry.is_dir() and not entry.is_symlink():
            shutil.copytree(entry, staged / entry.name, symlinks=True, copy_function=_link_or_copy)
        else:
            _link_or_copy(str(entry), str(staged / entry.name))


def _link_or_copy(source: str, target: str) -> None:
    try:
        os.link(source, target, follow_symlinks=False)
    except OSError:
        shutil.copy2(source, target, follow_symlinks=False)
