"""In which order the guys go over from the lift's anchors to the permanent ones, every level held on three sides."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from siting.errors import OutOfMethod
from siting.lift.guy_lengths import in_the_lift
from siting.records.mast import Mast
from siting.records.plumb import LET_GO, MAKE_FAST, SET, Transfer, TransferStep
from siting.units import turn_deg

# Common practice, no source: guys nearer than this in bearing are one side; a wider gap than this is an open side.
ONE_SIDE_DEG, WIDEST_GAP_DEG = 20.0, 170.0
# Guys attached within this of each other hold one level (common practice, no source).
ONE_LEVEL_M = 1.0
NOTES = (
    "A level counts as held where its guys, and the winch line as long as it is fast, pull it to three sides at least, no two "
    f"neighbours more than {WIDEST_GAP_DEG:.0f}° apart; guys within {ONE_SIDE_DEG:.0f}° of each other are one side "
    "(common practice, no source).",
    "Nothing is let go before the permanent guys of its level carry their set tension. The winch line stays fast to the last.",
    "Stop where the mast bows or moves more than a hand's breadth at any level; make fast what was last let go, and look for the cause.",
)


@dataclass(frozen=True, slots=True)
class _Level:
    """The guys at one height: (anchor, bearing in degrees)."""

    attach_m: float
    permanent: tuple[str, ...]
    lift: tuple[str, ...]


def transfer_order(mast: Mast) -> Transfer:
    """The steps from the lift's guys to the permanent ones, lowest level first, each level held on three sides throughout.

    Raises:
        OutOfMethod: there is no such order: a level is held on two sides before or after, or nothing holds the mast.
    """
    levels = _levels(mast)
    steps: list[TransferStep] = []
    waiting: list[_Level] = []
    for level in levels:
        if not level.permanent:
            waiting.append(level)
            continue
        steps += [_step(level, MAKE_FAST, "", anchor) for anchor in level.permanent]
        steps.append(_step(level, SET, "", ""))
        for done in (*waiting, level):
            steps += [_step(done, LET_GO, anchor, _nearest(mast, anchor, level.permanent)) for anchor in done.lift]
        waiting = []
    steps += [_step(level, LET_GO, anchor, "") for level in waiting for anchor in level.lift]
    if mast.winch is not None:
        steps.append(TransferStep(0, None, LET_GO, mast.winch.id, "", (), None, ""))
    return Transfer(check_transfer(mast, steps), NOTES)


def check_transfer(mast: Mast, steps: Iterable[TransferStep]) -> tuple[TransferStep, ...]:
    """The steps, numbered, with what holds the level after each and in words.

    A level is held once three sides hold it, and must stay so. A level without permanent guys is given up once the
    permanent levels next to it are fast.

    Raises:
        OutOfMethod: a step leaves a level with less, lets go what is not fast, or something is never done.
    """
    levels = {level.attach_m: level for level in _levels(mast)}
    fast = {(level.attach_m, anchor, False) for level in levels.values() for anchor in level.lift}
    winch = mast.winch is not None
    _require_start(mast, levels, fast, winch)
    held = {m for m in levels if _is_held(mast, _holding(mast, fast, m, winch))}
    is_set: set[float] = set()
    done = []
    for number, step in enumerate(steps, 1):
        where = f"step {number} of the transfer"
        if fault := _fault(step, levels, fast, is_set):
            raise _refusal(where, fault, "correct the order")
        if step.level_m is None:
            winch = False
        elif step.action == MAKE_FAST:
            fast.add((step.level_m, step.anchor_to, True))
        elif step.action == SET:
            is_set.add(step.level_m)
        else:
            fast.remove((step.level_m, step.anchor_from, False))
        held = _require_held(mast, levels, fast, winch, held, where)
        holding = _holding(mast, fast, step.level_m, winch) if step.level_m is not None else ()
        gap = _widest_gap_deg(mast, holding) if holding else None
        words = _words(step, levels.get(step.level_m))
        done.append(TransferStep(number, step.level_m, step.action, step.anchor_from, step.anchor_to, holding, gap, words))
    _require_end(mast, levels, fast, is_set, winch)
    return tuple(done)


def _fault(step: TransferStep, levels: dict[float, _Level], fast: set, is_set: set[float]) -> str:
    """Why a step cannot be done as it stands, in plain words; empty where it can."""
    if step.level_m is None:
        return ""
    level = levels.get(step.level_m)
    if level is None:
        return f"names a level at {step.level_m:g} m, which the mast does not have"
    if step.action == MAKE_FAST:
        known = step.anchor_to in level.permanent
        return "" if known else f"makes fast to {step.anchor_to}, no permanent anchor of {step.level_m:g} m"
    if step.action == SET:
        loose = [a for a in level.permanent if (step.level_m, a, True) not in fast]
        return f"sets the tension at {step.level_m:g} m while {', '.join(loose)} is not fast" if loose else ""
    if (step.level_m, step.anchor_from, False) not in fast:
        return f"lets go {step.anchor_from} at {step.level_m:g} m, which is not fast"
    if level.permanent and step.level_m not in is_set:
        return f"lets go {step.anchor_from} at {step.level_m:g} m before the permanent guys there have their set tension"
    return ""


def _require_end(mast: Mast, levels: dict[float, _Level], fast: set, is_set: set[float], winch: bool) -> None:
    """Refuses an order that leaves something undone."""
    missing = [f"{a} at {m:g} m" for m, level in levels.items() for a in level.permanent if m not in is_set]
    left = [f"{a} at {m:g} m" for m, a, is_permanent in sorted(fast) if not is_permanent]
    if missing or left or winch:
        rest = ", ".join([*missing, *left, *([mast.winch.id] if winch else [])])
        raise _refusal("end of the transfer", f"the order leaves undone: {rest}", "go through every guy")


def open_side(mast: Mast, anchors: Iterable[str]) -> str:
    """Why these anchors do not hold a level on three sides, in plain words; empty where they do. No unit."""
    anchors = tuple(dict.fromkeys(anchors))
    sides, gap = _sides(mast, anchors), _widest_gap_deg(mast, anchors)
    names = ", ".join(anchors) or "nothing"
    if sides < 3:
        return f"{names} hold{'s' if len(anchors) < 2 else ''} it on {sides} side{'' if sides == 1 else 's'} only"
    if gap > WIDEST_GAP_DEG:
        return f"{names} leave {gap:.0f}° open between two neighbours"
    return ""


def _levels(mast: Mast) -> list[_Level]:
    """The mast's guys by height, lowest first."""
    anchors = {a.id: a for a in mast.anchors}
    found: list[tuple[float, list[str], list[str]]] = []
    for guys in sorted(mast.guys, key=lambda g: g.attach_m):
        if not found or guys.attach_m - found[-1][0] > ONE_LEVEL_M:
            found.append((guys.attach_m, [], []))
        for anchor in guys.anchors:
            found[-1][2 if in_the_lift(guys, anchors[anchor]) else 1].append(anchor)
    return [_Level(m, tuple(dict.fromkeys(p)), tuple(dict.fromkeys(t))) for m, p, t in found]


