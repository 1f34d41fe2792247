"""The tables of the stake-out sheet: stakes, offset stakes, control points, check ties, as texts of the Plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from siting.figures import shown
from siting.records.plan import Plan, Stake
from siting.records.survey import ControlPoint, Tie
from siting.writers.map.words import VERDICT_WORDS
from siting.writers.paper.canvas import POINTS_PER_MM, Sheet
from siting.writers.paper.table import MARK_MM, PAD_MM, Column, Table, column_mm

SIZES = (12.0, 11.5, 11.0, 10.5, 10.0, 9.5, 9.0)
LINE_EM = 1.2  # least height of a row in the em of its numbers
TWO_LINES_MM = 5.0  # a lower row names the role only
NUMBER_MM, AIR_MM = 5.0, 0.7
LONGEST_POINT_MM, LEAST_ROLE_MM, MOST_ROLE_MM = 29.0, 24.0, 36.0
LONGEST_WORDS = 30  # of the offset stakes' names beside their anchor
WRITE_MM = (12.5, 12.5, 9.0)  # staked, miss, by: the least
OFFSET_SIZE, SMALL_SIZE = 9.0, 8.0
OFFSET_ROW_MM, TIE_ROW_MM, CONTROL_ROW_MM, TALL_CONTROL_ROW_MM, BLANK_ROW_MM = 4.8, 3.7, 4.6, 5.6, 5.0
TIE_MM, SHOT_MM = 12.4, 15.0
BLANK_CONTROL_ROWS = 3
ROLE_WORDS = {
    "base": "base plate centre",
    "head": "mast head, lying",
    "permanent": "permanent anchor",
    "temporary": "anchor for the lift",
    "winch": "winch anchor",
}
TIE_WORDS = {"base": "From the base", "diagonal": "Across", "neighbour": "Round the anchors", "feature": "To features"}
FROM_BASE = "From the base"


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


def _numbers(plan: Plan, stake: Stake) -> tuple[str, ...]:
    """Northing, easting, height, true and grid azimuth, ground distance of a stake."""
    azimuths = ("–", "–") if stake.role == "base" else (_degrees(stake.azimuth_deg), _degrees(stake.azimuth_grid_deg))
    return _metres(stake.northing), _metres(stake.easting), _height(plan, stake), *azimuths, _metres(stake.radius_m)


def _number_columns(sheet: Sheet, plan: Plan, rows: Sequence[tuple[str, ...]], size: float, air_mm: float) -> list[Column]:
    """The columns of those six numbers, as wide as their texts ask for."""
    unit = plan.crs.unit
    columns = (
        Column("Northing", unit),
        Column("Easting", unit),
        Column("DEM height", "m, not for grade"),
        Column("True az.", "degrees", group=FROM_BASE),
        Column("Grid az.", "degrees", group=FROM_BASE),
        Column("Ground", "m, level", group=FROM_BASE),
    )
    texts = list(zip(*rows, strict=True))
    return [replace(c, width_mm=column_mm(sheet, t, size, c) + air_mm) for c, t in zip(columns, texts, strict=True)]


def _role(plan: Plan, stake: Stake, row_mm: float) -> str:
    """Role and a verdict that is not a pass; below it the id where the point's name does not tell it, or the offset stakes."""
    words = ROLE_WORDS[stake.role]
    if stake.verdict in ("fail", "marginal"):
        words = f"{VERDICT_WORDS[stake.verdict].upper()}: {words}"
    if stake.point != stake.id:
        return f"{words}\n{stake.id}"
    own = [o.point for o in offset_stakes(plan) if o.id.rpartition("-")[0] == stake.id]
    if not own or row_mm < TWO_LINES_MM:
        return words
    names = "offsets " + (", ".join(own) if len(own) <= 2 else f"{own[0]} to {own[-1]}")
    return f"{words}\n{names if len(names) <= LONGEST_WORDS else f'{len(own)} offset stakes'}"


