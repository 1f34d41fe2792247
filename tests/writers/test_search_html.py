"""search.html: nothing from outside, no word of the user as markup, and in a real browser the spots are read and found."""

from __future__ import annotations

import io
import json
import re

import numpy as np
import pytest
from PIL import Image
from writers.map_browser import reports, with_script
from writers.search_results import made

from siting.records.search import FULL, SearchGrid
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


def test_what_differs_fails_or_is_not_checked_is_loud():
    text = page().decode("utf-8")
    head = text[text.index('<header class="head">') : text.index("</header>")]
    assert "SCREENING AND PLAN DIFFER at no. 3, no. 4" in head and "NOT CHECKED: overhead lines" in head
    assert "2 of 4 spots hold" in head
    assert "NO SPOT HOLDS" in page(spots=()).decode("utf-8")


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
    assert found["desk"]["legend"] and not found["phone"]["legend"]
