"""Facts as they were told last: what was told anew takes the place of what stood."""

from collections.abc import Iterable
from dataclasses import replace

from coach.model.facts import Fact, Retold, Tried


def as_last_told(facts: Iterable[Fact]) -> list[Fact]:
    """The facts of a session in order, each try with the end that was told last."""
    found = list(facts)
    for anew in [fact for fact in found if isinstance(fact, Retold)]:
        for at in range(found.index(anew) - 1, -1, -1):
            one = found[at]
            if isinstance(one, Tried) and (one.who, one.number) == (anew.who, anew.number):
                found[at] = replace(one, result=anew.result, move=anew.move)
                break
    return found
