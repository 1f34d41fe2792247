"""Fills the columns of a page from the top, or from the foot, and says what is left over."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from siting.writers.paper.canvas import THIN_MM, Point
from siting.writers.paper.flow import Flow
from siting.writers.sitemap.map_sheet import TEXT, Box, MapSheet
from siting.writers.sitemap.ruled import GAP_MM, Ruled

PAGE_FOOT_MM = 5.4
NOT_A_SURVEY = "NOT A BOUNDARY SURVEY; not a permission to build or to lift"


@dataclass(frozen=True, slots=True)
class Fixed:
    """A thing of one height, or of a height by its width (mm), and how it is drawn at a corner with a width."""

    height: float | Callable[[float], float]
    draw: Callable[[Point, float], Any]

    def height_mm(self, width_mm: float) -> float:
        """Its height at this width, mm."""
        return self.height(width_mm) if callable(self.height) else self.height


class Columns:
    """Columns being filled; `box` is what is left of the one in hand, mm."""

    def __init__(self, sheet: MapSheet, boxes: Sequence[Box]) -> None:
        self.sheet = sheet
        self.box, self._more = boxes[0], list(boxes[1:])

    @property
    def width_mm(self) -> float:
        """Width of the column in hand, mm."""
        return self.box[2] - self.box[0]

    @property
    def room_mm(self) -> float:
        """Height that is left of the column in hand, mm."""
        return self.box[3] - self.box[1]

    def take_head(self, height_mm: float) -> float:
        """Takes a height off the column's head; returns its upper edge, mm."""
        y = self.box[1]
        self.box = (self.box[0], y + height_mm + GAP_MM, self.box[2], self.box[3])
        return y

    def take_foot(self, height_mm: float) -> float:
        """Takes a height off the column's foot; returns its upper edge, mm."""
        y = self.box[3] - height_mm
        self.box = (self.box[0], self.box[1], self.box[2], y - GAP_MM)
        return y

    def place(self, item: Fixed | Ruled, *, at_foot: bool = False) -> bool:
        """Draws a thing whole, or not at all."""
        high = item.height_mm(self.width_mm) if isinstance(item, Fixed) else item.height_mm
        if high > self.room_mm + 1e-6:
            return False
        y = self.take_foot(high) if at_foot else self.take_head(high)
        self._draw(item, (self.box[0], y))
        return True

    def place_beside(self, table: Ruled, width_mm: float) -> Ruled | None:
        """Draws what fits of a table at the left, and keeps what is right of it; returns the rest of the table."""
        first, rest = table.split(self.room_mm)
        if first is not None:
            first.draw(self.sheet, (self.box[0], self.box[1]))
            self.box = (self.box[0] + width_mm + 2 * GAP_MM, *self.box[1:])
        return rest

    def place_rest(self, item: Fixed, least_mm: float = 40.0) -> bool:
        """Draws a thing at the left of what is left, as narrow as its height allows, if there is room."""
        wide = least_mm
        while wide <= self.width_mm + 1e-6:
            if item.height_mm(wide) <= self.room_mm:
                item.draw((self.box[0], self.box[1]), wide)
                self.box = (self.box[0] + wide + 2 * GAP_MM, *self.box[1:])
                return True
            wide += 2.0
        return False

    def pour(self, item: Fixed | Ruled) -> Fixed | Ruled | None:
        """Draws a thing in this column or the next, a table going on over them; returns what needs another page."""
        while True:
            if isinstance(item, Fixed):
                if self.place(item):
                    return None
            else:
                first, rest = item.split(self.room_mm)
                if first is not None:
                    self._draw(first, (self.box[0], self.take_head(first.height_mm)))
                if rest is None:
                    return None
                item = rest
            if not self._more:
                return item
            self.box = self._more.pop(0)

    def _draw(self, item: Fixed | Ruled, at: Point) -> None:
        if isinstance(item, Fixed):
            item.draw(at, self.width_mm)
        else:
            item.draw(self.sheet, at)


def page_box(sheet: MapSheet) -> Box:
    """What the border of a page leaves, mm."""
    pad = 2.0
    return sheet.left + pad, sheet.top + pad, sheet.right - pad, sheet.bottom - PAGE_FOOT_MM - 1.2


def draw_page_foot(sheet: MapSheet, flow: Flow, page: tuple[int, int]) -> None:
    """Border of the page, and its foot: run, what the map is not, number of the sheet and of the packet's page."""
    sheet.box((sheet.left, sheet.top), (sheet.right - sheet.left, sheet.bottom - sheet.top), 0.6)
    y = sheet.bottom - PAGE_FOOT_MM
    sheet.line((sheet.left, y), (sheet.right, y), THIN_MM)
    made = flow.plan.provenance
    sheet.text((sheet.left + 2.0, y + 3.8), f"Run {made.run_id} · siting {made.version}", TEXT)
    sheet.text(((sheet.left + sheet.right) / 2, y + 3.8), NOT_A_SURVEY, TEXT, bold=True, align="middle")
    in_packet = f" · page {sheet.page} of {flow.pages}" if flow.first_page > 1 else ""
    sheet.text((sheet.right - 2.0, y + 3.8), f"sheet {page[0]} of {page[1]}{in_packet}", TEXT, align="right")
