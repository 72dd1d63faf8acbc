"""Who may do what from a browser: a link holds a token, which says the role, and whose it is."""

import hmac
import secrets
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from coach.web.scene import Scene


class Role(StrEnum):
    """What a link lets its holder do."""

    #: look only; any number of people
    WATCH = "watch"
    #: look, and give one's own answers
    CLIMBER = "climber"
    #: lead: name people, pause, carry on, report a hurt, take back
    LEADER = "leader"


@dataclass(frozen=True, slots=True)
class Pass:
    """A link's right."""

    role: Role
    who: int = 0  # mutant: it is asked of a climber's pass alone, which says whose it is
    """The person whose answers a climber's link gives; 0 for nobody's."""

    def sees(self, scene: Scene) -> Scene:
        """What of a scene its holder is shown: who only watches, what is public."""
        if self.role is Role.WATCH:
            return scene.public()
        return scene.of(self.who) if self.role is Role.CLIMBER else scene


class Passes:
    """The tokens of one session. They are made anew for each, and never stored."""

    def __init__(self, passes: Iterable[Pass]) -> None:
        self._passes = {secrets.token_urlsafe(16): one for one in passes}

    def find(self, token: str) -> Pass | None:
        """What a token allows; None where there is no such token."""
        found = None
        for known, one in self._passes.items():
            if hmac.compare_digest(known.encode(), token.encode()):
                found = one
        return found

    def tokens(self) -> dict[str, Pass]:
        """Every token with its pass, in the order in which they were asked for."""
        return dict(self._passes)


def passes_for(people: Iterable[int], *, led: bool) -> tuple[Pass, ...]:
    """The links of a session: watching, then each climber's, or the leader's where one leads."""
    if led:
        return (Pass(Role.WATCH), Pass(Role.LEADER))
    return (Pass(Role.WATCH), *(Pass(Role.CLIMBER, who) for who in people))
