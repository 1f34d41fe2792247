"""The frame of the plumb sheet: its headings, and the foot with the run of the readings and of the plan on every page."""

from __future__ import annotations

from siting.figures import shown
from siting.records.plan import Plan
from siting.records.plumb_sheet import PlumbSheet
from siting.writers.paper.canvas import POINTS_PER_MM, THIN_MM, Sheet
from siting.writers.paper.flow import GAP_MM, Flow
from siting.writers.paper.plan_names import is_cited, speaker_of
from siting.writers.paper.table import fit_lines

KIND = "Plumb sheet"
FOOT = "A calculation from readings, and no permission to work on a mast."
HEAD_MM, SHORT_HEAD_MM, NAME_STEP_MM, LEAST_NAME = 18.4, 9.8, 3.2, 12.0


class PlumbFlow(Flow):
    """A plumb sheet being filled."""

    def __init__(self, plumb: PlumbSheet, plan: Plan, pages: int) -> None:
        super().__init__(plan, KIND, pages)
        self.plumb = plumb
        runs = f"Run {plumb.run_id}, of plan run {plumb.plan_run_id}"
        # The plan's run comes first, as in every sheet: by it the sheet is known to belong to the plan.
        keywords = f"run {plumb.plan_run_id} readings {plumb.run_id}"
        self.sheet = Sheet(plan.paper, f"{KIND}: {plumb.name}", runs, f"siting {plumb.version}", keywords, speaker_of(plan, _names(plumb)))
        self.y = self._first_heading()

    def _first_heading(self) -> float:
        """Site, mast, both runs; returns the y below, mm."""
        sheet, plumb, left, right, y = self.sheet, self.plumb, self.left, self.sheet.right, self.sheet.top
        sheet.line((left, y), (right, y), 0.9)
        sheet.text((left, y + 4.2), KIND.upper(), 8.0, bold=True)
        sheet.text((right, y + 4.2), f"page {sheet.page} of {self.pages}", 8.0, align="right")
        runs = (f"Run {plumb.run_id}", f"Plan run {plumb.plan_run_id}")
        for number, text in enumerate(runs):
            sheet.text((right, y + 9.0 + 4.6 * number), text, 11.0, bold=True, align="right")
        room_mm = right - left - max(sheet.text_mm(text, 11.0, bold=True) for text in runs) - 5.0
        if sheet.text_mm(plumb.name, LEAST_NAME, bold=True) <= room_mm:
            name, size = sheet.fitted(plumb.name, room_mm, 19.0, LEAST_NAME, bold=True)
            sheet.text((left, y + 11.0), name, size, bold=True)
        else:  # a long name: better on two lines than cut
            lines, size = fit_lines(sheet, plumb.name, room_mm, LEAST_NAME, bold=True)
            for number, line in enumerate(lines):
                sheet.text((left, y + 9.0 + number * size * 1.08 / POINTS_PER_MM), line, size, bold=True)
            y += NAME_STEP_MM
        mast, day = self.plan.mast, "temperature not read"
        if plumb.temperature_c is not None:
            day = f"read at {shown(plumb.temperature_c, 'celsius')}"
        text = f"{mast.name}, {shown(mast.height_m, 'length')} from the hinge · {day} · siting {plumb.version}"
        text, size = sheet.fitted(text, room_mm, 9.0, 6.0)
        sheet.text((left, y + 15.6), text, size)
        sheet.line((left, y + HEAD_MM - 0.6), (right, y + HEAD_MM - 0.6), THIN_MM)
        return y + HEAD_MM + 0.8

    def _foot(self) -> None:
        sheet, plumb, y = self.sheet, self.plumb, self.sheet.bottom
        sheet.line((sheet.left, y - 3.8), (sheet.right, y - 3.8), THIN_MM)
        run, page = f"Run {plumb.run_id} · plan run {plumb.plan_run_id}", f"page {sheet.page} of {self.pages}"
        sheet.text((sheet.left, y - 0.8), run, 7.0)
        sheet.text((sheet.right, y - 0.8), page, 7.0, align="right")
        middle = (sheet.left + sheet.text_mm(run, 7.0) + sheet.right - sheet.text_mm(page, 7.0)) / 2
        sheet.text((middle, y - 0.8), FOOT, 7.0, align="middle")

    def turn(self) -> None:
        """Closes the page and begins the next one with its short heading."""
        self._foot()
        sheet, plumb, left, right = self.sheet, self.plumb, self.left, self.sheet.right
        sheet.next_page()
        y = sheet.top
        sheet.line((left, y), (right, y), 0.9)
        sheet.text((left, y + 4.2), f"{KIND}, continued".upper(), 8.0, bold=True)
        sheet.text((right, y + 4.2), f"page {sheet.page} of {self.pages}", 8.0, align="right")
        runs = f"Run {plumb.run_id} · plan run {plumb.plan_run_id}"
        sheet.text((right, y + 8.0), runs, 8.0, align="right")
        name, size = sheet.fitted(plumb.name, right - left - sheet.text_mm(runs, 8.0) - 5.0, 11.0, 6.0, bold=True)
        sheet.text((left, y + 8.2), name, size, bold=True)
        sheet.line((left, y + SHORT_HEAD_MM), (right, y + SHORT_HEAD_MM), THIN_MM)
        self.y = y + SHORT_HEAD_MM + GAP_MM

    def finish(self) -> bytes:
        """Closes the last page; the whole PDF."""
        self._foot()
        return self.sheet.finish()


def _names(plumb: PlumbSheet) -> tuple[str, ...]:
    """What the sheet takes over as it was written: runs, files, the form's own words, cited limits."""
    said = tuple(part for text in plumb.said for part in (text.partition(": ")[2],))
    files = tuple(text for file in plumb.inputs for text in (file.path, file.sha256))
    sources = tuple(check.source for check in plumb.report.checks if is_cited(check.source)) if plumb.report else ()
    return (plumb.name, plumb.run_id, plumb.plan_run_id, *said, *files, *sources)
