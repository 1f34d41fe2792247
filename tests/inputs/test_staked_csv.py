"""The surveyor's file: every layout that a rover or an office writes, and each fault word for word."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from staked_files import as_csv, demo_plan, measured

from siting.errors import InputError
from siting.inputs.staked_csv import read_staked

ROWS = [("BASE", 5208885.7, 587408.95, 1426.402), ("A1", 5208900.047, 587432.977, None), ("SIDE-R", 5208874.699, 587452.56, 1425.8)]


def read(folder: Path, text: str | bytes, name: str = "staked.csv"):
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_staked(path, name)


def rows_of(found):
    return [(p.name, p.northing, p.easting, p.elevation_m) for p in found.points]


def faults(folder: Path, text: str | bytes) -> list[str]:
    with pytest.raises(InputError) as caught:
        read(folder, text)
    return [f"[{f.code}] {f.line()}" for f in caught.value.faults]


# --- layouts ------------------------------------------------------------------------------------------------------


LAYOUTS = {
    "as in stakes.csv": "point,northing,easting,elevation,code,lat,lon,description\r\n"
    "BASE,5208885.700,587408.950,1426.402,MBASE,47.0,-109.8,base plate; DEM height\r\n"
    "A1,5208900.047,587432.977,,MANCH,,,\r\nSIDE-R,5208874.699,587452.560,1425.800,MTEMP,,,x\r\n",
    "without a header": "BASE,5208885.700,587408.950,1426.402,MBASE,47.0,-109.8,base plate; DEM height not for grade; none\n"
    "A1,5208900.047,587432.977,,MANCH,,,\nSIDE-R,5208874.699,587452.560,1425.800\n",
    "semicolons and decimal commas": "point;northing;easting;elevation\nBASE;5208885,700;587408,950;1426,402\n"
    "A1;5208900,047;587432,977;\nSIDE-R;5208874,699;587452,56;1425,8\n",
    "tabs and decimal commas, no header": "BASE\t5208885,7\t587408,95\t1426,402\nA1\t5208900,047\t587432,977\nSIDE-R\t5208874,699\t587452,56\t1425,8",
    "another order, other cases, blanks": " Easting , NORTHING,Code, Point ,  Elevation\n587408.95, 5208885.7 ,MBASE, BASE,1426.402\n"
    "587432.977,5208900.047,,A1, \n587452.56,5208874.699,,SIDE-R,1425.8\n",
    "three columns and other headings": "Point ID;North;East [m];Elevation (m)\nBASE;5208885.7;587408.95;1426.402\nA1;5208900.047;587432.977;\nSIDE-R;5208874.699;587452.56;1425.8\n",
    "quotes": '"point","northing","easting","elevation","description"\n"BASE","5208885.7","587408.95","1426.402","a, comma"\n'
    '"A1","5208900.047","587432.977","",""\n"SIDE-R","5208874.699","587452.56","1425.8","2"" pipe"\n',
    "columns of their own": "point,date,northing,easting,elevation,hrms\nBASE,2027-06-01,5208885.7,587408.95,1426.402,0.01\n"
    "A1,2027-06-01,5208900.047,587432.977,,0.01\nSIDE-R,2027-06-01,5208874.699,587452.56,1425.8,0.02\n",
    "blank lines, remarks, trailing commas": "\n# job 7\n,,,\npoint,northing,easting,elevation\n\nBASE,5208885.7,587408.95,1426.402,,\n   \n"
    "A1,5208900.047,587432.977,,\n#A9,1,2,3\nSIDE-R,5208874.699,587452.56,1425.8\n\n",
    "grouped digits": "point;northing;easting;elevation\nBASE;5 208 885,7;587\u00a0408,95;1'426,402\nA1;5\u202f208\u202f900,047;587 432,977;\n"
    "SIDE-R;5208874,699;587452,56;1425,8\n",
}


@pytest.mark.parametrize("name", [n for n in LAYOUTS if n != "grouped digits"])
def test_layouts(tmp_path, name):
    assert rows_of(read(tmp_path, LAYOUTS[name])) == ROWS


def test_digits_in_groups_with_a_decimal_point(tmp_path):
    text = "point;northing;easting;elevation\nBASE;5 208 885.7;587\u00a0408.95;1'426.402\nA1;5\u202f208\u202f900.047;587 432.977;\nSIDE-R;5208874,699;587452,56;1425,8\n"
    assert rows_of(read(tmp_path, text)) == ROWS
    assert rows_of(read(tmp_path, LAYOUTS["grouped digits"])) == ROWS


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_encodings_and_line_ends(tmp_path, encoding, end):
    text = end.join(["point;northing;easting;elevation;description", "BASE;1;2;3;Mühle", "A1;4;5;;"]) + end
    assert rows_of(read(tmp_path, text.encode(encoding))) == [("BASE", 1.0, 2.0, 3.0), ("A1", 4.0, 5.0, None)]


def test_how_the_file_was_read_is_said(tmp_path):
    assert read(tmp_path, LAYOUTS["as in stakes.csv"]).layout == "comma between the columns, columns by the header row"
    assert read(tmp_path, LAYOUTS["tabs and decimal commas, no header"]).layout == (
        "tab between the columns, no header row: columns in the order of stakes.csv"
    )


def test_the_packets_own_file_is_read(tmp_path):
    from siting.writers.points.points_csv import points_csv

    plan = demo_plan()
    found = read(tmp_path, points_csv(plan))
    assert rows_of(found) == [(s.point, s.northing, s.easting, s.height_m) for s in plan.stakes]


@given(
    seed=st.integers(0, 1000), separator=st.sampled_from([",", ";", "\t"]), comma=st.booleans(), header=st.booleans(),
    end=st.sampled_from(["\n", "\r\n"]), blank=st.booleans(),
)  # fmt: skip
def test_whatever_the_layout_the_numbers_are_the_same(tmp_path, seed, separator, comma, header, end, blank):
    rows = [(n, round(y, 3), round(x, 3), None if blank and i % 2 else round(h, 3)) for i, (n, y, x, h) in enumerate(measured(demo_plan(), seed=seed))]
    text = as_csv(rows, header).replace("\r\n", end).replace(",", separator)
    if comma and separator != ",":
        text = text.replace(".", ",")
    assert rows_of(read(tmp_path, text)) == rows


# --- faults, word for word ----------------------------------------------------------------------------------------


HEAD = "point,northing,easting,elevation\n"
ORDER = "Columns: point, northing, easting, elevation, code, lat, lon, description; point, northing and easting are needed."
FAULTS = {
    "number": (
        HEAD + "A1,52o8885.7,587408.9,1\n",
        ["[staked_number] staked.csv, line 2, northing: '52o8885.7' is not a number. Write it in full, like 5208885.700."],
    ),
    "shortened by a spreadsheet": (
        HEAD + "A1,5.21E+06,587408.9,1\n",
        ["[staked_number] staked.csv, line 2, northing: '5.21E+06' is not a number. Write it in full, like 5208885.700."],
    ),
    "not finite": (
        HEAD + "A1,nan,inf,1\n",
        [
            "[staked_number] staked.csv, line 2, northing: 'nan' is not a number. Write it in full, like 5208885.700.",
            "[staked_number] staked.csv, line 2, easting: 'inf' is not a number. Write it in full, like 5208885.700.",
        ],
    ),
    "elevation": (
        HEAD + "A1,5208885.7,587408.9,n/a\n",
        ["[staked_number] staked.csv, line 2, elevation: 'n/a' is not a number. Write it like 1426.40, or leave it blank."],
    ),
    "two decimal marks": (
        "point;northing;easting\nA1;5.208.885,7;587408,9\n",
        ["[staked_number] staked.csv, line 2, northing: '5.208.885,7' is not a number. Write it in full, like 5208885.700."],
    ),
    "blanks": (
        HEAD + ",5208885.7,587408.9,1\nA2,,587408.9,1\nA3,5208885.7\n",
        [
            "[staked_blank] staked.csv, line 2, point: is blank. Fill in the point or take the line out.",
            "[staked_blank] staked.csv, line 3, northing: is blank. Fill in the northing or take the line out.",
            "[staked_blank] staked.csv, line 4, easting: is blank. Fill in the easting or take the line out.",
        ],
    ),
    "duplicate": (
        HEAD + "A1,1,2,3\nB1,1,2,3\na1,4,5,6\n",
        [
            "[staked_duplicate] staked.csv, line 4, point: 'a1' stands on line 2 already. Keep one of the two, or give the other "
            "a name of its own."
        ],
    ),
    "missing columns": (
        "point,x,y\nA1,1,2\n",
        [f"[staked_columns] staked.csv, line 1: has no column northing nor easting (it reads 'point,x,y'). {ORDER}"],
    ),
    "a column twice": (
        "point,northing,North,easting\nA1,1,2,3\n",
        ["[staked_columns] staked.csv, line 1: has more than one column for northing. Keep one of them."],
    ),
    "decimal commas between commas": (
        HEAD + "A1,5208885,700,587408,950,1426,402\n",
        [
            "[staked_columns] staked.csv, line 2: has 7 fields, the header has 4 columns. Separate the columns as in the first line; "
            "a decimal comma needs a semicolon or a tab between the columns."
        ],
    ),
    "decimal commas between commas, no header": (
        "A1,5208885,700,587408,950\nA2,5208885,700,587408,950,1426,402,MANCH,47,1\n",
        [
            "[staked_number] staked.csv, line 1, elevation: 587408 is no height on earth. Check the order of the columns; a decimal "
            "comma needs a semicolon or a tab between them.",
            "[staked_columns] staked.csv, line 2: has 10 fields, stakes.csv has 8 columns. Separate the columns as in the first line; "
            "a decimal comma needs a semicolon or a tab between the columns.",
        ],
    ),
    "another order, no header": (
        "A1,5208885.7,587408.9,1426.4,CODE,5208885.7,587408.9\n",
        [
            "[staked_columns] staked.csv, line 1, lat: 5208885.7 is no lat in degrees. Without a header row the columns must stand as "
            "in stakes.csv; add its header row."
        ],
    ),
    "a spoilt first line": (
        "A1,5208885.7,abc,1\n",
        ["[staked_number] staked.csv, line 1, easting: 'abc' is not a number. Write it in full, like 5208885.700."],
    ),
    "prose": ("as staked on Monday\n", [f"[staked_columns] staked.csv, line 1: has no column point nor northing nor easting (it reads 'as staked on Monday'). {ORDER}"]),
    "nothing": ("\n\n", [f"[staked_empty] staked.csv: holds no points. Give one point a line; {ORDER[0].lower()}{ORDER[1:]}"]),
    "only a header": (HEAD, ["[staked_empty] staked.csv: holds a header but no points. Give one point a line."]),
    "no text": (b"PK\x03\x04\x00\x00\x00", ["[file_not_text] staked.csv: is not a text file. Export the points as CSV."]),
}


@pytest.mark.parametrize("name", FAULTS)
def test_each_fault_is_one_plain_line(tmp_path, name):
    text, lines = FAULTS[name]
    assert faults(tmp_path, text) == lines


def test_a_file_that_is_not_there(tmp_path):
    with pytest.raises(InputError) as caught:
        read_staked(tmp_path / "gone.csv", "gone.csv")
    assert str(caught.value) == "gone.csv: no such file. Check the as-staked file's name."


def test_a_folder_is_no_file(tmp_path):
    with pytest.raises(InputError) as caught:
        read_staked(tmp_path, "folder")
    assert str(caught.value) == "folder: cannot be read (Is a directory). Check the as-staked file's name."


def test_faults_come_in_file_order(tmp_path):
    text = HEAD + "A1,x,2,3\nA2,1,2,3\nA2,1,2,3\nA3,1,,3\n"
    assert [line.partition("line ")[2][0] for line in faults(tmp_path, text)] == ["2", "4", "5"]


@given(st.text(st.characters(codec="utf-8", exclude_characters="\0"), max_size=200))
def test_any_text_is_read_or_refused_in_plain_words(tmp_path, text):
    try:
        found = read(tmp_path, text)
    except InputError as fault:
        assert all(f.line().startswith("staked.csv") for f in fault.faults)
    else:
        assert found.points
