"""A rule: when it fires, what it does, what it says, how sure it is, and where that is from.

How sure holds for the whole of it: where its figures were published and what it does with them is
ours, it is our choice, and its source says what was published.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

from coach.planning.situation import PlanDraft, Situation


class Sure(StrEnum):
    """How sure a rule is."""

    PUBLISHED = "published"
    COMMON_PRACTICE = "common practice"
    DESIGN_CHOICE = "our choice"


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule of planning. `say` is a message key; `values` names what the message holds.

    The values a message can hold are listed in `coach.planning.rule_engine.VALUES`. What
    'why' says has the key 'why-' and the rule's name.
    """

    name: str
    fires: str
    """When it fires, in words."""
    does: str
    """What it does, in words."""
    when: Callable[[Situation], bool]
    then: Callable[[Situation, PlanDraft], None]
    say: str
    values: tuple[str, ...]
    sure: Sure
    source: str
    """Where it is from; empty for a choice of our own."""
    say_over: str = ""
    """What it says instead where nothing is left to do."""
    alone: bool = False
    """No later rule of the table may fire on the same answer."""

    def __post_init__(self) -> None:
        """ValueError where its source says less, or more, than how sure it calls itself."""
        admits = re.search(r"\bour\b|common practice", self.source)
        names = re.search(r"\b(19|20)\d\d\b", self.source)
        if self.sure is Sure.PUBLISHED and (admits or not names):
            raise ValueError(f"{self.name}: published, and its source is {self.source!r}")
        if self.sure is Sure.COMMON_PRACTICE and "common practice" not in self.source:
            raise ValueError(f"{self.name}: common practice, and its source is {self.source!r}")
