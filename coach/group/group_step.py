"""`step(group, event) -> (group, effects)`: the one way that a group session changes.

What is awaited and until when is one value, worked out from the state alone: the next time of the
session and what is done at that time both come from it, so that they can't disagree. Every state
but the end of the end has a next time.
"""

from collections.abc import Callable
from dataclasses import replace
from enum import StrEnum

from coach.group import acts, attendance, leader, seating, swapping, telling, tempo
from coach.group.bench import GroupBench
from coach.group.gathering import Act, Group, Status
from coach.group.phrases import LEADING, STANDING, THINK, THINK_LONG
from coach.group.programme import programme_of
from coach.model.day import Library
from coach.model.facts import Planned, Presence
from coach.model.messages import message
from coach.model.start import Options
from coach.planning.stations import Station
from coach.session.dialogue import After
from coach.session.effects import Effect, WakeAt
from coach.session.events import (
    JOURNAL,
    Answered,
    ClockJumped,
    DeviceLost,
    DeviceReturned,
    Event,
    Reopened,
    SoundEnded,
    SpeechEnded,
    Started,
    TimePassed,
)
from coach.session.state import Phase
from coach.session.step import RefusedError

#: Seconds that nobody played from which on the leader is asked, instead of running on.
JUMP = 30.0


class GroupWait(StrEnum):
    """What comes next if nobody says anything."""

    #: the end of a cue that nobody reported
    CUE = "cue"
    #: the end of a window
    WINDOW = "window"
    #: a reminder while all stands, or the end of standing
    REMINDER = "reminder"
    #: the end of a step together
    STEP = "step"
    #: ten seconds before a change
    TEN = "ten"
    CHANGE = "change"
    #: many who begin a turn have had time to get there
    READY = "ready"
    #: two who share a board change over
    SWAP = "swap"
    #: a hang at the boards begins or ends
    TONE = "tone"
    #: the cues of a change once more
    REPEAT = "repeat"
    #: what keeps those warm who have waited long
    WAIT = "wait"


def new_group(
    library: Library,
    options: Options,
    stations: tuple[Station, ...],
    late: tuple[int, ...] = (),
    *,
    roll: bool = False,
    cool_down: bool = True,
    by_number: tuple[int, ...] = (),
) -> Group:
    """A group that has not begun; UsageError where the minutes are too few for it.

    `roll` asks at the beginning who is missing; without `cool_down` the session goes on after it.
    Who is called `by_number`, whatever their name, is told before the warm-up.
    """
    programme = programme_of(options, library, stations, cool_down)
    statuses = dict.fromkeys(late, Status.LATE)
    return Group(library, options, stations, programme, statuses, roll=roll, by_number=by_number)


def step(group: Group, event: Event) -> tuple[Group, tuple[Effect, ...]]:
    """Take one event. RefusedError (and nothing changed) where it can't happen.

    Times never go back: an event that is known late counts as now.
    """
    bench = GroupBench(group)
    new = group.phase is Phase.NEW
    if new != isinstance(event, Started):
        raise RefusedError(f"{type(event).__name__} can't happen while the group is {group.phase}.")
    bench.g = replace(group, at=max(event.at, group.at))
    if event.outside:
        bench.speech = replace(bench.speech, tally=bench.speech.tally.from_outside())
    _take(bench, event)
    if bench.refused:
        # what is not taken is no cause to say anything anew
        tally = replace(bench.speech.tally, outside=group.speech.tally.outside)
        bench.speech = replace(bench.speech, tally=tally)
    _go_on(bench)
    wake = deadline(bench.g)
    if wake is not None and wake != group.wake:
        bench.effects.append(WakeAt(wake))
    bench.g = replace(bench.g, wake=wake)
    return bench.g, tuple(bench.effects)


def _take(bench: GroupBench, event: Event) -> None:
    over = bench.g.phase is Phase.OVER
    match event:
        case Started():
            _begin(bench)
        case SoundEnded():
            saying = bench.speech.saying
            if saying is not None and saying.sound == event.sound:
                _said(bench)
        case TimePassed():
            _due(bench)
        case Answered() if not over:
            leader.answered(bench, event)
        case SpeechEnded() if not over:
            telling.not_understood(bench, event.onset)
        case DeviceLost() | DeviceReturned():
            _there(bench, event)
        case ClockJumped() if not over and event.seconds > JUMP:
            _back(bench)
        case Reopened() if not over:
            _reopened(bench, event.seconds)
        case _:
            pass


def _there(bench: GroupBench, event: DeviceLost | DeviceReturned) -> None:
    """What is lost now; whether the record can be written is said."""
    back = isinstance(event, DeviceReturned)
    lost = bench.g.lost - {event.device} if back else bench.g.lost | {event.device}
    saying = "saving-again" if back else "not-saving"
    saved = (JOURNAL in lost) == (JOURNAL in bench.g.lost)
    bench.g = replace(bench.g, lost=lost)
    if not saved and bench.g.phase is not Phase.OVER:
        bench.say(message(saying))


def _begin(bench: GroupBench) -> None:
    g = bench.g = replace(bench.g, began=bench.now, phase=Phase.CHECK_IN)
    programme = g.programme
    bench.record(Planned(g.at, 0, programme.seconds, 0, "roster"))
    for omitted in programme.omitted:
        bench.record(omitted)
    for who, status in g.statuses.items():
        bench.record(Presence(g.at, who, status.value, "roster"))
    minutes = round(programme.seconds / 60)
    bench.say(message("group-welcome", count=len(g.here), minutes=minutes))
    if g.by_number:
        bench.say(message("group-by-number", people=" ".join(map(str, g.by_number))))
    if g.roll:
        attendance.ask_missing(bench)
    else:
        acts.begin_act(bench, Act.WARM, programme.warm)


