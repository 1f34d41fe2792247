"""The checks of ground and lift in compiled form: one text for a single cell and for eight, the same numbers as the plan's."""

from __future__ import annotations

from siting.screening.compiled import part
from siting.screening.lanes import at, cells, choose, equal, fetch, larger, less, like, root, smaller
from siting.screening.stencil import Rules, Taps
from siting.verdict import UTILISATION_MAX

NO_END = 1e300


@part
def at_most_used(value, limit):
    """Utilisation of a value at most (checks.columns), not yet capped."""
    if limit > 0.0:
        return value / limit
    return choose(less(like(value, limit), value), like(value, NO_END), like(value, 0.0))


@part
def at_least_used(value, limit):
    """Utilisation of a least value (checks.columns), not yet capped."""
    nothing = choose(less(value, like(value, limit)), like(value, NO_END), like(value, 0.0))
    return choose(less(like(value, 0.0), value), like(value, max(limit, 0.0)) / value, nothing)


@part
def slope_used(value, least, most):
    """Utilisation of the laydown's slope (checks.columns), not yet capped."""
    span = most if most > 0.0 else 1.0
    return choose(less(value, like(value, least)), (like(value, least) - value) / span + 1.0, value / span)


@part
def range_used(value, least, most):
    """Utilisation of the laydown's slope where it is out of its range (sweep.choose), else a number below all others."""
    is_out = less(value, like(value, least)) | less(like(value, most), value)
    return choose(is_out, slope_used(value, least, most), like(value, -NO_END))


@part
def rest_angle(rest):
    """Cosine and sine of the rest line's angle (kernels.swing.cos_sin)."""
    cosine = like(rest, 1.0) / root(rest * rest + 1.0)
    return cosine, rest * cosine


@part
def capped(used):
    """At most 10, as the contract has it."""
    return smaller(like(used, UTILISATION_MAX), used)


@part
def is_better(used, azimuth, best, best_azimuth):
    """Where this azimuth takes the place of the best so far: less used, or as much and the smaller azimuth."""
    return less(used, best) | (equal(used, best) & less(azimuth, best_azimuth))


@part
def height_at(heights, base, taps: Taps, tap, value):
    """Bilinear height of a tap, in the order of kernels.heights.bilinear_at.

    Args:
        base: the base's cell on the flat raster; value: one double or eight, for how many are wanted.
    """
    first = base + at(taps.first, tap)
    right, low = at(taps.right, tap), first + at(taps.down, tap)
    u, v = at(taps.u, tap), at(taps.v, tap)
    upper, lower = cells(heights, first, value), cells(heights, low, value)
    upper = (cells(heights, first + right, value) - upper) * u + upper
    lower = (cells(heights, low + right, value) - lower) * u + lower
    return (lower - upper) * v + upper


@part
def steepest(slopes, base, anchors, start, count, value):
    """The steepest cell under an anchor of one azimuth, percent."""
    worst = cells(slopes, base + at(anchors, start), value)
    for a in range(1, count):
        worst = larger(worst, cells(slopes, base + at(anchors, start + a), value))
    return worst


@part
def travel_used(z, rest_cos, rest_sin, rules: Rules, guys, count):
    """The largest utilisation of some side guys' travels (kernels.swing.guy_travel).

    Args:
        z: heights of the side anchors over the hinge, one double or eight for each.
        guys: all of them (rules.guys), or one of each side anchor (rules.leaders); count: how many.
    """
    worst = like(rest_cos, -NO_END)
    for g in range(count):
        attach, x, y = at(guys, 4 * g), at(guys, 4 * g + 1), at(guys, 4 * g + 2)
        height = fetch(z, int(at(guys, 4 * g + 3)), rest_cos)
        first = rest_cos * x + height * rest_sin
        turn = height * rest_cos - rest_sin * x
        square = height * height
        far = root(square + x * x)
        zero = like(rest_cos, 0.0)
        most, least = larger(first, height), smaller(first, height)
        if x > 0.0:
            most = choose(less(zero, turn), far, most)
        if x < 0.0:
            least = choose(less(turn, zero), zero - far, least)
        total = (square + (x * x + y * y)) + attach * attach
        worst = larger(worst, root(total - least * (2.0 * attach)) - root(total - most * (2.0 * attach)))
    return at_most_used(worst, rules.travel_most)


@part
def arm_at_end(z, rules: Rules):
    """Lever arm of the winch line where it is last judged, whatever the rest line.

    Args:
        z: height of the winch over the hinge.
    """
    x, y, pole = rules.winch_x, rules.winch_y, rules.pole
    square = (z * z + (x * x + y * y)) + pole * pole
    return (z * rules.end_sin + x * rules.end_cos) * -pole / root(square + (like(z, x * rules.end_sin) - z * rules.end_cos) * (2.0 * pole))


@part
def arm_used(z, rest_cos, rest_sin, rules: Rules):
    """Utilisation of the winch line's smallest arm (kernels.swing.least_arm)."""
    x, y, pole = rules.winch_x, rules.winch_y, rules.pole
    zz = z * z
    square = (zz + (x * x + y * y)) + pole * pole
    twice = 2.0 * pole
    at_rest = (rest_cos * x + z * rest_sin) * -pole / root(square + (rest_sin * x - z * rest_cos) * twice)
    rho = larger(root(zz + x * x), like(z, 1e-12))
    ratio = square / (rho * twice)
    s = root(larger(ratio * ratio - 1.0, like(z, 0.0))) - ratio
    c = root(larger(like(z, 1.0) - s * s, like(z, 0.0)))
    cosine, sine = (c * x - z * s) / rho, (z * c + s * x) / rho
    zero = like(z, 0.0)
    is_between = less(zero, sine * rest_cos - cosine * rest_sin) & less(zero, cosine * rules.end_sin - sine * rules.end_cos)
    turned = rho * c * -pole / root(larger(square + rho * s * twice, like(z, 1e-300)))
    ends = smaller(at_rest, arm_at_end(z, rules))
    return at_least_used(choose(is_between, smaller(ends, turned), ends) / pole, rules.arm_least)
