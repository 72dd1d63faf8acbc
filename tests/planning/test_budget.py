"""The budget against a second formulation, solved by HiGHS through SciPy's `milp`."""

from collections.abc import Mapping, Sequence
from itertools import pairwise
from random import Random
from typing import NamedTuple

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from coach.model.plan import StepKind
from coach.model.routine import BlockKind
from coach.planning import fit, open_day
from coach.planning.budget import Piece, choose
from coach.planning.offers import Offer, worth
from coach.planning.unfolding import of_routine
from tests.planning.budgets import ALONE, routine_of

INSTANCES = 2000


class Told(NamedTuple):
    """What the second formulation knows of an offer, read from its steps."""

    climbs: int
    tries: bool
    question: str


def told(offer: Offer) -> Told:
    steps = offer.steps
    climbs = sum(s.amount for s in steps if s.kind is StepKind.CLIMB)
    return Told(climbs, any(s.kind is StepKind.TRY for s in steps), steps[0].question)


class Model:
    """A maximum over 0/1 variables under rows that are at most a limit."""

    def __init__(self, count: int) -> None:
        self.gain = np.zeros(count)
        self.lower, self.upper = np.zeros(count), np.ones(count)
        self.rows: list[np.ndarray] = []
        self.limits: list[float] = []

    def at_most(self, terms: dict[int, float], limit: float) -> None:
        row = np.zeros(len(self.gain))
        for index, factor in terms.items():
            row[index] += factor
        self.rows.append(row)
        self.limits.append(limit)

    def follows(self, first: int, second: int) -> None:
        """The first is only taken with the second."""
        self.at_most({first: 1, second: -1}, 0)

    def solve(self) -> int | None:
        solved = milp(
            -self.gain,
            integrality=np.ones(len(self.gain)),
            bounds=Bounds(self.lower, self.upper),
            constraints=LinearConstraint(np.array(self.rows), -np.inf, np.array(self.limits)),
            options={"mip_rel_gap": 0.0},
        )
        return round(-solved.fun) if solved.success else None


def by_milp(offers: Sequence[Offer], seconds: int) -> int | None:
    """The highest worth: one 0/1 variable an offer, and one that says whether it is a hard day.

    Floors and core are fixed at 1. Tries take the hard day, and come in order from the first; the
    hard day takes a try, and in order the batches that make ten easy and five middle boulders.
    The go-ahead is asked on a hard day and on no other. None where nothing fits.
    """
    hard = len(offers)
    model = Model(hard + 1)
    of = [told(offer) for offer in offers]
    for i, offer in enumerate(offers):
        question = of[i].question
        model.gain[i] = 0 if question else worth(offer.kind, offer.index, offer.seconds)
        if question == "go-ahead":
            model.follows(i, hard)
            model.follows(hard, i)
        elif offer.must:
            model.lower[i] = 1
        if of[i].tries:
            model.follows(i, hard)
    rounds = [i for i, one in enumerate(of) if one.tries]
    if rounds:
        model.follows(hard, rounds[0])
    else:
        model.upper[hard] = 0
    for first, second in pairwise(rounds):
        model.follows(second, first)
    for kind, least in ((BlockKind.EASY, 10), (BlockKind.MIDDLE, 5)):
        climbs = {i: of[i].climbs for i, offer in enumerate(offers) if offer.kind is kind}
        _boulders_first(model, climbs, hard, least)
    model.at_most({i: float(offer.seconds) for i, offer in enumerate(offers)}, float(seconds))
    return model.solve()


def _boulders_first(model: Model, climbs: Mapping[int, int], hard: int, least: int) -> None:
    """The hard day takes, in order, the batches of a tier that make up its least.

    `climbs` are the boulders of each offer of the tier.
    """
    before = 0
    for i, boulders in climbs.items():
        if boulders and before < least:
            model.follows(hard, i)
        before += boulders
    if before < least and climbs:
        model.upper[hard] = 0


@pytest.mark.no_cover
def test_the_session_is_the_exact_optimum_of_two_thousand_random_budgets() -> None:
    dice = Random("budgets")
    feasible = hard = 0
    for _ in range(INSTANCES):
        library = routine_of(dice, dice.randint(1, 10))
        offers = of_routine(open_day(ALONE, 60, library), library)
        seconds = dice.randint(60, 5400)
        chosen = fit.select(offers, seconds)
        expected = by_milp(offers, seconds)
        if chosen is None:
            assert expected is None
            continue
        feasible += 1
        of = [told(offer) for offer in chosen]
        hard += any(one.tries for one in of)
        total = sum(
            worth(offer.kind, offer.index, offer.seconds)
            for offer, one in zip(chosen, of, strict=True)
            if not one.question
        )
        assert total == expected
        assert sum(offer.seconds for offer in chosen) <= seconds
        names = {offer.name for offer in chosen}
        assert [offer for offer in offers if offer.name in names] == list(chosen)
    assert feasible > INSTANCES / 2
    assert hard > INSTANCES / 10


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
