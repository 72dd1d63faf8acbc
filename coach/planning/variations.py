"""The one thing that is changed after a fall: when it is offered, what, and what it gave.

Two falls at the same place for a known cause, or three for an untold one, and two things are
offered that fit the key move and the cause. Both get a try. What was tried and gave nothing is
not offered again that day, nor is anything that asks more of a part that is held back. There is
never more than one at a time: a try has room for one name.
"""

from collections.abc import Iterable, Sequence

from coach.model.body import HIGHEST_LOAD, CapReason, Feel, Part
from coach.model.day import Day
from coach.model.key_moves import UNTOLD, KeyMoves, VariationEffect
from coach.model.person import AgeBand
from coach.model.tries import HEIGHTS, Boulder, Went
from coach.planning.try_trend import best, higher

#: Falls at one place until something is changed: for a known cause, and for an untold one
#: (common practice: two to three, then something is changed according to the cause).
KNOWN, UNKNOWN = 2, 3
#: How many are offered at once.
OFFERED = 2
#: Causes that are about the climber more than about the move.
_OF_THE_CLIMBER = frozenset({"head", "plan", "skin", "tired"})
#: The variation that changes nothing about the move.
FILM = "film"
#: Words for what a variation gave.
BETTER, NO_BETTER, CANT_TELL = "better", "no better", "can't tell"
#: A part that feels so is asked nothing more of.
_SPARED = frozenset({Feel.TIRED, Feel.SORE, Feel.HURTING})
#: Caps that pass by themselves before hard tries begin.
_PASSING = frozenset({CapReason.GATE, CapReason.COLD})


def place(went: Went) -> str:
    """Where a try ended, as far as it can be told apart: the move, else the height, else '?'."""
    if went.move:
        return str(went.move)
    return went.result if went.result in HEIGHTS else "?"


def fell(went: Went) -> bool:
    """Whether a try is known to have ended below the top."""
    return went.result not in ("topped", "untold")


def gave(before: Sequence[Went], went: Went) -> str:
    """What a try with a variation gave beside the best try before it; a film changes nothing."""
    if went.variation == FILM:
        return CANT_TELL
    if went.result == "topped" or went.felt == "easier" or went.closer:
        return BETTER
    if went.gone and any(one.today and one.cause == "head" for one in before):
        return BETTER  # what held her back was the head, and she went
    top = best(before)
    if top is None or not (went.move or went.result in HEIGHTS):
        return CANT_TELL
    return BETTER if higher(went, top) > 0 else NO_BETTER


def outcomes(tries: Sequence[Went]) -> tuple[tuple[str, str], ...]:
    """Each variation that was tried, in order, with what it gave; other days included."""
    return tuple(
        (went.variation, gave(tries[:index], went))
        for index, went in enumerate(tries)
        if went.variation
    )


def failed_today(tries: Sequence[Went]) -> frozenset[str]:
    """Variations that gave nothing in a try of today; one film is enough as well."""
    return frozenset(
        went.variation
        for index, went in enumerate(tries)
        if went.variation
        and went.today
        and (went.variation == FILM or gave(tries[:index], went) == NO_BETTER)
    )


def worked(tries: Sequence[Went]) -> str:
    """The variation that helped last, on any day; '' for none."""
    return next((name for name, what in reversed(outcomes(tries)) if what == BETTER), "")


def falls_there(tries: Sequence[Went]) -> int:
    """How many of today's last tries ended at one and the same place, and were falls.

    A place that nobody told may be any; a try of which nothing was told is passed over. A try with
    a variation is where counting begins anew: that has had its try.
    """
    return len(_falls(tries))


def _falls(tries: Sequence[Went]) -> list[Went]:
    found: list[Went] = []
    where = "?"
    for went in reversed([one for one in tries if one.today and one.result != "untold"]):
        if not fell(went) or not (place(went) == where or "?" in (place(went), where)):
            break
        where = place(went) if where == "?" else where
        found.append(went)
        if went.variation:
            break
    return found[::-1]


def cause_of(tries: Sequence[Went]) -> str:
    """The cause told last of today's falls at the last place; '' for none."""
    return next((went.cause for went in reversed(_falls(tries)) if went.cause), "")


def due(tries: Sequence[Went]) -> bool:
    """Whether something is to be changed now."""
    return falls_there(tries) >= (KNOWN if cause_of(tries) else UNKNOWN)


def held_back(day: Day, who: int) -> frozenset[Part]:
    """Parts of a person that nothing more is asked of now."""
    capped = {
        cap.part
        for cap in day.caps
        if cap.who == who and cap.most < HIGHEST_LOAD and cap.reason not in _PASSING
    }
    told = {one.part for one in day.reports if one.who == who and one.feel in _SPARED}
    return frozenset(capped | told)


def options(
    table: KeyMoves,
    boulder: Boulder,
    tries: Sequence[Went],
    day: Day,
    who: int,
    *,
    filmed: bool = False,
) -> tuple[str, ...]:
    """At most OFFERED variations for the next try, the best first; none where nothing is left.

    Where the body or the move ended it, those of the key move that fit come first; where the head,
    the plan or wear did, those of the cause. Filming is suggested once on a boulder, at the latest
    beside what comes after a change that failed: `filmed` says that it was done
    unasked.
    """
    filmed = filmed or any(went.variation == FILM for went in tries)
    cause = cause_of(tries) or UNTOLD
    move = table.moves.get(boulder.about)
    own = move.variations if move is not None else ()
    if cause != UNTOLD:
        own = tuple(name for name in own if cause in table.variations[name].fits)
    left = _left(table, tries, day, who, filmed)
    of_cause = table.causes.get(cause, ())
    both = (*of_cause, *own) if cause in _OF_THE_CLIMBER else (*own, *of_cause)
    found = tuple(name for name in dict.fromkeys(both) if name in left)[:OFFERED]
    if cause in _OF_THE_CLIMBER or not failed_today(tries):
        return found
    films = (name for name in left if table.variations[name].does is VariationEffect.FILM)
    return next(((*found[:1], film) for film in films if film not in found), found)


def _left(
    table: KeyMoves, tries: Sequence[Went], day: Day, who: int, filmed: bool
) -> frozenset[str]:
    """What has not failed today and asks nothing of what is held back."""
    failed = failed_today(tries)
    return frozenset(
        name
        for name, one in table.variations.items()
        if name not in failed
        and bearable(table, name, day, who)
        and not (filmed and one.does is VariationEffect.FILM)
    )


def next_of(agreed: Iterable[str], tries: Sequence[Went]) -> str:
    """Which of the variations that were agreed on is tried next; '' once each had its try.

    What failed today is passed over; one that helped stays as long as none before it is untried.
    """
    gave_today = {
        went.variation: gave(tries[:index], went)
        for index, went in enumerate(tries)
        if went.variation and went.today
    }
    failed = failed_today(tries)
    return next(
        (name for name in agreed if name not in failed and gave_today.get(name, BETTER) == BETTER),
        "",
    )


def bearable(table: KeyMoves, name: str, day: Day, who: int) -> bool:
    """Whether a variation asks nothing of what is held back, nor of somebody who may be young."""
    one = table.variations.get(name)
    young = any(person.who == who and person.age is not AgeBand.ADULT for person in day.people)
    return one is None or not one.asks or not (young or held_back(day, who) & frozenset(one.asks))
