"""The tables of the stake-out sheet: stakes, offset stakes, control points, check ties, as texts of the Plan."""

from __future__ import annotations

from siting.figures import shown
from siting.records.plan import Plan, Stake
from siting.records.survey import ControlPoint, Tie
from siting.writers.map_words import VERDICT_WORDS
from siting.writers.sheet_canvas import POINTS_PER_MM, Sheet
from siting.writers.sheet_table import PAD_MM, Column, Table, number_width_mm

SIZES = (12.0, 11.5, 11.0, 10.5, 10.0, 9.5, 9.0)
LONGEST_WORDS = 30  # of the offset stakes' names beside their anchor
LINE_EM = 1.2  # least height of a row in the em of its numbers
MARK_MM, NUMBER_MM, AIR_MM = 5.0, 6.5, 0.7
LONGEST_POINT_MM, LEAST_ROLE_MM, MOST_ROLE_MM = 32.0, 24.0, 36.0
WRITE_MM = (13.0, 13.0, 9.5)  # staked, miss, by: the least
OFFSET_ROW_MM, TIE_ROW_MM, CONTROL_ROW_MM, BLANK_ROW_MM = 4.8, 3.7, 4.6, 5.0
BLANK_CONTROL_ROWS = 3
ROLE_WORDS = {
    "base": "base plate centre",
    "head": "mast head, lying",
    "permanent": "permanent anchor",
    "temporary": "anchor for the lift",
    "winch": "winch anchor",
}
TIE_WORDS = {"base": "From the base", "diagonal": "Across", "neighbour": "Round the anchors", "feature": "To features"}


def main_stakes(plan: Plan) -> tuple[Stake, ...]:
    """Every stake but the offset stakes, in the plan's order."""
    return tuple(s for s in plan.stakes if s.role != "offset")


def offset_stakes(plan: Plan) -> tuple[Stake, ...]:
    """The offset stakes, in the plan's order."""
    return tuple(s for s in plan.stakes if s.role == "offset")


def _metres(value: float | None) -> str:
    return shown(value, "coordinate", unit=False)


def _degrees(value: float) -> str:
    return shown(value, "bearing", unit=False)


def _height(plan: Plan, point: Stake | ControlPoint) -> str:
    is_left_out = plan.terrain.blank_elevation and isinstance(point, Stake)
    return "–" if is_left_out else _metres(point.height_m)


def _role(plan: Plan, stake: Stake) -> str:
    """Role, id where the point's name does not tell it, a verdict that is not a pass, and the offset stakes."""
    words = ROLE_WORDS[stake.role]
    if stake.verdict in ("fail", "marginal"):
        words = f"{VERDICT_WORDS[stake.verdict].upper()}: {words}"
    if stake.point != stake.id:
        words += f", {stake.id}"
    own = [o.point for o in offset_stakes(plan) if o.id.rpartition("-")[0] == stake.id]
    if own:
        words += "\noffsets " + (", ".join(own) if len(own) <= 2 else f"{own[0]} to {own[-1]}")
        first, _, last = words.partition("\n")
        words = f"{first}\n{last if len(last) <= LONGEST_WORDS else f'{len(own)} offset stakes'}"
    return words


def stake_table(sheet: Sheet, plan: Plan, width_mm: float, row_mm: float, *, numbered: bool) -> Table:
    """The table of all stakes but the offset stakes, in the largest type for which the paper has room."""
    table = _stake_table(sheet, plan, width_mm, row_mm, SIZES[-1], numbered)
    for size in SIZES[:-1]:
        if row_mm < LINE_EM * size / POINTS_PER_MM:
            continue
        larger = _stake_table(sheet, plan, width_mm, row_mm, size, numbered)
        role_mm = next(c.width_mm for c in larger.columns if c.is_words)
        if role_mm >= _role_mm(sheet, plan):
            return larger
    return table


def _role_mm(sheet: Sheet, plan: Plan) -> float:
    """The width at which the longest role stands on two lines of small type."""
    lines = [line for s in main_stakes(plan) for line in _role(plan, s).split("\n")]
    return min(MOST_ROLE_MM, max(LEAST_ROLE_MM, max(sheet.text_mm(line, 6.5) for line in lines) + 2 * PAD_MM))


def _stake_table(sheet: Sheet, plan: Plan, width_mm: float, row_mm: float, size: float, numbered: bool) -> Table:
    stakes = main_stakes(plan)
    rows = []
    for number, s in enumerate(stakes, 1):
        is_base = s.role == "base"
        rows.append(
            (
                str(number) if numbered else "", s.point, _role(plan, s), _metres(s.northing), _metres(s.easting),
                _height(plan, s), "–" if is_base else _degrees(s.azimuth_deg),
                "–" if is_base else _degrees(s.azimuth_grid_deg), _metres(s.radius_m), "", "", "",
            )
        )  # fmt: skip
    widths = [number_width_mm(sheet, [r[k] for r in rows], size) + AIR_MM for k in range(3, 9)]
    widths[2] = max(widths[2], sheet.text_mm("m, not for grade", 6.5) + 2 * PAD_MM + AIR_MM)
    point_mm = min(LONGEST_POINT_MM, number_width_mm(sheet, [r[1] for r in rows], size, bold=True))
    mark_mm = MARK_MM + (NUMBER_MM if numbered else 0.0)
    free_mm = width_mm - sum(widths) - point_mm - mark_mm - sum(WRITE_MM)
    role_mm = min(free_mm, _role_mm(sheet, plan))
    more_mm = max(0.0, free_mm - role_mm) / len(WRITE_MM)
    unit = plan.crs.unit
    columns = (
        Column("No." if numbered else "", "", mark_mm, "left"),
        Column("Point", "", point_mm, "left", is_bold=True),
        Column("Role and offset stakes", "", role_mm, "left", is_words=True),
        Column("Northing", unit, widths[0]),
        Column("Easting", unit, widths[1]),
        Column("DEM height", "m, not for grade", widths[2]),
        Column("True az.", "degrees", widths[3], group="From the base"),
        Column("Grid az.", "degrees", widths[4], group="From the base"),
        Column("Ground", "m, level", widths[5], group="From the base"),
        Column("Staked", "", WRITE_MM[0] + more_mm, group="To write in", is_blank=True),
        Column("Miss", "m", WRITE_MM[1] + more_mm, group="To write in", is_blank=True),
        Column("By", "", WRITE_MM[2] + more_mm, group="To write in", is_blank=True),
    )
    return Table(columns, tuple(rows), row_mm, size)