def _require_start(mast: Mast, levels: dict[float, _Level], fast: set, winch: bool) -> None:
    """Refuses a mast that does not stand held before the first step, or would not after the last."""
    if not fast:
        raise _refusal(
            f"mast '{mast.name}'", "has no guys of the lift: nothing holds it while the permanent guys are made fast",
            "name the temporary anchors and their guys in the mast file",
        )  # fmt: skip
    for level in levels.values():
        holding = _holding(mast, fast, level.attach_m, winch)
        if level.lift and (why := open_side(mast, holding)):
            raise _refusal(
                f"level at {level.attach_m:g} m", f"at the end of the lift {why}", "name a back anchor, or one more side"
            )
        if level.permanent and (why := open_side(mast, level.permanent)):
            raise _refusal(f"level at {level.attach_m:g} m", f"in the end {why}", "give it a permanent guy on a third side")


def _require_held(mast: Mast, levels: dict[float, _Level], fast: set, winch: bool, held: set[float], where: str) -> set[float]:
    """The levels that are held now; refuses where one no longer is that was."""
    now = {m for m in levels if _is_held(mast, _holding(mast, fast, m, winch))}
    for lost in sorted(held - now):
        if levels[lost].permanent or not _neighbours_are_fast(mast, levels, fast, lost):
            why = open_side(mast, _holding(mast, fast, lost, winch))
            raise _refusal(
                where, f"leaves the level at {lost:g} m open: {why}", "make the permanent guys fast first, then let go"
            )
    return now


