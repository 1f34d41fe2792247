"""The permit's site map: scale, place on earth, texts, checklist, papers, and that no two texts meet."""

from __future__ import annotations

import io
import itertools
import re
from dataclasses import replace

import numpy as np
import pypdfium2 as pdfium
import pypdfium2.raw as raw
import pytest
from outside.open_data import open_file
from PIL import Image
from pyproj import Geod, Transformer
from writers.pdf_probe import MM, fonts_embedded, meeting, straight_lines, text_boxes, texts
from writers.plan_by_hand import make_plan as plan_by_hand
from writers.site_maps import FACTS, LONG_NAME, demo, facts, gdal_transform, on_dem, sixty_parcels

from siting.errors import InputError
from siting.inputs.permit_tables import PermitTable, permit_facts, scale_of
from siting.records.permit import ASKED_FOR, ITEM_IDS, GivenItem, PermitFacts
from siting.units import METRES_PER_FOOT
from siting.writers.sitemap.checklist import ITEMS, MISSING, Evidence, checklist, headline
from siting.writers.sitemap.files import sitemap_files
from siting.writers.sitemap.grid_frame import grid_frame
from siting.writers.sitemap.pdf import sitemap_pdf
from siting.writers.sitemap.scale import choose_scale, standard_scales
from siting.writers.sitemap.window import needed

SIDES_MM = {"A4": (297.0, 210.0), "Letter": (279.4, 215.9), "A3": (420.0, 297.0), "Tabloid": (431.8, 279.4)}
CASES = [(paper, units) for paper in SIDES_MM for units in ("m", "ft")]
LEAST_TEXT = 8.59  # points: capitals of 2.0 mm
GEOD = Geod(ellps="WGS84")


@pytest.fixture(scope="module")
def maps():
    """Every map of the tests, made once: name -> PDF."""
    plan, ground = demo()
    made = {f"{paper} {units}": sitemap_pdf(plan, facts(paper, units), ground) for paper, units in CASES}
    made["part"] = sitemap_pdf(plan, facts("Tabloid", "ft", scale=600.0), ground)
    hand, long, many = sixty_parcels()
    for paper in SIDES_MM:
        made[f"sixty {paper}"] = sitemap_pdf(hand, replace(long, paper=paper), many)
    made["bare"] = sitemap_pdf(plan_by_hand())
    return made


NAMES = [*(f"{paper} {units}" for paper, units in CASES), "part", *(f"sixty {paper}" for paper in SIDES_MM), "bare"]


def ratio_of(text: str) -> float:
    found = re.search(r"Scale 1:(\d+)", text)
    if found:
        return float(found[1])
    return float(re.search(r"Scale 1 in = (\d+) ft", text)[1]) * 12.0


def bars_mm(page) -> list[float]:
    """Lengths of the bars' edges: filled boxes thinner than 0.2 mm and longer than 15 mm."""
    found = []
    for o in page.get_objects([raw.FPDF_PAGEOBJ_PATH]):
        left, low, right, top = (v / MM for v in o.get_bounds())
        if top - low < 0.2 and right - left > 15.0 and raw.FPDFPath_CountSegments(o.raw) > 2:
            found.append(right - left)
    return found


@pytest.mark.parametrize("name", NAMES)
def test_the_bars_measure_what_they_say(maps, name):
    page = pdfium.PdfDocument(maps[name])[0]
    text = texts(maps[name])[0]
    bars = re.findall(r"0 (\d+) (\d+) (m|ft)\b", text)
    assert [b[2] for b in bars[:2]] == ["m", "ft"]
    lengths = bars_mm(page)
    for half, whole, unit in bars[:2]:
        assert float(whole) == 2 * float(half)
        wanted = float(whole) * (METRES_PER_FOOT if unit == "ft" else 1.0) * 1000.0 / ratio_of(text)
        assert min(abs(mm - wanted) for mm in lengths) < 0.2


