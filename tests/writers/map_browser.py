"""map.html in a real browser with no network, for its tests: one start of the browser, several sizes of screen at once."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from html import unescape
from pathlib import Path

import pytest

# What the browser itself writes of scripts and of the policy: any of these is a failure.
COMPLAINTS = ("CONSOLE", "Uncaught", "Refused", "ERR_")
LISTEN = (
    "const got = []; onmessage = (e) => { got.push(e.data); document.getElementById('out').textContent = JSON.stringify(got); };"
)


def browser() -> str:
    names = ("chromium", "chromium-browser", "google-chrome")
    found = next((path for path in map(shutil.which, names) if path), None)
    if found is None:
        pytest.fail("no chromium on this machine: install the package chromium (.ci/run does)")
    return found


def run(page: Path, profile: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    command = [
        browser(), "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
        "--disable-background-networking", "--disable-component-update", "--disable-sync", "--disable-dev-shm-usage",
        "--host-resolver-rules=MAP * ~NOTFOUND", "--enable-logging=stderr", "--v=0", f"--user-data-dir={profile}",
        "--window-size=1900,1000", "--force-prefers-reduced-motion", *arguments, page.as_uri(),
    ]  # fmt: skip
    return subprocess.run(command, capture_output=True, text=True, timeout=120, check=True)


def visit(page: Path, profile: Path, patience_ms: int = 4000) -> tuple[str, list[str]]:
    """The document after its scripts ran, and what the browser complained of."""
    done = run(page, profile, f"--virtual-time-budget={patience_ms}", "--dump-dom")
    return done.stdout, [line for line in done.stderr.splitlines() if any(word in line for word in COMPLAINTS)]


def with_script(html: bytes, script: str, block: str = "", *, before: str = "") -> str:
    """The page with a script at its end, and one before its own scripts."""
    text = html.decode("utf-8")
    assert text.count("</body>") == text.count("<body>") == 1
    text = text.replace("<body>", f"<body><script>{before}</script>") if before else text
    return text.replace("</body>", f"{block}<script>{script}</script></body>")


def reports(folder: Path, page: str, sizes: dict[str, tuple[int, int]], patience_ms: int = 4000) -> tuple[dict[str, dict], list[str]]:
    """What the script in the page reports at each size by postMessage({width, found}), and the browser's complaints."""
    (folder / "map.html").write_text(page, "utf-8")
    frames = "".join(f'<iframe src="map.html" style="width:{w}px;height:{h}px;border:0"></iframe>' for w, h in sizes.values())
    (folder / "all.html").write_text(f'<meta charset="utf-8"><script>{LISTEN}</script><pre id="out"></pre>{frames}', "utf-8")
    document, complaints = visit(folder / "all.html", folder / "profile", patience_ms)
    got = json.loads(unescape(re.search(r'<pre id="out">(.*?)</pre>', document, re.DOTALL)[1]) or "[]")
    by_width = {report["width"]: report["found"] for report in got}
    assert set(by_width) == {width for width, _ in sizes.values()}, f"a frame did not report: {sorted(by_width)}"
    return {name: by_width[width] for name, (width, _) in sizes.items()}, complaints
