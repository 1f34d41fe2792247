"""Reads a packet's folder: its manifest, and what has changed since it was written."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from pathlib import Path

from siting.errors import InputError

MANIFEST = "packet.json"


@dataclass(frozen=True, slots=True)
class PacketState:
    """A packet against its manifest. Names of files."""

    name: str
    run_id: str
    whole: tuple[str, ...]
    changed: tuple[str, ...]
    missing: tuple[str, ...]


def read_packet(folder: Path, shown: str) -> PacketState:
    """The state of the packet in a folder.

    Raises:
        InputError: there is no packet, or its manifest cannot be read.
    """
    try:
        manifest = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))
        files = {Path(str(item["name"])).name: str(item["sha256"]) for item in manifest["files"]}
        name, run_id = str(manifest["name"]), str(manifest["run_id"])
    except FileNotFoundError:
        raise InputError.of("packet_missing", shown, f"holds no packet (no {MANIFEST})", "name a folder that siting wrote") from None
    except (OSError, ValueError, KeyError, TypeError):
        raise InputError.of("packet_broken", f"{shown}, {MANIFEST}", "cannot be read", "make the packet again") from None
    whole, changed, missing = [], [], []
    for file, expected in files.items():
        try:
            found = hashlib.sha256((folder / file).read_bytes()).hexdigest()
        except OSError:
            missing.append(file)
            continue
        (whole if found == expected else changed).append(file)
    return PacketState(name, run_id, tuple(whole), tuple(changed), tuple(missing))
