"""A bar for long work on a terminal, and what it will cost where that is more than a moment.

Ctrl-C ends the work at any moment; whoever does it leaves nothing half done.
"""

import sys
import time
from collections.abc import Iterable, Iterator
from typing import TypeVar

import click

from coach.cli import diagnostics

T = TypeVar("T")

#: Seconds of work from which on its length is told (our choice).
LONG = 10.0
#: Seconds after which it is guessed from what was done so far.
GUESS_AFTER = 1.0


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
