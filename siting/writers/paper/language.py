"""The language of the printed sheets: whole English strings are turned into keys, looked up, and their figures and names put back.

What varies is taken out first: numbers with their units become {0}, {1}; names of the plan, citations and files {a}, {b}.
A string that is not in the catalogue is looked up in parts: sentences, clauses, what stands in brackets at its end. What is
unknown stays English and is counted. How a translation is corrected: docs/languages.md.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Callable, Iterable
from functools import cache
from pathlib import Path

from siting.writers.paper.pieces import PIECE, UNITS, Piece, Pieces, keyed, placeholders, plain

MESSAGES = Path(__file__).parents[2] / "static" / "messages"
LANGUAGES = ("en", "de", "es", "fr")
DECIMAL_SIGN = {"en": ".", "de": ",", "es": ",", "fr": ","}
UNBROKEN = "\u00a0"  # a space at which no line breaks
PER_CENT = re.compile(r"(?<=\d)%")
CONTINUED = ", continued"
SENTENCE_END = re.compile(
    r"(?<=[.!?])(?<!No\.)(?<!no\.)(?<!ch\.)(?<!eq\.)(?<!Fig\.)(?<!App\.)(?<!rev\.)(?<!subd\.) (?=[^a-z(])"
)
# Joints between parts that are said one by one, the widest first.
JOINTS = (" · ", "; ", ": ")
WORD = re.compile(r"[^\W\d_\ue000-\uf8ff]{2}")
_PLACEHOLDER = re.compile(r"\{(\d+|[a-z]{1,2})\}")


class Said(str):
    """Text that is in the sheet's language already: it is written as it stands."""

    __slots__ = ()


class Catalogue:
    """The translations of one language, found by key whatever its placeholders are called."""

    def __init__(self, messages: dict[str, str]) -> None:
        self.messages = messages
        self._by_shape = {_PLACEHOLDER.sub("{}", key): key for key in reversed(messages)}
        self._by_capitals = {key.upper(): key for key in reversed(messages)}

    def find(self, key: str) -> tuple[str, tuple[str, ...]] | None:
        """The translation of a key and the names of its placeholders in the key's order; None where there is none."""
        if key in self.messages:
            return self.messages[key], placeholders(key)
        known = self._by_shape.get(_PLACEHOLDER.sub("{}", key))
        if known is not None:
            return self.messages[known], placeholders(known)
        lower = key[:1].lower() + key[1:]
        if lower != key and lower in self.messages:
            return self.messages[lower][:1].upper() + self.messages[lower][1:], placeholders(lower)
        known = self._by_capitals.get(key)  # a heading in capitals; with placeholders it would not be one
        if known is not None and "{" not in key:
            return self.messages[known].upper(), ()
        return None


@cache
def catalogue(language: str) -> Catalogue:
    """The catalogue of a language; empty where none is shipped."""
    file = MESSAGES / f"{language}.json"
    return Catalogue(json.loads(file.read_text(encoding="utf-8")) if file.exists() else {})


