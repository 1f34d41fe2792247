"""Checks that depend on the azimuth, their utilisations and verdicts, and the order of the azimuths.

Written from the contract's sections 3 and 5 alone; shares nothing with the package.
"""

DEFAULT_LIMITS = {
    "laydown_slope_min_percent": -0.5,
    "laydown_slope_max_percent": 15.0,
    "rest_slope_max_percent": 20.0,
    "gap_max_m": 3.0,
    "anchor_slope_max_percent": 27.0,
    "side_guy_travel_max_m": 1.0,
    "winch_arm_min_ratio": 0.1,
}
MOST = 10.0
VERDICT_ORDER = ("pass", "marginal", "fail")


def check(kind, of, value, limit, unit, utilisation):
    """One check; `of` names the anchor or guy that it judges. More than 1 fails, 1 itself passes."""
    # OPEN: how the uncertainty of a value is found is not in the contract, so `marginal` is never given here:
    # a `pass` of the twin may be `pass` or `marginal` in a plan, a `fail` may only be `fail`.
    # OPEN: a value below nought (a rest line that falls) keeps its negative utilisation, value / limit as written.
    utilisation = min(utilisation, MOST)
    verdict = "fail" if utilisation > 1.0 else "pass"
    return {
        "kind": kind, "of": of, "value": value, "limit": limit, "unit": unit,
        "utilisation": utilisation, "verdict": verdict,
    }  # fmt: skip


def laydown_slope_check(slope, limits):
    """The range of the laydown's own slope: slope / maximum, below the minimum 1 + (minimum - slope) / maximum."""
    low, high = limits["laydown_slope_min_percent"], limits["laydown_slope_max_percent"]
    if slope < low:
        return check("laydown_slope", "", slope, low, "percent", 1.0 + (low - slope) / high)
    return check("laydown_slope", "", slope, high, "percent", slope / high)


def at_most(kind, of, value, limit, unit):
    """A check with a greatest value."""
    return check(kind, of, value, limit, unit, value / limit)


def at_least(kind, of, value, limit, unit):
    """A check with a least value; a value of nought or less is past every limit."""
    return check(kind, of, value, limit, unit, limit / value if value > 0.0 else MOST)


def azimuth_checks(profile, anchors, side_guys, winch_ratios, limits):
    """Every azimuth-dependent check of one azimuth, laydown slope first."""
    found = [
        laydown_slope_check(profile["slope_percent"], limits),
        at_most("rest_slope", "", profile["rest_slope_percent"], limits["rest_slope_max_percent"], "percent"),
        at_most("gap", "", profile["max_gap_m"], limits["gap_max_m"], "m"),
    ]
    for a in anchors:  # OPEN: every anchor: permanent, temporary and winch; the head is no anchor
        limit = limits["anchor_slope_max_percent"]
        found.append(at_most("anchor_slope", a["id"], a["slope_percent"], limit, "percent"))
    for g in side_guys:
        name = f"{g['anchor']} {g['attach_m']}"
        found.append(at_most("side_guy_travel", name, g["travel_m"], limits["side_guy_travel_max_m"], "m"))
    for name, ratio in winch_ratios:
        found.append(at_least("winch_arm", name, ratio, limits["winch_arm_min_ratio"], "ratio"))
    return found


def worst_of_kinds(checks):
    """{kind: its check with the largest utilisation}."""
    worst = {}
    for c in checks:
        if c["kind"] not in worst or c["utilisation"] > worst[c["kind"]]["utilisation"]:
            worst[c["kind"]] = c
    return worst


def candidate(azimuth_deg, profile, checks):
    """One row of the sweep."""
    worst = worst_of_kinds(checks)
    slope = worst["laydown_slope"]["utilisation"]
    # OPEN: the laydown slope "stays out of the ranking while it is inside": out of the mean too, and in both
    # when it is above 1.
    counted = [c["utilisation"] for kind, c in worst.items() if kind != "laydown_slope" or slope > 1.0]
    return {
        "azimuth_deg": azimuth_deg,
        "slope_percent": profile["slope_percent"],
        "rest_slope_percent": profile["rest_slope_percent"],
        "max_gap_m": profile["max_gap_m"],
        "worst_utilisation": max(counted),
        "mean_utilisation": sum(counted) / len(counted),
        "slope_inside": slope <= 1.0,
        "kinds": {kind: c["utilisation"] for kind, c in worst.items()},
        "verdict": "fail" if any(c["verdict"] == "fail" for c in checks) else "pass",
    }


def rank_azimuths(candidates, verdicts=None):
    """Azimuths from best to worst.

    Args:
        candidates: rows as `candidate` makes them.
        verdicts: {azimuth_deg: verdict} to rank by instead of the rows' own, where a plan knows of `marginal`.
    """

    def key(c):
        verdict = verdicts[c["azimuth_deg"]] if verdicts else c["verdict"]
        return (
            0 if c["slope_inside"] else 1,
            VERDICT_ORDER.index(verdict),
            round(c["worst_utilisation"], 3),
            round(c["mean_utilisation"], 9),  # OPEN: not rounded in the contract; 1e-9 only takes off rounding noise
            c["azimuth_deg"],
        )

    return [c["azimuth_deg"] for c in sorted(candidates, key=key)]