def test_a_hundred_metres_measure_a_hundred_metres_on_every_paper(maps):
    seen = 0
    for name in ("A3 m", "Tabloid m", "A4 m"):
        text = texts(maps[name])[0]
        if "100 m" in text:
            seen += 1
            wanted = 100.0 * 1000.0 / ratio_of(text)
            assert min(abs(mm - wanted) for mm in bars_mm(pdfium.PdfDocument(maps[name])[0])) < 0.2
    assert seen >= 2


@pytest.mark.parametrize("name", ["A3 m", "Tabloid ft", "A4 m"])
def test_guys_are_drawn_true_to_scale_with_grid_north_up(maps, name):
    plan, _ = demo()
    page = pdfium.PdfDocument(maps[name])[0]
    ratio = ratio_of(texts(maps[name])[0])
    drawn = [(float(np.hypot(*(b - a))), float(np.degrees(np.arctan2(*(b - a))) % 360.0)) for a, b in straight_lines(page)]
    wanted = [s for s in plan.stakes if s.role in ("permanent", "temporary", "winch", "head")]
    assert len(wanted) == 11
    for s in wanted:
        long_mm = 1000.0 * s.radius_m / ratio
        assert any(abs(mm - long_mm) < 0.05 and abs((deg - s.azimuth_grid_deg + 180) % 360 - 180) < 0.05 for mm, deg in drawn), (
            s.id
        )


@pytest.mark.parametrize("name", NAMES)
def test_no_text_lies_on_another_or_beyond_the_border(maps, name):
    for number, page in enumerate(pdfium.PdfDocument(maps[name])):
        boxes, (width, height) = text_boxes(page), page.get_size()
        assert len(boxes) > 10
        assert meeting(boxes) == [], number
        edge = 9.0 * MM
        assert all(edge <= b[0] and b[2] <= width - edge and edge <= b[1] and b[3] <= height - edge for b in boxes), number


@pytest.mark.parametrize("name", NAMES)
def test_fonts_are_embedded_and_no_text_is_smaller_than_two_millimetres(maps, name):
    for page in pdfium.PdfDocument(maps[name]):
        assert fonts_embedded(page) == {1}
        textpage = page.get_textpage()
        sizes = {round(raw.FPDFText_GetFontSize(textpage.raw, k), 2) for k in range(textpage.count_chars())}
        assert min(s for s in sizes if s > 1.0) >= LEAST_TEXT


@pytest.mark.parametrize(("paper", "units"), CASES)
def test_the_paper_is_the_one_asked_for_and_lies_on_its_side(maps, paper, units):
    for page in pdfium.PdfDocument(maps[f"{paper} {units}"]):
        assert [v / MM for v in page.get_size()] == pytest.approx(SIDES_MM[paper], abs=0.01)


@pytest.mark.parametrize(("paper", "units"), CASES)
def test_what_a_permit_office_reads_first_stands_on_the_first_sheet(maps, paper, units):
    plan, _ = demo()
    text = texts(maps[f"{paper} {units}"])[0]
    for words in (
        plan.name, "SITE MAP FOR PERMIT", FACTS.applicant, FACTS.parcel, FACTS.owner, FACTS.zoning, FACTS.drawing, "Seal", "Signature",
        "82.50 m", "270.67 ft", "EPSG:32612", "47.0277119", "47°01'39.763\"N", "NOT A BOUNDARY SURVEY", "INCOMPLETE", "Legend",
        "T true north", "M +10.72°", "WMM-2025 at 2027-05-10", "Proposed", "Existing", plan.provenance.run_id,
    ):  # fmt: skip
        assert words in text, words
    assert ("318.27 ft" if units == "ft" else "97.01 m") in text  # base to the nearest line
    assert ("297.74 ft" if units == "ft" else "90.75 m") in text  # setback
    for s in (s for s in plan.stakes if s.role != "offset"):
        assert s.point in text


