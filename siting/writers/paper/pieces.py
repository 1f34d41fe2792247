"""What varies in a sheet's strings and is never translated: numbers with their units, names, citations, files; taken out and marked."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass

# A mark of one letter of Unicode's private use area stands in the text for each piece: nothing can split it.
FIRST_MARK = 0xE000
PIECE = re.compile(r"[\ue000-\uf8ff]")
UNITS = (
    "kN/m³", "kN/m3", "kNm²", "kNm2", "kNm", "kN/m", "kN", "kPa", "MPa", "GPa", "kV", "km", "m/s", "mm²", "mm2", "mm", "cm", "m²", "m2",
    "m³", "m3", "kg/m³", "kg/m", "kg", "g/m", "ppm/K", "ppm", "kgf", "lbf", "ft", "m", "s", "°C", "°", "%",
)  # fmt: skip
NUMBER = re.compile(
    rf"(?<![\w.])(?<!WGS )[+−-]?(?:\d{{1,3}}(?:,\d{{3}})+|\d+)(?:\.\d+)?(?: ?(?:{'|'.join(map(re.escape, UNITS))})(?![\w/²³]))?(?!\w)"
)
# Never translated, and no decimal sign of theirs is changed.
FIXED = re.compile(
    "|".join(
        (
            r"\b\d+ CFR [\d.]+(?:\([A-Za-z0-9]+\))*(?: to \(\w+\))?(?: Subpart [A-Z])?(?: App\. [A-Z])?",
            r"\b\d+\.\d+(?:\([a-z0-9]+\))* of \d+ CFR",
            r"\bSubpart [A-Z](?: App\. [A-Z])?",
            r"\bEN \d+ \d+x\d+-[A-Z]+ \d+(?:, [\d.]+ mm)?",  # a wire rope by its standard
            r"\b(?:US Army FM|FM|UFC|EN|ISO|ASTM|FHWA-IF|GEC|NAVEDTRA|ICC-ES|ANSI/TIA|EIA|TIA|IEC|DIN|AC)[ -]?[A-Z]?\d[\w.-]*"
            r"(?:,? (?:ch|eq|Fig|Table|table|chapter|clause)\.? [\d.-]*\d)*",
            r"\bMinnesota Statutes [\w.]+|\bCalifornia Government Code [\w.]+",
            r"\b\d{4}-\d\d-\d\d\b",  # a day
            r"-?\b\d{1,3}\.\d{7}(?!\d)°?",  # latitude and longitude: typed as they stand, often with a comma between
            r"\((?:N|S|E|W|NE|NW|SE|SW|NNE|ENE|ESE|SSE|SSW|WSW|WNW|NNW)\)",  # of the compass: the same in every language
            r"\([A-Z]{2}(?:-[A-Z]{2})?\)",  # a soil's group
            r"\bEPSG:\d+",
            r"\b1:\d+(?:\.\d+)?\b",
            r"\b1 in = [\d.]+ ft\b",  # an engineer's scale, written as such everywhere
            r"\b\d{1,3}°\d\d'\d\d(?:\.\d+)?\"[NSEW]",  # seconds keep the point that a form and a receiver read
            r"\bsiting \d[\w.]*",
            r"\bsiting (?:plan|lift|dig|check|verify) \S*[A-Z.]\S*(?: --\w+ \S+)*",
            r"\[+[a-z_.]+\]+",
            r"\b[a-z]+(?:_[a-z0-9]+)+\b",
            r"(?<!\w)[\w./-]*\w\.(?:json|geojson|csv|toml|kml|kmz|pdf|tif|gpkg|md|shp|dxf|xml|html)\b",
            r"\b[0-9a-f]{64}\b",
        )
    )
)


# Lists whose items are said one by one: A1 at 58 m, B1 at 58 m; 40.00° (0.35 m, pass), 41.00° (0.36 m, pass).
_MARK = "[\ue000-\uf8ff]"
LISTS = re.compile(
    rf"{_MARK} at {_MARK}(?:, {_MARK} at {_MARK})+|{_MARK} \({_MARK}, \w+\)(?:, {_MARK} \({_MARK}, \w+\))+|{_MARK}(?:, {_MARK}){{2,}}"
)


def plain(text: str) -> str:
    """The text in composed letters and on one line, so that no accent stands alone and no sign breaks the row."""
    return " ".join(unicodedata.normalize("NFC", text).split())


def mark_name(index: int) -> str:
    """a, b, … z, aa, ab: the placeholder of the piece that is so many names into the text."""
    return chr(97 + index) if index < 26 else mark_name(index // 26 - 1) + mark_name(index % 26)


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece of a string: its text, and how it is put back."""

    text: str
    kind: str  # number, name, or list: its items are said one by one


class Pieces:
    """Takes the pieces of a plan's strings out."""

    def __init__(self, names: tuple[str, ...]) -> None:
        found = sorted({plain(n) for n in names if plain(n) and not _is_number(plain(n))}, key=lambda n: (-len(n), n))
        self.is_name = frozenset(found).__contains__
        one = "|".join(map(re.escape, found))
        # Names beside each other are one piece: A1, B1, C1. A name in a possessive of capitals is a word: THE BASE'S SIDE.
        self._names = re.compile(rf"(?<!\w)(?:{one})(?:(?:, | – | )(?:{one}))*(?!\w|'S)") if found else None

    def taken_out(self, text: str, *, with_names: bool) -> tuple[str, dict[str, Piece]]:
        """The text with a mark for each piece, and the pieces by their marks."""
        taken: dict[str, Piece] = {}

        def take(kind: str) -> Callable[[re.Match[str]], str]:
            def mark(match: re.Match[str]) -> str:
                sign = chr(FIRST_MARK + len(taken))
                taken[sign] = Piece(PIECE.sub(lambda m: taken[m[0]].text, match[0]), kind)
                return sign

            return mark

        if with_names and self._names is not None:
            text = self._names.sub(take("name"), text)
        text = NUMBER.sub(take("number"), FIXED.sub(take("name"), text))
        return (LISTS.sub(take("list"), text) if with_names else text), taken


def _is_number(name: str) -> bool:
    return NUMBER.fullmatch(name) is not None


def keyed(marked: str, taken: dict[str, Piece]) -> str:
    """The marked text as a key: {0}, {1} for its numbers, {a}, {b} for what is named."""
    counts = {True: 0, False: 0}
    names: dict[str, str] = {}
    for sign in PIECE.findall(marked):
        is_number = taken[sign].kind == "number"
        names[sign] = str(counts[is_number]) if is_number else mark_name(counts[is_number])
        counts[is_number] += 1
    return PIECE.sub(lambda m: f"{{{names[m[0]]}}}", marked)


def placeholders(key: str) -> tuple[str, ...]:
    """The placeholders of a key in its order."""
    return tuple(re.findall(r"\{(\d+|[a-z]{1,2})\}", key))
