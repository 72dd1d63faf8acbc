"""How long the end of a step is waited for: when it is asked about, and when it is given up."""

from coach.model.plan import Step, StepKind

#: A step without an answer is asked about after this many times its planned seconds.
PATIENCE = 1.25
#: And left, as untold, after this many.
GIVE_UP = 1.75
#: Seconds for which a batch is waited for at least once it was asked about: whoever was quick
#: before may be on the wall with her last boulder (our choice).
LAST_BOULDER = 90.0
#: Seconds after which a try is asked about: nobody may have begun it yet, and boulderers climbed
#: for 28.9 +- 10.8 s a try (White and Olsen 2010, J Strength Cond Res 24(5):1356-1360).
PATIENCE_TRY = 90.0
#: And it is waited for longer.
GIVE_UP_TRY = 3.0
#: Planned seconds that any step is waited for as if it had.
_LEAST = 30.0


def asked_after(step: Step, longest: float = 0.0) -> float:
    """Seconds after which it is asked whether a step is over: a try, after their own longest."""
    usual = PATIENCE * max(step.seconds, _LEAST)
    return usual if step.kind is not StepKind.TRY else max(usual, PATIENCE_TRY, longest)


def left_after(step: Step) -> float:
    """Seconds for which its end is waited for once it was asked about."""
    wait = GIVE_UP_TRY if step.kind is StepKind.TRY else GIVE_UP - PATIENCE
    least = LAST_BOULDER if step.kind is StepKind.CLIMB else 0.0
    return max(wait * max(step.seconds, _LEAST), least)


def in_silence(step: Step) -> float:
    """Seconds that a batch takes beyond its planned ones where nobody tells its end."""
    if step.kind is not StepKind.CLIMB:
        return 0.0
    return asked_after(step) + left_after(step) - step.seconds


def asked_in_time(step: Step, left: float) -> float:
    """Seconds after which a batch is asked about, so that it is over within what is left.

    It is so where nobody told the end of the last batch; half of it is always waited for.
    """
    return min(asked_after(step), max(left - LAST_BOULDER, step.seconds / 2))


def left_in_time(step: Step, left: float) -> float:
    """Seconds for which its end is waited for then."""
    return min(left_after(step), max(left, LAST_BOULDER))
