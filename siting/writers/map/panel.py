"""What stands beside the map, as HTML: the verdict first, then laydown, checks, gaps, warnings, stakes and cautions."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from siting.figures import CHECK_QUANTITIES, shown
from siting.records.findings import Check
from siting.records.plan import Plan, Stake
from siting.writers.map.legend import legend
from siting.writers.map.offline_folium import STATIC
from siting.writers.map.words import VERDICT_WORDS, Rows, capital, crs_name, laydown_rows

BANNERS = {
    "pass": "The checked items pass",
    "marginal": "Marginal: within the uncertainty of a limit",
    "fail": "FAIL: a check fails",
    "unchecked": "NOTHING CHECKED",
}
NOT_A_SURVEY = "Calculated from a DEM. Not a survey, and no permission to lift."
# The bar of a check ends at this utilisation; the mark of the limit (1.0) stands at two thirds of it (map.css).
BAR_END = 1.5


def _sign(verdict: str) -> str:
    return f'<svg aria-hidden="true"><use href="#v-{verdict}"></use></svg>'


def _word(verdict: str) -> str:
    return f'<span class="word fill-{verdict}">{_sign(verdict)}{VERDICT_WORDS[verdict]}</span>'


def _plain(name: str) -> str:
    return name.replace("_", " ")


def _sentence(text: str) -> str:
    return escape(text.rstrip(".") + ".")


def _facts(rows: Rows) -> str:
    pairs = (f"<dt>{escape(name)}</dt><dd>{escape(value)}</dd>" for name, value in rows)
    return f'<dl class="facts">{"".join(pairs)}</dl>'


def _list(lines: Iterable[str]) -> str:
    return "<ul>" + "".join(f"<li>{escape(line)}</li>" for line in lines) + "</ul>"


def _section(title: str, content: str, name: str = "") -> str:
    return f'<section class="{name}"><h2>{escape(title)}</h2>{content}</section>' if content else ""


def _head(plan: Plan) -> str:
    """The title, the verdict and what it leaves open: visible on every screen and on the first sheet of paper."""
    gaps = ", ".join(_plain(name) for name in plan.unchecked)
    loud = f'<p class="loud">{_sign("unchecked")}<span>NOT CHECKED: {escape(gaps)}</span></p>' if gaps else ""
    facts = f"{plan.mast.name}, {shown(plan.mast.height_m, 'length')} · {plan.provenance.plan_date}"
    return (
        f'<header class="head"><h1>{escape(plan.name)}</h1>'
        f'<p class="verdict fill-{plan.verdict}">{_sign(plan.verdict)}{BANNERS[plan.verdict]}</p>'
        f'<div class="words"><p>{escape(plan.headline)}</p>{loud}</div>'
        f'<div class="sheet"><p>{escape(facts)}</p><p>{escape(crs_name(plan))}</p>'
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
    parts = [f"<p>{escape(lay.summary)} ({escape(lay.chosen_by)})</p>", _facts(laydown_rows(plan)), _list(lay.reasons)]
    if others:
        parts.append(f'<p class="small">Other directions</p>{_list(others)}')
    if ruled:
        parts.append(f'<p class="small">Ruled out</p>{_list(ruled)}')
    return "".join(parts)


def _check(check: Check) -> str:
    """One check: found against limit, how much of the limit is used, where, and where the limit comes from."""
    kind = CHECK_QUANTITIES.get(check.unit, check.unit)  # "count" names its quantity itself
    doubt = f" ± {shown(check.uncertainty, kind)}" if check.uncertainty else ""
    found = f"{shown(check.value, kind)}{doubt}, {'at least' if check.limit_is_least else 'at most'} {shown(check.limit, kind)}"
    place = f"{capital(check.place)}. " if check.place else ""
    width = min(check.utilisation / BAR_END, 1.0) * 100
    bar = f'<div class="bar" aria-hidden="true"><i style="width:{width:.1f}%"></i><b></b></div>'
    return (
        f'<div class="item is-{check.verdict}"><div class="top"><h3>{escape(capital(check.label))}</h3>{_word(check.verdict)}</div>'
        f'<div class="used"><span class="figure">{escape(found)}</span>'
        f"<span>utilisation {shown(check.utilisation, 'ratio')}</span>{bar}</div>"
        f'<p class="small">{escape(place)}Limit: {escape(check.source)} · {escape(check.id)}</p></div>'
    )


def _gaps(plan: Plan) -> str:
    items = [
        f'<div class="item is-unchecked"><div class="top"><h3>{escape(capital(_plain(gap.id)))}</h3>{_word("unchecked")}</div>'
        f"<p>Missing: {_sentence(gap.missing)}</p><p>To do: {_sentence(gap.do)}</p></div>"
        for gap in plan.unchecked_detail
    ]
    told = {gap.id for gap in plan.unchecked_detail}
    items += [
        f'<div class="item is-unchecked"><div class="top"><h3>{escape(_plain(name))}</h3>{_word("unchecked")}</div></div>'
        for name in plan.unchecked
        if name not in told
    ]
    return "".join(items)


def _stake_row(stake: Stake) -> str:
    is_base = stake.role == "base"
    cells = [
        shown(stake.lat, "latlon", unit=False),
        shown(stake.lon, "latlon", unit=False),
        shown(stake.easting, "coordinate", unit=False),
        shown(stake.northing, "coordinate", unit=False),
        shown(stake.height_m, "coordinate", unit=False),
        "–" if is_base else shown(stake.azimuth_deg, "bearing", unit=False),
        "–" if is_base else shown(stake.azimuth_grid_deg, "bearing", unit=False),
        "–" if is_base else shown(stake.azimuth_magnetic_deg, "bearing", unit=False),
        shown(stake.radius_m, "coordinate", unit=False),
        shown(stake.slope_percent, "percent", unit=False),
    ]
    name = escape(stake.id)
    return (
        f'<tr><td><button type="button" data-stake="{name}" title="Show on the map">{name}</button>'
        f'<span class="id">{name}</span></td><td class="left">{escape(stake.role)}</td>'
        + "".join(f"<td>{cell}</td>" for cell in cells)
        + f'<td class="left">{VERDICT_WORDS[stake.verdict]}</td></tr>'
    )


def _stakes(plan: Plan) -> str:
    unit = escape(plan.crs.unit)
    heads = f"""<th class="left">Stake</th><th class="left">Role</th><th>Latitude °</th><th>Longitude °</th>
