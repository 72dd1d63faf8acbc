"""`step(session, event) -> (session, effects)`: the one way that a session changes."""

from coach.model.day import Library
from coach.model.start import Options
from coach.session import flow, resting
from coach.session.draft import Draft
from coach.session.effects import Effect, WakeAt
from coach.session.events import Event
from coach.session.state import Phase, Session
from coach.session.table import TABLE, RefusedError, closing_time

__all__ = ["RefusedError", "new_session", "step"]


def new_session(library: Library, options: Options) -> Session:
    """A session that has not begun; ValueError without people."""
    if not options.people:
        raise ValueError("a session needs at least one person")
    return Session(library=library, options=options)


def step(session: Session, event: Event) -> tuple[Session, tuple[Effect, ...]]:
    """Take one event. RefusedError (and nothing changed) where the table says that it can't happen.

    Times never go back: an event that is known late counts as now, its onset stays.
    """
    draft = Draft(session)
    handler = TABLE[session.phase][type(event)]
    draft.set(at=max(event.at, session.at))
    handler(draft, event)
    while draft.go_on:
        draft.go_on = False
        flow.go_on(draft)
    wake = deadline(draft)
    if wake != session.wake:
        if wake is not None:
            draft.effects.append(WakeAt(wake))
        draft.set(wake=wake)
    return draft.s, tuple(draft.effects)


def deadline(draft: Draft) -> float | None:
    """The next time at which something is due, or None."""
    s = draft.s
    times: list[float] = []
    if s.saying is not None:
        times.append(s.saying.overdue)
    elif s.asking is not None and s.asking.closes is not None:
        times.append(closing_time(draft))
    if s.recording is not None:
        times.append(s.recording.overdue)
    if s.phase is Phase.WORK and s.running is not None:
        running = s.running
        times += [at for at in (running.until, running.opens, running.nudge) if at is not None]
    if s.phase is Phase.REST and s.resting is not None:
        times.append(s.resting.until)
        times += [at for at, _ in s.resting.marks[:1]]
        if s.pending and s.recording is None:
            times.append(max(resting.breath_back(draft), s.at))
    return min(times, default=None)
