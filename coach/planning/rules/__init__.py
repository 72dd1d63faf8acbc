"""The rules, found by this table, the most cautious first. To add one, add it to its file's RULES.

The first rule that fires is the one whose sentence is said; all that fire are kept for 'why'. Each
file says which answers its rules are about, or which questions, whatever the answer is: only these
are looked at.
"""

from collections.abc import Iterable
from functools import lru_cache
from typing import NamedTuple

from coach.model.answers import Meaning
from coach.planning.gates import GATES
from coach.planning.rules import (
    effort,
    gating,
    hurt,
    idle,
    last_tries,
    level,
    opening,
    pain,
    returning,
    skipping,
    sore,
    stiff,
    time,
    warning_signs,
)
from coach.planning.rules.rule import Rule, Sure
from coach.planning.situation import CLOCK, IDLE, LATE_READING, PLAN, UNTOLD_PART


class RuleFile(NamedTuple):
    """The rules of one file, and what they are about."""

    rules: tuple[Rule, ...]
    answers: frozenset[Meaning] = frozenset()
    questions: frozenset[str] = frozenset()


def _about(rules: tuple[Rule, ...], *answers: Meaning, questions: Iterable[str] = ()) -> RuleFile:
    return RuleFile(rules, frozenset(answers), frozenset(questions))


FILES: tuple[RuleFile, ...] = (
    _about(hurt.RULES, Meaning.HURT),
    _about(warning_signs.RULES, Meaning.SIGN, Meaning.FEEL),
    _about(pain.RULES, Meaning.FEEL),
    _about(sore.RULES, Meaning.FEEL, Meaning.TISSUE, questions=(UNTOLD_PART,)),
    _about(stiff.RULES, Meaning.FEEL, questions=(PLAN,)),
    _about(gating.RULES, Meaning.NOT_TODAY, questions=(*GATES, LATE_READING)),
    _about(skipping.RULES, Meaning.SKIP),
    _about(
        time.RULES,
        *(Meaning.SHORT_OF_TIME, Meaning.FEWER, Meaning.LONGER),
        *(Meaning.MORE_TRIES, Meaning.HOME_EARLY),
    ),
    _about(effort.RULES, Meaning.EASIER, Meaning.HARDER),
    _about(last_tries.RULES, Meaning.LAST_GO, Meaning.ENOUGH),
    _about(idle.RULES, Meaning.REWARM, questions=(IDLE, CLOCK, "re-warm")),
    _about(returning.RULES, questions=(PLAN,)),
    _about(level.RULES, questions=(PLAN,)),
    _about(opening.RULES, questions=(PLAN,)),
)
RULES: tuple[Rule, ...] = tuple(rule for file in FILES for rule in file.rules)


@lru_cache(maxsize=512)
def rules_about(answer: Meaning, question: str) -> tuple[Rule, ...]:
    """The rules that an answer to a question may concern, in the order of the table."""
    return tuple(
        rule
        for file in FILES
        if answer in file.answers or question in file.questions
        for rule in file.rules
    )


__all__ = ["FILES", "RULES", "Rule", "Sure", "rules_about"]
