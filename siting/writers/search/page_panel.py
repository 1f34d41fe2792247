"""What stands beside the search's map: what was found, the spots, what the rules take away, how the limits count."""

from __future__ import annotations

from html import escape

from siting.figures import shown
from siting.records.search import FULL, SearchResult, Spot
from siting.writers.map.markup import bullets, facts, loud, plain, section, sign, word
from siting.writers.map.offline_page import STATIC
from siting.writers.map.over_the_map import CORNER
from siting.writers.map.panel import BUTTONS
from siting.writers.search.classes import CLASSES
from siting.writers.search.curves_svg import curves_svg
from siting.writers.search.land_layers import land_legend
from siting.writers.search.parts import area_cells
from siting.writers.search.waterfall_svg import waterfall_svg
from siting.writers.search.words import (
    NO_PLAN,
    NOT_A_SURVEY,
    VERDICT_WORDS,
    area_words,
    azimuth_words,
    count_words,
    fails_words,
    headline,
    holding,
    other_failing,
    tried_words,
    used_words,
)


def look_of(spot: Spot) -> str:
    """The style of a spot's verdict: pass, marginal, fail or unchecked; a spot without a plan looks like a failure. No unit."""
    return spot.verdict or "fail"


def spot_rows(spot: Spot) -> list[tuple[str, str]]:
    """What is said of a spot, names and values with their units."""
    rows = [
        ("Laydown, true", azimuth_words(spot.azimuth_deg)),
        ("Uses", f"{used_words(spot.worst_utilisation)} of its limits"),
        ("Tightest", spot.worst_check or "–"),
        ("Screened", f"{azimuth_words(spot.screened_azimuth_deg)}, {used_words(spot.screened_utilisation)}"),
        ("Latitude", f"{spot.lat:.7f}°"),
        ("Longitude", f"{spot.lon:.7f}°"),
    ]
    if spot.verdict is not None:
        rows += [
            ("Easting", shown(spot.easting, "coordinate")),
            ("Northing", shown(spot.northing, "coordinate")),
            ("Height", shown(spot.height_m, "length")),
        ]
    return rows


def _head(result: SearchResult) -> str:
    good = holding(result)
    verdict = "fail" if not good else "pass" if any(s.verdict == "pass" for s in good) else "marginal"
    banner = {"pass": f"{len(good)} of {len(result.spots)} spots hold", "marginal": f"{len(good)} spots hold, all marginal"}
    said = "".join(
        loud("fail", f"{words} at {', '.join(f'no. {s.rank}' for s in there)}")
        for words, there in (
            ("SCREENING AND PLAN DIFFER", [s for s in result.spots if s.differs]),
            ("THE PLAN FAILS, on a check that is not screened,", [s for s in result.spots if s.failing_unscreened]),
        )
        if there
    )
    gaps = sorted({item for s in result.spots for item in s.unchecked})
    said += loud("unchecked", f"NOT CHECKED: {', '.join(plain(item) for item in gaps)}") if gaps else ""
    mast = result.job.site.mast
    return (
        f'<header class="head"><a class="skip" href="#panel">Skip the map</a><h1>{escape(result.job.name)}</h1>'
        f'<p class="verdict fill-{verdict}">{sign(verdict)}{banner.get(verdict, "NO SPOT HOLDS")}</p>'
        f'<div class="words"><p>{escape(headline(result))}</p>{said}</div>'
        f'<div class="sheet"><p>{escape(mast.name)}, {shown(mast.height_m, "length")}</p><p>{escape(result.crs_name)}</p>'
        f"<p>Run {escape(result.run_id)}</p><p>{NOT_A_SURVEY}</p></div>"
        '<button type="button" id="toggle" class="toggle" aria-expanded="true" aria-controls="panel">'
        "Hide the details</button></header>"
    )


def _of_plan_only(result: SearchResult, spot: Spot) -> str:
    """Which checks the spot's plan holds and no cell was screened by."""
    checks = ", ".join(result.of_plan_only[kind] for kind in spot.checks_of_plan_only)
    return f'<p class="small">Not screened, held by its plan alone: {escape(checks)}</p>' if checks else ""


def _spot(result: SearchResult, spot: Spot) -> str:
    """One spot of the list: its figures, what is wrong there, its site file, and what speaks for its azimuth."""
    look = look_of(spot)
    parts = [
        f'<div class="item is-{look} spot"><div class="top"><button type="button" data-spot="{spot.rank}">No. {spot.rank}</button>'
        f"{word(look, NO_PLAN if spot.verdict is None else '')}</div>",
        loud("fail", f"SCREENING AND PLAN DIFFER: {spot.differs}") if spot.differs else "",
        loud("fail", fails_words(spot)) if spot.failing_unscreened else "",
        loud("fail", f"FAILS: {'; '.join(other_failing(spot))}") if other_failing(spot) else "",
        facts(spot_rows(spot)),
        bullets(spot.reasons),
        _of_plan_only(result, spot),
        f'<p class="small">Not checked: {escape(", ".join(plain(v) for v in spot.unchecked))}</p>' if spot.unchecked else "",
        f'<p><a href="{escape(spot.site_file)}">{escape(spot.site_file)}</a>: for siting plan</p></div>',
    ]
    return "".join(parts)


def _why(spot: Spot) -> str:
    """What stands behind a verdict in the table on paper."""
    return ": differs from the screening" if spot.differs else ": a check that is not screened" if spot.failing_unscreened else ""


