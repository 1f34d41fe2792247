"""Reads readings.csv: lean and tensions of the standing mast as the crew wrote them into the form."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path

from siting.errors import Fault, InputError
from siting.inputs.csv_table import SEPARATORS, csv_fields, csv_heading, csv_lines, csv_number, csv_text, shortened
from siting.records.plumb import LEAST_CROSSING_DEG, SAME_LEVEL_M, FormLevel, LeanReading, PlumbForm, PlumbOptions, TensionReading
from siting.records.plumb_sheet import Readings
from siting.records.readings_form import COLUMNS, GUY, LEAN, PLAN_RUN, TEMPERATURE
from siting.units import turn_deg, wrap_bearing_deg

# An instrument at S looks at the base, towards S + 180; to its right is S + 270.
TO_THE_RIGHT_DEG = 270.0
# Farther off plumb than this part of the level's height no mast stands in its guys: another unit was meant.
LARGEST_OFFSET_RATIO = 0.1
LARGEST_TEMPERATURE_C = 60.0
ROW_MAX = 1000
LAST = 10**9  # after every line
KEEP_HEADER = "keep the header row of readings.csv as siting lift wrote it"
HEADINGS = {csv_heading(name): name for name in COLUMNS}
NUMBERS = {
    "level_m": "metres", "a_stands_deg": "degrees", "b_stands_deg": "degrees", "a_right_cm": "centimetres",
    "b_right_cm": "centimetres", "tension_kn": "kilonewtons",
}  # fmt: skip
_DIGITS = re.compile(r"\d+")
_CELSIUS = re.compile(r"\s*(°\s*C?|deg\s*C|C)\s*$", re.I)


@dataclass(slots=True)
class _Found:
    """What the rows gave so far; keys of levels and guys are the form's."""

    shown: str
    form: PlumbForm
    separator: str
    leans: dict[float, LeanReading] = field(default_factory=dict)
    tensions: dict[tuple[float, str], TensionReading] = field(default_factory=dict)
    lines: dict[object, int] = field(default_factory=dict)  # level, guy, or temperature: where it was read
    blank_levels: dict[float, int] = field(default_factory=dict)  # levels on the form without an offset: their lines
    temperature_c: float | None = None
    plan_run_id: str = ""
    said: list[str] = field(default_factory=list)
    faults: list[tuple[int, Fault]] = field(default_factory=list)  # with their lines

    def at(self, line: int, what: str) -> str:
        """Where something is wrong, as an error names it."""
        return f"{self.shown}, line {line}, {what}"

    def add(self, line: int, fault: Fault) -> None:
        """One more fault; they are told in the order of their lines."""
        self.faults.append((line, fault))


def read_readings(path: Path, shown: str, form: PlumbForm) -> Readings:
    """The readings of a filled-in form, offsets in metres; leans from the lowest level up, tensions in file order.

    Columns are found by the header; comma, semicolon or tab; a decimal comma where the separator is no comma. Lines that are
    blank or begin with # are passed over, columns of one's own too. A level or a guy left blank was not read.

    Args:
        form: the plan's, for its levels and guys.
    Raises:
        InputError: the file is missing, no text or no form, nothing was read, or a line cannot be; one fault for each, in file
            order.
    """
    lines = csv_lines(csv_text(path, shown, "the readings' name", "save the readings as CSV"))
    if not lines:
        raise InputError.of("readings_empty", shown, "holds nothing", "fill in the readings.csv that siting lift writes")
    separator, columns = _header(lines[0], shown)
    if len(lines) > ROW_MAX:
        raise InputError.of("readings_columns", shown, f"holds {len(lines)} lines", "keep the rows of readings.csv")
    found = _Found(shown, form, separator)
    for number, line in lines[1:]:
        fields = csv_fields(line, separator)
        if any(fields[len(columns) :]):
            more = "; a decimal comma needs a semicolon or a tab between the columns" if separator == "," else ""
            found.add(number, Fault(
                "readings_columns", f"{shown}, line {number}", f"has {len(fields)} fields, the header has {len(columns)} columns",
                f"separate the columns as in the header{more}",
            ))  # fmt: skip
            continue
        _row(number, dict(zip(columns, fields, strict=False)), found)
    _levels_left_out(found)
    if found.faults:
        raise InputError(tuple(fault for _, fault in sorted(found.faults, key=lambda f: f[0])))
    if not found.leans and not found.tensions:
        raise InputError.of(
            "readings_empty", shown, "holds neither a lean nor a tension",
            "write each level's offsets into a_right_cm and b_right_cm, each guy's tension into tension_kn",
        )  # fmt: skip
    leans = tuple(found.leans[level] for level in sorted(found.leans))
    return Readings(shown, leans, tuple(found.tensions.values()), found.temperature_c, tuple(found.said), found.plan_run_id)


