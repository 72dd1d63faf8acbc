"""Tries and rests under any answers in any order: nothing is lost, no rest is cut unasked."""

from math import inf
from typing import Any

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from coach.files.library import load_library
from coach.files.words import load_language
from coach.model.answers import Meaning, parse
from coach.model.facts import RestChosen, StepEnded, Tried
from coach.model.person import AgeBand, Person
from coach.model.plan import Step, StepKind
from coach.model.start import Options
from coach.model.tries import Boulder
from coach.planning import recovery
from coach.runtime.rehearsal import TextWorld
from coach.session.effects import Effect, KeepNote, Play, Record, Tone
from coach.session.events import Answered, Event, Source, Started, TimePassed
from coach.session.state import Phase, Session
from coach.session.step import new_session, step
from tests import oracle

LIBRARY = load_library("rests", None, ())
LANGUAGE = load_language("en", LIBRARY.movements)
#: What may be said by key at any moment.
BY_KEY = sorted(
    key
    for key in LANGUAGE.answers
    if parse(key).meaning
    not in (Meaning.FINISH, Meaning.LEAVING, Meaning.HURT, Meaning.SIGN, Meaning.STOP)
)
#: One key for each meaning, but for the one that may end a rest.
IN_A_REST = sorted({parse(key).meaning: key for key in BY_KEY if key != "ready"}.values())
#: One key for each meaning.
IN_A_TRY = sorted({parse(key).meaning: key for key in BY_KEY}.values())
ENDING = ("finish", "leaving", "hurt", "sign:yes", "stop")


def turn_after(steps: tuple[Step, ...]) -> int:
    """Whose try comes next; 0 for nobody's."""
    return next((step.turn for step in steps if step.kind is StepKind.TRY), 0)


#: Seconds that each of several is promised after a hard try.
PROMISED = LIBRARY.movements["hard-try"].rest


