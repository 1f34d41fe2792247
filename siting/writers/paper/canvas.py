"""A paper to draw on: millimetres from the upper left corner, y downward, two embedded fonts, black on white."""

from __future__ import annotations

import io
from collections.abc import Sequence
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

from siting.writers.paper.language import Said, Speaker
from siting.writers.paper.pieces import plain

FONT_FOLDER = Path(__file__).parents[2] / "static" / "fonts"
REGULAR, BOLD = "SitingSheet", "SitingSheetBold"
FONT_FILES = {REGULAR: "SourceSansPro-Regular.ttf", BOLD: "SourceSansPro-Bold.ttf"}
PAPERS_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4), "A3": (297.0, 420.0), "Tabloid": (279.4, 431.8)}
MARGIN_MM = 11.0
POINTS_PER_MM = 72.0 / 25.4
CAPITAL_EM = 0.66  # height of a capital in the fonts' em
SQUEEZED, LEAST_SIZE = 0.72, 4.2  # of a type size, points
HAIR_MM, THIN_MM, BOLD_LINE_MM = 0.12, 0.2, 0.5

Point = tuple[float, float]


@cache
def _register_fonts() -> None:
    from reportlab.pdfbase.pdfmetrics import registerFont
    from reportlab.pdfbase.ttfonts import TTFont

    for name, file in FONT_FILES.items():
        registerFont(TTFont(name, str(FONT_FOLDER / file)))


