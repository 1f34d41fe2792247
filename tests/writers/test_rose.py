"""The laydown rose, on paper and on the map, and the map's inline pictures: every direction as the sweep judged it."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from writers.pdf_probe import texts
from writers.plan_by_hand import make_plan
from writers.profile_plans import every_kind
from writers.profile_plans import plans as make_plans

from siting.figures import shown
from siting.records.plan import RuledOut
from siting.writers.profiles.pdf import profiles_pdf
from siting.writers.profiles.rose_tables import ruled_rows
from siting.writers.profiles.sectors import KINDS, NOT_JUDGED, kinds, runs, sectors
from siting.writers.profiles.svg import guy_profiles_svg, laydown_profile_svg, rose_svg
from siting.writers.profiles.svg_marks import wide, wrapped

NAMES = ["demo", "60 m", "many", "hole", "unknown strand", "level, Letter", "no guys", "long sections", "short sections", "every kind"]
SVG = "{http://www.w3.org/2000/svg}"
PICTURES = (laydown_profile_svg, guy_profiles_svg, rose_svg)


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    return make_plans(tmp_path_factory.mktemp("rose"))


@pytest.mark.parametrize("name", NAMES)
def test_each_direction_has_the_verdict_and_the_margin_of_its_candidate(made, name):
    lay = made[name].laydown
    found = {s.azimuth_deg: s for s in sectors(lay)}
    assert set(found) == {c.azimuth_deg for c in lay.candidates} | {d.azimuth_deg for d in lay.dropped}
    assert len(found) >= 360
    for candidate in lay.candidates:
        sector = found[candidate.azimuth_deg]
        assert sector.verdict == candidate.verdict
        assert sector.margin == (max(0.0, 1.0 - candidate.worst_utilisation) if candidate.verdict != "fail" else 0.0)
        assert bool(sector.kind) == (candidate.verdict == "fail")
    for dropped in lay.dropped:
        assert (found[dropped.azimuth_deg].verdict, found[dropped.azimuth_deg].margin) == (NOT_JUDGED, 0.0)


@pytest.mark.parametrize("name", NAMES)
def test_the_kind_of_each_direction_is_that_of_the_run_that_the_plan_names(made, name):
    lay = made[name].laydown
    kind = {s.azimuth_deg: s.kind for s in sectors(lay)}
    for run in lay.ruled_out:
        inside = [c.azimuth_deg for c in lay.candidates if (c.azimuth_deg - run.from_deg) % 360.0 <= (run.to_deg - run.from_deg) % 360.0]
        assert {kind[azimuth] for azimuth in inside} == {run.check}


@pytest.mark.parametrize("name", NAMES)
def test_the_sectors_close_the_ring_without_gap_or_overlap(made, name):
    found = sectors(made[name].laydown)
    for a, b in zip(found, (*found[1:], found[0]), strict=True):
        assert (b.from_deg - a.to_deg + 180.0) % 360.0 - 180.0 == pytest.approx(0.0, abs=1e-6)
    assert sum(s.to_deg - s.from_deg for s in found) == pytest.approx(360.0)
    joined = runs(found)
    assert [s for run in joined for s in run.sectors] == [*joined[0].sectors, *(s for s in found if s not in joined[0].sectors)]
    assert sum(run.width_deg for run in joined) == pytest.approx(360.0)
    assert all((a.verdict, a.kind) != (b.verdict, b.kind) for a, b in zip(joined, joined[1:], strict=False))


def test_a_users_own_azimuth_takes_half_of_the_room_to_its_neighbours(made):
    found = {s.azimuth_deg: s for s in sectors(made["unknown strand"].laydown)}
    assert len(found) == 361
    assert (found[218.4].from_deg, found[218.4].to_deg) == pytest.approx((218.2, 218.7))
    assert found[218.0].to_deg == pytest.approx(218.2) and found[219.0].from_deg == pytest.approx(218.7)


def test_letters_are_of_one_kind_each_and_none_of_the_compass(made):
    letters = [letter for letter, _ in KINDS.values()]
    assert len(set(letters)) == len(letters) and not set(letters) & set("NESWGMT") - {"G", "T"}
    found = kinds(sectors(made["every kind"].laydown))
    assert len({k.letter for k in found}) == len(found) == len(KINDS) + 1 and not {k.letter for k in found} & set("NESW")
    assert {k.pattern for k in found} == set(range(len(KINDS) + 1))
    assert next(k for k in found if k.kind == "a_new_rule").words == "a new rule"


def test_a_failing_direction_outside_every_run_is_named_by_its_worst_check():
    lay = make_plan().laydown
    bare = replace(lay, ruled_out=(RuledOut(130.0, 140.0, "gap", "a gap"),))
    kind = {s.azimuth_deg: s.kind for s in sectors(bare)}
    assert kind[130.0] == "gap" and kind[180.0] == "side_guy_travel"


def paths(svg: str) -> list[ElementTree.Element]:
    return [p for p in ElementTree.fromstring(svg).iter(f"{SVG}path") if "rose-run" in p.get("class", "")]


@pytest.mark.parametrize("name", NAMES)
def test_the_ring_of_the_map_shows_the_verdict_of_every_direction(made, name):
    lay = made[name].laydown
    azimuths = sorted({c.azimuth_deg for c in lay.candidates} | {d.azimuth_deg for d in lay.dropped})
    verdicts = {c.azimuth_deg: c.verdict for c in lay.candidates}
    seen = {}
    for path in paths(rose_svg(made[name])):
        first, last = float(path.get("data-from")), float(path.get("data-to"))
        inside = [a for a in azimuths if (a - first) % 360.0 <= (last - first) % 360.0 + 1e-9]
        assert not set(inside) & set(seen)
        seen |= dict.fromkeys(inside, path.get("data-verdict"))
        assert f"rose-{path.get('data-verdict')}" in path.get("class").split()
        assert (path.get("fill") == "#fff") == (path.get("data-verdict") != "fail")
    assert seen == {a: verdicts.get(a, NOT_JUDGED) for a in azimuths}


def test_each_kind_has_its_own_pattern_or_tone_on_the_map(made):
    svg = rose_svg(made["every kind"])
    fills = {p.get("data-kind"): (p.get("fill"), p.get("fill-opacity")) for p in paths(svg) if p.get("data-kind")}
    known = {kind: fill for kind, fill in fills.items() if kind in KINDS}
    assert len(known) == len(KINDS) == len(set(known.values()))


@pytest.mark.parametrize("name", NAMES)
def test_the_pictures_parse_and_all_three_stand_on_one_page(made, name):
    drawn = [make(made[name]) for make in PICTURES]
    ids: list[str] = []
    for svg in drawn:
        root = ElementTree.fromstring(svg)
        assert root.tag == f"{SVG}svg" and root.get("role") == "img"
        own = [e.get("id") for e in root.iter() if e.get("id")]
        assert set(root.get("aria-labelledby").split()) <= set(own)
        assert root[0].tag == f"{SVG}title" and root[1].tag == f"{SVG}desc" and len(root[1].text) > 20
        assert set(re.findall(r"url\(#([^)]+)\)", svg)) <= set(own)
        assert not list(root.iter(f"{SVG}script")) and " on" not in re.sub(r">[^<]*<|\"[^\"]*\"", "", svg)
        assert "href" not in svg and "{" not in svg
        ids += own
    assert len(set(ids)) == len(ids)
    assert drawn == [make(made[name]) for make in PICTURES]


@pytest.mark.parametrize("name", NAMES)
def test_the_pictures_use_the_pages_ink_and_letters_that_a_phone_shows(made, name):
    for make in PICTURES:
        root = ElementTree.fromstring(make(made[name]))
        inks = {e.get(key) for e in root.iter() for key in ("fill", "stroke") if e.get(key)}
        assert {i for i in inks if not i.startswith("url(#")} <= {"currentColor", "#fff", "none"}
        across = float(root.get("viewBox").split()[2])
        sizes = [float(e.get("font-size")) * 340.0 / across for e in root.iter(f"{SVG}text")]
        assert min(sizes) >= 10.5
        high = float(root.get("viewBox").split()[3])
        for e in root.iter(f"{SVG}text"):
            assert 0.0 < float(e.get("y")) <= high and -1.0 < float(e.get("x")) <= across
            room = wide(e.text, float(e.get("font-size")), bold=e.get("font-weight") == "700")
            left = float(e.get("x")) - {"middle": room / 2, "end": room}.get(e.get("text-anchor"), 0.0)
            assert left > -1.5 and left + room < across + 2.5, e.text


@pytest.mark.parametrize("name", NAMES)
def test_what_the_pictures_say_to_the_ear(made, name):
    plan = made[name]
    rose, laydown, guys = (make(plan) for make in (rose_svg, laydown_profile_svg, guy_profiles_svg))
    counts = [sum(c.verdict == v for c in plan.laydown.candidates) for v in ("pass", "fail")]
    assert f"{counts[0]} pass" in rose and f"{counts[1]} ruled out" in rose
    assert f"laydown {shown(plan.laydown.azimuth_deg, 'bearing')} true" in rose
    for number, joint in enumerate(plan.profiles.laydown_joints, 1):
        assert f"joint {number}: {shown(joint.cribbing_m, 'travel')}" in laydown
    for profile in plan.profiles.guys:
        assert next(s.point for s in plan.stakes if s.id == profile.anchor) in guys


def test_the_words_of_a_user_cannot_break_a_picture(made):
    plan = made["60 m"]
    odd = tuple(replace(s, point='<&">\x01') if s.id == "A1" else s for s in plan.stakes)
    other = tuple(replace(r, why="]]> <script>x</script>") for r in plan.laydown.runners_up)
    plan = replace(plan, stakes=odd, laydown=replace(plan.laydown, runners_up=other))
    for make in PICTURES:
        svg = make(plan)
        ElementTree.fromstring(svg)
        assert "<script" not in svg
    assert "&lt;&amp;&quot;&gt;" in guy_profiles_svg(plan)


def test_an_unknown_strand_and_a_plan_without_profiles_are_said(made):
    assert "drawn straight: it hangs lower" in guy_profiles_svg(made["unknown strand"])
    old = replace(made["demo"], profiles=None)
    for make in (laydown_profile_svg, guy_profiles_svg):
        ElementTree.fromstring(make(old))
        assert "This plan holds no profiles" in make(old)
    assert "The mast file has no guys" in guy_profiles_svg(made["no guys"])


@pytest.mark.parametrize("azimuth", range(0, 360, 15))
def test_the_laydown_is_named_wherever_it_lies(made, azimuth):
    for name in ("demo", "every kind"):
        plan = replace(made[name], laydown=replace(made[name].laydown, azimuth_deg=float(azimuth)))
        words = [e.text for e in ElementTree.fromstring(rose_svg(plan)).iter(f"{SVG}text")]
        assert "laydown" in words and f"{azimuth:.2f}°" in words
        assert {"N", "E", "S", "W", "uphill"} <= set(words)


@pytest.mark.parametrize("name", ["demo", "60 m", "hole", "every kind", "level, Letter"])
def test_the_sheet_lists_every_run_and_the_best_directions(made, name):
    plan = made[name]
    said = " ".join(texts(profiles_pdf(plan)))
    found = sectors(plan.laydown)
    rows = ruled_rows(plan, found)
    assert len(rows) == sum(run.verdict in ("fail", NOT_JUDGED) for run in runs(found))
    assert sum(int(row[3]) for row in rows) == sum(s.verdict in ("fail", NOT_JUDGED) for s in found)
    for row in rows:
        assert " ".join(row) in said
    told = {text for row in rows for text in row[4:]}
    assert all(run.text[:1].upper() + run.text[1:] in told for run in plan.laydown.ruled_out)
    for number, runner in enumerate(plan.laydown.runners_up, 1):
        assert f"{number} {shown(runner.azimuth_deg, 'bearing')}" in said and runner.why in said
    for kind in kinds(found):
        assert f"{kind.letter} " in said and f"({kind.count})" in said
    assert "True north is up." in said and "uphill" in said
    assert ("Directions ruled out" in said) == bool(rows)


def test_a_circle_of_one_verdict_is_one_run(made):
    found = sectors(made["level, Letter"].laydown)
    assert len(runs(found)) == 1 and runs(found)[0].is_whole_circle and runs(found)[0].width_deg == 360.0
    assert len(paths(rose_svg(made["level, Letter"]))) == 1
    every = every_kind(made["60 m"])
    assert len(runs(sectors(every.laydown))) > 12


def test_text_is_broken_where_it_must_be():
    assert wrapped("", 50.0) == [""]
    assert wrapped("one two", 100.0) == ["one two"]
    lines = wrapped("a SIDE-ANCHOR-IN-THE-NORTHERN-FIELD-OF-OLD-HAY here", 40.0)
    assert "".join(lines).replace(" ", "") == "aSIDE-ANCHOR-IN-THE-NORTHERN-FIELD-OF-OLD-HAYhere"
    assert all(wide(line) <= 40.0 for line in lines) and len(lines) > 3
