"""Reads a TOML file against a model of its keys, and says every fault in file order with its line."""

from __future__ import annotations

import difflib
import re
import tomllib
from pathlib import Path
from typing import Any, ClassVar

from pydantic import BaseModel, ConfigDict, ValidationError

from siting.errors import Fault, InputError


class Table(BaseModel):
    """A table of a TOML file: only the keys that are listed, no NaN, no infinity."""

    model_config = ConfigDict(extra="forbid", strict=True, allow_inf_nan=False, frozen=True)
    # Keys of another kind of file that people write here: why they do not belong, and what to do.
    ELSEWHERE: ClassVar[dict[str, tuple[str, str]]] = {}


def read_table(path: Path, shown: str, model: type[Table], option: str) -> Any:
    """The file's content as the model.

    Raises:
        InputError: the file is missing or is not TOML, or a key is unknown, missing or of the wrong kind;
            one fault for each, in file order.
    """
    text = read_text(path, shown, option)
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        raise InputError.of(
            "toml_syntax", shown, f"is not valid TOML ({fault})", "correct that line; text stands in \"quotes\""
        ) from None
    try:
        return model.model_validate(raw)
    except ValidationError as fault:
        places = lines_of_keys(text)
        found = [(line_of_place(places, e["loc"]), _fault(e, shown, model, places)) for e in _one_a_key(fault.errors())]
        found.sort(key=lambda pair: pair[0])
        raise InputError(tuple(item for _, item in found)) from None


def read_text(path: Path, shown: str, option: str) -> str:
    """A text file's content, no unit.

    Raises:
        InputError: the file is missing, a folder, or not UTF-8 text.
    """
    try:
        return path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        raise InputError.of("file_missing", shown, "no such file", f"check {option}") from None
    except UnicodeDecodeError:
        raise InputError.of("file_not_text", shown, "is not a text file in UTF-8", f"check {option}") from None
    except OSError as fault:
        raise InputError.of("file_unreadable", shown, f"cannot be read ({fault.strerror})", f"check {option}") from None


# What pydantic adds to a place where a key may be of several kinds.
KIND_WORDS = ("float", "str", "int", "bool")


def _one_a_key(errors: list[dict]) -> list[dict]:
    """One error for each key: where a key may be of several kinds, each kind's refusal is told in one."""
    kept: dict[tuple, dict] = {}
    for error in errors:
        loc = tuple(error["loc"])
        if len(loc) > 1 and loc[-1] in KIND_WORDS:
            loc = loc[:-1]
            if len(loc) > 1 and isinstance(loc[-1], int):
                loc = loc[:-1]
            known = kept.get(loc)
            finite = any(e["type"] == "finite_number" for e in (error, known or error))
            error = {**error, "loc": loc, "type": "finite_number" if finite else "several_kinds"}
        kept[loc] = error
    return list(kept.values())


def lines_of_keys(text: str) -> dict[tuple, int]:
    """Line number of every key and table: {(table, index, key): line}."""
    places: dict[tuple, int] = {}
    counts: dict[str, int] = {}
    table: tuple = ()
    for number, line in enumerate(text.splitlines(), 1):
        head = re.match(r"\s*(\[\[?)\s*([\w.\-\"' ]+?)\s*\]", line)
        if head:
            name = tuple(part.strip(" \"'") for part in head[2].split("."))
            if head[1] == "[[":
                index = counts.get(head[2], -1) + 1
                counts[head[2]] = index
                name = (*name, index)
            table = name
            places.setdefault(table, number)
            continue
        key = re.match(r"\s*([\w\-]+|\"[^\"]*\"|'[^']*')\s*(\.\s*[\w\-]+\s*)*=", line)
        if key:
            dotted = tuple(part.strip(" \"'") for part in line.split("=", 1)[0].split("."))
            places.setdefault((*table, *dotted), number)
            for inner in re.findall(r"[{,]\s*([\w\-]+)\s*=", line.split("=", 1)[1]):
                places.setdefault((*table, *dotted, inner), number)
    return places


def line_of_place(places: dict[tuple, int], loc: tuple) -> int:
    """The line of a key, or of the nearest table around it (whose missing key it may be)."""
    for size in range(len(loc), 0, -1):
        if loc[:size] in places:
            return places[loc[:size]]
    return 10**9


