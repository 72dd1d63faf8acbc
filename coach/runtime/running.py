"""A session from what was settled to its end, on the record all the way: one way for every kind."""

import logging
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from logging.handlers import RotatingFileHandler
from pathlib import Path
from threading import Timer
from typing import Any

from coach.errors import CoachError, ExitCode, JournalError
from coach.files.paths import Paths
from coach.journal import Journal
from coach.model.start import Start
from coach.runtime import spare
from coach.runtime.awake import awake_soon
from coach.runtime.beginning import Begun, Tell, begin, take_up
from coach.runtime.faces import in_lines, loaded_for_good, loading, on_screen
from coach.runtime.keeper import JournalKeeper
from coach.runtime.kind_registry import kind_named
from coach.runtime.leaving import Leave, leaving
from coach.runtime.live_stage import Left
from coach.runtime.live_world import LiveWorld
from coach.runtime.runner import Runner
from coach.runtime.sharing import Shared, check_sharing, shared
from coach.runtime.sound import Live, Wanted, opened
from coach.runtime.to_file import check_file
from coach.session.effects import Play, Tone
from coach.setup.earlier_days import at_own_pace
from coach.setup.settling import Setup, remember

#: Where the log is begun anew.
LOG_BYTES = 1_000_000
#: Seconds that the first sentence has to itself before those to come are made ready.
FIRST = 1.0
#: Number of the one sound that is no cue: by it a recording can be laid over the journal.
SYNC_SOUND = 0

Settle = Callable[[Start | None], Setup]
"""What the session begins with; of the one that goes on where there is one."""


class Interrupted(CoachError):
    """The person left a session that can go on."""

    code = ExitCode.INTERRUPTED


@dataclass(frozen=True, slots=True)
class RunOptions:
    """What the command line asks of a session that really runs."""

    resume: bool | None
    """To go on with the one that was left, or not; None asks at a terminal."""
    full: bool
    """The full screen, or plain lines."""
    wanted: Wanted


def run_session(
    kinds: Sequence[str], settle: Settle, asked: RunOptions, paths: Paths, tell: Tell
) -> str:
    """Run a session of one of these kinds to its end; what it came to, in one line.

    Interrupted where the person left it, JournalError where its end could not be saved.
    """
    now = datetime.now().astimezone()
    with loading(), Journal.open(paths.journal, write=True) as journal:
        check_sharing(asked.wanted)
        check_file(asked.wanted.to_file)
        for path in spare.take_back(journal):
            tell(f"What an earlier session could not save is on the record now ({path.name}).")
        begun = take_up(journal, kinds, asked.resume, now, tell)
        setup = settle(None if begun is None else begun.start)
        remember(paths, setup.settings)
        if begun is None:
            begun = _anew(journal, setup, paths, now, tell)
        _log_to(paths.log)
        leave = Leave()
        with leaving(leave), awake_soon(), opened(setup, paths, asked.wanted) as live:
            leave.to(live.stage.leave)
            for missing in live.missing:
                tell(f"{missing}")
            told = _run(begun, setup, live, journal, asked, paths, tell)
        from coach.journal.rolling import roll

        try:
            roll(paths.journal, now.date())
        except (JournalError, OSError) as error:
            tell(f"No backup could be made: {error}")
        return told


def _log_to(path: Path) -> None:
    """Let what the parts report while they run go to a file, which is kept small."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handler = RotatingFileHandler(path, maxBytes=LOG_BYTES, backupCount=1, encoding="utf-8")
    handler.setFormatter(logging.Formatter("%(asctime)s %(name)s: %(message)s"))
    root = logging.getLogger()
    root.addHandler(handler)
    root.setLevel(logging.INFO)


def _anew(journal: Journal, setup: Setup, paths: Paths, now: datetime, tell: Tell) -> Begun[Any]:
    if kind_named(setup.kind).from_record:
        setup = at_own_pace(setup, journal, paths)
    return begin(journal, setup, now, tell)


def _run(
    begun: Begun[Any],
    setup: Setup,
    live: Live,
    journal: Journal,
    asked: RunOptions,
    paths: Paths,
    tell: Tell,
) -> str:
    world = LiveWorld(live.stage, begun.offset)
    keeper = JournalKeeper(journal, begun.id, world.post)
    runner = Runner(begun.session, world, keeper, _wall, kind=begun.kind)
    live.stage.carry_out(Play(SYNC_SOUND, Tone.SYNC, live.stage.now()))
    there = Shared(
        paths.journal,
        setup.language,
        begun.session.people,
        begun.kind.led,
        lambda: begun.kind.look(runner.session),
        world.now,
        world.post,
    )
    sharing = shared(asked.wanted, there, tell)
    try:
        with loaded_for_good(), sharing as codes, _warming(begun, setup, live):
            if asked.full:
                ended = on_screen(begun, runner, world, setup.language, paths, codes)
            else:
                ended = in_lines(begun, runner, world, setup.language)
    except (Left, KeyboardInterrupt):
        raise _left(keeper, begun) from None
    if not keeper.finish(ended.how):
        raise _unsaved(keeper, "The session is over.")
    if keeper.refused:
        tell("For a while nothing could be saved; all of it is on the record now.")
    return f"On the record: {begun.kind.summary(ended)}."


def _left(keeper: JournalKeeper, begun: Begun[Any]) -> CoachError:
    """What is true of the record of a session that was left."""
    go_on = f"'{begun.kind.command} --resume' goes on with it."
    if keeper.leave():
        return Interrupted("left; what was announced is saved", go_on)
    return _unsaved(keeper, go_on)


def _unsaved(keeper: JournalKeeper, then: str) -> JournalError:
    """That the journal lacks the end, and where the end is."""
    lacks = f"the last {keeper.held} events could not be saved"
    copy = keeper.spare
    if copy is None:
        return JournalError(f"{lacks} and are lost", f"Free some space on the disk. {then}")
    return JournalError(
        f"{lacks} in the journal; a copy of all is in {copy.path}",
        f"Make the journal writable again: the next session takes the copy back. {then}",
    )


def _wall() -> datetime:
    return datetime.now().astimezone()


@contextmanager
def _warming(begun: Begun[Any], setup: Setup, live: Live) -> Iterator[None]:
    """Have what will probably be said made ready while the session runs."""

    def warm() -> None:
        from coach.runtime.ahead import likely  # the first sentence doesn't wait for it

        live.warm(likely(begun.kind, begun.session, setup.language))

    ahead = Timer(FIRST, warm)
    ahead.daemon = True
    ahead.start()
    try:
        yield
    finally:
        ahead.cancel()
        ahead.join()
