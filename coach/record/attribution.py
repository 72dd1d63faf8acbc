"""Whose a fact is, where several people share a session.

Owns one question: which facts that a session wrote for everybody (0) belong to one of them. A rule
belongs to whoever's answer made it fire, and the effort of the whole to whoever was asked for it.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from coach.model.facts import Fact, Finished, RuleFired


def attributed(caused: Iterable[Sequence[Fact]], people: Sequence[int]) -> Iterator[Fact]:
    """The facts of a session in order, one transaction after the other.

    `people` are the numbers of who takes part, in their order. A rule that fired beside facts of
    one person alone is theirs. An end with an effort becomes two: that of everybody, and that of
    the first person, who was asked.
    """
    if len(people) < 2:
        for facts in caused:
            yield from facts
        return
    for facts in caused:
        named = {fact.who for fact in facts} - {0}
        for fact in facts:
            if fact.who == 0 and isinstance(fact, RuleFired) and len(named) == 1:
                yield replace(fact, who=next(iter(named)))
            elif fact.who == 0 and isinstance(fact, Finished) and fact.effort is not None:
                yield replace(fact, effort=None)
                yield replace(fact, who=people[0])
            else:
                yield fact
