"""Pieces of HTML that the map's panel is made of; every word that goes in is escaped."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

from siting.writers.map.words import VERDICT_WORDS, Rows


def plain(name: str) -> str:
    """A name of the program as words, no unit."""
    return name.replace("_", " ")


def sentence(text: str) -> str:
    """The text, escaped, with one full stop at its end; no unit."""
    return escape(text.rstrip(".") + ".")


def sign(verdict: str) -> str:
    """The sign of a verdict: its form says what its colour says, no unit."""
    return f'<svg aria-hidden="true"><use href="#v-{verdict}"></use></svg>'


def word(verdict: str, text: str = "") -> str:
    """The verdict as a word with its sign, or another text in its look; no unit."""
    return f'<span class="word fill-{verdict}">{sign(verdict)}{escape(text or VERDICT_WORDS[verdict])}</span>'


def loud(verdict: str, text: str) -> str:
    """A line that nobody can overlook, no unit."""
    return f'<p class="loud fill-{verdict}">{sign(verdict)}<span>{escape(text)}</span></p>'


def paragraph(text: str, css: str = "") -> str:
    """A paragraph; nothing where there is no text. No unit."""
    return f'<p class="{css}">{escape(text)}</p>' if text else ""


def facts(rows: Rows) -> str:
    """Names and values in two columns, no unit of its own."""
    pairs = (f"<dt>{escape(name)}</dt><dd>{escape(value)}</dd>" for name, value in rows)
    return f'<dl class="facts">{"".join(pairs)}</dl>'


def bullets(lines: Iterable[str], tag: str = "ul") -> str:
    """A list of sentences; nothing where there are none. No unit.

    Args:
        tag: ul, or ol where the order counts.
    """
    items = "".join(f"<li>{escape(line)}</li>" for line in lines)
    return f"<{tag}>{items}</{tag}>" if items else ""


def titled(title: str, content: str) -> str:
    """Content under a small heading; nothing where there is none. No unit."""
    return f"<h3>{escape(title)}</h3>{content}" if content else ""


def section(title: str, content: str, name: str = "", *, told: str = "", is_open: bool = False) -> str:
    """A section that opens and closes; nothing where it has no content. No unit.

    Args:
        name: style class.
        told: HTML beside the heading, seen while the section is closed too.
        is_open: as the page opens.
    """
    if not content:
        return ""
    return (
        f'<details class="part {name}"{" open" if is_open else ""}><summary><h2>{escape(title)}</h2>{told}</summary>'
        f'<div class="inside">{content}</div></details>'
    )


def wide_table(label: str, heads: Sequence[str], rows: Iterable[Sequence[str]], css: str = "") -> str:
    """A table that scrolls sideways in a frame of its own, which the keyboard reaches; no unit of its own.

    Args:
        label: what it is, for readers of the screen.
        heads: HTML of the column heads.
        rows: HTML of the cells, the first of each row its head.
    """
    head = "".join(f'<th scope="col">{text}</th>' for text in heads)
    body = "".join(f'<tr><th scope="row">{first}</th>{"".join(f"<td>{cell}</td>" for cell in rest)}</tr>' for first, *rest in rows)
    return (
        f'<div class="wide {css}" tabindex="0" role="region" aria-label="{escape(label)}">'
        f"<table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table></div>"
    )
