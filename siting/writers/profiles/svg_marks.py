"""What the inline pictures of the map are made of: elements without script, ids of their own, text that a screen reader hears.

Lengths are the picture's own units: WIDTH across, so that TEXT is read on a phone. Ink is currentColor; classes and
patterns tell things apart, never colour alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from siting.writers.paper.canvas import Point
from siting.writers.xml_text import printable

WIDTH, TEXT, SMALL = 120.0, 4.2, 3.8
EM, NARROW, BROAD, BOLD = 0.54, 0.31, 0.74, 1.06  # widths of letters, of their size
LINE = 1.28
STYLE = "display:block;width:100%;max-width:40rem;height:auto"


def plain(text: str) -> str:
    """A text as XML may hold it; no unit."""
    return escape(printable(text), quote=True)


def number(value: float) -> str:
    """A coordinate with two decimals at most, no unit."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def element(name: str, content: str = "", **attributes: object) -> str:
    """An element; an attribute's underscores become hyphens, numbers are rounded, None leaves it out; no unit.

    Args:
        content: finished markup.
    """
    parts = []
    for key, value in attributes.items():
        if value is not None:
            text = number(value) if isinstance(value, float | int) else plain(str(value))
            parts.append(f' {key.rstrip("_").replace("_", "-")}="{text}"')
    return f"<{name}{''.join(parts)}>{content}</{name}>" if content else f"<{name}{''.join(parts)}/>"


def words(at: Point, text: str, size: float = TEXT, *, bold: bool = False, align: str = "start", css: str = "pf-words") -> str:
    """A line of text with its base line here; align: start, middle or end."""
    anchor = None if align == "start" else align
    weight = "700" if bold else None
    return element(
        "text", plain(text), class_=css, x=at[0], y=at[1], font_size=size, font_weight=weight, text_anchor=anchor, fill="currentColor"
    )


def wide(text: str, size: float = TEXT, *, bold: bool = False) -> float:
    """About how wide a line of text is in the usual letters of a screen without serifs."""
    parts = sum(NARROW if c in "iljtfrI.,:;'|() -" else BROAD if c.isupper() or c in "mw%−+" else EM for c in text)
    return size * parts * (BOLD if bold else 1.0)


def wrapped(text: str, width: float, size: float = TEXT, *, bold: bool = False) -> list[str]:
    """The text in lines of at most this width; a word that is wider is cut; no unit."""
    lines, line_now = [], ""
    for word in text.split():
        longer = f"{line_now} {word}".strip()
        if wide(longer, size, bold=bold) <= width:
            line_now = longer
            continue
        lines += [line_now] if line_now else []
        while wide(word, size, bold=bold) > width:
            fit = max(1, sum(1 for n in range(1, len(word)) if wide(word[:n], size, bold=bold) <= width))
            lines.append(word[:fit])
            word = word[fit:]
        line_now = word
    return [*lines, line_now] if line_now or not lines else lines


def block(at: Point, text: str, width: float, size: float = TEXT, *, bold: bool = False) -> tuple[str, float]:
    """A text in lines below each other from this upper left corner, and where the next thing begins."""
    lines = wrapped(text, width, size, bold=bold)
    drawn = [words((at[0], at[1] + size * (0.92 + LINE * k)), line, size, bold=bold) for k, line in enumerate(lines)]
    return "".join(drawn), at[1] + size * LINE * len(lines)


def line(a: Point, b: Point, css: str, stroke: float = 0.3, dash: str | None = None) -> str:
    """A straight line."""
    return element("line", class_=css, x1=a[0], y1=a[1], x2=b[0], y2=b[1], stroke="currentColor", stroke_width=stroke, stroke_dasharray=dash)


def polyline(points: Sequence[Point], css: str, stroke: float = 0.3, dash: str | None = None) -> str:
    """A line through points."""
    placed = " ".join(f"{number(x)},{number(y)}" for x, y in points)
    return element("polyline", class_=css, points=placed, fill="none", stroke="currentColor", stroke_width=stroke, stroke_dasharray=dash)


def polygon(points: Sequence[Point], css: str, fill: str = "currentColor", stroke: float | None = None) -> str:
    """A filled outline."""
    placed = " ".join(f"{number(x)},{number(y)}" for x, y in points)
    return element("polygon", class_=css, points=placed, fill=fill, stroke=None if stroke is None else "currentColor", stroke_width=stroke)


def circle(at: Point, radius: float, css: str, fill: str = "none", stroke: float | None = 0.3) -> str:
    """A circle."""
    ink = None if stroke is None else "currentColor"
    return element("circle", class_=css, cx=at[0], cy=at[1], r=radius, fill=fill, stroke=ink, stroke_width=stroke)


def box(corner: Point, size: Point, css: str, fill: str = "none", stroke: float | None = 0.3) -> str:
    """A rectangle by its upper left corner."""
    ink = None if stroke is None else "currentColor"
    return element("rect", class_=css, x=corner[0], y=corner[1], width=size[0], height=size[1], fill=fill, stroke=ink, stroke_width=stroke)


def blocks(parts: Sequence[tuple[Point, Point]], css: str) -> str:
    """A scale bar of blocks, every other one filled: (upper left corner, size) each."""
    return "".join(box(corner, size, css, "currentColor" if k % 2 == 0 else "#fff", 0.2) for k, (corner, size) in enumerate(parts))


def earth_pattern(prefix: str) -> str:
    """The hatching of the ground as a pattern with an id of this picture's own."""
    stroke = element("path", d="M0 2.4L2.4 0", stroke="currentColor", stroke_width=0.3)
    return element("pattern", stroke, id=f"{prefix}-earth", width=2.4, height=2.4, patternUnits="userSpaceOnUse")


def picture(prefix: str, height: float, told: tuple[str, str], content: str, defs: str = "") -> str:
    """The whole picture: title and description first, ids that begin with the prefix, no script.

    Args:
        told: title and description, plain text.
    """
    title = element("title", plain(told[0]), id=f"{prefix}-title")
    about = element("desc", plain(told[1]), id=f"{prefix}-desc")
    inside = title + about + (element("defs", defs) if defs else "") + content
    return element(
        "svg", inside, xmlns="http://www.w3.org/2000/svg", class_=f"pf-picture {prefix}", viewBox=f"-0.3 0 {number(WIDTH + 0.6)} {number(height)}",
        role="img", aria_labelledby=f"{prefix}-title {prefix}-desc", style=STYLE,
    )  # fmt: skip
