"""The ground in plain words and by its group: what a crew writes, such as "stiff clay" or SM, as classes of the tables."""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass
from types import MappingProxyType

from siting.errors import InputError
from siting.records.soil import COHESIVE, GRANULAR, ROCK
from siting.soil.tables import (
    DENSE,
    FINE_SAND,
    GRAVEL,
    HARD,
    LOOSE,
    MEDIUM_DENSE,
    MEDIUM_SAND,
    MEDIUM_STIFF,
    ROCK_NAMES,
    ROCK_TRANSFER_KN_M,
    SILT,
    SILTY_SAND,
    SOFT,
    STIFF,
    USCS,
    USCS_DOUBLE,
    VERY_DENSE,
    VERY_LOOSE,
    VERY_SOFT,
    VERY_STIFF,
    WEAKEST_ROCK,
)

FILL, ORGANIC = "fill", "organic ground"


@dataclass(frozen=True, slots=True)
class Named:
    """What a name says of the ground."""

    text: str
    kind: str
    row: str | None = None  # class of Table 3-2
    density: int | None = None  # row of Table 3-1 or of Table 3-3; None: not said
    has_cobbles: bool = False
    no_strength: str = ""  # fill or organic ground
    rock: str = ""  # a rock of the published table
    is_weathered: bool = False  # rock that is not sound
    is_dry: bool = False
    warnings: tuple[str, ...] = ()


# What each noun is, by the weaker neighbour where it is not exact: common practice, no source. The last flag: stones in it.
NOUNS: MappingProxyType[str, tuple[str, str | None, bool]] = MappingProxyType({
    "sand": (GRANULAR, FINE_SAND, False), "fine sand": (GRANULAR, FINE_SAND, False),
    "medium sand": (GRANULAR, MEDIUM_SAND, False), "coarse sand": (GRANULAR, GRAVEL, False),
    "fine to medium sand": (GRANULAR, FINE_SAND, False), "fine to coarse sand": (GRANULAR, FINE_SAND, False),
    "medium to coarse sand": (GRANULAR, MEDIUM_SAND, False), "silty fine sand": (GRANULAR, SILTY_SAND, False),
    "fine silty sand": (GRANULAR, SILTY_SAND, False),
    "silty sand": (GRANULAR, SILTY_SAND, False), "clayey sand": (GRANULAR, SILTY_SAND, False),
    "sandy silt": (GRANULAR, SILTY_SAND, False), "silt": (GRANULAR, SILT, False), "loess": (GRANULAR, SILT, False),
    "loam": (GRANULAR, SILT, False), "sandy loam": (GRANULAR, SILTY_SAND, False), "silt loam": (GRANULAR, SILT, False),
    "gravel": (GRANULAR, GRAVEL, True), "sandy gravel": (GRANULAR, GRAVEL, True), "sand and gravel": (GRANULAR, GRAVEL, True),
    "fine gravel": (GRANULAR, GRAVEL, True), "medium gravel": (GRANULAR, GRAVEL, True), "coarse gravel": (GRANULAR, GRAVEL, True),
    "silty gravel": (GRANULAR, SILTY_SAND, True), "clayey gravel": (GRANULAR, SILTY_SAND, True),
    "cobbles": (GRANULAR, GRAVEL, True), "boulders": (GRANULAR, GRAVEL, True), "stones": (GRANULAR, GRAVEL, True),
    "scree": (GRANULAR, GRAVEL, True), "talus": (GRANULAR, GRAVEL, True),
    "till": (GRANULAR, SILTY_SAND, True), "glacial till": (GRANULAR, SILTY_SAND, True), "moraine": (GRANULAR, SILTY_SAND, True),
    "clay": (COHESIVE, None, False), "silty clay": (COHESIVE, None, False), "sandy clay": (COHESIVE, None, False),
    "clayey silt": (COHESIVE, None, False), "clay loam": (COHESIVE, None, False), "boulder clay": (COHESIVE, None, True),
})  # fmt: skip
NO_STRENGTH = MappingProxyType({
    **dict.fromkeys(("fill", "made ground", "rubble", "spoil", "landfill"), FILL),
    **dict.fromkeys(("peat", "topsoil", "muck", "mud", "bog", "marsh", "swamp", "organic soil", "organic silt", "organic clay"), ORGANIC),
})  # fmt: skip
ROCKS = MappingProxyType({
    **{name: table for name, table in ROCK_NAMES.items() if " or " not in name},
    **dict.fromkeys(("rock", "bedrock", "gneiss", "schist", "quartzite", "conglomerate", "mudstone", "siltstone"), WEAKEST_ROCK),
})  # fmt: skip
WEATHERED = ("chalk", "marl", "caliche", "hardpan", "laterite", "soft rock", "broken rock", "fractured rock", "decomposed rock")
UNSOUND = ("weathered", "soft", "very soft", "loose", "very loose")  # said of rock
DENSITY_WORDS = MappingProxyType({
    "very loose": VERY_LOOSE, "loose": LOOSE, "medium dense": MEDIUM_DENSE, "dense": DENSE, "very dense": VERY_DENSE,
})  # fmt: skip
CONSISTENCY_WORDS = MappingProxyType({
    "very soft": VERY_SOFT, "soft": SOFT, "firm": MEDIUM_STIFF, "medium stiff": MEDIUM_STIFF, "medium": MEDIUM_STIFF,
    "stiff": STIFF, "very stiff": VERY_STIFF, "hard": HARD, "very hard": HARD,
})  # fmt: skip
STONY = (
    "gravelly", "cobbly", "bouldery", "stony", "with gravel", "with cobbles", "with boulders", "with stones",
)  # fmt: skip
NO_MATTER = (
    "brown", "blue", "green", "orange", "grey", "gray", "red", "yellow", "black", "white", "light", "dark", "moist", "damp", "wet", "saturated", "to",
    "and", "solid", "sound",
)  # fmt: skip
LAYERS = ("over", "under", "on", "above", "below", "then", "with")
VOCABULARY = (
    *NOUNS, *NO_STRENGTH, *ROCKS, *WEATHERED, *DENSITY_WORDS, *CONSISTENCY_WORDS, *STONY, *NO_MATTER, "dry", "weathered",
)  # fmt: skip
LONGEST = max(len(phrase.split()) for phrase in VOCABULARY)


