"""map.html in a real browser with no network: no request, no error, labels free, tools and popups at work."""

from __future__ import annotations

import json
from dataclasses import replace
from html import escape
from itertools import pairwise
from pathlib import Path

import pytest
from pyproj import Geod
from writers.map_browser import reports, visit, with_script
from writers.plan_by_hand import make_plan

from siting.writers.map.html import map_html

PROBE = (Path(__file__).parent / "map_probe.js").read_text("utf-8")
HOSTILE = '<b>Ödland</b><script>throw "broken"</script>'
SCREENS = {"desk": (1400, 900), "phone": (390, 844)}

def hostile_plan():
    plan = make_plan()
    shapes = tuple(replace(s, label=HOSTILE) if s.kind == "parcel" else s for s in plan.shapes)
    return replace(plan, name=HOSTILE, shapes=shapes)


def spots() -> dict:
    """Pairs of points up to 2.3 km apart, in several latitudes, for the page's own distances."""
    ends = [(46.5123, 7.4567, 46.5129, 7.4581), (0.0, 8.0, 0.0, 8.02), (70.0, 25.0, 70.01, 25.05), (-33.0, 18.0, -33.02, 18.0)]
    pairs = [[{"lat": a, "lng": b}, {"lat": c, "lng": d}] for a, b, c, d in ends]
    return {"pairs": pairs, "lowered": make_plan().crs.elevation_factor}


@pytest.fixture(scope="module")
def visited(tmp_path_factory) -> tuple[dict, list[str]]:
    """What the probe found on each screen, and the browser's complaints: one start of the browser for all."""
    folder = tmp_path_factory.mktemp("map")
    block = f'<script type="application/json" id="spots">{json.dumps(spots())}</script>'
    return reports(folder, with_script(map_html(hostile_plan()), PROBE, block), SCREENS)


@pytest.fixture(scope="module", params=list(SCREENS))
def found(request, visited) -> dict:
    return visited[0][request.param]


def test_the_browser_complains_of_nothing(visited):
    assert visited[1] == []


def test_a_forbidden_picture_and_a_script_fault_would_be_seen(tmp_path):
    """The check above can fail: the same reading of the log finds both."""
    fault = 'const i = new Image(); i.src = "http://example.invalid/x.png"; document.body.appendChild(i); noSuchThing();'
    (tmp_path / "bad.html").write_text(with_script(map_html(make_plan()), fault), "utf-8")
    complaints = visit(tmp_path / "bad.html", tmp_path / "profile")[1]
    assert any("Uncaught ReferenceError: noSuchThing" in line for line in complaints)
    assert any("Content Security Policy" in line for line in complaints)


def test_every_step_of_the_visit_ran_and_nothing_was_fetched(found):
    assert found.get("broken") is None
    assert found["requests"] == []


def test_labels_are_complete_and_lie_free_at_the_first_zoom(found):
    for stake in make_plan().stakes:
        assert any(label.startswith(stake.id) for label in found["labels"]) == (stake.role != "offset"), stake.id
    assert any("38.00° true" in label for label in found["labels"])
    assert any(label.startswith("78.30 m") for label in found["labels"])
    assert found["overlaps"] == []
    assert found["outside"] == 0


def test_a_flagged_stake_says_so_in_words(found):
    assert "BASE · FAIL" in found["labels"]
    assert "A1 · marginal" in found["labels"]


def test_fingers_find_everything(found):
    """WCAG 2.2, success criterion 2.5.5: 44 by 44 CSS pixels."""
    assert found["targets"] > 20
    assert found["smallTargets"] == []
    assert found["close"] >= 44


def test_popups_give_the_numbers_by_finger_and_by_key(found):
    stake = next(stake for stake in make_plan().stakes if stake.id == "A1")
    for text in ("A1: Permanent anchor", f"{stake.lat:.7f}°", f"{stake.easting:.3f} metre", "50.000 m", "98.00°"):
        assert text in found["card"]
    assert "Marginal" in found["card"]
    assert found["cardByKey"] == "HEAD: Mast head before the lift"
    assert found["cardHasFocus"] and found["cardName"] == "HEAD: Mast head before the lift"
    assert found["lineByKey"] == "Laydown 38.00° true"
    assert found["closedByEscape"] and found["backOnTheLine"]


def test_a_hostile_name_is_text_in_the_popup(found):
    assert HOSTILE in found["parcelCard"]
    assert found["boldInPopup"] == 0


def test_measuring_takes_stakes_and_ends_with_escape(found):
    base, a1, sr = (next(s for s in make_plan().stakes if s.id == name) for name in ("BASE", "A1", "SR"))
    geod, lowered = Geod(ellps="WGS84"), make_plan().crs.elevation_factor
    legs = [geod.inv(a.lon, a.lat, b.lon, b.lat) for a, b in pairwise((base, a1, sr))]
    last, total = legs[1][2] / lowered, sum(leg[2] for leg in legs) / lowered
    assert found["measureOn"]
    area_m2 = abs(geod.polygon_area_perimeter([p.lon for p in (base, a1, sr)], [p.lat for p in (base, a1, sr)])[0]) / lowered**2
    words = f"A1 to SR: {last:.2f} m, azimuth {legs[1][0] % 360:.2f}° true; total {total:.2f} m; area, closed, {area_m2:.0f} m²"
    assert found["measured"] == words
    assert found["takenBack"] == "BASE to A1: 50.00 m, azimuth 98.00° true"
    assert not found["popupWhileMeasuring"]
    assert found["measureOff"]
    assert found["focusAfter"] == "Measure"


def test_layers_go_and_come_back_in_their_order(found):
    names = ["Shaded ground", "Contours, 2 m", "Parcels", "Obstacles", "Setback", "Fall zone", "Anchor circle", "Guys",
             "Winch line", "Distance to boundary", "Laydown", "Stakes"]  # fmt: skip
    assert found["layerNames"] == names
    assert found["leftWhenOff"] == 0
    assert found["sameWhenOn"]
    assert found["laydownOnTop"]


def test_the_fall_zone_is_drawn_with_every_point(visited):
    assert visited[0]["desk"]["fallZonePoints"] == 72


def test_on_paper_the_map_takes_the_sheet_and_gives_it_back(found):
    assert found["paperMm"] == pytest.approx(186.0, abs=0.5)
    assert found["backFromPaper"]


def test_the_pages_own_distances_agree_with_the_geodesic(found):
    geod, given = Geod(ellps="WGS84"), spots()
    assert len(found["ground"]) == 4
    for (a, b), ours in zip(given["pairs"], found["ground"], strict=True):
        azimuth, _, metres = geod.inv(a["lng"], a["lat"], b["lng"], b["lat"])
        assert ours["metres"] * given["lowered"] == pytest.approx(metres, abs=0.001)
        assert ours["azimuth"] == pytest.approx(azimuth % 360, abs=0.05)  # at the middle, not at the first point


def test_the_scale_bar_is_true_on_the_ground(found):
    plan = make_plan()
    degrees = 360 / (256 * 2**18)
    _, _, metres = Geod(ellps="WGS84").inv(plan.base.lon, plan.base.lat, plan.base.lon + 100 * degrees, plan.base.lat)
    assert found["metresPerPixel"] == pytest.approx(metres / 100 / plan.crs.elevation_factor, rel=1e-6)
    assert found["bar"]["text"][0] == "0"
    assert 60 <= found["bar"]["px"] <= 190


def test_the_title_is_the_plans_name_as_text():
    text = map_html(hostile_plan()).decode("utf-8")
    assert f"<title>{escape(HOSTILE)}</title>" in text
