"""The inline pictures of the map: laydown, guys, rose. Each stands alone in a page, and all three beside each other."""

from __future__ import annotations

from siting.writers.profiles.svg_guys import guy_profiles_svg
from siting.writers.profiles.svg_laydown import laydown_profile_svg
from siting.writers.profiles.svg_rose import rose_svg

__all__ = ["guy_profiles_svg", "laydown_profile_svg", "rose_svg"]
