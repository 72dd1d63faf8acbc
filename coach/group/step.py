"""`step(group, event) -> (group, effects)`: the one way that a group session changes."""

from coach.group import answering, making, moving, pacing
from coach.group.draft import Draft
from coach.group.state import Group, Part, Status
from coach.model.day import Library
from coach.model.facts import Planned, Presence
from coach.model.messages import message
from coach.model.start import Options
from coach.planning.stations import Station
from coach.session.effects import Effect, WakeAt
from coach.session.events import (
    Answered,
    ClockJumped,
    DeviceLost,
    DeviceReturned,
    Event,
    Reopened,
    SoundEnded,
    Started,
    TimePassed,
)
from coach.session.state import After, Phase
from coach.session.step import RefusedError

#: Seconds that nobody played from which on the leader is asked, instead of running on.
JUMP = 5.0


def new_group(
    library: Library,
    options: Options,
    stations: tuple[Station, ...],
    late: tuple[int, ...] = (),
) -> Group:
    """A group that has not begun; UsageError where the minutes are too few for it."""
    plan = making.make(options, library, stations)
    statuses = dict.fromkeys(late, Status.LATE)
    return Group(library, options, stations, plan, statuses)


def step(group: Group, event: Event) -> tuple[Group, tuple[Effect, ...]]:
    """Take one event. RefusedError (and nothing changed) where it can't happen.

    Times never go back: an event that is known late counts as now.
    """
    draft = Draft(group)
    new = group.phase is Phase.NEW
    if new != isinstance(event, Started):
        raise RefusedError(f"{type(event).__name__} can't happen while the group is {group.phase}.")
    draft.set(at=max(event.at, group.at))
    _take(draft, event)
    _go_on(draft)
    wake = deadline(draft.g)
    if wake is not None and wake != group.wake:
        draft.effects.append(WakeAt(wake))
    draft.set(wake=wake)
    return draft.g, tuple(draft.effects)


def _take(draft: Draft, event: Event) -> None:
    over = draft.g.phase is Phase.OVER
    match event:
        case Started():
            _begin(draft)
        case SoundEnded():
            saying = draft.g.saying
            if saying is not None and saying.sound == event.sound:
                _said(draft)
        case TimePassed():
            _due(draft)
        case Answered() if not over:
            answering.answered(draft, event)
        case DeviceLost():
            draft.set(lost=draft.g.lost | {event.device})
        case DeviceReturned():
            draft.set(lost=draft.g.lost - {event.device})
        case ClockJumped() if not over and event.seconds > JUMP:
            _back(draft)
        case Reopened() if not over:
            draft.delay(event.seconds)  # nobody was led meanwhile
            _back(draft)
        case _:
            pass


def _begin(draft: Draft) -> None:
    g = draft.g
    draft.set(began=g.at)
    draft.record(Planned(g.at, 0, g.plan.seconds, 0, "roster"))
    for omitted in g.plan.omitted:
        draft.record(omitted)
    for who, status in g.statuses.items():
        draft.record(Presence(g.at, who, status.value, "roster"))
    minutes = round(g.plan.seconds / 60)
    draft.say(message("group-welcome", count=len(g.here), minutes=minutes))
    moving.begin_part(draft, Part.WARM, g.plan.warm)


def _back(draft: Draft) -> None:
    """The machine slept, or the session was cut off: timers stand until the leader says so."""
    draft.set(saying=None, queue=())
    pacing.stand_still(draft, Phase.PAUSED, message("picking-up"))


def _go_on(draft: Draft) -> None:
    """What waits for nothing any more goes on: a step whose cue is over, a rota without seats."""
    g = draft.g
    if g.standing is not None or g.phase not in (Phase.LEAD_IN, Phase.WORK):
        return
    if g.phase is Phase.LEAD_IN and g.saying is None:
        moving.begin_work(draft)
    elif g.part is Part.ROTA and not g.seated and not g.pending:
        moving.change(draft)


def _said(draft: Draft) -> None:
    if draft.said() is After.END:
        moving.ended(draft)
    if draft.g.saying is None and draft.g.phase is not Phase.OVER and draft.g.window is None:
        moving.said_all(draft)


def _due(draft: Draft) -> None:
    """A time has come: an overdue cue, a window, a change, the end of a step."""
    g = draft.g
    if g.saying is not None and g.saying.overdue <= g.at:
        _said(draft)
    if draft.g.closes is not None and draft.g.closes <= g.at:
        draft.close_window()
        draft.set(asked=0)
        if draft.g.owing and draft.g.saying is None:
            moving.said_all(draft)
    if draft.g.standing is not None:
        return
    running = draft.g.running
    if running is not None:
        if running.until is not None and running.until <= g.at:
            moving.end_common(draft, "done")
    elif draft.g.part is Part.ROTA:
        due = moving.next_change(draft.g)
        if due is not None and due <= g.at:
            moving.change(draft)
        elif draft.g.repeat is not None and draft.g.repeat <= g.at and draft.g.saying is None:
            moving.repeat(draft)


def deadline(g: Group) -> float | None:
    """The next time at which something is due, or None."""
    times: list[float] = []
    if g.saying is not None:
        times.append(g.saying.overdue)
    if g.closes is not None:
        times.append(g.closes)
    if g.standing is None and g.phase is not Phase.OVER:
        if g.running is not None and g.running.until is not None:
            times.append(g.running.until)
        elif g.running is None and g.part is Part.ROTA:
            change = moving.next_change(g)
            times += [change] if change is not None else []
            times += [g.repeat] if g.repeat is not None and g.saying is None else []
    return min(times, default=None)
