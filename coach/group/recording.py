"""What people did of their steps, on the record: as it was done, in the form in which it was done.

Somebody may leave a turn, or do another form of it from some moment on: what was done until then
is recorded then, and the rest at the end, so that nothing is lost and nothing stands there twice.
"""

from collections.abc import Iterator
from dataclasses import replace

from coach.group.bench import GroupBench
from coach.group.callout import Callout, Callouts
from coach.group.gathering import Group, Status
from coach.group.station_turns import MAT, needed
from coach.model.answers import Answer
from coach.model.body import Feel
from coach.model.day import Day
from coach.model.facts import TAKEN_BACK, CapSet, Felt, Presence, SignTold, StepEnded
from coach.model.plan import Form
from coach.model.signs import HURT, SETTLED, known
from coach.planning.stations import Seat, Turn


def leave(bench: GroupBench, seat: Seat, outcome: str) -> None:
    """A team leaves its seat: what each of them did of the turn."""
    g = bench.g
    if seat.turn.name == MAT:
        g = replace(g, late=g.late - frozenset(g.members(seat)))
    else:
        g = replace(g, had=g.had | {(seat.turn.who, seat.turn.name)})
    bench.g = g
    share = 1.0 if outcome == "done" else share_of(g, seat)
    for who in g.members(seat):
        for callout in done_in(g, seat.turn):
            record_step(bench, callout, who, outcome, share)


def leave_out(bench: GroupBench, seat: Seat) -> None:
    """A turn that is not had."""
    for callout in done_in(bench.g, seat.turn):
        for who in bench.g.members(seat):
            record_step(bench, callout, who, "left-out", 0.0)


def cut_short(bench: GroupBench, who: int) -> None:
    """One person leaves what runs: what they did of it until now."""
    for callout, one, share in tuple(_under_way(bench.g)):
        if one == who:
            record_step(bench, callout, who, "cut", share)
            note(bench, callout, who, share)


def come_back(bench: GroupBench, who: int) -> None:
    """Somebody is back where the others work on: what they missed is none of theirs."""
    for callout, one, share in _under_way(bench.g):
        if one == who:
            note(bench, callout, who, share)


def share_of(g: Group, seat: Seat) -> float:
    """The share of a turn that is over, from 0 to 1."""
    return min(max((g.rota_second - seat.start) / seat.turn.seconds, 0.0), 1.0)


def share_of_running(g: Group) -> float:
    """The share of the running step together that is over, from 0 to 1; 0 in the lead-in."""
    if g.running is None or g.running.since is None:
        return 0.0
    now = g.at if g.standing is None else g.standing
    return min(max((now - g.running.since) / g.running.callout.step.seconds, 0.0), 1.0)


def done_in(g: Group, turn: Turn) -> tuple[Callout, ...]:
    """What is done in a turn; nothing where nobody may do any of it now."""
    if turn.name == MAT:
        return tuple(filter(needed, g.programme.warm))
    return next((stop.callouts for stop in g.programme.stops if stop.name == turn.name), ())


def note(bench: GroupBench, callout: Callout, who: int, share: float) -> None:
    """Until here a step of somebody's is on the record."""
    bench.g = replace(bench.g, noted={**bench.g.noted, (who, callout.step.name): share})


def record_step(bench: GroupBench, callout: Callout, who: int, outcome: str, share: float) -> None:
    """What one person did of a step up to a share of it, beyond what is on the record already.

    Nothing for somebody who has no part in it.
    """
    form, step = callout.doing(who), callout.step
    before = bench.g.noted.get((who, step.name))
    if before is not None:
        left = {key: at for key, at in bench.g.noted.items() if key != (who, step.name)}
        bench.g = replace(bench.g, noted=left)
        share -= before
    if form is None or (before is not None and share <= 0.0):
        return
    bench.record(
        StepEnded(
            at=bench.now,
            who=who,
            step=step.name,
            movement=form.movement,
            kind=step.kind.value,
            block=step.block.value,
            amount=round(step.amount * share, 1),
            seconds=round(step.seconds * share, 1),
            planned=step.seconds,
            outcome=outcome,
            side=step.side,
        )
    )


