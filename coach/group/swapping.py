"""Two who share a board: when the one who works and the one who spots change over.

Of each step at the board the first does theirs in the first half of its time, the other in the
second; each rests while the other works.
"""

from collections.abc import Iterator
from dataclasses import replace

from coach.group.bench import GroupBench
from coach.group.gathering import Group
from coach.group.recording import done_in
from coach.group.station_turns import MOVE
from coach.model.messages import message

#: Seconds after which it is too late to say so: both have seen it by themselves.
TOO_LATE = 12.0
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