<th>Easting<br>{unit}</th><th>Northing<br>{unit}</th><th>DEM height<br>m</th><th>Azimuth<br>true °</th>
<th>Azimuth<br>grid °</th><th>Azimuth<br>magnetic °</th><th>Ground<br>distance m</th><th>Slope<br>%</th><th class="left">Verdict</th>"""
    rows = "".join(_stake_row(stake) for stake in plan.stakes)
    return (
        f'<p class="small">WGS 84; {escape(crs_name(plan))}. Azimuths and distances from the base.</p>'
        '<div class="wide" tabindex="0" role="region" aria-label="Stake table">'
        f"<table><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table></div>"
    )


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
    return _facts(rows)


def _colophon(plan: Plan) -> str:
    made = plan.provenance
    return (
        f'<div class="block"><p><strong>{NOT_A_SURVEY}</strong></p>'
        f'<p class="small">Run <span class="figure">{escape(made.run_id)}</span> · plan for {escape(made.plan_date)} · '
        f"siting {escape(made.version)} · map drawn with Leaflet 1.9.4</p></div>"
    )


def _over_the_map() -> str:
    """Scale and north, and the box of the measuring tool."""
    return (
        '<div class="corner"><svg class="north" viewBox="0 0 30 52" role="img" aria-label="North is up: true north">'
        '<path d="M15 14L24 40L15 34L6 40Z" fill="#fff" stroke="#111" stroke-width="1.8"/><path d="M15 14V34L6 40Z" fill="#111"/>'
        '<text x="15" y="11" text-anchor="middle" font-size="12" font-weight="700">N</text>'
        '<text x="15" y="51" text-anchor="middle" font-size="11">true</text></svg>'
        '<div><div id="scale-bar" class="scale-bar"><span>0</span><span></span><span></span></div>'
        '<div class="scale-note">on the ground at the base</div></div></div>'
        '<div id="measure" class="measure" role="group" aria-label="Measuring" hidden>'
        '<p id="measure-text" class="figure" aria-live="polite"></p><div class="row">'
        '<button type="button" id="measure-undo">Take back</button>'
        '<button type="button" id="measure-end">End (Esc)</button></div></div>'
    )


def body(plan: Plan, drawn: Iterable[str]) -> str:
    """The body of the page, with `{map}` where the map goes; every word of the user is escaped. No unit.

    Args:
        drawn: style classes of the lines and areas on the map, for the legend.
    """
    panel = "".join(
        [
            _section("Laydown", _laydown(plan)),
            _section("Checks, the tightest first", "".join(_check(check) for check in plan.checks)),
            _section("Not checked", _gaps(plan)),
            _section("Warnings", _list(plan.warnings) if plan.warnings else "", "warnings"),
            _section("Stakes", _stakes(plan), "stakes"),
            _section("Cautions", _list(plan.cautions) if plan.cautions else ""),
            _section("Frame and ground", _frame(plan)),
            _section("Assumed, repaired or left out", _list(plan.notes) if plan.notes else ""),
            _colophon(plan),
        ]
    )
    before = f'{(STATIC / "map_defs.html").read_text("utf-8")}{_head(plan)}<main class="stage" aria-label="Map">'
    after = (
        f"{legend(plan, set(drawn))}{_over_the_map()}</main>"
        f'<aside id="panel" class="panel" role="region" aria-label="Details" tabindex="0">{panel}</aside>'
    )
    return before.replace("{", "&#123;") + "{map}" + after.replace("{", "&#123;")
