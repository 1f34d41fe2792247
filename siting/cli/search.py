"""`siting search`: reads an area file, scores every cell as a base, writes the best spots and the maps."""

from __future__ import annotations

import gc
import sys
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from siting.cli.plan import folder_name

if TYPE_CHECKING:
    from siting.records.search import SearchJob, SearchResult

STOPPED = 130


@click.command("search", context_settings={"max_content_width": 100})
@click.argument("area_file", metavar="AREA.toml")
@click.option("--out", metavar="DIR", help="Folder of the files; default: outputs/ and the search's name.")
@click.option("--scheduler", metavar="ADDRESS", help="A Dask scheduler, as tcp://HOST:8786; default: this machine alone.")
@click.option("--workers", metavar="N", type=click.IntRange(min=1), help="Threads on this machine; default: one a processor.")
def command(area_file: str, out: str | None, scheduler: str | None, workers: int | None) -> int:
    """Score every cell of AREA.toml's ground as a mast's base, and write the best spots, each with its site file.

    \b
    siting search AREA.toml --out DIR
    siting plan DIR/spot_01.toml

    The files: search.html to look at, spots.geojson, a site file for each spot, utilisation.tif, azimuth.tif and
    utilisation_classes.tif for a GIS, search.json with every figure. Each spot was planned by siting plan's own steps.

    Ctrl-C keeps the finished tiles in DIR/.siting-search; the same command goes on from there.

    Exit status: 0 the plan of at least one spot passes or is marginal; 1 the files are written and none does; 2 bad input,
    nothing written; 130 stopped by Ctrl-C.
    """
    if scheduler is not None and workers is not None:
        raise click.UsageError("--workers counts threads of this machine: it cannot stand beside --scheduler", click.get_current_context())

    from siting.inputs.area_file import read_area
    from siting.writers.folder import check_folder

    job = read_area(Path(area_file))
    shown = out or f"outputs/{folder_name(job.name)}"
    check_folder(Path(shown), shown)
    try:
        result, files = _search_and_write(job, shown, scheduler, workers)
    except KeyboardInterrupt:
        print(_stopped_words(area_file, shown, scheduler, workers), file=sys.stderr)
        return STOPPED

    from siting.writers.search.text import search_text
    from siting.writers.search.words import holding

    print(search_text(result, files, shown), end="")
    return 0 if holding(result) else 1


def _search_and_write(job: SearchJob, shown: str, scheduler: str | None, workers: int | None) -> tuple[SearchResult, tuple[str, ...]]:
    """The search, and the names of the files that were written; what only a stopped search needs is taken away."""
    from siting.inputs.spot_site import site_table
    from siting.search.progress import TileProgress
    from siting.search.run import search
    from siting.search.tile_store import drop_run_folder, load_tile
    from siting.writers.search.packet import write_search

    gc.enable()  # a search may run for hours: siting.cli.main turned it off for commands that live a second
    folder = Path(shown)
    result = search(job, folder, workers, scheduler, TileProgress())
    sites = {
        spot.site_file: site_table(job, folder, spot.lat, spot.lon, f"{job.name}, spot {spot.rank}") for spot in result.spots
    }
    files = write_search(result, partial(load_tile, result.folder), sites, folder, shown)
    drop_run_folder(folder)
    return result, files


def _stopped_words(area_file: str, shown: str, scheduler: str | None, workers: int | None) -> str:
    """What Ctrl-C leaves behind, and how to go on."""
    from siting.search.tile_store import RUN_FOLDER, TILE_SUFFIX

    count = sum(1 for _ in (Path(shown) / RUN_FOLDER).rglob(f"*{TILE_SUFFIX}"))
    kept = f"{count} finished {'tile is' if count == 1 else 'tiles are'} kept in {shown}/{RUN_FOLDER}" if count else "no tile was finished yet"
    options = [f"--out {_quoted(shown)}"]
    options += [f"--scheduler {_quoted(scheduler)}"] if scheduler else []
    options += [f"--workers {workers}"] if workers else []
    return f"siting: stopped; {kept}. To go on: siting search {_quoted(area_file)} {' '.join(options)}"


def _quoted(text: str) -> str:
    """A word of a command line as a shell takes it, no unit."""
    import shlex

    return shlex.quote(text)
