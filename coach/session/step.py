"""`step(session, event) -> (session, effects)`: the one way that a session changes."""

from dataclasses import replace

from coach.model.day import Library
from coach.model.start import Options
from coach.session import course
from coach.session.changing import changed
from coach.session.chart import CHART
from coach.session.draft import Draft
from coach.session.effects import Effect, WakeAt
from coach.session.events import Event
from coach.session.state import Phase, Session
from coach.session.waits import awaited


class RefusedError(Exception):
    """An event that can't happen in this phase; the session is unchanged."""


def new_session(library: Library, options: Options) -> Session:
    """A session that has not begun; ValueError without people."""
    if not options.people:
        raise ValueError("a session needs at least one person")
    return Session(library=library, options=options)


def step(session: Session, event: Event) -> tuple[Session, tuple[Effect, ...]]:
    """Take one event. RefusedError (and nothing changed) where the chart says that it can't happen.

    Times never go back: an event that is known late counts as now, its onset stays.
    """
    line = CHART[session.phase].get(type(event))
    if line is None:
        kind = type(event).__name__
        raise RefusedError(f"{kind} can't happen while the session is {session.phase}.")
    draft = Draft(changed(session, {"at": max(event.at, session.at)}), line.to)
    if event.outside and session.phase is not Phase.OVER:
        draft.speech = replace(session.speech, tally=session.speech.tally.from_outside())
    line.handler(draft, event)
    if draft.refused:
        # what is not taken is no cause to say anything anew
        outside = session.speech.tally.outside
        draft.speech = replace(draft.speech, tally=replace(draft.speech.tally, outside=outside))
    while draft.go_on:
        draft.go_on = False
        course.go_on(draft)
    wait = awaited(draft.s)
    wake = wait.until if wait is not None else None
    if wake != session.wake:
        if wake is not None:
            draft.effects.append(WakeAt(wake))
        draft.wake = wake
    return draft.s, tuple(draft.effects)
