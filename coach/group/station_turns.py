"""Turns at the stations: who shares a place, how long a turn takes, and what is new in a rota.

Two who share a place take turns there: one hangs or climbs while the other rests, looks and spots.
So as many hang or climb at once as there are places, and nobody rests less.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from coach.group.callout import Callout, together
from coach.model.routine import BlockKind
from coach.planning.rota import rota
from coach.planning.stations import Held, Rota, Station, Turn

MAT = "mat"
#: Seconds of a turn for walking there and chalking.
MOVE = 20
#: Boulders are gathered into turns of at least this many seconds, so that people move seldom, and
#: of hardly more, so that nobody waits and cools for longer than that.
LEAST_TURN = 240

Teams = Mapping[int, tuple[int, ...]]


@dataclass(frozen=True, slots=True)
class Stop:
    """What is done in one turn at a kind of station."""

    name: str
    kind: str
    """'board' or 'wall'."""
    block: BlockKind
    callouts: tuple[Callout, ...]

    @property
    def takes_more(self) -> bool:
        """Whether more of its block is done in the same turn."""
        return self.block is BlockKind.BOARD or together(self.callouts) < LEAST_TURN

    def seconds(self, team: Sequence[int]) -> int:
        """How long a team takes, in tens of seconds."""
        spent = sum(one.shared if len(team) > 1 else one.alone for one in self.callouts)
        return _tens(MOVE + spent)

    @property
    def rank(self) -> int:
        """The highest load of any part of anybody."""
        return max(
            (
                load
                for one in self.callouts
                for form in one.step.forms
                for load in form.load.values()
            ),
            default=0,
        )


def teams_of(people: Iterable[int], paired: bool) -> dict[int, tuple[int, ...]]:
    """Everybody for themselves, or two and two in the order of their numbers."""
    numbers = sorted(people)
    size = 2 if paired else 1
    return {numbers[at]: tuple(numbers[at : at + size]) for at in range(0, len(numbers), size)}


def members_of(teams: Teams, team: int) -> tuple[int, ...]:
    """Everybody of a team; who has none is one alone."""
    return teams.get(team, (team,))


def team_of(teams: Teams, who: int) -> int:
    """The team that somebody belongs to."""
    return next((team for team, members in teams.items() if who in members), who)


def turns_of(stops: Iterable[Stop], teams: Teams) -> list[Turn]:
    """Every team's turns. They don't depend on who of them may do what."""
    return [
        Turn(team, stop.name, stop.kind, stop.seconds(members), stop.rank)
        for team, members in teams.items()
        for stop in stops
    ]


def needed(callout: Callout) -> bool:
    """Whether a step of the mat never goes."""
    return callout.step.floor or callout.step.core


def late_turn(who: int, warm: Sequence[Callout]) -> Turn:
    """The mat of somebody who came late, in their own time: what of it never goes."""
    kept = tuple(filter(needed, warm))
    return Turn(who, MAT, MAT, _tens(MOVE + together(kept)), 0)


def moves_of(turns: Sequence[Turn], stations: Sequence[Station], held: Held) -> Rota:
    """A rota of what is left; the mat has a place for everybody."""
    mat = Station(MAT, MAT, max(sum(turn.kind == MAT for turn in turns), 1))
    return rota(turns, (*stations, mat), held)


def _tens(seconds: float) -> int:
    return -int(-seconds // 10) * 10