@lru_cache(maxsize=65536)
def _width_em(text: str, font: str) -> float:
    """Width of a line of text in a font's em: asked for over and over while lines are broken."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    return float(stringWidth(text, font, 1.0))


class Sheet:
    """A PDF in the making. Lengths in millimetres from the page's upper left corner, type sizes in points.

    Every text comes in English and is written in the sheet's language; what `fitted` and `wrapped` return is said already.
    """

    def __init__(
        self, paper: str, title: str, subject: str, creator: str, keywords: str = "", speaker: Speaker | None = None
    ) -> None:
        from reportlab.pdfgen.canvas import Canvas

        _register_fonts()
        self.speaker = speaker or Speaker()
        self.width_mm, self.height_mm = PAPERS_MM[paper]
        self.left, self.right = MARGIN_MM, self.width_mm - MARGIN_MM
        self.top, self.bottom = MARGIN_MM - 1.0, self.height_mm - MARGIN_MM + 2.0
        self._file = io.BytesIO()
        # invariant: the same plan gives the same bytes; initialFontName: nothing but the embedded fonts is listed.
        self._canvas: Any = Canvas(
            self._file,
            pagesize=(self.width_mm * POINTS_PER_MM, self.height_mm * POINTS_PER_MM),
            pageCompression=1,
            invariant=1,
            initialFontName=REGULAR,
        )
        self._canvas.setTitle(self.speaker.say(title))
        self._canvas.setSubject(self.speaker.say(subject))
        # In plain brackets in the file, so that a program reads with one search which run a sheet belongs to.
        self._canvas.setKeywords(plain(keywords))
        self._canvas.setCreator(creator)
        self._canvas.setAuthor(creator)
        self._noted: dict[str, Any] = {}  # entries for the dictionary of the open page
        self._has_bookmarks = False

    def _join(self, host: Sheet) -> None:
        """Draws on into the open document of another sheet, in its language."""
        self.speaker, self._file, self._canvas, self._noted = host.speaker, host._file, host._canvas, host._noted

    @property
    def page(self) -> int:
        """Number of the open page in its document, no unit."""
        return int(self._canvas.getPageNumber())

    def say(self, text: str) -> Said:
        """The text in the sheet's language, for those who put words together."""
        return self.speaker.say(text)

    def take_size(self) -> None:
        """Gives the open page this sheet's width and height."""
        self._canvas.setPageSize((self.width_mm * POINTS_PER_MM, self.height_mm * POINTS_PER_MM))

    def note_page(self, key: str, value: Any) -> None:
        """Puts an entry into the open page's dictionary."""
        self._noted[key] = value

    def _end_page(self) -> None:
        """Closes the page; reportlab has no door for entries that it does not know."""
        self._canvas.showPage()
        page = self._canvas._doc.Pages.pages[-1]
        for key, value in self._noted.items():
            page.__NoDefault__ = [*page.__NoDefault__, key]
            setattr(page, key, value)
        self._noted.clear()

    def next_page(self) -> None:
        """Ends the page and starts another of this sheet's size."""
        self._end_page()
        self.take_size()

    def finish(self) -> bytes:
        """The whole PDF; nothing can be drawn after it."""
        self._end_page()
        if self._has_bookmarks:
            self._canvas.showOutline()
        self._canvas.save()
        return self._file.getvalue()

    def bookmark(self, title: str) -> None:
        """Names this page in the outline that a reader shows beside the pages; a link may lead here by the same title."""
        self._canvas.bookmarkPage(plain(title))
        self._canvas.addOutlineEntry(self.speaker.say(title), plain(title), 0)
        self._has_bookmarks = True

    def link(self, corner: Point, size_mm: Point, title: str) -> None:
        """A rectangle that leads to the bookmark of this title."""
        x, y = self._xy((corner[0], corner[1] + size_mm[1]))
        self._canvas.linkAbsolute("", plain(title), (x, y, x + size_mm[0] * POINTS_PER_MM, y + size_mm[1] * POINTS_PER_MM))

    def _xy(self, point: Point) -> Point:
        return point[0] * POINTS_PER_MM, (self.height_mm - point[1]) * POINTS_PER_MM

    def _ink(self, stroke_mm: float, dash_mm: Sequence[float] = (), ink: float = 0.0) -> None:
        self._canvas.setStrokeGray(ink)
        self._canvas.setLineWidth(stroke_mm * POINTS_PER_MM)
        self._canvas.setDash([d * POINTS_PER_MM for d in dash_mm])

    def text(self, at: Point, text: str, size: float = 8.0, *, bold: bool = False, align: str = "left", ink: float = 0.0) -> None:
        """Writes a line of text.

        Args:
            at: left end, middle or right end of the base line.
            align: left, middle or right.
            ink: 0 black to 1 white.
        """
        text = self.speaker.say(text)
        if not text:
            return
        x, y = self._xy(at)
        x -= {"left": 0.0, "middle": 0.5, "right": 1.0}[align] * self.text_mm(text, size, bold=bold) * POINTS_PER_MM
        self._canvas.setFillGray(ink)
        self._canvas.setFont(BOLD if bold else REGULAR, size)
        self._canvas.drawString(x, y, text)

    def text_mm(self, text: str, size: float, *, bold: bool = False) -> float:
        """Width of a line of text, millimetres."""
        return _width_em(self.speaker.say(text), BOLD if bold else REGULAR) * size / POINTS_PER_MM

    def fitted(self, text: str, width_mm: float, size: float, least: float, *, bold: bool = False) -> tuple[Said, float]:
        """The text and the largest type size at which it fits; cut with … where even the least size is too wide."""
        text = self.speaker.say(text)
        wide = self.text_mm(text, size, bold=bold)
        if wide <= width_mm:
            return text, size
        size = max(self.least(least) if least < size else least, int(size * width_mm / wide * 10.0) / 10.0)
        if self.text_mm(text, size, bold=bold) <= width_mm:
            return text, size
        return self.cut(text, width_mm, size, bold=bold), size

    def cut(self, text: str, width_mm: float, size: float, *, bold: bool = False) -> Said:
        """The text at this type size, with … where it is too wide."""
        text = self.speaker.say(text)
        if self.text_mm(text, size, bold=bold) <= width_mm:
            return text
        while text and self.text_mm(Said(text + "…"), size, bold=bold) > width_mm:
            text = Said(text[:-1])
        return Said(text.rstrip() + "…")

    def least(self, size: float) -> float:
        """The least type size where this is the least in English: other languages are longer, and a cut word is worse than a small one."""
        return size if self.speaker.language == "en" else max(SQUEEZED * size, min(size, LEAST_SIZE))

    def wrapped(self, text: str, width_mm: float, size: float, *, bold: bool = False) -> list[Said]:
        """The text in lines no wider than this; a single word that is wider is cut, at a hyphen where it has one."""
        lines: list[str] = []
        line = ""
        for word in self.speaker.say(text).split(" "):
            while self.text_mm(Said(word), size, bold=bold) > width_mm:
                begun = f"{line} " if line else ""
                fit = sum(1 for n in range(1, len(word)) if self.text_mm(Said(begun + word[:n]), size, bold=bold) <= width_mm)
                joint = max(word.rfind("-", 0, fit), word.rfind("_", 0, fit)) + 1
                fit = joint if joint > fit / 2 else fit
                if begun and fit < 4:  # hardly begun on this line: the whole word on the next
                    lines.append(line)
                else:
                    fit = max(fit, 1)
                    lines.append(begun + word[:fit])
                    word = word[fit:]
                line = ""
            longer = f"{line} {word}".strip()
            if self.text_mm(Said(longer), size, bold=bold) <= width_mm:
                line = longer
            else:
                lines.append(line)
                line = word
        return [Said(found) for found in ([*lines, line] if line else lines)]

    def line(self, start: Point, end: Point, stroke_mm: float = THIN_MM, dash_mm: Sequence[float] = (), ink: float = 0.0) -> None:
        """A straight line."""
        self._ink(stroke_mm, dash_mm, ink)
        self._canvas.line(*self._xy(start), *self._xy(end))

    def box(self, corner: Point, size_mm: Point, stroke_mm: float = 0.0, fill: float | None = None) -> None:
        """A rectangle by its upper left corner, width and height; no outline where the stroke is 0, no fill where None."""
        x, y = self._xy((corner[0], corner[1] + size_mm[1]))
        self._ink(stroke_mm or THIN_MM)
        self._canvas.setFillGray(1.0 if fill is None else fill)
        w, h = size_mm[0] * POINTS_PER_MM, size_mm[1] * POINTS_PER_MM
        self._canvas.rect(x, y, w, h, stroke=int(stroke_mm > 0), fill=int(fill is not None))

    def polygon(self, points: Sequence[Point], stroke_mm: float = THIN_MM, fill: float | None = None) -> None:
        """A closed outline, filled with a grey (0 black) where one is given."""
        path = self._canvas.beginPath()
        path.moveTo(*self._xy(points[0]))
        for point in points[1:]:
            path.lineTo(*self._xy(point))
        path.close()
        self._ink(stroke_mm or THIN_MM)
        self._canvas.setFillGray(1.0 if fill is None else fill)
        self._canvas.drawPath(path, stroke=int(stroke_mm > 0), fill=int(fill is not None))

    def circle(self, centre: Point, radius_mm: float, stroke_mm: float = THIN_MM, fill: float | None = None) -> None:
        """A circle, filled with a grey (0 black) where one is given."""
        self._ink(stroke_mm or THIN_MM)
        self._canvas.setFillGray(1.0 if fill is None else fill)
        x, y = self._xy(centre)
        self._canvas.circle(x, y, radius_mm * POINTS_PER_MM, stroke=int(stroke_mm > 0), fill=int(fill is not None))
