"""Worked days of invented climbers: `python -m docs.days` prints them, `docs/days.md` has them.

Each is a real session of the core on the clock of `coach.runtime.rehearsal`: the climber does
what the plan holds, answers every question, and says what the day is about.
"""

import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from itertools import dropwhile, groupby

from coach.files.answers_file import Scripted
from coach.files.library import load_library
from coach.files.words import load_language
from coach.language import Language
from coach.model.answers import parse
from coach.model.body import Feel, Part
from coach.model.messages import message
from coach.model.person import AgeBand, Person
from coach.model.plan import Fired, Step, StepKind
from coach.model.routine import BlockKind
from coach.model.start import Options
from coach.planning import open_day, timeline
from coach.planning.forms import of as forms_of
from coach.planning.offers import hopeful
from coach.runtime.rehearsal import REACTION, TextWorld, clock_time
from coach.runtime.runner import NoKeeper, Runner
from coach.session.effects import Effect
from coach.session.events import Answered, Event, Source, Started
from coach.session.state import Session
from coach.session.step import new_session

#: What a climber answers on a good day.
GOOD = {
    "gate-body": "feel:fresh",
    "gate-shoulders": "feel:fresh",
    "gate-fingers": "feel:fine",
    "gate-fingers-now": "feel:fine",
    "go-ahead": "go",
    "another": "enough",
    "try-result": "ended-top",
    "effort": "effort:5",
    "re-warm": "rewarm",
    "sign": "no",
}
#: How many movements of a block are named.
MOST = 3
#: Seconds into a step at which something is said unasked.
INTO = 3.0


@dataclass(frozen=True)
class Worked:
    """One invented day."""

    title: str
    about: str
    """Who, and what the day is."""
    ages: tuple[AgeBand, ...] = (AgeBand.ADULT,)
    routine: str = "full"
    place: str = "tarnwick"
    minutes: int = 90
    told: tuple[tuple[int, str], ...] = ()
    hurting: tuple[tuple[int, Part, Feel], ...] = ()
    answers: dict[str, tuple[str, ...]] = field(default_factory=dict)
    """Question -> what is answered to it, in turn; then what a good day answers."""
    moments: tuple[tuple[str, str, int], ...] = ()
    """Step during which, the answer, and who gives it unasked."""
    words: str = ""
    """What is said at that moment, where it has no phrase of its own."""


DAYS = (
    Worked("A usual day", "Ida, 34, has ninety minutes and nothing to tell."),
    Worked(
        "Sore fingers before the board",
        "Noor, 41, feels the skin of her fingers on the mat.",
        answers={"tissue": ("tissue:skin",)},
        moments=(("mat.5", "feel:fingers:sore", 1),),
    ),
    Worked(
        "Sore fingers on the board",
        "Tomas, 29, says it between two hangs; it is the muscle, and after a rest it is fine.",
        answers={"tissue": ("tissue:muscle",)},
        moments=(("board.5", "feel:fingers:sore", 1),),
    ),
    Worked(
        "Sore fingers after the board",
        "Wren, 37, feels a joint on the first easy boulders, and no warning sign.",
        answers={"tissue": ("tissue:joint",)},
        moments=(("easy.1", "feel:fingers:sore", 1),),
    ),
    Worked(
        "Late, and the hall is crowded",
        "Ansel, 52, comes with sixty minutes left and queues.",
        minutes=60,
        told=((1, "late"), (1, "crowded")),
    ),
    Worked(
        "Stiff",
        "Maud, 58, has stiff hips after the mat and moves them once more.",
        answers={"gate-body": ("feel:stiff", "feel:fine"), "which-part": ("part:hips",)},
    ),
    Worked("Under sixteen", "Pim is 14.", ages=(AgeBand.UNDER_16,)),
    Worked(
        "Back after an illness",
        "Bo, 33, was ill for two weeks and says so at the check-in.",
        told=((1, "break:illness"),),
    ),
    Worked(
        "Outdoors without a board",
        "Edda, 45, is at Umbershaw Rocks with pads and no board.",
        routine="outdoors",
        place="umbershaw",
        minutes=100,
    ),
    Worked(
        "Wanting more",
        "Odd, 26, asks for a quarter of an hour more between two hard tries.",
        moments=(("hard.4", "longer:15", 1),),
    ),
    Worked(
        "A warning sign",
        "Sanne, 31, hears a pop in a finger on a hard try.",
        answers={"carry-on": ("finish",)},
        moments=(("hard.3", "sign:pop", 1),),
        words="a pop in my finger",
    ),
    Worked(
        "A pair, one of them seventeen",
        "Kit, 38, and Jona, 17, climb in turns; Kit is tired before the hard tries.",
        ages=(AgeBand.ADULT, AgeBand.UNDER_18),
        moments=(("middle.1", "feel:tired", 1),),
    ),
)


