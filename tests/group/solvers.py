"""Another solver for rotas: a formulation of its own, solved by HiGHS as SciPy has it."""

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import lil_matrix

from coach.planning.stations import Station, Turn


def proven_by_highs(turns: list[Turn], stations: list[Station], slot: int, most: int) -> int:
    """The least seconds that any rota takes, on a grid of `slot` seconds, up to `most`."""
    return optimum(turns, stations, slot, most // slot + 1) * slot


def optimum(  # noqa: C901 - one constraint after the other
    turns: list[Turn], stations: list[Station], slot: int, most: int
) -> int:
    """The least slots that any rota takes, proven by a solver (HiGHS, as SciPy has it).

    One choice of a start for each turn; places of a kind are alike, so that counting who is there
    in each slot is enough.
    """
    lengths = [turn.seconds // slot for turn in turns]
    starts = [(i, s) for i, length in enumerate(lengths) for s in range(most - length + 1)]
    column = {pair: n for n, pair in enumerate(starts)}
    end = len(starts)
    rows: list[dict[int, float]] = []
    low: list[float] = []
    high: list[float] = []

    def add(row: dict[int, float], least: float, greatest: float) -> None:
        rows.append(row)
        low.append(least)
        high.append(greatest)

    for i, length in enumerate(lengths):
        mine = [column[i, s] for s in range(most - length + 1)]
        add(dict.fromkeys(mine, 1.0), 1, 1)
        add(
            {column[i, s]: -float(s + length) for s in range(most - length + 1)} | {end: 1.0},
            0,
            most,
        )
    for t in range(most):
        runs = [
            {column[i, s] for s in range(max(0, t - n + 1), min(t, most - n) + 1)}
            for i, n in enumerate(lengths)
        ]
        for who in {turn.who for turn in turns}:
            at = [c for i, turn in enumerate(turns) if turn.who == who for c in runs[i]]
            add(dict.fromkeys(at, 1.0), 0, 1)
        for kind in {turn.kind for turn in turns}:
            at = [c for i, turn in enumerate(turns) if turn.kind == kind for c in runs[i]]
            add(dict.fromkeys(at, 1.0), 0, sum(s.places for s in stations if s.kind == kind))
    for i, one in enumerate(turns):
        for j, other in enumerate(turns):
            before = one.rank < other.rank or (one.kind == other.kind and i < j)
            if one.who == other.who and one.rank <= other.rank and before:
                row = {column[j, s]: float(s) for s in range(most - lengths[j] + 1)}
                row |= {column[i, s]: -float(s) for s in range(most - lengths[i] + 1)}
                add(row, lengths[i], most)
    matrix = lil_matrix((len(rows), end + 1))
    for n, row in enumerate(rows):
        for where, value in row.items():
            matrix[n, where] = value
    cost = np.zeros(end + 1)
    cost[end] = 1.0
    upper = np.ones(end + 1)
    upper[end] = most
    solved = milp(
        cost,
        constraints=LinearConstraint(matrix.tocsr(), low, high),
        integrality=np.ones(end + 1),
        bounds=Bounds(np.zeros(end + 1), upper),
    )
    assert solved.success, solved.message
    return round(float(solved.fun))
