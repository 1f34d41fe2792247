"""Reads a plan.json back into the Plan it was written from."""

from __future__ import annotations

import json
import types
import typing
from dataclasses import MISSING, fields, is_dataclass
from pathlib import Path
from typing import Any

from siting.errors import InputError
from siting.inputs.toml_file import read_text
from siting.records.plan import Plan


def read_plan(path: Path, shown: str) -> Plan:
    """The plan of a plan.json, without its backdrop.

    Raises:
        InputError: missing, not JSON, or not a plan; names the first key that is wrong.
    """
    text = read_text(path, shown, "the plan's name")
    try:
        raw = json.loads(text)
    except ValueError as fault:
        raise InputError.of("plan_broken", shown, f"is not valid JSON ({fault})", "make the plan again with siting plan") from None
    try:
        return _record(Plan, raw, "")
    except _Misfit as fault:
        raise InputError.of(
            "plan_broken", f"{shown}, {fault}", "is not what a plan of this version holds", "make the plan again with siting plan"
        ) from None


class _Misfit(Exception):
    """A key of the file that does not fit the record."""


def _record(kind: type, raw: Any, place: str) -> Any:
    if not isinstance(raw, dict):
        raise _Misfit(place or "top level")
    hints = typing.get_type_hints(kind)
    values = {}
    for item in fields(kind):
        here = f"{place}.{item.name}" if place else item.name
        if item.name in raw:
            values[item.name] = _value(hints[item.name], raw[item.name], here)
        elif item.default is MISSING:
            raise _Misfit(here)
    try:
        return kind(**values)
    except ValueError:
        raise _Misfit(place or "top level") from None


def _value(hint: Any, raw: Any, place: str) -> Any:
    origin, arguments = typing.get_origin(hint), typing.get_args(hint)
    if origin in (types.UnionType, typing.Union):
        if raw is None and type(None) in arguments:
            return None
        return _value(next(a for a in arguments if a is not type(None)), raw, place)
    if origin is tuple:
        if not isinstance(raw, list):
            raise _Misfit(place)
        kinds = [arguments[0]] * len(raw) if arguments[-1] is Ellipsis else list(arguments)
        if len(kinds) != len(raw):
            raise _Misfit(place)
        return tuple(_value(k, v, f"{place}[{i}]") for i, (k, v) in enumerate(zip(kinds, raw, strict=True)))
    if is_dataclass(hint):
        return _record(hint, raw, place)
    if hint is float and isinstance(raw, int | float) and not isinstance(raw, bool):
        return float(raw)
    if hint in (str, int, bool) and type(raw) is hint:
        return raw
    raise _Misfit(place)