def test_every_sheet_says_what_it_is_not_and_the_tables_hold_the_plans_numbers(maps):
    plan, ground = demo()
    for name in ("A3 m", "Letter ft", "A4 m"):
        pages = texts(maps[name])
        assert all("NOT A BOUNDARY SURVEY" in page and plan.provenance.run_id in page for page in pages)
        whole = " ".join(pages)
        for s in (s for s in plan.stakes if s.role != "offset"):
            assert f"{s.easting:.2f}" in whole and f"{s.northing:.2f}" in whole and f"{s.lat:.7f}" in whole
        for side in ground.lot_lines:
            assert (f"{side.length_m / METRES_PER_FOOT:.2f} ft" if name.endswith("ft") else f"{side.length_m:.2f} m") in whole
        assert "Toquerville" in whole and "parcels.gpkg" in whole and "lines.geojson" in whole


@pytest.mark.parametrize("projected", [None, "EPSG:6515", "EPSG:26912"])
def test_gdalinfo_opens_the_map_in_its_place(tmp_path, projected):
    plan, ground = demo(projected)
    path = tmp_path / "sitemap.pdf"
    path.write_bytes(sitemap_pdf(plan, facts("A3"), ground))
    (x0, dx, rx, y0, ry, dy), size, wkt = gdal_transform(path)
    assert f'ID["EPSG",{plan.crs.epsg}]' in wkt
    ratio = ratio_of(texts(path.read_bytes())[0])
    page = pdfium.PdfDocument(path.read_bytes())[0]
    mm_px = 420.0 / size[0], 297.0 / size[1]
    at = {}
    for s in plan.stakes:
        if s.role == "permanent":  # the far end of each guy, as it is drawn
            ends = [b for a, b in straight_lines(page) if abs(np.hypot(*(b - a)) - 1000.0 * s.radius_m / ratio) < 0.02]
            at[s.id] = (s, ends)
    assert len(at) == 6
    for s, ends in at.values():
        misses = []
        for x_mm, y_mm in ends:
            col, row = x_mm / mm_px[0], (297.0 - y_mm) / mm_px[1]
            east, north = x0 + col * dx + row * rx, y0 + col * ry + row * dy
            misses.append(np.hypot(east - s.easting, north - s.northing) * plan.crs.unit_m)
        assert min(misses) < 0.1, s.id


def test_the_viewport_holds_the_corners_to_a_centimetre():
    plan, ground = demo()
    data = sitemap_pdf(plan, facts("A3"), ground)
    found = re.search(rb"/GPTS \[([^\]]*)\]", data)[1].split()
    lats, lons = np.array(found[0::2], float), np.array(found[1::2], float)
    box = np.array(re.search(rb"/BBox \[([^\]]*)\]", data)[1].split(), float) / MM
    east, north = Transformer.from_crs("EPSG:4326", "EPSG:32612", always_xy=True).transform(lons, lats)
    ratio = ratio_of(texts(data)[0])
    grid_m = ratio / 1000.0 * plan.crs.combined_factor
    assert np.ptp(east) == pytest.approx((box[2] - box[0]) * grid_m, abs=0.01)
    assert np.ptp(north) == pytest.approx((box[3] - box[1]) * grid_m, abs=0.01)
    assert east[0] == pytest.approx(east[1], abs=0.01) and north[0] == pytest.approx(north[3], abs=0.01)  # grid north is up


@pytest.mark.parametrize("projected", [None, "EPSG:6515"])
def test_the_frame_agrees_with_the_projection(projected):
    plan, _ = demo(projected)
    frame = grid_frame(plan)
    to_grid = Transformer.from_crs("EPSG:4326", f"EPSG:{plan.crs.epsg}", always_xy=True)
    for azimuth, radius, close in itertools.product(range(0, 360, 45), (50.0, 300.0, 600.0), (0.03,)):
        lon, lat, _ = GEOD.fwd(plan.base.lon, plan.base.lat, azimuth, radius)
        east, north = to_grid.transform(lon, lat)
        shift = np.subtract(to_grid.transform(plan.base.lon, plan.base.lat), (plan.base.easting, plan.base.northing))
        got = frame.grid(frame.ground(lon, lat))
        assert np.hypot(got[0] - (east - shift[0]), got[1] - (north - shift[1])) * plan.crs.unit_m < close
        back = frame.lonlat(frame.ground(lon, lat))
        assert GEOD.inv(lon, lat, *back)[2] < 1e-4