def _header(first: tuple[int, str], shown: str) -> tuple[str, tuple[str, ...]]:
    """Separator and columns; columns that are not the form's keep their own heading.

    Raises:
        InputError: a column is missing, or stands twice.
    """
    number, line = first
    split = {sep: [csv_heading(f) for f in csv_fields(line, sep)] for sep in SEPARATORS}
    separator = max(SEPARATORS, key=lambda sep: len(set(split[sep]) & set(HEADINGS)))
    names = [HEADINGS.get(n, n) for n in split[separator]]
    where = f"{shown}, line {number}"
    lacking = [n for n in COLUMNS if n not in names]
    if lacking:
        what = f"has no column {' nor '.join(lacking)} (it reads '{shortened(line)}')"
        raise InputError.of("readings_columns", where, what, KEEP_HEADER)
    double = [n for n in COLUMNS if names.count(n) > 1]
    if double:
        raise InputError.of("readings_columns", where, f"has more than one column for {double[0]}", "keep one of them")
    return separator, tuple(names)


def _row(number: int, row: dict[str, str], found: _Found) -> None:
    """One row of the form into `found`."""
    row = {name: row.get(name, "") for name in COLUMNS}
    kind = " ".join(row["reading"].split())
    if kind.casefold() in (LEAN, GUY):
        values = _numbers(number, row, found)
        if found.separator == "," and _DIGITS.fullmatch(row["note"]):
            found.add(number, Fault(
                "readings_columns", found.at(number, "note"), f"holds the figure {row['note']} alone: a decimal comma parts columns here",
                "write a decimal point, or part the columns by semicolons",
            ))  # fmt: skip
        elif values is not None:
            (_lean if kind.casefold() == LEAN else _guy)(number, row["anchor"], values, found)
        if row["note"]:
            at = f"{row['anchor']} at {row['level_m']} m" if row["anchor"] else f"level at {row['level_m']} m"
            found.said.append(f"{at}: {row['note']}")
        return
    filled = [name for name in ("level_m", "anchor", *NUMBERS) if row[name]]
    if filled or not kind:
        what = f"is '{shortened(kind)}'" if kind else "is blank"
        found.add(number, Fault(
            "readings_columns", found.at(number, "reading"), what, f"write {LEAN} for a level or {GUY} for a guy's tension",
        ))  # fmt: skip
    elif kind.casefold() == PLAN_RUN:
        found.plan_run_id = row["note"]
    elif kind.casefold().startswith(TEMPERATURE):
        _temperature(number, row["note"], found)
    elif row["note"]:
        found.said.append(f"{kind}: {row['note']}")


