"""Files and functions stay small enough to be read in one go."""

from __future__ import annotations

import ast
import statistics
from pathlib import Path

SITING = Path(__file__).parents[2] / "siting"
FILES = sorted(SITING.rglob("*.py"))
FILE_LINES, FILE_MEDIAN, FUNCTION_LINES, FUNCTION_MEDIAN, ARGUMENTS = 400, 200, 60, 15, 7
# Functions over a limit, and why. A name that is no longer over it must leave the list.
LONG_FUNCTIONS: dict[str, str] = {}
# Parts of a compiled kernel: everything that they work on is handed on as bare memory (docs/decisions/0018).
KERNEL = "a part of a compiled kernel"
MANY_ARGUMENTS: dict[str, str] = {
    "screening/alone.py:uses_of": KERNEL,
    "screening/eight.py:samples_seen": KERNEL,
    "screening/eight.py:search_eight": KERNEL,
    "screening/eight.py:try_azimuth": KERNEL,
}


def functions():
    for path in FILES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                yield f"{path.relative_to(SITING).as_posix()}:{node.name}", node


def body_lines(node) -> int:
    """Lines of a function without its docstring and decorators."""
    lines = node.end_lineno - node.lineno + 1
    if ast.get_docstring(node) is not None:
        doc = node.body[0]
        lines -= doc.end_lineno - doc.lineno + 1
    return lines


def test_files_are_short():
    sizes = {p.relative_to(SITING).as_posix(): len(p.read_text(encoding="utf-8").splitlines()) for p in FILES}
    assert len(sizes) > 50
    assert {name: size for name, size in sizes.items() if size > FILE_LINES} == {}
    assert statistics.median(size for size in sizes.values() if size > 1) <= FILE_MEDIAN


def test_functions_are_short():
    sizes = {name: body_lines(node) for name, node in functions()}
    assert len(sizes) > 200
    long = {name: size for name, size in sizes.items() if size > FUNCTION_LINES}
    assert {name: size for name, size in long.items() if name not in LONG_FUNCTIONS} == {}
    assert statistics.median(sizes.values()) <= FUNCTION_MEDIAN
    assert max(sizes.values()) < 100


def test_functions_take_few_arguments():
    counts = {}
    for name, node in functions():
        given = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
        counts[name] = len([a for a in given if a.arg not in ("self", "cls")])
    many = {name: count for name, count in counts.items() if count > ARGUMENTS}
    assert {name: count for name, count in many.items() if name not in MANY_ARGUMENTS} == {}


def test_the_lists_of_exceptions_name_functions_that_are_there_and_over_a_limit():
    nodes = dict(functions())
    assert set(LONG_FUNCTIONS) | set(MANY_ARGUMENTS) <= set(nodes)
    assert [n for n in MANY_ARGUMENTS if len(nodes[n].args.args) + len(nodes[n].args.kwonlyargs) <= ARGUMENTS] == []


def test_no_module_has_a_name_that_says_nothing():
    nothing = {"util", "utils", "helper", "helpers", "common", "misc", "manager", "tools", "base", "core"}
    assert [p.name for p in FILES if p.stem in nothing] == []
