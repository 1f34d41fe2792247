"""Writes everything of a search into a folder, all of it or nothing."""

from __future__ import annotations

from pathlib import Path

from siting.freed_memory import give_back
from siting.records.search import SearchResult
from siting.writers.folder import build_in_place, unwritable
from siting.writers.search.html import search_html
from siting.writers.search.overview import Overview
from siting.writers.search.rasters import Load, write_rasters
from siting.writers.search.search_json import earlier_files, search_json
from siting.writers.search.spots_geojson import spots_geojson

HTML, SPOTS, FACTS = "search.html", "spots.geojson", "search.json"


def write_search(result: SearchResult, load: Load, site_files: dict[str, str], out: Path, shown: str) -> tuple[str, ...]:
    """Writes the set into the folder and returns its files' names, in order; no unit.

    An earlier search there is replaced as a whole; files of anyone else in the folder are kept. The rasters are put together
    tile by tile, in a folder beside.

    Args:
        load: reads a tile's result.
        site_files: the spots' site files, name and text.
        shown: the folder as the user wrote it.
    Raises:
        InputError: a tile's result is missing or broken.
        WriteError: the folder cannot be written; nothing there has changed.
    """

    def build(staged: Path) -> tuple[str, ...]:
        overview = Overview(result.grid)
        rasters = write_rasters(result, load, staged, overview.add)
        give_back()
        texts = {name: text.encode() for name, text in site_files.items()}
        contents = {HTML: search_html(result, overview), SPOTS: spots_geojson(result)} | texts
        names = (*contents, *rasters, FACTS)
        contents[FACTS] = search_json(result, names)
        for name, data in contents.items():
            (staged / name).write_bytes(data)
        return names

    try:
        return build_in_place(build, out, earlier_files(out))
    except OSError as fault:
        raise unwritable(shown, fault) from None
