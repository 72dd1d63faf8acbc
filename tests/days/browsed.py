"""What browsers show of a day as it is lived, and what comes of each press on them.

A page is drawn whenever a press would mean something else, for each role; on each of them the
fixed buttons and all answers are pressed, of that moment and of the one before.
"""

from typing import Any

from coach.model.person import Person
from coach.session.events import Answered
from coach.web.pages import page
from coach.web.presses import Presses
from coach.web.roles import Pass, Role
from coach.web.scene import Shown, scene_of, state_of
from tests.days.hall import Hall

PASSES = (Pass(Role.WATCH), Pass(Role.CLIMBER, 1), Pass(Role.CLIMBER, 2), Pass(Role.LEADER))
FIXED = ("pause", "resume", "hurt", "finish", "person:2", "skip")


class Browsers:
    """Everybody who looks at a day in a browser."""

    def __init__(self) -> None:
        self._before = ""

    def turn(self, hall: Hall, view: Any) -> list[object]:
        """What the pages hold and what presses do; nothing where all is as before."""
        state = state_of(view)
        if state == self._before:
            return []
        numbers = sorted({one.who for one in hall.people})
        people = tuple(Person(who, "Runa" if who > 1 else "") for who in numbers)
        scene = scene_of(Shown(view, hall.now(), people), hall.language)
        found: list[object] = [scene.document()]
        for by in PASSES:
            sent: list[Answered] = []
            presses = Presses(lambda: view, hall.now, sent.append)
            for what in (*FIXED, *view.answers):
                for about in (state, self._before):
                    outcome, number = presses.press(by, what, about)
                    reply = hall.language.text(outcome.reply)
                    found += [outcome, page(by.sees(scene), by, hall.language, reply, number)]
                    if number and what == "pause":
                        presses.settle(number)
                    elif number:
                        found.append(presses.take_back(number))
            found += sent
        self._before = state
        return found
