"""From a group to what is drawn: the leader's screen, and the large view that everybody reads.

It decides nothing. Ages and reasons are in neither; `coach.cli.group` prints them for the leader.
"""

from coach.group import moving
from coach.group.leading import ABOUT, LEADING, STANDING
from coach.group.making import MAT
from coach.group.state import Common, Group, Part, together
from coach.model.messages import Message, message
from coach.model.plan import StepKind
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
        heard=g.heard,
        did=g.did,
        slope=_slope(g),
        ends_at=ends_at(g),
        turn=g.asked,
        window=g.window.number if g.window is not None else None,
    )


def title(g: Group) -> Message:
    """What is being done."""
    if g.running is not None:
        return message("screen-step", movement=g.running.common.form, kind="")
    if g.phase is Phase.OVER:
        return message("screen-over")
    return message("group-rota")


def stands(g: Group) -> tuple[Stand, ...]:
    """Every station with its people: boards and wall areas first, then the mat."""
    soon = moving.next_starts(g)
    found = []
    for station in g.stations:
        now = tuple(sorted(s.turn.who for s in g.seated if s.station == station.name))
        then = tuple(sorted(s.turn.who for s in soon if s.station == station.name))
        found.append(Stand(station.name, now, then))
    mat = [s.turn.who for s in g.seated if s.station == MAT]
    waits = moving.waiting(g) if g.phase is not Phase.OVER else ()
    return (*found, Stand(MAT, tuple(sorted((*mat, *waits)))))


def next_change(g: Group) -> float | None:
    """When the next change or the end of the step is; None while timers stand."""
    if g.standing is not None or g.phase is Phase.OVER:
        return None
    if g.running is not None:
        return g.running.until
    return moving.next_change(g) if g.part is Part.ROTA else None


def ends_at(g: Group) -> float:
    """When all of it is over, as far as is known now."""
    down = together(g.plan.down)
    if g.part is Part.WARM:
        return g.at + together(g.commons) + g.plan.rota.seconds + down
    if g.part is Part.ROTA:
        ends = [seat.end for seat in (*g.seated, *g.pending)]
        return g.rota_at + max(ends, default=0) + down
    return g.at + together(g.commons)


def _word(g: Group) -> Word:
    if g.standing is not None and g.phase in (Phase.WORK, Phase.LEAD_IN):
        return Word.STAY
    if g.phase is Phase.WORK and g.running is not None:
        return _KINDS.get(g.running.common.step.kind, Word.MOVE)
    return WORDS.get(g.phase, Word.MOVE)


def _time(g: Group) -> tuple[float | None, float | None]:
    """Counts down to, stands at."""
    if g.standing is not None:
        at = g.running.until if g.running is not None else moving.next_change(g)
        return None, max(at - g.standing, 0.0) if at is not None else 0.0
    return next_change(g), None


def _cue(g: Group) -> Message:
    if g.running is not None:
        return moving.cue_of(g.running.common)
    return message("group-change", people=moving.people(s.turn.who for s in moving.next_starts(g)))


def _places(g: Group) -> Message:
    shown = (
        f"{stand.name}: {' '.join(map(str, stand.now))}"
        for stand in stands(g)
        if stand.now and g.part is Part.ROTA
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
        answers = ABOUT if g.asked else LEADING
    return (*answers, *(key for key in ("pause", "stop", "hurt") if key not in answers))


def _slope(g: Group) -> tuple[Stretch, ...]:
    part = list(Part).index(g.part)
    found: list[Stretch] = []
    for place, commons in ((0, g.plan.warm), (2, g.plan.down)):
        if place == 2:
            found.append(_of_rota(g, part))
        left = len(g.commons) if part == place else (0 if place < part else len(commons))
        for index, common in enumerate(commons):
            ahead = index - (len(commons) - left)
            now = "now" if ahead == 0 and part == place else "ahead"
            found.append(_stretch(common, "past" if ahead < 0 else now))
    return tuple(found)


def _of_rota(g: Group, part: int) -> Stretch:
    forms = (form for stop in g.plan.stops for common in stop.commons for form in common.step.forms)
    loads = (load for form in forms if form.who in g.people for load in form.load.values())
    state = ("ahead", "now", "past")[part]
    seconds = float(g.plan.rota.seconds)
    return Stretch("board", message("group-rota"), seconds, max(loads, default=0), "", state)


def _stretch(common: Common, state: str) -> Stretch:
    step = common.step
    what = message("screen-step", movement=common.form, kind=step.kind.value)
    return Stretch.of(step, what, state)
