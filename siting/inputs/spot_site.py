"""Writes the site file of a spot that a search has found: the area file's own tables with a base."""

from __future__ import annotations

import datetime
import json
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

from siting.inputs.mast_file import shipped_masts
from siting.inputs.rule_file import shipped_rules
from siting.records.airfields import OPEN
from siting.records.search import SearchJob

DECIMALS = 7  # of latitude and longitude: a centimetre
HEAD = "# A spot that siting search found. Latitude and longitude are WGS 84 degrees, paths are relative to this file.\n"
# Tables of an area file that a site file does not have.
NOT_OF_A_SITE = ("search",)


def site_table(job: SearchJob, folder: Path, lat: float, lon: float, name: str) -> str:
    """The text of a spot's site file (TOML), no unit: what `read_site` reads from it is the search's own site with that base.

    Args:
        folder: where the file will lie; its paths are made relative to it.
        lat, lon: WGS 84 degrees.
    """
    table = {key: value for key, value in job.table.items() if key not in (*NOT_OF_A_SITE, "name")}
    table = _moved(table, _mover(job.folder, folder))
    degrees = {"lat": round(lat, DECIMALS), "lon": round(lon, DECIMALS)}
    return HEAD + _toml({"name": name, "base": degrees, **table})


def _mover(old: Path, new: Path) -> Callable[[str], str]:
    """A function that turns a path relative to one folder into one relative to another."""

    def moved(path: str) -> str:
        if "://" in path or path.startswith("/vsi") or Path(path).is_absolute():
            return path
        try:
            return Path(os.path.relpath((old / path).resolve(), new.resolve())).as_posix()
        except ValueError:  # another drive
            return (old / path).resolve().as_posix()

    return moved


def _moved(table: dict[str, Any], moved: Callable[[str], str]) -> dict[str, Any]:
    """The tables with every path that is relative to their file moved."""

    def with_paths(name: str, keys: tuple[str, ...], known: tuple[str, ...] = ()) -> dict[str, Any]:
        inside = table[name]
        return inside | {key: moved(inside[key]) for key in keys if inside.get(key) is not None and inside[key] not in known}

    changed: dict[str, Any] = {"dem": with_paths("dem", ("path", "geoid")), "mast": with_paths("mast", ("use",), shipped_masts())}
    if "air" in table:
        changed["air"] = with_paths("air", ("runways", "heliports"), (OPEN,))
    if "land" in table:
        land = with_paths("land", ("parcels", "obstacles"))
        if "rules" in land:
            land["rules"] = [use if use in shipped_rules() else moved(use) for use in land["rules"]]
        if "layers" in land:
            land["layers"] = [row | {"path": moved(row["path"])} for row in land["layers"]]
        changed["land"] = land
    return table | changed


def _toml(table: dict[str, Any], place: str = "") -> str:
    """Keys first, then tables, then lists of tables."""
    values = {k: v for k, v in table.items() if v is not None and not isinstance(v, dict) and not _is_tables(v)}
    lines = [f"{key} = {_value(value)}\n" for key, value in values.items()]
    for key, value in table.items():
        inner = f"{place}.{key}" if place else key
        if isinstance(value, dict):
            lines.append(f"\n[{inner}]\n{_toml(value, inner)}")
        elif _is_tables(value):
            lines += [f"\n[[{inner}]]\n{_toml(row, inner)}" for row in value]
    return "".join(lines)


def _is_tables(value: Any) -> bool:
    return isinstance(value, list | tuple) and bool(value) and all(isinstance(row, dict) for row in value)


def _value(value: Any) -> str:
    """A value as TOML writes it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, list | tuple):
        return f"[{', '.join(_value(item) for item in value)}]"
    return value.isoformat() if isinstance(value, datetime.date) else repr(value)
