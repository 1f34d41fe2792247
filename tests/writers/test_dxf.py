"""stakes.dxf read back with ezdxf (its audit included) and with GDAL; labels do not cover each other."""

from __future__ import annotations

import io
import itertools
import math
import time
from functools import cache

import ezdxf
import pyogrio
import pytest
from writers.plan_by_hand import make_plan
from writers.rover_plans import HOSTILE, INTERNATIONAL_FOOT, US_FOOT, blank, demo, hostile, without_code

from siting.writers.paper.grid_drawing import CIRCLE_KINDS, grid_circles
from siting.writers.paper.label_places import Box, Label, place_labels
from siting.writers.points.dxf import SHOWN_TAGS, dxf, one_line
from siting.writers.points.dxf_tables import LETTER_WIDTH, POINT_LAYERS, SHAPE_LAYERS, SYMBOL_M, TEXT_M

PLANS = {
    "by hand": make_plan, "demo": demo, "control": lambda: demo(given=True), "US feet": lambda: demo(US_FOOT),
    "feet": lambda: demo(INTERNATIONAL_FOOT), "hostile": hostile, "blank": blank, "no code": without_code,
}  # fmt: skip


@cache
def written(name: str) -> bytes:
    """The file of one of the plans, made once: the tests below read it, each for itself."""
    return dxf(PLANS[name]())


def read(data: bytes):
    return ezdxf.read(io.StringIO(data.decode("utf-8")))


def inserts(drawing) -> dict[str, object]:
    return {insert.get_attrib_text("NUMBER"): insert for insert in drawing.modelspace().query("INSERT")}


def words_of(drawing) -> str:
    return " ".join(text.dxf.text for text in drawing.modelspace().query("TEXT"))


@pytest.mark.parametrize("name", PLANS)
def test_no_audit_errors_and_nothing_on_layer_0(name):
    drawing, plan = read(written(name)), PLANS[name]()
    audit = drawing.audit()
    assert (audit.errors, audit.fixes) == ([], [])
    assert drawing.dxfversion == "AC1027"
    layers = {e.dxf.layer for e in drawing.modelspace()}
    layers |= {a.dxf.layer for insert in drawing.modelspace().query("INSERT") for a in insert.attribs}
    assert "0" not in layers
    assert layers <= {layer.dxf.name for layer in drawing.layers}
    assert len(drawing.modelspace().query("INSERT")) == len((*plan.stakes, *plan.control))


@pytest.mark.parametrize("name", PLANS)
def test_points_and_attributes_come_back(name):
    plan = PLANS[name]()
    found = inserts(read(written(name)))
    for point in (*plan.stakes, *plan.control):
        insert = found[point.point]
        assert tuple(insert.dxf.insert) == pytest.approx((point.easting, point.northing, 0.0), abs=1e-6)
        assert insert.dxf.layer == POINT_LAYERS[point.role].name
        assert {a.dxf.layer for a in insert.attribs} == {insert.dxf.layer}
        values = {a.dxf.tag: a.dxf.text for a in insert.attribs}
        assert (values["CODE"], values["ID"]) == (point.code, one_line(point.id))
        assert [a.is_invisible for a in insert.attribs] == [a.dxf.tag not in SHOWN_TAGS for a in insert.attribs]
        if point.height_m is None or plan.terrain.blank_elevation:
            assert values["HEIGHT"] == ""
        else:
            assert float(values["HEIGHT"]) * plan.crs.unit_m == pytest.approx(point.height_m, abs=5e-4)


def test_gdal_reads_the_same_places(tmp_path):
    plan = demo()
    path = tmp_path / "stakes.dxf"
    path.write_bytes(written("demo"))
    pyogrio.set_gdal_config_options({"DXF_INLINE_BLOCKS": "FALSE"})
    try:
        table = pyogrio.read_dataframe(path, layer="entities")
    finally:
        pyogrio.set_gdal_config_options({"DXF_INLINE_BLOCKS": None})
    blocks = table[table["BlockName"].notna()]
    assert len(blocks) == len(plan.stakes)
    at = {s.point: s for s in plan.stakes}
    for row in blocks.itertuples():
        values = dict(item.split(" ", 1) for item in row.BlockAttributes if " " in item)
        stake = at[values["NUMBER"]]
        assert (row.geometry.x, row.geometry.y) == pytest.approx((stake.easting, stake.northing), abs=1e-6)


@pytest.mark.parametrize(
    ("name", "number", "words"),
    [("demo", 6, "metres"), ("feet", 2, "international feet (0.3048 m)"), ("US feet", 21, "US survey feet (1200/3937 m)")],
)
def test_the_unit_is_the_right_one_and_said_in_words(name, number, words):
    plan = PLANS[name]()
    drawing = read(written(name))
    assert drawing.header["$INSUNITS"] == number
    assert {drawing.blocks.get(name).units for name in ("STAKE", "CONTROL")} == {number}
    assert f"Unit of the coordinate system: {words}" in words_of(drawing)
    assert f"in {words}" in words_of(drawing)
    (height,) = {a.dxf.height for i in drawing.modelspace().query("INSERT") for a in i.attribs}
    assert height * plan.crs.unit_m == pytest.approx(TEXT_M, abs=1e-6)  # 2.5 mm at 1:500


