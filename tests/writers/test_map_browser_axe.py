"""map.html against the accessibility rules of axe-core, on a desk's and on a phone's screen."""

from __future__ import annotations

import hashlib
import subprocess
import tarfile
from pathlib import Path

import pytest
from writers.map_browser import reports, with_script
from writers.rover_plans import demo

from siting.writers.map.html import map_html

HERE = Path(__file__).parent


def probe(name: str) -> str:
    """The report of axe with a page's own states."""
    return (HERE / "axe_report.js").read_text("utf-8") + (HERE / name).read_text("utf-8")


PROBE = probe("map_axe.js")
SCREENS = {"desk": (1400, 900), "phone": (390, 844)}
AXE, AXE_SHA256 = "axe-core@4.10.3", "880970c081707360e64f34cea25ff91892f5bc95675b0776925b9709dd8a68bb"


@pytest.fixture(scope="module")
def axe(tmp_path_factory) -> str:
    """axe-core as npm gives it, the same bytes each time; where npm cannot reach it, no test."""
    folder = tmp_path_factory.mktemp("axe")
    try:
        done = subprocess.run(["npm", "pack", "--silent", AXE], cwd=folder, capture_output=True, text=True, timeout=60, check=False)
    except (OSError, subprocess.TimeoutExpired):
        pytest.skip(f"npm is not on this machine, or could not bring {AXE} in a minute")
    if done.returncode:
        pytest.skip(f"npm could not bring {AXE}: no network?")
    with tarfile.open(next(folder.glob("*.tgz"))) as packed:
        script = packed.extractfile("package/axe.min.js").read()
    assert hashlib.sha256(script).hexdigest() == AXE_SHA256
    return script.decode("utf-8").replace("</script", "<\\/script")


@pytest.fixture(scope="module")
def looked_at(axe, tmp_path_factory) -> dict[str, dict]:
    page = with_script(map_html(demo()), PROBE, f"<script>{axe}</script>")
    return reports(tmp_path_factory.mktemp("axe_map"), page, SCREENS, 60000)[0]


@pytest.mark.parametrize("screen", list(SCREENS))
def test_axe_finds_nothing_serious(looked_at, screen):
    found = looked_at[screen]
    assert found.get("broken") is None
    assert found["passes"] > 80
    assert [v for v in found["violations"] if v["impact"] in ("serious", "critical")] == []


def test_axe_would_find_a_fault(axe, tmp_path):
    """The check above can fail: a button without a name and pale type are found."""
    fault = '<button></button><p style="color:#bbb;background:#fff">pale</p>'
    page = with_script(map_html(demo()), PROBE, f"{fault}<script>{axe}</script>")
    found = reports(tmp_path, page, {"desk": SCREENS["desk"]}, 60000)[0]["desk"]
    assert "button-name" in {v["id"] for v in found["violations"]}
