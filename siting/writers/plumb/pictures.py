"""The pictures of the plumb sheet side by side: the lean of each level from above, and the mast from two sides."""

from __future__ import annotations

from siting.figures import shown
from siting.writers.paper.canvas import BOLD_LINE_MM, THIN_MM
from siting.writers.paper.flow import COLUMN_GAP_MM, GAP_MM
from siting.writers.plumb.elevations import draw_elevations
from siting.writers.plumb.flow import PlumbFlow
from siting.writers.plumb.targets import draw_targets

LEAST_MM, MOST_MM, TITLE_MM, LEGEND_MM = 112.0, 196.0, 5.2, 12.5
TARGET_PART = 0.5  # of the width
TITLE_SIZE, LEGEND_SIZE = 9.0, 8.0


def fill_pictures(flow: PlumbFlow) -> None:
    """Both pictures on what is left of the page, on a new one where that is too little; none where no lean was read."""
    report = flow.plumb.report
    if report is None:
        return
    if flow.end - flow.y < LEAST_MM:
        flow.turn()
    height_mm = min(MOST_MM, flow.end - flow.y - 0.5)
    sheet, y = flow.sheet, flow.y
    left_mm = (flow.width_mm - COLUMN_GAP_MM) * TARGET_PART
    boxes = (
        (flow.left, y + TITLE_MM, flow.left + left_mm, y + height_mm - LEGEND_MM),
        (flow.left + left_mm + COLUMN_GAP_MM, y + TITLE_MM, sheet.right, y + height_mm - LEGEND_MM),
    )
    scale = draw_targets(sheet, boxes[0], flow.plan, flow.plumb)
    factor = draw_elevations(sheet, boxes[1], flow.plumb)
    titles = (f"From above, lean to a scale of 1:{scale:g}", f"From the side, sideways {factor:g} times the height's scale")
    for box, text in zip(boxes, titles, strict=True):
        text, size = sheet.fitted(text, box[2] - box[0], TITLE_SIZE, 7.0, bold=True)
        sheet.text((box[0], y + 3.6), text, size, bold=True)
    _legend(flow, y + height_mm - LEGEND_MM + 1.0)
    flow.y += height_mm + GAP_MM


def _legend(flow: PlumbFlow, y: float) -> None:
    """The signs in words, on two lines, and which way is up."""
    sheet, x = flow.sheet, flow.left
    sheet.line((x, y + 2.2), (x + 6.0, y + 2.2), 0.7)
    sheet.circle((x + 6.0, y + 2.2), 1.1, 0.0, 0.0)
    x = _word(flow, (x + 8.6, y + 3.2), "as read")
    sheet.circle((x + 2.4, y + 2.2), 1.9, BOLD_LINE_MM)
    sheet.line((x + 6.0, y + 2.2), (x + 12.0, y + 2.2), 0.35, (1.6, 0.9))
    x = _word(flow, (x + 13.6, y + 3.2), "limit")
    if flow.plumb.correction is not None:
        sheet.box((x, y + 0.6), (6.0, 3.2), THIN_MM, 0.72)
        x = _word(flow, (x + 7.6, y + 3.2), "after the last step, by calculation: within this, whichever way")
    azimuth = shown(flow.plumb.azimuth_deg, "bearing")
    text = f"From above, up is where the head lay: {azimuth} true, bearing 0° of this sheet; bearings run clockwise from there."
    text, size = sheet.fitted(text, flow.width_mm, LEGEND_SIZE, 6.0)
    sheet.text((flow.left, y + 8.2), text, size)


def _word(flow: PlumbFlow, at: tuple[float, float], text: str) -> float:
    flow.sheet.text(at, text, LEGEND_SIZE)
    return at[0] + flow.sheet.text_mm(text, LEGEND_SIZE) + 5.0
