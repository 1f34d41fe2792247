"""map.html as a file: whole, closed to the network, harmless to hostile names, complete."""

from __future__ import annotations

import hashlib
import itertools
import os
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import lxml.html
import pytest
from writers.plan_by_hand import make_plan
from writers.rover_plans import demo

from siting.figures import CHECK_QUANTITIES, shown
from siting.records.plan import Shape, WindStop
from siting.records.reach import ReachZone
from siting.records.rules import Move, RuleFinding
from siting.writers.lift.words import hold_points, lines_by_anchor
from siting.writers.map.features import stake_features
from siting.writers.map.html import map_html
from siting.writers.map.layers import LAYERS, shape_layers
from siting.writers.map.offline_page import POLICY, STATIC, script, style_sheet

ROOT = Path(__file__).parents[2]
HOSTILE = "<b>bold</b></script><script>window.broken=1</script>&amp;\"'{{ 7*7 }}"


def tree(html: bytes) -> lxml.html.HtmlElement:
    return lxml.html.document_fromstring(html.decode("utf-8"))


@pytest.fixture(scope="module")
def page() -> bytes:
    return map_html(make_plan())


def test_no_attribute_points_outside_the_file(page):
    linked = [
        (element.tag, name, value)
        for element in tree(page).iter(lxml.html.etree.Element)
        for name, value in element.attrib.items()
        if name in ("src", "href", "action", "poster", "data", "srcset", "xlink:href", "background")
    ]
    assert len(linked) > 10
    assert [link for link in linked if not link[2].startswith(("data:", "#"))] == []


def test_no_style_and_no_script_fetches_anything(page):
    root = tree(page)
    for style in root.iter("style"):
        addresses = re.findall(r"url\(([^)]*)\)", style.text or "")
        assert [a for a in addresses if not a.strip("'\"").startswith(("data:", "#"))] == []
        assert "@import" not in (style.text or "")
    leaflet = script("leaflet/leaflet.js")
    ours = "".join(element.text or "" for element in root.iter("script")).replace(leaflet, "")
    assert re.findall(r"https?://(?!www\.w3\.org/2000/svg)\S+", ours) == []
    assert re.findall(r"\beval\(|new Function|XMLHttpRequest|\bfetch\(|import\(|jQuery|\$\(", ours) == []


def test_the_policy_stands_before_every_script_and_allows_no_fetch(page):
    head = tree(page).head
    policies = [m.get("content") for m in head.iter("meta") if m.get("http-equiv") == "Content-Security-Policy"]
    assert policies == [POLICY]
    assert POLICY.startswith("default-src 'none'")
    text = page.decode("utf-8")
    assert text.index("Content-Security-Policy") < text.index("<script")
    assert "http:" not in POLICY and "https:" not in POLICY and "unsafe-eval" not in POLICY


def test_names_that_look_like_html_are_shown_as_text(page):
    plan = make_plan()
    plan = replace(
        plan,
        name=HOSTILE,
        headline=HOSTILE,
        warnings=(HOSTILE,),
        unchecked=(HOSTILE,),
        unchecked_detail=(),
        stakes=tuple(replace(stake, id=HOSTILE + stake.id, description=HOSTILE) for stake in plan.stakes),
        shapes=tuple(replace(shape, label=HOSTILE) for shape in plan.shapes),
        checks=tuple(replace(check, label=HOSTILE, place=HOSTILE, source=HOSTILE) for check in plan.checks),
        provenance=replace(plan.provenance, run_id=HOSTILE),
    )
    hostile, clean = tree(map_html(plan)), tree(page)
    assert hostile.head.find("title").text == HOSTILE
    assert hostile.find(".//h1").text == HOSTILE
    for tag in ("script", "b", "style", "meta"):
        assert len(list(hostile.iter(tag))) == len(list(clean.iter(tag))), tag
    assert "broken=1" not in "".join(e.text or "" for e in hostile.iter("script") if "Siting" not in (e.text or ""))


def test_two_builds_are_equal_here_and_in_another_process(page):
    assert map_html(make_plan()) == page
    code = (
        "import hashlib; from siting.writers.map.html import map_html; from writers.plan_by_hand import make_plan; "
        "print(hashlib.sha256(map_html(make_plan())).hexdigest())"
    )
    path = os.pathsep.join([str(ROOT), str(ROOT / "tests")])
    env = {**os.environ, "PYTHONPATH": path, "PYTHONHASHSEED": "7"}
    other = subprocess.run([sys.executable, "-c", code], env=env, capture_output=True, text=True, check=True)
    assert other.stdout.strip() == hashlib.sha256(page).hexdigest()


