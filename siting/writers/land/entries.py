"""Entries of the land sheet: a line of figures with its verdict, and small lines below it that say where it comes from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from siting.writers.paper.blocks import box_words, draw_lines, step_of
from siting.writers.paper.canvas import HAIR_MM, THIN_MM
from siting.writers.paper.flow import Flow
from siting.writers.paper.table import HEAD_SIZE, PAD_MM, RULE_INK

NUMBER_MM, TAG_MM, TAG_HIGH_MM = 8.0, 25.0, 4.8
TITLE_SIZE, FIGURE_SIZE, SMALL_SIZE, LOUD_SIZE = 8.5, 10.0, 7.2, 10.0
LEAST_TITLE_MM, HEAD_MM, GAP_MM = 1.2, 5.0, 2.5
LOUD_TAG_MM = 42.0


@dataclass(frozen=True, slots=True)
class Entry:
    """A number or letter, a title, a figure for each heading, a verdict in capitals, and lines below."""

    number: str
    title: str
    figures: tuple[str, ...]
    verdict: str
    lines: tuple[str, ...]

    @property
    def is_loud(self) -> bool:
        """Whether its verdict is written white on black."""
        return self.verdict not in ("PASS", "NOT BY THESE CRITERIA")


@dataclass(frozen=True, slots=True)
class Heads:
    """The headings over the entries: of the titles, of the figures with their widths, mm, and of the verdicts."""

    title: str
    figures: tuple[tuple[str, float], ...]
    verdict: str = "Verdict"
    tag_mm: float = TAG_MM


def fill_entries(flow: Flow, title: str, heads: Heads, entries: Sequence[Entry]) -> None:
    """The entries under their heading, going on over the page where they must."""
    if not entries:
        return
    flow.need(_high_mm(flow, heads, entries[0]) + 4.6 + HEAD_MM)
    _draw_heads(flow, title, heads)
    for entry in entries:
        high_mm = _high_mm(flow, heads, entry)
        if flow.y + high_mm > flow.end:
            flow.turn()
            _draw_heads(flow, f"{title}, continued", heads)
        _draw_entry(flow, heads, entry, high_mm)
    flow.y += GAP_MM


def entries_mm(flow: Flow, heads: Heads, entries: Sequence[Entry]) -> float:
    """Height of all these entries under their heading on one page, mm."""
    return 4.6 + HEAD_MM + sum(_high_mm(flow, heads, entry) for entry in entries) + GAP_MM


def _title_mm(flow: Flow, heads: Heads) -> float:
    return flow.width_mm - NUMBER_MM - heads.tag_mm - sum(wide for _, wide in heads.figures) - 2 * PAD_MM


def _first_mm(flow: Flow, heads: Heads, entry: Entry) -> float:
    lines = flow.sheet.wrapped(entry.title, _title_mm(flow, heads), TITLE_SIZE, bold=True)
    return max(TAG_HIGH_MM + 0.8, len(lines) * step_of(TITLE_SIZE) + LEAST_TITLE_MM)


def _small(flow: Flow, entry: Entry) -> list[str]:
    return [line for text in entry.lines if text for line in flow.sheet.wrapped(text, flow.width_mm - NUMBER_MM - PAD_MM, SMALL_SIZE)]


def _high_mm(flow: Flow, heads: Heads, entry: Entry) -> float:
    return _first_mm(flow, heads, entry) + len(_small(flow, entry)) * step_of(SMALL_SIZE) + 1.0


def _draw_heads(flow: Flow, title: str, heads: Heads) -> None:
    flow.title(title)
    sheet, y = flow.sheet, flow.y
    sheet.box((flow.left, y), (flow.width_mm, HEAD_MM), fill=0.93)
    sheet.line((flow.left, y), (sheet.right, y), 0.5)
    title, size = sheet.fitted(heads.title, _title_mm(flow, heads), HEAD_SIZE, 5.5, bold=True)
    sheet.text((flow.left + NUMBER_MM, y + 3.4), title, size, bold=True)
    right = sheet.right - heads.tag_mm
    for name, wide_mm in reversed(heads.figures):
        name, size = sheet.fitted(name, wide_mm - PAD_MM, HEAD_SIZE, 5.5, bold=True)
        sheet.text((right - PAD_MM, y + 3.4), name, size, bold=True, align="right")
        right -= wide_mm
    verdict, size = sheet.fitted(heads.verdict, heads.tag_mm - PAD_MM, HEAD_SIZE, 5.5, bold=True)
    sheet.text((sheet.right - heads.tag_mm / 2, y + 3.4), verdict, size, bold=True, align="middle")
    sheet.line((flow.left, y + HEAD_MM), (sheet.right, y + HEAD_MM), THIN_MM)
    flow.y += HEAD_MM


def _draw_entry(flow: Flow, heads: Heads, entry: Entry, high_mm: float) -> None:
    sheet, y = flow.sheet, flow.y
    first_mm = _first_mm(flow, heads, entry)
    base = y + 4.0
    number, size = sheet.fitted(entry.number, NUMBER_MM - PAD_MM, FIGURE_SIZE, 6.0, bold=True)
    sheet.text((flow.left + PAD_MM, base), number, size, bold=True)
    title = sheet.wrapped(entry.title, _title_mm(flow, heads), TITLE_SIZE, bold=True)
    draw_lines(sheet, (flow.left + NUMBER_MM, y + 1.3), title, TITLE_SIZE, bold=True)
    right = sheet.right - heads.tag_mm
    for (_, wide_mm), text in zip(reversed(heads.figures), reversed(entry.figures), strict=True):
        text, size = sheet.fitted(text, wide_mm - PAD_MM, FIGURE_SIZE, 5.5)
        sheet.text((right - PAD_MM, base), text, size, bold=text.isupper(), align="right")
        right -= wide_mm
    if entry.verdict:
        box = (sheet.right - heads.tag_mm + 1.0, y + 0.5, heads.tag_mm - 1.0, TAG_HIGH_MM)
        _tag(flow, box, entry)
    draw_lines(sheet, (flow.left + NUMBER_MM, y + first_mm), _small(flow, entry), SMALL_SIZE)
    flow.y += high_mm
    sheet.line((flow.left, flow.y), (sheet.right, flow.y), HAIR_MM, ink=RULE_INK)


def _tag(flow: Flow, box: tuple[float, float, float, float], entry: Entry) -> None:
    """The verdict in its box, white on black where it must be heard."""
    left, top, wide_mm, high_mm = box
    flow.sheet.box((left, top), (wide_mm, high_mm), 0.3, 0.0 if entry.is_loud else 1.0)
    text, size = flow.sheet.fitted(entry.verdict, wide_mm - 1.6, 9.0, 5.5, bold=True)
    ink = 1.0 if entry.is_loud else 0.0
    flow.sheet.text((left + wide_mm / 2, top + high_mm / 2 + 0.66 * size * 25.4 / 72 / 2), text, size, bold=True, align="middle", ink=ink)


def fill_loud(flow: Flow, word: str, texts: Sequence[str], size: float = LOUD_SIZE, *, dark: bool = True) -> None:
    """A word in a box as loud as a failure, and beside it sentences of which none is cut; over the page where they must."""
    room_mm = flow.width_mm - LOUD_TAG_MM - 3.0
    blocks = [flow.sheet.wrapped(text, room_mm, size) for text in texts if text]
    while blocks:
        flow.need(max(9.0, len(blocks[0]) * step_of(size) + 1.5))
        taken, high_mm = [], 1.0
        while blocks and flow.y + high_mm + len(blocks[0]) * step_of(size) + 1.0 <= flow.end:
            high_mm += len(blocks[0]) * step_of(size) + (0.8 if taken else 0.0)
            taken.append(blocks.pop(0))
        high_mm = max(9.0, high_mm + 0.6)
        box_words(flow.sheet, (flow.left, flow.y, LOUD_TAG_MM, min(high_mm, 10.5)), word, 17.0, dark=dark)
        whole_mm = sum(len(b) for b in taken) * step_of(size) + 0.8 * (len(taken) - 1)
        y = flow.y + max(0.5, (min(high_mm, 9.0) - whole_mm) / 2)
        for block in taken:
            y = draw_lines(flow.sheet, (flow.left + LOUD_TAG_MM + 3.0, y), block, size) + 0.8
        flow.y += high_mm + 1.6
