"""The command line used wrongly, and folders that cannot be written: one plain line, status 2, nothing touched."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from pathlib import Path

import pytest
from strategies import tree_bytes, write_site

from siting.cli.main import COMMANDS

ROOT = Path(__file__).parents[2]
BASE = ["--base", "46.5, 7.5"]

# name: (arguments, the line)
CASES = {
    "no site and no options": (
        ["plan"],
        ["siting plan: give a site file, or --dem, --base and --mast (missing: --dem, --base, --mast). See siting plan --help."],
    ),
    "--dem without --mast": (
        ["plan", "--dem", "dem.tif", *BASE],
        ["siting plan: give a site file, or --dem, --base and --mast (missing: --mast). See siting plan --help."],
    ),
    "--dem alone": (
        ["plan", "--dem", "dem.tif"],
        ["siting plan: give a site file, or --dem, --base and --mast (missing: --base, --mast). See siting plan --help."],
    ),
    "--dem beside a site file": (
        ["plan", "site.toml", "--dem", "dem.tif"],
        ["siting plan: --dem cannot stand beside a site file: write it there. See siting plan --help."],
    ),
    "two options beside a site file": (
        ["plan", "site.toml", *BASE, "--mast", "lattice-60"],
        ["siting plan: --base, --mast cannot stand beside a site file: write it there. See siting plan --help."],
    ),
    "two site files": (
        ["plan", "site.toml", "other.toml"],
        ["siting plan: Got unexpected extra argument (other.toml). See siting plan --help."],
    ),
    "an option that there is not": (
        ["plan", "site.toml", "--uot", "out"],
        ["siting plan: No such option '--uot'. Did you mean '--out'? See siting plan --help."],
    ),
    "an option without its value": (
        ["plan", "site.toml", "--out"],
        ["siting: Option '--out' requires an argument. See siting --help."],
    ),
    "a command that there is not": (
        ["paln", "site.toml"],
        ["siting: there is no command 'paln'; did you mean plan? See siting --help."],
    ),
    "a command with nothing near": (
        ["frobnicate"],
        [f"siting: there is no command 'frobnicate'; commands: {', '.join(COMMANDS)}. See siting --help."],
    ),
    "options: DEM missing": (
        ["plan", "--dem", "no.tif", *BASE, "--mast", "mast.toml", "--out", "out"],
        ["no.tif: no such file. Check --dem."],
    ),
    "options: mast unknown": (
        ["plan", "--dem", "dem.tif", *BASE, "--mast", "lattice-70", "--out", "out"],
        [
            "command line, [mast] use: 'lattice-70' is neither a shipped mast nor a file. Did you mean lattice-80? shipped: lattice-100, lattice-60, lattice-80, tube-60; or give the path of a mast file relative to the site file."
        ],
    ),
    "options: base unreadable": (
        ["plan", "--dem", "dem.tif", "--base", "here", "--mast", "mast.toml", "--out", "out"],
        [
            "command line, [base]: 'here' is not a point that siting can read. Write latitude then longitude: 46.51230, 7.45670 or 46°30'44.3\"N 7°27'24.1\"E, or UTM: 32T 381604 5152306, or MGRS: 32TLS8160452306."
        ],
    ),
    "options: base swapped": (
        ["plan", "--dem", "dem.tif", "--base", "7.5, 46.5", "--mast", "mast.toml", "--out", "out"],
        [
            "base 7.500000, 46.500000: lies outside dem.tif, which covers latitude 46.49898 to 46.50102, longitude 7.49853 to 7.50148. Latitude and longitude look swapped: give latitude first."
        ],
    ),
    "out is a file": (["plan", "site.toml", "--out", "dem.tif"], ["dem.tif: is a file, not a folder. Name a folder with --out."]),
    "out lies under a file": (
        ["plan", "site.toml", "--out", "dem.tif/packet"],
        ["dem.tif/packet: lies under the file dem.tif. Name a folder with --out."],
    ),
    "out has a name that no disk takes": (
        ["plan", "site.toml", "--out", "o" * 300],
        [f"{'o' * 300}: cannot be written to (File name too long). Name another folder with --out."],
    ),
    "a shipped mast that there is not": (
        ["masts", "latice-80"],
        [
            "siting masts: 'latice-80' is no shipped mast. Did you mean lattice-80? shipped: lattice-100, lattice-60, lattice-80, tube-60."
        ],
    ),
    "verify where no packet is": (
        ["verify", "nowhere"],
        ["nowhere: holds no packet (no packet.json). Name a folder that siting wrote."],
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_usage(name, assert_refused, site_folder):
    arguments, lines = CASES[name]
    write_site(site_folder)
    assert_refused(arguments, *lines)


def test_output_folder_without_the_right_to_write(assert_refused, site_folder, monkeypatch):
    write_site(site_folder)
    allowed = os.access
    monkeypatch.setattr(os, "access", lambda path, mode, **k: not mode & os.W_OK and allowed(path, mode, **k))
    assert_refused(["plan", "site.toml", "--out", "out"], "out: cannot be written to. Name a folder of your own with --out.")
    assert_refused(["plan", "site.toml", "--out", "new/deep"], "new/deep: cannot be written to. Name a folder of your own with --out.")


def test_output_folder_that_turns_out_unwritable(assert_refused, site_folder, monkeypatch):
    """Rights on paper, and the disk says no: the words are the system's own, the folder is untouched."""

    def refuse(*args, **kwargs):
        raise OSError(errno.EROFS, "Read-only file system")

    write_site(site_folder)
    monkeypatch.setattr("tempfile.mkdtemp", refuse)
    line = "out: cannot be written to (Read-only file system). Name another folder with --out."
    assert_refused(["plan", "site.toml", "--out", "out"], line)


