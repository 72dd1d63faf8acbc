"""What may be told in one breath: of a try, or of a boulder."""

from collections.abc import Iterable

from coach.model.answers import Answer, Meaning

#: What of a try may be told in one breath, the first of it deciding.
TOLD_OF_A_TRY = ("end", "cause", "effort", "beside")

#: What one breath may tell of a boulder: what it is about comes first.
DESCRIBES = (
    Meaning.KEY_MOVE, Meaning.STYLE, Meaning.CIRCUIT, Meaning.MOVE, Meaning.HAND,
)  # fmt: skip


def in_one_breath(answers: Iterable[Answer]) -> tuple[Answer, ...]:
    """Answers that tell of one try or boulder, what decides first; empty where they are no breath.

    There are two at least, and no two of them tell the same of it.
    """
    told = tuple(answers)
    about = {answer.meaning: answer for answer in told}
    described = about.keys() <= frozenset(DESCRIBES)
    if described and 1 < len(about) == len(told):
        return tuple(about[what] for what in DESCRIBES if what in about)
    found = {answer.meaning.nature.tells: answer for answer in told}
    if len(told) < 2 or len(found) < len(told) or "" in found:
        return ()
    return tuple(found[what] for what in TOLD_OF_A_TRY if what in found)
