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
    _, entries, pages = _fill(plan, (), 1)
    flow, _, _ = _fill(plan, entries, pages)
    return flow.finish()


def _fill(plan: Plan, entries: tuple[Entry, ...], pages: int) -> tuple[Flow, tuple[Entry, ...], int]:
    """The packet with these contents on its cover; returns it, on which page each sheet begins, and how many pages there are."""
    flow = Flow(plan, KIND, pages)
    flow.sheet.bookmark(KIND)
    fill_cover(flow, entries)
    found = []
    for sheet in sheets_of(plan):
        flow.begin(sheet.kind)
        flow.sheet.bookmark(sheet.kind)
        found.append(Entry(sheet.kind, flow.first_page, sheet.purpose))
        sheet.fill(flow)
    return flow, tuple(found), flow.sheet.page
