"""map.html's tools in a real browser with no network: sections, lift stops, own position, measuring and layers by key, paper."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from pyproj import Geod
from writers.map_browser import reports, run, with_script
from writers.rover_plans import demo

from siting.writers.map.html import map_html

PROBE = (Path(__file__).parent / "map_probe_tools.js").read_text("utf-8")
SCREENS = {"desk": (1400, 900), "phone": (390, 844), "small": (320, 640)}
# A position as the browser gives it, told by the test: navigator.geolocation asks nobody.
STUB = """
window.asked = 0; window.cleared = 0; let ok = null, no = null;
Object.defineProperty(navigator, "geolocation", { configurable: true, value: {
  watchPosition: (found, failed) => { window.asked += 1; ok = found; no = failed; return 7; },
  clearWatch: (id) => { if (id === 7) window.cleared += 1; } } });
window.tell = (p) => ok({ coords: { latitude: p[0], longitude: p[1], accuracy: p[2] } });
window.refuse = (code) => no({ code: code });
L.Map.addInitHook(function () { window.testMap = this; });
"""
ENDS = ("WINCH", "A2", "HEAD")
GEOD = Geod(ellps="WGS84")


def places() -> list[list[float]]:
    """Latitude, longitude and accuracy: near the base, at the fall circle, 1.5 km away."""
    base = demo().base
    found = []
    for azimuth_deg, metres, accuracy_m in ((200.0, 12.0, 25.0), (75.0, 90.0, 5.0), (310.0, 1500.0, 8.0)):
        lon, lat, _ = GEOD.fwd(base.lon, base.lat, azimuth_deg, metres)
        found.append([lat, lon, accuracy_m])
    return found


@pytest.fixture(scope="module")
def visited(tmp_path_factory) -> tuple[dict, list[str]]:
    given = json.dumps({"places": places(), "stakes": ENDS})
    page = with_script(map_html(demo()), PROBE, f'<script type="application/json" id="given">{given}</script>', before=STUB)
    return reports(tmp_path_factory.mktemp("tools"), page, SCREENS, 8000)


@pytest.fixture(scope="module", params=list(SCREENS))
def found(request, visited) -> dict:
    return visited[0][request.param]


def test_every_step_ran_without_a_complaint_and_without_a_request(visited, found):
    assert visited[1] == []
    assert found.get("broken") is None
    assert found["requests"] == []


def test_nothing_runs_off_the_screen_to_the_side(found):
    assert found["sideways"] == 0
    assert found["beyond"] == []
    assert found["popupOut"] == [0, 0, 0]


def test_sections_open_and_close(found):
    for step in ("panel", "headings", "closed", "opened", "allOpen", "allClosed"):
        assert found[step], step


def test_the_lift_table_shows_the_stop_that_was_chosen(found):
    assert (found["firstStop"], found["thirdStop"], found["allStops"]) == (["0"], ["3"], len(demo().lift_guys.stops_deg))


@pytest.mark.parametrize("screen", ["phone", "small"])
def test_no_type_is_smaller_than_16_pixels_on_a_phone(visited, screen):
    assert visited[0][screen]["smallType"] == []


def test_the_keyboard_reaches_every_control_and_escape_closes_the_sheet(found):
    assert found["controls"] > 60
    assert found["notReached"] == []
    assert found["outOfOrder"] == 0
    assert found["toolsFirst"]
    assert found.get("sheetByEscape", True)


def test_the_sheet_was_open_on_the_phone(visited):
    assert visited[0]["phone"]["sheetByEscape"] and "sheetByEscape" not in visited[0]["desk"]


def test_layers_open_switch_and_close_by_key(found):
    zones = [zone for zone in demo().reach if zone.id not in ("fall_circle", "fall_on_ground", "tip_lands") and ":" not in zone.id]
    assert found["layersOpen"]
    assert found["zonesBefore"] == [False, 0]
    assert found["zonesAfter"] == [True, len(zones)]
    assert found["layersClosed"]


def test_measuring_by_key(found):
    (lat, lon), (to_lat, to_lon) = found["byKey"]["ends"]
    azimuth_deg, _, metres = GEOD.inv(lon, lat, to_lon, to_lat)
    assert found["frameHasFocus"] and found["cross"]
    measured = re.search(r"to point 2: ([\d.]+) m, azimuth ([\d.]+)° true", found["byKey"]["text"])
    assert float(measured[1]) == pytest.approx(metres / demo().crs.elevation_factor, abs=0.2)  # the ends are told to 0.1 m
    assert float(measured[2]) == pytest.approx(azimuth_deg % 360, abs=0.5)
    assert found["oneLeft"].startswith("From ")
    assert found["measureGone"]


def test_the_position_is_asked_for_on_demand_only_and_let_go(found):
    assert (found["before"], found["asked"], found["cleared"]) == (0, 1, 1)
    assert found["waiting"] == "Asking the browser for your position."
    assert found["ring"] and found["followed"] and found["gone"]


def metres_of(text: str) -> float:
    number, unit = re.search(r": ([\d.]+) (k?m) at ", text).groups()
    return float(number) * (1000.0 if unit == "km" else 1.0)


def test_distance_and_azimuth_to_the_stakes_agree_with_the_geodesic(found):
    plan = demo()
    stakes = {stake.id: stake for stake in plan.stakes}
    for (lat, lon, accuracy_m), ways in zip(places(), found["ways"], strict=True):
        away = {id: GEOD.inv(lon, lat, stake.lon, stake.lat) for id, stake in stakes.items()}
        nearest = min(away, key=lambda id: away[id][2])
        for id, told in zip(ENDS, ways, strict=True):
            azimuth_deg, _, metres = away[id]
            metres /= plan.crs.elevation_factor
            tolerance_m = 0.5 if metres < 1000.0 else 5.1  # in km with two decimals
            assert metres_of(told["way"]) == pytest.approx(metres, abs=tolerance_m)
            true, magnetic = map(float, re.search(r"([\d.]+)° true, ([\d.]+)° magnetic", told["way"]).groups())
            assert true == pytest.approx(azimuth_deg % 360, abs=0.06)
            assert magnetic == pytest.approx((azimuth_deg - plan.crs.declination_deg) % 360, abs=0.06)
            assert ("Nearer than the position is known" in told["way"]) == (metres < accuracy_m)
            assert told["nearest"].startswith(f"Nearest {nearest}: ")
            assert told["own"].endswith(f"± {accuracy_m:.0f} m")


def test_a_refusal_is_said_in_plain_words(found):
    for said in (found["refused"], found["without"]):
        assert said.startswith("No position: the browser does not give this page your position. Many browsers give no position to a page")
        assert "stakes.kml" in said
    assert found["pressedAfterRefusal"] == "false"
    assert "still trying" in found["late"]


def pages(pdf: Path) -> int:
    return len(re.findall(rb"/Type\s*/Page\b", pdf.read_bytes()))


def test_the_printed_map_is_one_page_and_everything_is_more(tmp_path):
    text = map_html(demo()).decode("utf-8")
    for name, body in (("one", "<body>"), ("all", '<body class="print-all">')):
        (tmp_path / f"{name}.html").write_text(text.replace("<body>", body), "utf-8")
        run(tmp_path / f"{name}.html", tmp_path / name, "--virtual-time-budget=3000", f"--print-to-pdf={tmp_path / name}.pdf")
    assert pages(tmp_path / "one.pdf") == 1
    assert pages(tmp_path / "all.pdf") >= 5
