"""Time: late, called away, or more minutes than planned."""

from dataclasses import replace

from coach.model.answers import Meaning
from coach.planning import fit
from coach.planning.rules.rule import Rule, Sure
from coach.planning.situation import Draft, Situation

#: Minutes that 'longer' adds where no number is told.
LONGER = 15


def _short(s: Situation) -> bool:
    return s.answer.meaning is Meaning.SHORT_OF_TIME


def _less(s: Situation, draft: Draft) -> None:
    left = max(min(s.day.ends_at - s.now, fit.seconds_of(s.steps)), 0.0)
    told = s.answer.number
    seconds = min(left, told * 60.0) if told is not None else left * 0.75
    draft.day = replace(draft.day, ends_at=s.now + seconds)


def _longer(s: Situation) -> bool:
    return s.answer.meaning is Meaning.LONGER


def _more(s: Situation, draft: Draft) -> None:
    minutes = s.answer.number if s.answer.number is not None else LONGER
    draft.day = replace(draft.day, ends_at=max(s.day.ends_at, s.now) + minutes * 60.0)
    draft.more = True


RULES = (
    Rule(
        name="short-of-time",
        when=_short,
        then=_less,
        say="short-of-time",
        values=("minutes", "tries", "lost"),
        sure=Sure.COMMON_PRACTICE,
        source="Hard tries go before any of the warm-up does (common practice)",
    ),
    Rule(
        name="longer",
        when=_longer,
        then=_more,
        say="longer",
        values=("minutes", "tries"),
        sure=Sure.DESIGN_CHOICE,
        source="",
    ),
)
