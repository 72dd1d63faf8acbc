"""Turns among processes: each pair of them here holds its own locks, as two processes do."""

import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.turns import Turns

SOON = 0.2


@pytest.fixture
def two(tmp_path: Path) -> Iterator[tuple[Turns, Turns]]:
    pair = Turns(tmp_path), Turns(tmp_path)
    yield pair
    for one in pair:
        one.close()


def entered(turns: Turns, *, alone: bool) -> tuple[threading.Thread, threading.Event]:
    """Somebody who wants a turn, and whether they had it."""
    had = threading.Event()

    def want() -> None:
        with turns.turn(alone=alone):
            had.set()

    thread = threading.Thread(target=want)
    thread.start()
    return thread, had


@pytest.mark.parametrize(
    ("first", "second", "beside"),
    [(False, False, True), (True, False, False), (False, True, False), (True, True, False)],
)
def test_one_alone_has_nobody_beside(
    two: tuple[Turns, Turns], first: bool, second: bool, beside: bool
) -> None:
    here, there = two
    with here.turn(alone=first):
        thread, had = entered(there, alone=second)
        assert had.wait(SOON) == beside
    thread.join()
    assert had.is_set()


def test_who_waits_to_be_alone_is_next(two: tuple[Turns, Turns], tmp_path: Path) -> None:
    here, there = two
    late = Turns(tmp_path)
    with here.turn(alone=False):
        waits, alone = entered(there, alone=True)
        assert not alone.wait(SOON)
        comes, had = entered(late, alone=False)
        assert not had.wait(SOON)
    waits.join()
    comes.join()
    late.close()
    assert alone.is_set()
    assert had.is_set()
