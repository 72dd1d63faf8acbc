"""What turns a view's messages and keys into text, and its numbers into time.

This module alone names the labels that the screen needs from the language pack (`LABELS`).
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil, floor

from coach.model.messages import Message, Value, message
from coach.model.routine import BlockKind
from coach.screen.shapes import Shapes, letters
from coach.session.view import Ear, View, Word

#: Message keys that a language pack must have for the screen, each with the values it is given.
LABELS: dict[str, tuple[str, ...]] = {
    **{f"word-{word.value}": () for word in Word},
    **{f"ear-{ear.value}": () for ear in Ear},
    **{f"block-{kind.value}": () for kind in BlockKind},
    # 'any key', before the answer that any key gives
    "show-any-key": (),
    # whole minutes to the end of the plan
    "show-left": ("minutes",),
    "show-turn": ("who",),
    "show-next": ("who",),
    "show-recording": (),
    # a scale's reading at the edge check: in plain lines, beside its key, while it is typed
    "show-scale": (),
    "key-scale": (),
    "key-scale-typed": ("typed",),
    # the letter of the codes for phones: beside it, and what it does while one is shown
    "key-codes": (),
    "key-codes-turn": (),
    # the large view while no session runs
    "large-waiting": (),
    # what the full layout needs: 80 columns, 24 rows
    "show-small": ("columns", "rows"),
    # why a key sent nothing
    "key-ask": ("answer", "press"),
    "key-left-it": (),
    "key-choose": (),
    "key-no-figure": (),
    "key-nothing-asked": (),
    # a typed line that is no answer
    "key-not-understood": (),
}

#: Shown with a minute's letter instead of minutes and seconds from here on.
LONGEST_CLOCK = 100 * 60


@dataclass(frozen=True, slots=True)
class Face:
    """How messages and answer keys become text."""

    words: Callable[[Message], str]
    answer_text: Callable[[str], str]
    """The first phrase of an answer key."""
    shapes: Shapes

    def say(self, what: Message | None) -> str:
        """A message as text; '' for none."""
        return letters(self.words(what), self.shapes) if what is not None else ""

    def label(self, key: str, **values: Value) -> str:
        """One of LABELS as text."""
        return self.say(message(key, **values))

    def answer(self, key: str) -> str:
        """An answer as a person would say it."""
        return letters(self.answer_text(key), self.shapes)


def shown_time(view: View, now: float) -> str:
    """The time of a view as 'M:SS', '' if none runs.

    Begun seconds count on the way down and not on the way up, so that both change on the beat.
    """
    if view.stands_at is not None:
        seconds = floor(view.stands_at)
    elif view.counts_to is not None:
        seconds = ceil(view.counts_to - now - 1e-6)
    elif view.counts_from is not None:
        seconds = floor(now - view.counts_from + 1e-6)
    else:
        return ""
    seconds = max(seconds, 0)
    if seconds >= LONGEST_CLOCK:
        return f"{seconds // 60}m"
    return f"{seconds // 60}:{seconds % 60:02d}"


def minutes_left(view: View, now: float) -> int | None:
    """Whole minutes to the end of the plan, begun ones counted; None where it has no end."""
    if view.ends_at is None:
        return None
    return max(ceil((view.ends_at - now) / 60 - 1e-6), 0)


def left_label(view: View, now: float, face: Face) -> str:
    """How long is left, in words; '' where it has no end."""
    minutes = minutes_left(view, now)
    return "" if minutes is None else face.label("show-left", minutes=minutes)


def share_done(view: View, now: float) -> float:
    """How much of the current stretch has gone by, 0 to 1; a half where no time tells."""
    seconds = next((part.seconds for part in view.slope if part.state == "now"), 0.0)
    if seconds <= 0:
        return 0.0
    if view.counts_to is not None:
        return min(max(1.0 - (view.counts_to - now) / seconds, 0.0), 1.0)
    if view.counts_from is not None:
        return min(max((now - view.counts_from) / seconds, 0.0), 1.0)
    return 0.5
