"""search.html: nothing from outside, no word of the user as markup, and in a real browser the spots are read and found."""

from __future__ import annotations

import io
import json
import re

import numpy as np
import pytest
from PIL import Image
from writers.map_browser import reports, with_script
from writers.search_results import LAND, SPOTS, UNSCREENED, made

from siting.records.search import FULL, GivenLand, SearchGrid
from siting.writers.search.classes import CLASSES
from siting.writers.search.html import search_html
from siting.writers.search.overlay import class_picture
from siting.writers.search.overview import Overview

SIZES = {"desk": (1400, 900), "phone": (390, 844)}
LOOK = """
setTimeout(() => {
  const seen = (el) => { const r = el.getBoundingClientRect(); return r.width > 0 && r.right <= innerWidth + 1 && r.left >= -1; };
  const found = { marks: document.querySelectorAll(".found-mark").length, ranks: [...document.querySelectorAll(".found-mark text")].map((t) => t.textContent),
    image: document.querySelector(".leaflet-image-layer").naturalWidth, wide: document.documentElement.scrollWidth <= innerWidth,
    corner: seen(document.querySelector(".corner")), scale: document.querySelector(".scale-bar").textContent,
    land: [...document.querySelectorAll(".leaflet-overlay-pane path.k")].filter((p) => !p.matches(".k-case")).map((p) => p.getAttribute("class").match(/k-(?!dot)\\w+/)[0]),
    above: +getComputedStyle(document.querySelector(".leaflet-marker-pane")).zIndex > +getComputedStyle(document.querySelector(".leaflet-overlay-pane")).zIndex,
    names: [...document.querySelectorAll(".label")].filter((l) => l.style.display !== "none").map((l) => l.textContent),
    layers: [...document.querySelectorAll(".leaflet-control-layers-overlays span span")].map((s) => s.textContent.trim()),
    legend: document.querySelector(".legend").open, bold: document.querySelectorAll(".panel b").length };
  if (document.body.classList.contains("panel-closed")) document.getElementById("toggle").click();
  found.panel = getComputedStyle(document.getElementById("panel")).display;
  found.svg = [...document.querySelectorAll(".drawing svg")].every((svg) => svg.getBoundingClientRect().width > 150 || !svg.closest("details").open);
  const button = document.querySelector("button[data-spot='3']");
  button.click();
  found.popup = document.querySelector(".leaflet-popup").textContent;
  found.link = document.querySelector(".leaflet-popup a[href='spot_03.toml']") !== null;
  document.dispatchEvent(new KeyboardEvent("keydown", { key: "Escape", bubbles: true }));
  setTimeout(() => { found.closed = !document.querySelector(".leaflet-popup-content"); parent.postMessage({ width: innerWidth, found: found }, "*"); }, 400);
}, 600);
"""


def page(mode="passing", **changes) -> bytes:
    search = made(mode, **changes)
    overview = Overview(search.result.grid)
    for tile in search.result.tiles:
        overview.add(tile, search.load(tile))
    return search_html(search.result, overview)


def test_the_page_is_whole_and_the_same_each_time():
    html = page()
    assert html == page()
    text = html.decode("utf-8")
    assert "Content-Security-Policy" in text and "default-src 'none'" in text
    assert not re.search(r'(?:src|href)="(?:https?:)?//', re.sub(r"<script>.*?</script>", "", text, flags=re.DOTALL))
    assert text.count("<html") == 1 and "abc123def456" in text


def test_no_word_of_the_user_is_markup():
    text = page().decode("utf-8")
    assert "<b>push" not in text and "&lt;b&gt;push" in text
    assert "Curlew <search>" not in text


def head_of(html: bytes) -> str:
    text = html.decode("utf-8")
    return text[text.index('<header class="head">') : text.index("</header>")]


def test_what_differs_fails_or_is_not_checked_is_loud():
    head = head_of(page())
    assert "SCREENING AND PLAN DIFFER at no. 3, no. 4" in head and "NOT CHECKED: overhead lines" in head and "THE PLAN FAILS" not in head
    assert "2 of 4 spots hold" in head
    assert "NO SPOT HOLDS" in page(spots=()).decode("utf-8")


def test_what_fails_and_is_not_screened_is_loud_and_no_difference():
    html = page(spots=(*SPOTS[:2], UNSCREENED))
    assert "THE PLAN FAILS, on a check that is not screened, at no. 3" in head_of(html) and "DIFFER" not in head_of(html)
    text = html.decode("utf-8")
    said = "Fails in its plan on a check that is not screened: &lt;i&gt;push&lt;/i&gt;: 2.89, at most 1.00."
    assert said in text[text.index('id="panel"') :] and "<i>push" not in text
    assert "FAIL: a check that is not screened" in text  # on paper
    assert text.count("Not screened, held by its plan alone: holding of the anchors<") == 3
    assert "6 spots were planned, of 12 at most: 2 hold; 2 fail only checks that are not screened; 1 fails a screened check; 1 cannot be planned." in text
    assert "holding of the anchors (2)" in text and "Lift and base are not looked at" in text