class Climber(TextWorld):
    """Does what is announced in the time that was planned, and answers what is asked."""

    def __init__(self, language: Language, day: Worked) -> None:
        super().__init__(language, ())
        self.session: Session | None = None
        self._left = {question: list(keys) for question, keys in day.answers.items()}
        self._moments = list(day.moments)
        self._due: tuple[float, Scripted] | None = None
        self._of: object = None

    def _next_answer(self) -> tuple[float, Scripted] | None:
        s = self.session
        if s is None or s.ended is not None:
            return None
        running = s.course.running
        if self._moments and running is not None and running.since is not None:
            where, key, who = self._moments[0]
            if running.step.name.startswith(where):
                self._moments.pop(0)
                self._of = None
                return self._wait(max(self.now(), running.since + INTO), who, key)
        if self._due is not None:
            return self._due
        window = self.window
        if window is None or window == self._of:
            return None
        at = max(window.at + REACTION, self.now())
        if s.questions.asking is not None:
            asked = self._left.get(s.questions.asking.question)
            key = (
                asked.pop(0) if asked else GOOD.get(s.questions.asking.question, window.answers[0])
            )
            self._of = window
            return self._wait(at, s.questions.asking.who, key)
        over = next((key for key in ("done", "down") if key in window.answers), None)
        if running is not None and over is not None:
            self._of = window
            ends = (running.since or at) + running.step.seconds
            return self._wait(max(at, ends), running.step.turn or 1, over)
        return None

    def _wait(self, at: float, who: int, key: str) -> tuple[float, Scripted]:
        self._due = (at, Scripted(at, who, parse(key), key, 0))
        return self._due

    def _give(self, at: float, item: Scripted) -> Answered:
        self._due = None
        window = self.window
        assert item.answer is not None
        fits = window is not None and item.answer.key in window.answers
        number = window.window if window is not None and fits else None
        return Answered(at, item.answer, item.who, at, number, Source.KEY)


@dataclass
class Told:
    """What is shown of a day, as it happens."""

    day: Worked
    language: Language
    plan: list[str] = field(default_factory=list)
    lines: list[str] = field(default_factory=list)
    last: Session | None = None

    def seen(self, now: Session, event: Event, effects: tuple[Effect, ...]) -> None:
        """Show the plan once it is made, then each answer that changed something."""
        before, self.last = self.last, now
        if not now.course.planned:
            return
        if before is None or not before.course.planned:
            self.plan += plan(now, self.language)
            self.plan += self._why(now.course.fired)
            return
        fired = now.course.fired[len(before.course.fired) :]
        if not fired or not isinstance(event, Answered):
            return
        change = changed(before, now, self.language)
        if change or event.answer.key not in _OPENING:
            self._answer(event, now)
            self.lines += change
            self.lines += self._why(fired)

    def _answer(self, event: Answered, now: Session) -> None:
        who = f"{event.who}, " if len(now.people) > 1 else ""
        said = self.language.answers.get(event.answer.key, (self.day.words,))[0]
        self.lines += ["", f'{clock_time(event.at)} {who}"{said}"']
        if now.listening.did is not None:
            self.lines.append(f"      -> {self.language.text(now.listening.did)}")

    def _why(self, fired: Iterable[Fired]) -> list[str]:
        return [f"      why: {self.language.text(one.because)} ({one.sure})" for one in fired]


#: Answers that open what the plan holds already.
_OPENING = frozenset({"feel:fresh", "feel:fine", "go"})


