"""The files of the permit's site map."""

from __future__ import annotations

from siting.records.permit import PermitFacts, PermitGround
from siting.records.plan import Plan
from siting.writers.sitemap.pdf import sitemap_pdf
from siting.writers.sitemap.png import first_page_png

PDF_NAME, PNG_NAME = "sitemap.pdf", "sitemap.png"


def sitemap_files(plan: Plan, permit: PermitFacts | None = None, ground: PermitGround | None = None) -> dict[str, bytes]:
    """sitemap.pdf and sitemap.png, its first sheet, by name."""
    pdf = sitemap_pdf(plan, permit, ground)
    return {PDF_NAME: pdf, PNG_NAME: first_page_png(pdf)}
