"""What the package says: docstrings, errors named, sources of limits, no final words, no machine's paths."""

from __future__ import annotations

import ast
import re
import subprocess
from dataclasses import fields
from pathlib import Path

import pytest

from siting import errors
from siting.errors import SitingError
from siting.records.site import SETBACK_FACTOR, Limit, Limits

ROOT = Path(__file__).parents[2]
SITING = ROOT / "siting"
PYTHON = sorted(SITING.rglob("*.py"))
ERROR_NAMES = {name for name, value in vars(errors).items() if isinstance(value, type) and issubclass(value, SitingError)}
# Legal or final words (CONTRACT, verdicts). A docstring may name them to forbid them; a text that is shown may not.
FINAL_WORDS = re.compile(
    r"\bapproved?\b|\bsafe to (?:lift|raise|climb|stand|build)\b|\bcertif(?:y|ied|icate)\b|\bguaranteed?\b", re.I
)
TEXT_SUFFIXES = (
    ".py", ".toml", ".md", ".txt", ".js", ".css", ".html", ".json", ".geojson", ".csv", ".yml", ".yaml", ".sh", ".cfg", "",
)  # fmt: skip


def shown(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def tree_of(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def docstring_nodes(tree: ast.Module) -> set[int]:
    found = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef) and ast.get_docstring(node):
            found.add(id(node.body[0].value))
    return found


def public_definitions(tree: ast.Module):
    """Public functions and classes of a module, and public methods of public classes."""
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
            yield node
            if isinstance(node, ast.ClassDef):
                yield from (n for n in node.body if isinstance(n, ast.FunctionDef) and not n.name.startswith("_"))


def raised_in(node: ast.AST, makers: dict[str, str]) -> set[str]:
    """Classes of our error tree that a function's own body raises, also by `raise _maker(...)`."""
    found = set()
    for inner in ast.walk(node):
        if isinstance(inner, ast.Raise) and inner.exc is not None:
            call = inner.exc.func if isinstance(inner.exc, ast.Call) else inner.exc
            name = (
                call.value.id if isinstance(call, ast.Attribute) and isinstance(call.value, ast.Name) else getattr(call, "id", "")
            )
            name = makers.get(name, name)
            if name in ERROR_NAMES:
                found.add(name)
    return found


@pytest.mark.parametrize("path", PYTHON, ids=shown)
def test_every_module_says_what_it_is_for_in_its_first_line(path):
    text = path.read_text(encoding="utf-8")
    assert text.startswith('"""'), shown(path)
    assert len(ast.get_docstring(ast.parse(text)).splitlines()[0].split()) >= 3


def test_every_public_function_and_class_has_a_docstring():
    bare = [f"{shown(p)}: {n.name}" for p in PYTHON for n in public_definitions(tree_of(p)) if not ast.get_docstring(n)]
    assert bare == []
    assert sum(1 for p in PYTHON for _ in public_definitions(tree_of(p))) > 180


def test_every_error_that_a_public_function_raises_stands_under_raises():
    wrong, seen = [], 0
    for path in PYTHON:
        tree = tree_of(path)
        makers = {n.name: n.returns.id for n in tree.body if isinstance(n, ast.FunctionDef) and isinstance(n.returns, ast.Name)}
        for node in public_definitions(tree):
            if isinstance(node, ast.FunctionDef):
                for name in raised_in(node, makers):
                    seen += 1
                    _, _, raises = (ast.get_docstring(node) or "").partition("Raises:")
                    if name not in raises:
                        wrong.append(f"{shown(path)}: {node.name} raises {name}")
    assert wrong == []
    assert seen >= 15


def test_every_error_carries_a_code_of_its_own_form():
    """Codes are stable names: lower case, underscores; the same in Fault(...) and Error.of(...)."""
    codes = set()
    for path in PYTHON:
        for node in ast.walk(tree_of(path)):
            if isinstance(node, ast.Call) and node.args and isinstance(node.args[0], ast.Constant):
                name = ast.unparse(node.func)
                if name == "Fault" or (name.endswith(".of") and name.split(".")[0] in ERROR_NAMES):
                    codes.add(node.args[0].value)
    assert len(codes) > 25
    assert [c for c in codes if not re.fullmatch(r"[a-z]+(_[a-z]+)+", c)] == []


def test_the_finder_of_final_words_finds_them():
    for text in ("The plan is APPROVED.", "It is safe to lift.", "a certified stake", "We certify it"):
        assert FINAL_WORDS.search(text), text
    assert not FINAL_WORDS.search("This is a calculation, not a permission to build or to lift.")


def test_no_shown_text_holds_a_final_word():
    wrong, strings = [], 0
    for path in PYTHON:
        tree = tree_of(path)
        documents = docstring_nodes(tree)
        for node in ast.walk(tree):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in documents:
                strings += 1
                if FINAL_WORDS.search(node.value):
                    wrong.append(f"{shown(path)}, line {node.lineno}: {node.value!r}")
    for path in [*(SITING / "masts").glob("*.toml"), *(SITING / "static").glob("*.*")]:
        if FINAL_WORDS.search(path.read_text(encoding="utf-8")):
            wrong.append(shown(path))
    assert wrong == []
    assert strings > 1500


def test_the_cautions_say_what_a_plan_is_not():
    from siting.planning.remarks import CAUTIONS

    text = " ".join(CAUTIONS)
    for words in ("not a survey", "not a design", "not a permission to build or to lift", "come first", "not for grade"):
        assert words in text
    assert not FINAL_WORDS.search(text)


def test_the_help_of_a_command_holds_no_final_word(run_siting):
    for arguments in (["--help"], ["plan", "--help"], ["masts", "--help"]):
        status, out, err = run_siting(*arguments)
        assert (status, err) == (0, "")
        assert "Usage: siting" in out
        assert not FINAL_WORDS.search(out)


def tracked_files() -> list[Path]:
    """The files of the repository; of an unpacked source archive, all of them."""
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=False)
    if listed.returncode == 0 and listed.stdout:
        names = [n for n in listed.stdout.split("\0") if n]
    else:
        skipped = ("outputs", "build", "dist")
        names = [
            shown(p) for p in ROOT.rglob("*")
            if p.is_file() and not any(part.startswith(".") or part in skipped for part in p.relative_to(ROOT).parts)
        ]  # fmt: skip
    return [ROOT / n for n in names if (ROOT / n).is_file()]