def _numbers(number: int, row: dict[str, str], found: _Found) -> dict[str, float | None] | None:
    """The row's numbers by column, None where blank; None in all where one cannot be read."""
    values: dict[str, float | None] = {}
    known = len(found.faults)
    for name, unit in NUMBERS.items():
        values[name] = csv_number(row[name], found.separator) if row[name] else None
        if row[name] and values[name] is None:
            found.add(number, Fault(
                "readings_number", found.at(number, name), f"'{shortened(row[name])}' is not a number",
                f"write {unit} alone, like 8.3",
            ))  # fmt: skip
        elif unit == "degrees" and abs(values[name] or 0.0) > 360.0:
            found.add(number, Fault(
                "readings_number", found.at(number, name), f"{values[name]:g} is no bearing",
                "write where the instrument stands, in degrees clockwise from the laydown",
            ))  # fmt: skip
    return values if len(found.faults) == known else None


def _level(number: int, level_m: float | None, found: _Found) -> FormLevel | None:
    """The form's level at a height; a fault where it has none."""
    known = ", ".join(f"{level.attach_m:g}" for level in reversed(found.form.levels))
    if level_m is None:
        found.add(number, Fault(
            "readings_number", found.at(number, "level_m"), "is blank", f"write the level's height in metres: {known}",
        ))  # fmt: skip
        return None
    level = next((v for v in found.form.levels if abs(v.attach_m - level_m) <= SAME_LEVEL_M), None)
    if level is None:
        found.add(number, Fault(
            "plumb_reading", found.at(number, "level_m"), f"no permanent guys leave the mast at {level_m:g} m",
            f"the levels are at {known} m",
        ))  # fmt: skip
    return level


def _lean(number: int, anchor: str, values: dict[str, float | None], found: _Found) -> None:
    """A level's offsets."""
    level = _level(number, values["level_m"], found)
    if level is None:
        return
    at = f"level at {level.attach_m:g} m"
    offsets = {name: values[name] for name in ("a_right_cm", "b_right_cm")}
    if values["tension_kn"] is not None or anchor:
        found.add(number, Fault(
            "readings_columns", found.at(number, at), f"a row of {LEAN} holds an anchor or a tension",
            f"write it into the row of that {GUY}",
        ))  # fmt: skip
        return
    if all(v is None for v in offsets.values()):
        found.blank_levels.setdefault(level.attach_m, number)
        return
    blank = [name for name in (*offsets, "a_stands_deg", "b_stands_deg") if values[name] is None]
    if blank:
        found.add(number, Fault(
            "readings_number", found.at(number, f"{at}, {blank[0]}"), "is blank",
            "give both offsets, and where both instruments stand",
        ))  # fmt: skip
        return
    if _is_twice(number, level.attach_m, at, found) or _is_far(number, level, offsets, found):
        return
    a, b = (wrap_bearing_deg(values[name] + TO_THE_RIGHT_DEG) for name in ("a_stands_deg", "b_stands_deg"))
    apart_deg = abs(turn_deg(a, b))
    if min(apart_deg, 180.0 - apart_deg) < LEAST_CROSSING_DEG:
        found.add(number, Fault(
            "plumb_reading", found.at(number, at), f"the instruments, at {values['a_stands_deg']:g}° and {values['b_stands_deg']:g}°, stand within {LEAST_CROSSING_DEG:g}° of one line",
            "read from two places nearly square to each other",
        ))  # fmt: skip
        return
    found.leans[level.attach_m] = LeanReading(level.attach_m, offsets["a_right_cm"] / 100.0, offsets["b_right_cm"] / 100.0, a, b)


def _is_twice(number: int, thing: object, at: str, found: _Found) -> bool:
    """Whether this was read on an earlier line; a fault where it was."""
    first = found.lines.setdefault(thing, number)
    if first != number:
        found.add(number, Fault(
            "plumb_reading", found.at(number, at), f"is read on line {first} already", "give one reading, or their mean",
        ))  # fmt: skip
    return first != number


def _is_far(number: int, level: FormLevel, offsets: dict[str, float], found: _Found) -> bool:
    """Whether an offset is beyond what a mast can stand at; a fault where it is."""
    largest_cm = 100.0 * LARGEST_OFFSET_RATIO * level.attach_m
    far = {name: value for name, value in offsets.items() if abs(value) > largest_cm}
    for name, value in far.items():
        found.add(number, Fault(
            "readings_number", found.at(number, f"level at {level.attach_m:g} m, {name}"), f"{value:g} cm is more than a tenth of the height",
            "write centimetres: were millimetres, inches or feet meant?",
        ))  # fmt: skip
    return bool(far)