def _reopened(bench: GroupBench, seconds: float) -> None:
    """Taken up after a crash: nobody was led meanwhile, so that all stood since then."""
    if bench.g.standing is None:
        bench.g = replace(bench.g, standing=bench.now - seconds)
    _back(bench)


def _back(bench: GroupBench) -> None:
    """The machine slept, or the session was cut off: timers stand until the leader says so."""
    bench.speech = replace(bench.speech, saying=None, queue=())
    tempo.stand_still(bench, Phase.PAUSED, message("picking-up"))


def _go_on(bench: GroupBench) -> None:
    """What waits for nothing any more goes on: a step whose cue is over, a rota without seats."""
    g = bench.g
    if g.phase in (Phase.PAUSED, Phase.STOPPED) and g.window is None and g.speech.saying is None:
        bench.open_window(STANDING, 0, THINK_LONG)
    if g.standing is not None or g.phase not in (Phase.LEAD_IN, Phase.WORK):
        return
    if not g.here:
        bench.hush()
        tempo.stand_still(bench, Phase.STOPPED, message("group-nobody-here"))
    elif g.phase is Phase.LEAD_IN and g.speech.saying is None:
        acts.begin_work(bench)
    elif g.act is Act.ROTA and not g.seated and not g.pending:
        acts.change(bench)


def _said(bench: GroupBench) -> None:
    telling.time_to_think(bench)
    if bench.said() is After.END:
        acts.ended(bench)
    if bench.speech.saying is None and bench.g.phase is not Phase.OVER and _leads(bench.g):
        acts.said_all(bench)


def _leads(g: Group) -> bool:
    """Whether the leader is asked nothing, so that their own window opens, or stays open longer."""
    return g.window is None or (g.window.answers == LEADING and g.asked is None)


def awaited(g: Group) -> tuple[float, GroupWait] | None:
    """What comes next by time alone, and when; None once all is over and said."""
    times: list[tuple[float, GroupWait]] = []
    if g.speech.saying is not None:
        times.append((g.speech.saying.overdue, GroupWait.CUE))
    if g.closes is not None:
        times.append((g.closes, GroupWait.WINDOW))
    reminder = tempo.reminder_at(g)
    if reminder is not None:
        times.append((reminder, GroupWait.REMINDER))
    elif g.running is not None:
        if g.running.until is not None:
            times.append((g.running.until, GroupWait.STEP))
    elif g.act is Act.ROTA and g.phase is not Phase.OVER:
        times += _of_rota(g)
    return min(times, default=None)


def _of_rota(g: Group) -> list[tuple[float, GroupWait]]:
    found: list[tuple[float, GroupWait]] = []
    change = seating.next_change(g)
    if change is not None:
        found.append((change, GroupWait.CHANGE))
        if g.warned < change and g.speech.saying is None and change - g.at >= seating.TEN - 1:
            found.append((change - seating.TEN, GroupWait.TEN))
    if g.repeat is not None and g.speech.saying is None:
        found.append((g.repeat, GroupWait.REPEAT))
    if g.ready_at is not None and g.speech.saying is None:
        found.append((g.ready_at, GroupWait.READY))
    over = swapping.next_swap(g)
    if over is not None and g.speech.saying is None:
        found.append((over, GroupWait.SWAP))
    tone = swapping.next_tone(g)
    if tone is not None:
        found.append((tone, GroupWait.TONE))
    again = seating.wait_again_at(g)
    if again is not None and g.speech.saying is None:
        found.append((again, GroupWait.WAIT))
    return found


def deadline(g: Group) -> float | None:
    """The next time at which something is due, or None."""
    next_one = awaited(g)
    return next_one[0] if next_one is not None else None


def _due(bench: GroupBench) -> None:
    """A time has come."""
    next_one = awaited(bench.g)
    if next_one is not None and next_one[0] <= bench.now:
        _COMES[next_one[1]](bench)


def _closed(bench: GroupBench) -> None:
    """A window is over: what it asked closes to the careful side, once it has been put."""
    if telling.to_be_said(bench):
        bench.g = replace(bench.g, closes=bench.now + THINK)
        return
    bench.close_window()
    telling.unanswered(bench)
    if bench.g.owing and bench.speech.saying is None and bench.g.window is None:
        acts.said_all(bench)


def _ten(bench: GroupBench) -> None:
    change = seating.next_change(bench.g)
    assert change is not None, "it is what is awaited"
    bench.g = replace(bench.g, warned=change)
    bench.say(message("group-ten"))


_COMES: dict[GroupWait, Callable[[GroupBench], None]] = {
    GroupWait.CUE: _said,
    GroupWait.WINDOW: _closed,
    GroupWait.REMINDER: tempo.remind,
    GroupWait.STEP: lambda bench: acts.end_together(bench, "done"),
    GroupWait.TEN: _ten,
    GroupWait.CHANGE: acts.change,
    GroupWait.READY: seating.ready,
    GroupWait.SWAP: swapping.swap,
    GroupWait.TONE: swapping.sound,
    GroupWait.REPEAT: acts.repeat,
    GroupWait.WAIT: seating.wait_again,
}
