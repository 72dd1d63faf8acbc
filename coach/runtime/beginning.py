"""Where a session begins: anew, or where the journal says that it stopped.

It is the same for every kind. A session goes on only by the command of its own kind; any other one
says which that is, and leaves the session as it was.
"""

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, Generic

import click

from coach.audio.note_files import path_of
from coach.distribution import program
from coach.errors import UsageError
from coach.files.paths import paths
from coach.hearing.weights import OWN_LANGUAGE
from coach.journal import Journal, SessionId
from coach.journal.clock_doubts import SLACK, doubt
from coach.journal.earlier_tries import earlier_tries, films_of, known_boulders, notes_of
from coach.journal.entries import entries, recent
from coach.journal.kept_aims import all_aims
from coach.journal.store import Unfinished
from coach.model.aim import AimKind
from coach.model.person import Person
from coach.model.start import Options, Start
from coach.record.dose_hours import practised
from coach.record.trial import FOCUS
from coach.runtime.kind_registry import kind_named, kind_of
from coach.runtime.replay import replay, rules_version
from coach.screen.terminal import usable
from coach.session.events import Event, Reopened, Started
from coach.session.kinds import Kind, S
from coach.session.pauses import TOO_LONG
from coach.session.state import Phase
from coach.setup.earlier_days import of_record
from coach.setup.learnt import chosen, remembered
from coach.setup.level_to_ask import with_levels
from coach.setup.settling import Setup
from coach.setup.trials import rests, tried, wanted

#: Has a sentence read by whoever is at the terminal.
Tell = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Begun(Generic[S]):
    """A session of the journal that is about to run."""

    id: SessionId
    kind: Kind[S]
    start: Start
    session: S
    first: Event
    """The event that sets it going."""
    offset: float = 0.0
    """Seconds of its timeline that had passed when this process began."""


def begin(journal: Journal, setup: Setup, now: datetime, tell: Tell) -> Begun[Any]:
    """A new session, on the record from now on; what its people have to know first is told."""
    kind = kind_named(setup.kind)
    _look_at_the_clock(journal, now, tell)
    options = _completed(journal, setup, now) if kind.from_record else setup.options
    start = Start(
        routine=setup.library.routine.name,
        minutes=round(setup.minutes),
        people=options.people,
        library=setup.library,
        rules_version=rules_version(),
        program=program(),
        wall=now.isoformat(),
        voice=setup.voice.name,
        options=setup.arrangement,
        settled=options,
        kind=kind.name,
    )
    return Begun(journal.begin(start), kind, start, kind.new(start), Started(0.0))


def _look_at_the_clock(journal: Journal, now: datetime, tell: Tell) -> None:
    """Ask about a clock that runs against the last sessions; UsageError where it is wrong."""
    doubtful = doubt(journal, now)
    if not doubtful:
        return
    if not (sys.stdin.isatty() and sys.stderr.isatty()):
        tell(doubtful)
    elif not click.confirm(f"{doubtful} Is the clock right?", default=True, err=True):
        raise UsageError("the clock is wrong", "Set it, then begin again.")
    tell("'coach history fix NUMBER --date' corrects a session that has the wrong day.")


def _completed(journal: Journal, setup: Setup, now: datetime) -> Options:
    """The options with what the journal knows: what stands, focuses, if there was a last time.

    Where there was none, there is nothing to be the same as.
    """
    options, notes = of_record(setup.options, journal, now.date()), paths().notes
    options = with_levels(options, journal, setup.library, now.date())
    same = options.same_place
    if same is None and journal.last_session(setup.library.place.name) is None:
        same = False
    people, place = options.people, setup.library.place.name
    may_learn = _may_learn(journal, setup, people)
    favoured = tuple(aim.what for aim in all_aims(journal) if aim.kind is AimKind.FOCUS)
    trials, typed = list(tried(journal, people)), dict(options.rests)
    return replace(
        options,
        told=tuple(dict.fromkeys((*options.told, *wanted(trials), *chosen(setup, journal)))),
        same_place=same,
        practised=tuple(
            (person.who, focus) for person in people for focus in practised(recent(journal, person))
        ),
        favoured=tuple(one.value for _, one in trials if one.what == FOCUS) or favoured,
        known=known_boulders(journal, people, place),
        went=earlier_tries(journal, people, place),
        notes=notes_of(journal, people, place, lambda name: path_of(notes, name).exists()),
        films=films_of(journal, people, place),
        # what was typed counts before a trial, and that before what is remembered
        rests=tuple((remembered(setup, journal) | dict(rests(trials)) | typed).items()),
        wall=f"{now:%Y-%m-%d %H:%M:%S}",
        learn_voice=may_learn,
    )


