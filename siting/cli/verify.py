"""`siting verify`: whether a packet is whole, and what has changed since it was written."""

from __future__ import annotations

from pathlib import Path

import click


@click.command("verify")
@click.argument("folder")
def command(folder: str) -> int:
    """Say whether the packet in FOLDER is whole, and which files have changed or gone.

    Exit status: 0 whole; 1 something has changed or is missing; 2 no packet.
    """
    from siting.inputs.packet_folder import read_packet

    state = read_packet(Path(folder), folder)
    print(f"{state.name}   run {state.run_id}")
    for word, files in (("as written", state.whole), ("CHANGED", state.changed), ("MISSING", state.missing)):
        if files:
            print(f"  {word:<11}{'  '.join(files)}")
    if state.changed or state.missing:
        print("The packet is NOT as it was written: do not mix its files; make it again.")
        return 1
    print("The packet is whole.")
    return 0