def test_the_land_is_drawn_and_named_in_the_legend():
    text = page().decode("utf-8")
    legend = text[text.index('<details class="legend"') :]
    legend = legend[: legend.index("</details>")]
    for words in ("Searched area", "Own land", "Other parcel", "Obstacle", "The map draws 2 of the 104213 parcels"):
        assert words in legend
    layers = re.findall(r'layers\["(\w+)"\] = ', text)
    assert layers == ["cells", "parcels", "obstacles", "area", "spots"]  # the spots above all
    assert '"label": "Parcel \\u003cb\\u003e12\\u003c/b\\u003e"' in text
    without = page(land=GivenLand((), ())).decode("utf-8")
    assert re.findall(r'layers\["(\w+)"\] = ', without) == ["cells", "spots"] and "Own land" not in without
    all_own = page(land=GivenLand(tuple(s for s in LAND.shapes if s.kind == "parcel"), ())).decode("utf-8")
    assert "Other parcel" not in all_own and "Parcel, own land to its base" in all_own


def test_the_legend_holds_what_is_drawn():
    for mode, there, missing in (("passing", CLASSES[5].words, CLASSES[4].words), (FULL, CLASSES[4].words, CLASSES[5].words)):
        text = page(mode).decode("utf-8")
        legend = text[text.index('<details class="legend"') :]
        legend = legend[: legend.index("</details>")]
        assert there in legend and missing not in legend


@pytest.fixture(scope="module")
def overview():
    search = made()
    made_overview = Overview(search.result.grid)
    for tile in search.result.tiles:
        made_overview.add(tile, search.load(tile))
    return search, made_overview


def test_the_picture_lies_where_the_cells_lie(overview):
    """The corner of a class on the map is that of the raster, to a cell."""
    from pyproj import Transformer

    search, small = overview
    picture = class_picture(search.result.grid, small)
    image = np.asarray(Image.open(io.BytesIO(picture.png)))
    (south, west), (north, east) = picture.bounds
    to_lonlat = Transformer.from_crs("EPSG:32612", "EPSG:4326", always_xy=True)
    mercator = Transformer.from_crs("EPSG:4326", "EPSG:3857", always_xy=True)
    (x0, y0), (x1, y1) = mercator.transform(west, south), mercator.transform(east, north)
    classes, agree, a = small.classes(), 0, search.result.grid.affine
    for row in range(0, 70, 3):
        for col in range(0, 90, 3):
            x, y = mercator.transform(*to_lonlat.transform(a[2] + col + 0.5, a[5] - row - 0.5))
            at = image[int((y1 - y) / (y1 - y0) * image.shape[0]), int((x - x0) / (x1 - x0) * image.shape[1])]
            agree += at == classes[row, col]
    assert agree == 24 * 30
    assert max(image.shape) <= 1500


def test_a_turned_grid_is_drawn(overview):
    _, small = overview
    wkt = made().result.grid.crs_wkt
    turned = SearchGrid(0, 0, 70, 90, (0.8, 0.6, 587070.0, 0.6, -0.8, 5209240.0), wkt)
    picture = class_picture(turned, small)
    assert Image.open(io.BytesIO(picture.png)).mode == "P"
    (south, west), (north, east) = picture.bounds
    assert south <= picture.near[0][0] < picture.near[1][0] <= north and west < picture.near[0][1] < picture.near[1][1] <= east


def test_in_a_browser_the_spots_are_shown_read_and_closed(tmp_path):
    found, complaints = reports(tmp_path, with_script(page(), LOOK), SIZES)
    assert complaints == []
    for name, seen in found.items():
        assert (seen["marks"], seen["ranks"]) == (4, ["1", "2", "3", "4"]), name
        assert seen["image"] >= 400 and seen["wide"] and seen["corner"] and seen["svg"] and seen["link"] and seen["closed"], (name, json.dumps(seen))
        assert "No. 3" in seen["popup"] and "FAIL" in seen["popup"] and "<b>push</b>" in seen["popup"]
        assert seen["panel"] != "none" and seen["bold"] == 0 and " m" in seen["scale"]
        assert sorted(seen["land"]) == ["k-area", "k-obstacle", "k-obstacle", "k-own_land", "k-parcel"] and seen["above"], (name, seen["land"])
        assert seen["layers"] == ["Cells", "Parcels", "Obstacles", "Searched area", "Spots"]
    assert "Own land 07-1" in found["desk"]["names"]
    assert found["desk"]["legend"] and not found["phone"]["legend"]
