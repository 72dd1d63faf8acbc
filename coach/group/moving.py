"""Common steps one after the other, and the changes of the rota: who goes where, and when.

Owns the words of a change: one cue for each station, said once more after a while, and the forms
and offers of a station when people come there. A change waits while timers stand.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from coach.group.draft import AGAIN_AFTER, Draft
from coach.group.leading import LEADING
from coach.group.making import MAT, late_turn, recompute, steps_of, turns_of
from coach.group.state import Common, Group, Part, Running, Status, Stop
from coach.model.facts import Finished, StepEnded
from coach.model.messages import Message, message
from coach.planning.stations import Held, Seat, Turn
from coach.session.effects import End, Tone
from coach.session.state import After, Phase

#: Numbers in one cue; more of them are said in the next.
IN_ONE_CUE = 6


# together


def begin_part(draft: Draft, part: Part, commons: tuple[Common, ...]) -> None:
    """Everybody together: the first of these steps, or on where there is none."""
    draft.set(part=part, commons=commons, running=None)
    next_common(draft)


def next_common(draft: Draft) -> None:
    """Call out the next common step; after the last one comes the next part."""
    g = draft.g
    if not g.commons:
        draft.set(running=None)
        if g.part is Part.WARM:
            begin_rota(draft)
        else:
            finish(draft, "done")
        return
    common = g.commons[0]
    draft.set(phase=Phase.LEAD_IN, running=Running(common))
    draft.say(cue_of(common))
    offer = offer_of(common, g.here)
    if offer is not None:
        draft.say(offer)


def begin_work(draft: Draft) -> None:
    """The cue has been said: the step runs."""
    running = draft.g.running
    assert running is not None
    step = running.common.step
    draft.tone(Tone.START)
    until = draft.now + step.seconds
    draft.set(phase=Phase.WORK, running=replace(running, since=draft.now, until=until))


def end_common(draft: Draft, outcome: str) -> None:
    """The running common step ends."""
    running = draft.g.running
    assert running is not None
    since = running.since if running.since is not None else draft.now
    draft.tone(Tone.END)
    for who in draft.g.here:
        record_step(draft, running.common, who, draft.now - since, outcome)
    draft.set(commons=draft.g.commons[1:], running=None)
    next_common(draft)


def cue_of(common: Common) -> Message:
    """The cue of the form that is called out."""
    step = common.step
    return message(
        "cue", movement=common.form, amount=step.amount, side=step.side, kind=step.kind.value
    )


def call_of(common: Common) -> Message:
    """What is done at a station, in a few words."""
    step = common.step
    if step.on_the_wall and not step.hangs:
        return message("cue-for", movement=common.form)
    return message("group-form", movement=common.form, amount=step.amount, side=step.side)


def offer_of(common: Common, here: Iterable[int]) -> Message | None:
    """The harder form by number, to those who may and are here; None where nobody is."""
    if not common.offer:
        return None
    if common.everybody:
        return message("group-offer-all", movement=common.offer)
    to = [who for who in common.to if who in here]
    return message("group-offer", movement=common.offer, people=people(to)) if to else None


def people(who: Iterable[int]) -> str:
    """Numbers as they stand in a message; the language pack turns them into what is said."""
    return " ".join(map(str, sorted(who)))


def record_step(
    draft: Draft, common: Common, who: int, seconds: float, outcome: str, share: float = 1.0
) -> None:
    """What one person did of a common step; nothing for somebody who has no part in it."""
    form = common.step.form(who)
    if form is None or not form.movement:
        return
    step = common.step
    draft.record(
        StepEnded(
            at=draft.now,
            who=who,
            step=step.name,
            movement=form.movement,
            kind=step.kind.value,
            block=step.block.value,
            amount=round(step.amount * share, 1),
            seconds=round(seconds, 1),
            planned=step.seconds,
            outcome=outcome,
            side=step.side,
        )
    )


# the rota


def begin_rota(draft: Draft) -> None:
    """The rota of who is here now."""
    draft.set(part=Part.ROTA, phase=Phase.WORK, rota_at=draft.now, seated=(), pending=())
    replan(draft, {who: _owed(draft.g, who) for who in draft.g.here})
    change(draft)


def _owed(g: Group, who: int) -> tuple[Turn, ...]:
    """All turns of a person: the mat first, for whoever came late."""
    mat = (late_turn(who, g.plan.warm),) if who in g.late else ()
    return (*mat, *turns_of(g.plan.stops, [who]))


def join(draft: Draft, who: int) -> None:
    """Take somebody into the rota, without the turns that they have had."""
    had = draft.g.had
    turns = tuple(turn for turn in _owed(draft.g, who) if (who, turn.name) not in had)
    replan(draft, {who: turns})


def replan(draft: Draft, more: dict[int, tuple[Turn, ...]] | None = None) -> None:
    """A new rota of every turn to come; who is seated stays there to the end of the turn."""
    g = draft.g
    now = int(draft.now - g.rota_at)
    turns = [seat.turn for seat in g.pending]
    turns += [turn for mine in (more or {}).values() for turn in mine]
    here = set(g.here)
    turns = [turn for turn in turns if turn.who in here]
    held = Held(
        people={seat.turn.who: max(seat.end - now, 0) for seat in g.seated},
        places={(seat.station, seat.place): max(seat.end - now, 0) for seat in g.seated},
    )
    made = recompute(turns, g.stations, held) if turns else None
    seats = made.seats if made is not None else ()
    draft.set(pending=tuple(replace(seat, start=seat.start + now) for seat in seats))


def change(draft: Draft) -> None:
    """End the seats that are over, take those that begin, and call out who moves where."""
    g = draft.g
    t = draft.now - g.rota_at + 1e-6
    over = [seat for seat in g.seated if seat.end <= t]
    starts = [seat for seat in g.pending if seat.start <= t]
    staying = tuple(seat for seat in g.seated if seat.end > t)
    for seat in over:
        leave(draft, seat, "done")
    draft.set(
        seated=(*staying, *starts),
        pending=tuple(seat for seat in g.pending if seat.start > t),
    )
    if not draft.g.seated and not draft.g.pending:
        draft.set(move=(), repeat=None, owing=False, ready=())
        begin_part(draft, Part.DOWN, g.plan.down)
        return
    waits = waiting(draft.g)
    if starts or waits != g.ready:
        _call(draft, starts, tuple(who for who in waits if who not in g.ready))
    draft.set(ready=waits)


def next_change(g: Group) -> float | None:
    """When the next seat begins or ends, in the session's time."""
    times = [seat.end for seat in g.seated] + [seat.start for seat in g.pending[:1]]
    return g.rota_at + min(times) if times else None