def _where(stake: Stake) -> str:
    """Where an offset stake stands, in the plan's words; the table's heading says from where right and left are seen."""
    words = stake.description.partition(";")[0].removeprefix(f"{stake.id} ")
    return words.removeprefix("offset ").removesuffix(" seen from the base")


def offset_table(sheet: Sheet, plan: Plan, width_mm: float) -> Table:
    """The compact table of the offset stakes."""
    size = 9.0
    rows = [
        (
            s.point, _where(s), _metres(s.northing), _metres(s.easting), _height(plan, s), _degrees(s.azimuth_deg), _degrees(s.azimuth_grid_deg), _metres(s.radius_m),
            "", "",
        )
        for s in offset_stakes(plan)
    ]  # fmt: skip
    widths = [number_width_mm(sheet, [r[k] for r in rows], size) for k in range(2, 8)]
    point_mm = min(26.0, number_width_mm(sheet, [r[0] for r in rows], size, bold=True))
    write_mm = (13.0, 11.0)
    unit = plan.crs.unit
    columns = (
        Column("Offset", "", point_mm, "left", is_bold=True),
        Column("Where", "", width_mm - sum(widths) - point_mm - sum(write_mm), "left", is_words=True),
        Column("Northing", unit, widths[0]),
        Column("Easting", unit, widths[1]),
        Column("DEM height", "m", widths[2]),
        Column("True az.", "degrees", widths[3], group="From the base"),
        Column("Grid az.", "degrees", widths[4], group="From the base"),
        Column("Ground", "m, level", widths[5], group="From the base"),
        Column("Staked", "", write_mm[0], is_blank=True),
        Column("Miss", "m", write_mm[1], is_blank=True),
    )
    return Table(columns, tuple(rows), OFFSET_ROW_MM, size)


def control_table(sheet: Sheet, plan: Plan, width_mm: float) -> Table:
    """The user's control points and features with room for the check shot; empty rows where none is given."""
    size = 8.0
    if not plan.control:
        each = (width_mm - 17.0) / 4
        heads = (("Control", ""), ("Northing", plan.crs.unit), ("Easting", plan.crs.unit), ("Height", "m"))
        columns = [Column(title, unit, each, is_blank=True) for title, unit in heads]
        columns.append(Column("Check shot", "miss, m", 17.0, is_blank=True))
        return Table(tuple(columns), (("",) * 5,) * BLANK_CONTROL_ROWS, BLANK_ROW_MM, size)
    rows = [(c.point, _metres(c.northing), _metres(c.easting), _height(plan, c), "") for c in plan.control]
    widths = [number_width_mm(sheet, [r[k] for r in rows], size) for k in range(1, 4)]
    write_mm = 15.0
    point_mm = width_mm - sum(widths) - write_mm
    columns = (
        Column("Control, feature", "", point_mm, "left", is_bold=True),
        Column("Northing", plan.crs.unit, widths[0]),
        Column("Easting", plan.crs.unit, widths[1]),
        Column("Height", "m, as given", widths[2]),
        Column("Check shot", "miss, m", write_mm, is_blank=True),
    )
    return Table(columns, tuple(rows), CONTROL_ROW_MM, size)


def tie_groups(plan: Plan) -> dict[str, tuple[Tie, ...]]:
    """The ties by kind, in the order in which they are worth the room; kinds without a tie are left out."""
    groups = {kind: tuple(t for t in plan.ties if t.kind == kind) for kind in TIE_WORDS}
    return {kind: ties for kind, ties in groups.items() if ties}


def tie_table(plan: Plan, kinds: tuple[str, ...], width_mm: float, *, numbered: bool) -> Table:
    """The ties of these kinds with a heading above each kind, and a column for what was measured."""
    names: dict[str, str] = {c.id: c.point for c in plan.control} | {s.id: s.point for s in plan.stakes}
    if numbered:
        names |= {s.id: f"No. {number}" for number, s in enumerate(main_stakes(plan), 1)}
    rows: list[tuple[str, ...]] = []
    for kind, ties in tie_groups(plan).items():
        if kind in kinds:
            rows.append((TIE_WORDS[kind],))
            for t in ties:
                name = f"{names.get(t.start, t.start)} – {names.get(t.end, t.end)}"
                rows.append((name, _metres(t.ground_m), _metres(t.grid_m), _metres(t.slope_distance_m), ""))
    each, write_mm = 12.4, 15.0
    columns = (
        Column("Check tie", "", width_mm - 3 * each - write_mm, "left"),
        Column("Ground", "m, level", each),
        Column("Grid", "m", each),
        Column("Slope", "m, tape", each),
        Column("Measured", "m", write_mm, is_blank=True),
    )
    return Table(columns, tuple(rows), TIE_ROW_MM, 8.0)
