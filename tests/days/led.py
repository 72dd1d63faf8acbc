"""Days of a group, whose leader tells things of people, answers or doesn't; with bad luck at times.

`live(seed)` is one of them: who comes is drawn as in `tests/group/watched.py`, which watches it.
"""

from dataclasses import dataclass
from random import Random
from typing import Any

from coach.group.kind import GROUP
from coach.group.phrases import ABOUT
from coach.model.body import Feel, Part
from tests.days.hall import Hall, Line
from tests.days.judges import LivedDay
from tests.days.living import Also, run
from tests.days.told_before import BadLuck
from tests.group.runs import language
from tests.group.watched import random_group

#: What the leader says of nobody.
ALONE = (
    *("next", "stay", "more-time:2", "again", "where", "undo", "pause", "resume", "stop"),
    *("finish", "hurt", "sign", "how-long", "whats-next", "next", "where"),
)
#: And of somebody, besides what a screen shows then.
OF_ONE = (
    *ABOUT,
    *("hurts", "out", "return", "let-in", "yes", "sign:pop", "sign", "hurt"),
    *(f"feel:{part}:{feel}" for part in (Part.FINGERS, Part.KNEES) for feel in Feel),
    *(f"part:{part}" for part in (Part.FINGERS, Part.HEAD, Part.KNEES)),
)


@dataclass
class Leader:
    """Says one thing or another every few minutes, and answers most of what is asked."""

    dice: Random
    many: int
    who: int = 1
    _set: bool = False

    def notice(self, hall: Hall, line: Line) -> None:
        """Nothing comes of a sentence alone."""

    def asked(self, hall: Hall, answers: tuple[str, ...], who: int) -> None:
        """Answer soon, or after the window has closed, or not at all."""
        if self.dice.random() < 0.6:
            hall.say(who, self.dice.choice(answers), self.dice.choice((0.8, 2.0, 5.0, 20.0)))

    def look(self, hall: Hall, view: Any) -> None:
        """The first thing is said some time after the start."""
        if not self._set:
            self._set = True
            self._later(hall)

    def _later(self, hall: Hall) -> None:
        hall.after(self.dice.uniform(20.0, 400.0), lambda: self._tell(hall))

    def _tell(self, hall: Hall) -> None:
        key_press = self.dice.random() < 0.5
        if self.dice.random() < 0.4:
            lot = self.dice.random()
            word = self.dice.choice(hall.view.answers if lot < 0.3 else ALONE)
            hall.say(0, word, key_press=key_press)
        else:
            hall.say(0, f"person:{self.dice.randint(1, self.many)}", key_press=key_press)
            for after in (2.0, 5.0, 9.0):
                if self.dice.random() < 0.6:
                    hall.say(0, self.dice.choice(OF_ONE), after, key_press=key_press)
        self._later(hall)


def live(seed: int, *, also: Also = lambda *_: None) -> LivedDay:
    """Run the group of a seed to its end; AssertionError where something befalls somebody."""
    dice = Random(seed)
    given, watch = random_group(dice)
    hall = Hall(language(), [Leader(Random(dice.random()), len(given.people))])
    if dice.random() < 0.4:
        hall.people.append(BadLuck(Random(dice.random())))
    day = LivedDay(hall, [], given.programme.seconds / 60.0)
    run(day, given, also, GROUP, watch)
    return day
