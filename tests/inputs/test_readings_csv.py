"""The crew's readings: the form as spreadsheets save it, where the instruments stand, and each fault word for word."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from standing_readings import HEADER

from siting.errors import InputError
from siting.inputs.readings_csv import read_readings
from siting.lift.plumb import lean_m, plumb_form
from siting.lift.standing import standing_mast
from siting.records.plumb import PlumbOptions
from siting.writers.plumb.readings_form import readings_form
from tests.lift import rigs

MAST = standing_mast(rigs.mast(), rigs.ground_m(rigs.mast(), 0.1), rigs.HINGE_M, rigs.rigs(rigs.mast()))
FORM = plumb_form(MAST, PlumbOptions())
GOOD = ("lean,58,,180,90,8.3,-2.5,,", "lean,30,,180,90,4.0,-1.25,,", "guy,58,A,,,,,1.02,", "guy,30,B,,,,,2.5,by pulse", "temperature,,,,,,,,12", "wind,,,,,,,,2 m/s")  # fmt: skip


def read(folder: Path, text: str | bytes):
    path = folder / "readings.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_readings(path, "r.csv", FORM)


def lines(*rows: str) -> str:
    return "\n".join([HEADER, *rows]) + "\n"


def faults(folder: Path, text: str | bytes) -> list[str]:
    with pytest.raises(InputError) as caught:
        read(folder, text)
    return [f"[{f.code}] {f.line()}" for f in caught.value.faults]


def plain(found):
    leans = [(r.attach_m, r.offset_a_m, r.offset_b_m, r.bearing_a_deg, r.bearing_b_deg) for r in found.leans]
    return leans, [(t.anchor, t.attach_m, t.tension_kn) for t in found.tensions], found.temperature_c


EXPECTED = (
    [(30.0, 0.04, -0.0125, 90.0, 0.0), (58.0, 0.083, -0.025, 90.0, 0.0)], [("A", 58.0, 1.02), ("B", 30.0, 2.5)], 12.0,
)  # fmt: skip
SEMICOLONS = lines(*GOOD).replace(",", ";").replace("8.3", "8,3").replace("1.25", "1,25").replace("1.02", "1,02")
LAYOUTS = {
    "as written": lines(*GOOD),
    "semicolons, decimal commas": SEMICOLONS,
    "tabs, utf-16, as a spreadsheet's text": SEMICOLONS.replace(";", "\t").encode("utf-16"),
    "a mark at the start, CRLF": b"\xef\xbb\xbf" + lines(*GOOD).replace("\n", "\r\n").encode(),
    "a separator line, blank rows": "sep=;\r\n" + SEMICOLONS.replace("\n", "\r\n;;;;;;;;\r\n\r\n"),
    "quotes, remarks, a column of one's own": '"' + '","'.join(HEADER.split(",")) + '","by"\n# first day\n' + "\n".join(f"{row},NN" for row in GOOD),
    "true minus, degrees said, another case": lines(*GOOD).replace("-", "−").replace(",12\n", ",12 °C\n").replace("lean", "Lean").replace("58,A", "58,a"),
    "a Windows code page": lines(*GOOD, "read by,,,,,,,,Jürg").encode("cp1252"),
    "columns in another order": "\n".join(",".join(reversed(line.split(","))) for line in lines(*GOOD).splitlines()),
}  # fmt: skip


@pytest.mark.parametrize("name", LAYOUTS)
def test_layouts(tmp_path, name):
    assert plain(read(tmp_path, LAYOUTS[name])) == EXPECTED


def test_what_else_stands_on_the_form_is_kept_as_written(tmp_path):
    assert read(tmp_path, lines(*GOOD, "read by,,,,,,,,Å. B.", "date,,,,,,,,")).said == ("B at 30 m: by pulse", "wind: 2 m/s", "read by: Å. B.")


@pytest.mark.parametrize("stands", [(180.0, 90.0), (200.0, 75.0), (0.0, 270.0), (-90.0, 10.0)])
def test_an_instrument_looks_at_the_base_and_counts_to_its_right(tmp_path, stands):
    """The place is turned so that an instrument on the laydown's line, behind the base, sees the right on its right."""
    places = np.array([[0.05, -0.02], [0.11, 0.07]])
    rows = []
    for height, place in zip((30, 58), places, strict=True):
        right = []
        for bearing in np.radians(stands):
            # From above with the laydown upward: turn the picture until the instrument is at the foot and looks up.
            turned = np.array([[np.cos(bearing + np.pi), np.sin(bearing + np.pi)], [-np.sin(bearing + np.pi), np.cos(bearing + np.pi)]]) @ place
            right.append(100.0 * turned[1])
        rows.append(f"lean,{height},,{stands[0]:g},{stands[1]:g},{right[0]:.4f},{right[1]:.4f},,")
    found = read(tmp_path, lines(*rows))
    assert lean_m([30.0, 58.0], found.leans, "test") == pytest.approx(places, abs=1e-5)


