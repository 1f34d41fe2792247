"""The packet appears whole or not at all: it replaces an earlier one as a whole, and keeps what is somebody else's."""

from __future__ import annotations

import errno
import hashlib
import json
import os
from pathlib import Path

import pytest
from strategies import tree_bytes
from writers.plan_by_hand import make_plan

from siting.errors import WriteError
from siting.inputs.packet_folder import MANIFEST as MANIFEST_READ
from siting.inputs.packet_folder import read_packet
from siting.writers import packet
from siting.writers.packet import FILES, MANIFEST, check_folder, write_packet

DEFAULT_SET = ("plan.json", "stakes.geojson", "stakes.kml", "stakes.csv", "map.html")


@pytest.fixture
def light(monkeypatch):
    """A packet whose map is a line of text: the map has tests of its own."""
    monkeypatch.setitem(packet.FILES, "map.html", lambda plan: f"map of {plan.name}, run {plan.provenance.run_id}".encode())
    return make_plan()


@pytest.fixture
def old(tmp_path, light) -> Path:
    """A folder with an older packet of other bytes, a file that only the older one had, and somebody else's things."""
    out = tmp_path / "out"
    out.mkdir()
    contents = {name: f"old {name}".encode() for name in (*FILES, "stakes.gpx")}
    files = [{"name": n, "sha256": hashlib.sha256(d).hexdigest()} for n, d in contents.items()]
    contents[MANIFEST] = json.dumps({"run_id": "0" * 12, "name": "old", "files": files}).encode()
    for name, data in contents.items():
        (out / name).write_bytes(data)
    (out / "notes.txt").write_text("mine")
    (out / "photos").mkdir()
    (out / "photos" / "a.jpg").write_bytes(b"\xff\xd8")
    (out / "link").symlink_to("notes.txt")
    return out


def siblings(out: Path) -> list[str]:
    return sorted(p.name for p in out.parent.iterdir())


def test_the_default_set_and_its_manifest(tmp_path, light):
    assert tuple(FILES) == DEFAULT_SET and MANIFEST == MANIFEST_READ
    names = write_packet(light, tmp_path / "deep" / "out", "out")
    assert names == (*DEFAULT_SET, MANIFEST)
    found = tree_bytes(tmp_path / "deep" / "out")
    assert set(found) == set(names)
    manifest = json.loads(found.pop(MANIFEST))
    assert (manifest["run_id"], manifest["name"]) == (light.provenance.run_id, light.name)
    assert {f["name"]: f["sha256"] for f in manifest["files"]} == {n: hashlib.sha256(d).hexdigest() for n, d in found.items()}
    assert siblings(tmp_path / "deep" / "out") == ["out"]


def test_the_run_id_stands_in_every_file(tmp_path, light):
    write_packet(light, tmp_path / "out", "out")
    for name, data in tree_bytes(tmp_path / "out").items():
        assert light.provenance.run_id.encode() in data, name


def test_an_older_packet_is_replaced_as_a_whole_and_foreign_things_are_kept(old, light):
    write_packet(light, old, "out")
    found = tree_bytes(old)
    assert set(found) == {*DEFAULT_SET, MANIFEST, "notes.txt", "photos", "photos/a.jpg", "link"}
    assert (found["notes.txt"], found["photos/a.jpg"]) == (b"mine", b"\xff\xd8")
    assert (old / "link").is_symlink() and os.readlink(old / "link") == "notes.txt"
    assert not any(data.startswith(b"old") for data in found.values())
    assert siblings(old) == ["out"]
    assert read_packet(old, "out").changed == read_packet(old, "out").missing == ()


@pytest.mark.parametrize("name", DEFAULT_SET)
def test_a_writer_that_breaks_leaves_the_old_packet(old, light, monkeypatch, name):
    def break_down(plan):
        raise RuntimeError("planted")

    before = tree_bytes(old)
    monkeypatch.setitem(packet.FILES, name, break_down)
    with pytest.raises(RuntimeError, match="planted"):
        write_packet(light, old, "out")
    assert tree_bytes(old) == before
    assert siblings(old) == ["out"]


def failing(number: int, real, fault: OSError):
    """A function that works until its call of this number, which fails."""
    calls = []

    def call(*args, **kwargs):
        calls.append(args)
        if len(calls) == number:
            raise fault
        return real(*args, **kwargs)

    return call


DISK_FULL = OSError(errno.ENOSPC, "No space left on device")


