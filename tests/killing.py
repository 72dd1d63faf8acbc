"""Processes that are killed while they work: started, listened to, ended by SIGKILL.

Each is a process of its own, forked from one that has imported everything: it is there in a moment.
"""

import multiprocessing
import os
import time
from collections.abc import Callable
from multiprocessing.connection import Connection
from typing import Any, NamedTuple

READY = multiprocessing.get_context("forkserver")
READY.set_forkserver_preload(["tests.journal.committer", "tests.session.runs"])

#: Seconds until the first acknowledgement has to be there.
PATIENCE = 60.0


class Killed(NamedTuple):
    """What is known of a process afterwards."""

    said: list[str]
    """What it wrote to its standard output, up to the last ';'."""
    code: int | None
    """Its exit code: -9 where it was killed, else it had ended by itself."""


def killed(main: Callable[..., None], *given: Any, after: float) -> Killed:
    """Run `main` with these arguments and kill it so many seconds after its first 'ack'."""
    out, theirs = READY.Pipe(duplex=False)
    child = READY.Process(target=_speaking, args=(theirs, main, given))
    child.start()
    theirs.close()
    said, begun = b"", False
    deadline = time.monotonic() + PATIENCE
    with out:
        while (left := deadline - time.monotonic()) > 0.0 and out.poll(left):
            some = os.read(out.fileno(), 65536)
            if not some:  # it has ended
                break
            said += some
            if not begun and b"ack" in said:
                begun = True
                deadline = time.monotonic() + after
        child.kill()
        child.join()
        while some := os.read(out.fileno(), 65536):
            said += some
    assert begun, said
    return Killed(said.decode().split(";")[:-1], child.exitcode)


def _speaking(out: Connection, main: Callable[..., None], given: tuple[Any, ...]) -> None:
    os.dup2(out.fileno(), 1)
    main(*given)
