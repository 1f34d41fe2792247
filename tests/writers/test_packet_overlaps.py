"""Every sheet of the packet on A3, A4 and Letter, on a real DEM and on a site of sixty parcels and long names: no two texts meet."""

from __future__ import annotations

from dataclasses import replace

import pypdfium2 as pdfium
import pytest
from outside.open_data import open_file
from writers import land_plans
from writers.pdf_probe import MM, meeting, text_boxes, texts
from writers.site_maps import LONG_NAME, on_dem, sixty_parcels

from siting.writers.packet_pdf.whole import packet_pdf

CASES = [(site, paper) for site in ("real DEM", "sixty parcels") for paper in ("A3", "A4", "Letter")]
EDGE_MM = 8.0


@pytest.fixture(scope="module")
def plans(tmp_path_factory):
    _, facts, ground = sixty_parcels()
    crowded = replace(land_plans.long_names(), name=LONG_NAME, permit=replace(facts, paper=""), permit_ground=ground)
    many = land_plans.many()
    crowded = replace(crowded, land=replace(crowded.land, rules=(*crowded.land.rules, *many.land.rules)), reach=(*crowded.reach, *many.reach[:1]))
    return {"real DEM": on_dem(tmp_path_factory.mktemp("real"), open_file("colorado"))[0], "sixty parcels": crowded}


@pytest.fixture(scope="module")
def packets(plans):
    return {(site, paper): packet_pdf(replace(plans[site], paper=paper)) for site, paper in CASES}


@pytest.mark.parametrize("case", CASES)
def test_no_text_lies_on_another_or_beyond_the_margin(packets, case):
    document = pdfium.PdfDocument(packets[case])
    assert len(document) > 12
    for number, page in enumerate(document, 1):
        boxes, (width, height) = text_boxes(page), page.get_size()
        edge = EDGE_MM * MM
        assert all(edge <= b[0] and b[2] <= width - edge and edge <= b[1] and b[3] <= height - edge for b in boxes), number
        assert meeting(boxes) == [], number


@pytest.mark.parametrize("paper", ["A3", "A4", "Letter"])
def test_sixty_parcels_stand_there_by_owner_and_by_rule(packets, plans, paper):
    whole = " ".join(texts(packets["sixty parcels", paper]))
    assert whole.count("Eigentümergemeinschaft") >= 60
    for rule in plans["sixty parcels"].land.rules:
        assert rule.title[:40] in whole


def test_a_real_dem_has_its_ground_under_the_mast(packets, plans):
    whole = " ".join(texts(packets["real DEM", "A3"]))
    assert "Elevation of the mast, standing plumb" in whole and "NO GROUND IS DRAWN" not in whole
    anchor = max((s for s in plans["real DEM"].stakes if s.role == "permanent"), key=lambda s: s.radius_m)
    assert f"{anchor.point} {abs(anchor.radius_m):.2f} m" in whole
