"""Writes the whole packet, or nothing: every file is made first, then the folder is put in place at once."""

from __future__ import annotations

import hashlib
import json
from importlib import import_module
from pathlib import Path

from siting.records.plan import Plan
from siting.writers.folder import check_folder, put_in_place, unwritable
from siting.writers.map.html import map_html
from siting.writers.plan_json import plan_json
from siting.writers.points.geojson import geojson
from siting.writers.points.kml import kml
from siting.writers.points.points_csv import points_csv

__all__ = ["check_folder", "write_packet"]
MANIFEST = "packet.json"
FILES = {
    "plan.json": plan_json,
    "stakes.geojson": geojson,
    "stakes.kml": kml,
    "stakes.csv": points_csv,
    "map.html": map_html,
}


# Format: (file, module, function). Imported only when asked for: their libraries are slow to start.
EXTRA_FORMATS = {
    "gpx": ("stakes.gpx", "siting.writers.points.gpx", "gpx"),
    "gpkg": ("stakes.gpkg", "siting.writers.points.gpkg", "gpkg"),
    "shp": ("stakes_shp.zip", "siting.writers.points.shapefile", "shapefile"),
    "dxf": ("stakes.dxf", "siting.writers.points.dxf", "dxf"),
    "landxml": ("stakes.xml", "siting.writers.points.landxml", "landxml"),
    "kmz": ("stakes.kmz", "siting.writers.points.kmz", "kmz"),
    "pdf": ("packet.pdf", "siting.writers.packet_pdf.whole", "packet_pdf"),
    "sitemap": ("sitemap.pdf", "siting.writers.sitemap.files", "sitemap_files"),  # and sitemap.png
}


def write_packet(plan: Plan, out: Path, shown: str, formats: tuple[str, ...] = ()) -> tuple[str, ...]:
    """Writes the packet into the folder and returns its files' names, in order.

    Args:
        formats: keys of EXTRA_FORMATS, beside the default set.

    An earlier packet there is replaced as a whole; files of anyone else in the folder are kept.

    Raises:
        WriteError: the folder cannot be written; nothing there has changed.
    """
    contents = {name: make(plan) for name, make in FILES.items()}
    for wanted in formats:
        name, module, function = EXTRA_FORMATS[wanted]
        made = getattr(import_module(module), function)(plan)
        contents |= made if isinstance(made, dict) else {name: made}
    if plan.point_lists:
        from siting.writers.points.point_lists import point_lists

        contents |= point_lists(plan)
    contents[MANIFEST] = _manifest(plan, contents)
    try:
        put_in_place(contents, out, _earlier_files(out))
    except OSError as fault:
        raise unwritable(shown, fault) from None
    return tuple(contents)


def _manifest(plan: Plan, contents: dict[str, bytes]) -> bytes:
    files = [{"name": name, "sha256": hashlib.sha256(data).hexdigest()} for name, data in contents.items()]
    return (json.dumps({"run_id": plan.provenance.run_id, "name": plan.name, "files": files}, indent=1) + "\n").encode()


def _earlier_files(out: Path) -> set[str]:
    """Names of the files of an earlier packet in the folder, by its manifest."""
    try:
        earlier = json.loads((out / MANIFEST).read_text(encoding="utf-8"))
        return {Path(str(item["name"])).name for item in earlier["files"]} | {MANIFEST}
    except (OSError, ValueError, KeyError, TypeError):
        return set()
