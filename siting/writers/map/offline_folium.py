"""A folium map in one file: Leaflet, styles, images and scripts inside, no link outside, the same bytes each time."""

from __future__ import annotations

import base64
import json
import re
from functools import cache
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import folium

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


def offline_map(centre: tuple[float, float], **options: Any) -> folium.Map:
    """A folium map that links to nothing; layers are added to it as to any other. No unit.

    Args:
        centre: latitude and longitude, degrees.
        options: Leaflet's options of the map, with underscores.
    """
    import folium  # 0.4 s: only for whoever asks for a map

    class OfflineMap(folium.Map):
        """folium's map without the scripts and styles that it would fetch."""

        default_js = []
        default_css = []

    made = OfflineMap(location=centre, tiles=None, zoom_start=16)
    made.options.update(options)
    return made


def _repeatable(page: str, figure: Any) -> str:
    """The page with folium's random ids numbered in order of appearance; other text is left alone."""
    known, left = set(), [figure, figure.header, figure.html, figure.script]
    while left:
        element = left.pop()
        known.add(element._id)
        left.extend(element._children.values())
    numbers: dict[str, str] = {}

    def numbered(match: re.Match[str]) -> str:
        name = match[0]
        return numbers.setdefault(name, f"{len(numbers) + 1}") if name in known else name

    return re.sub(r"(?<=_)[0-9a-f]{32}", numbered, page)


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


def page(the_map: folium.Map, title: str, body: str, sheets: tuple[str, ...], scripts: tuple[str, ...], start: str) -> bytes:
    """The whole HTML file, UTF-8, no unit.

    Args:
        the_map: from `offline_map`, with its layers.
        title: plain text.
        body: HTML with one `{map}` where the map stands; whoever makes it escapes the user's words.
        sheets: style sheets of the package, after Leaflet's own.
        scripts: scripts of the package, after Leaflet's own.
        start: JavaScript that runs when the map and its layers are there.
    """
    figure = the_map.get_root()
    figure.header._children.pop("meta_http")
    the_map.render()
    # folium forbids zooming with two fingers; someone who reads in the sun needs it.
    head = figure.header.render().replace(", maximum-scale=1.0, user-scalable=no", "")
    before, after = body.split("{map}")
    whole = whole_page(
        title, head, f"{before}{figure.html.render()}{after}", (sheets, scripts), f"{figure.script.render()}\n{start}"
    )
    return _repeatable(whole, figure).encode("utf-8")
