"""`siting verify`: whether a packet is whole, and what has changed since it was written."""

from __future__ import annotations

from pathlib import Path

import click


@click.command("verify")
@click.argument("folder")
def command(folder: str) -> int:
    """Say whether the packet in FOLDER is whole, which files have changed or gone, and which sheets are another plan's.

    Exit status: 0 whole; 1 something has changed or is missing, or a sheet is of another plan; 2 no packet.
    """
    from siting.inputs.packet_folder import read_packet
    from siting.inputs.sheet_runs import other_sheets

    state = read_packet(Path(folder), folder)
    print(f"{state.name}   run {state.run_id}")
    for word, files in (("as written", state.whole), ("CHANGED", state.changed), ("MISSING", state.missing)):
        if files:
            print(f"  {word:<11}{'  '.join(files)}")
    others = other_sheets(Path(folder), state.run_id)
    for sheet in others:
        print(f"  {sheet.sentence()}")
    if state.changed or state.missing:
        print("The packet is NOT as it was written: do not mix its files; make it again.")
        return 1
    print("The packet is whole." if not others else "The packet is whole, but what lies beside it is of another plan: do not use it.")
    return 1 if others else 0
