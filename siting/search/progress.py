"""How far a search has come, on standard error: tiles done, share, speed and time left, then what is done with them."""

from __future__ import annotations

import shutil
import sys
import time
from collections.abc import Callable, Iterable
from typing import TextIO

from siting.records.search import Tile

TERMINAL_EVERY_S, LOG_EVERY_S = 1.0, 10.0


class TileProgress:
    """Counts tiles and prints a line: on a terminal one that is rewritten each second, elsewhere a new one every 10 s.

    Tiles that take less than a second in all print nothing. The stages after them are told in the same line.
    """

    def __init__(self, stream: TextIO | None = None, clock: Callable[[], float] = time.monotonic) -> None:
        self._stream, self._clock = sys.stderr if stream is None else stream, clock
        self._is_terminal = self._stream.isatty()
        self._open = 0  # characters of the line that is not ended yet
        self._is_running = False
        self._shown = self._clock()

    def start(self, tiles: Iterable[Tile], finished: Iterable[Tile] = ()) -> None:
        """The work begins; some tiles may be there from an earlier run: they do not count for the speed."""
        sizes, done = [t.rows * t.cols for t in tiles], [t.rows * t.cols for t in finished]
        self._tiles, self._cells = len(sizes), sum(sizes)
        self._tiles_done, self._cells_done, self._cells_before = len(done), sum(done), sum(done)
        self._started = self._shown = self._clock()
        self._is_running = True

    def planning(self, number: int, most: int, holding: int) -> None:
        """A spot is about to be planned.

        Args:
            number: counts from 1; most: so many are planned at most; holding: of those before, so many hold.
        """
        found = f", {holding} {'holds' if holding == 1 else 'hold'} so far" if number > 1 else ""
        self.stage(f"planning spot {number} of up to {most}{found}")

    def planned(self, plans: int, holding: int) -> None:
        """The spots are planned."""
        self.stage(f"{plans} {'spot' if plans == 1 else 'spots'} planned, {holding} {'holds' if holding == 1 else 'hold'}")

    def stage(self, text: str) -> None:
        """What is done now and is no tile, as one line: on a terminal at once, elsewhere 10 s after the last line."""
        now = self._clock()
        if self._is_terminal or now - self._shown >= LOG_EVERY_S:
            self._print(text, now)

    def tile_done(self, tile: Tile) -> None:
        """One more tile is done."""
        self._tiles_done += 1
        self._cells_done += tile.rows * tile.cols
        self.tick()

    def tick(self) -> None:
        """Prints the line where it is time to."""
        now = self._clock()
        if self._is_running and now - self._shown >= (TERMINAL_EVERY_S if self._is_terminal else LOG_EVERY_S):
            self._print(self.line(now), now)

    def say(self, line: str) -> None:
        """Prints a line of its own, above the one that is rewritten."""
        self._end_line(keep=False)
        print(line, file=self._stream, flush=True)

    def stop(self) -> None:
        """The tiles, or what came after them, have ended: the last state stays on the screen where one was shown."""
        if self._open and self._is_running:
            self._print(self.line(self._clock()), self._clock())
        self._is_running = False
        self._end_line(keep=True)

    def line(self, now: float) -> str:
        """The state at a moment of the clock, as one line, no unit of its own."""
        took_s, here = now - self._started, self._cells_done - self._cells_before
        share = self._cells_done / self._cells if self._cells else 1.0
        text = f"{self._tiles_done} of {self._tiles} tiles, {int(100.0 * share)} %"  # 100 % is said of the whole only
        if here and took_s > 0.0:
            text += f", {_count(here / took_s)} cells/s"
            if self._cells_done < self._cells:
                text += f", {_duration((self._cells - self._cells_done) * took_s / here)} left"
        return text

    def _print(self, text: str, now: float) -> None:
        self._shown = now
        if not self._is_terminal:
            print(text, file=self._stream, flush=True)
            return
        text = text[: max(20, shutil.get_terminal_size().columns - 1)]
        print("\r" + text.ljust(self._open), end="", file=self._stream, flush=True)
        self._open = len(text)

    def _end_line(self, *, keep: bool) -> None:
        """Ends the line that is rewritten, or wipes it away."""
        if self._open:
            print("" if keep else "\r" + " " * self._open + "\r", end="\n" if keep else "", file=self._stream, flush=True)
            self._open = 0


def _count(cells: float) -> str:
    """Cells in words, no unit: 850, 12 thousand, 3.4 million."""
    if cells < 1e4:
        return f"{cells:.0f}"
    return f"{cells / 1e3:.0f} thousand" if cells < 1e6 else f"{cells / 1e6:.1f} million"


def _duration(seconds: float) -> str:
    """A time in words: 40 s, 3 min 20 s, 2 h 5 min."""
    whole = max(1, round(seconds))
    if whole < 60:
        return f"{whole} s"
    if whole < 3600:
        return f"{whole // 60} min {whole % 60} s"
    return f"{whole // 3600} h {whole % 3600 // 60} min"
