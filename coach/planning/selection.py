"""Doses: which sets, batches and tries a session holds in its minutes.

Owns what comes first when time is short. The least of the warm-up is always there; more of it is
taken only up to the minute by which the first hard try is meant to come; all that is left goes to
hard tries, then to technique and strength.
"""

from collections.abc import Iterable, Mapping, Sequence

from coach.model.movement import Movement
from coach.model.plan import Step
from coach.model.routine import BlockKind
from coach.planning import schedule, timeline
from coach.planning.budget import Piece, choose
from coach.planning.gates import GO_AHEAD
from coach.planning.offers import BOULDERS, Offer

#: Rounds of hard tries below which none are planned: fewer are not worth the way to them (our
#: choice).
LEAST_ROUNDS = 3
_USUAL: Mapping[BlockKind, int] = {}
_STRENGTH = BlockKind.STRENGTH
_SHARING = frozenset({BlockKind.MAT, BlockKind.BOARD})


def select(
    offers: Sequence[Offer],
    seconds: float,
    target: float,
    movements: Mapping[str, Movement],
    rounds: int = LEAST_ROUNDS,
    boulders: Mapping[BlockKind, int] = _USUAL,
) -> tuple[Step, ...] | None:
    """The steps for the seconds, in the order in which they are done; None where they don't fit.

    With hard tries at least so many rounds of them have to fit, behind the boulders that have to
    come before; more of the warm-up is taken as long as the first try begins within `target`
    seconds. Without, what is worth most together is taken. `boulders` are more than the usual
    least that have to come before, by tier.
    """
    tried = [offer for offer in offers if offer.tries]
    if not tried:
        return _plain(offers, seconds, movements)
    first = next(i for i, offer in enumerate(offers) if is_hard(offer))
    before, behind = offers[:first], offers[first:]
    needed = _needed(before, boulders)
    if needed is None:
        return None
    keep = {offer.name for offer in tried[: min(rounds, len(tried))]}
    later = sum(offer.seconds for offer in behind if offer.must or offer.name in keep)
    then = tried[0].steps[:1]
    ahead = _fitted(before, needed, min(target, seconds - later), movements, then)
    if ahead is None:
        least = [offer for offer in before if offer.must or offer.name in needed]
        ahead = _fitted(least, needed, seconds - later, movements, then)
    if ahead is None:
        return None
    return (*ahead, *_behind(behind, keep, ahead, (seconds, seconds - until(ahead, then))))


def _behind(
    offers: Sequence[Offer], keep: set[str], ahead: Sequence[Step], within: tuple[float, float]
) -> tuple[Step, ...]:
    """The best of the offers for what is left of the seconds once the steps ahead are done.

    `within` are the seconds of all, and those that are left. What strengthens may have to wait
    after the last try, which no offer counts by itself: where that leaves no room for it, the best
    without it may be worth more.
    """
    seconds, left = within
    most: tuple[Offer, ...] = ()
    for those in (offers, [offer for offer in offers if offer.kind is not _STRENGTH]):
        room = left
        while (best := _best(those, keep, room)) is not None:
            over = timeline.seconds_of([*ahead, *_steps(best)]) - seconds
            if over <= 0:
                best = _with_what_fits(best, those, ahead, seconds)
                most = max(most, best, key=lambda some: sum(offer.worth for offer in some))
                break
            room -= max(over, 1.0)
        if room == left:
            break
    return tuple(_steps(most))


def _with_what_fits(
    chosen: Sequence[Offer], offers: Sequence[Offer], ahead: Sequence[Step], seconds: float
) -> tuple[Offer, ...]:
    """The offers with those that fit as well: a rest may pass while something else is done."""
    names = {offer.name for offer in chosen}
    free = seconds - timeline.seconds_of([*ahead, *_steps(chosen)])
    left = [offer for offer in offers if offer.name not in names and offer.bare_seconds <= free]
    for offer in sorted(left, key=lambda offer: -offer.worth):
        more = [one for one in offers if one.name in names or one is offer]
        if offer.bare_seconds <= free:
            rest = seconds - timeline.seconds_of([*ahead, *_steps(more)])
            if rest >= 0:
                chosen, names, free = more, names | {offer.name}, rest
    return tuple(chosen)