def evidence(**changes):
    plan, ground = demo()
    made = {
        "plan": plan,
        "facts": FACTS,
        "ground": ground,
        "scale": choose_scale(needed(plan, grid_frame(plan)), (250.0, 200.0), FACTS),
    }
    return Evidence(**{**made, "lot_is_shown": True, **changes})


def states(e):
    return {i.id: i.state for i in checklist(e)}


def test_the_checklist_has_every_item_and_nothing_is_called_complete():
    assert set(ITEMS) == set(ITEM_IDS) and len(ASKED_FOR) == len(set(ITEM_IDS)) >= 30
    items = checklist(evidence())
    missing = [i for i in items if i.state == MISSING]
    assert headline(items) == f"INCOMPLETE: {len(missing)} items missing" and len(missing) >= 5
    everything = tuple(GivenItem(name, f"App. {k}") for k, name in enumerate(ITEM_IDS))
    full = checklist(evidence(facts=replace(FACTS, given=everything)))
    assert not [i for i in full if i.state == MISSING]
    assert "complete" not in headline(full).lower()


@pytest.mark.parametrize(
    ("kind", "item"),
    [
        ("overhead_line", "overhead_lines"),
        ("building", "structures"),
        ("water", "water"),
        ("parcel", "vicinity"),
        ("road", "road_distance"),
    ],
)
def test_a_layer_that_is_taken_away_turns_its_item_missing(kind, item):
    _, ground = demo()
    without = replace(
        ground,
        outlines=tuple(o for o in ground.outlines if o.kind != kind and not (kind == "parcel" and o.kind == "own_land")),
        distances=tuple(d for d in ground.distances if d.kind != kind),
        layer_kinds=tuple(k for k in ground.layer_kinds if k != kind),
    )
    assert states(evidence())[item] != MISSING
    assert states(evidence(ground=without))[item] == MISSING


@pytest.mark.parametrize("key", ["parcel", "owner", "zoning", "adjoining", "applicant"])
def test_what_the_applicant_does_not_say_is_missing(key):
    item = {"applicant": "title_block"}.get(key, key)
    bare = replace(FACTS, **{key: () if key == "adjoining" else ""})
    assert states(evidence())[item] != MISSING
    assert states(evidence(facts=bare))[item] == MISSING


def test_a_large_sheet_and_an_odd_scale_are_missing_items(maps):
    assert states(evidence(facts=replace(FACTS, paper="A3")))["sheet_size"] == MISSING
    assert states(evidence(facts=replace(FACTS, paper="Tabloid")))["sheet_size"] != MISSING
    odd = replace(FACTS, scale=1234.0)
    assert states(evidence(facts=odd, scale=choose_scale((-90, -90, 90, 90), (200.0, 200.0), odd)))["scale"] == MISSING
    counted = int(re.search(r"INCOMPLETE: (\d+) items missing", texts(maps["A3 m"])[0])[1])
    assert sum(page.count("MISSING") for page in texts(maps["A3 m"])) == counted
    assert "INCOMPLETE" in texts(maps["bare"])[0]


def test_a_failing_check_and_one_that_could_not_be_made_are_as_loud_as_a_missing_item(maps):
    first = texts(maps["bare"])[0]
    assert "FAIL: 1 check of the land" in first and "NOT CHECKED: 1 check of the land" in first
    assert "of the land" not in texts(maps["A3 m"])[0].replace("Owner of the land", "")


def test_the_largest_standard_scale_that_fits_is_taken():
    for units, extent_m, room_mm in itertools.product(("m", "ft"), (40.0, 181.5, 187.7, 420.0), (120.0, 195.0)):
        extent = (-extent_m / 2, -extent_m / 2, extent_m / 2, extent_m / 2)
        scale = choose_scale(extent, (room_mm, room_mm), PermitFacts(units=units))
        scales = standard_scales(units)
        assert scale.fits and scale.ratio in scales and 1000.0 * extent_m / scale.ratio <= room_mm
        larger = [r for r in scales if r < scale.ratio]
        assert not larger or 1000.0 * extent_m / larger[-1] > room_mm