def known_grounds() -> tuple[str, ...]:
    """Every ground that plain words may name, with density or consistency in front of it or without; no unit."""
    grounds = []
    for noun, (kind, _, _) in NOUNS.items():
        grounds += [noun, *(f"{word} {noun}" for word in (DENSITY_WORDS if kind == GRANULAR else CONSISTENCY_WORDS))]
    return (*grounds, *NO_STRENGTH, *ROCKS, *WEATHERED, "weathered rock")


def ground_of_words(text: str, where: str) -> Named:
    """What plain words say.

    Args:
        where: the file and its key, for the error.
    Raises:
        InputError: a word that is not known (the nearest grounds are named), no ground, or two that differ in kind.
    """
    phrases = _phrases(text, where)
    flags = {
        "has_cobbles": any(p in STONY or (p in NOUNS and NOUNS[p][2]) for p in phrases),
        "is_dry": "dry" in phrases,
    }
    empty = [NO_STRENGTH[p] for p in phrases if p in NO_STRENGTH]
    if empty:
        return Named(text, COHESIVE, no_strength=ORGANIC if ORGANIC in empty else FILL, **flags)
    nouns = [p for p in phrases if p in NOUNS]
    rocks = [p for p in phrases if p in ROCKS or p in WEATHERED]
    if not nouns and not rocks:
        raise InputError.of("soil_words", where, f"'{text}' names no ground", "name one, such as loose sand, stiff clay or rock")
    kinds = {NOUNS[p][0] for p in nouns} | ({ROCK} if rocks else set())
    if len(kinds) > 1:
        raise InputError.of(
            "soil_words", where, f"'{text}' names grounds of two kinds: {', '.join([*nouns, *rocks])}",
            "name the one that the anchor stands in, or give each anchor its own under [[soil.anchors]]",
        )  # fmt: skip
    if rocks:
        table = min((ROCKS[p] for p in rocks if p in ROCKS), key=ROCK_TRANSFER_KN_M.__getitem__, default="")
        weathered = any(p in WEATHERED or p in UNSOUND for p in phrases)
        warnings = ()
        if not weathered and any(p not in ROCK_NAMES for p in rocks):
            warnings = (f"'{text}' is no rock of the published table: its weakest row, {WEAKEST_ROCK}, is taken",)
            table = WEAKEST_ROCK
        return Named(text, ROCK, rock="" if weathered else table, is_weathered=weathered, warnings=warnings, **flags)
    return _soil(text, phrases, nouns, flags)


