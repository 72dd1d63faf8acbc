"""Leaders who press and say anything at any time: `python -m tests.bench.spiteful [SESSIONS]`.

Random groups through the real core; the judge reads what was told, who was seated where, what was
said and what is on the record, and uses none of the group's own rules. `FIRST` and on are the
seeds, so that a day that is wrong can be run again.
"""

import random
import sys
from collections import Counter, defaultdict

from coach.group.gathering import Act, Group, Status
from coach.group.group_step import new_group
from coach.model.facts import StepEnded
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.planning.stations import Station
from coach.session.effects import Effect, Record, Say
from coach.session.events import Answered, Event, Reopened
from coach.session.state import Phase
from tests.group.led import Led
from tests.group.runs import library

FIRST, SESSIONS = 22_000, 200
#: What may be told of time, of whoever was named, and of nobody by number.
KEYS = (
    "next", "stay", "more-time:2", "again", "where", "pause", "stop", "resume", "undo", "no",
    "hurt", "hurts", "late", "out", "return", "let-in", "feel:sore", "part:knees", "part:neck",
    "part:fingers", "tissue:joint", "tissue:muscle", "sign:bleeding", "sign:pop", "sign:head-knock",
)  # fmt: skip
#: Signs after which nobody comes back today, as `coach.model.signs` prints its sources.
GRAVE = {"sign:bleeding", "sign:head-knock"}
#: A mat is shorter than this only for who has not done it.
LEAST_MAT = 60.0


class Judge:
    """Looks at every turn of one session."""

    def __init__(self, seed: int) -> None:
        self.dice = random.Random(seed)
        self.wrong: list[str] = []
        self.warmed: dict[int, float] = defaultdict(float)
        self.since_told: Counter[str] = Counter()
        self.promised: set[int] = set()
        """Who was told that they do the mat first."""

    def group(self) -> Group:
        """Who is there, and where they work."""
        dice = self.dice
        count = dice.randint(1, 14)
        people = tuple(Person(n, age=dice.choice(list(AgeBand))) for n in range(1, count + 1))
        boards = (Station(f"board {n}", "board", 1) for n in range(1, 1 + min(count, 2)))
        stations = (*boards, Station("wall", "wall", dice.choice((4, 8))))
        late = tuple(n for n in range(1, count + 1) if dice.random() < 0.1)
        options = Options(people, dice.choice((20.0, 30.0, 45.0)))
        return new_group(library(), options, stations, late, roll=dice.random() < 0.3)

    def look(self, before: Group, event: Event, now: Group, effects: tuple[Effect, ...]) -> None:
        """One turn."""
        did = now.did.key if now.did is not None else ""
        refused = isinstance(event, Answered) and (
            did == "not-now" or now.listening.heard is before.listening.heard
        )
        told = isinstance(event, (Answered, Reopened)) and not refused
        further = (now.seated, now.callouts, now.act) != (
            before.seated,
            before.callouts,
            before.act,
        )
        if told or further or now.swapped > before.swapped:
            self.since_told.clear()
        for effect in effects:
            if isinstance(effect, Say):
                self._said(effect, now)
            elif isinstance(effect, Record) and isinstance(effect.fact, StepEnded):
                fact = effect.fact
                if fact.block in ("pulse", "mat"):
                    self.warmed[fact.who] += fact.seconds
        self._seats(before, now)
        self._open(before, event, now)

    def _seats(self, before: Group, now: Group) -> None:
        """Nobody has a seat who takes no part, or who never was warm."""
        cut = any(cap.rule == "skip-floor" for cap in now.programme.day.caps)
        for seat, who in ((one, who) for one in now.seated for who in now.members(one)):
            if now.status(who) is not Status.HERE:
                self.wrong.append(f"{now.at:.0f} s: {who} is {now.status(who)} and has a seat")
            if seat not in before.seated:
                if who in self.promised and seat.station != "mat":
                    self.wrong.append(f"{now.at:.0f} s: {who} was told the mat, {seat.station}")
                self.promised.discard(who)
            warm = self.warmed[who] >= LEAST_MAT or cut
            if seat not in before.seated and seat.station != "mat" and not warm:
                self.wrong.append(f"{now.at:.0f} s: {who} is at {seat.station}, never warm")

    def _open(self, before: Group, event: Event, now: Group) -> None:
        """Who is hurt does not stay open, and nobody comes back from a grave sign."""
        open_hurt = before.phase is Phase.HURT and now.phase not in (Phase.HURT, Phase.OVER)
        key = event.answer.key if isinstance(event, Answered) else ""
        if open_hurt and not (key == "resume" or key.startswith("person:")):
            self.wrong.append(f"{now.at:.0f} s: it was left open who is hurt, by {key!r}")
        for who, sign in now.programme.day.signs:
            if f"sign:{sign}" in GRAVE and now.status(who) is Status.HERE:
                self.wrong.append(f"{now.at:.0f} s: {who} is back after {sign}")

    def _said(self, say: Say, now: Group) -> None:
        key = say.what.key
        self.since_told[repr(say.what)] += 1
        if key == "group-mat-first":
            self.promised.add(int(str(dict(say.what.values)["people"])))
        form = key in ("cue", "group-move", "group-form", "group-climb")
        if form and not now.here and now.phase is not Phase.OVER:
            self.wrong.append(f"{now.at:.0f} s: {key} to nobody")
        asks = key in ("group-who", "group-where", "ask-tissue", "ask-sign", "group-let-in")
        most = 13 if key == "hurt-stay" or key.startswith("advice-") else 2 if asks else 3
        if self.since_told[repr(say.what)] > most:
            self.wrong.append(f"{now.at:.0f} s: {key} more than {most} times for one cause")


def day(seed: int) -> list[str]:
    """One session; what is wrong with it."""
    judge = Judge(seed)
    dice, led = judge.dice, Led(judge.group())
    led.also = judge.look
    end = dice.uniform(200, 2400)
    while led.now.phase is not Phase.OVER and led.now.at < end:
        led.until(led.now.at + dice.choice((1.0, 3.0, 10.0, 60.0, 400.0)))
        for _ in range(dice.randint(1, 4)):
            key = dice.choice(KEYS) if dice.random() < 0.6 else f"person:{dice.randint(1, 15)}"
            led.tell(key, voice=dice.random() < 0.5)
        if dice.random() < 0.02:
            led.take(Reopened(led.now.at, seconds=300.0))
    if dice.random() < 0.3:
        led.tell("finish")
    at = led.now.at
    led.until(at + 8000.0)
    if led.now.phase is not Phase.OVER:
        judge.wrong.append(f"{led.now.act} of {at:.0f} s never ends")
    if led.now.act is Act.WARM and led.now.how == "done":
        judge.wrong.append("done before anything but the mat")
    return judge.wrong


def main(sessions: int = SESSIONS) -> None:
    """Print what is wrong, and how many were run."""
    wrong = 0
    for seed in range(FIRST, FIRST + sessions):
        found = day(seed)
        wrong += bool(found)
        for line in found[:3]:
            print(f"seed {seed}: {line}", flush=True)
    print(f"{sessions} sessions, {wrong} with something wrong")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else SESSIONS)
