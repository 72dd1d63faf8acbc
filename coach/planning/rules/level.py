"""Levels: doses by months of climbing, and by how far the best is from a comfortable one."""

from coach.planning import levels
from coach.planning.levels import Level
from coach.planning.rules.rule import Rule, Sure
from coach.planning.situation import PLAN, PlanDraft, Situation


def _of(s: Situation, level: Level) -> bool:
    return s.question == PLAN and s.told(level.value)


def _few_tries(s: Situation, draft: PlanDraft) -> None:
    draft.fewer_tries(levels.FEW_TRIES)


def _nothing(s: Situation, draft: PlanDraft) -> None:
    """The plan has been made with it in mind."""


RULES = (
    Rule(
        name="new-to-climbing",
        fires="under half a year of climbing",
        does="hangs with the feet on, never unevenly; a few hard tries, one circuit above the "
        "comfortable one, rested for two to three minutes; more easy boulders with a focus",
        when=lambda s: _of(s, Level.NEW),
        then=_few_tries,
        say="new-to-climbing",
        values=("tries",),
        sure=Sure.COMMON_PRACTICE,
        source="Beginners learn to move before they load fingers (common practice); months and "
        "doses are our choice",
    ),
    Rule(
        name="learning",
        fires="under two years of climbing",
        does="uneven hangs with the feet on",
        when=lambda s: _of(s, Level.LEARNING),
        then=_nothing,
        say="learning",
        values=(),
        sure=Sure.COMMON_PRACTICE,
        source="Fingers are loaded late (common practice); the months are our choice",
    ),
    Rule(
        name="strong",
        fires="the best boulder is three circuits or more above the comfortable one",
        does="one middle boulder more for each of these circuits, ten at most, before hard tries, "
        "and some minutes more for them",
        when=lambda s: _of(s, Level.STRONG),
        then=_nothing,
        say="strong",
        values=(),
        sure=Sure.DESIGN_CHOICE,
        source="",
    ),
)