def _paper_spots(result: SearchResult) -> str:
    """The spots as a table under the printed map; nothing where there are none."""
    heads = ("No.", "Verdict", "Uses", "Laydown, true", "Latitude", "Longitude", "Height", "Site file")
    rows = [
        (
            str(s.rank), VERDICT_WORDS[s.verdict] + _why(s), used_words(s.worst_utilisation),
            azimuth_words(s.azimuth_deg), f"{s.lat:.7f}", f"{s.lon:.7f}", shown(None if s.verdict is None else s.height_m, "length"), s.site_file,
        )
        for s in result.spots
    ]  # fmt: skip
    head = "".join(f'<th scope="col">{text}</th>' for text in heads)
    body_rows = "".join(f'<tr><th scope="row">{first}</th>{"".join(f"<td>{escape(cell)}</td>" for cell in rest)}</tr>' for first, *rest in rows)
    return f'<div class="paper-stakes"><table><thead><tr>{head}</tr></thead><tbody>{body_rows}</tbody></table></div>' if rows else ""


def _asked(result: SearchResult) -> str:
    """What was searched, and how."""
    options, grid = result.job.options, result.grid
    cells = area_cells(result.shares)
    rows = [
        ("Area", f"{options.area_shown or 'the whole DEM'}: {count_words(cells)} cells, {area_words(result, cells)}"),
        ("Mode", "full: every cell's best azimuth" if options.mode == FULL else "passing: where an azimuth passes"),
        ("Azimuths", f"{len(result.azimuths_deg)}, every {options.azimuth_step_deg:g}°"),
        ("Spots", f"{options.spots}, at least {shown(options.apart_m, 'length')} apart"),
        ("DEM", f"{result.job.site.dem.shown_path}, {grid.rows} × {grid.cols} cells of {' × '.join(shown(v, 'length') for v in result.cell_m)}"),
        ("CRS", result.crs_name),
        ("Mast", f"{result.job.site.mast.name}, {shown(result.job.site.mast.height_m, 'length')}"),
    ]
    return facts(rows) + bullets((*result.notes, *result.land.notes))


def legend(drawn: set[int], result: SearchResult) -> str:
    """The legend as HTML, only what is drawn, no unit.

    Args:
        drawn: classes that occur on the map.
    """
    items = [
        f'<li><svg viewBox="0 0 34 20" aria-hidden="true"><path class="cell" d="M2 3H32V17H2Z" fill="rgb{c.colour}"></path></svg>{escape(c.words)}</li>'
        for c in CLASSES
        if c.value in drawn
    ]
    looks = {"pass": "Spot, its plan passes", "marginal": "Spot, its plan is marginal", "fail": "Spot that does not hold", "unchecked": "Spot, not checked"}
    items += land_legend(result.land)
    used = {look_of(spot) for spot in result.spots}
    items += [
        f'<li><svg class="c-{look}" viewBox="-17 -10 34 20" aria-hidden="true"><use href="#f-{look}" x="-10" y="-10" width="20" height="20"></use></svg>{text}</li>'
        for look, text in looks.items()
        if look in used
    ]
    if result.spots:
        items.append('<li><svg viewBox="-17 -10 34 20" aria-hidden="true"><path d="M-12 0H6M1 -5L8 0L1 5" fill="none" stroke="#111" stroke-width="2.4"></path></svg>Laydown: base to head</li>')
    notes = "".join(f'<p class="small">{escape(text)}</p>' for text in result.land.notes)
    return f'<details class="legend" open><summary>Legend</summary><ul>{"".join(items)}</ul>{notes}</details>'


def body(result: SearchResult, drawn: set[int]) -> str:
    """The body of the page, with `{map}` where the map goes; every word of the user is escaped. No unit.

    Args:
        drawn: classes that occur on the map.
    """
    none = "" if result.spots else f"<p>{escape(headline(result))}</p>"
    curves = curves_svg(result)
    panel = "".join(
        [
            BUTTONS,
            section("Warnings", bullets(result.warnings), "warnings", is_open=True),
            section("Spots, the best first", f"<p>{escape(tried_words(result))}</p>" + "".join(_spot(result, s) for s in result.spots) + none, "found", is_open=True),
            section("What the rules take away", f'<div class="drawing">{waterfall_svg(result)}</div>', "drawings", is_open=True),
            section("What each limit changes", f'<div class="drawing">{curves}</div>' if curves else "", "drawings"),
            section("What was searched", _asked(result), "frame"),
            section("Cautions", bullets(result.cautions), "cautions"),
            f'<div class="block"><p><strong>{NOT_A_SURVEY}</strong></p><p class="small">Run <span class="figure">{escape(result.run_id)}</span> · '
            f"siting {escape(result.version)} · map drawn with Leaflet 1.9.4</p></div>",
        ]
    )
    defs = "".join((STATIC / name).read_text("utf-8") for name in ("map_defs.html", "search_defs.html"))
    before = f'{defs}{_head(result)}<main id="stage" class="stage" aria-label="Map">'
    after = (
        f"{legend(drawn, result)}{CORNER.replace('on the ground at the base', 'in the middle of the area')}{_paper_spots(result)}</main>"
        f'<aside id="panel" class="panel" role="region" aria-label="Details" tabindex="0">{panel}</aside>'
    )
    return f"{before}{{map}}{after}"
