"""Writes the pages that the code decides, so that they cannot go stale.

    python docs/generate.py            writes files.md, limits.md, errors.md, plan.schema.json and the layer picture
    python docs/generate.py --check    writes nothing; says which of them differ, and ends with 1 if one does

A key, a limit, a check, a file or an error code without an entry in the tables of page_tables.py stops both.
"""

from __future__ import annotations

import ast
import dataclasses
import importlib
import json
import re
import sys
import types
import typing
from importlib.util import find_spec
from pathlib import Path

DOCS = Path(__file__).resolve().parent
ROOT = DOCS.parent
SITING = ROOT / "siting"
sys.path[:0] = [str(ROOT), str(DOCS)]

import page_tables as tables  # noqa: E402

from siting import verdict  # noqa: E402
from siting.checks import columns  # noqa: E402
from siting.checks import ground as ground_checks  # noqa: E402
from siting.checks import holding as holding_checks  # noqa: E402
from siting.checks import land as land_checks  # noqa: E402
from siting.checks import lift as lift_checks  # noqa: E402
from siting.checks import power_lines as power_checks  # noqa: E402
from siting.checks.rule_findings import RULE  # noqa: E402
from siting.figures import QUANTITIES  # noqa: E402
from siting.records import readings_form  # noqa: E402
from siting.records.plan import Plan  # noqa: E402
from siting.records.plumb_sheet import PlumbSheet  # noqa: E402
from siting.records.site import SETBACK_FACTOR, Limits  # noqa: E402
from siting.writers import packet  # noqa: E402
from siting.writers.plan_json import plan_schema  # noqa: E402
from siting.writers.points import points_csv  # noqa: E402

MADE = "<!-- Written by docs/generate.py: change the code or docs/page_tables.py, then run it again. -->"
PICTURE = ("<!-- layers: written by docs/generate.py -->", "<!-- end of layers -->")
PLAIN_TYPES = {str: "text", bool: "true or false", int: "whole number", float: "number"}
GAP = "…"


def require_same(what: str, in_code: set[str], in_table: set[str]) -> None:
    """Stops where the code and a table of this folder do not name the same things."""
    missing, stale = sorted(in_code - in_table), sorted(in_table - in_code)
    if missing or stale:
        parts = [f"without an entry: {', '.join(missing)}"] if missing else []
        parts += [f"with an entry but no longer in the code: {', '.join(stale)}"] if stale else []
        raise SystemExit(f"docs/page_tables.py, {what} {'; '.join(parts)}")


def table(head: tuple[str, ...], rows: list[tuple[str, ...]]) -> str:
    """A Markdown table."""
    lines = [head, ("---",) * len(head), *rows]
    return "\n".join("| " + " | ".join(str(c).replace("|", "\\|").replace("\n", " ") for c in line) + " |" for line in lines)


# --- files.md -----------------------------------------------------------------------------------------------------


def unwrap(hint: typing.Any) -> tuple[typing.Any, bool, bool]:
    """(what one item is, whether there is a list of them, whether null may stand instead)."""
    is_list = can_be_null = False
    while typing.get_args(hint):
        arguments = typing.get_args(hint)
        if typing.get_origin(hint) in (types.UnionType, typing.Union):
            can_be_null = can_be_null or type(None) in arguments
            hint = next(a for a in arguments if a is not type(None))
        else:
            is_list, hint = True, arguments[0]
    return hint, is_list, can_be_null


def plan_sections(record: type, path: str) -> list[str]:
    """A section for a record and one for each record inside it, in the order of the keys."""
    hints = typing.get_type_hints(record)
    rows, inner = [], []
    for item in dataclasses.fields(record):
        if not item.metadata.get("in_json", True):
            continue
        kind, is_list, can_be_null = unwrap(hints[item.name])
        is_record = dataclasses.is_dataclass(kind)
        held = "object" if is_record else PLAIN_TYPES[kind]
        held = f"list of {held}s".replace("texts", "text") if is_list else held
        quantity = item.metadata.get("quantity")
        unit, decimals, _ = QUANTITIES[quantity] if quantity else ("", "", 0)
        unit = "" if quantity == "none" else unit
        rows.append((f"`{item.name}`", held + (" or null" if can_be_null else ""), unit, decimals, item.metadata["meaning"]))
        if is_record:
            inner += plan_sections(kind, f"{path}.{item.name}".lstrip(".") + ("[]" if is_list else ""))
    title = f"### `{path}`" if path else "### Top level"
    doc = (record.__doc__ or "").strip().splitlines()[0]
    return [f"{title}\n\n{doc}\n\n{table(('key', 'type', 'unit', 'decimals', 'meaning'), rows)}", *inner]


