"""Rests between hard tries: nobody's grows shorter because somebody else's try has gone."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from coach.model.plan import Step, StepKind

#: Looked up once, as in `coach.planning.offers`.
_ASK, _REST, _TRY = StepKind.ASK, StepKind.REST, StepKind.TRY


def least_gaps(steps: Sequence[Step], wanted: float) -> dict[int, float]:
    """The least rest in seconds between two tries of each person, questions not counted.

    Nobody's is under `wanted`, the rest that the try asks for.
    """
    found: dict[int, float] = {}
    since: dict[int, float] = {}
    for step in steps:
        if step.kind is _TRY and step.turn in since:
            found[step.turn] = min(found.get(step.turn, since[step.turn]), since[step.turn])
        if step.kind is not _ASK:
            since = {who: gap + step.seconds + step.rest for who, gap in since.items()}
        if step.kind is _TRY:
            since[step.turn] = step.rest
    return {who: max(found.get(who, wanted), wanted) for who in since}


def kept_apart(steps: Sequence[Step], least: Mapping[int, float]) -> tuple[Step, ...]:
    """The steps with the rest before each try long enough for whoever tries.

    `least` is the rest in seconds between two tries of each person; the time of other people's
    tries counts, that of questions does not. A rest that has to grow is the last one before the
    try.
    """
    done: list[Step] = []
    since: dict[int, float] = {}
    for step in steps:
        if step.kind is _TRY:
            wanted = least.get(step.turn, 0.0)
            short = wanted - since.get(step.turn, wanted)
            index = _last_rest(done)
            if short > 0 and index is not None:
                rest = done[index]
                seconds = rest.seconds + short
                done[index] = replace(rest, seconds=seconds, amount=round(seconds))
                since = {who: gap + short for who, gap in since.items()}
        if step.kind is not _ASK:
            since = {who: gap + step.seconds + step.rest for who, gap in since.items()}
        if step.kind is _TRY:
            since[step.turn] = step.rest
        done.append(step)
    return tuple(done)


def _last_rest(steps: Sequence[Step]) -> int | None:
    """Index of the rest that leads up to the round of tries at the end of the steps."""
    for index in range(len(steps) - 1, -1, -1):
        if steps[index].kind is _REST:
            return index
        if steps[index].kind is not _TRY:
            return None
    return None