def test_a_packet_with_a_broken_manifest_is_no_packet(assert_refused, site_folder):
    (site_folder / "broken").mkdir()
    (site_folder / "broken" / "packet.json").write_text("{")
    assert_refused(["verify", "broken"], "broken, packet.json: cannot be read. Make the packet again.")


def in_a_process_of_its_own(folder: Path, *arguments: str) -> subprocess.CompletedProcess:
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    return subprocess.run(
        [sys.executable, "-m", "siting", *arguments], cwd=folder, env=environment, capture_output=True, text=True, check=False
    )


@pytest.mark.parametrize(
    ("changes", "line"),
    [
        (
            {"mast": {"use": "mast.tml"}},
            "site.toml, [mast] use: 'mast.tml' is neither a shipped mast nor a file. Shipped: lattice-100, lattice-60, "
            "lattice-80, tube-60; or give the path of a mast file relative to the site file.",
        ),
        (
            {"base": {"lat": 7.5, "lon": 46.5}},
            "base 7.500000, 46.500000: lies outside dem.tif, which covers latitude 46.49898 to 46.50102, longitude 7.49853 "
            "to 7.50148. Latitude and longitude look swapped: give latitude first.",
        ),
    ],
    ids=["site file", "DEM"],
)
def test_the_real_command_line(changes, line, site_folder):
    write_site(site_folder, **changes)
    before = tree_bytes(site_folder)
    ran = in_a_process_of_its_own(site_folder, "plan", "site.toml", "--out", "out")
    assert (ran.returncode, ran.stdout, ran.stderr) == (2, "", line + "\n")
    assert tree_bytes(site_folder) == before


def test_a_fault_of_our_own_shows_no_traceback(assert_refused, site_folder, monkeypatch):
    def break_down(*args):
        raise ZeroDivisionError("planted\nfault")

    write_site(site_folder)
    monkeypatch.setattr("siting.planner.make_plan", break_down)
    assert_refused(
        ["plan", "site.toml", "--out", "out"],
        "siting: a fault of its own (ZeroDivisionError: planted fault); nothing was written. "
        "Please report it with the site file; SITING_TRACEBACK=1 shows where it happened.",
    )
