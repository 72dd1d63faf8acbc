"""How often one thing is said for one cause: a question twice, anything else three times.

A cause is what came from outside last - an answer that was taken, a key, a device, sleep - together
with the step and the rest that the session has come to. By time alone steps only get fewer, so no
sentence can go round. Every cue of a session and of a group passes here on its way out; one that
has been said often enough is left out, and what was to follow it follows.
"""

from dataclasses import dataclass, replace

from coach.model.messages import Message

#: How often a question and any other cue are said for one cause; and what to do while somebody is
#: hurt, which is said once a minute for ten minutes.
QUESTION, CUE, ADVICE = 2, 3, 14
_ADVICE = ("advice-", "hurt-stay")
#: How the keys of sentences begin that ask; of a group those about whoever was named.
ASKS = ("ask-", "group-where", "group-who", "group-about", "group-let-in")


@dataclass(frozen=True, slots=True)
class Cause:
    """What may make a session say something: one thing from outside, one step, one rest."""

    outside: int
    past: int
    since: float


@dataclass(frozen=True, slots=True)
class Tally:
    """What was said for the cause of now, and how often."""

    outside: int = 0
    """How much came from outside so far: answers that were taken, keys, devices, sleep."""
    cause: Cause | None = None
    told: tuple[tuple[Message, int], ...] = ()

    def from_outside(self) -> "Tally":
        """What comes from outside is a cause of its own."""
        return replace(self, outside=self.outside + 1)

    def counted(self, past: int, since: float, what: Message) -> "Tally":
        """With this cue counted, `past` steps and the rest or change `since` then."""
        cause = Cause(self.outside, past, since)
        before = dict(self.told) if self.cause == cause else {}
        told = before | {what: before.get(what, 0) + 1}
        return replace(self, cause=cause, told=tuple(told.items()))

    def over(self, what: Message, *, hurt: bool) -> bool:
        """Whether it has been said often enough for the cause of now."""
        return dict(self.told)[what] > most(what, hurt=hurt)


def most(what: Message, *, hurt: bool = False) -> int:
    """How often it may be said for one cause; of somebody who is hurt a question is asked on."""
    if what.key.startswith(_ADVICE):
        return ADVICE
    return QUESTION if what.key.startswith(ASKS) and not hurt else CUE
