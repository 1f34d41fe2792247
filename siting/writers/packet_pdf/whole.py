"""packet.pdf: cover, every sheet the plan has, every check, in one document with one count of pages."""

from __future__ import annotations

from siting.records.plan import Plan
from siting.writers.packet_pdf.cover import KIND, Entry, fill_cover
from siting.writers.packet_pdf.sheets import sheets_of
from siting.writers.paper.flow import Flow


def packet_pdf(plan: Plan) -> bytes:
    """packet.pdf on the plan's paper, fonts embedded once, the same bytes for the same plan.

    Each sheet stands in it as in its own file, but for the count of the pages, which runs through. The outline names the
    sheets; the run stands in the keywords.
    """
    first, entries = fill_packet(plan, (), 1)
    flow, _ = fill_packet(plan, entries, first.sheet.page)
    return flow.finish()


def _counts(entries: tuple[Entry, ...], pages: int) -> dict[str, int]:
    """How many pages each sheet has."""
    ends = [*(entry.page for entry in entries[1:]), pages + 1]
    return {entry.kind: end - entry.page for entry, end in zip(entries, ends, strict=False)}


def fill_packet(plan: Plan, entries: tuple[Entry, ...], pages: int) -> tuple[Flow, tuple[Entry, ...]]:
    """The packet with these contents on its cover, telling on each page that there are so many; and what the contents should be. No unit."""
    flow = Flow(plan, KIND, pages, _counts(entries, pages))
    flow.sheet.bookmark(KIND)
    fill_cover(flow, entries)
    found = []
    for sheet in sheets_of(plan):
        flow.begin(sheet.kind)
        flow.sheet.bookmark(sheet.kind)
        found.append(Entry(sheet.kind, flow.first_page, sheet.purpose))
        sheet.fill(flow)
    return flow, tuple(found)
