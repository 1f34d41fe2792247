"""stakes.kmz: stakes.kml as doc.kml in a zip, for phones and earth browsers."""

from __future__ import annotations

from siting.records.plan import Plan
from siting.writers.points.kml import kml
from siting.writers.repeatable_zip import zip_bytes


def kmz(plan: Plan) -> bytes:
    """stakes.kmz; coordinates are longitude, latitude in degrees, as in stakes.kml.

    Source: OGC 07-147r2, annex C: the first .kml file in the archive is the one that is shown.
    """
    return zip_bytes({"doc.kml": kml(plan)})
