"""The legend of the map: only what is drawn on it, in the same signs and strokes."""

from __future__ import annotations

from siting.records.plan import Plan

STAKES = (
    ("base", "Base"),
    ("head", "Mast head before the lift"),
    ("permanent", "Permanent anchor"),
    ("temporary", "Temporary anchor (lift only)"),
    ("winch", "Winch anchor"),
    ("offset", "Offset stake (zoom in)"),
    ("control", "Control point"),
    ("feature", "Physical feature"),
)
LINE, AREA = "M1 10H33", "M2 3H32V17H2Z"
# style class, how it is drawn, words
STROKES = (
    ("laydown", LINE, "Laydown, base to head"),
    ("guy_permanent", LINE, "Guy, permanent"),
    ("guy_temporary", LINE, "Guy, lift only"),
    ("side_guy", LINE, "Side guy, lift only"),
    ("winch_line", LINE, "Winch line"),
    ("fall_zone", AREA, "Fall zone"),
    ("setback", LINE, "Setback"),
    ("anchor_circle", LINE, "Anchor circle"),
    ("boundary_tie", "M5 10H29", "Nearest boundary"),
    ("move", "M2 10H26", "Move of the base"),
    ("zones", AREA, "Exclusion zone (layer)"),
    ("reach", AREA, "Reach of a fall (layer)"),
    ("reach_guys", AREA, "Reach of parted guys (layer)"),
    ("own_land", LINE, "Own land"),
    ("parcel", LINE, "Other parcel"),
    ("obstacle", LINE, "Obstacle"),
    ("other", LINE, "Other"),
)


def legend(plan: Plan, drawn: set[str]) -> str:
    """The legend as HTML, without a word of the user's, no unit.

    Args:
        drawn: style classes of the lines and areas on the map.
    """
    roles = {point.role for point in (*plan.stakes, *plan.control)}
    items = [
        f'<li><svg class="c-{role}" viewBox="-17 -10 34 20" aria-hidden="true"><use href="#s-{role}" x="-10" y="-10" '
        f'width="20" height="20"></use></svg>{words}</li>'
        for role, words in STAKES
        if role in roles
    ]
    # a side guy and another guy of the lift are drawn alike
    shown = drawn - {"side_guy"} if "guy_temporary" in drawn else drawn
    items += [
        f'<li><svg viewBox="0 0 34 20" aria-hidden="true"><path class="k k-{css}" d="{path}"></path></svg>{words}</li>'
        for css, path, words in STROKES
        if css in shown
    ]
    if "power" in drawn:
        sign = '<use href="#s-power" x="-10" y="-10" width="20" height="20"></use>'
        items.append(f'<li><svg viewBox="-17 -10 34 20" aria-hidden="true">{sign}</svg>Nearest point of an overhead line</li>')
    if plan.backdrop is not None:
        words = f"Contours every {plan.backdrop.contour_interval_m:g} m"
        path = f'<path class="k k-contour_index" d="{LINE}"></path>'
        items.append(f'<li><svg viewBox="0 0 34 20" aria-hidden="true">{path}</svg>{words}</li>')
    return f'<details class="legend" open><summary>Legend</summary><ul>{"".join(items)}</ul></details>'
