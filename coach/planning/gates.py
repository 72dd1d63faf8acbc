"""Gates: what stays shut until a clear answer of its own window opens it.

Owns which loads and hangs each gate holds back. Only 'fresh' and 'fine' (or 'go' at the
go-ahead) open a gate; silence, 'yes' and every other answer leave it shut.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from coach.model.answers import Answer, Meaning
from coach.model.body import Cap, CapReason, Feel, Part
from coach.model.movement import Hold, Movement
from coach.model.routine import BlockKind, Routine

GO_AHEAD = "go-ahead"
#: About the fingers after the edge check, and at any other moment: after the first boulders where
#: no edge is used, or after a rest.
FINGERS, FINGERS_NOW = "gate-fingers", "gate-fingers-now"


@dataclass(frozen=True, slots=True)
class Gate:
    """What one question holds back while nobody has answered it clearly."""

    question: str
    caps: tuple[tuple[Part, int], ...]
    """The most load of each part until it opens."""
    holds: frozenset[Hold] = frozenset()
    """Hangs that wait for it, whatever they load."""
    about: Part | None = None
    """The part that its answer is about; None for the whole body."""


_ALL_BUT_HARDEST = tuple((part, 2) for part in Part)
#: What the gates of the fingers hold back: the hardest load (our choice).
_FINGERS = ((Part.FINGERS, 2), (Part.SKIN, 2))

GATES: dict[str, Gate] = {
    gate.question: gate
    for gate in (
        Gate("gate-body", _ALL_BUT_HARDEST),
        Gate(
            "gate-shoulders",
            ((Part.SHOULDERS, 2), (Part.ELBOWS, 2)),
            frozenset({Hold.UNEVEN}),
            Part.SHOULDERS,
        ),
        Gate(FINGERS, _FINGERS, about=Part.FINGERS),
        Gate(FINGERS_NOW, _FINGERS, about=Part.FINGERS),
        Gate(GO_AHEAD, _ALL_BUT_HARDEST),
    )
}


def of_routine(routine: Routine) -> tuple[str, ...]:
    """The gates of a routine in the order of its blocks; hard tries always have a go-ahead."""
    found: list[str] = []
    for block in routine.blocks:
        if block.kind is BlockKind.HARD and GO_AHEAD not in found:
            found.append(GO_AHEAD)
        if block.gate is not None and block.gate in GATES and block.gate not in found:
            found.append(block.gate)
    return tuple(found)


def caps(question: str, who: int) -> tuple[Cap, ...]:
    """The caps of a shut gate for one person."""
    return tuple(
        Cap(who, part, most, CapReason.GATE, question) for part, most in GATES[question].caps
    )


def shut(standing: Iterable[Cap], who: int) -> frozenset[str]:
    """The gates that are shut for a person."""
    gate = CapReason.GATE
    return frozenset(cap.rule for cap in standing if cap.reason is gate and cap.who == who)


def waits(movement: Movement, shut_gates: frozenset[str]) -> bool:
    """Whether a movement's hang has to wait for one of the shut gates."""
    return movement.hang is not None and any(
        movement.hang.hold in GATES[question].holds for question in shut_gates
    )


def opened_by(question: str, answer: Answer) -> bool:
    """Whether this answer, in the window of this question, opens its gate."""
    if question not in GATES:
        return False
    if question == GO_AHEAD:
        return answer.meaning is Meaning.GO
    return answer.meaning is Meaning.FEEL and answer.feel in (Feel.FRESH, Feel.FINE)
