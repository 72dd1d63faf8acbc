"""Cues as the plan counts them: the seconds from the turn of a step to its work.

The words decide, at the pace at which a voice says them where nobody has measured it; of several
languages the longest counts, for a plan does not know in which it is told.
"""

from collections.abc import Iterable

from coach.model.movement import Movement, Unit
from coach.model.voice_profile import seconds

#: Seconds before the first word and between the last one and the start tone: what a commit needs.
_AROUND = 0.6
#: Words that tell the dose, by unit; goes by feel have none.
_DOSE = {Unit.BOULDERS: 6, Unit.GOES: 0}
#: Seconds to say 'other side', 'again' or 'once more' with the dose.
AGAIN = _AROUND + seconds("other side, so many")
#: Seconds to say which try it is.
OF_TRY = _AROUND + seconds("try so many, decide, then climb")
#: Seconds that a question takes from each person who is asked: its words, a thought, the answer
#: and what it changes (our estimate).
ASKING = 8.0


def lead(doing: Iterable[Movement]) -> float:
    """Seconds to say each of these movements, once where several people do it."""
    said = {movement.name: movement for movement in doing}
    return _AROUND + sum(map(_line, said.values()))


def _line(movement: Movement) -> float:
    words = max((len(cue.split()) for cue in movement.cue.values()), default=0)
    return seconds(" ".join("w" * (words + _DOSE.get(movement.unit, 2))))
