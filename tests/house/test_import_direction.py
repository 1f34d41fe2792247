"""Which module may import which: every import is looked at, also those inside functions and for typing only."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

SITING = Path(__file__).parents[2] / "siting"
# Lowest first. A module imports only from a lower line or, without a circle, from its own folder; folders on one
# line do not import each other.
LAYERS = (
    ("errors", "units", "verdict", "version", "figures", "freed_memory"),
    ("records",),
    ("soil",),
    ("inputs", "geodesy", "kernels"),
    ("terrain",),
    ("laydown",),
    ("layout",),
    ("lift", "holding"),
    ("checks", "dig", "air"),
    ("survey",),
    ("sweep",),
    ("screening",),
    ("planning",),
    ("planner",),
    ("search",),
    ("writers",),
    ("cli", "page"),
    ("__main__",),
)
LEVEL = {folder: number for number, layer in enumerate(LAYERS) for folder in layer}
LOWEST_TWO = {*LAYERS[0], *LAYERS[1]}


def modules() -> dict[str, Path]:
    found = {}
    for path in sorted(SITING.rglob("*.py")):
        parts = path.relative_to(SITING.parent).with_suffix("").parts
        found[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    return found


MODULES = modules()


def imports_of(name: str, *, module_level_only: bool = False) -> list[tuple[str, int]]:
    """(module of siting, line) of every import; `from a import b` names a.b where that is a module."""
    tree = ast.parse(MODULES[name].read_text(encoding="utf-8"))
    nodes = top_level(tree) if module_level_only else list(ast.walk(tree))
    found = []
    for node in nodes:
        if isinstance(node, ast.Import):
            found += [(alias.name, node.lineno) for alias in node.names if alias.name.split(".")[0] == "siting"]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{name}, line {node.lineno}: relative import"
            if (node.module or "").split(".")[0] == "siting":
                for alias in node.names:
                    inner = f"{node.module}.{alias.name}"
                    found.append((inner if inner in MODULES else node.module, node.lineno))
        elif isinstance(node, ast.Call) and ast.unparse(node.func) in ("import_module", "importlib.import_module", "__import__"):
            found += [
                (a.value, node.lineno) for a in node.args if isinstance(a, ast.Constant) and str(a.value).startswith("siting")
            ]
    return found


def top_level(tree: ast.Module) -> list[ast.AST]:
    """Statements that run at import: not inside a function, not under TYPE_CHECKING."""
    nodes, queue = [], list(tree.body)
    while queue:
        node = queue.pop()
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda):
            continue
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test):
            queue += node.orelse
            continue
        nodes.append(node)
        queue += list(ast.iter_child_nodes(node))
    return nodes


def folder_of(module: str) -> str:
    return module.split(".")[1] if "." in module else ""


def test_every_folder_has_its_line():
    there = {folder_of(name) for name in MODULES if name != "siting"}
    assert there - set(LEVEL) == set()
    assert len(there) >= 17


@pytest.mark.parametrize("name", [m for m in MODULES if m != "siting"])
def test_a_module_imports_only_from_below_or_its_own_folder(name):
    here = folder_of(name)
    for target, line in imports_of(name):
        there = folder_of(target)
        assert target != "siting", f"{name}, line {line}: imports the package root"
        allowed = there == here or LEVEL[there] < LEVEL[here]
        if LEVEL[here] == 0:
            allowed = allowed or LEVEL[there] == 0  # single files of one line: errors, units, verdict ...
        assert allowed, f"{name}, line {line}: {target} lies on a higher or the same line"


def test_the_package_root_imports_the_version_only():
    assert [target for target, _ in imports_of("siting")] == ["siting.version"]


def test_kernels_import_units_only():
    for name in (m for m in MODULES if m.startswith("siting.kernels")):
        outside = [t for t, _ in imports_of(name) if not t.startswith(("siting.kernels", "siting.units"))]
        assert outside == [], f"{name} imports {outside}"


def test_writers_reach_no_stage():
    for name in (m for m in MODULES if m.startswith("siting.writers")):
        wrong = [(t, line) for t, line in imports_of(name) if folder_of(t) not in LOWEST_TWO | {"writers"}]
        assert wrong == [], f"{name} imports {wrong}"


def test_no_stage_imports_the_command_line_toolkit():
    for name, path in MODULES.items():
        if folder_of(name) in ("cli", "page", "__main__"):
            continue
        tree = ast.parse(path.read_text(encoding="utf-8"))
        for node in ast.walk(tree):
            names = [a.name for a in node.names] if isinstance(node, ast.Import) else []
            names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            assert "click" not in {n.split(".")[0] for n in names}, f"{name} imports click"


def circles(edges: dict[str, set[str]]) -> list[list[str]]:
    """Groups of modules that reach each other (by walking from each; the package is small)."""

    def reach(start: str) -> set[str]:
        seen, queue = set(), [start]
        while queue:
            for target in edges.get(queue.pop(), ()):
                if target not in seen:
                    seen.add(target)
                    queue.append(target)
        return seen

    reached = {name: reach(name) for name in edges}
    return [sorted(m for m in reached[name] if name in reached.get(m, ())) for name in edges if name in reached[name]]


def test_the_circle_finder_finds_a_circle():
    assert circles({"a": {"b"}, "b": {"c"}, "c": {"a"}, "d": {"a"}}) == [["a", "b", "c"]] * 3
    assert circles({"a": {"b"}, "b": set()}) == []


@pytest.mark.parametrize("module_level_only", [True, False], ids=["at import", "with inner and typing imports"])
def test_no_circle(module_level_only):
    edges = {name: {t for t, _ in imports_of(name, module_level_only=module_level_only) if t != name} for name in MODULES}
    assert sum(map(len, edges.values())) > 100
    assert circles(edges) == []


def test_commands_that_are_named_as_text_are_modules():
    """main.py imports a command by its name; the name must be a module of the folder cli."""
    from siting.cli.main import COMMANDS

    assert set(COMMANDS) >= {"plan", "masts"}
    for module, _ in COMMANDS.values():
        assert module in MODULES and folder_of(module) == "cli"
