"""`siting plan`: reads a site, makes the plan, writes the packet, prints what a surveyor needs."""

from __future__ import annotations

import re
import sys
import threading
from pathlib import Path

import click

# A step that takes longer than this is named on the terminal.
PATIENCE_S = 1.0
# The extra formats of siting.writers.packet, named here so that help need not import the writers; a test holds them equal.
FORMATS = ("gpx", "gpkg", "shp", "dxf", "landxml", "kmz", "pdf", "sitemap")


class Progress:
    """Names a step on standard error once it has taken over a second."""

    def __init__(self) -> None:
        self._timer: threading.Timer | None = None

    def __call__(self, step: str) -> None:
        """The next step begins."""
        self.stop()
        self._timer = threading.Timer(PATIENCE_S, lambda: print(f"… {step}", file=sys.stderr, flush=True))
        self._timer.daemon = True
        self._timer.start()

    def stop(self) -> None:
        """No step is under way."""
        if self._timer is not None:
            self._timer.cancel()


@click.command("plan", context_settings={"max_content_width": 100})
@click.argument("site", required=False)
@click.option("--out", metavar="DIR", help="Folder of the packet; default: outputs/ and the site's name.")
@click.option("--formats", metavar="LIST", help="More files: gpx,gpkg,shp,dxf,landxml,kmz,pdf or all.")
@click.option("--dem", metavar="FILE", help="Without a site file: the DEM.")
@click.option("--base", metavar="TEXT", help='Without a site file: the base, as "LAT, LON", DMS, UTM or MGRS.')
@click.option("--mast", metavar="NAME|FILE", help="Without a site file: a shipped mast or a mast file.")
def command(site: str | None, out: str | None, formats: str | None, dem: str | None, base: str | None, mast: str | None) -> int:
    """Make the staking packet of SITE.toml: plan.json, stakes as CSV, GeoJSON and KML, and an offline map.

    \b
    siting plan SITE.toml --out DIR
    siting plan --dem FILE --base "LAT, LON" --mast NAME --out DIR

    Exit status: 0 all checks pass or are marginal; 1 the packet is written and a check fails; 2 bad input, nothing written.
    """
    options = {"--dem": dem, "--base": base, "--mast": mast}
    if site is None and not all(options.values()):
        missing = ", ".join(name for name, value in options.items() if not value)
        raise click.UsageError(f"give a site file, or --dem, --base and --mast (missing: {missing})", click.get_current_context())
    if site is not None and any(options.values()):
        given = ", ".join(name for name, value in options.items() if value)
        raise click.UsageError(f"{given} cannot stand beside a site file: write it there", click.get_current_context())

    wanted_formats = _formats(formats)

    from siting.inputs.sheet_runs import other_sheets
    from siting.inputs.site_file import read_site, site_from_options
    from siting.planner import make_plan
    from siting.verdict import FAIL
    from siting.writers.packet import check_folder, write_packet
    from siting.writers.terminal import terminal_text

    wanted = read_site(Path(site)) if site is not None else site_from_options(dem, base, mast)
    folder = out or f"outputs/{folder_name(wanted.name)}"
    check_folder(Path(folder), folder)
    progress = Progress()
    try:
        plan = make_plan(wanted, progress)
        if plan.verdict == FAIL:
            from siting.search.move import with_move

            plan = with_move(wanted, plan, progress)
        progress(f"writing {folder}")
        files = write_packet(plan, Path(folder), folder, wanted_formats)
    finally:
        progress.stop()
    print(terminal_text(plan, files, folder), end="")
    older = other_sheets(Path(folder), plan.provenance.run_id)
    if older:
        is_are = "is" if len(older) == 1 else "are"
        print(f"\n{', '.join(s.file for s in older)} in {folder} {is_are} of an earlier plan: {older[0].do}.")
    return 1 if plan.verdict == FAIL else 0


def _formats(text: str | None) -> tuple[str, ...]:
    """The extra formats that the user asks for, each once, in the order of the list of all."""
    if not text:
        return ()
    wanted = [part.strip().lower() for part in text.split(",") if part.strip()]
    unknown = [part for part in wanted if part not in (*FORMATS, "all")]
    if unknown:
        import difflib

        near = difflib.get_close_matches(unknown[0], FORMATS, 1, 0.5)
        hint = f"did you mean {near[0]}?" if near else f"formats: {', '.join(FORMATS)}, all"
        raise click.UsageError(f"there is no format '{unknown[0]}'; {hint}", click.get_current_context())
    return FORMATS if "all" in wanted else tuple(f for f in FORMATS if f in wanted)


def folder_name(name: str) -> str:
    """A site's name as a folder's name, no unit."""
    return re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:60] or "packet"
