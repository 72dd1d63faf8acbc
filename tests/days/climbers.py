"""Simulated people: what each of them does in the hall, by seeded dice and plain sense.

They know what they hear and see: sentences, windows and the word on the screen.
"""

from dataclasses import dataclass, field
from random import Random
from typing import Any

from tests.days.hall import Hall, Line

#: Answers that a willing, healthy person gives, the most wanted first.
_WILLING = (
    "go",
    "feel:fine",
    "same",
    "no",
    "enough",
    "resume",
    "topped",
    "effort:5",
    "break:holiday",
)
_PARTS = ("fingers", "wrists", "elbows", "shoulders", "back", "hips", "knees", "ankles")


@dataclass
class Climber:
    """A good day: answers every question soon, and tells when a batch or a try is over."""

    dice: Random
    who: int = 1
    easy: float = 40.0
    """Seconds that she takes for a boulder of a batch."""
    late: float = 0.0
    """Seconds by which every answer comes later."""
    answers: bool = True
    _word: str = ""
    _amount: int = 1
    _each: float = 0.0
    _turn: int = 0
    told: list[tuple[float, str]] = field(default_factory=list)

    def notice(self, hall: Hall, line: Line) -> None:
        """Keep how many of them the last cue asked for."""
        amount = dict(line.what.values).get("amount") if line.what is not None else None
        if isinstance(amount, int | float) and amount:
            self._amount = int(amount)
            told = dict(line.what.values).get("movement") if line.what is not None else ""
            self._each = self.easy * (2.0 if told == "middle-boulders" else 1.0)

    def asked(self, hall: Hall, answers: tuple[str, ...], who: int) -> None:
        """Answer a question that is hers, soon after its tone."""
        if not self.answers or who not in (0, self.who) or not self._is_question(answers):
            return
        key = self.choose(answers)
        if key:
            self.speak(hall, key, 0.6 + self.dice.random() + self.late)

    @staticmethod
    def _is_question(answers: tuple[str, ...]) -> bool:
        steps = {"done", "ready", "down", "whats-next", "starting", "again"}
        return not steps & set(answers)

    def choose(self, answers: tuple[str, ...]) -> str:
        """The answer of a willing person, or the first one that is offered."""
        if answers[0].startswith("count:") and "no" in answers:
            return answers[0]  # how many she climbed: she has done them all
        return next((key for key in _WILLING if key in answers), answers[0])

    def speak(self, hall: Hall, key: str, delay: float) -> None:
        """Say it after a while."""
        hall.say(self.who, key, delay)

    def look(self, hall: Hall, view: Any) -> None:
        """When a batch or a try begins, she will be through with it after her own time."""
        word = view.word.value
        if word == self._word and view.turn == self._turn:
            return
        self._word, self._turn = word, view.turn
        if not self.answers or view.turn not in (0, self.who):
            return
        if word == "climb":
            seconds = self._amount * (self._each or self.easy) * (0.8 + 0.4 * self.dice.random())
            hall.after(seconds + self.late, lambda: self._through(hall, "climb", "done"))
        elif word == "try":
            hall.after(
                12.0 + 30.0 * self.dice.random() + self.late,
                lambda: self._through(hall, "try", "down"),
            )

    def _through(self, hall: Hall, word: str, key: str) -> None:
        if hall.view.word.value == word and hall.view.turn in (0, self.who):
            hall.say(self.who, key)


@dataclass
class Telling(Climber):
    """A good day of somebody who tells of a try as she comes off: where it ended, and why."""

    def _through(self, hall: Hall, word: str, key: str) -> None:
        if word != "try":
            super()._through(hall, word, key)
        elif hall.view.word.value == word and hall.view.turn in (0, self.who):
            end = self.dice.choice(("ended-middle", "ended-top", "ended-top", "topped"))
            why = self.dice.choice(("cause:foot", "cause:grip", "closer"))
            hall.say(self.who, end, also=() if end == "topped" else (why,))


@dataclass
class Silent(Climber):
    """Says nothing from some time on; from the start where `since` is 0."""

    since: float = 0.0

    def asked(self, hall: Hall, answers: tuple[str, ...], who: int) -> None:
        if hall.now() < self.since:
            super().asked(hall, answers, who)

    def _through(self, hall: Hall, word: str, key: str) -> None:
        if hall.now() < self.since:
            super()._through(hall, word, key)


@dataclass
class Away(Climber):
    """Says something at some time that stops the session, then is away for good or for a while."""

    at: float = 600.0
    word_of_leave: str = "pause"
    back_after: float | None = None
    _left: bool = False
    _gone: bool = False

    def look(self, hall: Hall, view: Any) -> None:
        if not self._left:
            self._left = True
            hall.after(self.at, lambda: self._leave(hall))
        super().look(hall, view)

    def _leave(self, hall: Hall) -> None:
        self._gone = True
        hall.say(self.who, self.word_of_leave)
        if self.back_after is not None:
            hall.after(self.back_after, lambda: self._return(hall))

    def _return(self, hall: Hall) -> None:
        self._gone = False
        hall.say(self.who, "resume")

    def asked(self, hall: Hall, answers: tuple[str, ...], who: int) -> None:
        if not self._gone:
            super().asked(hall, answers, who)

    def _through(self, hall: Hall, word: str, key: str) -> None:
        if not self._gone:
            super()._through(hall, word, key)


