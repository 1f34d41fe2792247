"""The line that says how far a search has come."""

from __future__ import annotations

import io

import pytest
from fake_tiles import TILES

from siting.search.progress import TileProgress, _count, _duration


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


class Clock:
    """A clock that a test sets."""

    now = 100.0

    def __call__(self) -> float:
        return self.now


def counted(stream, at_s: list[float], done=()) -> str:
    """What is printed where tiles end at these times."""
    clock = Clock()
    progress = TileProgress(stream, clock)
    progress.start(TILES, done)
    for tile, moment in zip(TILES[len(done) :], at_s):
        clock.now = 100.0 + moment
        progress.tile_done(tile)
    progress.stop()
    return stream.getvalue()


def test_under_a_second_nothing_is_printed():
    assert counted(Terminal(), [0.04 * n for n in range(1, 21)]) == ""
    assert counted(io.StringIO(), [0.4 * n for n in range(1, 21)]) == ""


def test_a_terminals_line_is_rewritten_each_second():
    text = counted(Terminal(), [0.5 * n for n in range(1, 21)])
    lines = text.rstrip("\n").split("\r")
    assert lines[0] == "" and len(lines) == 12 and text.endswith("\n") and text.count("\n") == 1
    assert lines[1] == "2 of 20 tiles, 12 %, 800 cells/s, 7 s left"
    assert lines[-1].rstrip() == "20 of 20 tiles, 100 %, 630 cells/s"
    assert all(len(b) >= len(a.rstrip()) for a, b in zip(lines, lines[1:]))  # nothing of the line before stays


def test_elsewhere_there_is_a_line_every_ten_seconds():
    lines = counted(io.StringIO(), [4.0 * n for n in range(1, 21)]).splitlines()
    assert len(lines) == 6
    assert lines[0] == "3 of 20 tiles, 19 %, 100 cells/s, 51 s left"


def test_tiles_of_an_earlier_run_count_for_the_share_and_not_for_the_speed():
    lines = counted(io.StringIO(), [10.0], TILES[:10]).splitlines()
    assert lines == ["11 of 20 tiles, 63 %, 40 cells/s, 58 s left"]


def test_a_line_of_its_own_wipes_the_rewritten_one():
    stream, clock = Terminal(), Clock()
    progress = TileProgress(stream, clock)
    progress.start(TILES)
    clock.now += 2.0
    progress.tick()
    shown = stream.getvalue().removeprefix("\r")
    assert shown == "0 of 20 tiles, 0 %"
    progress.say("a worker died")
    assert stream.getvalue() == f"\r{shown}\r{' ' * len(shown)}\ra worker died\n"
    progress.stop()
    assert stream.getvalue().endswith("a worker died\n")


def planned(stream, plan_s: float, tiles_s: float = 0.0) -> str:
    """What is printed where three spots are planned after the tiles; two of them hold."""
    clock = Clock()
    progress = TileProgress(stream, clock)
    progress.start(TILES)
    clock.now += tiles_s
    for tile in TILES:
        progress.tile_done(tile)
    progress.stop()
    for number, holding in ((1, 0), (2, 1), (3, 1)):
        progress.planning(number, 15, holding)
        clock.now += plan_s
    progress.planned(3, 2)
    progress.stop()
    return stream.getvalue()


def test_a_terminal_says_at_once_which_spot_is_planned():
    lines = [line.rstrip() for line in planned(Terminal(), 0.2).split("\r")]
    assert lines == [
        "", "planning spot 1 of up to 15", "planning spot 2 of up to 15, 1 holds so far", "planning spot 3 of up to 15, 1 holds so far",
        "3 spots planned, 2 hold",
    ]  # fmt: skip
    text = planned(Terminal(), 0.2, tiles_s=3.0)
    assert [line.split("\r")[-1].rstrip() for line in text.split("\n")[:-1]] == ["20 of 20 tiles, 100 %, 2100 cells/s", "3 spots planned, 2 hold"]


def test_elsewhere_a_line_of_planning_comes_every_ten_seconds():
    assert planned(io.StringIO(), 0.3) == ""
    assert planned(io.StringIO(), 7.0).splitlines() == ["planning spot 3 of up to 15, 1 holds so far"]
    assert planned(io.StringIO(), 10.0).splitlines() == [
        "planning spot 2 of up to 15, 1 holds so far", "planning spot 3 of up to 15, 1 holds so far", "3 spots planned, 2 hold",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(0.2, "1 s"), (59.4, "59 s"), (59.6, "1 min 0 s"), (200.0, "3 min 20 s"), (3599.7, "1 h 0 min"), (7500.0, "2 h 5 min")],
)
def test_time_left_in_words(seconds, words):
    assert _duration(seconds) == words


@pytest.mark.parametrize(
    ("cells", "words"), [(850.4, "850"), (12_340.0, "12 thousand"), (999_400.0, "999 thousand"), (3.44e6, "3.4 million")]
)
def test_speed_in_words(cells, words):
    assert _count(cells) == words
