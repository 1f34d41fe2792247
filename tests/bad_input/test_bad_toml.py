"""Files that are no site file at all, and values whose kind no key can take."""

from __future__ import annotations

import pytest
from strategies import site_text

PLAN = ["plan", "site.toml", "--out", "out"]


def text(content):
    """A maker of site.toml with this content."""
    return lambda folder: (folder / "site.toml").write_bytes(content if isinstance(content, bytes) else content.encode())


WHOLE = site_text()
CASES = {
    "no site file": (lambda folder: None, ["site.toml: no such file. Check the site file's name."]),
    "a folder": (
        lambda folder: (folder / "site.toml").mkdir(),
        ["site.toml: cannot be read (Is a directory). Check the site file's name."],
    ),
    "not text": (text(b"II*\x00\xff\xfe\x80"), ["site.toml: is not a text file in UTF-8. Check the site file's name."]),
    "empty": (
        text(""),
        [
            "site.toml, name: is missing. Add name = …",
            "site.toml, [base]: is missing. Add the table [base].",
            "site.toml, [dem]: is missing. Add the table [dem].",
            "site.toml, [mast]: is missing. Add the table [mast].",
        ],
    ),
    "syntax: text without quotes": (
        text(WHOLE.replace('"Test Ridge"', "Test Ridge")),
        ['site.toml: is not valid TOML (Invalid value (at line 1, column 8)). Correct that line; text stands in "quotes".'],
    ),
    "syntax: a key twice": (
        text(WHOLE.replace("lon = 7.5", "lon = 7.5\nlon = 7.6")),
        [
            'site.toml: is not valid TOML (Cannot overwrite a value (at line 7, column 10)). Correct that line; text stands in "quotes".'
        ],
    ),
    "syntax: decimal comma": (
        text(WHOLE.replace("46.5", "46,5")),
        [
            'site.toml: is not valid TOML (Expected newline or end of document after a statement (at line 5, column 9)). Correct that line; text stands in "quotes".'
        ],
    ),
    "a number where a table stands": (
        text(WHOLE.replace('[dem]\npath = "dem.tif"', "").replace("name", "dem = 5\nname")),
        ["site.toml, line 1, dem: is 5, but it must be a table, [dem]. Correct it."],
    ),
    "text where a table stands": (
        text('base = "46.5, 7.5"\n' + WHOLE.replace("[base]\nlat = 46.5\nlon = 7.5", "")),
        ["site.toml, line 1, base: is '46.5, 7.5', but it must be a table, [base]. Correct it."],
    ),
    "azimuth true": (
        text(WHOLE + "[laydown]\nazimuth_deg = true\n"),
        [
            'site.toml, line 14, [laydown] azimuth_deg: is True, but it must be "auto" or a number of degrees from true north. Correct it.'
        ],
    ),
    "azimuth as a list": (
        text(WHOLE + "[laydown]\nazimuth_deg = [40.0]\n"),
        [
            'site.toml, line 14, [laydown] azimuth_deg: is [40.0], but it must be "auto" or a number of degrees from true north. Correct it.'
        ],
    ),
    "own ids that are no ids": (
        text(WHOLE + "[land]\nown = [1.5]\n"),
        ['site.toml, line 14, [land] own: is 1.5, but it must be text in "quotes" or a whole number. Correct it.'],
    ),
    "a date with a time": (
        text(WHOLE.replace("2027-05-10", "2027-05-10T10:30:00")),
        ["site.toml, line 2, date: is 2027-05-10 10:30:00, but it must be a date like 2027-03-15. Correct it."],
    ),
    "name too long": (
        text(WHOLE.replace("Test Ridge", "R" * 201)),
        [
            "site.toml, line 1, name: is 'RRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRR…, but string should have at most 200 characters. Correct it."
        ],
    ),
    "inline table with an unknown key": (
        text(WHOLE + "laydown = 1\n"),
        ["site.toml, line 13, [mast] laydown: is not a key that siting knows. Known keys here: use."],
    ),
    "value shown in short": (
        text(WHOLE.replace("lat = 46.5", f'lat = "{"4" * 60}"')),
        ["site.toml, line 5, [base] lat: is '444444444444444444444444444444444444…, but it must be a number. Correct it."],
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_site_file_as_a_file(name, assert_refused, site_folder):
    make, lines = CASES[name]
    make(site_folder)
    assert_refused(PLAN, *lines)