def _neighbours_are_fast(mast: Mast, levels: dict[float, _Level], fast: set, at_m: float) -> bool:
    """True where the permanent levels next below and next above hold without the lift's guys."""
    firm = [m for m, level in levels.items() if level.permanent]
    nearest = [max((m for m in firm if m < at_m), default=None), min((m for m in firm if m > at_m), default=None)]
    near = [m for m in nearest if m is not None]
    return bool(near) and all(_is_held(mast, tuple(a for m, a, p in sorted(fast) if m == n and p)) for n in near)


def _holding(mast: Mast, fast: set, at_m: float, winch: bool) -> tuple[str, ...]:
    """What holds a level: its fast guys' anchors, and the winch line."""
    anchors = dict.fromkeys(anchor for m, anchor, _ in sorted(fast, key=lambda f: (not f[2], f[1])) if m == at_m)
    return (*anchors, *((mast.winch.id,) if winch else ()))


def _is_held(mast: Mast, anchors: tuple[str, ...]) -> bool:
    """True where these anchors hold a level on three sides."""
    return open_side(mast, anchors) == ""


def _bearings_deg(mast: Mast, anchors: tuple[str, ...]) -> list[float]:
    """The anchors' bearings in order, degrees."""
    return sorted(a.bearing_deg % 360.0 for a in mast.anchors if a.id in anchors)


def _gaps_deg(mast: Mast, anchors: tuple[str, ...]) -> list[float]:
    """Angles between neighbours all the way round, degrees."""
    bearings = _bearings_deg(mast, anchors)
    return [b - a for a, b in zip(bearings, [*bearings[1:], bearings[0] + 360.0], strict=True)] if bearings else [360.0]


def _sides(mast: Mast, anchors: tuple[str, ...]) -> int:
    """How many sides these anchors make, no unit."""
    wide = sum(gap > ONE_SIDE_DEG for gap in _gaps_deg(mast, anchors))
    return wide if anchors else 0


def _widest_gap_deg(mast: Mast, anchors: tuple[str, ...]) -> float:
    """Largest angle between two neighbours, degrees."""
    return max(_gaps_deg(mast, anchors))


def _nearest(mast: Mast, anchor: str, among: tuple[str, ...]) -> str:
    """Of some anchors the one nearest in bearing to another."""
    bearing = {a.id: a.bearing_deg for a in mast.anchors}
    return min(among, key=lambda a: abs(turn_deg(bearing[anchor], bearing[a])))


def _step(level: _Level, action: str, anchor_from: str, anchor_to: str) -> TransferStep:
    """A step that check_transfer will number and put in words."""
    return TransferStep(0, level.attach_m, action, anchor_from, anchor_to, (), None, "")


def _words(step: TransferStep, level: _Level | None) -> str:
    """A step in plain words."""
    if level is None:
        return f"slacken the winch line to {step.anchor_from} slowly, watch every level, then let it go"
    at = f"at {step.level_m:g} m"
    if step.action == MAKE_FAST:
        return f"make the guy {at} fast to {step.anchor_to}, hand tight; every guy of the lift stays fast"
    if step.action == SET:
        return (
            f"bring {', '.join(level.permanent)} {at} to their set tension in turn, a third at a time, easing the level's guys of "
            "the lift as they tighten; read the plumb after each third"
        )
    holds = f"; {step.anchor_to} is the permanent anchor nearest to that side" if step.anchor_to else ""
    return f"slacken the guy {at} to {step.anchor_from} slowly, watch the mast, then let it go{holds}"


def _refusal(where: str, what: str, do: str) -> OutOfMethod:
    """The error of an order that is not to be followed."""
    return OutOfMethod.of("plumb_transfer", where, what, do)
