"""Collects the keys of every string that the printed sheets of many plans say: python -m writers.message_keys, run in tests/.

Writes siting/static/messages/keys.txt, one JSON string a line: what a translator of a new language begins with.
"""

from __future__ import annotations

import json
import tempfile
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from copy import copy
from dataclasses import replace
from pathlib import Path
from unittest.mock import patch

from reportlab.pdfgen.canvas import Canvas
from writers import message_plans

from siting.records.plan import Plan
from siting.writers.packet_pdf.cover import Entry
from siting.writers.packet_pdf.sheets import sheets_of
from siting.writers.packet_pdf.whole import fill_packet
from siting.writers.paper import language, sketch_labels
from siting.writers.paper.canvas import Sheet
from siting.writers.paper.language import (
    MESSAGES,
    SENTENCE_END,
    WORD,
    Catalogue,
    Speaker,
    catalogue,
    is_name_list,
    split,
    without_stop,
)
from siting.writers.paper.pieces import UNITS, Piece, keyed, plain
from siting.writers.paper.plan_names import is_cited, speaker_of
from siting.writers.paper.sketch_labels import Label, Placed
from siting.writers.plumb.pdf import plumb_pdf

KEYS = MESSAGES / "keys.txt"


@contextmanager
def heard() -> Iterator[list[Speaker]]:
    """Every speaker of the sheets that are made meanwhile."""
    speakers: list[Speaker] = []
    begin = Sheet.__init__

    def listen(sheet: Sheet, *args: object, **keys: object) -> None:
        begin(sheet, *args, **keys)
        if not any(s is sheet.speaker for s in speakers):
            speakers.append(sheet.speaker)

    def nothing(*_: object, **__: object) -> None:
        """Ink is not listened to, nor where a name goes: they take most of the time."""

    def anywhere(label: Label, *_: object) -> Placed:
        return Placed(label, (0.0, 0.0, 0.0, 0.0), None)

    mute = dict.fromkeys(("line", "drawString", "rect", "circle", "drawPath", "drawImage"), nothing)
    with patch.object(Sheet, "__init__", listen), patch.multiple(Canvas, **mute), patch.object(sketch_labels, "_best", anywhere):
        yield speakers


def say_sheets(plan: Plan) -> None:
    """Fills every sheet that the plan has, and the cover with their names."""
    fill_packet(plan, tuple(Entry(sheet.kind, 1, sheet.purpose) for sheet in sheets_of(plan)), 1)


def say_record(plan: Plan) -> Speaker:
    """What the plan says in words, whether a sheet has room for it today or not."""
    speaker = speaker_of(plan)
    for check in (*plan.checks, *(plan.holding.checks if plan.holding else ())):
        for text in (check.label, check.place, check.kind.replace("_", " "), *(() if is_cited(check.source) else (check.source,))):
            speaker.say(text)
    for item in plan.unchecked_detail:
        for text in (item.id.partition(":")[0].replace("_", " "), item.missing, item.do):
            speaker.say(text)
    for text in (*plan.warnings, *plan.notes, *plan.cautions, plan.headline, plan.laydown.summary, *plan.laydown.reasons, *plan.provenance.method):
        speaker.say(text)
    for zone in plan.reach:
        speaker.say(zone.title)
    for line in plan.power_lines:
        speaker.say(line.text)
    return speaker


def said_again(in_language: str, speakers: list[Speaker]) -> list[Speaker]:
    """The same strings of the same plans in another language, without the sheets."""
    again = []
    for speaker in speakers:
        other = copy(speaker)
        other.language, other.unknown, other._said, other._messages = in_language, Counter(), {}, catalogue(in_language)
        for text in list(speaker.heard):
            other.say(text)
        again.append(other)
    return again