def test_a_scale_too_large_for_the_fall_circle_brings_an_overview_and_says_why(maps):
    text = " ".join(texts(maps["part"]))
    assert "Scale 1 in = 50 ft" in text and "shows a part: see the overview" in text
    assert "Overview, 1:" in text and "do not fit this paper" in text
    assert "Overview, 1:" not in " ".join(texts(maps["Tabloid ft"]))


def test_sixty_parcels_are_named_on_the_map_or_in_the_table(maps):
    for paper in SIDES_MM:
        whole = " ".join(texts(maps[f"sixty {paper}"]))
        numbers = {int(n) for n in re.findall(r"\((\d{1,2})\)", texts(maps[f"sixty {paper}"])[0])}
        assert numbers and numbers == set(range(1, max(numbers) + 1))
        assert whole.count("Eigentümergemeinschaft") >= 60
        assert LONG_NAME[:40] in whole


def test_a_real_dem_is_mapped(tmp_path):
    plan, ground = on_dem(tmp_path, open_file("colorado"))
    data = sitemap_pdf(plan, facts("A3"), ground)
    first = texts(data)[0]
    assert plan.backdrop is not None and plan.backdrop.contours
    assert any(f"{h:.0f}" in first for h, _ in plan.backdrop.contours)
    assert "NOT CHECKED: " in first and any("NOT CHECKED" in text for text in texts(data)[1:])
    assert (
        "Sides of the lot" not in " ".join(texts(data))
        and states(evidence(plan=plan, ground=ground))["line_distances"] == MISSING
    )
    assert all(meeting(text_boxes(page)) == [] for page in pdfium.PdfDocument(data))


def test_the_same_plan_gives_the_same_bytes_and_the_image_is_its_first_page():
    plan, ground = demo()
    first, second = (sitemap_files(plan, facts("A4"), ground) for _ in range(2))
    assert first == second and list(first) == ["sitemap.pdf", "sitemap.png"]
    image = Image.open(io.BytesIO(first["sitemap.png"]))
    assert image.size == pytest.approx((297.0 / 25.4 * 200, 210.0 / 25.4 * 200), abs=1.5)
    assert image.mode == "L" and image.info["dpi"] == pytest.approx((200, 200), abs=0.1)
    dark = float((np.asarray(image) < 100).mean())
    assert 0.005 < dark < 0.2


@pytest.mark.parametrize(
    ("text", "ratio"),
    [
        ("1:1000", 1000.0),
        ("1 : 500", 500.0),
        ("1in=100ft", 1200.0),
        ("1\" = 50'", 600.0),
        (1250, 1250.0),
        ("1:3", None),
        ("50", None),
        (True, None),
    ],
)
def test_scales_are_read_as_an_engineer_writes_them(text, ratio):
    assert scale_of(text) == (None if ratio is None else pytest.approx(ratio, abs=1e-6))


def test_faults_of_the_permit_table_are_named():
    table = PermitTable.model_validate({"scale": "large", "given": [{"item": "permision", "reference": "App. B"}]})
    with pytest.raises(InputError) as caught:
        permit_facts(table, "site.toml")
    scale, item = caught.value.faults
    assert (scale.code, item.code) == ("permit_scale", "permit_item")
    assert "'large' is no scale" in str(caught.value) and "Did you mean permission?" in str(caught.value)


def test_the_table_becomes_the_record():
    table = PermitTable.model_validate(
        {
            "applicant": "A", "parcel": "07-112", "adjoining": ["07-113: J. Doe"], "scale": "1in=100ft", "units": "ft", "paper": "Tabloid",
            "given": [{"item": "permission", "reference": "App. B"}],
        }
    )  # fmt: skip
    made = permit_facts(table, "site.toml")
    assert (made.applicant, made.parcel, made.adjoining, made.units, made.paper) == (
        "A",
        "07-112",
        ("07-113: J. Doe",),
        "ft",
        "Tabloid",
    )
    assert made.scale == pytest.approx(1200.0) and made.given == (GivenItem("permission", "App. B"),)
    assert permit_facts(PermitTable(), "site.toml") == PermitFacts()
