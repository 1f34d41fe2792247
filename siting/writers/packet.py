"""Writes the whole packet, or nothing: every file is made first, then the folder is put in place at once."""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import shutil
import tempfile
from importlib import import_module
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


# Format: (file, module, function). Imported only when asked for: their libraries are slow to start.
EXTRA_FORMATS = {
    "gpx": ("stakes.gpx", "siting.writers.gpx", "gpx"),
    "gpkg": ("stakes.gpkg", "siting.writers.gpkg", "gpkg"),
    "shp": ("stakes_shp.zip", "siting.writers.shapefile", "shapefile"),
    "dxf": ("stakes.dxf", "siting.writers.dxf", "dxf"),
    "landxml": ("stakes.xml", "siting.writers.landxml", "landxml"),
    "kmz": ("stakes.kmz", "siting.writers.kmz", "kmz"),
    "pdf": ("packet.pdf", "siting.writers.stakeout_pdf", "stakeout_pdf"),
}


def check_folder(out: Path, shown: str) -> None:
    """Refuses a folder that cannot be written to, before any work is done.

    Raises:
        WriteError: it is a file, or its parent cannot be written to.
    """
    try:
        exists = out.exists()
        parent = next(p for p in (out, *out.absolute().parents) if p.exists())
    except OSError as fault:
        raise _unwritable(shown, fault) from None
    if exists and not out.is_dir():
        raise WriteError.of("out_not_folder", shown, "is a file, not a folder", "name a folder with --out")
    if not parent.is_dir():
        raise WriteError.of("out_not_folder", shown, f"lies under the file {parent.name}", "name a folder with --out")
    if not os.access(parent, os.W_OK | os.X_OK):
        raise WriteError.of("out_unwritable", shown, "cannot be written to", "name a folder of your own with --out")


def write_packet(plan: Plan, out: Path, shown: str, formats: tuple[str, ...] = ()) -> tuple[str, ...]:
    """Writes the packet into the folder and returns its files' names, in order.

    Args:
        formats: keys of EXTRA_FORMATS, beside the default set.

    An earlier packet there is replaced as a whole; files of anyone else in the folder are kept.

    Raises:
        WriteError: the folder cannot be written; nothing there has changed.
    """
    contents = {name: make(plan) for name, make in FILES.items()}
    for wanted in formats:
        name, module, function = EXTRA_FORMATS[wanted]
        contents[name] = getattr(import_module(module), function)(plan)
    if plan.point_lists:
        from siting.writers.point_lists import point_lists

        contents |= point_lists(plan)
    contents[MANIFEST] = _manifest(plan, contents)
    try:
        _put_in_place(contents, out)
    except OSError as fault:
        raise _unwritable(shown, fault) from None
    return tuple(contents)


def _unwritable(shown: str, fault: OSError) -> WriteError:
    """What the system said of a folder, as a plain fault."""
    return WriteError.of(
        "out_unwritable", shown, f"cannot be written to ({fault.strerror or fault})", "name another folder with --out"
    )


def _manifest(plan: Plan, contents: dict[str, bytes]) -> bytes:
    files = [{"name": name, "sha256": hashlib.sha256(data).hexdigest()} for name, data in contents.items()]
    return (json.dumps({"run_id": plan.provenance.run_id, "name": plan.name, "files": files}, indent=1) + "\n").encode()


def _put_in_place(contents: dict[str, bytes], out: Path) -> None:
    """Puts the whole packet into the folder at once; where the folder itself cannot be swapped, file by file."""
    out = out.resolve()
    out.parent.mkdir(parents=True, exist_ok=True)
    cannot_swap = out.exists() and (out == Path.cwd() or os.path.ismount(out) or not os.access(out.parent, os.W_OK))
    home = out if cannot_swap else out.parent
    staged = Path(tempfile.mkdtemp(prefix=f".{out.name}-new-", dir=home))
    try:
        for name, data in contents.items():
            (staged / name).write_bytes(data)
        if cannot_swap:
            _replace_files(staged, out, tuple(contents))
        else:
            _swap_folders(staged, out, set(contents))
    finally:
        shutil.rmtree(staged, ignore_errors=True)


def _swap_folders(staged: Path, out: Path, packet_files: set[str]) -> None:
    """Carries over what is not the packet's, then puts the staged folder where the old one was."""
    staged.chmod(out.stat().st_mode & 0o7777 if out.exists() else 0o755)
    if not out.exists():
        os.rename(staged, out)
        return
    _carry_over(out, staged, packet_files | _earlier_files(out))
    old = Path(tempfile.mkdtemp(prefix=f".{out.name}-old-", dir=out.parent))
    try:
        os.rename(out, old / "packet")
        try:
            os.rename(staged, out)
        except OSError:
            os.rename(old / "packet", out)
            raise
    except OSError:
        with contextlib.suppress(OSError):
            old.rmdir()  # only where it is empty: a packet that could not be put back stays in it
        raise
    shutil.rmtree(old, ignore_errors=True)


def _replace_files(staged: Path, out: Path, names: tuple[str, ...]) -> None:
    """Replaces file by file, the manifest last; where one fails, the earlier files are put back.

    What only the earlier packet had is taken away.
    """
    gone = _earlier_files(out) - set(names)
    earlier = staged / "earlier"
    earlier.mkdir()
    for name in names:
        if (out / name).exists():
            _link_or_copy(str(out / name), str(earlier / name))
    try:
        for name in names:
            os.replace(staged / name, out / name)
    except OSError:
        for name in names:
            if (earlier / name).exists():
                os.replace(earlier / name, out / name)
            else:
                (out / name).unlink(missing_ok=True)
        raise
    for name in gone:
        with contextlib.suppress(OSError):
            (out / name).unlink()


def _earlier_files(out: Path) -> set[str]:
    """Names of the files of an earlier packet in the folder, by its manifest."""
    try:
        earlier = json.loads((out / MANIFEST).read_text(encoding="utf-8"))
        return {Path(str(item["name"])).name for item in earlier["files"]} | {MANIFEST}
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
