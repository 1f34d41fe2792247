"""The permit's site map: the drawing with its title block and checklist, then what finds no room beside it; alone or in a packet."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

from siting.records.permit import PermitFacts, PermitGround
from siting.records.plan import Plan
from siting.writers.paper.flow import Flow
from siting.writers.sitemap import tables, title_block
from siting.writers.sitemap.checklist import MISSING, Evidence, checklist, headline
from siting.writers.sitemap.checklist_block import checklist_mm, draw_checklist
from siting.writers.sitemap.columns import Columns, Fixed, draw_page_foot, page_box
from siting.writers.sitemap.drawing import MapDrawing, draw_map
from siting.writers.sitemap.elevation import draw_elevation
from siting.writers.sitemap.georeference import viewport
from siting.writers.sitemap.grid_frame import grid_frame
from siting.writers.sitemap.guy_planes import anchor_table
from siting.writers.sitemap.insets import draw_overview, draw_vicinity
from siting.writers.sitemap.legend import draw_legend, entries, expected_mm, legend_mm
from siting.writers.sitemap.map_sheet import MapSheet
from siting.writers.sitemap.ruled import GAP_MM, Ruled
from siting.writers.sitemap.scale import Scale, choose_scale
from siting.writers.sitemap.scale_foot import FOOT_MM, draw_foot
from siting.writers.sitemap.window import BAND_MM, Window, needed, place_window, room_mm

KIND = "Site map"
LARGE_MM = 350.0  # a paper this wide has room for the tables under the map
COLUMN_MM, LARGE_COLUMN_MM = 92.0, 128.0
STRIP_MOST_MM = 84.0
VICINITY_MM = 92.0


@dataclass
class SiteMap:
    """A site map in the making: the sheet, what it is made from, and how it is shared out."""

    flow: Flow
    facts: PermitFacts
    pages: int  # of the site map alone
    sheet: MapSheet
    scale: Scale
    window: Window
    done: MapDrawing = field(default_factory=MapDrawing)
    title_is_cut: bool = False

    @property
    def plan(self) -> Plan:
        """What it is made from."""
        return self.flow.plan

    @property
    def ground(self) -> PermitGround | None:
        """The land around; None: only the shapes that the plan holds."""
        return self.flow.plan.permit_ground


def sitemap_pdf(plan: Plan, permit: PermitFacts | None = None, ground: PermitGround | None = None) -> bytes:
    """sitemap.pdf: vector, true to scale, fonts embedded, placed on earth; the same bytes for the same plan.

    Args:
        permit: what the applicant says; None: the plan's, or nothing.
        ground: the land around; None: the plan's, or only the shapes that the plan holds.
    """
    plan = replace(plan, permit=permit or plan.permit, permit_ground=ground or plan.permit_ground)
    pages = 1
    for _ in range(3):  # the number of pages stands on the first one
        flow = Flow(plan, KIND, pages, {KIND: pages})
        fill_site_map(flow)
        if flow.sheet.page == pages:
            break
        pages = flow.sheet.page
    return flow.finish()


def fill_site_map(flow: Flow) -> None:
    """The site map from the open page on, which is still empty; every page has a foot of its own. Placed on earth there."""
    plan = flow.plan
    facts, ground = plan.permit or PermitFacts(), plan.permit_ground
    sheet = MapSheet(flow.sheet, facts.paper or plan.paper)
    left, top, right, bottom = page_box(sheet)
    is_large = sheet.width_mm > LARGE_MM
    column_mm = LARGE_COLUMN_MM if is_large else COLUMN_MM
    map_right = right - column_mm - GAP_MM
    stakes = tables.stake_table(sheet, plan, facts, map_right - left)
    frame = grid_frame(plan)
    extent = needed(plan, frame)
    legend_strip = expected_mm(sheet, plan, facts, ground, map_right - left) + GAP_MM
    # The stakes stand under the map where the scale suffers nothing by it, else on the next sheet.
    strips = [min(STRIP_MOST_MM, stakes.height_mm + GAP_MM), legend_strip] if is_large else [legend_strip]
    tried = []
    for strip_mm in strips:
        foot_top = bottom - strip_mm - FOOT_MM
        box = (left + BAND_MM, top + BAND_MM, map_right - BAND_MM, foot_top - BAND_MM)
        tried.append((choose_scale(extent, room_mm(box), facts), foot_top, box))
    scale, foot_top, box = min(tried, key=lambda t: (not t[0].fits, t[0].ratio))
    has_stakes = is_large and foot_top == tried[0][1]
    window = place_window(frame, box, scale.ratio, extent, on_base=not scale.fits)
    made = SiteMap(flow, facts, flow.counts.get(KIND, 1), sheet, scale, window)
    made.done = draw_map(sheet, plan, facts, ground, window)
    draw_foot(sheet, plan, scale, (left, foot_top), map_right - left)
    column = Columns(sheet, [(map_right + GAP_MM, top, right, bottom)])
    strip = Columns(sheet, [(left, foot_top + FOOT_MM + GAP_MM, map_right, bottom)])
    rest = _first_page(made, column, strip, stakes, has_stakes=has_stakes)
    draw_page_foot(sheet, flow, (1, made.pages))
    sheet.note_page("VP", viewport(plan, frame, box, window.corners_m, sheet.height_mm))
    _later_pages(made, rest)
    flow.has_own_foot = True


def _first_page(made: SiteMap, column: Columns, strip: Columns, stakes: Ruled, *, has_stakes: bool) -> list[Any]:
    """Title block at the foot of the column, the state of the checklist at its head; returns what found no room."""
    sheet, plan, facts = made.sheet, made.plan, made.facts
    left, _, right, _ = column.box
    wide = right - left
    items = checklist(_evidence(made))
    missing = [i for i in items if i.state == MISSING]
    said = [headline(items), *tables.verdict_lines(plan)]
    lines = [line for text in said for line in sheet.wrapped(text, wide - 4.0, 11.0, bold=True)]
    y = column.take_head(title_block.status_mm(len(lines)))
    title_block.draw_status(sheet, (left, y), wide, lines, is_dark=bool(missing) or len(said) > 1)
    title = title_block.title_block(sheet, plan, facts, made.scale, made.pages, wide, column.room_mm)
    y = column.take_foot(title.height_mm)
    title_block.draw_head(sheet, plan, (left, y), wide)
    title.rows.draw(sheet, (left, y + title.head_mm))
    title.revisions.draw(sheet, (left, y + title.head_mm + title.rows.height_mm))
    made.title_is_cut = title.is_cut
    rows = entries(plan, facts, made.done)
    rest: list[Any] = [Fixed(lambda w: checklist_mm(sheet, items, w), lambda at, w: draw_checklist(sheet, items, at, w))]
    seal = Fixed(title_block.seal_mm, lambda at, w: title_block.draw_seal(sheet, at, w))
    legend = Fixed(lambda w: legend_mm(sheet, rows, w), lambda at, w: draw_legend(sheet, rows, at, w))
    if not has_stakes:
        if not strip.place(legend) and not column.place(legend):
            rest.insert(0, legend)
        if not column.place(seal, at_foot=True):
            rest.append(seal)
        rest = [item for item in rest if not column.place(item)]
        if stakes.height_mm <= column.room_mm and column.place(stakes):
            return [*rest, *_details(made)]
        return [*rest, stakes, *_details(made)]
    stakes_left = strip.place_beside(stakes, sum(c.width_mm for c in stakes.columns))
    if not strip.place_rest(legend):
        rest.append(legend)
    rest += [] if strip.place_rest(seal, least_mm=50.0) else [seal]
    rest = [item for item in rest if not column.place(item)]
    return [*rest, *([stakes_left] if stakes_left else []), *_details(made)]


def _evidence(made: SiteMap) -> Evidence:
    """What the checklist looks at; whether the vicinity map numbers every side of the lot is tried out on a paper of its own."""
    left, top, right, _ = _page_columns(made.sheet)[0]
    is_whole = draw_vicinity(made.sheet.aside(), made.plan, made.ground, made.window.frame, (left, top, right, top + VICINITY_MM))
    return Evidence(made.plan, made.facts, made.ground, made.scale, is_whole)


def _details(made: SiteMap) -> list[Any]:
    """What stands on the sheets after the map, as it is measured for their columns."""
    sheet, plan, facts, ground = made.sheet, made.plan, made.facts, made.ground
    vicinity = Fixed(
        VICINITY_MM, lambda at, w: draw_vicinity(sheet, plan, ground, made.window.frame, (*at, at[0] + w, at[1] + VICINITY_MM))
    )
    overview = Fixed(
        VICINITY_MM + 20.0, lambda at, w: draw_overview(sheet, plan, facts, ground, made.window, (*at, at[0] + w, at[1] + VICINITY_MM + 20.0))
    )  # fmt: skip
    return [
        vicinity,
        lambda w: anchor_table(sheet, plan, facts, w),
        *([] if made.scale.fits else [overview]),
        *([lambda w: title_block.whole_table(sheet, facts, w)] if made.title_is_cut else []),
        lambda w: tables.distance_table(sheet, plan, ground, facts, w),
        lambda w: tables.check_table(sheet, plan, facts, w),
        lambda w: tables.adjoining_table(sheet, facts, w),
        lambda w: tables.lot_table(sheet, ground, facts, w),
        lambda w: tables.parcel_table(sheet, plan, ground, made.done, w),
        lambda w: tables.source_table(sheet, plan, ground, w, made.scale.why),
    ]


def _later_pages(made: SiteMap, rest: list[Any]) -> None:
    """The further sheets: the mast from the side on one of its own, then everything else in columns."""
    sheet, page = made.sheet, 2
    columns = None
    _begin_page(made, page)
    left, top, right, bottom = page_box(sheet)
    draw_elevation(sheet, made.plan, made.facts, (left, top + title_block.SHORT_MM, right, bottom))
    queue = list(rest)
    while queue:
        if columns is None:
            page += 1
            _begin_page(made, page)
            columns = Columns(sheet, _page_columns(sheet))
        item = queue.pop(0)
        if callable(item) and not isinstance(item, Fixed):
            item = item(columns.width_mm)
        if item is None:
            continue
        left_over = columns.pour(item)
        if left_over is not None:
            queue.insert(0, left_over)
            columns = None


def _begin_page(made: SiteMap, page: int) -> None:
    """Closes the sheet and begins another with its heading and its foot."""
    made.sheet.next_page()
    title_block.draw_short_title(made.sheet, made.plan, made.facts)
    draw_page_foot(made.sheet, made.flow, (page, made.pages))


def _page_columns(sheet: MapSheet) -> list[tuple[float, float, float, float]]:
    left, top, right, bottom = page_box(sheet)
    top += title_block.SHORT_MM
    count = 3 if sheet.width_mm > LARGE_MM else 2
    wide = (right - left - (count - 1) * 2 * GAP_MM) / count
    return [(left + k * (wide + 2 * GAP_MM), top, left + k * (wide + 2 * GAP_MM) + wide, bottom) for k in range(count)]