def next_starts(g: Group) -> tuple[Seat, ...]:
    """The seats that begin with the next change at which any do."""
    first = min((seat.start for seat in g.pending), default=0)
    return tuple(seat for seat in g.pending if seat.start == first)


def waiting(g: Group) -> tuple[int, ...]:
    """Who is here and has no seat now."""
    seated = {seat.turn.who for seat in g.seated}
    return tuple(who for who in g.here if who not in seated)


def leave(draft: Draft, seat: Seat, outcome: str) -> None:
    """Somebody leaves their seat: what they did of the turn."""
    draft.set(had=draft.g.had | {(seat.turn.who, seat.turn.name)})
    spent = min(draft.now - draft.g.rota_at - seat.start, float(seat.turn.seconds))
    share = spent / seat.turn.seconds if outcome != "done" else 1.0
    for common in commons_of(draft.g, seat.turn):
        record_step(draft, common, seat.turn.who, common.step.seconds * share, outcome, share)


def stop_of(g: Group, turn: Turn) -> Stop | None:
    """The stop of a turn; None for the mat of whoever came late."""
    return next((stop for stop in g.plan.stops if stop.name == turn.name), None)


def commons_of(g: Group, turn: Turn) -> tuple[Common, ...]:
    """What a person does in a turn."""
    stop = stop_of(g, turn)
    if stop is not None:
        return steps_of(stop, turn.who)
    return tuple(c for c in g.plan.warm if c.step.floor or c.step.core)


def _call(draft: Draft, starts: Sequence[Seat], waits: tuple[int, ...]) -> None:
    """Call out a change: a cue for each station, then what is done there where it is new."""
    g = draft.g
    by_station: dict[str, list[int]] = {}
    for seat in starts:
        by_station.setdefault(seat.station, []).append(seat.turn.who)
    if waits:
        by_station.setdefault(MAT, []).extend(waits)
    cues: list[Message] = []
    for station, who in sorted(by_station.items()):
        cues += [
            message("group-move", people=people(few), station=station) for few in _few(sorted(who))
        ]
    told = _told(g, starts)
    for cue in (*cues, *told):
        draft.say(cue)
    calls = tuple(dict.fromkeys((*g.calls, *told)))
    draft.set(move=tuple(cues), owing=True, repeat=None, calls=calls)


def _few(who: list[int]) -> list[list[int]]:
    return [who[at : at + IN_ONE_CUE] for at in range(0, len(who), IN_ONE_CUE)]


def _told(g: Group, starts: Sequence[Seat]) -> list[Message]:
    """The forms of the stops that people begin now, and offers to those who begin.

    A form is called out the first time only; an offer to each who may.
    """
    found: list[Message] = []
    names = dict.fromkeys(seat.turn.name for seat in starts)
    for name in names:
        who = [seat.turn.who for seat in starts if seat.turn.name == name]
        for common in commons_of(g, next(s.turn for s in starts if s.turn.name == name)):
            cue = call_of(common)
            if cue not in g.calls and cue not in found and name != MAT:
                found.append(cue)
            offer = offer_of(common, who)
            if offer is not None and offer not in found and offer not in g.calls:
                found.append(offer)
    return found


def said_all(draft: Draft) -> None:
    """Nothing more is to be said: the leader has the word, and a change is owed once more."""
    if draft.g.owing:
        draft.set(owing=False, repeat=draft.now + AGAIN_AFTER)
    if draft.g.part is Part.ROTA or draft.g.phase is Phase.WORK:
        draft.open_window(LEADING)


def repeat(draft: Draft) -> None:
    """Say the last change once more."""
    cues = draft.g.move
    draft.set(repeat=None)
    for cue in cues:
        draft.say(cue)


# the end


def finish(draft: Draft, how: str) -> None:
    """The session is over: what was still to come is left out, on the record."""
    g = draft.g
    running = g.running
    for seat in g.seated:
        leave(draft, seat, "cut")
    for seat in g.pending:
        for common in commons_of(g, seat.turn):
            record_step(draft, common, seat.turn.who, 0.0, "left-out", 0.0)
    for common in g.commons:
        outcome = "cut" if running is not None and common is running.common else "left-out"
        for who in g.here:
            record_step(draft, common, who, 0.0, outcome, 0.0)
    draft.close_window()
    draft.set(
        phase=Phase.OVER, how=how, ended=draft.now, seated=(), pending=(), commons=(),
        running=None, repeat=None, owing=False, standing=None,
    )  # fmt: skip
    for who in g.people:
        if g.status(who) is not Status.LATE:
            draft.record(Finished(draft.now, who, g.recorded_seconds, None, how))
    minutes = round(draft.g.recorded_seconds / 60)
    draft.say(message("group-over", minutes=minutes), After.END)


def ended(draft: Draft) -> None:
    """The last words have been said."""
    draft.effects.append(End())
