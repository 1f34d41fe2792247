"""A map in one file: Leaflet, styles, images and scripts inside, no link outside."""

from __future__ import annotations

import base64
import json
import re
from functools import cache
from html import escape
from pathlib import Path
from typing import Any

STATIC = Path(__file__).parents[2] / "static"
# Nothing may be fetched; only what the file itself holds may run.
POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src 'unsafe-inline'"


def data_uri(kind: str, body: bytes) -> str:
    """The bytes as a data: address of this media type, no unit."""
    return f"data:{kind};base64,{base64.b64encode(body).decode('ascii')}"


def for_script(value: Any) -> str:
    """The value as JSON that can stand inside a script element, no unit."""
    text = json.dumps(value, ensure_ascii=True, separators=(",", ":"))
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


@cache
def style_sheet(name: str) -> str:
    """A style sheet of the package with its images inside, no unit."""
    path = STATIC / name

    def inlined(match: re.Match[str]) -> str:
        return f"url({data_uri('image/png', (path.parent / match[1]).read_bytes())})"

    return re.sub(r"url\((images/[^)]+)\)", inlined, path.read_text("utf-8"))


@cache
def script(name: str) -> str:
    """A script of the package, fit to stand inside a script element, no unit."""
    text = (STATIC / name).read_text("utf-8")
    return re.sub(r"//# sourceMappingURL=\S+\s*$", "", text).replace("</script", "<\\/script")


def whole_page(title: str, head: str, body: str, static: tuple[tuple[str, ...], tuple[str, ...]], start: str) -> str:
    """The whole HTML file with Leaflet inside, no unit.

    Args:
        title: plain text; head: what the map needs there; body: HTML, the map's place in it.
        static: style sheets and scripts of the package, after Leaflet's own.
        start: JavaScript that makes the map.
    """
    sheets, scripts = static
    parts = [
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">',
        f'<meta http-equiv="Content-Security-Policy" content="{POLICY}">',
        f'<title>{escape(title)}</title>\n<link rel="icon" href="data:,">',
        f"<style>{style_sheet('leaflet/leaflet.css')}</style>",
        f"<script>{script('leaflet/leaflet.js')}</script>",
        head,
        *(f"<style>{style_sheet(name)}</style>" for name in sheets),
        *(f"<script>{script(name)}</script>" for name in scripts),
        f"</head>\n<body>{body}",
        f"<script>{start}</script>\n</body>\n</html>\n",
    ]
    return "\n".join(parts)
