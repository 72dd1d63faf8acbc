"""What is on the record of a group is what its people did, whatever was told on the way.

The judge stands beside the session with a clock: while timers run it adds up for everybody which
movement they are in, and at the end compares that with the record. It uses nothing of what records.
"""

import random
from collections import defaultdict
from pathlib import Path

import pytest

from coach.group.callout import Callout
from coach.group.gathering import Act, Group
from coach.model.facts import StepEnded
from coach.session.effects import Effect
from coach.session.events import Event
from tests.group.runs import group, run
from tests.group.watched import random_words

#: Seconds by which they may differ: a step's figures are rounded to a tenth each time.
ROUNDED = 1.0
#: Not said here, because in that time nobody does more: the clock of the judge would run on.
AT_EASE = "two more minutes"

Done = dict[tuple[int, str, str], float]


class Clock:
    """Adds up, for each person, step and movement, the seconds of it that went by."""

    def __init__(self) -> None:
        self.done: Done = defaultdict(float)
        self.last: Group | None = None

    def __call__(self, now: Group, event: Event, effects: tuple[Effect, ...]) -> None:
        last, self.last = self.last, now
        if last is None or last.standing is not None:
            return
        span = now.at - last.at
        if last.running is not None:
            if last.running.since is not None:
                self._add(last.running.callout, last.here, span)
        elif last.act is Act.ROTA:
            # where many were called the first hang begins later: until then nobody does more
            span -= now.rota_at - last.rota_at
            for seat in last.seated:
                for callout in self._of_turn(last, seat.turn.name):
                    share = span / seat.turn.seconds
                    self._add(callout, last.members(seat), share * callout.step.seconds)

    def _of_turn(self, last: Group, name: str) -> tuple[Callout, ...]:
        """What is done in a turn; in a mat of somebody's own, what of it never goes."""
        if name == "mat":
            return tuple(c for c in last.programme.warm if c.step.floor or c.step.core)
        return next(stop.callouts for stop in last.programme.stops if stop.name == name)

    def _add(self, callout: Callout, people: tuple[int, ...], seconds: float) -> None:
        for who in people:
            form = callout.doing(who)
            if form is not None:
                self.done[who, callout.step.name, form.movement] += seconds


@pytest.mark.no_cover
@pytest.mark.parametrize("seed", range(6))
def test_the_record_holds_what_was_done_and_no_more(seed: int, tmp_path: Path) -> None:
    dice = random.Random(seed)
    words = random_words(dice, 12).replace(AT_EASE, "say again")
    clock = Clock()

    _, seen = run(group(minutes=40), words, tmp_path, also=clock)

    recorded: Done = defaultdict(float)
    for fact in seen.facts:
        if isinstance(fact, StepEnded):
            assert 0.0 <= fact.seconds <= fact.planned + 0.1
            assert fact.amount >= 0.0
            recorded[fact.who, fact.step, fact.movement] += fact.seconds
    for key in {*recorded, *clock.done}:
        assert recorded[key] == pytest.approx(clock.done[key], abs=ROUNDED), key
