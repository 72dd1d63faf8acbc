"""A session on its feet: steps are done, questions answered, and what planning made is kept."""

from dataclasses import replace

from coach.model.answers import parse
from coach.model.body import Cap, CapReason, Part, ceiling
from coach.model.day import Change, Library
from coach.model.person import AgeBand, Person
from coach.model.plan import Step, StepKind
from coach.planning import (
    adapt,
    after_idle,
    fitting,
    keep_time,
    made_up,
    make_plan,
    open_day,
    timeline,
)
from tests.planning.days import library as shipped

ADULT = (Person(1, age=AgeBand.ADULT),)
PAIR = (Person(1, age=AgeBand.ADULT), Person(2, age=AgeBand.ADULT))
CLEAR = {
    "gate-body": "feel:fine",
    "gate-shoulders": "feel:fresh",
    "gate-fingers": "feel:fine",
    "gate-fingers-now": "feel:fine",
}


class Walker:
    """One session. `change` is what planning made last."""

    def __init__(
        self,
        people: tuple[Person, ...] = ADULT,
        minutes: float = 90,
        *,
        told: tuple[tuple[int, str], ...] = (),
        library: Library | None = None,
        standing: tuple[Cap, ...] = (),
        hurting: str = "",
    ) -> None:
        self.library = library or shipped()
        self.now = 0.0
        day = open_day(people, minutes, self.library, standing=standing, told=told)
        if hurting:
            day = adapt(day, (), 0.0, 1, parse(hurting), "hurting", self.library).day
        self.change = make_plan(day, 0.0, self.library)

    @property
    def steps(self) -> tuple[Step, ...]:
        return self.change.steps

    @property
    def fired(self) -> list[str]:
        return [item.rule for item in self.change.fired]

    @property
    def say(self) -> str:
        return self.change.say.key if self.change.say is not None else ""

    @property
    def seconds(self) -> float:
        return timeline.seconds_of(self.steps, self.now, timeline.of_day(self.change.day))

    def value(self, name: str) -> object:
        assert self.change.say is not None
        return self.change.say.value(name)

    def tries(self, who: int = 1) -> int:
        return fitting.tries(self.steps, who)

    def most(self, part: Part, who: int = 1) -> int:
        """The ceiling of a part, shut gates not counted."""
        caps = [cap for cap in self.change.day.caps if cap.reason is not CapReason.GATE]
        return ceiling(caps, who, part)

    def forms(self, block: str, who: int = 1) -> set[str]:
        """Movements of one person in the steps of a block."""
        return {
            form.movement
            for step in self.steps
            for form in step.forms
            if step.block == block and form.who == who and form.movement
        }

    def past(self, count: int = 1) -> "Walker":
        """Do some steps."""
        for _ in range(count):
            self._drop()
        return self

    def _drop(self) -> None:
        step = self.steps[0]
        rested = timeline.of_day(self.change.day)
        self.now += sum(timeline.costs([step], self.now, rested))
        day = timeline.loaded(self.change.day, step, self.now)
        self.change = replace(self.change, day=day, steps=self.steps[1:])
        if step.kind is not StepKind.ASK:
            self._take(
                made_up(self.change.day, self.steps, self.now, step, self.library), keep=True
            )

    def _take(self, change: Change, *, keep: bool = False) -> None:
        quiet = keep and change.say is None
        self.change = replace(change, say=self.change.say) if quiet else change

    def to(self, name: str) -> "Walker":
        """Go on, every gate clear, until a step of this name, block or question is first."""
        while name not in (self.steps[0].name, self.steps[0].question, self.steps[0].block):
            step = self.steps[0]
            self._drop()
            for form in step.forms if step.question else ():
                key = "go" if step.question == "go-ahead" else CLEAR[step.question]
                self.tell(key, step.question, who=form.who)
        return self

    def answer(self, key: str, who: int = 1) -> "Walker":
        """Answer the question that is first."""
        question = self.steps[0].question
        assert question
        self._drop()
        return self.tell(key, question, who=who)

    def tell(self, key: str, question: str = "", who: int = 1) -> "Walker":
        """Tell something, in the window of a question or unasked."""
        self._take(
            adapt(self.change.day, self.steps, self.now, who, parse(key), question, self.library)
        )
        return self

    def idle(self, seconds: float) -> "Walker":
        self.now += seconds
        self._take(after_idle(self.change.day, self.steps, self.now, seconds, self.library))
        return self

    def late(self, seconds: float) -> "Walker":
        self.now += seconds
        self._take(keep_time(self.change.day, self.steps, self.now, self.library))
        return self
