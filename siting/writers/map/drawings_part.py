"""The laydown rose and the profiles in the map's panel, as drawings inside the page."""

from __future__ import annotations

from siting.records.plan import Plan
from siting.writers.map.markup import section
from siting.writers.profiles.svg import guy_profiles_svg, laydown_profile_svg, rose_svg


def drawings_part(plan: Plan) -> str:
    """The section with rose and profiles; HTML, units in their words."""
    drawn = "".join(f'<div class="drawing">{draw(plan)}</div>' for draw in (rose_svg, laydown_profile_svg, guy_profiles_svg))
    return section("Rose and profiles", drawn, "drawings")