class Machine(RuleBasedStateMachine):
    """A session of tries."""

    @initialize(people=st.integers(1, 3), named=st.booleans())
    def begin(self, people: int, named: bool) -> None:
        persons = tuple(Person(n, age=AgeBand.ADULT) for n in range(1, people + 1))
        boulders = tuple((n, Boulder("flint 4", "slab", 9)) for n in range(1, people + 1))
        options = Options(persons, 120.0, (), True, boulders=boulders if named else ())
        self.session: Session = new_session(LIBRARY, options)
        self.world = TextWorld(LANGUAGE, ())
        self.told: list[Tried] = []
        self.ended: dict[int, float] = {}
        self.early: set[int] = set()
        """Who ended her own rest since her last try."""
        self.chosen: dict[int, float] = {}
        """Seconds that somebody chose for her rests."""
        self.down_at: dict[int, float] = {}
        self.rests = oracle.Rests()
        self.send(Started(0.0))
        while self.session.course.running is None:
            asking = self.session.questions.asking
            if asking is not None and self.session.window is not None:
                self.key_pressed("go", asking.who)
            else:
                self.time_passes(1)

    def send(self, event: Event) -> None:
        before: Any = self.session
        self.session, effects = step(self.session, event)
        after: Any = self.session
        self.check_notes(before, event, effects)
        assert (found := self.raised(before, event)) == [], (event, before.questions.asking, found)
        for effect in effects:
            if not isinstance(effect, Record):
                self.world.carry_out(effect)
            elif isinstance(effect.fact, Tried):
                self.told.append(effect.fact)
            elif isinstance(effect.fact, RestChosen):
                self.chosen[effect.fact.who] = effect.fact.seconds
            elif isinstance(effect.fact, StepEnded) and effect.fact.kind == StepKind.TRY:
                self.took_place(before, effect.fact)
        if isinstance(event, Answered) and event.answer.meaning is Meaning.READY:
            self.ended.pop(turn_after(before.course.steps), None)
            self.early |= {turn_after(before.course.steps), event.who}
        ran, runs = before.course.running, after.course.running
        gone = runs is None or ran is None or runs.step.name != ran.step.name
        if ran is not None and ran.step.kind is StepKind.TRY and ran.since is not None and gone:
            self.ended[ran.step.turn] = after.at
        begun = runs is not None and runs.since is not None and runs.worked == 0.0
        if begun and runs.step.kind is StepKind.TRY and (gone or ran.since is None):
            last = self.ended.get(runs.step.turn)
            assert last is None or runs.since - last >= recovery.LEAST - 1e-6, (event, last)
            if len(after.people) > 1 and runs.step.turn not in self.early and last is not None:
                # nobody's word but her own takes from the rest that she was promised
                promised = self.chosen.get(runs.step.turn, PROMISED)
                assert runs.since - last >= min(promised, PROMISED) - 1e-6, (event, last)
            self.early.discard(runs.step.turn)

    def took_place(self, before: Any, fact: StepEnded) -> None:
        """No two tries of a person overlap on the record."""
        if fact.seconds > 0.0:
            who = before.course.running.step.turn
            assert fact.at - fact.seconds >= self.down_at.get(who, 0.0) - 1e-6, fact
            self.down_at[who] = fact.at

    def raised(self, before: Any, event: Event) -> list[oracle.Raise]:
        """What a rest of somebody alone takes that begins or ends now, and she has not said so.

        Of several each rests by her own clock: `send` looks at it where each try begins.
        """
        after: Any = self.session
        if len(before.people) > 1:
            return []
        asking, resting, found = before.questions.asking, after.rests.resting, []
        if isinstance(event, Answered) and asking is not None:
            self.rests.answered(asking.who or event.who, event.answer, asking.question)
        if resting is not None and resting.step is not None and before.rests.resting is None:
            planned = next(
                (one for one in before.course.steps if one.name == resting.step.name), None
            )
            seconds = resting.until - resting.since
            if planned is not None and seconds < self.chosen.get(1, inf):
                found += self.rests.begun(planned, seconds, after.course.steps)
        early = before.rests.resting is not None and before.rests.resting is not resting
        alone = len(before.people) == 1
        if (
            early
            and isinstance(event, Answered)
            and event.answer.meaning is Meaning.READY
            and alone
        ):
            who = turn_after(before.course.steps) if event.who == 1 else event.who
            left = before.rests.resting.until - after.at
            tried = [number for number, count in after.tries.counts if count]
            now = resting.until - after.at if resting is not None else 0.0
            found += oracle.cut_short(
                left, who, before.course.steps, after.course.steps, now, tried
            )
        return found

    def check_notes(self, before: Session, event: Event, effects: tuple[Effect, ...]) -> None:
        """No recording without the tone before it, and none that ends without its own."""
        tones = [effect for effect in effects if isinstance(effect, Play)]
        for note in (effect for effect in effects if isinstance(effect, KeepNote)):
            assert self.session.window is None
            assert any(one.tone is Tone.START and one.at < note.at for one in tones)
        ended = before.notes.recording is not None and self.session.notes.recording is None
        if ended:
            assert any(one.tone is Tone.END for one in tones)

    @rule(times=st.integers(1, 12))
    def time_passes(self, times: int) -> None:
        for _ in range(times):
            if self.session.wake is None and not self.world._events:
                return
            now = self.world.wait(self.session.wake)
            self.send(now or TimePassed(self.world.now()))

    @rule(data=st.data(), times=st.integers(1, 6))
    def window_answered(self, data: st.DataObject, times: int) -> None:
        for _ in range(times):
            window = self.session.window
            if window is None or self.session.phase in (Phase.PAUSED, Phase.STOPPED, Phase.DEBRIEF):
                self.time_passes(times=1)
                continue
            key = data.draw(st.sampled_from([k for k in window.answers if k not in ENDING]))
            at = max(self.world.now(), window.opens)
            who = window.who or 1
            answer = Answered(at, parse(key), who, at, window.number, Source.VOICE)
            self.send(answer)

    @rule(times=st.integers(1, 3), who=st.integers(1, 3), sure=st.booleans())
    def ready_early(self, times: int, who: int, sure: bool) -> None:
        """Some tries in a row whose rests somebody ends early, and what is then asked."""
        goal = sum(count for _, count in self.session.tries.counts) + times
        for _ in range(200):
            s: Any = self.session
            if s.phase in (Phase.PAUSED, Phase.STOPPED, Phase.HURT, Phase.DEBRIEF, Phase.OVER):
                return
            if s.phase is Phase.WORK and s.window is not None:
                self.key_pressed("down", who=s.course.running.step.turn)
            elif s.questions.asking is not None and s.window is not None:
                shorter = s.questions.asking.question == "shorter-rests" and sure
                self.key_pressed("shorter" if shorter else s.window.answers[0], who=1)
            elif (
                s.phase is Phase.REST
                and not s.questions.pending
                and s.at - s.rests.resting.since >= 121.0
            ):
                if sum(count for _, count in s.tries.counts) >= goal:
                    return
                self.key_pressed("ready", who=1 if sure else who)
                self.time_passes(times=1)
            else:
                self.time_passes(times=1)

    @rule(key=st.sampled_from(BY_KEY), who=st.integers(1, 3))
    def key_pressed(self, key: str, who: int) -> None:
        now = self.world.now()
        who = min(who, len(self.session.people))
        self.send(Answered(now, parse(key), who, now, None, Source.KEY))

    @rule(key=st.sampled_from(IN_A_REST), who=st.integers(1, 3))
    def a_rest_is_meddled_with(self, key: str, who: int) -> None:
        """Nothing but 'ready' ends a rest early; a try is told, if none was, to come to one."""
        for _ in range(60):
            running, asking = self.session.course.running, self.session.questions.asking
            if self.session.phase is Phase.REST:
                break
            if self.session.phase in (Phase.PAUSED, Phase.STOPPED):
                self.key_pressed("resume", 1)
            elif running is not None and running.since is not None:
                self.key_pressed("down", 1)
            elif asking is not None and asking.question == "go-ahead":
                self.key_pressed("go", asking.who)
            self.time_passes(1)
        self.key_pressed(key, who)
        self.time_passes(6)

    @rule(key=st.sampled_from(IN_A_TRY), who=st.integers(1, 3))
    def two_tries_are_meddled_with(self, key: str, who: int) -> None:
        """Whatever is said in a try, it ends before the next one of its climber begins."""
        for _ in range(2):
            self.to_a_try()
            self.key_pressed(key, who)
            self.time_passes(2)
            running = self.session.course.running
            if running is not None and running.since is not None:
                self.key_pressed("down", running.step.turn or 1)
        self.time_passes(6)

    def to_a_try(self) -> None:
        for _ in range(60):
            running, asking = self.session.course.running, self.session.questions.asking
            if self.session.phase in (Phase.PAUSED, Phase.STOPPED):
                self.key_pressed("resume", 1)
            elif running is not None and running.since is not None:
                if running.step.kind is StepKind.TRY:
                    return
                self.key_pressed("down", 1)
            elif asking is not None and asking.question == "go-ahead":
                self.key_pressed("go", asking.who)
            self.time_passes(1)

    @rule(key=st.sampled_from(ENDING), sure=st.integers(0, 9))
    def it_may_end(self, key: str, sure: int) -> None:
        if sure == 0:
            self.key_pressed(key, 1)

    @invariant()
    def no_try_is_lost_or_counted_twice(self) -> None:
        if not hasattr(self, "session"):
            return
        for who in self.session.people:
            numbers = [fact.number for fact in self.told if fact.who == who]
            numbers += [item[3] for item in self.session.tries.untold if item[0] == who]
            assert sorted(numbers) == list(
                range(1, dict(self.session.tries.counts).get(who, 0) + 1)
            )

    @invariant()
    def every_result_that_waits_will_be_asked_or_may_be_told(self) -> None:
        s: Any = getattr(self, "session", None)
        if s is None or s.phase in (Phase.OVER, Phase.DEBRIEF, Phase.HURT):
            return
        asked = {
            one.who
            for one in (*s.questions.pending, *([s.questions.asking] if s.questions.asking else []))
        }
        # or she was told that it is asked less, and of one try only
        asked |= {who for who in s.people if f"asked-less-{who}" in s.questions.asked}
        # or nobody answered when it was asked
        asked |= {who for who, times in s.tries.asked if times}
        waits = [item[0] for item in s.tries.untold]
        assert len(waits) == len(set(waits))
        assert s.how == "hurt" or set(waits) <= asked