def files_page() -> str:
    """files.md: the packet's files, the columns of stakes.csv, every key of plan.json."""
    names = {*packet.FILES, packet.MANIFEST}
    require_same("EXTRA_FILES", set(packet.EXTRA_FORMATS), set(tables.EXTRA_FILES))
    extra = [
        (f"`{key}`", f"`{file}`", tables.EXTRA_FILES[key] if find_spec(module) else "not in this version")
        for key, (file, module, _) in packet.EXTRA_FORMATS.items()
    ]
    require_same("PACKET_FILES", names, set(tables.PACKET_FILES))
    require_same("READINGS_COLUMNS", set(readings_form.COLUMNS), set(tables.READINGS_COLUMNS))
    require_same("CSV_COLUMNS", set(points_csv.HEADER), set(tables.CSV_COLUMNS))
    parts = [
        tables.FILES_INTRO,
        "## The packet\n\n" + table(("file", "what it holds"), [(f"`{n}`", t) for n, t in tables.PACKET_FILES.items()]),
        tables.PACKET_NOTE,
        "## More files on request\n\n" + tables.EXTRA_INTRO,
        table(("format", "file", "what it holds"), extra),
        "## stakes.csv\n\n" + tables.CSV_INTRO,
        table(("column", "unit", "meaning"), [(f"`{n}`", *tables.CSV_COLUMNS[n]) for n in points_csv.HEADER]),
        "## readings.csv\n\n" + tables.READINGS_INTRO,
        table(("column", "unit", "meaning"), [(f"`{n}`", *tables.READINGS_COLUMNS[n]) for n in readings_form.COLUMNS]),
        "## plumb.json\n\n" + tables.PLUMB_INTRO,
        *(s.replace("### Top level", "### Top level of plumb.json") for s in plan_sections(PlumbSheet, "")),
        "## plan.json\n\n" + tables.PLAN_INTRO,
        *plan_sections(Plan, ""),
    ]
    return "\n\n".join(["# The files of a packet", MADE, *parts]) + "\n"


# --- limits.md ----------------------------------------------------------------------------------------------------


def number(value: object) -> str:
    """A constant as a reader sees it."""
    if isinstance(value, dict):
        return "; ".join(f"{name}: {', '.join(kinds)}" for name, kinds in value.items())
    if isinstance(value, tuple):
        return ", ".join(str(v) for v in value)
    return f"{value:,}" if isinstance(value, int) else f"{value:.12g}"


def check_kinds() -> set[str]:
    """Every kind of check that the rule modules name."""
    found = set()
    for module in (ground_checks, holding_checks, land_checks, lift_checks, power_checks):
        for name, value in vars(module).items():
            is_own = name.isupper() and name not in vars(columns) and name not in vars(verdict)
            if is_own and isinstance(value, str) and re.fullmatch(r"[a-z_]+", value):
                found.add(value)
    return found | {RULE}


def limits_page() -> str:
    """limits.md: each default, its source, how to change it; the constants; what each check holds against what."""
    defaults = Limits()
    names = {item.name for item in dataclasses.fields(Limits)}
    require_same("LIMITS", names, set(tables.LIMITS))
    require_same("CHECKS", check_kinds(), set(tables.CHECKS))
    rows = []
    for item in dataclasses.fields(Limits):
        limit = getattr(defaults, item.name)
        rows.append((f"`{item.name}`", number(limit.value), *tables.LIMITS[item.name], limit.source))
    rows.append(("`setback_factor` (in `[land]`)", number(SETBACK_FACTOR.value), *tables.SETBACK, SETBACK_FACTOR.source))
    constants = []
    for (module, name), (unit, meaning, source, change) in tables.CONSTANTS.items():
        value = getattr(importlib.import_module(f"siting.{module}"), name)
        constants.append((f"`{module}.{name}`", f"{number(value)} {unit}".strip(), meaning, source, change))
    parts = [
        tables.LIMITS_INTRO,
        table(("key", "default", "unit", "what it limits", "source of the default"), rows),
        tables.LIMITS_OVERRIDE,
        "## Checks\n\n" + tables.CHECKS_INTRO,
        table(("check", "value", "held against", "looks at"), [(f"`{n}`", *t) for n, t in tables.CHECKS.items()]),
        "## Numbers that are not in the site file\n\n" + tables.CONSTANTS_INTRO,
        table(("name", "value", "what it does", "source", "how to change what it does"), constants),
    ]
    return "\n\n".join(["# Limits and other numbers", MADE, *parts]) + "\n"


# --- errors.md ----------------------------------------------------------------------------------------------------


def words_of(node: ast.expr) -> str:
    """The text of an expression; what only the case decides becomes a gap."""
    if isinstance(node, ast.Constant):
        return str(node.value)
    if isinstance(node, ast.JoinedStr):
        return "".join(words_of(part) for part in node.values)
    return GAP


def error_classes() -> set[str]:
    """Names of the error classes."""
    tree = ast.parse((SITING / "errors.py").read_text(encoding="utf-8"))
    return {node.name for node in tree.body if isinstance(node, ast.ClassDef) and node.name != "Fault"}


