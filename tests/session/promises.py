"""Random blocks of hard tries through the real core, and a judge of rests that only has a clock.

The judge knows no rule of the session: it hears who is called, sees who says "down", and knows
what each was promised. It is also what the bench runs, with more seeds.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from random import Random
from typing import Any

from coach.model.plan import StepKind
from coach.session.effects import Say
from coach.session.events import Source
from coach.session.state import Phase
from tests.session.stage import Play

#: Seconds that a hard try is rested from where nobody chose their own (the shipped movement).
USUAL = 200.0
#: The shortest rest that anything said may bring about.
LEAST = 120.0
#: Waits that are none, and the lead of a cue.
SLACK = 1.0


@dataclass
class Judge:
    """Who was down when, who was promised what, and every promise that was broken."""

    promised: dict[int, float]
    down: dict[int, float] = field(default_factory=dict)
    own_word: set[int] = field(default_factory=set)
    climbing: int = 0
    broken: list[str] = field(default_factory=list)
    calls: int = 0

    def called(self, who: int, at: float) -> None:
        """A person is called to their try."""
        self.calls += 1
        if self.climbing:
            self.broken.append(f"{who} called at {at:.0f} while {self.climbing} is not down")
        since = at - self.down[who] if who in self.down else self.promised[who]
        if since < self.promised[who] - SLACK and who not in self.own_word:
            self.broken.append(f"{who} called {since:.0f} s after down, {self.promised[who]:.0f}")
        if since < LEAST - SLACK:
            self.broken.append(f"{who} called {since:.0f} s after down, by her own word")
        self.own_word.discard(who)
        self.climbing = who

    def said_down(self, who: int, at: float) -> None:
        """A person is down and clear."""
        self.down[who] = at
        self.climbing = 0


def block(seed: int, tries: int = 6) -> Judge:
    """One random block of one to three people; every call is judged."""
    chance = Random(seed)
    people = chance.randint(1, 3)
    own = {who: float(chance.choice([120, 150, 200, 240, 300, 360])) for who in (1, 2, 3)}
    chosen = {who: own[who] for who in range(1, people + 1) if chance.random() < 0.6}
    play = Play(
        people=people, routine="rests", minutes=240.0, rests=tuple(chosen.items()), open_end=True
    )
    judge = Judge({who: chosen.get(who, USUAL) for who in range(1, people + 1)})
    through(play, judge, chance, tries, Ways(_judge_calls, _climb, _said, _in_the_rest))
    return judge


@dataclass(frozen=True)
class Ways:
    """How a block is listened to and lived through, by those who judge it."""

    listen: Callable[[Play, Any, int], int]
    climb: Callable[[Play, Any, Random, int], None]
    say: Callable[[Play, Any, Random, str], str]
    rest: Callable[[Play, Any, Random], None]


def through(play: Play, judge: Any, chance: Random, tries: int, ways: Ways) -> None:
    """Live a block until so many tries have been called."""
    heard = 0
    for _ in range(4000):
        heard = ways.listen(play, judge, heard)
        running = play.session.course.running
        if play.session.phase is Phase.OVER or judge.calls > tries:
            break
        trying = running is not None and running.step.kind is StepKind.TRY
        if play.session.phase is Phase.WORK and trying:
            ways.climb(play, judge, chance, running.step.turn)
        elif play.session.questions.asking is not None and play.session.window is not None:
            play.say(ways.say(play, judge, chance, play.session.questions.asking.question))
        else:
            ways.rest(play, judge, chance)
        play.next()
    ways.listen(play, judge, heard)


def _judge_calls(play: Play, judge: Judge, heard: int) -> int:
    for effect in play.effects[heard:]:
        if isinstance(effect, Say) and effect.what.key in ("try", "try-last"):
            who = effect.what.value("who") or 1
            judge.called(int(who), effect.at)
    return len(play.effects)


def _climb(play: Play, judge: Judge, chance: Random, who: int) -> None:
    play.run(chance.uniform(4.0, 45.0))
    if len(play.session.people) > 1 and chance.random() < 0.5:
        play.say(chance.choice(["topped", "ended-middle", "ended-top"]), who=who)
        play.run(chance.uniform(1.0, 20.0))
    if play.session.phase is Phase.WORK:
        play.say("down", who=who, source=Source.KEY)
        judge.said_down(who, play.now)


def _said(play: Play, judge: Judge, chance: Random, question: str) -> str:
    return "go" if question == "go-ahead" else str(chance.choice(play.session.window.answers))


def _in_the_rest(play: Play, judge: Judge, chance: Random) -> None:
    """Now and then something is said in the rest; 'ready' counts for whoever climbs next."""
    if play.session.phase is not Phase.REST or chance.random() > 0.1:
        return
    key = chance.choice(["ready", "more-time", "cause:tired"])
    if key == "ready":
        steps = play.session.course.steps
        turn = next((step.turn for step in steps if step.kind is StepKind.TRY), 0)
        judge.own_word.add(turn)
    play.say(key, source=Source.KEY)
