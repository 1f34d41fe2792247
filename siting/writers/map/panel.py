"""What stands beside the map, as HTML: the verdict first, then laydown, checks, gaps, warnings, stakes and cautions."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from siting.figures import shown
from siting.records.plan import Plan
from siting.writers.map.anchors_part import anchors_part
from siting.writers.map.checks_part import checks_part, gaps_part
from siting.writers.map.drawings_part import drawings_part
from siting.writers.map.land_part import land_part, lines_part
from siting.writers.map.legend import legend
from siting.writers.map.lift_part import lift_part
from siting.writers.map.markup import bullets, facts, loud, plain, section, sign
from siting.writers.map.offline_page import STATIC
from siting.writers.map.over_the_map import over_the_map
from siting.writers.map.stakes_part import paper_stakes, stakes_part
from siting.writers.map.words import NOT_A_SURVEY, VERDICT_WORDS, crs_name, laydown_rows

BANNERS = {
    "pass": "The checked items pass",
    "marginal": "Marginal: within the uncertainty of a limit",
    "fail": "FAIL: a check fails",
    "unchecked": "NOTHING CHECKED",
}
BUTTONS = (
    '<div class="row"><button type="button" id="fold" aria-expanded="false">Open all</button>'
    '<button type="button" id="print-page">Print the map</button><button type="button" id="print-all">Print everything</button></div>'
)


def _head(plan: Plan) -> str:
    """The title, the verdict and what it leaves open: visible on every screen and on the first sheet of paper."""
    gaps = ", ".join(plain(name) for name in plan.unchecked)
    missing = loud("unchecked", f"NOT CHECKED: {gaps}") if gaps else ""
    about = f"{plan.mast.name}, {shown(plan.mast.height_m, 'length')} · {plan.provenance.plan_date}"
    return (
        f'<header class="head"><a class="skip" href="#panel">Skip the map</a><h1>{escape(plan.name)}</h1>'
        f'<p class="verdict fill-{plan.verdict}">{sign(plan.verdict)}{BANNERS[plan.verdict]}</p>'
        f'<div class="words"><p>{escape(plan.headline)}</p>{missing}</div>'
        f'<div class="sheet"><p>{escape(about)}</p><p>{escape(crs_name(plan))}</p>'
        f"<p>Run {escape(plan.provenance.run_id)}</p><p>{NOT_A_SURVEY}</p></div>"
        '<button type="button" id="toggle" class="toggle" aria-expanded="true" aria-controls="panel">'
        "Hide the details</button></header>"
    )


def _laydown(plan: Plan) -> str:
    lay = plan.laydown
    others = [
        f"{shown(other.azimuth_deg, 'bearing')} true ({VERDICT_WORDS[other.verdict].lower()}): {other.why}"
        for other in lay.runners_up
    ]
    ruled = [f"{shown(run.from_deg, 'bearing')} to {shown(run.to_deg, 'bearing')}: {run.text}" for run in lay.ruled_out]
    ruled += [f"{shown(one.azimuth_deg, 'bearing')} not judged: {one.reason}" for one in lay.dropped]
    parts = [f"<p>{escape(lay.summary)} ({escape(lay.chosen_by)})</p>", facts(laydown_rows(plan)), bullets(lay.reasons)]
    if others:
        parts.append(f'<p class="small">Other directions</p>{bullets(others)}')
    if ruled:
        parts.append(f'<p class="small">Ruled out</p>{bullets(ruled)}')
    return "".join(parts)


def _frame(plan: Plan) -> str:
    crs, ground = plan.crs, plan.terrain
    model = f"{shown(crs.declination_deg, 'bearing')} ± {shown(crs.declination_error_deg, 'bearing')}, {crs.declination_model}"
    rows = [
        ("Base", plan.base.dms),
        ("MGRS", plan.base.mgrs or "–"),
        ("Projected CRS", crs_name(plan)),
        ("Convergence", f"{shown(crs.convergence_deg, 'bearing')} (grid north east of true: +)"),
        ("Combined factor", f"{shown(crs.combined_factor, 'factor')} (grid = ground × factor)"),
        ("Declination", model),
        ("Transformation", crs.transformation),
        ("DEM", f"{ground.dem}, cells {' × '.join(shown(size, 'length') for size in ground.cell_m)}"),
        ("Heights", f"{ground.unit}; vertical datum: {ground.vertical_datum}"),
        ("Mast", f"{plan.mast.name}, {shown(plan.mast.height_m, 'length')}; {plan.mast.note}"),
    ]
    return facts(rows)


def _colophon(plan: Plan) -> str:
    made = plan.provenance
    return (
        f'<div class="block"><p><strong>{NOT_A_SURVEY}</strong></p>'
        f'<p class="small">Run <span class="figure">{escape(made.run_id)}</span> · plan for {escape(made.plan_date)} · '
        f"siting {escape(made.version)} · map drawn with Leaflet 1.9.4</p></div>"
    )


def body(plan: Plan, drawn: Iterable[str]) -> str:
    """The body of the page, with `{map}` where the map goes; every word of the user is escaped. No unit.

    Args:
        drawn: style classes of the lines and areas on the map, for the legend.
    """
    panel = "".join(
        [
            BUTTONS,
            section("Laydown", _laydown(plan), "laydown", is_open=True),
            checks_part(plan),
            gaps_part(plan),
            section("Warnings", bullets(plan.warnings), "warnings", is_open=True),
            drawings_part(plan),
            land_part(plan),
            lines_part(plan),
            lift_part(plan),
            anchors_part(plan),
            stakes_part(plan),
            section("Cautions", bullets(plan.cautions), "cautions"),
            section("Frame and ground", _frame(plan), "frame"),
            section("Assumed, repaired or left out", bullets(plan.notes), "notes"),
            _colophon(plan),
        ]
    )
    before = f'{(STATIC / "map_defs.html").read_text("utf-8")}{_head(plan)}<main id="stage" class="stage" aria-label="Map">'
    after = (
        f"{legend(plan, set(drawn))}{over_the_map(plan)}{paper_stakes(plan)}</main>"
        f'<aside id="panel" class="panel" role="region" aria-label="Details" tabindex="0">{panel}</aside>'
    )
    return before.replace("{", "&#123;") + "{map}" + after.replace("{", "&#123;")
