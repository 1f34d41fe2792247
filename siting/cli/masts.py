"""`siting masts`: the shipped masts, or one of them as a file to start from."""

from __future__ import annotations

import click


@click.command("masts")
@click.argument("name", required=False)
def command(name: str | None) -> int:
    """List the shipped masts; with NAME, print that mast's file.

    They are generic and no maker's product: a real plan uses the maker's drawing.
    """
    from siting.inputs.mast_file import find_shipped, read_mast, shipped_mast_text, shipped_masts

    if name is not None:
        find_shipped(name, "siting masts")
        print(shipped_mast_text(name), end="")
        return 0
    for shipped in shipped_masts():
        path, shown = find_shipped(shipped, "siting masts")
        mast = read_mast(path, shown, True)
        print(
            f"{shipped:<12} {mast.height_m:>5.0f} m {mast.structure:<8} {mast.total_height_m:>6.1f} m to the tip, "
            f"{len(mast.anchors)} anchors, {len(mast.guys)} guy levels, gin pole {mast.gin_pole_length_m:g} m"
        )
    print("Generic masts, no maker's product: use the maker's drawing. `siting masts NAME` prints one as a file.")
    return 0
