"""Time: late, called away, or more minutes than planned."""

from dataclasses import replace

from coach.model.answers import Meaning
from coach.model.body import CapReason
from coach.model.routine import BlockKind
from coach.planning.day_tags import WEARY
from coach.planning.rules.rule import Rule, Sure
from coach.planning.situation import GAINED, HOME_EARLY, PlanDraft, Situation

#: Minutes that 'longer' adds where no number is told.
LONGER = 15
#: Minutes up to which somebody is called away: the session winds down.
AWAY = 10


_LESS = (Meaning.SHORT_OF_TIME, Meaning.FEWER)


def _left(s: Situation) -> float:
    """Seconds that are left after it; never more than there are now."""
    left = max(min(s.day.ends_at - s.now, s.seconds), 0.0)
    told = s.answer.number
    if told is None:
        return left * 0.75
    if s.answer.meaning is Meaning.FEWER:
        return max(left - told * 60.0, 0.0)
    return min(left, told * 60.0)


def _away(s: Situation) -> bool:
    told = s.answer.number is not None and s.answer.meaning in _LESS
    return told and _left(s) <= AWAY * 60.0


def _short(s: Situation) -> bool:
    return s.answer.meaning in _LESS and not _away(s)


def _wind_down(s: Situation, draft: PlanDraft) -> None:
    _less(s, draft)
    draft.shorter = True
    for person in s.day.people:
        draft.who = person.who
        draft.no_tries()
    draft.who = s.who
    draft.steps = [
        step
        for index, step in enumerate(draft.steps)
        if index == 0 or step.block is BlockKind.COOL_DOWN
    ]


def _less(s: Situation, draft: PlanDraft) -> None:
    draft.slack = 0.0
    draft.day = replace(draft.day, ends_at=min(s.day.ends_at, s.now + _left(s)))


def _longer(s: Situation) -> bool:
    return s.answer.meaning is Meaning.LONGER and not _enough(s)


def _enough(s: Situation) -> bool:
    return s.answer.meaning is Meaning.LONGER and _enough_told(s)


def _enough_told(s: Situation) -> bool:
    """Whether only what is gentle may be added.

    That is so where this person has told or shown today that more of the same load is unwise, or
    has yet to say where something is off, and where others would get it too: nobody's word raises
    the load of another.
    """
    told = any(s.told(tag) for tag in WEARY)
    return (
        told
        or any(who == s.who for who, _ in s.day.pending)
        or len(s.day.people) > 1
        or any(
            cap.who == s.who and cap.reason in (CapReason.SORE, CapReason.SIGN, CapReason.COLD)
            for cap in s.day.caps
        )
    )


def _more_gentle(s: Situation, draft: PlanDraft) -> None:
    _more(s, draft)
    draft.more = False
    draft.fill = True


def _more(s: Situation, draft: PlanDraft) -> None:
    minutes = s.answer.number if s.answer.number is not None else LONGER
    draft.day = replace(draft.day, ends_at=max(s.day.ends_at, s.now) + minutes * 60.0)
    draft.more = True


def _gained(s: Situation) -> bool:
    return s.question == GAINED and not _enough_told(s)


def _more_tries(s: Situation) -> bool:
    return s.answer.meaning is Meaning.MORE_TRIES and _gained(s)


def _add_tries(s: Situation, draft: PlanDraft) -> None:
    draft.tries = s.answer.number or 0


def _home_early(s: Situation) -> bool:
    return s.answer.meaning is Meaning.HOME_EARLY and s.question == GAINED


def _go_home(s: Situation, draft: PlanDraft) -> None:
    draft.tell(HOME_EARLY)


RULES = (
    Rule(
        name="more-tries",
        fires="more tries, where minutes were gained before the go-ahead",
        does="adds the hard tries that were offered, each with its whole rest",
        when=_more_tries,
        then=_add_tries,
        say="more-tries",
        values=("tries",),
        sure=Sure.DESIGN_CHOICE,
        source="",
    ),
    Rule(
        name="home-early",
        fires="home early, or silence, where minutes were gained before the go-ahead",
        does="adds nothing: the session ends sooner",
        when=_home_early,
        then=_go_home,
        say="home-early",
        values=("minutes",),
        sure=Sure.DESIGN_CHOICE,
        source="",
    ),
    Rule(
        name="short-of-time",
        fires="time is short",
        does="fits what is left to it: hard tries are left out first, floors last",
        when=_short,
        then=_less,
        say="short-of-time",
        values=("minutes", "tries", "lost"),
        sure=Sure.COMMON_PRACTICE,
        source="Hard tries are left out before any of the warm-up is (common practice)",
    ),
    Rule(
        name="called-away",
        fires="ten minutes or fewer are left",
        does="only the cool-down is left",
        when=_away,
        then=_wind_down,
        say="called-away",
        values=("minutes",),
        sure=Sure.COMMON_PRACTICE,
        source="Wind down with what time is left (common practice)",
    ),
    Rule(
        name="longer-gentle",
        fires="more minutes, on a weary day, with a part capped, or for several people",
        does="only gentle work is added",
        when=_enough,
        then=_more_gentle,
        say="longer-gentle",
        values=("minutes",),
        sure=Sure.DESIGN_CHOICE,
        source="",
    ),
    Rule(
        name="longer",
        fires="more minutes",
        does="adds what loads nothing beyond what is planned",
        when=_longer,
        then=_more,
        say="longer",
        values=("minutes", "tries"),
        sure=Sure.DESIGN_CHOICE,
        source="",
    ),
)
