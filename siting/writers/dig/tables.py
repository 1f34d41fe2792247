"""Tables of the dig sheet: every hole with its place and sizes, what is done there in words, the kinds not taken, the base plate."""

from __future__ import annotations

from siting.figures import shown
from siting.records.dig import DigPlan, Hole
from siting.records.holding import Holding, HoldingPlan
from siting.records.plan import Plan
from siting.writers.anchor_names import anchor_name
from siting.writers.dig.words import KIND_WORDS, grouped, holding_check_words, hole_ref, loud_holding, wall_words
from siting.writers.paper.flow import Flow
from siting.writers.paper.table import Column, Table

ROW_MM, SIZE = 6.4, 9.0
PLACE_COLUMNS = (
    Column("Hole", "", 0.17, "left", is_bold=True), Column("Easting", "m", 0.145), Column("Northing", "m", 0.155),
    Column("Latitude", "degrees, WGS 84", 0.145), Column("Longitude", "degrees, WGS 84", 0.15), Column("DEM height", "m, not for grade", 0.115),
    Column("Outward", "m from the stake", 0.12),
)  # fmt: skip
SIZE_COLUMNS = (
    Column("Hole", "", 0.16, "left", is_bold=True), Column("Deep", "m", 0.08, is_bold=True), Column("Floor", "m, along × square", 0.14),
    Column("Opening", "m, along × square", 0.14), Column("Walls", "level : upright", 0.11), Column("Dug", "m³ in place", 0.09),
    Column("Spoil", "m³ loose", 0.09), Column("Ground", "% there", 0.09), Column("Access", "% steepest", 0.10),
)  # fmt: skip
OPTION_COLUMNS = (
    Column("Anchor", "", 0.15, "left", is_bold=True, is_words=True), Column("Kind", "", 0.115, "left", is_words=True),
    Column("Size", "", 0.215, "left", is_words=True), Column("Holds", "kN allowable", 0.09), Column("Factor", "", 0.07),
    Column("Deep", "m to its middle", 0.1), Column("Not taken, or refused", "", 0.26, "left", is_words=True),
)  # fmt: skip
BASE_COLUMNS = (
    Column("Base plate", "", 0.25, "left", is_words=True), Column("Largest in the lift", "kN", 0.16), Column("Held by", "", 0.25, "left", is_words=True),
    Column("Hold", "kN allowable", 0.14, is_bold=True), Column("Factor", "", 0.08), Column("Gives way first", "", 0.12, "left", is_words=True),
)  # fmt: skip


def fill_dig_tables(flow: Flow, holding: HoldingPlan, dig: DigPlan) -> None:
    """The tables, one below the other."""
    plan = flow.plan
    flow.table("Where the ground is opened", _sized(flow, PLACE_COLUMNS, tuple(_place(plan, h) for h in dig.holes)))
    flow.table("Sizes of the holes (along the guy × square to it)", _sized(flow, SIZE_COLUMNS, tuple(_sizes(plan, h) for h in dig.holes)))
    flow.lines("Support of the walls", grouped(tuple((hole_ref(plan, h), h.support) for h in dig.holes)))
    flow.lines("Backfill", grouped(tuple((hole_ref(plan, h), h.backfill) for h in dig.holes)))
    warnings = tuple((hole_ref(plan, h), text) for h in dig.holes for text in h.warnings)
    warnings += tuple((anchor_name(plan, c.anchor), text) for c in holding.anchors for text in c.warnings)
    flow.lines("Watch at these places", grouped(warnings))
    _why(flow, holding)
    _base(flow, holding)
    flow.lines("Checks that fail or are marginal", tuple(holding_check_words(c) for c in loud_holding(holding)))


def _sized(flow: Flow, columns: tuple[Column, ...], rows: tuple[tuple[str, ...], ...], row_mm: float = ROW_MM) -> Table:
    """The table over the page's width; the columns' widths are parts of it."""
    whole = sum(c.width_mm for c in columns)
    wide = tuple(
        Column(c.title, c.unit, flow.width_mm * c.width_mm / whole, c.align, c.group, c.is_bold, c.is_words, c.is_blank) for c in columns
    )
    return Table(wide, rows, row_mm, SIZE)