def _fault(error: dict, shown: str, model: type[Table], places: dict[tuple, int]) -> Fault:
    """One fault of the model in plain words."""
    loc = error["loc"]
    line = line_of_place(places, loc)
    name = _key_text(loc)
    where = f"{shown}, line {line}, {name}" if line < 10**9 else f"{shown}, {name}"
    kind, found = error["type"], error.get("input")
    context = error.get("ctx", {})
    if kind == "missing":
        inner = _kind_at(model, loc)
        if inner == "value":
            return Fault("key_missing", where, "is missing", f"add {loc[-1]} = …")
        name = f"[[{loc[-1]}]]" if inner == "tables" else f"[{loc[-1]}]"
        do = f"add a table {name}" if inner == "tables" else f"add the table {name}"
        return Fault("key_missing", f"{shown}, {name}", "is missing", do)
    if kind == "extra_forbidden":
        table = _model_at(model, loc[:-1])
        if loc[-1] in table.ELSEWHERE:
            return Fault("key_unknown", where, *table.ELSEWHERE[loc[-1]])
        known = list(table.model_fields)
        near = difflib.get_close_matches(str(loc[-1]), known, 1, 0.5)
        do = f"did you mean {near[0]}?" if near else "known keys here: " + ", ".join(known)
        return Fault("key_unknown", where, "is not a key that siting knows", do)
    if kind == "value_error":
        return Fault("value_refused", where, str(context.get("error", error["msg"])), "correct it")
    if kind == "several_kinds":
        wanted = SEVERAL_KINDS.get(loc[-1], "it is of the wrong kind")
    elif kind == "model_type":
        wanted = f"it must be a table, [{loc[-1]}]"
    else:
        wanted = _wanted(kind, context, error["msg"])
    return Fault("value_refused", where, f"is {_shown_value(found)}, but {wanted}", "correct it")


def _key_text(loc: tuple) -> str:
    """A key's path as the user writes it: [land] own, or [[anchors]] no. 2 radius_m."""
    tables = [str(part) for part in loc[:-1] if isinstance(part, str)]
    numbers = [part for part in loc if isinstance(part, int)]
    text = f"[{'.'.join(tables)}] " if tables else ""
    if numbers and tables:
        text = f"[[{'.'.join(tables)}]] no. {numbers[0] + 1} "
    return text + (str(loc[-1]) if isinstance(loc[-1], str) else "")


def _wanted(kind: str, context: dict, message: str) -> str:
    words = {
        "float_type": "it must be a number",
        "int_type": "it must be a whole number",
        "string_type": 'it must be text in "quotes"',
        "bool_type": "it must be true or false",
        "finite_number": "it must be a finite number",
        "tuple_type": "it must be a list in [brackets]",
        "list_type": "it must be a list in [brackets]",
        "date_type": "it must be a date like 2027-03-15",
        "string_too_short": "it must not be empty",
        "too_short": "it must not be empty",
        "string_pattern_mismatch": "it may hold letters, digits, - and _ only, and not too many",
    }
    if kind in words:
        return words[kind]
    bounds = {"greater_than": "gt", "greater_than_equal": "ge", "less_than": "lt", "less_than_equal": "le"}
    phrase = {"gt": "more than", "ge": "at least", "lt": "less than", "le": "at most"}
    if kind in bounds:
        short = bounds[kind]
        return f"it must be {phrase[short]} {context[short]:g}"
    if kind == "literal_error":
        return f"it must be {context['expected']}"
    return message[0].lower() + message[1:]


def _shown_value(value: Any) -> str:
    text = repr(value) if isinstance(value, str) else str(value)
    return text if len(text) <= 40 else text[:37] + "…"


# Keys that may be of more than one kind, and what they may be.
SEVERAL_KINDS = {
    "azimuth_deg": 'it must be "auto" or a number of degrees from true north',
    "own": 'it must be text in "quotes" or a whole number',
}


def _kind_at(model: type[Table], loc: tuple) -> str:
    """Whether the key at this place holds a value, a table or several tables."""
    here: Any = model
    for part in loc[:-1]:
        if isinstance(part, str):
            here = _model_inside(here.model_fields[part].annotation) or here
    annotation = here.model_fields[loc[-1]].annotation
    if _model_inside(annotation) is None:
        return "value"
    return "table" if isinstance(annotation, type) and issubclass(annotation, Table) else "tables"


def _model_at(model: type[Table], loc: tuple) -> type[Table]:
    """The model of the table at this place."""
    here: Any = model
    for part in loc:
        if isinstance(part, int):
            continue
        annotation = here.model_fields[part].annotation
        here = _model_inside(annotation) or here
    return here


def _model_inside(annotation: Any) -> type[Table] | None:
    if isinstance(annotation, type) and issubclass(annotation, Table):
        return annotation
    for inner in getattr(annotation, "__args__", ()):
        found = _model_inside(inner)
        if found:
            return found
    return None
