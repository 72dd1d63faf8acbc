"""An answer that begins near the boundary of a step lands on the right step or on none.

Every kind of boundary, every answer that ends or moves a step, from 0.6 s before to 0.6 s after in
steps of 0.1 s. The decision comes 0.85 s after the speech began: half a second of words and the
hearing's own time, so it often falls into the next step.
"""

from dataclasses import replace

import pytest

from coach.files.library import load_library
from coach.files.words import load_language
from coach.model.answers import parse
from coach.model.body import Part
from coach.model.facts import StepEnded
from coach.model.person import AgeBand, Person
from coach.model.plan import Form, Step, StepKind
from coach.model.routine import BlockKind
from coach.model.start import Options
from coach.runtime.rehearsal import TextWorld
from coach.session.effects import CloseWindow, OpenWindow, Record
from coach.session.events import Answered, Source, Started, TimePassed
from coach.session.state import Phase, Session
from coach.session.step import new_session, step

LIBRARY = load_library("full", None, ())
LANGUAGE = load_language("en", LIBRARY.movements)
DECISION = 0.85
OPTIONS = Options((Person(1, age=AgeBand.ADULT),), 90.0, (), True)
#: A session that has a plan: each driver puts steps of its own in its place.
BEGUN, _ = step(new_session(LIBRARY, OPTIONS), Started(0.0))
OFFSETS = [n / 10 for n in range(-6, 7)]
_LIGHT = {Part.BACK: 1}


def _step(number: int, kind: StepKind, **fields: object) -> Step:
    form = Form(1, "cat-arch", _LIGHT)
    made = Step(f"mat.{number}", kind, BlockKind.MAT, (form,), 5, 20.0)
    return replace(made, **fields)  # type: ignore[arg-type]


#: What ends at the boundary, by name: the steps up to it, and how it comes to its end.
FIRST = {
    "stay": _step(1, StepKind.STAY),
    "breathe": _step(1, StepKind.BREATHE),
    "repeat": _step(1, StepKind.REPEAT),
    "stay-then-rest": _step(1, StepKind.STAY, rest=30.0),
    "rest": _step(1, StepKind.REST, forms=()),
    "climb": _step(1, StepKind.CLIMB, block=BlockKind.EASY),
    "dose": _step(1, StepKind.DOSE, least=1, most=1, hangs=True),
    "try": _step(1, StepKind.TRY, block=BlockKind.HARD, turn=1),
}
ANSWERS = ["done", "skip", "enough", "down", "topped", "count:3", "more-time", "ready", "easier"]


class Driver:
    """A session over a plan of our own, in which each effect and boundary is seen."""

    def __init__(self, first: Step) -> None:
        session = BEGUN
        second = _step(2, StepKind.STAY, seconds=25.0)
        third = _step(3, StepKind.STAY, seconds=25.0)
        self.session: Session = replace(
            session,
            course=replace(session.course, steps=(first, second, third), running=None),
            speech=replace(session.speech, saying=None, queue=()),
            rests=replace(session.rests, resting=None),
            questions=replace(session.questions, asking=None, pending=()),
            listening=replace(session.listening, windows=()),
            standing=replace(session.standing, paused_since=session.at),
            phase=Phase.PAUSED,
        )
        self.world = TextWorld(LANGUAGE, ())
        self.opened: list[OpenWindow] = []
        self.closed: dict[int, float] = {}
        self.ended: list[StepEnded] = []
        self.feed(Answered(0.0, parse("resume")))

    def feed(self, event: object) -> None:
        self.session, effects = step(self.session, event)  # type: ignore[arg-type]
        for effect in effects:
            if isinstance(effect, OpenWindow):
                self.opened.append(effect)
            elif isinstance(effect, CloseWindow):
                self.closed[effect.window] = effect.at
            if isinstance(effect, Record):
                if isinstance(effect.fact, StepEnded):
                    self.ended.append(effect.fact)
            else:
                self.world.carry_out(effect)

    def run(self, until: float) -> None:
        while self.world.now() < until:
            event = self.world.wait(min(until, self.session.wake or until))
            self.feed(event or TimePassed(self.world.now()))

    def window_at(self, onset: float) -> int | None:
        """The window that a listener would name: open when the speech began."""
        for window in reversed(self.opened):
            if window.at <= onset <= self.closed.get(window.window, float("inf")):
                return window.window
        return None


def _boundary(first: Step) -> float:
    """When the first step ends if nobody says anything."""
    driver = Driver(first)
    while driver.session.course.steps and driver.session.course.steps[0].name != "mat.2":
        driver.feed(driver.world.wait(driver.session.wake) or TimePassed(driver.world.now()))
    return driver.session.at


BOUNDARIES = {name: _boundary(first) for name, first in FIRST.items()}


def _state(driver: Driver) -> tuple[object, ...]:
    """What an answer could have changed in the steps that are left."""
    s = driver.session
    return s.course.steps, s.course.running, s.rests.resting, s.phase, s.day


@pytest.mark.parametrize("key", ANSWERS)
@pytest.mark.parametrize("name", FIRST)
@pytest.mark.parametrize("offset", OFFSETS)
def test_it_lands_on_the_right_step_or_on_none(name: str, key: str, offset: float) -> None:
    boundary = BOUNDARIES[name]
    onset = boundary + offset
    heard, control = Driver(FIRST[name]), Driver(FIRST[name])
    for driver in (heard, control):
        driver.run(onset + DECISION)
    window = heard.window_at(onset)
    event = Answered(heard.world.now(), parse(key), 1, onset, window, Source.VOICE)
    heard.feed(event)
    control.feed(TimePassed(control.world.now()))
    for driver in (heard, control):
        driver.run(boundary + 4.0)
    belongs_to_next = window is not None and any(
        one.window == window and one.at >= boundary for one in heard.opened
    )
    assert [f for f in heard.ended if f.step == "mat.1"] == [
        f for f in control.ended if f.step == "mat.1"
    ]
    assert not any(f.step == "mat.3" for f in heard.ended)
    # what is told of the try that has just ended, in the breath that ended it, is its result
    of_the_try = name == "try" and window is not None and parse(key).meaning.nature.tells
    if not belongs_to_next and not of_the_try:
        assert _state(heard) == _state(control)


def test_some_answers_do_land_on_the_next_step() -> None:
    """The test above would pass for a session that heard nothing at all."""
    landed = 0
    for name, first in FIRST.items():
        driver = Driver(first)
        driver.run(BOUNDARIES[name] + 3.0)
        onset = driver.world.now()
        window = driver.window_at(onset)
        driver.run(onset + DECISION)
        driver.feed(Answered(driver.world.now(), parse("skip"), 1, onset, window, Source.VOICE))
        landed += all(step.name != "mat.2" for step in driver.session.course.steps)
    assert landed >= 6