class Speaker:
    """Says the English strings of a sheet in its language; counts the keys that the catalogue does not hold."""

    def __init__(self, language: str = "en", names: tuple[str, ...] = (), messages: Catalogue | None = None) -> None:
        self.language = language
        self.unknown: Counter[str] = Counter()
        self._messages = messages if messages is not None else catalogue(language)
        self._pieces = Pieces(names)
        self._is_english = language == "en" and messages is None
        self._said: dict[str, Said] = {}

    def say(self, text: str) -> Said:
        """The text in the sheet's language, on one line."""
        if isinstance(text, Said):
            return text
        if self._is_english:
            return Said(plain(text))
        found = self._said.get(text)
        if found is None:
            found = self._said[text] = self._whole(plain(text))
        return found

    @property
    def heard(self) -> Iterable[str]:
        """Every English string that was said."""
        return self._said.keys()

    def _whole(self, text: str) -> Said:
        """A name stays; else the catalogue without the plan's names, so that no name hides a heading; then with them, in parts."""
        if self._pieces.is_name(text):
            return Said(text)
        marked, taken = self._pieces.taken_out(text, with_names=False)
        known = self._known(marked, taken) if WORD.search(marked) else None
        if known is None:
            marked, taken = self._pieces.taken_out(text, with_names=True)
            known = self._parts(marked, taken)
        return Said(PIECE.sub(lambda m: self._shown(taken[m[0]]), known))

    def _shown(self, piece: Piece) -> str:
        if piece.kind == "list":
            items = re.split(r"(?<=\)), " if piece.text.endswith(")") else ", ", piece.text)
            return ", ".join(self.say(item) for item in items)
        return self._number(piece.text) if piece.kind == "number" else piece.text

    def _number(self, text: str) -> str:
        """A number with the language's decimal sign, its unit on the same line; thousands by a space, not by a decimal sign."""
        if DECIMAL_SIGN[self.language] == ".":
            return text
        text = text.replace(",", UNBROKEN).replace(" ", UNBROKEN).replace(".", DECIMAL_SIGN[self.language])
        return PER_CENT.sub(f"{UNBROKEN}%", text)

    def _known(self, marked: str, taken: dict[str, Piece]) -> str | None:
        """The translation with the marks of its pieces put in; the text itself where it holds no word; None where unknown."""
        if not WORD.search(marked) or marked in UNITS:
            return marked
        bare, end = without_stop(marked)
        found = self._messages.find(keyed(bare, taken))
        if end and (whole := self._messages.messages.get(keyed(marked, taken))) is not None:  # an abbreviation: No.
            found, end = (whole, placeholders(keyed(marked, taken))), ""
        if found is None:
            return None
        marks = dict(zip(found[1], PIECE.findall(marked), strict=True))
        return _PLACEHOLDER.sub(lambda m: marks.get(m[1], m[0]), found[0]) + end

    def _parts(self, marked: str, taken: dict[str, Piece]) -> str:
        """The text said in parts; as it stands, and counted, where it has none."""
        known = self._known(marked, taken)
        if known is not None:
            return known
        parts, join = split(marked)
        if len(parts) > 1:
            return join([self._parts(part, taken) for part in parts], self._messages.messages)
        return self._listed(marked, taken) or self._miss(marked, taken)

    def _listed(self, marked: str, taken: dict[str, Piece]) -> str:
        """A list of things that are known one by one, or that each begin with a name; empty where it is none."""
        bare, end = without_stop(marked)
        parts = bare.split(", ")
        if len(parts) == 1:
            return ""
        known = [self._known(part, taken) for part in parts]
        if all(k is not None for k in known):
            return ", ".join(k for k in known if k is not None) + end
        if is_name_list(parts):
            return ", ".join(k if k is not None else self._miss(part, taken) for k, part in zip(known, parts, strict=True)) + end
        return ""

    def _miss(self, marked: str, taken: dict[str, Piece]) -> str:
        self.unknown[keyed(without_stop(marked)[0], taken)] += 1
        return marked


def without_stop(text: str) -> tuple[str, str]:
    """The text without the full stop at its end, and the stop."""
    return (text[:-1], ".") if text.endswith(".") and not text.endswith("..") else (text, "")


def is_name_list(parts: list[str]) -> bool:
    """Whether each part of a list begins with a name and is short: A1 pit, B1 screw."""
    return len(parts) > 1 and all(PIECE.match(part) and len(part.split()) <= 3 for part in parts)


Join = Callable[[list[str], dict[str, str]], str]


def split(marked: str) -> tuple[list[str], Join]:
    """The parts that are looked up where the whole is not known, and how they are joined; one part where there are none."""
    sentences = SENTENCE_END.split(marked)
    if len(sentences) > 1:
        return sentences, lambda parts, _: " ".join(parts)
    if marked.lower().endswith(CONTINUED) and len(marked) > len(CONTINUED):
        return [marked[: -len(CONTINUED)], marked[-len(CONTINUED) :]], lambda parts, _: "".join(parts)
    for joint in JOINTS:
        parts = _split_outside(marked, joint)
        if len(parts) > 1:
            return parts, lambda said, messages, joint=joint: messages.get(joint, joint).join(said)
    bare, end = without_stop(marked)
    opened = _last_bracket(bare)
    if opened > 0:
        return [bare[:opened].rstrip(), bare[opened + 1 : -1]], lambda parts, _: f"{parts[0]} ({parts[1]}){end}"
    return [marked], lambda parts, _: parts[0]


def _split_outside(text: str, joint: str) -> list[str]:
    """The parts between the joints that stand outside brackets; the whole where a part would be empty."""
    parts, depth, begun = [], 0, 0
    for at, sign in enumerate(text):
        depth += (sign == "(") - (sign == ")")
        if depth == 0 and at >= begun and text.startswith(joint, at) and not text[:at].endswith(" "):  # not in a ratio, 1.5 : 1
            parts.append(text[begun:at])
            begun = at + len(joint)
    parts.append(text[begun:])
    return parts if all(parts) else [text]


def _last_bracket(text: str) -> int:
    """Where the bracket that ends the text is opened, after a space; -1 where the text ends otherwise."""
    if not text.endswith(")"):
        return -1
    depth = 0
    for at in range(len(text) - 1, -1, -1):
        depth += (text[at] == ")") - (text[at] == "(")
        if depth == 0:
            return at if at and text[at - 1] == " " else -1
    return -1