@pytest.mark.parametrize("number", [1, 2])
def test_a_rename_that_fails_leaves_the_old_packet(old, light, monkeypatch, number):
    """The first rename takes the old folder away, the second brings the new one."""
    before = tree_bytes(old)
    monkeypatch.setattr(os, "rename", failing(number, os.rename, OSError(errno.EBUSY, "Device or resource busy")))
    with pytest.raises(WriteError) as caught:
        write_packet(light, old, "out")
    assert str(caught.value) == "out: cannot be written to (Device or resource busy). Name another folder with --out."
    assert tree_bytes(old) == before
    assert siblings(old) == ["out"]


@pytest.mark.parametrize("number", [1, 3, 6])
def test_a_disk_that_fills_leaves_the_old_packet(old, light, monkeypatch, number):
    before = tree_bytes(old)
    monkeypatch.setattr(Path, "write_bytes", failing(number, Path.write_bytes, DISK_FULL))
    with pytest.raises(WriteError) as caught:
        write_packet(light, old, "out")
    monkeypatch.undo()
    assert str(caught.value) == "out: cannot be written to (No space left on device). Name another folder with --out."
    assert tree_bytes(old) == before
    assert siblings(old) == ["out"]


def test_a_first_packet_that_fails_leaves_no_folder(tmp_path, light, monkeypatch):
    monkeypatch.setattr(os, "rename", failing(1, os.rename, DISK_FULL))
    with pytest.raises(WriteError):
        write_packet(light, tmp_path / "out", "out")
    assert list(tmp_path.iterdir()) == []


def test_the_working_folder_itself_can_hold_the_packet(old, light, monkeypatch):
    """A folder that somebody stands in cannot be swapped: its files are replaced, the manifest last."""
    monkeypatch.chdir(old)
    write_packet(light, Path(), ".")
    found = tree_bytes(old)
    assert set(found) == {*DEFAULT_SET, MANIFEST, "notes.txt", "photos", "photos/a.jpg", "link"}
    assert read_packet(old, "out").whole == DEFAULT_SET
    assert siblings(old) == ["out"]


@pytest.mark.parametrize("number", [1, 3, 6])
def test_the_working_folder_keeps_the_old_packet_where_a_replacement_fails(old, light, monkeypatch, number):
    before = tree_bytes(old)
    monkeypatch.chdir(old)
    monkeypatch.setattr(os, "replace", failing(number, os.replace, DISK_FULL))
    with pytest.raises(WriteError):
        write_packet(light, Path(), ".")
    monkeypatch.undo()
    assert tree_bytes(old) == before


def test_a_link_to_a_folder_stays_a_link(old, light, tmp_path):
    (tmp_path / "latest").symlink_to("out")
    write_packet(light, tmp_path / "latest", "latest")
    assert (tmp_path / "latest").is_symlink()
    assert read_packet(old, "out").whole == DEFAULT_SET


def test_the_folders_own_rights_are_kept(old, light):
    old.chmod(0o750)
    write_packet(light, old, "out")
    assert old.stat().st_mode & 0o777 == 0o750


def test_a_foreign_manifest_takes_nothing_from_outside_the_folder(old, light, tmp_path):
    """Names in a manifest are names in the folder: a path in one is no reason to touch what it points at."""
    outside = tmp_path / "precious.txt"
    outside.write_text("keep")
    manifest = json.loads((old / MANIFEST).read_text())
    manifest["files"].append({"name": "../precious.txt", "sha256": "0"})
    manifest["files"].append({"name": "photos", "sha256": "0"})
    (old / MANIFEST).write_text(json.dumps(manifest))
    write_packet(light, old, "out")
    assert outside.read_text() == "keep"
    assert (old / "notes.txt").read_text() == "mine"


@pytest.mark.parametrize("text", ["{", "[]", '{"files": 3}', '{"files": [{}]}', "\xff"])
def test_a_broken_manifest_hinders_nothing(old, light, text):
    (old / MANIFEST).write_text(text, encoding="latin-1")
    write_packet(light, old, "out")
    assert read_packet(old, "out").whole == DEFAULT_SET
    assert (old / "stakes.gpx").read_bytes() == b"old stakes.gpx"  # nobody knows whose it is


def test_folders_that_can_be_written_to_pass_the_check(tmp_path):
    for out in (tmp_path, tmp_path / "new", tmp_path / "new" / "deep"):
        check_folder(out, "out")
    assert list(tmp_path.iterdir()) == []


def test_copies_where_links_are_not_allowed(old, light, monkeypatch):
    """A memory card knows no hard links: foreign files are copied into the new folder."""

    def refuse(*args, **kwargs):
        raise OSError(errno.EPERM, "Operation not permitted")

    monkeypatch.setattr(os, "link", refuse)
    write_packet(light, old, "out")
    assert (old / "notes.txt").read_text() == "mine" and (old / "photos" / "a.jpg").read_bytes() == b"\xff\xd8"
