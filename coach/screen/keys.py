"""Which key means what, and when a press counts.

`KEYS` is the one table: the screen, the typed lines and the documentation read it. `Presses` turns
presses into at most one answer per touch, so that a knuckle on many keys, or a key held down,
counts once. Nothing here knows what a terminal library calls an event; times are seconds.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from coach.model.answers import ANYTIME, Meaning, parse
from coach.model.nature import Tendency
from coach.session.events import Answered, KeyClaimed, Source
from coach.session.view import View, Word


@dataclass(frozen=True, slots=True)
class Key:
    """What one key means."""

    answer: str
    """Answer key that it sends; '' for the one expected answer."""
    also: str = ""
    """What it sends instead while that one counts, or while the session is paused."""
    twice: bool = False
    """Asks first: only a second press sends it."""


ANY_KEY = Key("")


#: The letters in the order in which the screen shows them.
_LETTERS = "pshfkbamnlweqg"


def _lettered() -> dict[str, Key]:
    """The letters of the table of answers; of two with one letter the second is sent in turn."""
    found: dict[str, Key] = {}
    for meaning in Meaning:
        nature = meaning.nature
        if nature.letter in found:
            found[nature.letter] = replace(found[nature.letter], also=meaning.value)
        elif nature.letter:
            answer = next(iter(nature.always), meaning.value)
            found[nature.letter] = Key(answer, twice=nature.twice)
    return {letter: found[letter] for letter in sorted(found, key=_LETTERS.index)}


#: Named by the character, or by the terminal's name of the key. Every key that is not here,
#: but for the figures and QUIET, counts as ANY_KEY.
KEYS: dict[str, Key] = {
    "enter": ANY_KEY,
    "space": ANY_KEY,
    # a slide clicker's forward button sends one of these two
    "pagedown": ANY_KEY,
    "right": ANY_KEY,
    # and its backward button one of these
    "pageup": Key("again"),
    "left": Key("again"),
    **_lettered(),
}

#: Keys that never count: they leave a question that a key asked.
QUIET = frozenset({"escape"})

#: Seconds after the first press in which further presses belong to the same touch.
TOUCH = 0.15
#: Seconds within which the same key is taken as held down: longer than the usual delay before a
#: keyboard repeats a key (X.org's default is 660 ms, from memory).
HELD = 0.8
#: Seconds that a key's own question stays.
ASKS = 6.0

#: Claims that no voice may state stand among the answers with this head.
CLAIM = "cleared:"


@dataclass(frozen=True, slots=True)
class Hint:
    """A press that sends nothing, and why: a label of the screen and the answer it is about."""

    label: str
    about: str = ""
    typed: str = ""
    """What was typed of a number so far."""


@dataclass(frozen=True, slots=True)
class ScreenKey:
    """A press that is for the screen itself, and sends nothing."""

    name: str


Outcome = Answered | KeyClaimed | Hint | ScreenKey


def expected(view: View) -> str | None:
    """The answer that any key gives: the first one that counts.

    None if that one could raise load, can only be chosen or is a claim; and if nothing but ANYTIME
    answers counts.
    """
    if not view.answers or view.answers[0] in ANYTIME or view.answers[0].startswith(CLAIM):
        return None
    answer = parse(view.answers[0])
    if answer.tendency is Tendency.RAISING or answer.meaning.nature.chosen:
        return None
    return answer.key


def numbered(answers: Sequence[str]) -> dict[int, str]:
    """The figure of each answer without a letter: a count has its own, the others their place.

    Beside counts only 'no' has a figure, the one after them: there a figure is a count.
    """
    offered = [key for key in answers if not letter_of(key)]
    counts = {number: key for key in offered if (number := _count(key))}
    if counts and Meaning.NO.value in offered:
        counts[max(counts) + 1] = Meaning.NO.value
    return counts or dict(enumerate(offered[:9], start=1))


def figures_of(view: View) -> dict[int, str]:
    """The figures of a view; none where they are the numbers of people (`coach.screen.naming`)."""
    return {} if view.led and asks_who(view) else numbered(view.answers)


def asks_who(view: View) -> bool:
    """Whether it is asked who it is."""
    return any(key.startswith(f"{Meaning.PERSON.value}:") for key in view.answers)


def _count(key: str) -> int:
    """The figure of a count, 0 for any other answer."""
    if key.startswith(CLAIM):
        return 0
    answer = parse(key)
    if answer.meaning is not Meaning.COUNT or answer.number not in range(1, 10):
        return 0
    return answer.number or 0


def letter_of(answer: str) -> str:
    """The letter that sends an answer; '' if none does."""
    return next(
        (name for name, key in KEYS.items() if len(name) == 1 and answer in (key.answer, key.also)),
        "",
    )


def press_of(answer: str, view: View) -> str:
    """What is pressed for an answer that a view shows: its letter, or its figure."""
    figures = (str(figure) for figure, key in figures_of(view).items() if key == answer)
    return letter_of(answer) or next(figures, "")


def chosen(name: str, view: View) -> tuple[str, bool] | Hint:
    """What a lone press means: the answer key and whether it asks first; or why it is none."""
    if name.isdigit():
        figures = figures_of(view)
        answer = figures.get(int(name))
        if answer is None:
            return Hint("key-no-figure") if figures else Hint("key-nothing-asked")
        return answer, answer.startswith(CLAIM) or _asks(answer, view)
    key = KEYS.get(name, ANY_KEY)
    if not key.answer:
        first = expected(view)
        if first is None:
            return Hint("key-choose" if figures_of(view) else "key-nothing-asked")
        return first, False
    if key.also and (key.also in view.answers or view.word is Word.PAUSED):
        return key.also, False
    if not counts_here(key.answer, view):
        return Hint("key-not-understood")
    return key.answer, key.twice and _asks(key.answer, view)


def counts_here(answer: str, view: View) -> bool:
    """Whether a letter's answer can mean anything: where somebody leads, their own alone do."""
    return not view.led or parse(answer).meaning.nature.leader