def stake_table(sheet: Sheet, plan: Plan, width_mm: float, row_mm: float, *, numbered: bool) -> Table:
    """The table of all stakes but the offset stakes, in the largest type for which the paper has room."""
    for size in SIZES:
        table = _stake_table(sheet, plan, (width_mm, row_mm, size), numbered=numbered)
        room_mm = next(c.width_mm for c in table.columns if c.is_words)
        if row_mm >= LINE_EM * size / POINTS_PER_MM and room_mm >= _role_mm(sheet, plan, row_mm):
            break
    return table


def _role_mm(sheet: Sheet, plan: Plan, row_mm: float) -> float:
    """The width at which the longest role can be read in small type."""
    lines = [line for s in main_stakes(plan) for line in _role(plan, s, row_mm).split("\n")]
    return min(MOST_ROLE_MM, max(LEAST_ROLE_MM, max(sheet.text_mm(line, 6.5) for line in lines) + 2 * PAD_MM))


def _stake_table(sheet: Sheet, plan: Plan, sizes: tuple[float, float, float], *, numbered: bool) -> Table:
    """The stake table for a width and a height of row (mm) and a type size."""
    width_mm, row_mm, size = sizes
    stakes = main_stakes(plan)
    numbers = [_numbers(plan, s) for s in stakes]
    columns = _number_columns(sheet, plan, numbers, size, AIR_MM)
    point = Column("Point", "", 0.0, "left", is_bold=True)
    point_mm = min(LONGEST_POINT_MM, column_mm(sheet, [s.point for s in stakes], size, point))
    mark_mm = MARK_MM + (NUMBER_MM if numbered else 0.0)
    free_mm = width_mm - sum(c.width_mm for c in columns) - point_mm - mark_mm - sum(WRITE_MM)
    role_mm = min(free_mm, _role_mm(sheet, plan, row_mm))
    more_mm = max(0.0, free_mm - role_mm) / len(WRITE_MM)
    whole = (
        Column("No." if numbered else "", "", mark_mm, "left"),
        replace(point, width_mm=point_mm),
        Column("Role and offset stakes" if row_mm >= TWO_LINES_MM else "Role", "", role_mm, "left", is_words=True),
        *columns,
        Column("Staked", "", WRITE_MM[0] + more_mm, group="To write in", is_blank=True),
        Column("Miss", "m", WRITE_MM[1] + more_mm, group="To write in", is_blank=True),
        Column("By", "", WRITE_MM[2] + more_mm, group="To write in", is_blank=True),
    )
    names = [str(k) if numbered else "" for k in range(1, len(stakes) + 1)]
    rows = [
        (name, s.point, _role(plan, s, row_mm), *texts, "", "", "")
        for name, s, texts in zip(names, stakes, numbers, strict=True)
    ]
    return Table(whole, tuple(rows), row_mm, size, tuple(s.role for s in stakes))


def _where(stake: Stake) -> str:
    """Where an offset stake stands, in the plan's words; the table's heading says from where right and left are seen."""
    words = stake.description.partition(";")[0].removeprefix(f"{stake.id} ")
    return words.removeprefix("offset ").removesuffix(" seen from the base")


def offset_table(sheet: Sheet, plan: Plan, width_mm: float) -> Table:
    """The compact table of the offset stakes."""
    stakes = offset_stakes(plan)
    numbers = [_numbers(plan, s) for s in stakes]
    columns = _number_columns(sheet, plan, numbers, OFFSET_SIZE, 0.0)
    point = Column("Offset", "", 0.0, "left", is_bold=True)
    point_mm = min(LONGEST_POINT_MM, column_mm(sheet, [s.point for s in stakes], OFFSET_SIZE, point))
    blank = (Column("Staked", "", WRITE_MM[0], is_blank=True), Column("Miss", "m", WRITE_MM[1] - 1.5, is_blank=True))
    where_mm = width_mm - point_mm - sum(c.width_mm for c in (*columns, *blank))
    where = Column("Where", "", where_mm, "left", is_words=True)
    rows = [(s.point, _where(s), *texts, "", "") for s, texts in zip(stakes, numbers, strict=True)]
    return Table((replace(point, width_mm=point_mm), where, *columns, *blank), tuple(rows), OFFSET_ROW_MM, OFFSET_SIZE)