def speakers_of(in_language: str, english: dict[str, Plan]) -> list[Speaker]:
    """Every speaker of every sheet of these plans, after it has said what it had to say."""
    plans = {name: replace(plan, language=in_language) for name, plan in english.items()}
    with heard() as speakers:
        for plan in plans.values():
            say_sheets(plan)
            speakers.append(say_record(plan))
        for sheet, plan in message_plans.plumb_sheets(plans["demo"]).values():
            plumb_pdf(sheet, plan)
    return speakers


class Tree:
    """Strings with the parts they fall into: a part that stands in several is a key of its own, else the whole is."""

    def __init__(self, listed: set[str]) -> None:
        self.listed = listed
        self.parts: dict[str, tuple[str, ...]] = {}
        self.wholes: dict[str, set[str]] = {}
        self.always: set[str] = set()  # split even where no part stands elsewhere: names, lists, citations

    def add(self, marked: str, taken: dict[str, Piece], whole: str = "") -> str:
        """Adds a string; returns its key."""
        bare, _ = without_stop(marked)
        key = keyed(bare, taken)
        self.wholes.setdefault(key, set()).add(whole)
        if not is_said(bare) or key in self.parts:
            return key
        found, _ = split(marked)
        if len(found) == 1:
            items = bare.split(", ")
            is_list = len(items) > 1 and (is_name_list(items) or all(part in self.listed or not is_said(part) for part in items))
            found = items if is_list else []
            self.always |= {key} if is_list else set()
        if any(not is_said(part) for part in found):
            self.always.add(key)
        self.parts[key] = ()
        parts = (self.add(part, taken, key) for part in found if is_said(part))
        self.parts[key] = tuple(part for part in parts if len(part) < len(key))
        if any(part in self.always for part in self.parts[key]):
            self.always.add(key)
        return key

    def keys_of(self, key: str) -> set[str]:
        """What is looked up for a string: itself, or its parts where one of them stands elsewhere too."""
        parts = self.parts.get(key, ())
        if parts and (key in self.always or any(p in self.always or len(self.wholes[p]) > 1 or p in self.listed for p in parts)):
            return set().union(*(self.keys_of(p) for p in parts))
        return {key}


def is_said(part: str) -> bool:
    """Whether it holds a word to translate."""
    return bool(WORD.search(part)) and part not in UNITS


def collect() -> list[str]:
    """Every key in alphabetical order: what the sheets ask for, and what the complete catalogue holds beside it."""
    with patch.object(language, "catalogue", lambda _: Catalogue({})), tempfile.TemporaryDirectory() as folder:
        plans = message_plans.plans(Path(folder))
        speakers = speakers_of("de", plans)
        listed = {*message_plans.LISTED, *message_plans.unchecked_words(plans)}
    tree, roots = Tree(listed), set()
    for speaker in speakers:
        for text in list(speaker.heard):
            marked, taken = speaker._pieces.taken_out(plain(text), with_names=True)
            for piece in taken.values():
                if piece.kind == "list":
                    speaker.say(piece.text.partition(", ")[0])
            # Sentences always stand alone: a paragraph is never a key.
            for sentence in SENTENCE_END.split(marked):
                roots |= {tree.add(part, taken) for part in sentence.split(" · ") if is_said(part)}
    found = set().union(*(tree.keys_of(root) for root in roots)) | listed | set(message_plans.MORE) | set(message_plans.MORE_OF_LAND)
    found = {key.strip() for key in found} - {key[:1].upper() + key[1:] for key in found if key[:1].islower()}
    capitals = {key.upper() for key in found if key != key.upper() and "{" not in key}
    found = (found - (capitals - {*message_plans.MORE, *message_plans.MORE_OF_LAND})) | set(catalogue("de").messages)
    return sorted(found, key=lambda key: (key.lower(), key))


def main() -> None:
    """Writes the list."""
    keys = collect()
    KEYS.parent.mkdir(exist_ok=True)
    KEYS.write_text("".join(json.dumps(key, ensure_ascii=False) + "\n" for key in keys), encoding="utf-8")
    print(f"{len(keys)} keys")


if __name__ == "__main__":
    main()
