"""What a test reads back from a PDF: text, boxes of text, straight lines, fonts."""

from __future__ import annotations

import ctypes
import itertools

import numpy as np
import pypdfium2 as pdfium
import pypdfium2.raw as raw

MM = 72.0 / 25.4
INK_MM = 0.05  # two texts that come nearer than this, in both directions, are one on the other


def texts(data: bytes) -> list[str]:
    """The text of each page, on one line."""
    return [" ".join(page.get_textpage().get_text_bounded().split()) for page in pdfium.PdfDocument(data)]


def text_boxes(page) -> list[tuple[float, float, float, float]]:
    """The boxes of the page's texts, points."""
    textpage = page.get_textpage()
    return [textpage.get_rect(k) for k in range(textpage.count_rects())]


def meeting(boxes) -> list[tuple]:
    """Pairs of boxes that lie one on the other by more than INK_MM in both directions."""
    ink = INK_MM * MM
    return [
        (a, b)
        for a, b in itertools.combinations(boxes, 2)
        if min(a[2], b[2]) - max(a[0], b[0]) > ink and min(a[3], b[3]) - max(a[1], b[1]) > ink
    ]


def straight_lines(page) -> list[np.ndarray]:
    """Start and end of every straight line of the page, mm, y upward."""
    lines = []
    for o in page.get_objects([raw.FPDF_PAGEOBJ_PATH]):
        if raw.FPDFPath_CountSegments(o.raw) == 2:
            points = []
            for k in range(2):
                x, y = ctypes.c_float(), ctypes.c_float()
                assert raw.FPDFPathSegment_GetPoint(raw.FPDFPath_GetPathSegment(o.raw, k), ctypes.byref(x), ctypes.byref(y))
                points.append((x.value / MM, y.value / MM))
            lines.append(np.array(points))
    return lines


def size_of(page, text: str) -> set[float]:
    """The type sizes, points, at which this text stands on the page."""
    textpage = page.get_textpage()
    search = textpage.search(text, match_case=True)
    sizes = set()
    while found := search.get_next():
        sizes.add(round(raw.FPDFText_GetFontSize(textpage.raw, found[0]), 2))
    return sizes


def fonts_embedded(page) -> set[int]:
    """1 for each embedded font of the page's texts, 0 for another."""
    return {raw.FPDFFont_GetIsEmbedded(raw.FPDFTextObj_GetFont(o.raw)) for o in page.get_objects([raw.FPDF_PAGEOBJ_TEXT])}
