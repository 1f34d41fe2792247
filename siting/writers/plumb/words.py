"""What the plumb sheet says in words: lengths in centimetres, what must be heard, what a guy needs, where a level leans."""

from __future__ import annotations

from siting.figures import CHECK_QUANTITIES, shown
from siting.records.findings import Check
from siting.records.plumb import Correction, GuyCorrection
from siting.records.plumb_sheet import PlumbSheet
from siting.writers.map.words import VERDICT_WORDS

LET_OUT, TAKE_IN, LEAVE = "LET OUT", "TAKE IN", "leave"
NO_LEAN, NO_CORRECTION, NOT_READ, ON_THE_WAY = "NO LEAN READ", "NO CORRECTION", "TENSION NOT READ", "OUTSIDE BOUNDS"
NO_LEAN_WORDS = (
    "Plumb and straightness are NOT CHECKED, which is never a pass. Read the lean of every level before any guy is moved."
)
NOT_READ_WORDS = "Read them before anything is moved: a mast can stand plumb on guys that are far too tight or far too slack."
# How the correction's own warnings begin that are shouted on the first page.
LEAN_WARNING, UNREAD_WARNING, WAY_WARNING = "No lean was read", "No tension was read", "In "
NOTHING_TO_DO = "NOTHING IS TO BE LET OUT OR TAKEN IN"
MINUS = "−"


def cm(value_cm: float, *, sign: bool = False, unit: bool = True) -> str:
    """A length of centimetres to the millimetre, as the record gives changes; `sign` writes + or − before it."""
    text = f"{value_cm:+.1f}" if sign else f"{value_cm:.1f}"
    text = {"+0.0": "0.0", "-0.0": "0.0"}.get(text, text).replace("-", MINUS)
    return f"{text} cm" if unit else text


def limit_cm(value_cm: float, *, unit: bool = True) -> str:
    """A limit in centimetres with every decimal that it has."""
    return shown(value_cm, "none", unit=False) + (" cm" if unit else "")


def change_word(change_cm: float) -> str:
    """LET OUT, TAKE IN, or leave where it is 0."""
    return LEAVE if change_cm == 0.0 else LET_OUT if change_cm > 0.0 else TAKE_IN


def guy_name(anchor: str, attach_m: float) -> str:
    """A guy by its anchor and its level, as the record's own texts name it."""
    return f"{anchor} at {attach_m:g} m"


def loud(sheet: PlumbSheet) -> tuple[tuple[str, str], ...]:
    """What must be heard before anything is done: capitals, and the sentence beside them."""
    said = sheet.correction.warnings if sheet.correction else ()
    found = []
    if sheet.report is None:
        found.append((NO_LEAN, _first(said, LEAN_WARNING, NO_LEAN_WORDS)))
    if sheet.correction is None:
        found.append((NO_CORRECTION, why_none(sheet)))
    if sheet.tensions_unread:
        count = sheet.tensions_read + len(sheet.tensions_unread)
        which = f": {', '.join(sheet.tensions_unread)}" if sheet.tensions_read else ", not one was read"
        text = _first(said, UNREAD_WARNING, NOT_READ_WORDS)
        found.append((NOT_READ, f"{len(sheet.tensions_unread)} of {count} guys{which}. {text}"))
    steps = sheet.correction.steps if sheet.correction else ()
    if any(step.outside for step in steps):
        numbers = ", ".join(str(step.number) for step in steps if step.outside)
        found.append((ON_THE_WAY, f"After step {numbers}. {_first(said, WAY_WARNING, '')}"))
    return tuple(found)


def why_none(sheet: PlumbSheet) -> str:
    """Why there is no correction, as a sentence that begins like one."""
    return sheet.no_correction[:1].upper() + sheet.no_correction[1:]


def other_warnings(correction: Correction | None) -> tuple[str, ...]:
    """The correction's warnings that are not shouted already."""
    starts = (LEAN_WARNING, UNREAD_WARNING, WAY_WARNING)
    return tuple(w for w in correction.warnings if not w.startswith(starts)) if correction else ()


def _first(texts: tuple[str, ...], start: str, otherwise: str) -> str:
    return next((text for text in texts if text.startswith(start)), otherwise)


def guys_at(correction: Correction, attach_m: float) -> tuple[tuple[int, GuyCorrection], ...]:
    """The guys of a level with their place in the correction's lists."""
    return tuple((i, guy) for i, guy in enumerate(correction.guys) if guy.attach_m == attach_m)


def check_text(check: Check) -> str:
    """A check in a sentence: verdict, what was found, the limit, where, and where the limit comes from."""
    if check.unit == "%":
        found, limit = (f"{value:.3f} %" for value in (check.value, check.limit))  # the limits are tenths of a percent
    else:
        found, limit = (shown(value, CHECK_QUANTITIES.get(check.unit, "none")) for value in (check.value, check.limit))
    verdict = VERDICT_WORDS[check.verdict].upper()
    return f"{verdict}: {check.label}: {found}, limit {limit} ({check.place}). Limit: {check.source}."