def test_the_information_says_frame_and_run():
    plan = demo(US_FOOT)
    text = words_of(read(written("US feet")))
    for words in (plan.name, plan.provenance.run_id, plan.crs.name, "EPSG:4432", f"{plan.crs.combined_factor:.8f}", plan.crs.datum,
                  plan.terrain.vertical_datum, "not scaled to ground", "grid north is up", "1:500", "not for grade"):  # fmt: skip
        assert words in " ".join(text.split())


def test_lines_run_from_the_base_to_the_stakes_and_each_once():
    plan = make_plan()  # it has two guys to each anchor, on one line
    space = read(written("by hand")).modelspace()
    at = {s.id: (s.easting, s.northing) for s in plan.stakes}
    for kind, ids in (("laydown", ["HEAD"]), ("winch_line", ["W1"]), ("side_guy", ["SL", "SR"]), ("guy", ["A1", "B1", "C1", "SL", "SR", "BK"])):
        lines = space.query(f'LINE[layer=="{SHAPE_LAYERS[kind].name}"]')
        assert sorted(tuple(line.dxf.end)[:2] for line in lines) == sorted(at[i] for i in ids)
        assert {tuple(line.dxf.start) for line in lines} == {(plan.base.easting, plan.base.northing, 0.0)}


@pytest.mark.parametrize("name", ["demo", "US feet"])
def test_circles_are_exact_arcs_on_the_grid(name):
    plan = PLANS[name]()
    space = read(written(name)).modelspace()
    radii_m = (plan.land.fall_radius_m, plan.land.setback_m, plan.land.anchor_circle_m)
    assert len(grid_circles(plan)) == 3
    for kind, radius_m in zip(CIRCLE_KINDS, radii_m, strict=True):
        (line,) = space.query(f'LWPOLYLINE[layer=="{SHAPE_LAYERS[kind].name}"]')
        assert line.closed
        radius = radius_m * plan.crs.combined_factor / plan.crs.unit_m
        for arc in line.virtual_entities():
            assert arc.dxftype() == "ARC"
            assert arc.dxf.radius == pytest.approx(radius, abs=1e-4)
            assert tuple(arc.dxf.center)[:2] == pytest.approx((plan.base.easting, plan.base.northing), abs=1e-4)


@pytest.mark.parametrize("name", PLANS)
def test_no_label_covers_a_label_or_a_symbol(name):
    plan = PLANS[name]()
    unit = 1.0 / plan.crs.unit_m
    boxes, symbols = [], []
    for insert in read(written(name)).modelspace().query("INSERT"):
        x, y, _ = insert.dxf.insert
        r = 0.99 * SYMBOL_M * unit
        symbols.append(Box(x - r, y - r, x + r, y + r))
        lines = []
        for a in insert.attribs:
            if a.dxf.tag in SHOWN_TAGS and a.dxf.text:
                width, (left, low, _) = len(a.dxf.text) * LETTER_WIDTH * a.dxf.height, a.dxf.insert
                if a.dxf.halign == 2:
                    left = a.dxf.align_point[0] - width
                    low = a.dxf.align_point[1]
                lines.append(Box(left, low, left + width, low + a.dxf.height))
        assert len(lines) == (2 if plan.terrain.blank_elevation or insert.get_attrib_text("HEIGHT") == "" else 3)
        assert not any(a.covers(b) for a, b in itertools.combinations(lines, 2))
        boxes.append(Box(min(b.left for b in lines), min(b.bottom for b in lines), max(b.right for b in lines), max(b.top for b in lines)))
    assert not any(a.covers(b) for a, b in itertools.combinations(boxes, 2))
    assert not any(box.covers(symbol) for box in boxes for symbol in symbols)


def test_labels_keep_apart_where_points_stand_close():
    labels = [Label((3.0 * (i % 4), 3.0 * (i // 4)), 6.0, 4.0, math.pi / 2.0) for i in range(12)]
    boxes = [place.box for place in place_labels(labels, 0.3, 0.6, [], [])]
    assert len(boxes) == 12
    assert not any(a.covers(b) for a, b in itertools.combinations(boxes, 2))
    lone = place_labels([Label((0.0, 0.0), 6.0, 4.0, 0.0)], 0.3, 0.3, [], [])[0]
    assert lone.leader is None and lone.box.left == pytest.approx(0.6)


def test_what_a_box_says_of_lines_and_circles():
    box = Box(0.0, 0.0, 4.0, 2.0)
    assert box.is_crossed(((-1.0, 1.0), (5.0, 1.0))) and box.is_crossed(((1.0, 1.0), (2.0, 1.5)))
    assert not box.is_crossed(((-1.0, 3.0), (5.0, 3.0))) and not box.is_crossed(((-2.0, 1.0), (-1.0, 1.0)))
    assert box.is_cut(((2.0, -3.0), 4.0)) and not box.is_cut(((2.0, 1.0), 9.0)) and not box.is_cut(((2.0, -9.0), 4.0))


def test_hostile_names_survive_on_one_line():
    drawing = read(written("hostile"))
    texts = [text.dxf.text for text in drawing.modelspace().query("TEXT")]
    assert HOSTILE in texts
    assert HOSTILE in [i.get_attrib_text("ID") for i in drawing.modelspace().query("INSERT")]
    assert one_line("a\r\nb\x00 %%d ^J") == "a b % %d ^ J"


def test_bytes_repeat_and_the_librarys_switch_is_given_back():
    first = dxf(make_plan())
    time.sleep(0.02)
    assert dxf(make_plan()) == first
    assert ezdxf.options.write_fixed_meta_data_for_testing is False
