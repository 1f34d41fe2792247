"""Tables of record of the guys: lengths, what to cut and order, how tight to set them and how to measure that."""

from __future__ import annotations

from siting.figures import shown
from siting.records.guys import CutList, TensionTable
from siting.writers.lift.force_tables import number
from siting.writers.lift.words import no_guys
from siting.writers.paper.flow import Flow
from siting.writers.record_table import record_table


def fill_guys(flow: Flow) -> None:
    """Cut list with totals, then the tensions; what the plan does not hold is said."""
    if flow.plan.cut_list is None:
        flow.lines("Cut list", (no_guys(flow.plan),))
    else:
        _cut_list(flow, flow.plan.cut_list)
    if flow.plan.tensions is None:
        flow.lines("Tensions", (no_guys(flow.plan, "permanent"),))
    else:
        _tensions(flow, flow.plan.tensions)


def _cut_list(flow: Flow, found: CutList) -> None:
    heads = (
        ("Anchor", "", "words"), ("From", "m"), ("Use", "", "words"), ("Span", "m"), ("Rise", "m"), ("Chord", "m"), ("At anchor", "degrees"),
        ("Set", "kN"), ("Sag", "m"), ("Hanging", "m"), ("Stretch", "m"), ("Unstressed", "m"), ("Ends", "m"), ("Cut", "m"),
    )  # fmt: skip
    rows = [
        (g.anchor, f"{g.attach_m:g}", g.use, number(g.span_m, "coordinate"), number(g.rise_m, "coordinate"), number(g.chord_m, "coordinate"),
         number(g.anchor_angle_deg, "angle"), number(g.set_tension_kn, "force"), number(g.sag_m, "travel"),
         number(g.hanging_m, "coordinate"), f"{g.stretch_m:.3f}", number(g.unstressed_m, "coordinate"),
         number(g.termination_m, "length"), number(g.cut_m, "coordinate"))
        for g in found.guys
    ]  # fmt: skip
    if rows:
        title = f"Guys: lengths, and what to cut at {shown(found.reference_c, 'celsius')}"
        flow.table(title, record_table(flow.sheet, heads, rows, flow.width_mm))
        temperatures = [(shown(t, "celsius"), "cut, m") for t in found.temperatures_c]
        heads = (("Anchor", "", "words"), ("From", "m"), *temperatures)
        rows = [(g.anchor, f"{g.attach_m:g}", *(number(m, "coordinate") for m in g.cut_at_m)) for g in found.guys]
        flow.table("What to cut by temperature", record_table(flow.sheet, heads, rows, flow.width_mm))
    heads = (
        ("Strand", "", "words"), ("Diameter", "mm"), ("Pieces", ""), ("Longest", "m"), ("All pieces", "m"), ("Spare", "m"), ("ORDER", "m"),
        ("Mass", "kg"),
    )  # fmt: skip
    totals = [
        (t.strand, number(t.diameter_mm, "diameter"), str(t.pieces), number(t.longest_m, "length"), number(t.total_m, "length"),
         number(t.spare_m, "length"), number(t.order_m, "length"), number(t.mass_kg, "mass"))
        for t in found.totals
    ]  # fmt: skip
    if totals:
        flow.table("What to order", record_table(flow.sheet, heads, totals, flow.width_mm))
    strands = tuple(
        f"{s.name}: {s.mass_g_per_m:.1f} g/m, {s.metal_area_mm2:.2f} mm², breaks at {shown(s.breaking_kn, 'force')}, "
        f"{s.modulus_gpa:.0f} GPa; {s.source}; modulus: {s.modulus_source}; expansion: {s.expansion_source}."
        for s in found.strands
    )
    flow.lines("Strands", strands)
    flow.lines("Guys WITHOUT a length", found.not_listed)
    flow.lines("What the lengths rest on", found.notes)


def _tensions(flow: Flow, found: TensionTable) -> None:
    temperatures = found.temperatures_c
    lead = (("Anchor", "", "words"), ("From", "m"), ("Set", "kN"), ("of breaking", "%"), ("within", "± %"))
    heads = (*lead, *((shown(t, "celsius"), "kN") for t in temperatures))
    rows = [
        (g.anchor, f"{g.attach_m:g}", number(g.set_tension_kn, "force"), f"{100 * g.of_breaking_ratio:.1f}",
         f"{100 * g.tolerance_ratio:.0f}", *(number(t, "force") for t in g.tension_kn))
        for g in found.guys
    ]  # fmt: skip
    title = f"Tension at the anchor by temperature (set value at {shown(found.reference_c, 'celsius')})"
    flow.table(title, record_table(flow.sheet, heads, rows, flow.width_mm))
    fixed = (("Anchor", "", "words"), ("From", "m"), *((shown(t, "celsius"), "kN") for t in temperatures))
    rows = [(g.anchor, f"{g.attach_m:g}", *(number(t, "force") for t in g.fixed_mast_kn)) for g in found.guys]
    flow.table("The same if the mast kept its height (fixed_mast_kn)", record_table(flow.sheet, fixed, rows, flow.width_mm))
    heads = (("Level", "m"), *((shown(t, "celsius"), unit) for t in temperatures for unit in ("kgf", "lbf")))
    rows = [
        (f"{v.attach_m:g}", *(text for k in range(len(temperatures)) for text in (f"{v.greatest_kgf[k]:.0f}", f"{v.greatest_lbf[k]:.0f}")))
        for v in found.levels
    ]
    flow.table("The same in kilogram-force and pound-force: greatest of each level", record_table(flow.sheet, heads, rows, flow.width_mm))
    pulse = tuple((shown(t, "celsius"), "s") for t in temperatures)
    sight = tuple((shown(t, "celsius"), "m") for t in temperatures)
    heads = (("Anchor", "", "words"), ("From", "m"), *pulse)
    rows = [(g.anchor, f"{g.attach_m:g}", *(number(s, "seconds") for s in g.pulse_s)) for g in found.guys]
    flow.table(f"Pulse: seconds for {found.pulse_returns} returns", record_table(flow.sheet, heads, rows, flow.width_mm))
    heads = (("Anchor", "", "words"), ("From", "m"), *sight)
    rows = [(g.anchor, f"{g.attach_m:g}", *(f"{m:.3f}" for m in g.intercept_m)) for g in found.guys]
    flow.table("Sight: how far below the attachment it meets the mast", record_table(flow.sheet, heads, rows, flow.width_mm))
    flow.lines("How to measure", found.methods)
    flow.lines("Where the tensions come from", (*found.tension_source, found.tolerance_source))
    flow.lines("What the tensions rest on", found.notes)
