"""A record as JSON text, laid out as Python's own json lays it out with an indent of 1, in one walk over the record."""

from __future__ import annotations

import math
from dataclasses import fields, is_dataclass
from functools import cache
from json.encoder import encode_basestring as quoted
from typing import Any

WORDS = {True: "true", False: "false", None: "null"}


def record_json(record: Any) -> bytes:
    """The record's own keys and values as UTF-8 text with a line's end; no unit of its own.

    Raises:
        ValueError: a number is not finite.
    """
    return (_text(record, "\n") + "\n").encode()


def _text(value: Any, line: str) -> str:
    """A value as JSON; `line` is a line's end with the indent around the value."""
    kind = type(value)
    if kind is float:
        return _number(value)
    if kind is str:
        return quoted(value)
    inner = line + " "
    if isinstance(value, tuple):
        return f"[{inner}{f',{inner}'.join([_text(item, inner) for item in value])}{line}]" if value else "[]"
    if value is None or kind is bool:
        return WORDS[value]
    if is_dataclass(kind):
        pairs = [key + _text(getattr(value, name), inner) for name, key in _keys(kind)]
        return f"{{{inner}{f',{inner}'.join(pairs)}{line}}}" if pairs else "{}"
    if isinstance(value, float):
        return _number(value)
    if isinstance(value, int):
        return int.__repr__(value)
    raise TypeError(f"{kind.__name__} has no place in a record")


def _number(value: float) -> str:
    """A finite number in the fewest digits that read back as the same."""
    if not math.isfinite(value):
        raise ValueError(f"not a finite number: {value}")
    return float.__repr__(value)


@cache
def _keys(kind: type) -> tuple[tuple[str, str], ...]:
    """Name and quoted key of each field that goes into the file."""
    return tuple((item.name, f"{quoted(item.name)}: ") for item in fields(kind) if item.metadata.get("in_json", True))