def test_seen_from_behind_the_base_the_right_is_the_laydowns_right(tmp_path):
    (low, _) = read(tmp_path, lines("lean,30,,180,90,5,0,,", "lean,58,,180,90,5,0,,")).leans
    assert lean_m([30.0], [low], "test") == pytest.approx(np.array([[0.0, 0.05]]))
    (low, _) = read(tmp_path, lines("lean,30,,180,90,0,5,,", "lean,58,,180,90,0,5,,")).leans
    assert lean_m([30.0], [low], "test") == pytest.approx(np.array([[0.05, 0.0]]))  # from the right side, the head lay to its right


def test_the_form_as_written_can_be_read_once_a_figure_stands_in_it(tmp_path):
    form = readings_form(FORM, "ab12")
    assert form.isascii()
    text = form.decode().replace("guy,30,C,,,,,,", "guy,30,C,,,,,1.5,")
    found = read(tmp_path, text)
    assert plain(found) == ([], [("C", 30.0, 1.5)], None)
    assert (found.plan_run_id, found.said) == ("ab12", ())
    assert faults(tmp_path, form)[0].startswith("[readings_empty] r.csv: holds neither a lean nor a tension. ")


FAULTS = {
    ("lean,58,,180,90,8.3,,,", "lean,30,,180,90,,,,"): [
        "[readings_number] r.csv, line 2, level at 58 m, b_right_cm: is blank. Give both offsets, and where both instruments stand.",
    ],
    ("lean,58,,180,90,8.3,1,,", "lean,30,,180,90,,,,"): [
        "[readings_number] r.csv, line 3, level at 30 m: its offsets are blank, and other levels were read. Read every level, or leave the "
        "offsets of all levels blank.",
    ],
    ("lean,58,,180,90,8.3,1,,",): [
        "[plumb_reading] r.csv, level at 30 m: has no row, and other levels were read. Read every level, or leave the offsets of all "
        "levels blank.",
    ],
    ("guy,58,Q,,,,,1,", "guy,40,A,,,,,1,", "guy,58,,,,,,1,"): [
        "[plumb_reading] r.csv, line 2, anchor: 'Q' holds no guy at 58 m. The guys there go to A, B, C.",
        "[plumb_reading] r.csv, line 3, level_m: no permanent guys leave the mast at 40 m. The levels are at 30, 58 m.",
        "[plumb_reading] r.csv, line 4, anchor: is blank. The guys there go to A, B, C.",
    ],
    ("lean,58,,180,90,8.3 cm,1,,", "guy,58,A,,,,,3 1/2,"): [
        "[readings_number] r.csv, line 2, a_right_cm: '8.3 cm' is not a number. Write centimetres alone, like 8.3.",
        "[readings_number] r.csv, line 3, tension_kn: '3 1/2' is not a number. Write kilonewtons alone, like 8.3.",
    ],
    ("guy,58,A,,,,,1,", "guy,58,A,,,,,1,", "temperature,,,,,,,,12", "temperature,,,,,,,,13"): [
        "[plumb_reading] r.csv, line 3, A at 58 m: is read on line 2 already. Give one reading, or their mean.",
        "[plumb_reading] r.csv, line 5, temperature: is read on line 4 already. Give one reading, or their mean.",
    ],
    ("lean,58,,180,90,830,1,,", "lean,30,,180,90,1,-301,,"): [
        "[readings_number] r.csv, line 2, level at 58 m, a_right_cm: 830 cm is more than a tenth of the height. Write centimetres: were "
        "millimetres, inches or feet meant?",
        "[readings_number] r.csv, line 3, level at 30 m, b_right_cm: -301 cm is more than a tenth of the height. Write centimetres: were "
        "millimetres, inches or feet meant?",
    ],
    ("guy,58,A,,,,,104,", "guy,58,B,,,,,0,", "temperature,,,,,,,,68", "temperature,,,,,,,,warm"): [
        "[readings_number] r.csv, line 2, A at 58 m: 104 kN is more than the guy's breaking strength, 29.6 kN. Write kilonewtons: were kgf, "
        "daN or lbf meant?",
        "[plumb_reading] r.csv, line 3, B at 58 m: the tension is 0 kN. Take a slack guy in by hand first; a tension is above 0.",
        "[readings_number] r.csv, line 4, temperature: 68 °C is beyond any working day. Write degrees Celsius: was °F meant?",
        "[plumb_reading] r.csv, line 5, temperature: is read on line 4 already. Give one reading, or their mean.",
    ],
    ("laen,58,,180,90,1,1,,", "lean,58,,180,170,1,1,,", "lean,30,,180,999,1,1,,"): [
        "[readings_columns] r.csv, line 2, reading: is 'laen'. Write lean for a level or guy for a guy's tension.",
        "[plumb_reading] r.csv, line 3, level at 58 m: the instruments, at 180° and 170°, stand within 30° of one line. Read from two places "
        "nearly square to each other.",
        "[readings_number] r.csv, line 4, b_stands_deg: 999 is no bearing. Write where the instrument stands, in degrees clockwise from the "
        "laydown.",
    ],
    ("guy,58,A,,,,,1,02", "guy,58,B,,,,,1,02,x,", "guy,30,A,,,3,,1,", "lean,58,,180,90,1,1,2,"): [
        "[readings_columns] r.csv, line 2, note: holds the figure 02 alone: a decimal comma parts columns here. Write a decimal point, or "
        "part the columns by semicolons.",
        "[readings_columns] r.csv, line 3: has 11 fields, the header has 9 columns. Separate the columns as in the header; a decimal comma "
        "needs a semicolon or a tab between the columns.",
        "[readings_columns] r.csv, line 4, a_right_cm: a row of guy holds an offset. Write it into the row of its level, lean.",
        "[readings_columns] r.csv, line 5, level at 58 m: a row of lean holds an anchor or a tension. Write it into the row of that guy.",
    ],
}  # fmt: skip


