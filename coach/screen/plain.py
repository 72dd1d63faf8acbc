"""Plain lines instead of the screen: what happens, a line each, and answers typed as lines.

Works on any stream, with no terminal and without Textual. This module alone owns the format
`MM:SS [who:] words`.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import TextIO

from coach.model import scale
from coach.model.answers import Answer, Meaning
from coach.model.messages import Message
from coach.screen.face import Face, left_label
from coach.screen.keys import KEYS, Hint, asks_who, chosen, figures_of, letter_of, sends
from coach.screen.naming import LETTER, none_of, person
from coach.screen.near import answer_rows
from coach.screen.rows import row_text
from coach.screen.shapes import Shapes
from coach.screen.weighing import claimed
from coach.session.events import Answered, KeyClaimed
from coach.session.view import View


def line(at: float, words: str, who: str = "") -> str:
    """One line: minutes and seconds of the session's timeline, who, and the words."""
    seconds = max(int(at), 0)
    clock = f"{seconds // 60:02d}:{seconds % 60:02d}"
    return f"{clock} {who}: {words}" if who else f"{clock} {words}"


class PlainScreen:
    """Prints a session to a stream and turns typed lines into events."""

    def __init__(
        self,
        out: TextIO,
        words: Callable[[Message], str],
        answer_text: Callable[[str], str],
        find_answers: Callable[[str], Sequence[Answer]],
        now: Callable[[], float],
        send: Callable[[Answered | KeyClaimed], None],
        shapes: Shapes,
    ) -> None:
        self._out = out
        self._face = Face(words, answer_text, shapes)
        self._find = find_answers
        self._now = now
        self._send = send
        self._view: View | None = None
        self._asked = ""
        self._told: Message | None = None

    def said(self, at: float, what: Message, who: str = "") -> None:
        """Print a sentence of the coach's; `who` is the name it is meant for, '' for everybody.

        A change that `show` has printed is not printed again when it is said.
        """
        told, self._told = self._told, None
        if what != told:
            self._print(at, self._face.say(what), who)

    def show(self, view: View) -> None:
        """Print what a view has that the one before had not: the change made, the answers."""
        before, self._view = self._view, view
        at = self._now()
        if before is None or (view.heard, view.did) != (before.heard, before.did):
            heard = f'"{self._face.say(view.heard)}"' if view.heard is not None else ""
            did = f"{self._face.shapes.arrow} {self._face.say(view.did)}" if view.did else ""
            self._told = view.did
            if heard or did:
                self._print(at, " ".join(part for part in (heard, did) if part))
        if before is None or (view.ear, view.word) != (before.ear, before.word):
            state = (
                self._face.label(f"word-{view.word.value}"),
                self._face.label(f"ear-{view.ear.value}"),
                left_label(view, at, self._face),
            )
            self._print(at, f" {self._face.shapes.dot} ".join(text for text in state if text))
        if view.weighs and (before is None or view.weighs != before.weighs):
            self._print(at, self._face.label("show-scale"))
        asked = (view.answers, view.window)
        if view.answers and (before is None or asked != (before.answers, before.window)):
            items = answer_rows(view, self._face)
            self._print(at, "   ".join(row_text(item) for item in items))

    def read(self, lines: Iterable[str]) -> None:
        """Take every line as an answer until there are no more."""
        for text in lines:
            self.typed(text)

    def typed(self, text: str) -> None:
        """Send what a typed line means.

        In this order: nothing is the one expected answer; a person's number, for whoever leads; a
        figure, the answer with that figure; minutes, where these are asked; a phrase of the
        language pack; a scale's reading, with 'kg' or where no answer has that figure; a letter of
        the key table. Anything else is said back.
        """
        view, at = self._view, self._now()
        if view is None:
            return
        text = " ".join(text.split()).casefold()
        asked, self._asked = self._asked, ""
        reading = self._reading(text, view)
        if reading is not None:
            self._send(claimed(reading, view, at))
            return
        pick = self._meaning(text, view)
        if isinstance(pick, Hint):
            self._print(at, self._face.label(pick.label))
            return
        answer, twice = pick
        if twice and asked != answer:
            self._asked = answer
            spoken = self._face.answer(answer)
            press = letter_of(answer) or text
            self._print(at, self._face.label("key-ask", answer=spoken, press=press))
            return
        _, *also = self._find(text) or (None,)
        event = sends(answer, view, at, at)
        if isinstance(event, Answered):
            event = replace(event, also=tuple(also))
        self._send(event)

    def _reading(self, text: str, view: View) -> float | None:
        figure = text.isdecimal() and int(text) in figures_of(view)
        if not view.weighs or figure or self._find(text):
            return None
        return scale.kilograms(text)

    def _meaning(self, text: str, view: View) -> tuple[str, bool] | Hint:
        if not text:
            return (none, False) if (none := none_of(view)) else chosen("enter", view)
        figures = text.removeprefix(LETTER).lstrip() if view.led else ""
        if figures.isdecimal() and (figures != text or asks_who(view)):
            return person(figures), False
        if text.isdecimal():
            pick = chosen(text, view)
            if not isinstance(pick, Hint):
                return pick
            minutes = f"{Meaning.MINUTES.value}:{int(text)}"
            if minutes in Meaning.MINUTES.numbered and _asks_minutes(view):
                return minutes, False
        found = self._find(text)
        if found:
            return found[0].key, False
        if text in KEYS:
            return chosen(text, view)
        return Hint("key-not-understood")

    def _print(self, at: float, words: str, who: str = "") -> None:
        if words:
            self._out.write(line(at, words, who) + "\n")
            self._out.flush()


def _asks_minutes(view: View) -> bool:
    return not set(view.answers).isdisjoint(Meaning.MINUTES.numbered)
