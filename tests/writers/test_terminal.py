"""What the terminal says: verdict first, then laydown, stakes, checks, files; nothing failed or open is left out."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from strategies import SMALL_ANCHORS, SMALL_GUYS, plan_of, small_mast
from writers.plan_by_hand import make_plan

from siting.figures import shown
from siting.records.findings import Unchecked
from siting.writers.terminal import terminal_text

FILES = ("plan.json", "stakes.csv")
LINE_MAX = 110


@pytest.fixture(scope="module")
def text() -> str:
    return terminal_text(make_plan(), FILES, "outputs/kestrel")


def starts(text: str, *words: str) -> list[int]:
    """Where each of these stands in the text, which must be once."""
    found = []
    for word in words:
        assert text.count(word) == 1, word
        found.append(text.index(word))
    return found


def test_the_order_is_verdict_laydown_stakes_checks_files(text):
    places = starts(text, "FAIL. ", "LAYDOWN (", "STAKES in ", "CHECKS, ", "FILES in ", "This is a calculation")
    assert places == sorted(places)
    lines = text.splitlines()
    assert lines[0] == "Grüße ≤ Kestrel Ridge M1   Gittermast 80 ≤ Ø   run 7f3a9c21d4"
    assert lines[2].startswith("FAIL. The base stands 12.45 m too near to the boundary")


def test_no_line_is_wider_than_a_terminal(text):
    assert max(len(line) for line in text.splitlines()) <= LINE_MAX
    assert text.endswith("\n") and not text.endswith("\n\n")


def test_the_laydown_with_its_three_norths(text):
    assert "LAYDOWN (recommended)\n  Lay the mast to 38.00° true, up a slope of 8.5 %.\n" in text
    lay = make_plan().laydown
    line = next(line for line in text.splitlines() if line.startswith("  azimuth "))
    assert line == (
        f"  azimuth 38.00° true (NE), {shown(lay.azimuth_grid_deg, 'bearing')} grid, "
        f"{shown(lay.azimuth_magnetic_deg, 'bearing')} magnetic"
    )


def test_every_stake_with_its_coordinates_and_verdict(text):
    rows = text[text.index("STAKES in") : text.index("CHECKS,")].splitlines()
    words = {"pass": "pass", "marginal": "MARGINAL", "fail": "FAIL", "unchecked": "unchecked"}
    assert "  and 1 offset stakes outside the digs, in every file" in rows
    for stake in make_plan().stakes:
        if stake.role == "offset":
            continue
        (row,) = [r for r in rows if re.match(rf"  {re.escape(stake.id)} ", r)]
        for value in (f"{stake.northing:.3f}", f"{stake.easting:.3f}", f"{stake.height_m:.2f}", f"{stake.radius_m:.2f}"):
            assert f" {value} " in row
        assert row.endswith(words[stake.verdict])
    assert "STAKES in WGS 84 / UTM zone 32N (EPSG:32632), metre; heights from the DEM in m (none stated)" in text


def test_every_failure_every_margin_and_every_open_item_is_shown(text):
    plan = make_plan()
    for check in plan.checks:
        if check.verdict in ("fail", "marginal"):
            mark = {"fail": "FAIL", "marginal": "MARGINAL"}[check.verdict]
            assert re.search(rf"^  {mark} +{100 * check.utilisation:.0f} %  {re.escape(check.label)} ", text, re.M), check.id
    assert (
        "NOT CHECKED overhead_lines: no layer of overhead lines was given. To have it checked: give one under [land] obstacles."
    ) in " ".join(text.split())
    assert "WARNING  The DEM names no vertical datum" in text
    assert "note  One ring of parcel 12-005 Ödland was closed." in text


def test_many_failures_are_all_shown_and_many_passes_are_counted():
    plan = make_plan()
    failing = tuple(replace(plan.checks[0], id=f"setback:{i}", label=f"line {i}", verdict="fail") for i in range(20))
    passing = tuple(replace(plan.checks[0], id=f"ok:{i}", label=f"quiet {i}", verdict="pass") for i in range(40))
    found = terminal_text(replace(plan, checks=(*failing, *passing)), FILES, "out")
    assert all(f" line {i} " in found for i in range(20))
    assert "CHECKS, the tightest first (60 in all)" in found
    left = 40 - len(re.findall(r" quiet \d+ ", found))
    assert left < 40
    assert f"and {left} more that pass with more room; all of them in plan.json and map.html" in found


def test_open_items_are_as_loud_as_failures():
    plan = make_plan()
    items = tuple(Unchecked(f"thing_{i}", "nobody knows " * 12, "look " * 20) for i in range(9))
    found = terminal_text(replace(plan, unchecked_detail=items), FILES, "out")
    assert len(re.findall(r"^  NOT CHECKED  thing_\d: ", found, re.M)) == 9
    assert max(map(len, found.splitlines())) <= LINE_MAX


def test_a_plan_without_magnetic_azimuths_shows_a_dash():
    plan = make_plan()
    bare = replace(plan, laydown=replace(plan.laydown, azimuth_magnetic_deg=None), crs=replace(plan.crs, declination_deg=None))
    found = terminal_text(bare, FILES, "out")
    assert "grid, – magnetic" in found and "declination –," in found


def test_a_real_plan_fits_too(slope_folder, tmp_path):
    for name in ("dem.tif", "mast.toml"):
        (tmp_path / name).write_bytes((slope_folder / name).read_bytes())
    plan = plan_of(tmp_path)
    found = terminal_text(plan, FILES, "out")
    assert max(map(len, found.splitlines())) <= LINE_MAX
    assert found.splitlines()[2] == f"PASS. {plan.headline}"
    assert "FILES in out\n  plan.json  stakes.csv\n" in found


def test_long_names_do_not_break_the_width_and_stay_apart(slope_folder, tmp_path):
    """A site's name of 200 letters and ids of 40 are allowed by their files; a stake is never shown under another's name."""
    ids = {"S1": "PERMANENT-SIDE-ANCHOR-LEFT-OF-THE-HINGE1", "S2": "PERMANENT-SIDE-ANCHOR-LEFT-OF-THE-HINGE2"}
    anchors = tuple((ids.get(a[0], a[0]), *a[1:]) for a in SMALL_ANCHORS)
    guys = tuple((a, tuple(ids.get(n, n) for n in names), use) for a, names, use in SMALL_GUYS)
    (tmp_path / "dem.tif").write_bytes((slope_folder / "dem.tif").read_bytes())
    small_mast(tmp_path / "mast.toml", anchors=anchors, guys=guys, name="The mast of " + "a long firm's name " * 6)
    for length in (8, 16):
        plan = plan_of(tmp_path, name=("Kestrel Ridge " * 20)[:200], points={"name_length": length})
        files = tuple(f"list-number-{i}.csv" for i in range(12))
        found = terminal_text(plan, files, "outputs/" + "k" * 60)
        assert "list-number-11.csv" in found
        assert [line for line in found.splitlines() if len(line) > LINE_MAX] == []
        assert all(name in found for name in ids.values())
        rows = re.findall(r"^  (\S+) +(?:base|head|permanent|temporary|winch) ", found, re.M)
        assert len(rows) == 9 and len(set(rows)) == 9, rows
        assert {"BASE", "HEAD", "A1", "W1"} <= set(rows)