def _soil(text: str, phrases: list[str], nouns: list[str], flags: dict[str, bool]) -> Named:
    """Soil of one kind: the weaker class and the weaker density where several are named."""
    kind = NOUNS[nouns[0]][0]
    order = (SILT, SILTY_SAND, FINE_SAND, MEDIUM_SAND, GRAVEL)
    row = min((NOUNS[p][1] for p in nouns), key=order.index) if kind == GRANULAR else None
    own, other = (DENSITY_WORDS, CONSISTENCY_WORDS) if kind == GRANULAR else (CONSISTENCY_WORDS, DENSITY_WORDS)
    warnings = tuple(
        f"'{p}' says nothing of {nouns[0]} (its words: {', '.join(own)}): the {'loose' if kind == GRANULAR else 'soft'} end is taken"
        for p in phrases
        if p in other
    )
    densities = [own[p] for p in phrases if p in own]
    if warnings:
        densities.append(LOOSE if kind == GRANULAR else SOFT)
    return Named(text, kind, row, min(densities, default=None), warnings=warnings, **flags)


def _phrases(text: str, where: str) -> list[str]:
    """The text as phrases of the vocabulary, the longest first."""
    words = re.findall(r"[^\s,;/-]+", text.casefold())
    found = []
    while words:
        for size in range(min(LONGEST, len(words)), 0, -1):
            phrase = " ".join(words[:size])
            if phrase in VOCABULARY:
                found.append(phrase)
                words = words[size:]
                break
        else:
            if words[0] in LAYERS:
                raise InputError.of(
                    "soil_words", where, f"'{text}' names more than one layer",
                    "name the one that the anchor stands in, the weaker where you are not sure",
                )  # fmt: skip
            near = difflib.get_close_matches(" ".join(text.casefold().split()), known_grounds(), 3, 0.5)
            near = near or difflib.get_close_matches(words[0], VOCABULARY, 3, 0.4) or ["loose sand", "stiff clay", "rock"]
            raise InputError.of(
                "soil_words", where, f"'{words[0]}' in '{text}' is no word that siting knows of the ground",
                f"did you mean {' or '.join(near)}?",
            )  # fmt: skip
    return found


def ground_of_group(text: str, where: str) -> Named:
    """What a group of the Unified Soil Classification System says.

    Args:
        where: the file and its key, for the error.
    Raises:
        InputError: no such group.
    """
    symbol = "-".join(re.findall(r"[A-Z]+", text.upper()))
    group = USCS.get(USCS_DOUBLE.get(symbol, symbol))
    if group is None:
        near = difflib.get_close_matches(symbol, (*USCS, *USCS_DOUBLE), 1, 0.4)
        hint = f"did you mean {near[0]}? " if near else ""
        raise InputError.of("soil_group", where, f"'{text}' is no soil group", f"{hint}known: {', '.join((*USCS, *USCS_DOUBLE))}")
    return Named(
        f"{group.name} ({symbol})",
        group.kind,
        group.row,
        has_cobbles=group.has_cobbles,
        no_strength=ORGANIC if group.is_organic else "",
    )


def rock_of_name(text: str, where: str) -> Named:
    """A rock of the published table.

    Args:
        where: the file and its key, for the error.
    Raises:
        InputError: no such rock in the table.
    """
    name = " ".join(text.casefold().replace("-", " ").split())
    if name not in ROCK_NAMES:
        near = difflib.get_close_matches(name, ROCK_NAMES, 1, 0.5)
        hint = f"did you mean {near[0]}? " if near else ""
        raise InputError.of(
            "soil_rock", where, f"'{text}' is no rock of the published table",
            f"{hint}known: {', '.join(ROCK_NAMES)}; of another rock write plain_words = \"rock\"",
        )  # fmt: skip
    return Named(ROCK_NAMES[name], ROCK, rock=ROCK_NAMES[name])