def test_a_plan_that_is_named_like_the_maps_place_keeps_its_map():
    made = tree(map_html(replace(make_plan(), name="{map}")))
    assert [e.getparent().get("id") for e in made.xpath('//*[@id="map"]')] == ["stage"]
    assert made.findtext(".//title") == "{map}"


def test_every_layer_is_made_once_listed_and_the_stakes_lie_above_all(page):
    text = page.decode("utf-8")
    start = text[text.rindex("<script>") :]
    made = re.findall(r'^layers\["(\w+)"\] = listed\["([^"]+)"\] = L\.', start, re.MULTILINE)
    keys = [key for key, _ in made]
    assert keys[:2] == ["ground", "contours"] and keys[-1] == "stakes"
    assert len(set(keys)) == len(keys) == len({name for _, name in made}) > 8
    off = {key for key in keys if f'layers["{key}"].addTo(map);' not in start}
    assert off <= {"zones", "reach_guys", "reach"}


def test_no_random_id_is_left(page):
    assert re.findall(rb"_[0-9a-f]{32}\b", page) == []


def test_every_stake_stands_in_the_table_as_the_plan_has_it(page):
    plan = make_plan()
    (table,) = tree(page).find_class("figures")
    rows = [[cell.text_content() for cell in row.iter("th", "td")] for row in table.find(".//tbody").iter("tr")]
    assert len(rows) == len(plan.stakes) == 10
    for row, stake in zip(rows, plan.stakes, strict=True):
        assert stake.id in row[0]
        assert row[2:4] == [shown(stake.lat, "latlon", unit=False), shown(stake.lon, "latlon", unit=False)]
        assert row[4:6] == [f"{stake.easting:.3f}", f"{stake.northing:.3f}"]
        assert row[10] == f"{stake.radius_m:.3f}"


def test_the_popups_hold_the_same_numbers():
    plan = make_plan()
    for feature, stake in zip(stake_features(plan), plan.stakes, strict=True):
        rows = dict(feature["properties"]["rows"])
        assert feature["geometry"]["coordinates"] == [stake.lon, stake.lat]
        assert rows["Latitude"] == f"{stake.lat:.7f}°"
        assert rows["Easting"] == f"{stake.easting:.3f} metre"
        assert rows["CRS"] == "EPSG:32632 WGS 84 / UTM zone 32N"
        if stake.role != "base":
            assert rows["Azimuth, true"] == f"{stake.azimuth_deg:.2f}°"
            assert rows["Azimuth, magnetic"] == f"{stake.azimuth_magnetic_deg:.2f}°"
            assert rows["Ground distance from base"] == f"{stake.radius_m:.3f} m"


def test_run_id_verdict_and_the_word_survey_are_there(page):
    plan = make_plan()
    text = tree(page).body.text_content()
    assert text.count(plan.provenance.run_id) == 2  # on the screen's last line and on the first sheet of paper
    assert "FAIL: a check fails" in text
    assert plan.headline in text
    assert "Not a survey" in text
    for word in ("approved", "safe to lift", "certified"):
        assert word not in text.lower()


def test_the_panel_keeps_its_order(page):
    heads = [h.text for h in tree(page).iter("h2")]
    order = ["Laydown", "Checks, the tightest first", "Not checked", "Warnings", "Lift", "Stakes", "Cautions", "Frame and ground"]
    assert [head for head in heads if head in order] == order
    text = page.decode("utf-8")
    assert text.index('class="verdict') < text.index('class="stage"') < text.index("<h2>Laydown")


def test_every_check_gives_value_limit_source_and_verdict(page):
    plan = make_plan()
    items = [i.text_content() for i in tree(page).find_class("item")]
    assert len(items) == len(plan.checks) + len(plan.unchecked)
    for item, check in zip(items, plan.checks, strict=False):
        kind = CHECK_QUANTITIES[check.unit]
        bound = "at least" if check.limit_is_least else "at most"
        assert item.startswith(check.label)
        assert shown(check.value, kind) in item
        assert f"{bound} {shown(check.limit, kind)}" in item
        assert check.source in item and check.id in item
    assert "FAIL" in items[0] and plan.checks[0].verdict == "fail"


def test_what_is_unchecked_is_as_loud_as_a_failure(page):
    root = tree(page)
    assert "NOT CHECKED: overhead lines" in root.find_class("loud")[0].text_content()
    assert "NOT CHECKED" in root.find_class("is-unchecked")[0].text_content()
    rule = re.search(r"\.is-fail, \.is-unchecked \{[^}]*\}", style_sheet("map.css"))
    assert rule, "failures and gaps share one rule"


def drawn_features(plan) -> list[dict]:
    return [feature for layer in shape_layers(plan) for feature in layer.features]


