"""What goes when the seconds are few, worked out by hand: hard tries first, floors last."""

from coach.model.body import Load, Part
from coach.model.plan import Form, Step, StepKind
from coach.model.routine import BlockKind
from coach.planning.fitting import trim

LIGHT: Load = {Part.BACK: 1}


def a_step(name: str, block: BlockKind, *, floor: bool = False, tries: bool = False) -> Step:
    """One of a hundred seconds."""
    return Step(
        name,
        StepKind.TRY if tries else StepKind.STAY,
        block,
        (Form(1, "cat-arch", LIGHT),),
        100,
        100.0,
        turn=int(tries),
        floor=floor,
    )


FIRST = a_step("pulse.1", BlockKind.PULSE)
FLOORS = (
    a_step("pulse.2", BlockKind.PULSE, floor=True),
    a_step("mat.1", BlockKind.MAT, floor=True),
)
#: Worth more to the budget than what the warm-up needs.
BOARD = (a_step("board.1", BlockKind.BOARD), a_step("board.2", BlockKind.BOARD))
TRIES = tuple(a_step(f"hard.{n}.1", BlockKind.HARD, tries=True) for n in (1, 2))


def left(seconds: float) -> list[str]:
    """The names of what is left of all of them in so many seconds."""
    steps, _ = trim((FIRST, *FLOORS, *BOARD, *TRIES), seconds, 0.0, {})
    return [step.name for step in steps]


def test_all_of_it_stays_where_it_fits() -> None:
    assert len(left(700.0)) == 7


def test_as_long_as_the_warm_up_fits_it_stays_whatever_else_is_worth() -> None:
    assert left(300.0) == ["pulse.1", "pulse.2", "mat.1"]


def test_where_it_does_not_fit_no_try_is_left_and_what_is_there_is_of_it() -> None:
    kept = left(200.0)
    assert kept in (["pulse.1", "pulse.2"], ["pulse.1", "mat.1"])


def test_what_had_to_go_of_it_is_told() -> None:
    steps, lost = trim((FIRST, *FLOORS, *BOARD, *TRIES), 200.0, 0.0, {})
    assert {step.name for step in FLOORS} == {*lost, steps[-1].name}
    assert trim((FIRST, *FLOORS, *BOARD, *TRIES), 500.0, 0.0, {})[1] == ()


def test_the_step_that_runs_stays_when_nothing_fits() -> None:
    assert left(10.0) == ["pulse.1"]