@pytest.mark.parametrize("rows", FAULTS, ids=lambda rows: rows[0])
def test_faults_word_for_word_in_file_order(tmp_path, rows):
    assert faults(tmp_path, lines(*rows)) == FAULTS[rows]


def test_a_header_that_is_not_the_forms(tmp_path):
    assert faults(tmp_path, lines(*GOOD).replace("b_right_cm", "b_right_mm")) == [
        "[readings_columns] r.csv, line 1: has no column b_right_cm (it reads 'reading,level_m,anchor,a_stands_deg,b_s…'). Keep the header "
        "row of readings.csv as siting lift wrote it."
    ]
    assert faults(tmp_path, lines(*GOOD).replace("note", "note,note"))[0].startswith("[readings_columns] r.csv, line 1: has more than one column for note.")  # fmt: skip
    assert faults(tmp_path, "\n\n") == ["[readings_empty] r.csv: holds nothing. Fill in the readings.csv that siting lift writes."]
    assert faults(tmp_path, b"\x89PNG\0\0") == ["[file_not_text] r.csv: is not a text file. Save the readings as CSV."]
    with pytest.raises(InputError, match=r"^gone.csv: no such file. Check the readings' name.$"):
        read_readings(tmp_path / "gone.csv", "gone.csv", FORM)