def test_every_shape_is_drawn_and_equal_lines_once():
    plan = make_plan()
    drawn = drawn_features(plan)
    wanted = {(shape.kind, shape.id, shape.rings) for shape in plan.shapes}
    assert len(drawn) == len(wanted)
    assert {f["properties"]["kind"] for f in drawn} == {kind for _, _, kinds in LAYERS for kind in kinds} - {"move"}
    guys = {f["properties"]["css"] for f in drawn if f["properties"]["kind"] == "guy"}
    assert guys == {"guy_permanent", "guy_temporary"}


def test_a_shape_of_an_unknown_kind_is_drawn_with_its_label_under_its_first_word():
    plan = make_plan()
    odd = [replace(plan.shapes[0], kind=kind, label=f"the {kind}") for kind in ("helipad", "helipad_edge", "<b>x")]
    layers = shape_layers(replace(plan, shapes=(*plan.shapes, *odd)))
    by_name = {layer.name: layer for layer in layers}
    assert [f["properties"]["label"] for f in by_name["Other: helipad"].features] == ["The helipad", "The helipad_edge"]
    assert {f["properties"]["css"] for f in by_name["Other: helipad"].features} == {"other"}
    assert "Other: b x" in by_name, "a name that looks like HTML loses its brackets: the list of layers takes HTML"
    assert b"The helipad_edge" in map_html(replace(plan, shapes=(*plan.shapes, *odd)))


def test_zones_and_reach_have_layers_of_their_own_that_start_switched_off():
    plan = make_plan()
    ring = plan.shapes[-1].rings
    kinds = ("zone_keep_out", "reach_tip_lands", "reach_guy_whip", "move")
    layers = {layer.name: layer for layer in shape_layers(replace(plan, shapes=tuple(Shape(k, k, k, "Polygon", ring) for k in kinds)))}
    assert {name: layer.is_on for name, layer in layers.items()} == {
        "Exclusion zones of the lift": False, "Reach of a fall": False, "Reach of parted guys": False, "Move of the base": True,
    }  # fmt: skip


def test_what_the_records_know_is_drawn_until_the_shapes_hold_it():
    zone = ReachZone("keep_out", "Keep-out", "all zones", 100.0, None, (), None, (), False, "common practice", make_plan().shapes[-1].rings)
    move = Move(12.345, 215.0, 46.5122, 7.4566, 381600.0, 5152000.0, 38.0, "pass", 74.5, "Move the base 12.35 m.")
    plan = replace(make_plan(), reach=(zone,), move=move)
    added = [f["properties"] for f in drawn_features(plan)][-99:]
    by_kind = {words["kind"]: words for words in added}
    assert by_kind["move"]["label"] == "Move 12.35 m to 215.00° true"
    assert ("New base", "46.5122000°, 7.4566000°") in by_kind["move"]["rows"]
    assert ("Area", "100 m²") in by_kind["zone_keep_out"]["rows"]
    held = replace(plan, shapes=(*plan.shapes, Shape("zone_keep_out", "keep_out", "of the shapes", "Polygon", zone.rings)))
    titles = [f["properties"]["title"] for f in drawn_features(held)]
    assert "Of the shapes" in titles and "Keep-out" not in titles


def test_the_rules_of_the_land_give_value_limit_margin_and_source():
    rule = RuleFinding(
        "line", "Example County", "Mast to property line", 78.3, 90.75, -12.45, "1.1 × 82.50 m total height", "base to the line", "12-005",
        270.0, 46.5, 7.4, 1.0, 2.0, "fail", (), "Example County 12.3(a), read 2026-01-02; check your local code", "",
    )  # fmt: skip
    plan = make_plan()
    text = tree(map_html(replace(plan, land=replace(plan.land, rules=(rule,))))).find_class("land")[0].text_content()
    assert "78.30 m, asked for 90.75 m, margin −12.45 m" in text
    assert "Example County 12.3(a), read 2026-01-02" in text and "FAIL" in text


def test_the_lift_and_the_anchors_of_the_demonstration_stand_in_the_panel():
    plan = demo()
    root = tree(map_html(plan))
    lift, dig = root.find_class("lift")[0], root.find_class("dig")[0]
    assert "WIND STOP NOT SET: NOTHING IS RAISED" in lift.text_content()
    stops = lift.find_class("stop")
    assert len(stops) == len(plan.lift_guys.stops_deg) == 10
    lines = lines_by_anchor(plan)
    for number, stop in enumerate(stops):
        rows = [[cell.text_content() for cell in row.iter("th", "td")] for row in stop.find(".//tbody").iter("tr")]
        assert [float(row[3]) for row in rows] == [round(line.stops[number].length_m, 2) for line in lines]
        if number:
            cm = [round(line.stops[number].change_cm) for line in lines]
            assert [row[1].split()[0].strip("*") for row in rows] == ["OUT" if c > 0 else "IN" if c < 0 else "leave" for c in cm]
    for choice in plan.holding.anchors:
        row = next(r.text_content() for r in dig.iter("tr") if r.text_content().startswith(choice.anchor + f"{choice.load.load_kn:.2f}"))
        assert choice.chosen.size in row
        assert (f"{choice.chosen.torque_knm:.2f} kNm" if choice.chosen.torque_knm else " m") in row
    for point in hold_points(plan):
        assert point in lift.text_content()


