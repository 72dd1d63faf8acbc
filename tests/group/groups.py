"""Random groups, and an independent check of a rota: it uses nothing of what builds one."""

import itertools
import random
from collections import defaultdict

from coach.planning.stations import Rota, Station, Turn

AGES = ("adult", "adult", "under-18", "under-16", "unknown")


def random_group(seed: int, people: int | None = None) -> tuple[list[Turn], list[Station]]:
    """Two to thirty people with mixed caps on one to six boards and a wall.

    The under-16 and whoever has sore fingers do not hang; middle boulders are for a few adults.
    """
    dice = random.Random(seed)
    count = people if people is not None else dice.randint(2, 30)
    boards = dice.randint(1, 6) if people is None else max(1, people // 6)
    stations = [
        Station(f"board {n}", "board", dice.choice((1, 1, 2))) for n in range(1, boards + 1)
    ]
    stations.append(Station("wall", "wall", dice.choice((3, 4, 6, 8)) * (1 + count // 31)))
    easy = [dice.choice((240, 300, 410)) for _ in range(dice.randint(1, 3))]
    hang, middle = dice.choice((110, 200, 260)), dice.choice((300, 600))
    turns: list[Turn] = []
    for who in range(1, count + 1):
        age, sore = dice.choice(AGES), dice.random() < 0.15
        if age != "under-16" and not sore:
            turns.append(Turn(who, "board.1", "board", hang, 1))
        turns += [Turn(who, f"easy.{n}", "wall", seconds, 1) for n, seconds in enumerate(easy, 1)]
        if age == "adult" and dice.random() < 0.4:
            turns.append(Turn(who, "middle.1", "wall", middle, 2))
    return turns, stations


def faults(  # noqa: C901 - one fault after the other
    made: Rota, turns: list[Turn], stations: list[Station]
) -> list[str]:
    """What is wrong with a rota: turns lost or doubled, two places, full places, wrong order."""
    found: list[str] = []
    if sorted(map(str, (seat.turn for seat in made.seats))) != sorted(map(str, turns)):
        found.append("a turn is missing or there twice")
    by_person, by_place = defaultdict(list), defaultdict(list)
    places = {station.name: station for station in stations}
    for seat in made.seats:
        by_person[seat.turn.who].append(seat)
        by_place[seat.station, seat.place].append(seat)
        station = places[seat.station]
        if seat.start < 0 or station.kind != seat.turn.kind:
            found.append(f"{seat} is nowhere")
        if not 1 <= seat.place <= station.places:
            found.append(f"{seat}: there is no such place")
    for where, seats in (*by_person.items(), *by_place.items()):
        seats.sort(key=lambda seat: seat.start)
        for one, other in itertools.pairwise(seats):
            if one.start + one.turn.seconds > other.start:
                found.append(f"{where}: {one} and {other} at once")
    for who, seats in by_person.items():
        ranks = [seat.turn.rank for seat in seats]
        if ranks != sorted(ranks):
            found.append(f"{who}: harder before easier")
        for kind in ("board", "wall"):
            names = [s.turn.name for s in seats if s.turn.kind == kind]
            meant = [t.name for t in turns if t.who == who and t.kind == kind]
            if names != meant:
                found.append(f"{who}: {names} instead of {meant}")
    return found


def plain_bound(turns: list[Turn], stations: list[Station]) -> int:
    """The longest chain of a person, or work over places, whichever is more."""
    chains: dict[int, int] = defaultdict(int)
    work: dict[str, int] = defaultdict(int)
    places: dict[str, int] = defaultdict(int)
    for turn in turns:
        chains[turn.who] += turn.seconds
        work[turn.kind] += turn.seconds
    for station in stations:
        places[station.kind] += station.places
    return max(*chains.values(), *(-(-work[kind] // places[kind]) for kind in work))
