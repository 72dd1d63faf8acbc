"""Hard tries that go down: a last one, or none any more, as the climber says."""

from coach.model.answers import Meaning
from coach.planning import fitting
from coach.planning.rules.rule import Rule, Sure
from coach.planning.situation import PlanDraft, Situation


def _last_go(s: Situation) -> bool:
    return s.answer.meaning is Meaning.LAST_GO and fitting.tries(s.steps, s.who) > 1


def _one(s: Situation, draft: PlanDraft) -> None:
    draft.fewer_tries(1)


def _enough(s: Situation) -> bool:
    return s.answer.meaning is Meaning.ENOUGH and s.question == "" and bool(_left(s))


def _left(s: Situation) -> int:
    return fitting.tries(s.steps, s.who)


def _none(s: Situation, draft: PlanDraft) -> None:
    draft.fewer_tries(0)


_SOURCE = "Stop hard tries while they are still good ones (common practice)"

RULES = (
    Rule(
        name="last-go",
        fires="after two tries that went down she asks for a last one",
        does="leaves one hard try",
        when=_last_go,
        then=_one,
        say="last-go",
        values=("who",),
        sure=Sure.COMMON_PRACTICE,
        source=_SOURCE,
    ),
    Rule(
        name="enough-tries",
        fires="she has had enough of hard tries",
        does="leaves out the hard tries that are left",
        when=_enough,
        then=_none,
        say="enough-tries",
        values=("who",),
        sure=Sure.COMMON_PRACTICE,
        source=_SOURCE,
    ),
)
