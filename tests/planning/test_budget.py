"""The budget against a second formulation, solved by HiGHS, and against every subset."""

from random import Random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from coach.planning.budget import Piece, choose

INSTANCES = 300


def by_milp(pieces: list[Piece], seconds: int) -> int | None:
    """The highest worth: one 0/1 variable a piece, those that must stay fixed at 1."""
    count = len(pieces)
    solved = milp(
        -np.array([float(piece.worth) for piece in pieces]),
        integrality=np.ones(count),
        bounds=Bounds(np.array([float(piece.must) for piece in pieces]), np.ones(count)),
        constraints=LinearConstraint(
            np.array([[float(piece.seconds) for piece in pieces]]), -np.inf, float(seconds)
        ),
        options={"mip_rel_gap": 0.0},
    )
    return round(-solved.fun) if solved.success else None


@pytest.mark.no_cover
def test_the_choice_is_the_exact_optimum_of_random_budgets() -> None:
    dice = Random("budgets")
    feasible = 0
    for _ in range(INSTANCES):
        pieces = [
            Piece("", dice.randint(10, 600), dice.randint(1, 6000), dice.random() < 0.15)
            for _ in range(dice.randint(1, 45))
        ]
        seconds = dice.randint(60, 5400)
        chosen, best = choose(pieces, seconds), by_milp(pieces, seconds)
        if chosen is None:
            assert best is None
            continue
        feasible += 1
        assert sum(pieces[i].worth for i in chosen) == best
        assert sum(pieces[i].seconds for i in chosen) <= seconds
    assert feasible > INSTANCES / 2


pieces = st.lists(
    st.builds(Piece, st.just(""), st.integers(0, 30), st.integers(0, 30), st.booleans()),
    max_size=9,
)


@given(pieces, st.integers(0, 120))
def test_no_subset_is_worth_more(given_pieces: list[Piece], seconds: int) -> None:
    """Every subset is tried."""
    must = {i for i, piece in enumerate(given_pieces) if piece.must}
    subsets = (
        {i for i in range(len(given_pieces)) if mask >> i & 1}
        for mask in range(1 << len(given_pieces))
    )
    worths = [
        sum(given_pieces[i].worth for i in subset)
        for subset in subsets
        if must <= subset and sum(given_pieces[i].seconds for i in subset) <= seconds
    ]
    chosen = choose(given_pieces, seconds)
    if chosen is None:
        assert worths == []
    else:
        assert sum(given_pieces[i].worth for i in chosen) == max(worths)
        assert sum(given_pieces[i].seconds for i in chosen) <= seconds


@pytest.mark.parametrize(
    ("seconds", "chosen"), [(0, frozenset()), (59, frozenset()), (60, {0}), (120, {0, 1})]
)
def test_among_equals_the_earlier_piece_is_taken(seconds: int, chosen: frozenset[int]) -> None:
    same = [Piece("a", 60, 5), Piece("b", 60, 5)]
    assert choose(same, seconds) == chosen
