"""Random blocks of hard tries with a coach beside them, and a judge of what she drills and changes.

The judge knows what anybody at the foot of the wall knows: what was told, what was said before a
go, and where each try ended. What a drill or a change asks of a body is written down here by hand,
from what it is; nothing of the table of key moves or of planning is asked.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from random import Random

from coach.model.body import Feel, Part
from coach.model.facts import EffortFelt, StepEnded
from coach.model.key_moves import CAUSES, KEY_MOVES
from coach.model.messages import Message
from coach.model.person import AgeBand
from coach.model.tries import HANDS, Boulder
from coach.session.effects import Record, Say
from coach.session.events import Source
from coach.session.state import Phase
from tests.session.promises import SLACK, USUAL, Judge, Ways, through
from tests.session.stage import Play

#: Drills in which a hand leaves and lands.
DYNAMIC = frozenset(
    "two-hands-together one-hand-hop catch-and-still past-and-settle quick-steps".split()
)
#: What a change asks more of than the plain try would.
ASKS: dict[str, frozenset[str]] = {
    "feet-higher": frozenset({"hips", "knees"}),
    "past-the-hold": frozenset({"fingers", "shoulders"}),
    "wrist-low": frozenset({"wrists"}),
    "elbow-over": frozenset({"wrists", "elbows", "shoulders"}),
    "palm-turned": frozenset({"wrists"}),
    "foot-up-first": frozenset({"hips", "knees"}),
    "hook-deeper": frozenset({"hips", "knees"}),
    "toe-instead": frozenset({"ankles"}),
    "weight-over-foot": frozenset({"hips", "knees"}),
}
#: What is sore or hurts is spared.
_SPARED = frozenset({"sore", "hurting"})
#: Words that offer a change for the next try, and that remind of it before the go.
_OFFERS = ("vary-offer", "vary-offer-move", "vary-offer-one", "vary-next", "vary-first")
_NAMES = ("first", "second", "variation")
#: Seconds after a call within which the start tone sounds.
SOON = 5.0
#: Moves of each boulder; where a try ended that went to the top.
MOVES, TOP = 9, 99
#: What may be told of a body in a rest, by key.
_TOLD = ("feel:fingers:sore", "feel:shoulders:sore", "feel:knees:sore", "feel:wrists:sore")


@dataclass
class Beside:
    """What was told and done of one person on one boulder today."""

    moves: list[int] = field(default_factory=list)
    """Where each try ended; 0 for untold."""
    failed: set[str] = field(default_factory=set)
    now: list[str] = field(default_factory=list)
    """Changes that were said before the go of the try that runs."""
    last: set[str] = field(default_factory=set)
    """Those of the try before."""


@dataclass
class Coached(Judge):
    """The judge of rests, and of drills and changes as well."""

    young: bool = False
    sore: dict[int, set[str]] = field(default_factory=dict)
    beside: dict[int, Beside] = field(default_factory=dict)
    since: dict[tuple[int, str], float] = field(default_factory=dict)
    """When a part was told sore, where that was under way."""
    told: int = 1
    """Who told of a body last."""
    drills: int = 0
    changes: int = 0

    def said(self, what: Message, at: float, climber: int) -> None:
        """A sentence: it may offer a change, or remind of the one that was agreed on."""
        if what.key in ("try", "try-last"):
            who = int(what.value("who") or 1)
            self.called(who, at)
            self.beside.setdefault(who, Beside()).now = []
        elif what.key in _OFFERS:
            names = [str(what.value(one)) for one in _NAMES if what.value(one)]
            for name in names:
                self._judge(name, climber, f"{at:.0f} s: {what.key}")
        elif what.key.startswith("vary-") and what.key != "vary-helped" and self.climbing:
            name = what.key.removeprefix("vary-")
            mine = self.beside[self.climbing]
            mine.now.append(name)
            self.changes += 1
            self._judge(name, self.climbing, f"{at:.0f} s: before the go")
            if len(mine.now) > 1:
                self.broken.append(f"{at:.0f} s: {mine.now} at once")

    def _judge(self, name: str, who: int, where: str) -> None:
        if name in self.beside.setdefault(who, Beside()).failed:
            self.broken.append(f"{where}: {name} of {who} was tried and gave nothing")
        asked = ASKS.get(name, frozenset())
        if asked & self.sore.get(who, set()):
            self.broken.append(f"{where}: {name} of {who} with sore {self.sore[who]}")
        if asked and self.young:
            self.broken.append(f"{where}: {name} of {who}, who may be young")

    def ended(self, who: int, move: int) -> None:
        """Where a try ended; a change that brought it no higher than any before has failed."""
        mine = self.beside.setdefault(who, Beside())
        best = max(mine.moves, default=0)
        if mine.now and move and move <= best and move != TOP:
            mine.failed |= set(mine.now)
        mine.moves.append(move)
        mine.last, mine.now = set(mine.now), []

    def felt_easier(self, who: int) -> None:
        """It went no higher and felt easier: what was changed helped after all."""
        mine = self.beside.setdefault(who, Beside())
        mine.failed -= mine.last

    def drilled(self, fact: StepEnded) -> None:
        """A drill was done; what is told while it runs ends it."""
        self.drills += 1
        parts = self.sore.get(fact.who, set())
        sore = {part for part in parts if self.since.get((fact.who, part), 0.0) + SLACK < fact.at}
        if fact.movement in DYNAMIC and (self.young or sore & {"fingers", "shoulders"}):
            young = "may be young" if self.young else f"sore {sore}"
            self.broken.append(f"{fact.at:.0f} s: {fact.movement} of {fact.who}, {young}")


def block(seed: int, tries: int = 8) -> Coached:
    """One random block of one to three people, each on a boulder that is about something."""
    chance = Random(seed)
    people = chance.randint(1, 3)
    age = chance.choice([AgeBand.ADULT, AgeBand.ADULT, AgeBand.UNDER_18, AgeBand.UNKNOWN])
    numbers = range(1, people + 1)
    own = {who: float(chance.choice([120, 200, 240, 360])) for who in numbers}
    chosen = {who: own[who] for who in numbers if chance.random() < 0.5}
    told = chance.choice([(), (), ((1, chance.choice(list(Part)), Feel.SORE),)])
    play = Play(
        people=people,
        age=age,
        routine="rests",
        minutes=240.0,
        hurting=told,
        boulders=tuple((who, _boulder(chance, who)) for who in numbers),
        rests=tuple(chosen.items()),
        open_end=True,
    )
    judge = Coached(
        {who: chosen.get(who, USUAL) for who in numbers},
        young=age is not AgeBand.ADULT,
        sore={who: {part.value for number, part, _ in told if number == who} for who in numbers},
    )
    through(play, judge, chance, tries, Ways(_listen, _climb, _said, _in_the_rest))
    return judge


def _boulder(chance: Random, who: int) -> Boulder:
    about = chance.choice(["", *KEY_MOVES])
    return Boulder(
        f"flint {who}",
        moves=MOVES,
        about=about,
        key_at=chance.choice([0, 5]) if about else 0,
        hand=chance.choice(["", *HANDS]),
    )


def _listen(play: Play, judge: Coached, heard: int) -> int:
    for effect in play.effects[heard:]:
        if isinstance(effect, Say):
            who = int(effect.what.value("who") or 0)
            judge.said(effect.what, effect.at, who or play.session.tries.last)
        elif isinstance(effect, Record) and isinstance(effect.fact, EffortFelt):
            if effect.fact.felt == "easier":
                judge.felt_easier(effect.fact.who)
        elif isinstance(effect, Record) and isinstance(effect.fact, StepEnded):
            fact = effect.fact
            if fact.block == "hard" and fact.kind == "dose" and fact.amount:
                judge.drilled(fact)
    return len(play.effects)


def _climb(play: Play, judge: Coached, chance: Random, who: int) -> None:
    """A try that ends at a move that is told at once; nobody is called before 'down'."""
    begins = play.session.course.running.since
    if begins > play.now + SOON:
        judge.broken.append(f"{play.now:.0f} s: {who} is called, and begins at {begins:.0f}")
    play.run(chance.uniform(4.0, 40.0))
    shown = [key for key in play.session.window.answers if key.startswith("move:")]
    key = chance.choice([*shown, *shown, "topped"] if shown else ["topped"])
    judge.climbing = 0
    move = TOP if key == "topped" else int(key.split(":")[1])
    judge.ended(who, TOP if move == MOVES else move)
    play.say(key, who=who, source=Source.KEY)
    if play.session.phase is Phase.WORK:
        play.say("down", who=who, source=Source.KEY)
    judge.said_down(who, play.now)


def _said(play: Play, judge: Coached, chance: Random, question: str) -> str:
    if question == "go-ahead":
        return "go"
    if question == "who" and judge.told:
        return f"person:{judge.told}"
    key = str(chance.choice(play.session.window.answers))
    # another boulder has a log of its own, which is no business of this judge
    return {"other-boulder": "same", "enough": "same"}.get(key, key)


def _in_the_rest(play: Play, judge: Coached, chance: Random) -> None:
    if play.session.phase is not Phase.REST or chance.random() > 0.15:
        return
    last = play.session.tries.last
    if not last:
        return
    keys: Iterable[str] = (
        "another",
        "variation:2",
        *(f"cause:{cause}" for cause in CAUSES),
        *(_TOLD if chance.random() < 0.15 else ()),
    )
    key = chance.choice(list(keys))
    if key.startswith("feel:"):
        judge.told, part = last, key.split(":")[1]
        judge.sore.setdefault(last, set()).add(part)
        judge.since.setdefault((last, part), play.now)
    play.say(key, who=last, source=Source.KEY)
