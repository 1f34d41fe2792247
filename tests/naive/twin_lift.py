"""The lift in three dimensions: side guys and winch line, by turning vectors and adding moments.

Frame at the hinge, metres: x along the laydown, y to the left of it, z up. The mast rises by a turn about the
axis (0, -1, 0), which takes x to z. Angles are the mast's height above the horizontal, degrees.
Written from the contract's words alone; shares nothing with the package.
"""

import math

import numpy as np

GRAVITY = 9.80665  # m/s2, the contract's
STEP_DEG = 0.01
SLICES = 1000
AXIS = np.array([0.0, -1.0, 0.0])


def turns(angles_deg):
    """(n, 3, 3) rotation matrices about the hinge axis (Rodrigues), for a mast that starts level."""
    x, y, z = AXIS
    cross = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    t = np.radians(np.atleast_1d(angles_deg))[:, None, None]
    return np.eye(3) + np.sin(t) * cross + (1.0 - np.cos(t)) * (cross @ cross)


def dense_angles(first_deg, last_deg):
    """Angles from first to last, both ends in it, no wider apart than a hundredth of a degree."""
    return np.linspace(first_deg, last_deg, max(2, math.ceil((last_deg - first_deg) / STEP_DEG) + 1))


def from_hinge(base, mast, anchor):
    """(3,) an anchor's ground point seen from the hinge, metres."""
    b = math.radians(anchor["bearing_deg"])  # clockwise, so to the right, so y is negative at 90
    rise = anchor["height_m"] - (base["height_m"] + mast["hinge_height_m"])
    return np.array([anchor["radius_m"] * math.cos(b), -anchor["radius_m"] * math.sin(b), rise])


def is_side(anchor):
    """True for a temporary anchor within 30 degrees (30 itself counts) of +90 or -90 from the laydown."""
    bearing = anchor["bearing_deg"] % 360.0
    return anchor["use"] == "temporary" and (abs(bearing - 90.0) <= 30.0 or abs(bearing - 270.0) <= 30.0)


def guy_lengths_m(place, attach_m, angles_deg):
    """(n,) distance from the attachment on the turning mast to the anchor, metres."""
    attachment = turns(angles_deg) @ np.array([attach_m, 0.0, 0.0])
    return np.linalg.norm(attachment - place, axis=1)


def side_guys(base, mast, anchors, rest_deg, angles_deg):
    """[{anchor, attach_m, length_m at angles_deg, travel_m}] of every guy that holds to a side anchor."""
    # OPEN: any guy of a side anchor counts, whatever the guy's own `use` says.
    by_id = {a["id"]: a for a in anchors}
    out = []
    for guy in mast["guys"]:
        for name in guy["anchors"]:
            if not is_side(by_id[name]):
                continue
            place = from_hinge(base, mast, by_id[name])
            dense = guy_lengths_m(place, guy["attach_m"], dense_angles(rest_deg, 90.0))
            shown = [float(v) for v in guy_lengths_m(place, guy["attach_m"], angles_deg)]
            travel = float(dense.max() - dense.min())
            out.append({"anchor": name, "attach_m": guy["attach_m"], "length_m": shown, "travel_m": travel})
    return out


def arms_m(base, mast, winch, angles_deg):
    """(n,) lever arm about the hinge axis of the line from the gin pole's tip to the winch anchor, metres.

    The moment about the axis of a pull of one along the line, from the cross product; negative where it pulls down.
    """
    # OPEN: the pole's foot is taken at the hinge; a winch anchor out of the laydown's plane gives the moment
    # about the hinge axis, not the distance of two skew lines.
    tip = turns(angles_deg) @ np.array([0.0, 0.0, mast["gin_pole_length_m"]])  # square to the mast, on its upper side
    line = from_hinge(base, mast, winch) - tip
    pull = line / np.linalg.norm(line, axis=1)[:, None]
    return np.cross(tip, pull) @ AXIS


def winch_arm_ratio(base, mast, winch, rest_deg):
    """The smallest arm from rest to 80 degrees, as a ratio of the gin pole's length."""
    return (
        float(arms_m(base, mast, winch, dense_angles(rest_deg, max(rest_deg, 80.0))).min()) / mast["gin_pole_length_m"]
    )


def weight_moment_knm(mast, angle_deg):
    """Moment of the bare mast's weight that the winch must overcome, kN m, slice by slice."""
    slice_m = mast["height_m"] / SLICES
    along = (np.arange(SLICES) + 0.5) * slice_m
    spots = along[:, None] * (turns(angle_deg)[0] @ np.array([1.0, 0.0, 0.0]))
    weight = np.array([0.0, 0.0, -mast["mass_kg_per_m"] * slice_m * GRAVITY])
    return -float(np.cross(spots, weight).sum(axis=0) @ AXIS) / 1000.0


def winch_pull_kn(base, mast, winch, angles_deg):
    """[kN or None] winch line pull at each angle, the mast's weight alone; None where the arm is not positive."""
    out = []
    for angle, arm in zip(angles_deg, arms_m(base, mast, winch, angles_deg), strict=True):
        out.append(weight_moment_knm(mast, angle) / float(arm) if arm > 0.0 else None)
    return out
