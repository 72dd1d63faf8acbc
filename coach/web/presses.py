"""What a press on a page does: whether its role may, whether its state still stands, and the event.

A press names the state that its page showed. Where that has passed it is refused, and says so: a
late thumb ends nothing. 'Done' for a whole group waits, so that it can be taken back.
"""

from collections.abc import Callable
from dataclasses import dataclass, field, replace

from coach.model.answers import parse
from coach.model.messages import Message, message
from coach.session.events import Answered
from coach.session.view import View
from coach.web.roles import Pass, Role
from coach.web.scene import STANDING, state_of

#: Seconds in which a leader's 'done' can be taken back.
TAKE_BACK = 2.0
#: What moves a whole group on.
_MOVES_ALL = frozenset({"done", "next", "finish"})
#: What the fixed buttons of a page send.
FIXED = ("pause", "resume", "hurt")
UNDO = "take-back"
#: Head of the answers by which a leader names somebody, at any time.
NAMED = "person:"


@dataclass(frozen=True, slots=True)
class PressOutcome:
    """What became of a press."""

    taken: bool
    reply: Message
    waits: float = 0.0
    """Seconds for which it can still be taken back."""


@dataclass
class Presses:
    """Turns presses into events of the session's one queue."""

    look: Callable[[], View | None]
    now: Callable[[], float]
    send: Callable[[Answered], None]
    _waiting: dict[int, tuple[Answered, object]] = field(default_factory=dict)
    """Presses that can still be taken back, each with the moment that it was about."""
    _count: int = 0

    def press(self, by: Pass, what: str, state: str) -> tuple[PressOutcome, int]:
        """Take a press or refuse it; the number is that of a press that waits, else 0."""
        view = self.look()
        refusal = _refused(by, what, state, view)
        if refusal is not None or view is None:
            return PressOutcome(False, refusal or message("web-passed")), 0
        answer = parse(what)
        event = Answered(
            self.now(), answer, by.who or 1, self.now(), _window(view, what), by=by.role.value
        )
        if by.role is Role.LEADER and what in _MOVES_ALL:
            self._count += 1
            self._waiting[self._count] = event, _moment(view, what)
            return PressOutcome(True, message("web-waits", answer=what), TAKE_BACK), self._count
        self.send(event)
        return PressOutcome(True, message("web-taken", answer=what)), 0

    def take_back(self, number: int) -> PressOutcome:
        """Take back a press that still waits."""
        if self._waiting.pop(number, None) is None:
            return PressOutcome(False, message("web-passed"))
        return PressOutcome(True, message("web-taken-back"))

    def settle(self, number: int) -> None:
        """The time to take it back is over: it counts now, if nobody did.

        Not where what it would have ended has ended by itself meanwhile.
        """
        event, moment = self._waiting.pop(number, (None, None))
        view = self.look()
        if event is None or view is None:
            return
        if moment == _moment(view, event.answer.key):
            self.send(replace(event, at=self.now()))


def _moment(view: View, what: str) -> object:
    """What would be ended: all of it, or what is done, and until when."""
    if what == "finish":
        return None
    return view.word, view.step, view.counts_to, view.stands_at, view.turn


def _window(view: View, what: str) -> int | None:
    """The window that the press belongs to; None for what counts at any time."""
    return None if what in FIXED or what.startswith(NAMED) else view.window


def _refused(by: Pass, what: str, state: str, view: View | None) -> Message | None:
    """Why a press does not count; None where it does."""
    if by.role is Role.WATCH:
        return message("web-watching")
    if view is None:
        return message("web-none")
    stands = view.word in STANDING
    if what == "hurt":
        return None
    if what == "pause":
        return message("web-paused-already") if stands else None
    if what == "resume":
        return None if stands else message("web-runs-already")
    if by.role is Role.LEADER and what.startswith(NAMED):
        return None
    if what not in view.answers:
        return message("web-passed")
    if by.role is Role.CLIMBER and view.asks not in (0, by.who):
        return message("web-not-yours")
    return None if state == state_of(view) else message("web-passed")