def test_no_tracked_text_names_a_machine_or_a_registry():
    """The names are put together here, so that this file does not hold them either."""
    hosts = [
        "py" + "pi.org",
        "python" + "hosted.org",
        "npm" + "js.org",
        "npm" + "js.com",
        "proxy.golang" + ".org",
        "crates" + ".io",
    ]
    folders = ["/wo" + "rk/", "/ho" + "me/", "/ro" + "ot/", "/Us" + "ers/", "/t" + "mp/", "C:" + "\\Users"]
    looked_at, wrong = 0, []
    for path in tracked_files():
        if path.suffix not in TEXT_SUFFIXES:
            continue
        try:
            text = path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue
        looked_at += 1
        for word in (*hosts, *folders):
            for found in re.finditer(re.escape(word), text):
                before = text[max(0, found.start() - 1) : found.start()]
                if word in folders and re.match(r"[\w.\-]", before):
                    continue  # a part of a longer relative path or of an address
                wrong.append(f"{shown(path)}: {word}")
    assert wrong == []
    assert looked_at > 80


def test_every_limit_has_a_source():
    limits = Limits()
    assert len(fields(limits)) >= 7
    for item in fields(limits):
        limit = getattr(limits, item.name)
        assert isinstance(limit, Limit) and len(limit.source.split()) >= 3, item.name
    assert SETBACK_FACTOR.value == 1.1 and "Toquerville" in SETBACK_FACTOR.source


def test_the_default_limits_are_those_of_the_contract():
    limits = {item.name: getattr(Limits(), item.name).value for item in fields(Limits)}
    wanted = {
        "laydown_slope_min_percent": -0.5, "laydown_slope_max_percent": 15.0, "rest_slope_max_percent": 20.0,
        "gap_max_m": 3.0, "anchor_slope_max_percent": 27.0, "side_guy_travel_max_m": 1.0, "winch_arm_min_ratio": 0.1,
    }  # fmt: skip
    assert {name: limits[name] for name in wanted} == wanted


def test_every_limit_that_is_made_in_code_is_made_with_a_source():
    made = []
    for path in PYTHON:
        for node in ast.walk(tree_of(path)):
            if isinstance(node, ast.Call) and ast.unparse(node.func) == "Limit":
                made.append((shown(path), node.lineno, len(node.args) + len(node.keywords)))
                source = node.args[1] if len(node.args) > 1 else None
                assert not (isinstance(source, ast.Constant) and not str(source.value).strip()), made[-1]
    assert len(made) >= 12
    assert [m for m in made if m[2] != 2] == []


def test_conversion_factors_stand_in_one_place():
    """Feet, and the earth's gravity, are typed in units.py and nowhere else."""
    typed = {0.3048, 3.28084, 3937.0, 9.80665, 9.81}
    found = {
        shown(path)
        for path in PYTHON
        for node in ast.walk(tree_of(path))
        if isinstance(node, ast.Constant) and isinstance(node.value, float) and node.value in typed
    }
    assert found == {"siting/units.py"}