@dataclass
class Hurt(Climber):
    """Gets hurt at some time, says where, and wants to carry on."""

    at: float = 900.0
    part: str = "wrists"
    words: str = "hurt"
    """'hurt', or a feeling such as 'feel:hurting'."""
    _set: bool = False
    hurt_at: float | None = None
    _said: float | None = None

    def look(self, hall: Hall, view: Any) -> None:
        if not self._set:
            self._set = True
            hall.after(self.at, lambda: self._fall(hall))
        super().look(hall, view)

    def _fall(self, hall: Hall) -> None:
        self._said = hall.now()
        hall.say(self.who, self.words)

    def choose(self, answers: tuple[str, ...]) -> str:
        if self._said is not None:
            if f"part:{self.part}" in answers:
                self.hurt_at = self.hurt_at or -1.0
                return f"part:{self.part}"
            if "feel:hurting" in answers and "feel:fresh" not in answers:
                return "feel:hurting"
        return super().choose(answers)

    def speak(self, hall: Hall, key: str, delay: float) -> None:
        super().speak(hall, key, delay)
        if key == f"part:{self.part}" and self._said is not None and self.hurt_at == -1.0:
            self.hurt_at = hall.now() + delay


@dataclass
class Curious(Climber):
    """Says, now and then, one of the answers that the screen shows just then."""

    every: float = 45.0
    keys: bool = False
    avoid: tuple[str, ...] = ("finish", "leaving", "stop", "hurt")
    _set: bool = False

    def look(self, hall: Hall, view: Any) -> None:
        if not self._set:
            self._set = True
            self._later(hall)
        super().look(hall, view)

    def _later(self, hall: Hall) -> None:
        hall.after(self.every * (0.5 + self.dice.random()), lambda: self._try_one(hall))

    def _try_one(self, hall: Hall) -> None:
        shown = [key for key in hall.view.answers if key not in self.avoid]
        if shown:
            hall.say(self.who, self.dice.choice(shown), key_press=self.keys)
        self._later(hall)


@dataclass
class Thorough(Curious):
    """Healthy all day; she tells of her tries, changes them, and asks what the screen offers."""

    every: float = 25.0

    def choose(self, answers: tuple[str, ...]) -> str:
        """Nothing that ends the tries or the day, as far as there is anything else."""
        calm = [key for key in answers if not key.startswith(ENDING)]
        usual = super().choose(answers)
        return self.dice.choice(calm) if calm and self.dice.random() < 0.6 else usual

    def _try_one(self, hall: Hall) -> None:
        shown = [key for key in hall.view.answers if not key.startswith(ENDING)]
        if shown and self.dice.random() < 0.5:
            hall.say(self.who, self.dice.choice(shown))
        elif self.dice.random() < 0.5:
            end, more = self.dice.choice(_TRIES), self.dice.choice(("", "closer", "cause:grip"))
            hall.say(self.who, end, also=(more,) if more and end.startswith("ended") else ())
        self._later(hall)


#: What ends something, or lowers it for long.
ENDING = (
    *("finish", "leaving", "stop", "pause", "hurt", "feel:", "sign", "not-today", "skip"),
    *("home", "enough", "part:", "tissue", "short", "fewer", "last-go", "back", "age:"),
)
#: What may be told of a try at any time after it.
_TRIES = ("ended-start", "ended-middle", "ended-top", "topped", "closer", "cause:foot", "move:5",
          "cause:tired", "felt-harder", "variation:1", "went", "held-back")  # fmt: skip


@dataclass
class Shouting(Climber):
    """Says anything that there are words for, at any time, often all at once."""

    words: tuple[str, ...] = ()
    every: float = 20.0
    _set: bool = False

    def look(self, hall: Hall, view: Any) -> None:
        if not self._set:
            self._set = True
            self._later(hall)
        super().look(hall, view)

    def _later(self, hall: Hall) -> None:
        hall.after(self.every * 2 * self.dice.random(), lambda: self._shout(hall))

    def _shout(self, hall: Hall) -> None:
        for _ in range(self.dice.choice((1, 1, 1, 2, 4))):
            who = self.dice.choice([person.who for person in hall.people])
            hall.say(who, self.dice.choice(self.words), key_press=self.dice.random() < 0.2)
        self._later(hall)

    def choose(self, answers: tuple[str, ...]) -> str:
        return self.dice.choice(answers)


@dataclass
class Contrary(Climber):
    """Answers every question, each time anyhow."""

    def choose(self, answers: tuple[str, ...]) -> str:
        return self.dice.choice(answers)


@dataclass
class Aching(Climber):
    """Two things are off: asked about the one, she tells of the other, or names it after."""

    _COMPLAINTS = ("feel:sore", "feel:hurting", "feel:fingers:sore", "feel:fingers:hurting")

    def choose(self, answers: tuple[str, ...]) -> str:
        """A complaint where one is offered, every other time; of what is sore, any kind."""
        offered = [key for key in answers if key in self._COMPLAINTS]
        if offered and self.dice.random() < 0.5:
            return self.dice.choice(offered)
        if answers[0].startswith(("part:", "tissue:", "sign:")):
            return self.dice.choice(answers)
        return super().choose(answers)

    def asked(self, hall: Hall, answers: tuple[str, ...], who: int) -> None:
        of_a_body = answers[0].startswith(("part:", "tissue:", "sign:", "feel:"))
        if of_a_body and who in (0, self.who) and self.dice.random() < 0.4:
            other = (*self._COMPLAINTS[2:], *(f"part:{part}" for part in _PARTS))
            self.speak(hall, self.dice.choice(other), 0.3 + self.dice.random())
        super().asked(hall, answers, who)


PARTS = _PARTS
