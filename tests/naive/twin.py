"""An independent second computation of a plan, from the contract's words alone: slow, plain, and its own.

`twin_plan` returns the fixed keys of plan.json that come from the ground, the mast and the geometry (no land, no
declination, no writers). Lines marked OPEN in these files are readings where the contract leaves a choice.
"""

import tomllib

from twin_choose import DEFAULT_LIMITS, azimuth_checks, candidate, rank_azimuths
from twin_ground import Ground, NoHeight
from twin_layout import (
    anchors_on_ground,
    frame,
    guy_chords,
    head_on_ground,
    heights_along,
    laydown_profile,
    stake,
)
from twin_lift import side_guys, winch_arm_ratio, winch_pull_kn


def read_mast(mast_toml_path):
    """The mast file as a dict."""
    with open(mast_toml_path, "rb") as file:
        mast = tomllib.load(file)
    mast.setdefault("guys", [])
    return mast


def stand_base(ground, lat, lon):
    """The base with its height and half the cell it stands in, metres; raises NoHeight."""
    base = {"lat": lat, "lon": lon, "height_m": 0.0}
    ((col, row, height),) = heights_along(ground, base, [(0.0, 0.0)])
    return base | {"height_m": height, "half_cell_m": ground.half_cell_m(col, row)}


def work_out(ground, base, mast, limits, azimuth_deg, angles_deg=None):
    """Everything about one azimuth; raises NoHeight where it needs a point that has none."""
    profile = laydown_profile(ground, base, mast, azimuth_deg)
    head = head_on_ground(ground, base, mast, azimuth_deg, profile["rest_deg"])
    anchors = anchors_on_ground(ground, base, mast, azimuth_deg)
    rest = profile["rest_deg"]
    guys = side_guys(base, mast, anchors, rest, angles_deg if angles_deg is not None else [rest, 90.0])
    winches = [a for a in anchors if a["use"] == "winch"]
    ratios = [(w["id"], winch_arm_ratio(base, mast, w, rest)) for w in winches]
    checks = azimuth_checks(profile, anchors, guys, ratios, limits)
    return {
        "profile": profile, "head": head, "anchors": anchors, "side_guys": guys, "winches": winches,
        "ratios": ratios, "checks": checks, "candidate": candidate(azimuth_deg, profile, checks),
    }  # fmt: skip


def default_angles(rest_deg):
    """Rest, then every five degrees above it, to 90."""
    return [rest_deg] + [float(t) for t in range(-90, 91, 5) if t > rest_deg]


def sweep(ground, base, mast, limits, azimuths):
    """(candidates, {azimuth: reason}) over the azimuths; those that need a missing height stand in the second."""
    candidates, dropped = [], {}
    for azimuth_deg in azimuths:
        try:
            candidates.append(work_out(ground, base, mast, limits, azimuth_deg)["candidate"])
        except NoHeight as reason:
            dropped[azimuth_deg] = str(reason)
    return candidates, dropped


def twin_plan(
    dem_path, lat, lon, mast_toml_path, vertical_unit=None, limits=None, azimuth=None, azimuths=None, angles_deg=None
):
    """The plan's numbers as a dict in the shape of plan.json, computed the slow way.

    Args:
        lat, lon: the base, WGS 84 degrees.
        vertical_unit: "m", "ft" or "us-ft"; None reads the file's own.
        limits: keys of the site file's [limits] to change.
        azimuth: the user's own laydown azimuth in degrees; None takes the best of the sweep.
        azimuths: the azimuths to sweep; None for all 360 whole degrees, [] for none (then give `azimuth`).
        angles_deg: angles of the lift tables; None for rest, every 5 degrees, 90.
    Returns:
        base, crs, laydown (with candidates, dropped, dropped_because, ranking), stakes (anchors, then the head),
        guys, lift, checks (kind, of, value, limit, unit, utilisation, verdict), verdict.
    Raises:
        NoHeight: the base, the user's azimuth, or every azimuth needs a point without a height.
    """
    ground = Ground(dem_path, vertical_unit)
    mast = read_mast(mast_toml_path)
    limits = DEFAULT_LIMITS | (limits or {})
    base = stand_base(ground, lat, lon)
    crs = frame(base)
    candidates, dropped = sweep(ground, base, mast, limits, range(360) if azimuths is None else azimuths)
    ranking = rank_azimuths(candidates)
    if azimuth is None and not ranking:
        raise NoHeight("no azimuth remains: " + next(iter(dropped.values()), "none was asked for"))
    chosen = ranking[0] if azimuth is None else azimuth
    rest = laydown_profile(ground, base, mast, chosen)["rest_deg"]
    angles = list(angles_deg) if angles_deg is not None else default_angles(rest)
    found = work_out(ground, base, mast, limits, chosen, angles)
    return shape_plan(base, crs, mast, chosen, found, angles, (candidates, dropped, ranking))


def shape_plan(base, crs, mast, chosen, found, angles, swept):
    """The dict in the shape of plan.json."""
    candidates, dropped, ranking = swept
    profile, winches = found["profile"], found["winches"]
    base_stake = stake(base, crs["epsg"], {
        "id": "base", "use": "base", "radius_m": 0.0, "azimuth_deg": 0.0, "height_m": base["height_m"],
        "slope_percent": None,
    })  # fmt: skip
    return {
        "base": {key: (base_stake | base)[key] for key in ("lat", "lon", "easting", "northing", "height_m")},
        "crs": crs,
        "laydown": {
            "azimuth_deg": chosen,
            "azimuth_grid_deg": (chosen - crs["convergence_deg"]) % 360.0,
            "slope_percent": profile["slope_percent"],
            "rest_slope_percent": profile["rest_slope_percent"],
            "max_gap_m": profile["max_gap_m"],
            "verdict": found["candidate"]["verdict"],
            "profile_samples": profile["samples"],
            "candidates": candidates,
            "dropped": list(dropped),
            "dropped_because": dropped,
            "ranking": ranking,
        },
        "stakes": [stake(base, crs["epsg"], spot) for spot in [*found["anchors"], found["head"]]],
        "guys": guy_chords(base, mast, found["anchors"]),
        "lift": {
            "angles_deg": angles,
            "rest_deg": profile["rest_deg"],
            "side_guys": found["side_guys"],
            "winch_pull_kn": winch_pull_kn(base, mast, winches[0], angles) if winches else [None] * len(angles),
            "winch_arm_ratio": min((ratio for _, ratio in found["ratios"]), default=None),
        },
        "checks": found["checks"],
        "worst_utilisation": found["candidate"]["worst_utilisation"],
        "verdict": found["candidate"]["verdict"],
    }
