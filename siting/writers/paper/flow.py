"""Fills the pages of a sheet from the top down: tables that go on over the page, paragraphs, room for remarks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from siting.records.plan import Plan
from siting.writers.paper.canvas import HAIR_MM, POINTS_PER_MM, THIN_MM, Sheet
from siting.writers.paper.frame import FOOT_MM, draw_foot, draw_short_title, new_sheet
from siting.writers.paper.language import CONTINUED, Said
from siting.writers.paper.table import PAD_MM, Table, draw_table

GAP_MM, TITLE_MM = 2.5, 4.6
TITLE_SIZE, TEXT_SIZE = 9.0, 8.0
LEAST_ROWS = 3  # fewer rows of a table are not begun at the foot of a page
COLUMN_GAP_MM = 5.0
REMARKS_MM, REMARK_LINE_MM = 16.0, 7.5


class Flow:
    """A sheet being filled: `y` is how far down the page it is, mm.

    `counts` has the pages of each sheet by its name, as an earlier filling found them.
    """

    def __init__(self, plan: Plan, kind: str, pages: int, counts: Mapping[str, int] = MappingProxyType({})) -> None:
        self.plan, self.kind, self.pages, self.counts = plan, kind, pages, counts
        self.sheet: Sheet = new_sheet(plan, kind)
        self.y = self.sheet.top
        self.first_page = 1  # on which this sheet begins: a packet holds several
        self.has_own_foot = False  # of the open page: it is drawn already
        self.left, self.width_mm = self.sheet.left, self.sheet.right - self.sheet.left
        self.half_mm = (self.width_mm - COLUMN_GAP_MM) / 2  # one of two columns
        self.end = self.sheet.bottom - FOOT_MM

    def begin(self, kind: str) -> None:
        """Closes the page and begins another sheet of this packet on the next one, without a heading yet."""
        self._close()
        self.sheet.next_page()
        self.kind, self.first_page, self.y = kind, self.sheet.page, self.sheet.top

    def turn(self) -> None:
        """Closes the page and begins the next one with its short heading."""
        self._close()
        self.sheet.next_page()
        self.y = draw_short_title(self.sheet, self.plan, self.kind, self.pages) + GAP_MM

    def finish(self) -> bytes:
        """Closes the last page; the whole PDF."""
        self._close()
        return self.sheet.finish()

    def _close(self) -> None:
        """The foot of the open page, where it has none of its own."""
        if not self.has_own_foot:
            draw_foot(self.sheet, self.plan, self.pages)
        self.has_own_foot = False

    def need(self, height_mm: float) -> None:
        """Turns the page where this much does not fit any more."""
        if self.y + height_mm > self.end:
            self.turn()

    def title(self, text: str) -> None:
        """A heading over what follows."""
        text, size = self.sheet.fitted(text, self.width_mm, TITLE_SIZE, 6.0, bold=True)
        self.sheet.text((self.left, self.y + TITLE_MM - 1.5), text, size, bold=True)
        self.y += TITLE_MM

    def table(self, title: str, table: Table) -> None:
        """A table under its heading, going on over the page where it must."""
        done, count = 0, len(table.rows)
        while done < count:
            least = min(LEAST_ROWS, count - done)
            self.need(TITLE_MM + table.part(0, least).height_mm)
            fits = int((self.end - self.y - TITLE_MM - table.head_mm + 1e-6) // table.row_mm)
            self.title(title if done == 0 else f"{title}, continued")
            self.y = draw_table(self.sheet, (self.left, self.y), table.part(done, done + fits)) + GAP_MM
            done += fits

    def table_in_columns(self, title: str, table: Table) -> None:
        """A narrow table under its heading in two columns beside each other, of even length where they end here."""
        rows, is_first, heading = table.rows, True, ""
        while rows:
            self.need(TITLE_MM + table.part(0, min(LEAST_ROWS, len(rows))).height_mm)
            fits = int((self.end - self.y - TITLE_MM - table.head_mm + 1e-6) // table.row_mm)
            tall = min(fits, -(-len(rows) // 2) + 1)
            if len(rows) <= LEAST_ROWS + 2 and len(rows) <= fits:
                tall = len(rows)
            self.title(title if is_first else f"{title}, continued")
            top, lowest = self.y, self.y
            for column in range(2):
                goes_on = bool(rows) and len(rows[0]) > 1 and bool(heading)
                taken = _without_last_heading(rows[: tall - goes_on], is_whole=len(rows) <= tall - goes_on)
                rows = rows[len(taken) :]
                shown = ((Said(f"{self.sheet.say(heading)}{self.sheet.say(CONTINUED)}"),), *taken) if goes_on else taken
                heading = next((row[0] for row in reversed(taken) if len(row) == 1), heading)
                if shown:
                    left = self.left + column * (table.width_mm + COLUMN_GAP_MM)
                    lowest = max(lowest, draw_table(self.sheet, (left, top), replace(table, rows=shown)))
            self.y, is_first = lowest + GAP_MM, False

    def lines(self, title: str, texts: tuple[str, ...]) -> None:
        """Sentences under a heading, each on lines of its own."""
        step_mm = TEXT_SIZE * 1.22 / POINTS_PER_MM
        blocks = [self.sheet.wrapped(text, self.width_mm - 4.0, TEXT_SIZE) for text in texts if text]
        if not blocks:
            return
        self.need(TITLE_MM + step_mm * len(blocks[0]) + 1.0)
        self.title(title)
        for block in blocks:
            self.need(step_mm * len(block) + 0.6)
            self.sheet.text((self.left, self.y + step_mm * 0.8), "–", TEXT_SIZE)
            for line in block:
                self.sheet.text((self.left + 3.0, self.y + step_mm * 0.8), line, TEXT_SIZE)
                self.y += step_mm
            self.y += 0.6
        self.y += GAP_MM - 0.6

    def remarks(self) -> None:
        """What is left of the page as a ruled box to write in; nothing where too little is left."""
        if self.end - self.y < REMARKS_MM:
            return
        height_mm = self.end - self.y - 1.0
        self.sheet.box((self.left, self.y), (self.width_mm, height_mm), THIN_MM)
        self.sheet.text((self.left + PAD_MM, self.y + 2.8), "Remarks", 6.0, ink=0.25)
        line = self.y + 2.0 + REMARK_LINE_MM
        while line < self.y + height_mm - 2.0:
            self.sheet.line((self.left + 3.0, line), (self.sheet.right - 3.0, line), HAIR_MM, ink=0.5)
            line += REMARK_LINE_MM
        self.y = self.end


def _without_last_heading(rows: tuple[tuple[str, ...], ...], *, is_whole: bool) -> tuple[tuple[str, ...], ...]:
    """The rows without a heading at their foot: it goes with the rows that it stands over."""
    return rows[:-1] if rows and len(rows[-1]) == 1 and not is_whole and len(rows) > 1 else rows