def test_a_wind_stop_that_is_set_is_the_largest_figure():
    plan = replace(demo(), wind_stop=WindStop(7.0, 10.0, "gust, 3 s"))
    lift = tree(map_html(plan)).find_class("lift")[0]
    assert lift.find_class("wind")[0].text_content() == "Wind stop 7.0 m/s measured 10.00 m above ground, averaged: gust, 3 s"
    assert "NOT SET" not in lift.find(".//summary").text_content()


def test_headings_come_in_order_and_the_language_is_named(page):
    root = tree(page)
    assert root.get("lang") == "en"
    levels = [int(h.tag[1]) for h in root.iter("h1", "h2", "h3", "h4")]
    assert levels[0] == 1 and levels.count(1) == 1
    assert all(b <= a + 1 for a, b in itertools.pairwise(levels))


def test_a_site_on_the_antimeridian_is_drawn_in_one_piece():
    plan = make_plan()
    base = replace(plan.base, lon=179.9999)
    stakes = tuple(replace(s, lon=lon) for s, lon in zip(plan.stakes, [179.9999, -179.9998, *[179.9995] * 8], strict=True))
    shape = replace(plan.shapes[0], rings=(((179.9, 1.0), (-179.9, 1.0), (-179.9, 1.1), (179.9, 1.0)),))
    plan = replace(plan, base=base, stakes=stakes, shapes=(shape,))
    assert [f["geometry"]["coordinates"][0] for f in stake_features(plan)[:3]] == pytest.approx([179.9999, 180.0002, 179.9995])
    ring = shape_layers(plan)[0].features[0]["geometry"]["coordinates"][0]
    assert [lon for lon, _ in ring] == pytest.approx([179.9, 180.1, 180.1, 179.9])
    assert dict(stake_features(plan)[1]["properties"]["rows"])["Longitude"] == "-179.9998000°"


def test_a_plan_without_shaded_ground_has_a_map_all_the_same(page):
    bare = map_html(replace(make_plan(), backdrop=None))
    assert b"L.imageOverlay(" not in bare and b"L.imageOverlay(" in page
    assert b"Contours every" not in bare and b"Contours every" in page


def test_the_file_stays_small(page):
    assert len(page) < 500_000
    assert len(map_html(demo())) < 700_000


def _luminance(colour: str) -> float:
    value = colour.lstrip("#")
    value = "".join(c * 2 for c in value) if len(value) == 3 else value
    parts = [int(value[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    parts = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]


def test_text_colours_reach_a_contrast_of_seven_on_white():
    """WCAG 2.2, success criterion 1.4.6: (L1 + 0.05) / (L2 + 0.05) >= 7."""
    colours = dict(re.findall(r"--(\w+): (#[0-9a-f]+);", style_sheet("map.css")))
    text = ("ink", "soft", "fail", "marginal", "pass", "unchecked", "blue", "rust", "plum", "teal")
    ratios = {name: 1.05 / (_luminance(colours[name]) + 0.05) for name in text}
    fixed = re.findall(r"\.label[^{]*\{ color: (#[0-9a-f]+);", style_sheet("map_marks.css"))
    ratios |= {colour: 1.05 / (_luminance(colour) + 0.05) for colour in fixed if colour != "#fff"}
    assert len(ratios) >= 12
    assert {name: ratio for name, ratio in ratios.items() if ratio < 7.0} == {}


def test_leaflet_is_unchanged_and_carries_its_licence():
    listed = re.findall(r"^([0-9a-f]{64})  (\S+)$", (STATIC / "leaflet/SOURCE.txt").read_text("utf-8"), re.MULTILINE)
    assert [name for _, name in listed][-1] == "leaflet.js" and len(listed) == 8
    for digest, name in listed:
        assert hashlib.sha256((STATIC / "leaflet" / name).read_bytes()).hexdigest() == digest, name
    assert "Leaflet 1.9.4" in (STATIC / "leaflet/leaflet.js").read_text("utf-8")[:200]
    assert "BSD 2-Clause" in (STATIC / "leaflet/LICENSE").read_text("utf-8")
