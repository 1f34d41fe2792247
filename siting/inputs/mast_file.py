"""Reads a mast file: one that is shipped with the package, or the user's own from the maker's drawing."""

from __future__ import annotations

import difflib
from importlib.resources import files
from pathlib import Path

from siting.errors import Fault, InputError
from siting.inputs.mast_tables import MastTable
from siting.inputs.toml_file import read_table
from siting.records.guys import GuyOptions
from siting.records.mast import WINCH, Anchor, GuyLevel, Mast, section_ends_m
from siting.records.rigging import LightPole, Load, Rigging, WinchGear

RESERVED_IDS = ("BASE", "HEAD")


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
    faults = [*_anchor_faults(table, shown), *_guy_faults(table, shown), *_rigging_faults(table, shown)]
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
        guys=tuple(
            GuyLevel(g.attach_m, tuple(g.anchors), g.use, g.diameter_mm, g.strand, g.initial_tension_kn) for g in table.guys
        ),
        note=table.note,
        is_generic=is_shipped,
        guy_options=_guy_options(table),
        rigging=_rigging(table),
        shown=shown,
        base_section_m=table.base_section_m,
    )


def _guy_options(table: MastTable) -> GuyOptions:
    """How guys are cut and set: the file's values over the defaults."""
    given = {
        "initial_tension_ratio": table.initial_tension_ratio,
        "reference_c": table.reference_temperature_c,
        "termination_m": table.termination_m,
        "spare_ratio": table.spare_ratio,
        "pulse_returns": table.pulse_returns,
        "mast_expansion_ppm_per_k": table.mast_expansion_ppm_per_k,
    }
    return GuyOptions(**{k: v for k, v in given.items() if v is not None})


def _rigging(table: MastTable) -> Rigging:
    """What the file says of the lift."""
    winch = table.winch
    return Rigging(
        loads=tuple(Load(v.name, v.at_m, v.mass_kg) for v in table.loads),
        section_mass_kg=tuple(table.section_mass_kg),
        gin_pole_mass_kg=table.gin_pole_mass_kg,
        gin_poles=tuple(LightPole(v.length_m, v.mass_kg, v.raised_by) for v in table.gin_poles),
        lift_attach_m=tuple(table.lift_attach_m),
        lift_lines=table.lift_lines,
        friction_ratio=table.friction_ratio,
        winch=WinchGear(winch.limit_kn, winch.line_diameter_mm, winch.drum_diameter_mm, winch.drum_width_m, winch.wound_m),
        stiffness_knm2=table.stiffness_knm2,
        moment_limit_knm=table.moment_limit_knm,
        drag_coefficient=table.drag_coefficient,
        wind_area_m2_per_m=table.wind_area_m2_per_m,
    )


def _rigging_faults(table: MastTable, shown: str) -> list[Fault]:
    """Loads and lines beyond the mast, masses that do not fit its sections, a light pole without the heavy one's mass."""
    faults = []
    for number, load in enumerate(table.loads, 1):
        if load.at_m > table.height_m:
            faults.append(
                Fault(
                    "mast_load", f"{shown}, [[loads]] no. {number}", f"at_m is {load.at_m:g} m, above the mast's {table.height_m:g} m",
                    "measure it from the hinge along the mast",
                )
            )  # fmt: skip
    for place in table.lift_attach_m:
        if place > table.height_m:
            faults.append(
                Fault(
                    "mast_load", f"{shown}, lift_attach_m", f"names {place:g} m, above the mast's {table.height_m:g} m",
                    "measure it from the hinge along the mast",
                )
            )  # fmt: skip
    if table.base_section_m is not None and table.base_section_m > table.height_m:
        faults.append(
            Fault(
                "mast_sections", f"{shown}, base_section_m", f"is {table.base_section_m:g} m, longer than the mast's {table.height_m:g} m",
                "give the length of the one section that stands on the hinge, or leave it out",
            )
        )  # fmt: skip
    sections = len(section_ends_m(table.height_m, table.section_length_m, table.base_section_m)) - 1
    if table.section_mass_kg and len(table.section_mass_kg) != sections:
        faults.append(
            Fault(
                "mast_sections", f"{shown}, section_mass_kg", f"has {len(table.section_mass_kg)} masses for {sections} sections",
                "give one for each section, from the hinge up, a short last one included",
            )
        )  # fmt: skip
    if table.gin_poles and table.gin_pole_mass_kg is None:
        faults.append(
            Fault("mast_load", f"{shown}, [[gin_poles]]", "are given without gin_pole_mass_kg", "add the mass of what they raise")
        )
    return faults


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
