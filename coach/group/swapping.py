"""Time at the boards: tones for each hang, and when two who share a board change over.

Of each step at the board the first does theirs in the first half of its time, the other in the
second; each rests while the other works. Tones begin and end each hang. There is one loudspeaker:
where boards are not in time with each other there are none, as nobody could tell whose it is.
"""

import math
from collections.abc import Iterator
from dataclasses import replace

from coach.group.bench import GroupBench
from coach.group.gathering import Group
from coach.group.recording import done_in
from coach.group.station_turns import MOVE, members_of
from coach.model.messages import message
from coach.planning.stations import Seat
from coach.session.effects import Tone

#: Seconds after which it is too late to say so: both have seen it by themselves.
TOO_LATE = 12.0
#: Seconds after which a tone comes no more: it would begin a hang in the middle.
LATE_TONE = 1.0
#: Seconds from the last word of the calls to the first hang: to get there, and to be asked whether
#: everybody is ready (ours). Where many are called, their turns begin later by what that takes.
ROOM = 8.0
#: Seconds by which they begin later at most, whatever cues take (ours).
MOST_ROOM = 45.0
#: Boards whose times are as near as this change over in one line.
TOGETHER = 3.0


def next_swap(g: Group) -> float | None:
    """When two change over next, in the session's time; None where nobody does."""
    times = [at for at, _ in _swaps(g) if at > max(g.swapped, g.rota_second - TOO_LATE)]
    return g.rota_at + min(times) if times else None


def swap(bench: GroupBench) -> None:
    """Say at which boards it is time."""
    g = bench.g
    now = bench.now - g.rota_at + TOGETHER
    due = [station for at, station in _swaps(g) if max(g.swapped, now - TOO_LATE) < at <= now]
    bench.g = replace(g, swapped=now)
    if due:
        bench.say(message("group-swap", station=", ".join(sorted(set(due)))))


def _swaps(g: Group) -> Iterator[tuple[float, str]]:
    """Second of the rota at which a change over is, and the board."""
    for seat in g.seated:
        if seat.turn.kind != "board" or len(g.members(seat)) != 2:
            continue
        at = float(seat.start + MOVE)
        for callout in done_in(g, seat.turn):
            for _ in range(2):
                at += callout.shared / 2
                if at < seat.end - TOGETHER:
                    yield at, seat.station


# tones


def by_tones(g: Group) -> bool:
    """Whether anybody hangs in the rota, and all boards are in time with each other to its end."""
    boards = [seat for seat in (*g.seated, *g.pending) if seat.turn.kind == "board"]
    hangs = any(callout.step.hangs for seat in boards for callout in done_in(g, seat.turn))
    return hangs and _in_time(g, boards)


def _in_time(g: Group, boards: list[Seat]) -> bool:
    """Whether those at boards at once began together, with the same to do."""
    until, now = 0, None
    for seat in sorted(boards, key=lambda one: one.start):
        does = seat.start, seat.turn.name, len(members_of(g.teams, seat.turn.who))
        if seat.start < until and does != now:
            return False
        until, now = max(until, seat.end), does
    return True


def next_tone(g: Group) -> float | None:
    """When a hang begins or ends next, in the session's time; None where no tone may say so.

    None either while people are still called to the boards.
    """
    ahead = [(at, tone) for at, tone in _tones(g) if at > g.toned]
    if g.owing and ahead and min(ahead)[1] is Tone.START:
        return None
    times = [at for at, _ in ahead if at > g.rota_second - LATE_TONE]
    return g.rota_at + min(times) if times else None


def give_room(bench: GroupBench) -> None:
    """The calls have been said: no hang begins right after them, or would have begun meanwhile."""
    g = bench.g
    coming = [at for at, tone in _tones(g) if tone is Tone.START and at > g.toned]
    early = g.rota_second + ROOM - min(coming, default=math.inf)
    if early > 0 and g.standing is None:
        bench.delay(min(early, MOST_ROOM))
        bench.g = replace(bench.g, ready_at=g.ready_at)


def sound(bench: GroupBench) -> None:
    """Sound the tone that is due."""
    g = bench.g
    now = bench.now - g.rota_at
    tones = [tone for at, tone in _tones(g) if max(g.toned, now - LATE_TONE) < at <= now + 1e-6]
    bench.g = replace(g, toned=now + 1e-6)
    if tones:
        bench.tone(tones[-1])


def _tones(g: Group) -> tuple[tuple[float, Tone], ...]:
    """Second of the rota and tone of each hang; none where boards are not in time."""
    seat = next((one for one in g.seated if one.turn.kind == "board" and g.members(one)), None)
    return tuple(_of_seat(g, seat)) if seat is not None and by_tones(g) else ()


def _of_seat(g: Group, seat: Seat) -> Iterator[tuple[float, Tone]]:
    at = float(seat.start + MOVE)
    pair = len(members_of(g.teams, seat.turn.who)) == 2
    for callout in done_in(g, seat.turn):
        step = callout.step
        whole = callout.shared if pair else callout.alone
        lead_in = callout.alone - step.seconds - step.rest
        for turn in range(2 if pair else 1):
            begins = at + turn * whole / 2 + lead_in
            if step.hangs and begins + step.seconds <= seat.end:
                yield begins, Tone.START
                yield begins + step.seconds, Tone.END
        at += whole
