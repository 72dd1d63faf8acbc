"""The rota of a group: nobody in two places, no place too full, and short."""

import random
import statistics

import pytest

from coach.planning.exact_rota import exact
from coach.planning.rota import rota
from coach.planning.stations import Held, Rota, Seat, Station, Turn, bound
from tests.group.groups import faults, plain_bound, random_group
from tests.group.solvers import proven_by_highs

GROUPS = 15
BOARD, WALL = Station("board 1", "board", 1), Station("wall", "wall", 2)


@pytest.mark.no_cover
def test_random_groups() -> None:
    """Every rota is right; its length against max(longest chain, work over places)."""
    ratios = []
    for seed in range(GROUPS):
        turns, stations = random_group(seed)
        made = rota(turns, stations)
        assert faults(made, turns, stations) == [], seed
        assert made.bound == plain_bound(turns, stations)
        ratios.append(made.seconds / made.bound)

    assert statistics.median(ratios) <= 1.05
    assert min(ratios) >= 1.0


def test_a_published_open_shop() -> None:
    """tai_4x4_1 (Taillard E 1993, EJOR 64(2):278-285): optimum 193, machines 186 at least.

    The same times in the order in which they were first printed have the optimum 196.
    """
    published = ((34, 2, 54, 61), (15, 89, 70, 9), (38, 19, 28, 87), (95, 7, 34, 29))
    raw = ((54, 34, 61, 2), (9, 15, 89, 70), (38, 19, 28, 87), (95, 34, 7, 29))
    machines = [Station(f"machine {m}", f"machine {m}", 1) for m in range(4)]

    def solved(rows: tuple[tuple[int, ...], ...]) -> Rota:
        jobs = [
            Turn(job, f"on {m}", f"machine {m}", seconds)
            for job, row in enumerate(rows, 1)
            for m, seconds in enumerate(row)
        ]
        made = exact(jobs, machines)
        assert made.proven
        assert sorted(seat.turn.seconds for seat in made.seats) == sorted(sum(rows, ()))
        return made

    assert (solved(published).seconds, solved(published).bound) == (193, 186)
    assert solved(raw).seconds == 196


@pytest.mark.parametrize(("people", "least"), [(6, 1350), (8, 1600)])
def test_groups_whose_optimum_another_solver_proved(people: int, least: int) -> None:
    """One board: the solver of SciPy proved these lengths for these turns."""
    turns = [
        turn
        for who in range(1, people + 1)
        for turn in (
            Turn(who, "board.1", "board", 200, 1),
            Turn(who, "easy.1", "wall", 540, 1),
            Turn(who, "easy.3", "wall", 410, 1),
        )
    ]
    assert rota(turns, [BOARD, Station("wall", "wall", 8)]).seconds == least


def test_small_groups_against_a_proven_optimum() -> None:
    """Ten groups of two to five people: the solver finds nothing much shorter."""
    ratios = []
    for seed in range(10):
        dice = random.Random(seed)
        turns = []
        for who in range(1, dice.randint(2, 5) + 1):
            if dice.random() < 0.7:
                turns.append(Turn(who, "board.1", "board", dice.choice((120, 180)), 1))
            turns.append(Turn(who, "easy.1", "wall", dice.choice((240, 300)), 1))
            turns.append(Turn(who, "middle.1", "wall", 300, 2))
        stations = [BOARD, WALL]
        made = rota(turns, stations)
        assert faults(made, turns, stations) == []
        least = proven_by_highs(turns, stations, 60, made.seconds)
        assert made.bound <= least <= made.seconds
        ratios.append(made.seconds / least)

    print(f"against the optimum: worst {max(ratios):.3f}, at it {ratios.count(1.0)} of 10")
    assert statistics.median(ratios) == 1.0
    assert max(ratios) <= 1.2


def test_who_is_not_free_yet_waits_and_so_does_a_place() -> None:
    turns = [Turn(1, "board.1", "board", 100, 1), Turn(2, "board.1", "board", 100, 1)]
    held = Held(people={1: 500}, places={("board 1", 1): 60})

    made = rota(turns, [BOARD], held)

    assert [(seat.turn.who, seat.start) for seat in made.seats] == [(2, 60), (1, 500)]
    assert made.bound == bound(turns, [BOARD], held) == 600


def test_a_turn_without_a_place_is_refused() -> None:
    with pytest.raises(ValueError, match="no place for board"):
        rota([Turn(1, "board.1", "board", 100)], [WALL])


def test_waiting_is_what_people_wait_before_their_seats() -> None:
    one, two = Turn(1, "board.1", "board", 100), Turn(2, "board.1", "board", 100)
    made = Rota((Seat(one, "board 1", 1, 0), Seat(two, "board 1", 1, 100)))

    assert made.waiting == 100
    assert Rota().seconds == 0
