"""A language pack: the only place where a message becomes a sentence and a phrase an answer.

A sentence may hold `{name}` for a value, `{name?one|many}` or `{name?one|many|none}` for a
plural ('#' is the number), and for movements
`{movement}` (its title), `{cue}` (its line), `{form}` (what to look for) and `{dose}` (how much).
`{people}` is everybody whose number stands in the value, by name or number, '1+2' two partners;
`{part}` and `{parts}` are the parts of the body that stand in it.
A value that names a thing of the program ('fingers', 'done') is put in by its own words of the
pack.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from coach.model.answers import Answer, parse
from coach.model.breath import DESCRIBES, in_one_breath
from coach.model.messages import Message, Value
from coach.model.movement import Movement
from coach.model.person import Person

_SLOT = re.compile(
    r"\{(?P<name>[a-z_]+)(?:\?(?P<one>[^|{}]*)\|(?P<many>[^|{}]*)(?:\|(?P<none>[^|{}]*))?)?\}"
)
_LOOSE = re.compile(r"[^\w\s]+")
_SPACES = re.compile(r"\s+")


def normal(text: str) -> str:
    """A phrase as it is compared: lower case, hyphens apart, without punctuation, single spaces."""
    return _SPACES.sub(" ", _LOOSE.sub("", text.lower().replace("-", " "))).strip()


@dataclass(frozen=True)
class Language:
    """One pack, with the movements whose cues it reads."""

    code: str
    says: Mapping[str, str]
    """Message key -> sentence."""
    answers: Mapping[str, tuple[str, ...]]
    """Answer key -> phrases, the one that is shown first."""
    words: Mapping[str, str]
    """Name of a thing -> its words."""
    movements: Mapping[str, Movement] = field(default_factory=dict)
    names: Mapping[int, str] = field(default_factory=dict)
    """What each person who has a name is called, by number."""
    times: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Answer key of a time of day -> its phrase, as 'until ten past seven'."""

    def naming(self, people: Iterable[Person]) -> "Language":
        """The same pack, which calls these people by their names, and hears them by these."""
        names = {person.who: person.name for person in people if person.name}
        taken = {normal(text) for texts in self.answers.values() for text in texts}
        heard = {
            f"person:{who}": (name, *self.answers.get(f"person:{who}", ()))
            for who, name in names.items()
            if normal(name) and normal(name) not in taken
        }
        return replace(self, names=names, answers={**self.answers, **heard})

    def at(self, circuits: Iterable[str]) -> "Language":
        """The same pack, which hears the circuits of a place by their names."""
        taken = {normal(text) for texts in self.answers.values() for text in texts}
        heard = {
            f"circuit:{name}": (name,)
            for name in circuits
            if normal(name) and normal(name) not in taken
        }
        return replace(self, answers={**self.answers, **heard})

    def text(self, what: Message) -> str:
        """The sentence of a message; KeyError with its key if the pack has none."""
        if what.key not in self.says:
            raise KeyError(f"language pack {self.code!r} has no sentence for {what.key!r}")
        values = dict(what.values)
        sentence = _SLOT.sub(lambda slot: self._fill(slot, values), self.says[what.key])
        sentence = _SPACES.sub(" ", sentence).strip()
        who = values.get("who")
        if isinstance(who, int) and who > 0:
            name = self.names.get(who) or f"{self.words['number']} {who}"
            sentence = f"{name}: {sentence}"
        return sentence

    def _fill(self, slot: re.Match[str], values: Mapping[str, Value]) -> str:
        name = slot["name"]
        if name in ("cue", "dose", "form", "movement"):
            return self._of_movement(name, values)
        if name in ("part", "parts"):
            return self._listed(str(values.get(name, "")).split())
        if name == "people":
            return ", ".join(map(self._together, str(values.get(name, "")).split()))
        value = values.get(name, "")
        if name == "block":
            return self.says.get(f"block-{value}", self.word(value))
        if name == "station":
            return self.words.get(f"station-{value}", self.word(value))
        return self.word(value) if slot["one"] is None else _plural(slot, value, self.word(value))

    def _together(self, team: str) -> str:
        """Those who share a place, as '1+2': 'Runa and Osk'."""
        called = (self.names.get(int(number)) or number for number in team.split("+"))
        return f" {self.words['and']} ".join(called)

    def _listed(self, names: list[str]) -> str:
        """Things by their words: 'hips and ankles'."""
        words = [self.word(name) for name in names]
        before = ", ".join(words[:-1])
        return f"{before} {self.words['and']} {words[-1]}" if before else "".join(words)

    def word(self, value: Value) -> str:
        """The words of a value: a thing's own words, a phrase of an answer, or a number."""
        if isinstance(value, float):
            return f"{value:g}"
        if isinstance(value, int):
            return str(value)
        if value in self.words:
            return self.words[value]
        if value in self.heard:
            return self.heard[value][0]
        if value in self.movements:
            return self.title(value)
        return value

    def _of_movement(self, name: str, values: Mapping[str, Value]) -> str:
        movement = self.movements.get(str(values.get("movement", "")))
        if movement is None:
            return self.word(values.get("kind", ""))
        if name == "movement":
            return self.title(movement.name)
        if name in ("cue", "form"):
            lines = movement.cue if name == "cue" else movement.form
            line = lines.get(self.code) or next(iter(lines.values()), "")
            return self._with_hands(line, str(values.get("side", "")))
        unit = movement.unit.value
        amount = values.get("amount", movement.amount)
        side = "" if movement.names_hands else str(values.get("side", ""))
        dose = self.says.get(f"dose-{unit}", "")
        dose = _SLOT.sub(
            lambda slot: (
                str(amount)
                if slot["one"] is None
                else (slot["one"] if amount == 1 else slot["many"])
            ),
            dose,
        )
        return f"{self.words.get(side, '')} {dose}".strip()

    def _with_hands(self, line: str, side: str) -> str:
        """A cue with the hand of a side, and the other one, in their words."""
        if "{hand}" not in line:
            return line
        other = {"left": "right", "right": "left"}.get(side, "")
        hands = {"hand": "this-hand", "other-hand": "that-hand"}
        if other:
            hands = {"hand": f"this-hand-{side}", "other-hand": f"this-hand-{other}"}
        for slot, word in hands.items():
            line = line.replace(f"{{{slot}}}", self.words[word])
        return line[:1].upper() + line[1:]

    def title(self, movement: str) -> str:
        """Two or three words for a movement."""
        titles = self.movements[movement].title
        return titles.get(self.code) or next(iter(titles.values()))

    def find(self, text: str) -> Answer | None:
        """The answer that a typed phrase or an answer's own name means, or None."""
        wanted = normal(text)
        for key, phrases in self.heard.items():
            if wanted in map(normal, phrases):
                return parse(key)
        try:
            return parse(text.strip().lower())
        except ValueError:
            return None

    def breath(self, text: str) -> tuple[Answer, ...]:
        """What a typed phrase means, or several of one try, as 'move five, a foot slipped'.

        The one that decides comes first; empty where it means nothing.
        """
        found = self.find(text)
        if found is not None:
            return (found,)
        words, between = normal(text).split(), self._between
        meant: list[Answer] = []
        while words:
            size = next((n for n in range(len(words), 0, -1) if self._of_a_try(words[:n])), 0)
            if size:
                meant += self._of_a_try(words[:size])
            elif words[0] not in between:
                return ()
            words = words[max(size, 1) :]
        return tuple(meant) if len(meant) == 1 else in_one_breath(meant)

    def _of_a_try(self, words: list[str]) -> tuple[Answer, ...]:
        """The answer about a try that these words are, or none."""
        key = self._phrases_of_a_try.get(" ".join(words))
        return (parse(key),) if key is not None else ()

    @cached_property
    def _between(self) -> frozenset[str]:
        """Words that may stand between what one breath tells."""
        return frozenset(self.words.get("in-one-breath", "").split())

    @cached_property
    def _phrases_of_a_try(self) -> dict[str, str]:
        """Phrase -> answer key; also without a first word that may stand between, as 'a'."""
        found: dict[str, str] = {}
        for key, phrases in self.answers.items():
            if parse(key).meaning.nature.tells or parse(key).meaning in DESCRIBES:
                for phrase in map(normal, phrases):
                    first, _, rest = phrase.partition(" ")
                    if first in self._between:  # of one word alone nothing is left to match
                        found.setdefault(rest, key)
                    found[phrase] = key
        return found

    def phrase(self, key: str) -> str:
        """The phrase that is shown for an answer."""
        return self.heard[key][0] if key in self.heard else key

    @cached_property
    def heard(self) -> Mapping[str, tuple[str, ...]]:
        """The phrases of every answer, those of the times of day included."""
        return {**self.answers, **self.times}

    @property
    def said(self) -> frozenset[str]:
        """Everything that can be said as an answer."""
        return frozenset(phrase for phrases in self.heard.values() for phrase in phrases)

    def phrases(self, keys: Iterable[str]) -> dict[str, tuple[str, ...]]:
        """Every phrase of the answers asked for."""
        return {key: self.answers[key] for key in keys if key in self.answers}


def _plural(slot: re.Match[str], value: Value, word: str) -> str:
    if value == 0 and slot["none"] is not None:
        return slot["none"]
    return slot["one"] if value == 1 else slot["many"].replace("#", word)
