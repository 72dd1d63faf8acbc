"""What hard tries on one boulder tell: wins, standing still, going down, and what to offer.

Everything here looks only at what was told; an end that nobody told decides nothing.
"""

from collections.abc import Sequence

from coach.model.tries import HEIGHTS, MOST_MOVES, Boulder, Went


def on_boulder(log: Sequence[Went], who: int, boulder: str) -> list[Went]:
    """The tries of a person on a boulder, the earliest first, other days included."""
    return [went for went in log if went.who == who and went.boulder == boulder]


def zone(move: int, moves: int) -> str:
    """Where a move is: in the first third of the boulder, the second, or the last."""
    return HEIGHTS[min(3 * (move - 1) // max(moves, 1), 2)]


def higher(one: Went, other: Went) -> int:
    """By how many moves a try ended higher than another; 1 or -1 where only places are known.

    0 for as high, and where one of the two is not known.
    """
    topped = (one.result == "topped", other.result == "topped")
    if any(topped):  # above whatever is known to have ended below, at a move or anywhere
        return 0 if "untold" in (one.result, other.result) else topped[0] - topped[1]
    if one.move and other.move:
        return one.move - other.move
    if one.result not in HEIGHTS or other.result not in HEIGHTS:
        return 0
    apart = HEIGHTS.index(one.result) - HEIGHTS.index(other.result)
    return (apart > 0) - (apart < 0)


def best(tries: Sequence[Went]) -> Went | None:
    """The highest of them, the earliest of equals; None where no end is known."""
    known = [went for went in tries if went.result in HEIGHTS or went.move]
    found = known[0] if known else None
    for went in known[1:]:
        if found is not None and higher(went, found) > 0:
            found = went
    return found


def win(before: Sequence[Went], now: Went) -> tuple[str, int] | None:
    """What a try brought that none before it had, as a fact: what, and moves further.

    'topped' counts the first time; 'further' and 'higher' need a try before to compare with.
    """
    top = best(before)
    if now.result == "topped":
        return None if top is not None and top.result == "topped" else ("topped", 0)
    by = higher(now, top) if top is not None else 0
    if by <= 0:
        return None
    assert top is not None
    return ("further", by) if now.move and top.move else ("higher", 0)


def stuck(tries: Sequence[Went]) -> bool:
    """Whether the last two of today ended no higher than before, and nobody asked why.

    Never on a boulder that was topped today.
    """
    today = [went for went in tries if went.today]
    last = today[-2:]
    if len(last) < 2 or any(went.cause or went.gone is not None for went in last):
        return False
    if any(went.result == "topped" for went in today):
        return False
    known = all(went.result in HEIGHTS for went in last)
    return known and higher(last[1], last[0]) <= 0


def harder(tries: Sequence[Went]) -> bool:
    """Whether the effort of the last two of today rose."""
    last = [went for went in tries if went.today][-2:]
    return len(last) == 2 and all(went.felt == "harder" for went in last)


def falling(tries: Sequence[Went]) -> bool:
    """Whether the last two of today fell short of the best before, ended tired, or grew harder.

    A boulder that was topped today is done: what comes after it is no measure.
    """
    today = [went for went in tries if went.today]
    if len(today) < 2:
        return False
    if harder(today):
        return True
    one, two = today[-2:]
    if one.cause == two.cause == "tired":
        return True
    top = best(today[:-2])
    if top is None or top.result == "topped":
        return False
    return higher(one, top) < 0 and higher(two, top) < 0


def question_after(tries: Sequence[Went], *, asked_cause: bool = False) -> str:
    """What is asked when the breath is back after the try that follows these.

    One question and no more, whatever it decides: after a try that the head ended, whether she
    went for it; where tries stand still, what ends them, once a day; once that is known, how hard
    it was, as long as that rises; else how far it got.
    """
    today = [went for went in tries if went.today]
    if today and today[-1].cause == "head":
        return "went-for-it"
    if today and today[-1].felt == "harder" and not harder(today):
        return "try-effort"
    if not stuck(tries):
        return "try-result"
    if any(went.cause for went in today):
        return "try-effort"
    return "try-result" if asked_cause else "try-cause"


def longest(log: Sequence[Went], who: int) -> float:
    """Seconds of the longest try of a person, 0 where none was timed."""
    return max((went.seconds for went in log if went.who == who), default=0.0)


def moves_near(boulder: Boulder, tries: Sequence[Went], most: int) -> tuple[int, ...]:
    """The moves at which the next try is likely to end: around the best so far, at most so many.

    Before the first try they are around the hardest one, where it was told; none where nothing was
    told of its moves.
    """
    top = best([went for went in tries if went.move])
    if top is None and not boulder.moves and not boulder.key_at:
        return ()
    last = boulder.moves or MOST_MOVES
    middle = top.move if top is not None else boulder.key_at or boulder.moves // 2
    first = max(min(middle - most // 2 + 1, last - most + 1), 1)
    return tuple(range(first, min(first + most, last + 1)))