def _may_learn(journal: Journal, setup: Setup, people: Sequence[Person]) -> bool:
    """Whether the ear may ask for a voice: somebody's first session, alone, by what can learn."""
    code = setup.language.code
    learns = setup.settings.recogniser in (None, "whisper") and code == OWN_LANGUAGE
    if setup.kind != "solo" or not learns or entries(journal, people[0], 1):
        return False
    return not any(paths().takes(code).glob("*.npz"))


def take_up(
    journal: Journal, kinds: Sequence[str], resume: bool | None, now: datetime, tell: Tell
) -> Begun[Any] | None:
    """The session that was left unfinished, if it is to go on; one that can't is closed.

    `kinds` are those that the command begins; `resume` is what the command line said, None asks at
    a terminal. UsageError where a session was asked for and there is none that can go on, and where
    one of another kind waits that nobody gave up: nothing is touched then.
    """
    left = journal.unfinished()
    if left is None:
        if resume:
            raise UsageError("no session waits to go on", f"{_command(kinds)} begins a new one.")
        return None
    gap = (now - datetime.fromisoformat(left.wall)).total_seconds()
    start = journal.start_of(left.id)
    if start.kind not in kinds and (resume or (resume is None and -SLACK <= gap <= TOO_LONG)):
        raise _other_kind(start, kinds)
    if start.rules_version != rules_version():
        what = f"the session of {_when(start)} was begun by another version of the coach"
        journal.close_session(left.id, "closed")
        if resume:
            raise UsageError(f"{what} and can't go on", "It is on the record as it was.")
        tell(f"{what}; it is closed, and on the record as it was.")
        return None
    # one that is of the time to come is of another clock, so that nobody goes on with it
    recent = -SLACK <= gap <= TOO_LONG
    if not resume and not (resume is None and recent and _wanted(start, left, gap)):
        journal.close_session(left.id, "closed")
        tell(f"The session of {_when(start)} was not finished; it is closed now.")
        return None
    begun = _again(journal, left, start, gap)
    if begun is None:
        what = f"the session of {_when(start)} was over"
        if resume:
            raise UsageError(f"{what} and can't go on", "It is on the record as it was.")
        tell(f"{what}; it is closed now.")
    return begun


def _again(journal: Journal, left: Unfinished, start: Start, gap: float) -> Begun[Any] | None:
    """The session as it was, on a timeline that has gone on; closed, and None, at its end."""
    session = replay(start, journal.events(left.id))
    if session.phase is Phase.OVER:
        journal.close_session(left.id, session.how)
        return None
    offset = session.at + max(gap, 0.0)
    fresh = session.phase is Phase.NEW
    first = Started(offset) if fresh else Reopened(offset, max(gap, 0.0))
    return Begun(left.id, kind_of(start), start, session, first, offset)


def _other_kind(start: Start, kinds: Sequence[str]) -> UsageError:
    waits = kind_of(start)
    return UsageError(
        f"{waits.title} of {_when(start)} waits to go on",
        f"'{waits.command} --resume' goes on with it; "
        f"'{_command(kinds)} --new' closes it and begins another.",
    )


def _command(kinds: Sequence[str]) -> str:
    return kind_named(kinds[0]).command


def _wanted(start: Start, left: Unfinished, gap: float) -> bool:
    """Ask at a terminal; elsewhere a new session is begun."""
    if not (sys.stdin.isatty() and sys.stderr.isatty()):
        return False
    usable(killed=True)
    return click.confirm(
        f"The session of {_when(start)} stopped after {left.at / 60:.0f} min, "
        f"{gap / 60:.0f} min ago. Go on with it?",
        default=True,
        err=True,
    )


def _when(start: Start) -> str:
    return f"{datetime.fromisoformat(start.wall):%d %B, %H:%M}"