def _place(plan: Plan, hole: Hole) -> tuple[str, ...]:
    return (
        hole_ref(plan, hole), shown(hole.easting, "coordinate", unit=False), shown(hole.northing, "coordinate", unit=False),
        shown(hole.lat, "latlon", unit=False), shown(hole.lon, "latlon", unit=False), shown(hole.ground_m, "coordinate", unit=False),
        shown(hole.out_m, "length", unit=False),
    )  # fmt: skip


def _sizes(plan: Plan, hole: Hole) -> tuple[str, ...]:
    is_pit = hole.work == "pit"
    floor = f"{shown(hole.floor_width_m, 'length', unit=False)} × {shown(hole.floor_length_m, 'length', unit=False)}"
    top = f"{shown(hole.top_width_m, 'length', unit=False)} × {shown(hole.top_length_m, 'length', unit=False)}"
    volumes = (shown(hole.dug_m3, "volume", unit=False), shown(hole.spoil_m3, "volume", unit=False)) if is_pit else ("–", "–")
    return (
        hole_ref(plan, hole), f"{shown(hole.depth_m, 'length', unit=False)}{' DEEP' if hole.is_deep else ''}", floor if is_pit else "–",
        top if is_pit else "–", wall_words(hole), *volumes, shown(hole.ground_slope_percent, "percent", unit=False),
        shown(hole.access_slope_percent, "percent", unit=False),
    )  # fmt: skip


def _why(flow: Flow, holding: HoldingPlan) -> None:
    """Why each kind was taken, then the kinds that were not and why."""
    plan = flow.plan
    pairs = tuple((anchor_name(plan, c.anchor), " ".join(c.reasons)) for c in holding.anchors)
    flow.lines("Why this kind", grouped(pairs))
    found: dict[tuple[str, ...], list[str]] = {}
    for choice in holding.anchors:
        for held in choice.options:
            if held != choice.chosen:
                found.setdefault(_option(held, choice.load.load_kn), []).append(anchor_name(plan, choice.anchor))
    if found:
        rows = tuple((", ".join(names), *cells) for cells, names in found.items())
        flow.table("Kinds not taken", _sized(flow, OPTION_COLUMNS, rows, 7.6))


def _option(held: Holding, load_kn: float) -> tuple[str, ...]:
    name = KIND_WORDS.get(held.kind, held.kind)
    if held.refused or held.allowable_kn is None:
        return name, held.size, "–", shown(held.safety_factor, "ratio"), "–", f"REFUSED: {held.refused or 'no method holds'}"
    why = "holds less than the load" if held.allowable_kn < load_kn else "would hold; see the reasons above"
    return (
        name, held.size, shown(held.allowable_kn, "force", unit=False), shown(held.safety_factor, "ratio"),
        shown(held.depth_m, "length", unit=False), why,
    )  # fmt: skip


def _base(flow: Flow, holding: HoldingPlan) -> None:
    """The base plate while the mast goes up."""
    base = holding.base
    rows = tuple(
        (name, shown(value, "force", unit=False) if value is not None else "NOT KNOWN", held.size,
         shown(held.allowable_kn, "force", unit=False) if not held.refused else "REFUSED", shown(held.safety_factor, "ratio"), held.refused or held.governed_by)
        for name, value, held in (
            ("level force of the hinge", base.push_kn, base.pins), ("pull upward", base.uplift_kn, base.pins_uplift),
            (f"or a plate tied to it, its rod {base.tie_deg:.1f}° down", base.tie_kn, base.buried),
        ) if held is not None
    )  # fmt: skip
    flow.table("Base plate while the mast goes up", _sized(flow, BASE_COLUMNS, rows, 7.6))
    flow.lines("Base plate in words", (base.text, f"Ground at the base: {base.soil.description} ({base.soil.basis})."))
