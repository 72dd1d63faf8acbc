"""Minutes per boulder are learnt from what was recorded, and no single session spoils them."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import takewhile
from random import Random

import pytest

from coach.model.day import Library
from coach.model.facts import Fact, RuleFired, StepEnded
from coach.model.person import AgeBand, Person
from coach.model.plan import Step, StepKind
from coach.planning import make_plan, open_day
from coach.planning.boulder_time import TIERS
from coach.planning.own_pace import library_of
from coach.record.entry import Entry
from coach.record.pace import LATEST, paces
from coach.session.state import Phase
from tests.planning.days import library
from tests.record.days import entry
from tests.session.stage import LIBRARY, Play

PERSON = (Person(1, age=AgeBand.ADULT),)
PLACE = "Old Sluice"


def batch(
    seconds: float, amount: float = 5.0, tier: str = "easy", outcome: str = "done"
) -> StepEnded:
    return StepEnded(
        9.0, 1, f"{tier}.1", "easy-boulders", "climb", tier, amount, seconds, 350.0, outcome
    )


def learnt(*sessions: Sequence[Fact]) -> dict[str, float]:
    """Seconds of a boulder by tier after these sessions."""
    days = [entry(n, *facts) for n, facts in enumerate(sessions)]
    return {one.tier: one.seconds for one in paces(days, PLACE)}


def test_a_pace_is_the_median_of_the_latest_sessions() -> None:
    assert learnt() == {}
    assert learnt([batch(400.0)]) == {"easy": 80.0}
    assert learnt([batch(400.0)], [batch(450.0)], [batch(900.0)]) == {"easy": 90.0}
    old = [[batch(900.0)]] * 9
    assert learnt(*old, *[[batch(400.0)]] * LATEST) == {"easy": 80.0}
    [one] = paces([entry(n, batch(400.0)) for n in range(20)], PLACE)
    assert one.sessions == LATEST


def test_only_batches_that_were_told_to_be_done_count() -> None:
    usual = [batch(400.0), batch(800.0, tier="middle")]
    lies = [
        batch(4000.0, 0.0, outcome="untold"),
        batch(3000.0, 3.0, outcome="cut"),
        batch(1.0, outcome="skipped"),
        StepEnded(9.0, 1, "mat.1", "low-lunge", "stay", "mat", 60.0, 900.0, 60.0, "done"),
    ]
    told = learnt(*[[*usual, *lies]] * 3)
    assert told == {"easy": 80.0, "middle": 160.0}


def test_another_place_company_or_a_crowd_tells_nothing() -> None:
    days = [entry(n, batch(400.0)) for n in range(3)]
    assert list(paces(days, "elsewhere")) == []
    assert list(paces(days, PLACE, with_others=1)) == []
    crowded = [entry(n, batch(400.0), RuleFired(1.0, 0, "crowded", "our choice")) for n in range(3)]
    assert list(paces(crowded, PLACE)) == []


class Climber:
    """Somebody with a true pace of their own, who is never the same twice."""

    def __init__(self, seed: int) -> None:
        self.dice = Random(seed)
        factor = self.dice.uniform(0.6, 2.0)
        self.true = {"easy": 40.0 * factor, "middle": 80.0 * self.dice.uniform(0.8, 1.25) * factor}
        self.entries: list[Entry] = []

    def batches(self) -> list[Step]:
        """The climbing blocks of the next plan."""
        known = {one.tier: one.seconds for one in paces(self.entries, PLACE)}
        mine = library_of(library(), known, PERSON)
        steps = make_plan(open_day(PERSON, 120, mine), 0.0, mine).steps
        return [s for s in steps if s.kind is StepKind.CLIMB and s.block in TIERS]

    def climb(self, lie: str = "") -> tuple[float, float]:
        """One session; seconds of its climbing blocks as planned and as they were."""
        day = self.dice.lognormvariate(0.0, 0.03)
        planned = actual = 0.0
        facts: list[Fact] = []
        for step in self.batches():
            took = step.amount * self.true[step.block] * day * self.dice.lognormvariate(0.0, 0.08)
            planned, actual = planned + step.seconds, actual + took
            done = batch(took, float(step.amount), step.block.value)
            if lie == "forgotten":
                done = replace(done, seconds=3.0 * took)
            elif lie == "at once":
                done = replace(done, seconds=12.0)
            elif lie == "untold":
                done = replace(done, seconds=1.75 * step.seconds, amount=0.0, outcome="untold")
            elif lie == "called away" and facts:
                done = replace(done, seconds=0.4 * took, amount=0.0, outcome="cut")
            facts.append(done)
        self.entries.append(entry(len(self.entries), *facts))
        return planned, actual


@pytest.mark.no_cover
@pytest.mark.parametrize("lie", ["", "forgotten", "at once", "untold", "called away"])
def test_after_five_sessions_the_plan_is_within_a_tenth(lie: str) -> None:
    """The target is the design's own; one of the five sessions is recorded wrongly."""
    first, sixth = [], []
    for seed in range(15):
        climber = Climber(seed)
        for session in range(5):
            planned, actual = climber.climb(lie if session == seed % 5 else "")
            if session == 0:
                first.append(abs(planned / actual - 1.0))
        expected = [(s.seconds, s.amount * climber.true[s.block]) for s in climber.batches()]
        planned = sum(seconds for seconds, _ in expected)
        sixth.append(abs(planned / sum(true for _, true in expected) - 1.0))
    assert max(first) > 0.3
    assert max(sixth) <= 0.10, max(sixth)


def played(own: Library, seconds: dict[str, float]) -> tuple[float, tuple[Fact, ...]]:
    """A session of the real core up to its hard tries: planned seconds of climbing, and facts."""
    play = Play(minutes=None)
    play.session = replace(play.session, library=own)
    play.until(Phase.CHECK_IN, question="minutes")
    play.say("minutes:120")
    ahead = takewhile(lambda step: step.kind is not StepKind.TRY, play.session.course.steps)
    batches = [s for s in ahead if s.kind is StepKind.CLIMB and s.block in TIERS]
    for step in batches:
        play.until(Phase.WORK, StepKind.CLIMB)
        play.run(seconds[step.block] * step.amount)
        play.say("done")
    return sum(step.seconds for step in batches), tuple(play.facts)


def test_five_played_sessions_teach_the_sixth_its_time() -> None:
    seconds = {"easy": 60.0, "middle": 90.0}
    entries: list[Entry] = []
    for _ in range(6):
        known = {one.tier: one.seconds for one in paces(entries, PLACE)}
        planned, facts = played(library_of(LIBRARY, known, PERSON), seconds)
        ended = [f for f in facts if isinstance(f, StepEnded) and f.kind == StepKind.CLIMB]
        entries.append(entry(len(entries), *facts))

    assert {one.outcome for one in ended} == {"done"}
    assert known == {tier: pytest.approx(one, rel=0.02) for tier, one in seconds.items()}
    assert planned == pytest.approx(sum(one.seconds for one in ended), rel=0.10)