def _steps(offers: Iterable[Offer]) -> list[Step]:
    return [step for offer in offers for step in offer.steps]


def _plain(
    offers: Sequence[Offer], seconds: float, movements: Mapping[str, Movement]
) -> tuple[Step, ...] | None:
    """The best session without hard tries."""
    without = [offer for offer in offers if not is_hard(offer)]
    return _fitted(without, frozenset(), seconds, movements)


def is_hard(offer: Offer) -> bool:
    """Whether an offer is a round of hard tries or the go-ahead before them."""
    return offer.tries or offer.question == GO_AHEAD


def _needed(before: Sequence[Offer], more: Mapping[BlockKind, int]) -> frozenset[str] | None:
    """Names of the boulders that hard tries need besides the floors; None where there are none."""
    names: set[str] = set()
    for kind, (usual, _) in BOULDERS.items():
        least = max(usual, more.get(kind, 0))
        of_kind = [offer for offer in before if offer.kind is kind]
        batches = [offer for offer in of_kind if offer.boulders]
        have = 0
        for offer in batches:
            if have < least:
                names.add(offer.name)
                have += offer.boulders
        if have < least and of_kind:
            return None
    return frozenset(names)


def _fitted(
    offers: Sequence[Offer],
    needed: frozenset[str],
    seconds: float,
    movements: Mapping[str, Movement],
    then: Sequence[Step] = (),
) -> tuple[Step, ...] | None:
    """The best of the offers, arranged, so that `then` can begin within the seconds.

    None where the least does not fit. What a set takes depends on the rests that it can be done
    in: the budget first counts mat and board without rests, and gets smaller by what the arranged
    sets are over, until they fit; then each set that was left out, the worthiest first, is taken
    if it fits all the same.
    """
    least = frozenset(o.name for o in offers if o.must or o.name in needed)
    room = seconds
    while True:
        pieces = [Piece(o.name, _least(o), o.worth, o.name in least) for o in offers]
        chosen = choose(pieces, int(room))
        names = {offers[i].name for i in chosen} if chosen is not None else set(least)
        found = schedule.arranged([o for o in offers if o.name in names], movements)
        over = until(found, then) - seconds
        if over <= 0:
            break
        if names == least:
            return None
        room = min(room, sum(_least(o) for o in offers if o.name in names)) - max(over, 1.0)
    for offer in sorted(offers, key=lambda offer: -offer.worth):
        if offer.name not in names:
            more = [o for o in offers if o.name in names or o is offer]
            steps = schedule.arranged(more, movements)
            if until(steps, then) <= seconds:
                found, names = steps, names | {offer.name}
    return found


def until(steps: Sequence[Step], then: Sequence[Step] = ()) -> float:
    """Seconds that steps take in this order, or from them to the work of what comes then."""
    if not then:
        return timeline.seconds_of(steps)
    return timeline.begins([*steps, *then])[-1]


def _least(offer: Offer) -> int:
    """Seconds of an offer, of mat and board without the rests that may be shared."""
    return offer.bare_seconds if offer.kind in _SHARING else offer.seconds


def _best(offers: Sequence[Offer], keep: set[str], seconds: float) -> tuple[Offer, ...] | None:
    pieces = [Piece(o.name, o.seconds, o.worth, o.must or o.name in keep) for o in offers]
    chosen = choose(pieces, int(seconds))
    return None if chosen is None else tuple(o for i, o in enumerate(offers) if i in chosen)


def more(offers: Sequence[Offer], seconds: float) -> tuple[Offer, ...]:
    """The best of further offers for the seconds that are free."""
    return _best(offers, set(), max(seconds, 0.0)) or ()
