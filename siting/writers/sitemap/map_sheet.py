"""The site map's paper: landscape, with clipped lines, turned text, pictures and hatches beside what every sheet can draw."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager

import numpy as np

from siting.writers.paper.canvas import CAPITAL_EM, MARGIN_MM, PAPERS_MM, POINTS_PER_MM, REGULAR, THIN_MM, Point, Sheet
from siting.writers.paper.language import Speaker

# Capitals of 2.0 mm: the least that an office's copier keeps (USERS.md A3 asks for text of 2 mm).
TEXT = 8.6
HEADING, NAME = 9.6, 15.0
LINE_MM = 3.75  # from one base line of that text to the next
Box = tuple[float, float, float, float]  # left, top, right, bottom


class MapSheet(Sheet):
    """A sheet on its side in the document of another, lengths in millimetres from the upper left corner."""

    def __init__(self, host: Sheet, paper: str) -> None:
        self._join(host)
        self.paper = paper
        self.height_mm, self.width_mm = sorted(PAPERS_MM[paper])
        self.take_size()
        self.left, self.right = MARGIN_MM - 1.0, self.width_mm - MARGIN_MM + 1.0
        self.top, self.bottom = MARGIN_MM - 1.0, self.height_mm - MARGIN_MM + 1.0

    @contextmanager
    def clipped(self, box: Box) -> Iterator[None]:
        """Nothing that is drawn inside is seen outside this box."""
        self._canvas.saveState()
        path = self._canvas.beginPath()
        x, y = self._xy((box[0], box[3]))
        path.rect(x, y, (box[2] - box[0]) * POINTS_PER_MM, (box[3] - box[1]) * POINTS_PER_MM)
        self._canvas.clipPath(path, stroke=0, fill=0)
        yield
        self._canvas.restoreState()

    def path(self, points: Sequence[Point], stroke_mm: float, dash_mm: Sequence[float] = (), ink: float = 0.0) -> None:
        """An open line through these points."""
        path = self._canvas.beginPath()
        path.moveTo(*self._xy(points[0]))
        for point in points[1:]:
            path.lineTo(*self._xy(point))
        self._ink(stroke_mm, dash_mm, ink)
        self._canvas.setLineJoin(1)
        self._canvas.drawPath(path, stroke=1, fill=0)

    def ring(self, centre: Point, radius_mm: float, stroke_mm: float = THIN_MM, dash_mm: Sequence[float] = ()) -> None:
        """A circle's line, dashed where dashes are given."""
        self._ink(stroke_mm, dash_mm)
        x, y = self._xy(centre)
        self._canvas.circle(x, y, radius_mm * POINTS_PER_MM, stroke=1, fill=0)

    def turned_text(self, at: Point, text: str, size: float, ink: float = 0.0) -> None:
        """A line of text that runs upward, its middle here."""
        text = self.speaker.say(text)
        x, y = self._xy(at)
        self._canvas.saveState()
        self._canvas.translate(x, y)
        self._canvas.rotate(90)
        self._canvas.setFillGray(ink)
        self._canvas.setFont(REGULAR, size)
        down = CAPITAL_EM * size / 2
        self._canvas.drawString(-self.text_mm(text, size) * POINTS_PER_MM / 2, -down, text)
        self._canvas.restoreState()

    def picture(self, grey: np.ndarray, box: Box) -> None:
        """A grey picture, (rows, cols) uint8, that fills this box."""
        from PIL import Image
        from reportlab.lib.utils import ImageReader

        x, y = self._xy((box[0], box[3]))
        size = (box[2] - box[0]) * POINTS_PER_MM, (box[3] - box[1]) * POINTS_PER_MM
        self._canvas.drawImage(ImageReader(Image.fromarray(grey, "L")), x, y, *size)

    def least(self, size: float) -> float:
        """No language is set smaller: an office's copier does not keep it."""
        return size

    def aside(self, speaker: Speaker | None = None) -> MapSheet:
        """A sheet of the same size in a document that is thrown away, to try out what finds room; in this one's language or another."""
        return MapSheet(Sheet(self.paper, "", "", "", speaker=speaker or self.speaker), self.paper)
