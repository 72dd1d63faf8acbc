"""From a group to what is drawn: the leader's screen, and the large view that everybody reads.

It decides nothing. Whose limits they are is in neither: they are on the leader's sheet alone.
"""

from collections.abc import Iterable

from coach.group import acts, seating
from coach.group.callout import together
from coach.group.gathering import Act, Group
from coach.group.phrases import ABOUT, LEADING, STANDING
from coach.group.station_turns import MAT
from coach.model.answers import LETTERED
from coach.model.messages import Message, message
from coach.model.plan import StepKind
from coach.planning.stations import Seat
from coach.session.kinds import Stand
from coach.session.state import Phase
from coach.session.view import WORDS, Ear, Stretch, View, Word

_KINDS = {StepKind.STAY: Word.STAY, StepKind.BREATHE: Word.BREATHE}


def look(g: Group) -> View:
    """The group as the leader's screen shows it."""
    counts_to, stands_at = _time(g)
    return View(
        word=_word(g),
        ear=Ear.of(g.lost, g.window),
        counts_from=None,
        counts_to=counts_to,
        stands_at=stands_at,
        step=title(g),
        cue=_cue(g),
        form=_places(g),
        answers=_answers(g),
        heard=g.listening.heard,
        did=g.did,
        slope=_slope(g),
        ends_at=ends_at(g) if g.phase is not Phase.OVER else None,
        turn=g.about,
        led=True,
        window=g.window.number if g.window is not None else None,
        idle=frozenset(LETTERED) if g.phase is Phase.OVER else frozenset(),
    )


def title(g: Group) -> Message:
    """What is being done."""
    if g.running is not None:
        return message("screen-step", movement=g.running.callout.form, kind="")
    if g.phase is Phase.OVER:
        return message("screen-over")
    return message("group-rota")


def stands(g: Group) -> tuple[Stand, ...]:
    """Every station with its people: boards and wall areas first, then the mat."""
    soon = seating.next_starts(g)
    found = []
    for station in g.stations:
        now = _there(g, g.seated, station.name)
        then = _there(g, soon, station.name)
        found.append(Stand(station.name, now, then))
    mat = _there(g, g.seated, MAT)
    waits = seating.waiting(g) if g.phase is not Phase.OVER else ()
    return (*found, Stand(MAT, tuple(sorted((*mat, *waits)))))


def _there(g: Group, seats: Iterable[Seat], station: str) -> tuple[int, ...]:
    return tuple(sorted(who for s in seats if s.station == station for who in g.members(s)))


def next_change(g: Group) -> float | None:
    """When the next change or the end of the step is; None while timers stand."""
    if g.standing is not None or g.phase is Phase.OVER:
        return None
    if g.running is not None:
        return g.running.until
    return seating.next_change(g) if g.act is Act.ROTA else None


def ends_at(g: Group) -> float:
    """When all of it is over, as far as is known now."""
    down = together(g.programme.down)
    if g.act is Act.WARM:
        return _together_until(g) + g.programme.rota.seconds + down
    if g.act is Act.ROTA:
        ends = [seat.end for seat in (*g.seated, *g.pending)]
        return g.rota_at + max(ends, default=0) + down
    return _together_until(g)


def _together_until(g: Group) -> float:
    """When the steps together of this act are over."""
    if g.running is None or g.running.until is None:
        return g.at + together(g.callouts)
    stood = g.at - g.standing if g.standing is not None else 0.0
    return g.running.until + stood + together(g.callouts[1:])


def _word(g: Group) -> Word:
    if g.standing is not None and g.phase in (Phase.WORK, Phase.LEAD_IN):
        return Word.STAY
    if g.phase is Phase.WORK and g.running is not None:
        return _KINDS.get(g.running.callout.step.kind, Word.MOVE)
    return WORDS.get(g.phase, Word.MOVE)


def _time(g: Group) -> tuple[float | None, float | None]:
    """Counts down to, stands at."""
    if g.standing is not None:
        at = g.running.until if g.running is not None else seating.next_change(g)
        return None, max(at - g.standing, 0.0) if at is not None else 0.0
    return next_change(g), None


def _cue(g: Group) -> Message:
    if g.phase is Phase.OVER and g.speech.last_cue is not None:
        return g.speech.last_cue
    if g.running is not None:
        return acts.cue_of(g.running.callout)
    return message(
        "group-change",
        people=seating.people(who for s in seating.next_starts(g) for who in g.members(s)),
    )


def _places(g: Group) -> Message:
    shown = (
        f"{stand.name}: {' '.join(map(str, stand.now))}"
        for stand in stands(g)
        if stand.now and g.act is Act.ROTA
    )
    return message("group-places", text=" · ".join(shown))


def _answers(g: Group) -> tuple[str, ...]:
    if g.phase is Phase.OVER:
        return ()
    if g.window is not None:
        answers = g.window.answers
    elif g.phase in (Phase.PAUSED, Phase.STOPPED, Phase.HURT):
        answers = STANDING
    else:
        answers = ABOUT if g.about else LEADING
    return (*answers, *(key for key in ("pause", "stop", "hurt") if key not in answers))


def _slope(g: Group) -> tuple[Stretch, ...]:
    part = list(Act).index(g.act)
    found: list[Stretch] = []
    for place, callouts in ((0, g.programme.warm), (2, g.programme.down)):
        if place == 2:
            found.append(_of_rota(g, part))
        left = len(g.callouts) if part == place else (0 if place < part else len(callouts))
        for index, callout in enumerate(callouts):
            ahead = index - (len(callouts) - left)
            now = "now" if ahead == 0 and part == place else "ahead"
            found.append(Stretch.of(callout.step, "past" if ahead < 0 else now))
    return tuple(found)


def _of_rota(g: Group, part: int) -> Stretch:
    forms = (
        form
        for stop in g.programme.stops
        for callout in stop.callouts
        for form in callout.step.forms
    )
    loads = (load for form in forms if form.who in g.people for load in form.load.values())
    state = ("ahead", "now", "past")[part]
    seconds = float(g.programme.rota.seconds)
    return Stretch("board", seconds, max(loads, default=0), "", state)