def _asks(key: str, view: View) -> bool:
    """Whether an answer asks first; what the program asks about does not, unless it raises."""
    answer = parse(key)
    asked = key in view.answers and answer.tendency is not Tendency.RAISING
    return answer.meaning.nature.twice and not asked


@dataclass(slots=True)
class _Touch:
    name: str
    began: float
    view: View
    alone: bool = True
    settled: bool = False


@dataclass(slots=True)
class KeyPresses:
    """Presses in, at most one outcome per touch out: feed `press`, ask `settle` after TOUCH."""

    own: frozenset[str] = frozenset()
    """Keys that are for the screen itself."""
    _touch: _Touch | None = None
    _last: tuple[str, float] | None = None
    """The latest press of all."""
    _asked: tuple[str, float] | None = None
    """The answer that a key asked about, and until when."""

    def press(self, name: str, at: float, view: View) -> None:
        """A key was pressed at a time, while a view was shown."""
        before, self._last = self._last, (name, at)
        touch = self._touch
        if touch is not None and not touch.settled and at - touch.began < TOUCH:
            touch.alone = touch.alone and name == touch.name
            return
        if before is not None:
            since = at - before[1]
            if since < TOUCH or (name == before[0] and since < HELD):
                return
        self._touch = _Touch(name, at, view)

    def asks(self, at: float) -> str | None:
        """The answer that waits for its second press, if one does."""
        return self._asked[0] if self._asked is not None and at < self._asked[1] else None

    def settle(self, at: float) -> Outcome | None:
        """The outcome of a touch that is over; None while there is nothing to say."""
        touch = self._touch
        if touch is None or touch.settled or at - touch.began < TOUCH:
            return None
        touch.settled = True
        waiting, self._asked = self.asks(touch.began), None
        if touch.alone and touch.name in QUIET:
            return Hint("key-left-it") if waiting else None
        if touch.alone and touch.name in self.own:
            return ScreenKey(touch.name)
        # many keys at once are no choice of one of them
        pick = chosen(touch.name if touch.alone else "enter", touch.view)
        if isinstance(pick, Hint):
            return pick
        answer, twice = pick
        if twice and waiting != answer:
            self._asked = (answer, at + ASKS)
            return Hint("key-ask", answer)
        return sends(answer, touch.view, touch.began, at)


def sends(answer: str, view: View, onset: float, at: float) -> Answered | KeyClaimed:
    """The event of an answer by key, for whoever's turn it is."""
    who = view.turn or 1
    if answer.startswith(CLAIM):
        return KeyClaimed(at=at, claim=answer, who=who)
    return Answered(
        at=at,
        answer=parse(answer),
        who=who,
        onset=onset,
        window=view.window,
        source=Source.KEY,
    )