def faults_in_code() -> dict[str, list[tuple[str, str]]]:
    """Every code with the words that are used with it and the class that carries it."""
    classes, found = error_classes(), {}
    for path in sorted(SITING.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not (isinstance(node, ast.Call) and len(node.args) == 4 and isinstance(node.args[0], ast.Constant)):
                continue
            call = ast.unparse(node.func)
            if call == "Fault" or (call.endswith(".of") and call[:-3] in classes):
                where, what, do = (words_of(argument) for argument in node.args[1:])
                line = re.sub(rf"{GAP}(\s*{GAP})+", GAP, f"{where}: {what}. {do[:1].upper()}{do[1:]}")
                carrier = "InputError" if call == "Fault" else call[:-3]
                found.setdefault(node.args[0].value, []).append((carrier, line))
    return found


def errors_page() -> str:
    """errors.md: every code, the words, cause and cure."""
    faults = faults_in_code()
    require_same("FAULTS", set(faults), {code for group in tables.FAULTS.values() for code in group})
    parts = [tables.ERRORS_INTRO]
    for title, group in tables.FAULTS.items():
        parts.append(f"## {title}")
        for code, (cause, cure) in group.items():
            carriers = ", ".join(f"`{c}`" for c in dict.fromkeys(c for c, _ in faults[code]))
            lines = "\n".join(f"    {line}" for line in dict.fromkeys(line for _, line in faults[code]))
            parts.append(f"### `{code}`\n\nCause: {cause}\n\nCure: {cure}\n\nWords ({carriers}):\n\n{lines}")
    return "\n\n".join(["# Error messages", MADE, *parts]) + "\n"


# --- architecture.md ----------------------------------------------------------------------------------------------


def imports_by_folder() -> dict[str, set[str]]:
    """Which folder (or single file) of the package imports which, inner and typing imports too."""
    uses: dict[str, set[str]] = {}
    for path in sorted(SITING.rglob("*.py")):
        parts = path.relative_to(SITING).with_suffix("").parts
        here = parts[0]
        if here in ("__init__", "__main__"):
            continue
        targets = uses.setdefault(here, set())
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("siting."):
                targets.add(node.module.split(".")[1])
            elif isinstance(node, ast.ImportFrom) and node.module == "siting":
                targets |= {alias.name for alias in node.names}
    return {here: targets - {here} for here, targets in uses.items()}


def levels(uses: dict[str, set[str]]) -> dict[str, int]:
    """Each folder's line: one above the highest that it uses. Stops at a circle."""
    found: dict[str, int] = {}
    while len(found) < len(uses):
        ready = [here for here in uses if here not in found and uses[here] <= set(found)]
        if not ready:
            raise SystemExit(f"siting: folders import each other in a circle: {', '.join(sorted(set(uses) - set(found)))}")
        for here in ready:
            found[here] = 1 + max((found[target] for target in uses[here]), default=-1)
    return found


def purpose(here: str) -> str:
    """The first line of a folder's or a file's docstring."""
    path = SITING / here / "__init__.py" if (SITING / here).is_dir() else SITING / f"{here}.py"
    return (ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or "").splitlines()[0]


def layer_picture() -> str:
    """The layers, the highest first."""
    uses = imports_by_folder()
    line_of = levels(uses)
    rows = [
        (str(line_of[here]), f"`{here}`", purpose(here), " ".join(sorted(uses[here], key=lambda t: (-line_of[t], t))))
        for here in sorted(uses, key=lambda h: (-line_of[h], h))
    ]
    return table(("line", "folder or file", "what it is for", "uses"), rows)


def architecture_page(text: str) -> str:
    """architecture.md with its layer picture drawn again."""
    before, rest = text.split(PICTURE[0])
    after = rest.split(PICTURE[1])[1]
    return f"{before}{PICTURE[0]}\n\n{layer_picture()}\n\n{PICTURE[1]}{after}"


# --- all ----------------------------------------------------------------------------------------------------------


def pages() -> dict[str, str]:
    """Every generated page: its name and its text."""
    architecture = (DOCS / "architecture.md").read_text(encoding="utf-8")
    return {
        "files.md": files_page(),
        "limits.md": limits_page(),
        "errors.md": errors_page(),
        "plan.schema.json": json.dumps(plan_schema(), indent=1, ensure_ascii=False) + "\n",
        "architecture.md": architecture_page(architecture),
    }


def stale(made: dict[str, str], folder: Path = DOCS) -> list[str]:
    """Names of the pages that differ from what the code says."""
    there = {name: (folder / name).read_text(encoding="utf-8") if (folder / name).is_file() else "" for name in made}
    return [name for name, text in made.items() if there[name] != text]


def main(arguments: list[str]) -> int:
    """Writes or compares; the exit status."""
    if arguments not in ([], ["--check"]):
        print("usage: python docs/generate.py [--check]", file=sys.stderr)
        return 2
    made = pages()
    different = stale(made)
    if arguments:
        for name in different:
            print(f"docs/{name}: differs from the code. Run python docs/generate.py.", file=sys.stderr)
        return 1 if different else 0
    for name in different:
        (DOCS / name).write_text(made[name], encoding="utf-8")
        print(f"docs/{name}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
