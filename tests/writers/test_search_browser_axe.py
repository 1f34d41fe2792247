"""search.html against the accessibility rules of axe-core, on a desk's and on a phone's screen."""

from __future__ import annotations

import pytest
from writers.map_browser import reports, with_script
from writers.search_results import SPOTS, UNSCREENED
from writers.test_map_browser_axe import SCREENS, axe, probe  # noqa: F401  # the fixture
from writers.test_search_html import page

PROBE = probe("search_axe.js")


@pytest.fixture(scope="module")
def looked_at(axe, tmp_path_factory) -> dict[str, dict]:  # noqa: F811
    html = page(spots=(*SPOTS[:2], UNSCREENED, SPOTS[3]))
    return reports(tmp_path_factory.mktemp("axe_search"), with_script(html, PROBE, f"<script>{axe}</script>"), SCREENS, 60000)[0]


@pytest.mark.parametrize("screen", list(SCREENS))
def test_axe_finds_nothing_serious(looked_at, screen):
    found = looked_at[screen]
    assert found.get("broken") is None
    assert found["passes"] > 60
    assert [v for v in found["violations"] if v["impact"] in ("serious", "critical")] == []
