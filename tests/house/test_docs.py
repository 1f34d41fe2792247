"""The documentation says what the program does: generated pages, links, commands, keys, examples, quoted numbers."""

from __future__ import annotations

import importlib.util
import math
import re
import shlex
import sys
import tomllib
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"
PAGES = sorted([*DOCS.rglob("*.md"), *ROOT.glob("*.md"), ROOT / "outputs" / "README.md"])
FENCE = re.compile(r"^```(\w*)\n(.*?)^```$", re.M | re.S)
INLINE = re.compile(r"`([^`\n]+)`")


def shown(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def text_of(path: Path) -> str:
    return path.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def generator() -> ModuleType:
    spec = importlib.util.spec_from_file_location("docs_generate", DOCS / "generate.py")
    module = importlib.util.module_from_spec(spec)
    path = list(sys.path)
    try:
        spec.loader.exec_module(module)
    finally:
        sys.path[:] = path
    return module


# --- generated pages ----------------------------------------------------------------------------------------------


def test_the_generated_pages_are_what_the_code_says(generator):
    made = generator.pages()
    assert set(made) == {"files.md", "limits.md", "errors.md", "plan.schema.json", "architecture.md"}
    assert generator.stale(made) == [], "run python docs/generate.py"


def test_a_page_that_differs_is_found(generator, tmp_path):
    made = generator.pages()
    for name, text in made.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    assert generator.stale(made, tmp_path) == []
    (tmp_path / "limits.md").write_text(made["limits.md"].replace("| 3 | m |", "| 4 | m |"), encoding="utf-8")
    (tmp_path / "errors.md").unlink()
    assert generator.stale(made, tmp_path) == ["limits.md", "errors.md"]


@pytest.mark.parametrize(
    ("table", "key", "page"),
    [
        ("LIMITS", "gap_max_m", "limits_page"),
        ("CHECKS", "winch_arm", "limits_page"),
        ("CSV_COLUMNS", "elevation", "files_page"),
        ("PACKET_FILES", "map.html", "files_page"),
        ("EXTRA_FILES", "gpx", "files_page"),
    ],
)
def test_a_key_without_an_entry_stops_the_generator(generator, monkeypatch, table, key, page):
    entries = dict(getattr(generator.tables, table))
    del entries[key]
    monkeypatch.setattr(generator.tables, table, entries)
    with pytest.raises(SystemExit, match=rf"{table} without an entry: {re.escape(key)}"):
        getattr(generator, page)()


def test_an_error_code_without_an_entry_or_without_use_stops_the_generator(generator, monkeypatch):
    groups = {title: dict(group) for title, group in generator.tables.FAULTS.items()}
    groups["The DEM"]["dem_made_up"] = ("a cause", "a cure")
    del groups["The base"]["base_form"]
    monkeypatch.setattr(generator.tables, "FAULTS", groups)
    with pytest.raises(SystemExit, match="FAULTS without an entry: base_form; .* no longer in the code: dem_made_up"):
        generator.errors_page()


def test_every_error_code_has_its_words_on_the_page(generator):
    faults = generator.faults_in_code()
    assert len(faults) > 40
    page = text_of(DOCS / "errors.md")
    for code, words in faults.items():
        assert f"### `{code}`" in page
        assert all(line in page for _, line in words)


def test_the_layer_picture_finds_a_circle(generator):
    assert generator.levels({"a": {"b"}, "b": set(), "c": {"a", "b"}}) == {"b": 0, "a": 1, "c": 2}
    with pytest.raises(SystemExit, match="circle: a, b"):
        generator.levels({"a": {"b"}, "b": {"a"}, "c": set()})


# --- links and paths ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("page", PAGES, ids=shown)
def test_every_relative_link_leads_somewhere(page):
    for target in re.findall(r"\]\(([^)\s]+)\)", text_of(page)):
        if not re.match(r"[a-z]+:", target):
            path, _, anchor = target.partition("#")
            assert (page.parent / path).exists() if path else anchor, f"{shown(page)}: {target}"


def test_there_are_links_to_follow():
    assert sum(len(re.findall(r"\]\((?![a-z]+:)[^)\s]+\)", text_of(page))) for page in PAGES) > 80


@pytest.mark.parametrize("page", PAGES, ids=shown)
def test_every_file_of_the_project_that_is_named_is_there(page):
    for word in INLINE.findall(FENCE.sub("", text_of(page))):
        if re.fullmatch(r"(siting|tests|docs|benchmarks|sample_dem|\.ci)/[\w./\-]*", word):
            assert (ROOT / word).exists(), f"{shown(page)}: {word}"


def test_every_page_is_listed():
    index = text_of(DOCS / "README.md")
    for page in DOCS.glob("*.md"):
        assert page.name == "README.md" or f"]({page.name})" in index, page.name


# --- commands -----------------------------------------------------------------------------------------------------


def command_lines(page: Path) -> list[str]:
    """Every command line of siting: lines of fenced blocks, and words between backquotes."""
    text = text_of(page)
    lines = [line.strip() for _, block in FENCE.findall(text) for line in block.splitlines()]
    lines += INLINE.findall(FENCE.sub("", text))
    found = []
    for line in lines:
        for part in re.split(r"&&|\||>|;", line):
            match = re.match(r"(?:\.venv/bin/|python3? -m )?siting( .*)?$", part.strip())
            if match:
                found.append((match[1] or "").strip())
    return found


def fault_of(line: str) -> str:
    """What is wrong with a command line after the word siting; empty where nothing is."""
    from siting.cli.main import COMMANDS, group

    words = shlex.split(line)
    if not words or words[0] in ("--help", "-h", "--version"):
        return ""
    if words[0] not in COMMANDS:
        return f"no command {words[0]}"
    command = group.get_command(None, words[0])
    known = {name: p for p in command.params for name in (*p.opts, *p.secondary_opts) if name.startswith("-")} | {"--help": None}
    arguments = 0
    takes_value = False
    for word in words[1:]:
        name, has_value, _ = word.partition("=")
        if takes_value:
            takes_value = False
        elif word.startswith("-"):
            if name not in known:
                return f"no option {name}"
            takes_value = not has_value and known[name] is not None and not known[name].is_flag
        else:
            arguments += 1
    most = sum(1 for p in command.params if p.param_type_name == "argument")
    return f"{arguments} arguments, {most} at most" if arguments > most else ""


@pytest.mark.parametrize("page", PAGES, ids=shown)
def test_every_command_line_uses_what_there_is(page):
    assert {line: fault for line in command_lines(page) if (fault := fault_of(line))} == {}


def test_the_finder_of_wrong_command_lines_finds_them():
    assert fault_of("plan site.toml --out outputs") == ""
    assert fault_of("plan site.toml --into outputs") == "no option --into"
    assert fault_of("fly site.toml") == "no command fly"
    assert fault_of("verify outputs again") == "2 arguments, 1 at most"
    assert sum(len(command_lines(page)) for page in PAGES) > 20


def test_the_readme_names_every_command():
    from siting.cli.main import COMMANDS

    text = text_of(ROOT / "README.md")
    assert [name for name in COMMANDS if f"| `siting {name}` |" not in text] == []


# --- README -------------------------------------------------------------------------------------------------------


def test_the_readme_starts_with_the_job_and_the_two_set_up_commands():
    text = text_of(ROOT / "README.md")
    paragraphs = text.split("\n\n")
    assert paragraphs[0] == "# siting"
    assert paragraphs[1].startswith("A contractor who puts up guyed, tilt-up meteorological masts of 60 to 100 m must choose")
    blocks = [block for _, block in FENCE.findall(text)][:2]
    assert [block.count("\n") for block in blocks] == [1, 1]
    assert all(block.startswith("python3 -m venv .venv && ") for block in blocks)
    assert blocks[0].rstrip().endswith(".venv/bin/siting plan sample_dem/site.toml --out outputs")
    assert blocks[1].rstrip().endswith(".venv/bin/python -m pytest")


# --- keys and examples --------------------------------------------------------------------------------------------


def keys_of(model: type) -> set[str]:
    """Every key of a table and of the tables inside it."""
    from siting.inputs.toml_file import Table, _model_inside

    keys = set()
    for name, item in model.model_fields.items():
        inner = _model_inside(item.annotation)
        keys |= keys_of(inner) if inner is not None and issubclass(inner, Table) else {name}
    return keys


def test_every_key_of_a_site_file_and_of_a_mast_file_is_explained():
    from siting.inputs.mast_file import MastTable
    from siting.inputs.site_tables import SiteTable

    for page, model in (("site_file.md", SiteTable), ("mast_file.md", MastTable)):
        rows = " ".join(line for line in text_of(DOCS / page).splitlines() if line.startswith("|"))
        keys = keys_of(model)
        assert len(keys) > 15
        assert [key for key in sorted(keys) if f"`{key}`" not in rows] == [], page


def test_the_defaults_of_the_site_files_limits_are_those_of_the_code():
    from dataclasses import fields

    from siting.records.site import Limits

    text = text_of(DOCS / "site_file.md").replace("−", "-")
    for item in fields(Limits):
        row = next(line for line in text.splitlines() if line.startswith(f"| `{item.name}`"))
        assert float(row.split("|")[4]) == getattr(Limits(), item.name).value


def toml_blocks() -> list[tuple[str, str]]:
    return [(shown(p), block) for p in PAGES for language, block in FENCE.findall(text_of(p)) if language == "toml"]


def test_every_toml_example_uses_known_keys_only():
    from siting.inputs.mast_file import MastTable
    from siting.inputs.rule_tables import RuleSetTable
    from siting.inputs.site_tables import SiteTable

    whole_site = {"name": "x", "base": {"lat": 0.0, "lon": 0.0}, "dem": {"path": "x"}, "mast": {"use": "x"}}
    assert len(toml_blocks()) >= 4
    for page, block in toml_blocks():
        raw = tomllib.loads(block)
        if "anchors" in raw:
            MastTable.model_validate(raw)
        elif "search" in raw:
            from siting.inputs.area_file import AreaTable

            AreaTable.model_validate(raw)
        elif "rules" in raw:
            RuleSetTable.model_validate(raw)
        else:
            assert SiteTable.model_validate(whole_site | raw), page


def test_the_small_mast_of_the_mast_page_can_be_read(tmp_path):
    from siting.inputs.mast_file import read_mast

    block = next(block for page, block in toml_blocks() if page == "docs/mast_file.md" and "[[anchors]]" in block)
    (tmp_path / "mast.toml").write_text(block, encoding="utf-8")
    mast = read_mast(tmp_path / "mast.toml", "mast.toml", False)
    assert len(mast.side_anchors) == 1 and mast.winch is not None


def test_the_forms_of_a_base_on_the_site_page_name_one_place():
    from siting.inputs.base_point import base_from_text

    section = text_of(DOCS / "site_file.md").partition("## The base as text")[2].partition("##")[0]
    texts = [word[1:-1].replace('\\"', '"') for word in INLINE.findall(section) if word.startswith('"')]
    assert len(texts) == 4
    for text in texts:
        point = base_from_text(text, "docs")
        assert abs(point.lat - 47.0277119) < 2e-5 and abs(point.lon + 109.8496689) < 2e-5, text


# --- quoted numbers -----------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def demo():
    from siting.inputs.site_file import read_site
    from siting.planner import make_plan

    return make_plan(read_site(ROOT / "sample_dem" / "site.toml"))


def test_the_excerpt_of_the_terminal_is_what_the_demo_prints(demo):
    from siting.writers.terminal import terminal_text

    excerpt = re.search(r"<!-- excerpt.*?-->\n```text\n(.*?)```", text_of(DOCS / "start.md"), re.S)[1]
    printed = terminal_text(demo, (), "outputs").splitlines()
    lines = [line for line in excerpt.splitlines() if line]
    assert len(lines) > 8
    assert [line for line in lines if line not in printed] == []


def test_the_numbers_quoted_from_the_demo_hold(demo):
    crs, lay, land, lift = demo.crs, demo.laydown, demo.land, demo.lift
    at = {s.id: s for s in demo.stakes}
    quoted = {
        "surveyor.md": (
            f"{crs.combined_factor:.8f}", f"{at['A2'].grid_distance_m:.3f} m", f"| true | {lay.azimuth_deg:.2f}° |",
            f"({crs.convergence_deg:.2f}°) | {lay.azimuth_grid_deg:.2f}° |",
            f"({crs.declination_deg:.2f}°, model error {crs.declination_error_deg:.2f}°) | {lay.azimuth_magnetic_deg:.2f}° |",
            f"moves the anchor at 52 m by {2 * 52 * math.sin(math.radians(crs.convergence_deg) / 2):.2f} m",
            f"{abs(at['A2'].northing - at['B2'].northing):.3f}² + {abs(at['A2'].easting - at['B2'].easting):.3f}²",
            f"{math.hypot(52.0, at['B2'].above_base_m):.3f} m along the slope",
        ),
        "planner.md": (
            f"{land.fall_radius_m:.2f} m |", f"= {land.setback_m:.2f} m |", f"exterior line lies {land.nearest_boundary_m:.2f} m away",
            f"BASE {demo.base.easting:.3f}, {demo.base.northing:.3f}",
            f"{land.nearest_boundary_point.easting:.3f}, {land.nearest_boundary_point.northing:.3f}",
        ),
        "crew.md": (
            f"({lay.slope_percent:.1f} %)", f"({lay.rest_slope_percent:.1f} %)", f"({lay.max_gap_m:.2f} m at {lay.max_gap_at_m:.2f} m)",
            f"the demo has {lift.winch_arm_min_ratio:.2f}", f"is {lift.winch_pull_kn[0]:.1f} kN at the start",
            f"{lift.winch_pull_kn[lift.angles_deg.index(80.0)]:.1f} kN at 80 degrees",
        ),
        "gotchas.md": (f"{lay.azimuth_deg:.2f}° true is {lay.azimuth_grid_deg:.2f}° grid and {lay.azimuth_magnetic_deg:.2f}°",),
        "method/stakes.md": (f"{crs.combined_factor:.8f}", f"{at['A2'].grid_distance_m:.3f} m", f"{crs.declination_error_deg:.2f}°"),
    }  # fmt: skip
    for page, words in quoted.items():
        text = " ".join(text_of(DOCS / page).split())
        assert [word for word in words if word not in text] == [], page


def test_the_side_guy_table_of_the_crew_page_holds():
    from siting.kernels.swing import guy_extremes

    rows = re.findall(r"^\| (?:(\d\.\d) m (lower|higher)[^|]*|(level)) \| (\d\.\d\d) m(?:, (tightest|slackest) at plumb)? \|$", text_of(DOCS / "crew.md"), re.M)
    assert len(rows) == 6
    rest = np.array(math.atan(-0.3 / 80.0))  # level ground under the laydown
    for height, side, level, travel, word in rows:
        z = -0.3 if level else float(height) * (1 if side == "higher" else -1) - 0.3
        shortest, shortest_at, longest, longest_at = guy_extremes(78.0, (np.array(0.0), np.array(45.0), np.array(z)), rest)
        assert float(longest - shortest) == pytest.approx(float(travel), abs=0.005)
        if word:
            assert float(longest_at if word == "tightest" else shortest_at) == pytest.approx(math.pi / 2)


# --- decisions ----------------------------------------------------------------------------------------------------


def test_decisions_are_numbered_and_whole():
    records = sorted((DOCS / "decisions").glob("[0-9]*.md"))
    assert len(records) >= 11
    for number, path in enumerate(records, 1):
        text = text_of(path)
        assert path.name.startswith(f"{number:04d}-") and text.startswith(f"# {number:04d} ")
        for part in ("- Question: ", "- Status: ", "- Date: 20", "**Choice.**", "**Measured", "**Turned down.**", "**Would change our mind.**"):
            assert part in text, f"{shown(path)}: {part}"
