"""A bar for long work on a terminal, and what it will cost where that is more than a moment.

Ctrl-C ends the work at any moment; whoever does it leaves nothing half done.
"""

import sys
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from typing import TypeVar

import click

from coach.cli import diagnostics

T = TypeVar("T")

Shown = Callable[[Iterable[T], int], Iterator[T]]
"""Lets things through as they are, of so many, and shows how far it is."""

#: Seconds of work from which on its length is told (our choice).
LONG = 10.0
#: Seconds after which it is guessed from what was done so far.
GUESS_AFTER = 1.0


def showing(label: str) -> Shown[T]:
    """As `shown`, for whoever knows better what there is to go through."""
    return lambda work, total: shown(work, total, label)


@contextmanager
def copying(label: str) -> Iterator[Callable[[int, int], None]]:
    """A bar that is told how many there are of how many; elsewhere than on a terminal nothing."""
    if not sys.stderr.isatty():
        yield lambda done, whole: None
        return
    with click.progressbar(length=1, label=label, file=sys.stderr) as bar:

        def told(done: int, whole: int) -> None:
            bar.length = max(whole, 1)
            bar.update(done - bar.pos)

        yield told


@contextmanager
def working(label: str) -> Iterator[Callable[[], None]]:
    """A sign of life for work of which nobody knows how much is left; it is told now and then."""
    if not sys.stderr.isatty():
        yield lambda: None
        return
    with click.progressbar(length=None, iterable=_endless(), label=label, file=sys.stderr) as bar:
        yield lambda: bar.update(1)


def _endless() -> Iterator[None]:
    """Nothing, of a length that nobody knows."""
    yield from ()


def shown(work: Iterable[T], total: int, label: str) -> Iterator[T]:
    """The same things, with a bar on a terminal; elsewhere, nothing is written."""
    if not sys.stderr.isatty() or total < 2:
        yield from work
        return
    began, told = time.monotonic(), False
    with click.progressbar(length=total, label=label, file=sys.stderr) as bar:
        for done, one in enumerate(work, 1):
            yield one
            bar.update(1)
            taken = time.monotonic() - began
            if not told and taken >= GUESS_AFTER:
                told = True
                whole = taken / done * total
                if whole >= LONG:
                    diagnostics.note(f"\nThis takes about {whole:.0f} s. Ctrl-C stops it.")
