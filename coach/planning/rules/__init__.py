"""The rules, found by this table, the most cautious first. To add one, add it to its file's RULES.

The first rule that fires is the one whose sentence is said; all that fire are kept for 'why'.
"""

from coach.planning.rules import (
    effort,
    gating,
    hurt,
    idle,
    level,
    opening,
    pain,
    returning,
    signs,
    skipping,
    sore,
    stiff,
    time,
    tries,
)
from coach.planning.rules.rule import Rule, Sure

RULES: tuple[Rule, ...] = (
    *hurt.RULES,
    *signs.RULES,
    *pain.RULES,
    *sore.RULES,
    *stiff.RULES,
    *gating.RULES,
    *skipping.RULES,
    *time.RULES,
    *effort.RULES,
    *tries.RULES,
    *idle.RULES,
    *returning.RULES,
    *level.RULES,
    *opening.RULES,
)

__all__ = ["RULES", "Rule", "Sure"]
