"""Text that may stand in an XML file: the characters that XML 1.0 forbids are taken out."""

from __future__ import annotations


def printable(text: str) -> str:
    """The text without what XML forbids; no unit.

    Source: W3C, Extensible Markup Language 1.0, fifth edition, production 2 (Char).
    """
    return "".join(c for c in text if _is_allowed(ord(c)))


def _is_allowed(code: int) -> bool:
    return code in (9, 10, 13) or 0x20 <= code <= 0xD7FF or 0xE000 <= code <= 0xFFFD or code >= 0x10000
