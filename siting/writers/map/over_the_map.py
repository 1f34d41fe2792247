"""What stands over the map: scale and north, the boxes of the measuring tool and of the reader's own position."""

from __future__ import annotations

from html import escape

from siting.records.plan import Plan

CORNER = (
    '<div class="corner"><svg class="north" viewBox="0 0 30 52" role="img" aria-label="North is up: true north">'
    '<path d="M15 14L24 40L15 34L6 40Z" fill="#fff" stroke="#111" stroke-width="1.8"/><path d="M15 14V34L6 40Z" fill="#111"/>'
    '<text x="15" y="11" text-anchor="middle" font-size="12" font-weight="700">N</text>'
    '<text x="15" y="51" text-anchor="middle" font-size="11">true</text></svg>'
    '<div><div id="scale-bar" class="scale-bar"><span>0</span><span></span><span></span></div>'
    '<div class="scale-note">on the ground at the base</div><div id="where" class="scale-note figure"></div></div></div>'
    '<svg class="cross" viewBox="-20 -20 40 40" aria-hidden="true"><path d="M-19 0H-4M4 0H19M0 -19V-4M0 4V19" stroke="#fff" '
    'stroke-width="6"/><path d="M-19 0H-4M4 0H19M0 -19V-4M0 4V19" stroke="#111" stroke-width="2.4"/></svg>'
)
MEASURE = (
    '<div id="measure" class="box" role="group" aria-label="Measuring" hidden>'
    '<p id="measure-text" class="figure" aria-live="polite"></p><p id="measure-cross" class="figure small"></p>'
    '<div class="row"><button type="button" id="measure-add">Add the cross</button>'
    '<button type="button" id="measure-undo">Take back</button>'
    '<button type="button" id="measure-end">End (Esc)</button></div></div>'
)


def _position(plan: Plan) -> str:
    """The box of the reader's own position: the way to the nearest stake and to a chosen one."""
    choices = "".join(f"<option>{escape(stake.id)}</option>" for stake in (*plan.stakes, *plan.control))
    return (
        '<div id="here" class="box" role="group" aria-label="Your position" hidden><p id="here-state" aria-live="polite"></p>'
        '<div id="here-found" hidden><p id="here-near" class="figure"></p>'
        f'<p class="to"><label for="here-stake">To stake</label><select id="here-stake">{choices}</select>'
        '<svg id="here-arrow" viewBox="-12 -12 24 24" aria-hidden="true"><path d="M0 -11L8 10L0 5L-8 10Z" fill="#111"/></svg></p>'
        '<p id="here-way" class="figure"></p><p id="here-own" class="small figure"></p></div>'
        '<p class="small">To find a stake, not to set one out. This page sends nothing.</p>'
        '<div class="row"><button type="button" id="here-follow" hidden>Follow me</button>'
        '<button type="button" id="here-end">End (Esc)</button></div></div>'
    )


def over_the_map(plan: Plan) -> str:
    """Scale, north, the cross and the boxes of the tools; every word of the user is escaped. No unit."""
    return f'{CORNER}<div class="boxes">{MEASURE}{_position(plan)}</div>'
