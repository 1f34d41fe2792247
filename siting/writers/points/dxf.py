"""stakes.dxf: the layout on the projected grid, with layers by role and a block with attributes at each point."""

from __future__ import annotations

import io
import math
import textwrap
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from siting.figures import kept, shown
from siting.records.plan import Plan, Stake
from siting.records.survey import ControlPoint
from siting.writers.frame_words import frame_rows, unit_key, unit_words
from siting.writers.paper.grid_drawing import GridCircle, GridLine, grid_circles, grid_lines
from siting.writers.paper.label_places import Box, Drawn, Label, Place, beside, place_labels
from siting.writers.points.dxf_tables import (
    DASHES_M,
    GAP_M,
    INFORMATION,
    INSERT_UNITS,
    LETTER_WIDTH,
    LINE_SPACING,
    PLOT_SCALE,
    POINT_LAYERS,
    RIM,
    SHAPE_LAYERS,
    SYMBOL_M,
    TEXT_M,
    TITLE_M,
)
from siting.writers.xml_text import printable

# Four arcs make a circle that a polyline can hold exactly: bulge = tan(quarter of the arc's angle).
QUARTER_BULGE = math.tan(math.pi / 8.0)
SHOWN_TAGS = ("NUMBER", "CODE", "HEIGHT")
HIDDEN_TAGS = ("ID", "DESCRIPTION")
STYLE = "STAKING"
INFO_WIDTH = 84  # letters in a line of the information
INFO_OFF_M = 12.0
ROLES_FIRST = ("base", "permanent", "temporary", "winch", "head", "control", "feature", "offset")


def dxf(plan: Plan) -> bytes:
    """stakes.dxf (R2013): eastings and northings in the plan's unit, flat at z = 0.

    Heights stand in the attribute HEIGHT, in the drawing's unit: a drawing whose points lie at their heights
    and whose lines lie at zero would give slope distances where a plan distance is wanted.
    """
    import ezdxf

    lines, circles = grid_lines(plan), grid_circles(plan)
    stream = io.StringIO()
    with _without_clock():
        drawing = ezdxf.new("R2013")
        sheet = _Sheet(plan, drawing)
        sheet.set_up()
        sheet.draw_shapes(lines, circles)
        labels = sheet.draw_points(lines, circles)
        sheet.name_circles(lines, circles, labels)
        sheet.write_information()
        drawing.write(stream)
    return drawing.encode(stream.getvalue())


@contextmanager
def _without_clock() -> Iterator[None]:
    """While it is open, ezdxf writes fixed dates and identifiers, so that bytes repeat."""
    import ezdxf

    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before


def one_line(text: str) -> str:
    """Text as a DXF text entity holds it: one line, no control code; no unit."""
    return " ".join(printable(text).split()).replace("%%", "% %").replace("^", "^ ")