def _guy(number: int, anchor: str, values: dict[str, float | None], found: _Found) -> None:
    """A guy's tension."""
    if values["a_right_cm"] is not None or values["b_right_cm"] is not None:
        found.add(number, Fault(
            "readings_columns", found.at(number, "a_right_cm"), f"a row of {GUY} holds an offset",
            f"write it into the row of its level, {LEAN}",
        ))  # fmt: skip
        return
    level = _level(number, values["level_m"], found)
    if level is None:
        return
    same = [g for g in level.guys if g.anchor == anchor] or [g for g in level.guys if g.anchor.casefold() == anchor.casefold()]
    guy = same[0] if len(same) == 1 else None
    if guy is None:
        what = f"'{shortened(anchor)}' holds no guy at {level.attach_m:g} m" if anchor else "is blank"
        found.add(number, Fault(
            "plumb_reading", found.at(number, "anchor"), what, f"the guys there go to {', '.join(g.anchor for g in level.guys)}",
        ))  # fmt: skip
        return
    tension_kn = values["tension_kn"]
    at = f"{guy.anchor} at {level.attach_m:g} m"
    if tension_kn is None or _is_twice(number, (level.attach_m, guy.anchor), at, found):
        return
    breaking_kn = guy.greatest_kn / PlumbOptions().greatest_tension_ratio
    if tension_kn <= 0.0:
        found.add(number, Fault(
            "plumb_reading", found.at(number, at), f"the tension is {tension_kn:g} kN",
            "take a slack guy in by hand first; a tension is above 0",
        ))  # fmt: skip
    elif tension_kn > breaking_kn:
        found.add(number, Fault(
            "readings_number", found.at(number, at), f"{tension_kn:g} kN is more than the guy's breaking strength, {breaking_kn:.1f} kN",
            "write kilonewtons: were kgf, daN or lbf meant?",
        ))  # fmt: skip
    else:
        found.tensions[level.attach_m, guy.anchor] = TensionReading(guy.anchor, level.attach_m, tension_kn)


def _temperature(number: int, note: str, found: _Found) -> None:
    """The air's temperature, from the note."""
    if not note or _is_twice(number, TEMPERATURE, TEMPERATURE, found):
        return
    value = csv_number(_CELSIUS.sub("", note), found.separator)
    if value is None:
        found.add(number, Fault(
            "readings_number", found.at(number, TEMPERATURE), f"'{shortened(note)}' is no temperature",
            "write degrees Celsius alone in the note, like 12",
        ))  # fmt: skip
    elif abs(value) > LARGEST_TEMPERATURE_C:
        found.add(number, Fault(
            "readings_number", found.at(number, TEMPERATURE), f"{value:g} °C is beyond any working day",
            "write degrees Celsius: was °F meant?",
        ))  # fmt: skip
    else:
        found.temperature_c = value


def _levels_left_out(found: _Found) -> None:
    """Where some levels were read, the others must have been."""
    if not found.leans:
        return
    is_whole = not found.faults  # a faulty row may be that of a level without one
    for level in found.form.levels:
        if level.attach_m in found.lines:
            continue
        do = "read every level, or leave the offsets of all levels blank"
        if level.attach_m in found.blank_levels:
            number = found.blank_levels[level.attach_m]
            found.add(number, Fault(
                "readings_number", found.at(number, f"level at {level.attach_m:g} m"), "its offsets are blank, and other levels were read",
                do,
            ))  # fmt: skip
        elif is_whole:
            where = f"{found.shown}, level at {level.attach_m:g} m"
            found.add(LAST, Fault(
                "plumb_reading", where, "has no row, and other levels were read", do,
            ))  # fmt: skip
