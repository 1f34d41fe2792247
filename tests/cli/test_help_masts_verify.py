"""Help, the version, the shipped masts as files to start from, and whether a packet is whole."""

from __future__ import annotations

import json
import shutil
import tomllib

import pytest
from strategies import write_site

from siting.cli.main import COMMANDS
from siting.inputs.mast_file import shipped_mast_text, shipped_masts
from siting.version import VERSION


@pytest.mark.parametrize("option", ["--help", "-h"])
def test_help_names_every_command_with_one_line(run_siting, option):
    status, out, err = run_siting(option)
    assert (status, err) == (0, "")
    for name, (_, words) in COMMANDS.items():
        assert f"  {name} " in out and words.split(",")[0][:40] in " ".join(out.split())
    assert "not a survey and not a permission" in " ".join(out.split())
    assert max(map(len, out.splitlines())) <= 110


def test_the_version(run_siting):
    assert run_siting("--version") == (0, f"siting, version {VERSION}\n", "")


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_every_command_has_help_that_fits_a_terminal(run_siting, name):
    status, out, err = run_siting(name, "--help")
    assert (status, err) == (0, "")
    assert out.startswith(f"Usage: siting {name} ")
    assert max(map(len, out.splitlines())) <= 110


def test_the_help_of_plan_says_the_exit_statuses(run_siting):
    text = " ".join(run_siting("plan", "--help")[1].split())
    assert (
        "Exit status: 0 all checks pass or are marginal; 1 the packet is written and a check fails; 2 bad input, nothing written."
    ) in text


def test_the_shipped_masts_are_listed_as_generic(run_siting):
    status, out, err = run_siting("masts")
    assert (status, err) == (0, "")
    lines = out.splitlines()
    assert [line.split()[0] for line in lines[:-1]] == list(shipped_masts())
    assert lines[-1].startswith("Generic masts, no maker's product: use the maker's drawing.")
    assert " 80 m lattice " in next(line for line in lines if line.startswith("lattice-80"))


def test_a_shipped_mast_is_a_file_to_start_from(run_siting, site_folder):
    """What `siting masts NAME` prints is a mast file: saved, it gives the same anchors."""
    status, out, err = run_siting("masts", "lattice-60")
    assert (status, err, out) == (0, "", shipped_mast_text("lattice-60"))
    assert tomllib.loads(out)["height_m"] == 60.0
    (site_folder / "mine.toml").write_text(out, encoding="utf-8")
    write_site(site_folder, mast={"use": "mine.toml"})
    assert run_siting("plan", "site.toml", "--out", "own")[0] in (0, 1)
    write_site(site_folder, mast={"use": "lattice-60"})
    assert run_siting("plan", "site.toml", "--out", "shipped")[0] in (0, 1)
    plans = [json.loads((site_folder / n / "plan.json").read_text(encoding="utf-8")) for n in ("own", "shipped")]
    assert plans[0]["stakes"] == plans[1]["stakes"] and plans[0]["lift"] == plans[1]["lift"]
    assert [p["mast"]["is_generic"] for p in plans] == [False, True]
    assert any("is generic" in w for w in plans[1]["warnings"]) and not any("is generic" in w for w in plans[0]["warnings"])


@pytest.fixture
def packet(whole_packet, tmp_path, monkeypatch):
    shutil.copytree(whole_packet, tmp_path / "out")
    monkeypatch.chdir(tmp_path)
    return tmp_path / "out"


def test_a_whole_packet_is_called_whole(packet, run_siting):
    status, out, err = run_siting("verify", "out")
    assert (status, err) == (0, "")
    run_id = json.loads((packet / "plan.json").read_text(encoding="utf-8"))["provenance"]["run_id"]
    assert out.splitlines()[0] == f"Test Ridge   run {run_id}"
    assert out.splitlines()[-1] == "The packet is whole."
    assert "CHANGED" not in out and "MISSING" not in out


def test_one_letter_changed_and_one_file_gone_are_named(packet, run_siting):
    data = bytearray((packet / "stakes.csv").read_bytes())
    data[-20] ^= 1
    (packet / "stakes.csv").write_bytes(bytes(data))
    (packet / "stakes.kml").unlink()
    status, out, err = run_siting("verify", "out")
    assert (status, err) == (1, "")
    assert "  CHANGED    stakes.csv\n" in out and "  MISSING    stakes.kml\n" in out
    assert "  as written plan.json  stakes.geojson  map.html\n" in out
    assert out.splitlines()[-1] == "The packet is NOT as it was written: do not mix its files; make it again."