def plan(session: Session, language: Language) -> list[str]:
    """The blocks of a plan, one a line: when, which, how long, and what."""
    rows, at = [], 0.0
    for block, group in groupby(session.course.steps, lambda step: step.block):
        steps = tuple(group)
        minutes = timeline.seconds_of(steps) / 60
        what = _contents(steps, language, session)
        rows.append(f"{clock_time(at)} {block.value:9s} {minutes:3.0f} min  {what}")
        at += minutes * 60
    return rows


def changed(before: Session, after: Session, language: Language) -> list[str]:
    """The blocks ahead that are not what they were."""
    found = []
    ahead = {step.name for step in after.course.steps}
    steps = tuple(
        dropwhile(lambda step: _done(step) and step.name not in ahead, before.course.steps)
    )
    for block in BlockKind:
        was = _contents([step for step in steps if step.block is block], language, before)
        now = _contents(
            [step for step in after.course.steps if step.block is block], language, after
        )
        if was != now:
            found.append(f"      {block.value}: {was or 'nothing'}")
            found.append(f"      {'':{len(block.value)}s}  now {now or 'nothing'}")
    return found


def _done(step: Step) -> bool:
    """Whether a step that is not ahead any more was asked, rather than left out."""
    return step.kind is StepKind.ASK


def _contents(steps: Sequence[Step], language: Language, session: Session) -> str:
    """What a block holds, once its gates are open: boulders, tries, movements, and its question."""
    found: dict[str, int] = {}
    asked = []
    for step in steps:
        if step.kind is StepKind.ASK:
            asked.append(language.text(message(f"ask-{step.question}")))
        for what in _meant(step, language, session):
            counts = step.kind in (StepKind.CLIMB, StepKind.TRY)
            found[what] = found.get(what, 0) + (step.amount if counts else 0)
    parts = [f"{count} x {what}" if count else what for what, count in found.items()]
    more = len(parts) - MOST
    if more > 1:
        parts = [*parts[:MOST], f"and {more} more"]
    return "; ".join((", ".join(parts), *(f'"{question}"' for question in asked))).lstrip("; ")


def _meant(step: Step, language: Language, session: Session) -> list[str]:
    """Titles of a step's movements, by person where they differ."""
    assert session.day is not None
    hoped = forms_of(hopeful(session.day), session.library)
    names = {}
    for form in step.intended:
        eased = hoped.ease(form.movement, form.who) if form.movement else None
        if eased is not None:
            names[form.who] = language.title(eased.name).lower()
    if len(session.people) == 1 or (len(names) > 1 and len(set(names.values())) == 1):
        return list(dict.fromkeys(names.values()))
    return [f"{name} ({who})" for who, name in names.items()]


def live(day: Worked) -> Told:
    """Live through a day; what is shown of it."""
    library = load_library(day.routine, day.place, ())
    language = load_language("en", library.movements, ())
    people = tuple(Person(n, age=age, edge="medium") for n, age in enumerate(day.ages, 1))
    opened = open_day(people, day.minutes, library, told=day.told)
    session = replace(
        new_session(library, Options(people, float(day.minutes), day.hurting, True)), day=opened
    )
    world, told = Climber(language, day), Told(day, language)

    def seen(now: Session, event: Event, effects: tuple[Effect, ...]) -> None:
        world.session = now
        told.seen(now, event, effects)

    Runner(session, world, NoKeeper(), world.clock.wall, seen).run(Started(0.0))
    return told


def page() -> str:
    """Every day as Markdown; a plan that was shown before is named, not shown again."""
    shown: dict[str, int] = {}
    parts = []
    for number, day in enumerate(DAYS, 1):
        told = live(day)
        made = "\n".join(told.plan)
        first = shown.setdefault(made, number)
        text = made if first == number else f"The plan is that of day {first}."
        lines = "\n".join([text, *told.lines])
        parts.append(f"## {number}. {day.title}\n\n{day.about}\n\n```text\n{lines}\n```")
    return "\n\n".join(parts)


if __name__ == "__main__":
    sys.stdout.write(page() + "\n")