Machine.TestCase.settings = settings(max_examples=60, stateful_step_count=40, deadline=None)
TestMachine = pytest.mark.no_cover(Machine.TestCase)


def test_an_answer_of_nobody_in_particular_is_that_of_the_only_one_there() -> None:
    machine = Machine()
    machine.begin(people=1, named=False)
    machine.key_pressed("feel:stiff", who=0)
    machine.time_passes(12)
    assert (
        machine.session.questions.asking is None
        or machine.session.questions.asking.question != "who"
    )


@pytest.mark.parametrize("key", IN_A_TRY)
def test_nothing_said_in_a_try_makes_two_of_them_overlap(key: str) -> None:
    machine = Machine()
    machine.begin(people=1, named=True)
    for _ in range(2):
        machine.two_tries_are_meddled_with(key, who=1)
    machine.no_try_is_lost_or_counted_twice()


@pytest.mark.parametrize("people", [1, 2, 3])
def test_early_ends_and_a_yes_to_shorter_rests_take_no_rest_from_another(people: int) -> None:
    machine = Machine()
    machine.begin(people=people, named=False)
    for _ in range(4):
        machine.ready_early(times=2 * people, who=1, sure=True)
    assert ("shorter-rests" in machine.session.questions.asked) == (people == 1)
    assert dict(machine.session.tries.counts)[people] >= 4
