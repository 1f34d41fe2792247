"""Every direction of the sweep as the rose draws it: a sector with its verdict, its margin, or the check that rules it out."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from siting.records.plan import Candidate, Laydown, RuledOut

NOT_JUDGED = "unchecked"
# Each kind of check that can rule a direction out: its letter (none of the compass) and its words.
KINDS = {
    "laydown_slope": ("D", "ground falls, or rises too much, along it"),
    "rest_slope": ("R", "the mast would lie too steep"),
    "gap": ("G", "gap under the lying mast"),
    "anchor_slope": ("A", "ground too steep at an anchor"),
    "side_guy_travel": ("T", "travel of a side guy in the lift"),
    "winch_arm": ("V", "winch line's lever arm too short"),
    "anchor_on_own_land": ("L", "anchor off the own land"),
    "guy_on_own_land": ("P", "guys over other land"),
    "layout_clear": ("O", "obstacle in the layout"),
    "rule": ("F", "distance of a rule file"),
}
SPARE_LETTERS = "BCHIJKMQUXYZ"
WIDEST_DEG = 0.5  # half a sector of a sweep by whole degrees


@dataclass(frozen=True, slots=True)
class Sector:
    """One direction: where its sector begins and ends (degrees, clockwise; the end may pass 360), verdict and margin."""

    azimuth_deg: float
    from_deg: float
    to_deg: float
    verdict: str
    margin: float  # part of what is allowed that is left, 0 to 1; 0 where it fails
    kind: str  # of the check that rules it out; empty where none does


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of check that rules directions out: its letter, its words, how many directions, which pattern."""

    kind: str
    letter: str
    words: str
    count: int
    pattern: int


@dataclass(frozen=True, slots=True)
class Run:
    """Neighbouring sectors of one verdict and kind, and whether they come round to where they began."""

    sectors: tuple[Sector, ...]
    is_whole_circle: bool = False

    @property
    def verdict(self) -> str:
        """The verdict of them all."""
        return self.sectors[0].verdict

    @property
    def kind(self) -> str:
        """The kind of check of them all."""
        return self.sectors[0].kind

    @property
    def from_deg(self) -> float:
        """Where the first sector begins, degrees."""
        return self.sectors[0].from_deg

    @property
    def width_deg(self) -> float:
        """From the first sector's beginning to the last one's end, degrees."""
        return 360.0 if self.is_whole_circle else (self.sectors[-1].to_deg - self.from_deg) % 360.0

    @property
    def middle_deg(self) -> float:
        """The middle of the run, degrees."""
        return (self.from_deg + self.width_deg / 2.0) % 360.0


def sectors(laydown: Laydown) -> tuple[Sector, ...]:
    """A sector for every azimuth that was judged or dropped, clockwise from north."""
    judged = {c.azimuth_deg: c for c in laydown.candidates}
    azimuths = sorted({*judged, *(d.azimuth_deg for d in laydown.dropped)})
    found = []
    for number, azimuth in enumerate(azimuths):
        before = (azimuth - azimuths[number - 1]) % 360.0 or 360.0
        after = (azimuths[(number + 1) % len(azimuths)] - azimuth) % 360.0 or 360.0
        candidate = judged.get(azimuth)
        found.append(
            Sector(
                azimuth,
                azimuth - min(before / 2.0, WIDEST_DEG),
                azimuth + min(after / 2.0, WIDEST_DEG),
                candidate.verdict if candidate else NOT_JUDGED,
                max(0.0, 1.0 - candidate.worst_utilisation) if candidate and candidate.verdict != "fail" else 0.0,
                _kind(laydown.ruled_out, candidate) if candidate and candidate.verdict == "fail" else "",
            )
        )
    return tuple(found)


def _kind(ruled_out: tuple[RuledOut, ...], candidate: Candidate) -> str:
    """The kind of check that rules it out: the run that it stands in, else the kind of its worst check."""
    run = next((r for r in ruled_out if holds(r, candidate.azimuth_deg)), None)
    return run.check if run else candidate.worst_check.partition(":")[0]


def holds(run: RuledOut, azimuth_deg: float) -> bool:
    """True where an azimuth lies in a run, ends counted."""
    return (azimuth_deg - run.from_deg) % 360.0 <= (run.to_deg - run.from_deg) % 360.0


def runs(found: tuple[Sector, ...]) -> tuple[Run, ...]:
    """The sectors in runs of one verdict and kind without a gap, clockwise; the first may begin before north."""
    made: list[list[Sector]] = []
    for sector in found:
        if made and _go_on(made[-1][-1], sector):
            made[-1].append(sector)
        else:
            made.append([sector])
    if len(made) == 1 and len(found) > 1 and _go_on(found[-1], found[0]):
        return (Run(found, is_whole_circle=True),)
    if len(made) > 1 and _go_on(made[-1][-1], made[0][0]):
        made[0] = made.pop() + made[0]
    return tuple(Run(tuple(run)) for run in made)


def _go_on(last: Sector, following: Sector) -> bool:
    gap = abs((following.from_deg - last.to_deg + 180.0) % 360.0 - 180.0)
    return (last.verdict, last.kind) == (following.verdict, following.kind) and gap < 1e-6


def kinds(found: tuple[Sector, ...]) -> tuple[Kind, ...]:
    """The kinds that rule directions out, the one that rules most first; patterns follow the fixed list of kinds."""
    counts = Counter(s.kind for s in found if s.kind)
    unknown = sorted(set(counts) - set(KINDS))
    spare = {kind: (SPARE_LETTERS[n % len(SPARE_LETTERS)], kind.replace("_", " ")) for n, kind in enumerate(unknown)}
    known = KINDS | spare
    order = list(known)
    rows = [Kind(kind, *known[kind], count, order.index(kind)) for kind, count in counts.items()]
    return tuple(sorted(rows, key=lambda row: (-row.count, row.kind)))
