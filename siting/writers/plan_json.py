"""plan.json: the whole plan, and the JSON Schema that describes it."""

from __future__ import annotations

import types
import typing
from dataclasses import fields, is_dataclass
from typing import Any

from siting.figures import QUANTITIES
from siting.records.air import RESULTS, AirCriterion, RunwayNear
from siting.records.plan import Plan
from siting.verdict import FAIL, MARGINAL, PASS, UNCHECKED
from siting.writers.record_json import record_json

DIALECT = "https://json-schema.org/draft/2020-12/schema"
VERDICTS = [PASS, MARGINAL, FAIL, UNCHECKED]
# Records whose verdict is a result of the air screening, which is no pass and no failure.
OF_THE_AIR = (AirCriterion, RunwayNear)


def plan_json(plan: Plan) -> bytes:
    """plan.json as UTF-8 text."""
    return record_json(plan)


def plan_schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of plan.json, made from the records, so that it cannot go stale."""
    definitions: dict[str, Any] = {}
    root = _schema_of_record(Plan, definitions)
    return {
        "$schema": DIALECT,
        "title": "siting plan",
        "description": "A staking plan for a tilt-up mast. More keys may stand beside these in later versions.",
        **root,
        "$defs": definitions,
    }


def _schema_of_record(record: type, definitions: dict[str, Any]) -> dict[str, Any]:
    hints = typing.get_type_hints(record)
    properties = {}
    for item in fields(record):
        if not item.metadata.get("in_json", True):
            continue
        schema = _schema_of_type(hints[item.name], definitions)
        text = item.metadata.get("meaning", "")
        kind = item.metadata.get("quantity")
        if kind:
            text = f"{text} [{QUANTITIES[kind][0]}]"
        if item.name == "verdict":
            schema = {**schema, "enum": list(RESULTS) if record in OF_THE_AIR else VERDICTS}
        properties[item.name] = {**schema, "description": text}
    doc = (record.__doc__ or "").strip().splitlines()[0]
    return {"type": "object", "description": doc, "properties": properties, "required": list(properties)}


def _schema_of_type(hint: Any, definitions: dict[str, Any]) -> dict[str, Any]:
    plain = {str: "string", bool: "boolean", int: "integer", float: "number"}
    if hint in plain:
        return {"type": plain[hint]}
    origin, arguments = typing.get_origin(hint), typing.get_args(hint)
    if origin in (types.UnionType, typing.Union):
        options = [_schema_of_type(a, definitions) for a in arguments if a is not type(None)]
        return {"anyOf": [*options, {"type": "null"}]} if len(options) < len(arguments) else {"anyOf": options}
    if origin is tuple:
        if arguments[-1] is Ellipsis:
            return {"type": "array", "items": _schema_of_type(arguments[0], definitions)}
        items = [_schema_of_type(a, definitions) for a in arguments]
        return {"type": "array", "prefixItems": items, "items": False, "minItems": len(items)}
    if is_dataclass(hint):
        if hint.__name__ not in definitions:
            definitions[hint.__name__] = {}
            definitions[hint.__name__] = _schema_of_record(hint, definitions)
        return {"$ref": f"#/$defs/{hint.__name__}"}
    raise TypeError(f"no schema for {hint!r}")
