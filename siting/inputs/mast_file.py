"""Reads a mast file: one that is shipped with the package, or the user's own from the maker's drawing."""

from __future__ import annotations

import difflib
from importlib.resources import files
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field

from siting.errors import Fault, InputError
from siting.inputs.toml_file import Table, read_table
from siting.records.mast import WINCH, Anchor, GuyLevel, Mast

RESERVED_IDS = ("BASE", "HEAD")
Length = Annotated[float, Field(gt=0, le=1000)]


class AnchorTable(Table):
    """[[anchors]] of a mast file."""

    id: Annotated[str, Field(min_length=1, max_length=40)]
    use: Literal["permanent", "temporary", "winch"]
    bearing_deg: Annotated[float, Field(ge=-360, le=360)]
    radius_m: Length
    design_load_kn: Annotated[float, Field(gt=0)] | None = None


class GuyTable(Table):
    """[[guys]] of a mast file."""

    attach_m: Length
    anchors: Annotated[list[str], Field(min_length=1)]
    use: Literal["permanent", "temporary"] = "permanent"
    diameter_mm: Annotated[float, Field(gt=0, le=100)] | None = None


class MastTable(Table):
    """A mast file."""

    name: Annotated[str, Field(min_length=1)]
    height_m: Annotated[float, Field(ge=5, le=400)]
    total_height_m: Annotated[float, Field(gt=0, le=500)] | None = None
    structure: Literal["lattice", "tubular"]
    mass_kg_per_m: Annotated[float, Field(gt=0, le=1000)]
    section_length_m: Length
    hinge_height_m: Annotated[float, Field(ge=0, le=10)]
    gin_pole_length_m: Length
    note: str = ""
    anchors: Annotated[list[AnchorTable], Field(min_length=1)]
    guys: list[GuyTable] = []


def shipped_masts() -> tuple[str, ...]:
    """Names of the masts in the package, in order; no unit."""
    folder = files("siting") / "masts"
    return tuple(sorted(entry.name.removesuffix(".toml") for entry in folder.iterdir() if entry.name.endswith(".toml")))


def shipped_mast_text(name: str) -> str:
    """The file of a shipped mast, to start one's own from; no unit."""
    return (files("siting") / "masts" / f"{name}.toml").read_text(encoding="utf-8")


def find_mast(use: str, folder: Path, where: str) -> tuple[Path, str, bool]:
    """Path, shown name and whether it is shipped, of the mast that the user names.

    Raises:
        InputError: neither a shipped mast nor a file.
    """
    if use not in shipped_masts() and (folder / use).is_file():
        return folder / use, Path(use).name if Path(use).is_absolute() else use, False
    if use in shipped_masts():
        return *find_shipped(use, where), True
    raise InputError.of(
        "mast_unknown", where, f"'{use}' is neither a shipped mast nor a file",
        f"{_nearest_words(use)}; or give the path of a mast file relative to the site file",
    )  # fmt: skip


def find_shipped(name: str, where: str) -> tuple[Path, str]:
    """Path and shown name of a shipped mast.

    Raises:
        InputError: there is none of that name.
    """
    if name not in shipped_masts():
        raise InputError.of("mast_unknown", where, f"'{name}' is no shipped mast", _nearest_words(name))
    return Path(str(files("siting") / "masts" / f"{name}.toml")), f"{name} (shipped mast)"


def _nearest_words(name: str) -> str:
    """The shipped masts, the nearest name first."""
    shipped = shipped_masts()
    near = difflib.get_close_matches(name, shipped, 1, 0.5)
    hint = f"did you mean {near[0]}? " if near else ""
    return f"{hint}shipped: {', '.join(shipped)}"


def read_mast(path: Path, shown: str, is_shipped: bool) -> Mast:
    """The mast of a file.

    Raises:
        InputError: every fault of the file, in file order.
    """
    table = read_table(path, shown, MastTable, "[mast] use")
    faults = [*_anchor_faults(table, shown), *_guy_faults(table, shown)]
    least_m = table.height_m
    total_m = table.total_height_m if table.total_height_m is not None else table.hinge_height_m + table.height_m
    if total_m < least_m:
        faults.append(
            Fault(
                "mast_height", f"{shown}, total_height_m", f"is {total_m:g} m, less than the mast's own {least_m:g} m",
                "give the height from the ground to the tip of the air terminal",
            )
        )  # fmt: skip
    if faults:
        raise InputError(tuple(faults))
    return Mast(
        name=table.name,
        height_m=table.height_m,
        total_height_m=total_m,
        structure=table.structure,
        mass_kg_per_m=table.mass_kg_per_m,
        section_length_m=table.section_length_m,
        hinge_height_m=table.hinge_height_m,
        gin_pole_length_m=table.gin_pole_length_m,
        anchors=tuple(
            Anchor(a.id, a.use, a.bearing_deg % 360.0, a.radius_m, a.design_load_kn) for a in table.anchors
        ),
        guys=tuple(GuyLevel(g.attach_m, tuple(g.anchors), g.use, g.diameter_mm) for g in table.guys),
        note=table.note,
        is_generic=is_shipped,
    )


def _anchor_faults(table: MastTable, shown: str) -> list[Fault]:
    """Anchors whose names clash or cannot be printed, and a second winch."""
    faults, seen, winches = [], set(), 0
    for number, anchor in enumerate(table.anchors, 1):
        where = f"{shown}, [[anchors]] no. {number}"
        name = anchor.id
        if not name.isascii() or not name.isprintable() or any(c in name for c in ',;"\'<> \t'):
            faults.append(
                Fault(
                    "anchor_id", where, f"the id '{name}' holds a blank, a comma, a quote or a letter beyond ASCII",
                    "use letters, digits, - and _ only, so that every rover takes it",
                )
            )  # fmt: skip
        if name.upper() in RESERVED_IDS:
            faults.append(Fault("anchor_id", where, f"the id '{name}' is kept for the base or the head", "rename it"))
        if name.upper() in seen:
            faults.append(Fault("anchor_id", where, f"the id '{name}' stands twice", "give each anchor its own id"))
        seen.add(name.upper())
        winches += anchor.use == WINCH
        if anchor.use == WINCH and winches == 2:
            faults.append(
                Fault("anchor_winch", where, "is a second winch anchor", "keep one; the lift is worked out for one")
            )
    return faults


def _guy_faults(table: MastTable, shown: str) -> list[Fault]:
    """Guys above the mast or to anchors that are not there."""
    faults = []
    known = [a.id for a in table.anchors]
    for number, guy in enumerate(table.guys, 1):
        where = f"{shown}, [[guys]] no. {number}"
        if guy.attach_m > table.height_m:
            faults.append(
                Fault(
                    "guy_attach", where, f"attach_m is {guy.attach_m:g} m, above the mast's {table.height_m:g} m",
                    "measure it from the hinge along the mast",
                )
            )  # fmt: skip
        for name in guy.anchors:
            if name not in known:
                near = difflib.get_close_matches(name, known, 1, 0.3)
                faults.append(
                    Fault(
                        "guy_anchor", where, f"names the anchor '{name}', which the file does not have",
                        f"did you mean {near[0]}?" if near else f"anchors: {', '.join(known)}",
                    )
                )  # fmt: skip
    return faults
