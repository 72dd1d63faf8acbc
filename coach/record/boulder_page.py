"""The page of one boulder: its tries over days, what ended them, what a change gave, what is next.

It tells what was told and measured, and promises nothing.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from coach.model.tries import Boulder, Went
from coach.planning import variations
from coach.planning.try_trend import best
from coach.record.amounts import count

#: Name of a variation or a key move -> what it is called.
Called = Callable[[str], str]
_HEIGHTS = {"start": "low", "middle": "in the middle", "top": "near the top"}
_CAUSES = {
    "grip": "the grip went",
    "foot": "a foot slipped",
    "plan": "the sequence was wrong",
    "reach": "it was out of reach",
    "timing": "the timing was off",
    "head": "the head held back",
    "skin": "the skin hurt",
    "tired": "no power was left",
}


@dataclass(frozen=True, slots=True)
class BoulderDay:
    """One day on one boulder."""

    day: str
    """YYYY-MM-DD."""
    tries: tuple[Went, ...]
    notes: tuple[str, ...] = ()
    """Names of spoken notes."""
    films: tuple[str, ...] = ()
    """Clock times of filmed tries, HH:MM."""


def height(went: Went, moves: int) -> str:
    """How far a try got, as far as it was told: '5 of 9', 'near the top', 'topped', 'not told'."""
    if went.result == "topped":
        return "topped"
    if went.move:
        return f"move {went.move} of {moves}" if moves else f"move {went.move}"
    if went.result == "below":
        return "not topped"
    return _HEIGHTS.get(went.result, "not told")


def cause(went: Went) -> str:
    """Why a try ended, in words; '' where nobody told."""
    return _CAUSES.get(went.cause, "")


def described(boulder: Boulder, called: Called) -> str:
    """What is known of a boulder: 'overhang, a leap at move 5, left hand, 9 moves'."""
    at = f" at move {boulder.key_at}" if boulder.key_at else ""
    parts = (
        boulder.style,
        f"{called(boulder.about)}{at}" if boulder.about else at.removeprefix(" at "),
        f"{boulder.hand} hand" if boulder.hand else "",
        count(boulder.moves, "move") if boulder.moves else "",
    )
    return ", ".join(part for part in parts if part)


def page(boulder: Boulder, days: Sequence[BoulderDay], called: Called) -> Iterator[str]:
    """The lines of the page, the earliest day first."""
    about = described(boulder, called)
    yield boulder.name + (f": {about}." if about else ".")
    log = [went for day in days for went in day.tries]
    top = best(log)
    high = f"; highest: {height(top, boulder.moves)}" if top is not None else ""
    yield f"{count(len(log), 'try', 'tries')} on {count(len(days), 'day')}{high}."
    number = 0
    for day in days:
        yield ""
        yield day.day
        for went in day.tries:
            number += 1
            yield "  " + _try(
                number, went, boulder, variations.gave(log[: number - 1], went), called
            )
        if day.notes:
            yield f"  notes: {', '.join(day.notes)}"
        if day.films:
            yield f"  filmed: {', '.join(day.films)}"
    if log:
        yield ""
        yield f"Next: {plan(log, called)}"


def _try(number: int, went: Went, boulder: Boulder, gave: str, called: Called) -> str:
    parts = [height(went, boulder.moves)]
    if cause(went):
        parts.append(cause(went))
    if went.gone is not None:
        parts.append("went for it" if went.gone else "held back")
    if went.felt:
        parts.append("as hard as before" if went.felt == "same" else f"felt {went.felt}")
    if went.variation:
        parts.append(f"{called(went.variation)}: {gave}")
    return f"{number}. {'; '.join(parts)}"


def plan(tries: Sequence[Went], called: Called) -> str:
    """What the next day begins with: what helped, else what is still to be tried."""
    last = tries[-1]
    if last.result == "topped":
        return "topped; again with a change, or another hard one."
    helped = variations.worked(tries)
    if helped:
        return f"{called(helped)}: it helped before."
    told = [cause(went) for went in tries if cause(went)]
    if told:
        return f"look at what ended it: {told[-1]}."
    return "say why a try ended, and one change that fits is offered."


def overview(boulders: Sequence[tuple[Boulder, Sequence[BoulderDay]]]) -> Iterator[tuple[str, ...]]:
    """A row for each boulder: name, tries, days, how far, the last day."""
    for boulder, days in boulders:
        log = [went for day in days for went in day.tries]
        top = best(log)
        yield (
            boulder.name,
            count(len(log), "try", "tries"),
            count(len(days), "day"),
            height(top, boulder.moves) if top is not None else "not told",
            days[-1].day if days else "",
        )
