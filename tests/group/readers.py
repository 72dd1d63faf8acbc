"""A reader of public transcripts and screens who tries to guess who is limited.

It learns, by counting, how much more often the lines about limited people have some shape: to be
called alone, how often, first or last, beside how many others.
"""

import math
import re
from collections import Counter

from coach.group.display import stands
from coach.group.gathering import Group
from coach.group.group_step import step
from coach.session.effects import Say
from coach.session.events import Event, Started
from tests.group.runs import by_itself, language

_NUMBERS = re.compile(r"\d+")


def public_words(given: Group) -> list[str]:
    """Everything that is said aloud in a silent session, and every public screen that differs."""
    words, screens, spoke = list[str](), list[str](), 0.0
    now, event = given, _begun()
    while event is not None:
        last = now
        now, effects = step(now, event)
        for effect in effects:
            if isinstance(effect, Say):
                words.append(language().text(effect.what))
                spoke = effect.at
        if now.seated is not last.seated or now.pending is not last.pending or not screens:
            shown = " / ".join(
                f"{s.name}: {' '.join(map(str, s.now))} > {' '.join(map(str, s.next))}"
                for s in stands(now)
            )
            if not screens or screens[-1] != shown:
                screens.append(shown)
        event = by_itself(now, spoke)
    return words + screens


def _begun() -> Event | None:
    return Started(0.0)


def shapes(words: list[str], who: int) -> set[str]:
    """What can be counted of one person in what everybody hears and sees."""
    lines = [set(map(int, _NUMBERS.findall(line.split(".")[0]))) for line in words]
    mine = [numbers for numbers in lines if who in numbers]
    found = {f"lines {min(len(mine), 40)}"}
    found |= {f"beside {len(numbers) - 1}" for numbers in mine}
    found |= {f"alone {sum(len(numbers) == 1 for numbers in mine)}"}
    for line in words:
        head, _, rest = line.partition(":")
        if str(who) in _NUMBERS.findall(head):
            found.add(f"at {rest.strip()[:12]}")
    return found


class Reader:
    """Naive Bayes over the shapes."""

    def __init__(self) -> None:
        self._of = {True: Counter[str](), False: Counter[str]()}
        self._people = {True: 0, False: 0}

    def learn(self, words: list[str], people: int, limited: set[int]) -> None:
        """Read a transcript with what is true of it."""
        for who in range(1, people + 1):
            self._people[who in limited] += 1
            self._of[who in limited].update(shapes(words, who))

    def guess(self, words: list[str], people: int) -> int:
        """Who is most likely limited."""
        return max(range(1, people + 1), key=lambda who: self._likelihood(shapes(words, who)))

    def _likelihood(self, found: set[str]) -> float:
        def share(shape: str, limited: bool) -> float:
            return (self._of[limited][shape] + 1) / (self._people[limited] + 2)

        return sum(math.log(share(s, True) / share(s, False)) for s in found)
