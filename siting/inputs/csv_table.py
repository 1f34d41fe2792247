"""Tables as field crews, rovers and spreadsheets save them: the text, its lines, its separator, its numbers."""

from __future__ import annotations

import codecs
import csv
import re
from pathlib import Path

from siting.errors import InputError

SEPARATORS = {"\t": "tab", ";": "semicolon", ",": "comma"}
_PLAIN = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)")
_GROUPED = re.compile(r"[+-]?\d{1,3}(?:[ \u00a0\u202f'’]\d{3})+(?:\.\d*)?")
# A spreadsheet is told the separator by such a first line; it is no row.
_SEP_LINE = re.compile(r'"?sep=.?"?', re.I)


def csv_text(path: Path, shown: str, name: str, export: str) -> str:
    """The file's text: UTF-8, UTF-16 with its mark, or what Windows offices write.

    Args:
        name: what to check where it is missing; export: what to do where it is no text.
    Raises:
        InputError: the file is missing, cannot be read, or is no text.
    """
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        raise InputError.of("file_missing", shown, "no such file", f"check {name}") from None
    except OSError as fault:
        raise InputError.of("file_unreadable", shown, f"cannot be read ({fault.strerror})", f"check {name}") from None
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        encodings = ("utf-16",)
    else:
        encodings = () if b"\0" in data else ("utf-8-sig", "cp1252")
    for encoding in encodings:
        try:
            return data.decode(encoding)
        except UnicodeDecodeError:
            continue
    raise InputError.of("file_not_text", shown, "is not a text file", export)


def csv_lines(text: str) -> list[tuple[int, str]]:
    """(line number, line) of the lines that hold something; blank ones and those that begin with # are passed over."""
    lines = [(n, line) for n, line in enumerate(text.splitlines(), 1) if line.strip(" \t,;\u00a0")]
    lines = [(n, line) for n, line in lines if not line.lstrip().startswith("#")]
    return lines[1:] if lines and _SEP_LINE.fullmatch(lines[0][1].strip()) else lines


def csv_fields(line: str, separator: str) -> list[str]:
    """The fields of one line, without blanks around them."""
    return [f.strip(" \t\u00a0") for f in next(csv.reader([line], delimiter=separator), [])]


def csv_heading(text: str) -> str:
    """A column's name without case, blanks, underscores and a unit of metres in brackets, no unit."""
    return re.sub(r"[\s_\u00a0]+|[(\[]m[)\]]", "", text).casefold()


def csv_number(text: str, separator: str) -> float | None:
    """A number of the file, None where it is none. A decimal comma counts where the separator is no comma."""
    if separator != "," and "." not in text and text.count(",") == 1:
        text = text.replace(",", ".")
    text = text.replace("\u2212", "-")  # a true minus sign, as sheets print it
    if _GROUPED.fullmatch(text):
        text = re.sub(r"[ \u00a0\u202f'’]", "", text)
    return float(text) if _PLAIN.fullmatch(text) else None


def shortened(text: str) -> str:
    """A field or line as an error shows it, no unit."""
    return text if len(text) <= 40 else text[:39] + "…"
