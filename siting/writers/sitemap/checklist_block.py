"""The checklist as it stands on the sheet: a box before each item, ticked where it is drawn or given, empty where it is missing."""

from __future__ import annotations

from siting.writers.paper.canvas import Point
from siting.writers.paper.language import Said
from siting.writers.sitemap.checklist import DRAWN, GIVEN, MISSING, WRITTEN, Item
from siting.writers.sitemap.map_sheet import HEADING, LINE_MM, TEXT, MapSheet

TITLE = "What permit offices ask for; no two ask for the same"
TITLE_MM, BOX_MM, TEXT_LEFT_MM, PAD_MM = 6.4, 2.4, 4.6, 0.55
LEAST_COLUMN_MM = 58.0
Cell = tuple[Item, list[str], list[str]]  # the item, its title on lines, what is said of it on lines


def _cells(sheet: MapSheet, items: tuple[Item, ...], width_mm: float) -> list[list[Cell]]:
    """The items in columns of even height."""
    count = max(1, int(width_mm // LEAST_COLUMN_MM))
    room = width_mm / count - TEXT_LEFT_MM - 1.5
    cells = []
    for item in items:
        said = "" if item.words in (DRAWN, WRITTEN) else f"given: {item.words}" if item.state == GIVEN else item.words
        bold = item.state == MISSING
        title = Said(f"{item.number} {sheet.say(item.title)}")
        together = Said(f"{title}: {sheet.say(said)}") if said else title
        if sheet.text_mm(together, TEXT, bold=bold) <= room:
            cells.append((item, [together], []))
        else:
            lines = sheet.wrapped(title, room, TEXT, bold=bold)
            cells.append((item, lines, sheet.wrapped(said, room, TEXT, bold=bold) if said else []))
    whole = sum(_cell_mm(c) for c in cells)
    columns: list[list[Cell]] = [[]]
    used = 0.0
    for cell in cells:
        if used + _cell_mm(cell) / 2 > whole / count and len(columns) < count:
            columns.append([])
            used = 0.0
        columns[-1].append(cell)
        used += _cell_mm(cell)
    return columns


def _cell_mm(cell: Cell) -> float:
    return (len(cell[1]) + len(cell[2])) * LINE_MM + PAD_MM


def checklist_mm(sheet: MapSheet, items: tuple[Item, ...], width_mm: float) -> float:
    """Height of the checklist at this width, mm."""
    return TITLE_MM + max(sum(_cell_mm(c) for c in column) for column in _cells(sheet, items, width_mm)) + 0.8


def draw_checklist(sheet: MapSheet, items: tuple[Item, ...], at: Point, width_mm: float) -> None:
    """Draws it; what is missing in bold, with its word."""
    title, size = sheet.fitted(TITLE, width_mm, HEADING, TEXT, bold=True)
    sheet.text((at[0], at[1] + 3.7), title, size, bold=True)
    sheet.line((at[0], at[1] + 5.2), (at[0] + width_mm, at[1] + 5.2), 0.4)
    columns = _cells(sheet, items, width_mm)
    for number, column in enumerate(columns):
        x, y = at[0] + number * width_mm / len(columns), at[1] + TITLE_MM
        for cell in column:
            item, title_lines, said = cell
            _draw_box(sheet, (x + 0.6, y + 0.35), is_ticked=item.state != MISSING)
            for k, line in enumerate((*title_lines, *said)):
                sheet.text((x + TEXT_LEFT_MM, y + 2.6 + k * LINE_MM), line, TEXT, bold=item.state == MISSING)
            y += _cell_mm(cell)


def _draw_box(sheet: MapSheet, at: Point, *, is_ticked: bool) -> None:
    sheet.box(at, (BOX_MM, BOX_MM), 0.3)
    if is_ticked:
        x, y = at
        sheet.path([(x + 0.45, y + 1.2), (x + 1.0, y + 1.85), (x + 2.0, y + 0.5)], 0.35)