def control_table(sheet: Sheet, plan: Plan, width_mm: float) -> Table:
    """The user's control points and features with room for the check shot; empty rows where none is given."""
    unit, shot = plan.crs.unit, Column("Check shot", "miss, m", SHOT_MM, is_blank=True)
    if not plan.control:
        heads = (("Control", ""), ("Northing", unit), ("Easting", unit), ("Height", "m"))
        each = (width_mm - shot.width_mm) / len(heads)
        blank = (*(Column(title, name, each, is_blank=True) for title, name in heads), shot)
        return Table(blank, (("",) * len(blank),) * BLANK_CONTROL_ROWS, BLANK_ROW_MM, SMALL_SIZE)
    numbers = [(_metres(c.northing), _metres(c.easting), _height(plan, c)) for c in plan.control]
    heads = (Column("Northing", unit), Column("Easting", unit), Column("Height", "m, given"))
    texts = list(zip(*numbers, strict=True))
    columns = [replace(c, width_mm=column_mm(sheet, t, SMALL_SIZE, c)) for c, t in zip(heads, texts, strict=True)]
    name_mm = width_mm - MARK_MM - shot.width_mm - sum(c.width_mm for c in columns)
    names = [c.point if c.point == c.id else f"{c.point}\n{c.id}" for c in plan.control]
    whole = (Column("", "", MARK_MM), Column("Control", "", name_mm, "left", is_words=True, is_bold=True), *columns, shot)
    rows = [("", name, *row, "") for name, row in zip(names, numbers, strict=True)]
    row_mm = TALL_CONTROL_ROW_MM if any("\n" in name for name in names) else CONTROL_ROW_MM
    return Table(whole, tuple(rows), row_mm, SMALL_SIZE, tuple(c.role for c in plan.control))


def ties_by_worth(plan: Plan) -> dict[str, tuple[Tie, ...]]:
    """The ties by kind, in the order in which they are worth the room; kinds without a tie are left out."""
    groups = {kind: tuple(t for t in plan.ties if t.kind == kind) for kind in TIE_WORDS}
    return {kind: ties for kind, ties in groups.items() if ties}


def tie_table(plan: Plan, ties: Sequence[Tie], width_mm: float, *, numbered: bool) -> Table:
    """These ties with a heading above each kind, and a column for what was measured."""
    names: dict[str, str] = {c.id: c.point for c in plan.control} | {s.id: s.point for s in plan.stakes}
    if numbered:
        names |= {s.id: f"No. {number}" for number, s in enumerate(main_stakes(plan), 1)}
    rows: list[tuple[str, ...]] = []
    for kind, words in TIE_WORDS.items():
        of_kind = [t for t in ties if t.kind == kind]
        rows += [(words,)] if of_kind else []
        for t in of_kind:
            name = f"{names.get(t.start, t.start)} – {names.get(t.end, t.end)}"
            rows.append((name, _metres(t.ground_m), _metres(t.grid_m), _metres(t.slope_distance_m), ""))
    columns = (
        Column("Check tie", "", width_mm - 3 * TIE_MM - SHOT_MM, "left"),
        Column("Ground", "m, level", TIE_MM),
        Column("Grid", "m", TIE_MM),
        Column("Slope", "m, tape", TIE_MM),
        Column("Measured", "m", SHOT_MM, is_blank=True),
    )
    return Table(columns, tuple(rows), TIE_ROW_MM, SMALL_SIZE)
