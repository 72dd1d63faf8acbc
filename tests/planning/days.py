"""Days and answers for property tests: any check-in, any answers, in any window."""

from dataclasses import dataclass
from functools import cache

from hypothesis import strategies as st

from coach.files.library import load_library
from coach.model.answers import ANYTIME, Answer, parse
from coach.model.body import Feel, Part
from coach.model.day import Day, Library
from coach.model.person import AgeBand, Person
from coach.model.plan import Step, StepKind
from coach.model.questions import QUESTIONS
from coach.planning.offers import cost


@cache
def library(routine: str = "full") -> Library:
    """A shipped routine in the invented hall."""
    return load_library(routine, "tarnwick")


people = st.lists(st.sampled_from(AgeBand), min_size=1, max_size=3).map(
    lambda ages: tuple(Person(who, age=age) for who, age in enumerate(ages, start=1))
)

UNASKED: tuple[str, ...] = (
    *ANYTIME,
    *(f"feel:{part}:{feel}" for part in Part for feel in Feel),
    *(f"feel:{feel}" for feel in Feel),
    *(f"part:{part}" for part in Part),
    "skip",
    "easier",
    "harder",
    "more-time",
    "short-of-time",
    "short-of-time:10",
    "fewer:15",
    "longer",
    "longer:30",
    "hurt:knees",
    "sign:pop",
    "sign:swelling",
    "tissue:skin",
    "tissue:muscle",
    "tissue:joint",
    "yes",
    "no",
    "go",
    "not-today",
    "rewarm",
    "ready",
    "another",
    "enough",
    "silence",
    "done",
    "why",
)


@dataclass(frozen=True)
class Move:
    """One thing that happens: go on some steps, then an answer."""

    onward: int
    who: int
    key: str
    question: str


_asked = st.sampled_from(sorted(QUESTIONS)).flatmap(
    lambda name: st.tuples(st.sampled_from([*QUESTIONS[name].answers, "silence"]), st.just(name))
)
_unasked = st.tuples(st.sampled_from(UNASKED), st.just(""))

moves = st.builds(
    lambda onward, who, pair: Move(onward, who, *pair),
    st.integers(0, 12),
    st.integers(1, 3),
    st.one_of(_asked, _unasked, st.just(("", "next"))),
)


def onward(steps: tuple[Step, ...], now: float, count: int) -> tuple[tuple[Step, ...], float]:
    """The steps and the time after some steps have been done; gates are not run past."""
    for _ in range(count):
        if not steps or steps[0].kind is StepKind.ASK:
            break
        now += cost(steps[0])
        steps = steps[1:]
    return steps, now


def answers_of(question: str) -> list[Answer]:
    """The answers that a question takes, silence among them."""
    return [parse(key) for key in (*QUESTIONS[question].answers, "silence")]


__all__ = ["Day", "Move", "answers_of", "library", "moves", "onward", "people"]