def lower(bench: GroupBench, day: Day) -> None:
    """Take a day with further caps, on the record, with what was told of whose body."""
    last = bench.g.programme.day
    before, now = set(last.caps), bench.now
    fresh = [cap for cap in day.caps if cap not in before]
    for cap in fresh:
        bench.record(CapSet(now, cap.who, cap.part, cap.most, cap.reason, cap.rule))
    for report in day.reports:
        if report not in last.reports:
            bench.record(Felt(now, report.who, report.part, report.feel, report.tissue))
    for who, sign in day.signs:
        if (who, sign) not in last.signs:
            parts = [c.part for c in fresh if (c.who, c.rule, c.most) == (who, "warning-sign", 0)]
            bench.record(SignTold(now, who, sign, parts[0] if parts else known(sign).part))
    recall(bench, day)


def taken_back(bench: GroupBench, who: int, day: Day) -> None:
    """What was told of somebody since a day was of somebody else: on their record it ends."""
    for report in bench.g.programme.day.reports:
        if report.who == who and report not in day.reports:
            bench.record(Felt(bench.now, who, report.part, Feel.FINE, None, TAKEN_BACK))


def unplaced(bench: GroupBench, who: int) -> None:
    """Somebody is hurt, and it is not told where yet: that much is on the record at once."""
    bench.record(SignTold(bench.now, who, HURT, None))
    bench.g = replace(bench.g, unplaced=bench.g.unplaced | {who})


def placed(bench: GroupBench, who: int) -> None:
    """It is told where, or it was somebody else: what is known is on the record by itself."""
    if who in bench.g.unplaced:
        bench.record(SignTold(bench.now, who, SETTLED, None))
        bench.g = replace(bench.g, unplaced=bench.g.unplaced - {who})


def unnamed(bench: GroupBench, by: Answer) -> None:
    """Somebody is hurt or shows a sign, and it is not told who: that much is on the record."""
    bench.record(Presence(bench.now, 0, Status.HURT.value, by.key))


def named(bench: GroupBench, who: int) -> None:
    """It is told who: what follows stands on their own record."""
    bench.record(Presence(bench.now, 0, Status.HERE.value, f"person:{who}"))


def recall(bench: GroupBench, day: Day) -> None:
    """What is called out and done from now on, under the caps of a changed day.

    What somebody did until now in a form that changes is put on the record as it was.
    """
    g = bench.g
    every = Callouts(day, g.library)

    def now(callouts: tuple[Callout, ...]) -> tuple[Callout, ...]:
        found = (every.callout(one.step) for one in callouts)
        return tuple(one for one in found if one is not None)

    programme, running, left = g.programme, g.running, g.callouts
    if running is not None:
        again = every.callout(running.callout.step) or _of_nobody(running.callout)
        running, left = replace(running, callout=again), (again, *now(left[1:]))
    else:
        left = now(left)
    stops = (replace(stop, callouts=now(stop.callouts)) for stop in programme.stops)
    programme = replace(
        programme,
        day=day,
        warm=now(programme.warm),
        stops=tuple(stop for stop in stops if stop.callouts),
        down=now(programme.down),
    )
    before = tuple(_under_way(g))
    bench.g = replace(g, programme=programme, callouts=left, running=running)
    after = {(who, one.step.name): one.doing(who) for one, who, _ in _under_way(bench.g)}
    for callout, who, share in before:
        if callout.doing(who) != after.get((who, callout.step.name)):
            record_step(bench, callout, who, "cut", share)
            note(bench, callout, who, share)


def _of_nobody(callout: Callout) -> Callout:
    """A step that nobody may do any more, while it runs out."""
    forms = tuple(Form(form.who, "", {}) for form in callout.step.forms)
    return replace(callout, step=replace(callout.step, forms=forms), eased=True, offer="", may=())


def _under_way(g: Group) -> Iterator[tuple[Callout, int, float]]:
    """What people are doing: callout, who, share of it that is over."""
    for seat in g.seated:
        for callout in done_in(g, seat.turn):
            for who in g.members(seat):
                yield callout, who, share_of(g, seat)
    if g.running is not None:
        for who in g.here:
            yield g.running.callout, who, share_of_running(g)
