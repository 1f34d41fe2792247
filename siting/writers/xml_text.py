"""Text that may stand in an XML file: the characters that XML 1.0 forbids are taken out."""

from __future__ import annotations

import re

# Source: W3C, Extensible Markup Language 1.0, fifth edition, production 2 (Char).
FORBIDDEN = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def printable(text: str) -> str:
    """The text without what XML forbids; no unit."""
    return text if text.isprintable() else FORBIDDEN.sub("", text)