class _Sheet:
    """The drawing while it is made. Metres on the ground are turned into drawing units by `unit`."""

    def __init__(self, plan: Plan, drawing: Any) -> None:
        self.plan, self.drawing, self.space = plan, drawing, drawing.modelspace()
        self.unit = 1.0 / plan.crs.unit_m
        self.unit_words = unit_words(plan.crs.unit_m, plan.crs.unit)
        self.text = TEXT_M * self.unit
        radii_m = [plan.land.fall_radius_m, plan.land.setback_m, *(s.radius_m for s in plan.stakes)]
        self.reach = (max(radii_m) + INFO_OFF_M) * self.unit

    def set_up(self) -> None:
        """Units, layers, line types, the text style, the two blocks and the first view."""
        drawing, key = self.drawing, unit_key(self.plan.crs.unit_m)
        drawing.units = INSERT_UNITS.get(key, 0)
        drawing.header["$MEASUREMENT"] = 1 if key == "m" else 0
        drawing.header["$LUNITS"], drawing.header["$LUPREC"] = 2, 3
        drawing.styles.add(STYLE, font="arial.ttf")
        for name, dashes_m in DASHES_M.items():
            pattern = [d * self.unit * (-1.0 if i % 2 else 1.0) for i, d in enumerate(dashes_m)]
            drawing.linetypes.add(name, [sum(abs(p) for p in pattern), *pattern], description=name.lower())
        for layer in (*POINT_LAYERS.values(), *SHAPE_LAYERS.values(), INFORMATION):
            drawing.layers.add(layer.name, color=layer.colour, linetype=layer.line_type, lineweight=layer.weight)
        self._add_block("STAKE", self._cross_and_circle)
        self._add_block("CONTROL", self._triangle)
        base = self.plan.base
        drawing.set_modelspace_vport(2.2 * self.reach, center=(base.easting + 0.6 * self.reach, base.northing))

    def _add_block(self, name: str, symbol: Any) -> None:
        """A block whose symbol takes the layer of its insert, with the attributes of a point."""
        block = self.drawing.blocks.new(name)
        block.units = self.drawing.units
        symbol(block)
        shape = {"style": STYLE, "height": self.text, "layer": "0"}
        for number, tag in enumerate(SHOWN_TAGS):
            place = (SYMBOL_M * self.unit + GAP_M * self.unit, -number * LINE_SPACING * self.text)
            block.add_attdef(tag, place, dxfattribs=shape | {"prompt": tag.lower()})
        for tag in HIDDEN_TAGS:
            block.add_attdef(tag, (0, 0), dxfattribs=shape | {"prompt": tag.lower(), "flags": 1})

    def _cross_and_circle(self, block: Any) -> None:
        r = SYMBOL_M * self.unit
        block.add_circle((0, 0), 0.7 * r)
        block.add_line((-r, 0), (r, 0))
        block.add_line((0, -r), (0, r))

    def _triangle(self, block: Any) -> None:
        r = SYMBOL_M * self.unit
        corners = [(r * math.cos(math.radians(a)), r * math.sin(math.radians(a))) for a in (90, 210, 330)]
        block.add_lwpolyline(corners, close=True)
        block.add_point((0, 0))

    def draw_shapes(self, lines: tuple[GridLine, ...], circles: tuple[GridCircle, ...]) -> None:
        """Every line once, every circle as four arcs of a closed polyline."""
        drawn = set()
        for line in sorted(lines, key=lambda line: line.kind == "laydown"):  # the laydown lies on top
            if (line.kind, line.end) not in drawn:
                drawn.add((line.kind, line.end))
                self.space.add_line(line.start, line.end, dxfattribs={"layer": SHAPE_LAYERS[line.kind].name})
        for circle in circles:
            (x, y), r = circle.centre, circle.radius
            corners = [(x + r, y), (x, y + r), (x - r, y), (x, y - r)]
            self.space.add_lwpolyline(
                [(*corner, QUARTER_BULGE) for corner in corners],
                format="xyb",
                close=True,
                dxfattribs={"layer": SHAPE_LAYERS[circle.kind].name},
            )

    def draw_points(self, lines: tuple[GridLine, ...], circles: tuple[GridCircle, ...]) -> list[Box]:
        """The points with their attributes, each label in a free place; returns the labels' boxes."""
        points = sorted((*self.plan.stakes, *self.plan.control), key=lambda p: ROLES_FIRST.index(p.role))
        labels = [self._label(point) for point in points]
        segments = [(line.start, line.end) for line in lines]
        rounds = [(circle.centre, circle.radius) for circle in circles]
        places = place_labels(labels, SYMBOL_M * self.unit, GAP_M * self.unit, segments, rounds)
        for point, place in zip(points, places, strict=True):
            self._insert(point, place)
        return [place.box for place in places]

    def _values(self, point: Stake | ControlPoint) -> dict[str, str]:
        """The attributes of a point as text; the height in the drawing's unit."""
        is_blank = point.height_m is None or self.plan.terrain.blank_elevation
        return {
            "NUMBER": one_line(point.point),
            "CODE": one_line(point.code),
            "HEIGHT": "" if is_blank else kept(point.height_m * self.unit, "coordinate"),
            "ID": one_line(point.id),
            "DESCRIPTION": one_line(getattr(point, "description", f"{point.role} point given by the user")),
        }

    def _label(self, point: Stake | ControlPoint) -> Label:
        """The room that a point's label needs; it would best stand on the side away from the base."""
        values = self._values(point)
        texts = [values[tag] for tag in SHOWN_TAGS if values[tag]]
        width = (max(len(text) for text in texts) * LETTER_WIDTH + 2.0 * RIM) * self.text
        height = ((len(texts) - 1) * LINE_SPACING + 1.0 + 2.0 * RIM) * self.text
        base = self.plan.base
        outward = math.atan2(point.northing - base.northing, point.easting - base.easting)
        return Label((point.easting, point.northing), width, height, outward)

    def _insert(self, point: Stake | ControlPoint, place: Place) -> None:
        """One block with its attributes on the layer of its role, and a leader where the label stands off."""
        from ezdxf.enums import TextEntityAlignment

        layer = POINT_LAYERS[point.role].name
        name = "STAKE" if isinstance(point, Stake) else "CONTROL"
        insert = self.space.add_blockref(name, (point.easting, point.northing), dxfattribs={"layer": layer})
        insert.add_auto_attribs(self._values(point))
        # The text leans on the side of its point, so that one sees which point it belongs to.
        is_left = (place.box.left + place.box.right) / 2.0 < point.easting - SYMBOL_M * self.unit
        align = TextEntityAlignment.RIGHT if is_left else TextEntityAlignment.LEFT
        x = place.box.right - RIM * self.text if is_left else place.box.left + RIM * self.text
        y = place.box.top - (1.0 + RIM) * self.text
        for attribute in insert.attribs:
            attribute.dxf.layer = layer
            if attribute.dxf.tag in SHOWN_TAGS and attribute.dxf.text:
                attribute.set_placement((x, y), align=align)
                y -= LINE_SPACING * self.text
        if place.leader is not None:
            self.space.add_line(*place.leader, dxfattribs={"layer": layer, "lineweight": 13, "linetype": "CONTINUOUS"})

    def name_circles(self, lines: tuple[GridLine, ...], circles: tuple[GridCircle, ...], taken: list[Box]) -> None:
        """Each circle's name just outside it, where least is covered; below the base where nothing is in the way."""
        taken = list(taken)
        drawn = Drawn((), tuple((line.start, line.end) for line in lines), tuple((c.centre, c.radius) for c in circles))
        for circle in circles:
            text = one_line(circle.label)
            width = len(text) * LETTER_WIDTH * self.text
            boxes = []
            for angle in sorted(range(0, 360, 3), key=lambda a: (abs(a - 270), a)):
                turn = math.radians(angle)
                edge = (circle.centre[0] + circle.radius * math.cos(turn), circle.centre[1] + circle.radius * math.sin(turn))
                boxes.append(beside(edge, width, self.text, turn, RIM * self.text))
            box = min(boxes, key=lambda b: 10 * sum(b.covers(other) for other in taken) + drawn.lines_under(b))
            taken.append(box)
            self._write(text, box.left, box.bottom, layer=SHAPE_LAYERS[circle.kind].name)

    def write_information(self) -> None:
        """Name, frame, heights and run as text to the right of the layout, and what the layers mean."""
        base, plan = self.plan.base, self.plan
        x, y = base.easting + self.reach, base.northing + self.reach - TITLE_M * self.unit
        self._write(one_line(plan.name), x, y, height=TITLE_M * self.unit)
        y -= 2.0 * TITLE_M * self.unit
        laydown = plan.laydown
        rows = [
            ("Laydown", f"{shown(laydown.azimuth_deg, 'bearing')} true, {shown(laydown.azimuth_grid_deg, 'bearing')} grid"),
            ("Drawing", f"grid north is up; flat, z = 0; heights stand in the attribute HEIGHT; text is read at 1:{PLOT_SCALE}"),
        ]
        for title, text in (*frame_rows(plan, self.unit_words), *rows):
            for line in textwrap.wrap(one_line(f"{title}: {text}"), INFO_WIDTH, subsequent_indent="    "):
                self._write(line, x, y)
                y -= LINE_SPACING * self.text
        y -= self.text
        for layer in SHAPE_LAYERS.values():
            middle = y + self.text / 2.0
            sample = ((x, middle), (x + 10.0 * self.unit, middle))
            self.space.add_line(*sample, dxfattribs={"layer": INFORMATION.name, "color": layer.colour,
                                                     "linetype": layer.line_type, "lineweight": layer.weight})  # fmt: skip
            self._write(layer.name, x + 12.0 * self.unit, y)
            y -= LINE_SPACING * self.text

    def _write(self, text: str, x: float, y: float, *, height: float | None = None, layer: str = INFORMATION.name) -> None:
        shape = {"layer": layer, "style": STYLE, "height": height or self.text, "insert": (x, y)}
        self.space.add_text(text, dxfattribs=shape)
