"""Writes the whole packet, or nothing: every file is made first, then the folder is put in place at once."""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import shutil
import tempfile
from pathlib import Path

from siting.errors import WriteError
from siting.records.plan import Plan
from siting.writers.geojson import geojson
from siting.writers.kml import kml
from siting.writers.map_html import map_html
from siting.writers.plan_json import plan_json
from siting.writers.points_csv import points_csv

MANIFEST = "packet.json"
FILES = {
    "plan.json": plan_json,
    "stakes.geojson": geojson,
    "stakes.kml": kml,
    "stakes.csv": points_csv,
    "map.html": map_html,
}


def check_folder(out: Path, shown: str) -> None:
    """Refuses a folder that cannot be written to, before any work is done.

    Raises:
        WriteError: it is a file, or its parent cannot be written to.
    """
    if out.exists() and not out.is_dir():
        raise WriteError.of("out_not_folder", shown, "is a file, not a folder", "name a folder with --out")
    parent = next(p for p in (out, *out.absolute().parents) if p.exists())
    if not parent.is_dir():
        raise WriteError.of("out_not_folder", shown, f"lies under the file {parent.name}", "name a folder with --out")
    if not os.access(parent, os.W_OK | os.X_OK):
        raise WriteError.of("out_unwritable", shown, "cannot be written to", "name a folder of your own with --out")


def write_packet(plan: Plan, out: Path, shown: str) -> tuple[str, ...]:
    """Writes the packet into the folder and returns its files' names, in order.

    An earlier packet there is replaced as a whole; files of anyone else in the folder are kept.

    Raises:
        WriteError: the folder cannot be written; nothing there has changed.
    """
    contents = {name: make(plan) for name, make in FILES.items()}
    contents[MANIFEST] = _manifest(plan, contents)
    try:
        _put_in_place(contents, out)
    except OSError as fault:
        raise WriteError.of(
            "out_unwritable", shown, f"cannot be written to ({fault.strerror or fault})", "name another folder with --out"
        ) from None
    return tuple(contents)


def _manifest(plan: Plan, contents: dict[str, bytes]) -> bytes:
    files = [{"name": name, "sha256": hashlib.sha256(data).hexdigest()} for name, data in contents.items()]
    return (json.dumps({"run_id": plan.provenance.run_id, "name": plan.name, "files": files}, indent=1) + "\n").encode()


def _put_in_place(contents: dict[str, bytes], out: Path) -> None:
    """Stages the files beside the folder, carries over what is not the packet's, then swaps the folders."""
    out = out.absolute()
    out.parent.mkdir(parents=True, exist_ok=True)
    staged = Path(tempfile.mkdtemp(prefix=f".{out.name}-new-", dir=out.parent))
    old = Path(tempfile.mkdtemp(prefix=f".{out.name}-old-", dir=out.parent))
    try:
        staged.chmod(out.stat().st_mode & 0o7777 if out.exists() else 0o755)
        for name, data in contents.items():
            with (staged / name).open("wb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
        if out.exists():
            _carry_over(out, staged, set(contents) | _earlier_files(out))
            os.rename(out, old / "packet")
        try:
            os.rename(staged, out)
        except OSError:
            with contextlib.suppress(OSError):
                os.rename(old / "packet", out)
            raise
    finally:
        shutil.rmtree(staged, ignore_errors=True)
        shutil.rmtree(old, ignore_errors=True)


def _earlier_files(out: Path) -> set[str]:
    """Names of the files of an earlier packet in the folder, by its manifest."""
    try:
        earlier = json.loads((out / MANIFEST).read_text(encoding="utf-8"))
        return {str(item["name"]) for item in earlier["files"]}
    except (OSError, ValueError, KeyError, TypeError):
        return set()


def _carry_over(out: Path, staged: Path, packet_files: set[str]) -> None:
    """Links or copies what else lies in the folder into the staged one, so that nothing is lost by the swap."""
    for entry in out.iterdir():
        if entry.name in packet_files:
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
