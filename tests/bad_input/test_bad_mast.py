"""Faults of a mast file: every one of the file is said at once, each with its place and what to do."""

from __future__ import annotations

import pytest
from strategies import SMALL_ANCHORS, SMALL_GUYS, small_mast, write_site

PLAN = ["plan", "site.toml", "--out", "out"]


def mast(anchors=SMALL_ANCHORS, guys=SMALL_GUYS, replace=(), **changes):
    """A maker of mast.toml with these changes, and of a site file that uses it."""

    def make(folder):
        write_site(folder)
        path = small_mast(folder / "mast.toml", anchors=anchors, guys=guys, **changes)
        text = path.read_text(encoding="utf-8")
        for old, new in replace:
            assert old in text
            text = text.replace(old, new, 1)
        path.write_text(text, encoding="utf-8")

    return make


def anchors(*more, **renamed):
    """The small mast's anchors with ids renamed and more rows."""
    return (*((renamed.get(a[0], a[0]), *a[1:]) for a in SMALL_ANCHORS), *more)


CASES = {
    "base section longer than the mast": (
        mast(base_section_m=61.0),
        ["mast.toml, base_section_m: is 61 m, longer than the mast's 60 m. Give the length of the one section that stands on the hinge, or leave it out."],
    ),
    "section masses that forget the base section": (
        mast(base_section_m=1.5, section_mass_kg=[30.0] * 20),
        ["mast.toml, section_mass_kg: has 20 masses for 21 sections. Give one for each section, from the hinge up, a short last one included."],
    ),
    "guy to an unknown anchor": (
        mast(guys=(*SMALL_GUYS, (40.0, ("A1", "S3"), "temporary"))),
        ["mast.toml, [[guys]] no. 5: names the anchor 'S3', which the file does not have. Did you mean S2?"],
    ),
    "guy to an anchor with no name near": (
        mast(guys=((58.0, ("zzz",), "permanent"),)),
        ["mast.toml, [[guys]] no. 1: names the anchor 'zzz', which the file does not have. Anchors: A1, B1, C1, S1, S2, K1, W1."],
    ),
    "anchor id twice": (
        mast(anchors=anchors(("A1", "permanent", 10.0, 20.0))),
        ["mast.toml, [[anchors]] no. 8: the id 'A1' stands twice. Give each anchor its own id."],
    ),
    "anchor id twice but for its case": (
        mast(anchors=anchors(("a1", "permanent", 10.0, 20.0))),
        ["mast.toml, [[anchors]] no. 8: the id 'a1' stands twice. Give each anchor its own id."],
    ),
    "second winch": (
        mast(anchors=anchors(("W2", "winch", 170.0, 55.0))),
        ["mast.toml, [[anchors]] no. 8: is a second winch anchor. Keep one; the lift is worked out for one."],
    ),
    "anchor id with a blank": (
        mast(anchors=anchors(("NE 1", "permanent", 10.0, 20.0))),
        [
            "mast.toml, [[anchors]] no. 8: the id 'NE 1' holds a blank, a comma, a quote or a letter beyond ASCII. Use letters, digits, - and _ only, so that every rover takes it."
        ],
    ),
    "anchor id with a comma": (
        mast(anchors=anchors(("N,1", "permanent", 10.0, 20.0))),
        [
            "mast.toml, [[anchors]] no. 8: the id 'N,1' holds a blank, a comma, a quote or a letter beyond ASCII. Use letters, digits, - and _ only, so that every rover takes it."
        ],
    ),
    "anchor id beyond ASCII": (
        mast(anchors=anchors(("Süd", "permanent", 10.0, 20.0))),
        [
            "mast.toml, [[anchors]] no. 8: the id 'Süd' holds a blank, a comma, a quote or a letter beyond ASCII. Use letters, digits, - and _ only, so that every rover takes it."
        ],
    ),
    "anchor id of the base": (
        mast(anchors=anchors(("Base", "permanent", 10.0, 20.0))),
        ["mast.toml, [[anchors]] no. 8: the id 'Base' is kept for the base or the head. Rename it."],
    ),
    "anchor id of the head": (
        mast(anchors=anchors(("HEAD", "permanent", 10.0, 20.0))),
        ["mast.toml, [[anchors]] no. 8: the id 'HEAD' is kept for the base or the head. Rename it."],
    ),
    "empty anchor id": (
        mast(anchors=anchors(("", "permanent", 10.0, 20.0))),
        ["mast.toml, line 52, [[anchors]] no. 8 id: is '', but it must not be empty. Correct it."],
    ),
    "guy above the mast": (
        mast(guys=((61.0, ("A1", "B1", "C1"), "permanent"),)),
        ["mast.toml, [[guys]] no. 1: attach_m is 61 m, above the mast's 60 m. Measure it from the hinge along the mast."],
    ),
    "total height below the mast": (
        mast(total_height_m=59.0),
        [
            "mast.toml, total_height_m: is 59 m, less than the mast's own 60 m. Give the height from the ground to the tip of the air terminal."
        ],
    ),
    "use of an anchor unknown": (
        mast(anchors=anchors(("X1", "permament", 10.0, 20.0))),
        [
            "mast.toml, line 53, [[anchors]] no. 8 use: is 'permament', but it must be 'permanent', 'temporary' or 'winch'. Correct it."
        ],
    ),
    "radius of nought": (
        mast(anchors=anchors(("X1", "permanent", 10.0, 0.0))),
        ["mast.toml, line 55, [[anchors]] no. 8 radius_m: is 0.0, but it must be at least 0.1. Correct it."],
    ),
    "bearing beyond two turns": (
        mast(anchors=anchors(("X1", "permanent", 400.0, 20.0))),
        ["mast.toml, line 54, [[anchors]] no. 8 bearing_deg: is 400.0, but it must be at most 360. Correct it."],
    ),
    "key of a table of anchors unknown": (
        mast(replace=[("radius_m", "radius_mm")]),
        [
            "mast.toml, line 9, [[anchors]] no. 1 radius_m: is missing. Add radius_m = …",
            "mast.toml, line 13, [[anchors]] no. 1 radius_mm: is not a key that siting knows. Did you mean radius_m?",
        ],
    ),
    "no anchors": (mast(anchors=(), guys=()), ["mast.toml, [[anchors]]: is missing. Add a table [[anchors]]."]),
    "height in feet": (
        mast(height_m=1969.0),
        ["mast.toml, line 2, height_m: is 1969.0, but it must be at most 400. Correct it."],
    ),
    "height missing": (mast(height_m=None), ["mast.toml, height_m: is missing. Add height_m = …"]),
    "structure unknown": (
        mast(structure="truss"),
        ["mast.toml, line 3, structure: is 'truss', but it must be 'lattice' or 'tubular'. Correct it."],
    ),
    "mass not a number": (
        mast(replace=[("mass_kg_per_m = 12.0", "mass_kg_per_m = nan")]),
        ["mast.toml, line 4, mass_kg_per_m: is nan, but it must be a finite number. Correct it."],
    ),
    "not valid TOML": (
        mast(replace=[("[[guys]]", "[[guys]")]),
        [
            "mast.toml: is not valid TOML (Expected ']]' at the end of an array declaration (at line 51, column 7)). Correct that line; text stands in \"quotes\"."
        ],
    ),
    "several faults at once": (
        mast(
            anchors=anchors(("A1", "permanent", 10.0, 20.0), ("W 2", "winch", 170.0, 55.0)),
            guys=((70.0, ("A1", "Z9"), "permanent"),),
            total_height_m=50.0,
        ),
        [
            "mast.toml, [[anchors]] no. 8: the id 'A1' stands twice. Give each anchor its own id.",
            "mast.toml, [[anchors]] no. 9: the id 'W 2' holds a blank, a comma, a quote or a letter beyond ASCII. Use letters, digits, - and _ only, so that every rover takes it.",
            "mast.toml, [[anchors]] no. 9: is a second winch anchor. Keep one; the lift is worked out for one.",
            "mast.toml, [[guys]] no. 1: attach_m is 70 m, above the mast's 60 m. Measure it from the hinge along the mast.",
            "mast.toml, [[guys]] no. 1: names the anchor 'Z9', which the file does not have. Anchors: A1, B1, C1, S1, S2, K1, W1, A1, W 2.",
            "and 1 more",
        ],
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_mast_file(name, assert_refused, site_folder):
    make, lines = CASES[name]
    make(site_folder)
    assert_refused(PLAN, *lines)
