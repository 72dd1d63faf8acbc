"""What a rule sees (Situation) and what it changes (PlanDraft).

Owns the moves that rules are made of: cap, open, shut, leave out, add gentle movement, check
again. A Draft lives only inside one call of `adapt`; `coach.planning.consequences` then works out
the steps under the new caps and fits them to the time.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from coach.model.answers import Answer
from coach.model.body import Cap, CapReason, Feel, Part, Tissue
from coach.model.day import Day, Library, Report
from coach.model.person import Person
from coach.model.plan import Form, Step, StepKind
from coach.model.routine import BlockKind
from coach.planning import cue_seconds, gates, recovery, timeline
from coach.planning.allowance import GENTLE
from coach.planning.offers import NO_MORE_TRIES, NO_TRIES

#: Questions that nobody is asked: the rules look at a day that begins, at a long pause, at the
#: clock, and at a scale's reading that was told after how the edge felt.
PLAN = "plan"
LATE_READING = "reading"
IDLE = "idle"
CLOCK = "clock"
#: The question of the minutes that were gained before the go-ahead.
GAINED = "time-gained"
#: Kept in `Day.told` of whoever goes home early rather than to try more.
HOME_EARLY = "home-early"
#: What an answer belongs to whose part was asked for and not told.
UNTOLD_PART = "untold-part"


@dataclass(frozen=True, slots=True)
class Situation:
    """Everything that a rule may look at."""

    day: Day
    steps: tuple[Step, ...]
    now: float
    who: int
    answer: Answer
    question: str
    library: Library

    @property
    def person(self) -> Person:
        """Who answered."""
        return next(person for person in self.day.people if person.who == self.who)

    @property
    def running(self) -> Step | None:
        """The first step that is left."""
        return self.steps[0] if self.steps else None

    @property
    def seconds(self) -> float:
        """Seconds that what is left takes."""
        return timeline.seconds_of(self.steps, self.now, timeline.of_day(self.day))

    def told(self, tag: str) -> bool:
        """Whether this person told something at the check-in or on the way."""
        return (self.who, tag) in self.day.told

    def capped(self, part: Part, *reasons: CapReason) -> bool:
        """Whether a part of this person is capped for one of the reasons."""
        return any(
            cap.who == self.who and cap.part is part and cap.reason in reasons
            for cap in self.day.caps
        )


@dataclass
class PlanDraft:
    """A day and its steps under change by one person's answer."""

    day: Day
    steps: list[Step]
    now: float
    who: int
    library: Library
    ask: str = ""
    first: Step | None = None
    """The step that stood first."""
    between: bool = False
    """A gate was asked just now, so that the first step has not begun."""
    more: bool = False
    """The answer asked for more: freed or added time may be filled with any offer."""
    tries: int = 0
    """So many further hard tries may be added, where they fit."""
    fill: bool = False
    """Added time may be filled, with gentle offers only."""
    spare: bool = False
    """Time that is left over once the steps have been fitted may be filled, with gentle offers."""
    slack: float = timeline.SLACK
    """Seconds that the steps may run over before any of them goes."""
    shorter: bool = False
    """Freed time stays free: the session ends earlier."""
    part: Part | None = None
    """The part that the change is about, for what is said."""
    to: str = ""
    """The movement that a form was changed to, for what is said."""

    @property
    def seconds(self) -> float:
        """Seconds that what is left takes."""
        return timeline.seconds_of(self.steps, self.now, timeline.of_day(self.day))

    def cap(self, part: Part, most: int, reason: CapReason, rule: str) -> None:
        """Cap a part; an equal or stricter cap of the same reason makes it needless."""
        standing = self.day.caps
        if any(
            c.who == self.who and c.part is part and c.reason is reason and c.most <= most
            for c in standing
        ):
            return
        kept = tuple(
            c
            for c in standing
            if not (c.who == self.who and c.part is part and c.reason is reason and c.rule == rule)
        )
        self.day = replace(self.day, caps=(*kept, Cap(self.who, part, most, reason, rule)))

    def lift(self, reason: CapReason, rules: Iterable[str], parts: Iterable[Part]) -> None:
        """End caps of this person."""
        rules, parts = frozenset(rules), frozenset(parts)
        kept = tuple(
            c
            for c in self.day.caps
            if not (
                c.who == self.who and c.reason is reason and c.rule in rules and c.part in parts
            )
        )
        self.day = replace(self.day, caps=kept)

    def report(self, part: Part, feel: Feel, tissue: Tissue | None = None) -> None:
        """Keep how a part feels; the latest of each part counts and stands last."""
        kept = tuple(r for r in self.day.reports if not (r.who == self.who and r.part is part))
        self.day = replace(self.day, reports=(*kept, Report(self.who, part, feel, tissue)))

    def tell(self, tag: str) -> None:
        """Keep something told."""
        if (self.who, tag) not in self.day.told:
            self.day = replace(self.day, told=(*self.day.told, (self.who, tag)))

    def wait_for(self, key: str) -> None:
        """Keep half of a staged answer."""
        self.day = replace(self.day, pending=(*self.day.pending, (self.who, key)))

    def open(self, question: str) -> None:
        """Open a gate for this person."""
        self.lift(CapReason.GATE, (question,), Part)
        if (self.who, question) not in self.day.gates:
            self.day = replace(self.day, gates=(*self.day.gates, (self.who, question)))
        if question == gates.GO_AHEAD and self.who not in self.day.go:
            self.day = replace(self.day, go=(*self.day.go, self.who))

    def shut(self, question: str) -> None:
        """Shut a gate again for this person."""
        caps = [c for c in gates.caps(question, self.who) if c not in self.day.caps]
        self.day = replace(
            self.day,
            caps=(*self.day.caps, *caps),
            gates=tuple(g for g in self.day.gates if g != (self.who, question)),
            go=tuple(w for w in self.day.go if question != gates.GO_AHEAD or w != self.who),
        )

    def trade(self, question: str, other: str) -> None:
        """Hold this person back by another gate in place of one, which nobody asks them any more.

        What holds them back stays as it is.
        """
        held = question in gates.shut(self.day.caps, self.who)
        self.lift(CapReason.GATE, (question,), Part)
        if held:
            self.shut(other)
        self.unask(question)

    def unask(self, question: str) -> None:
        """Ask this person a question no more; others are still asked."""
        left = [
            replace(s, forms=tuple(form for form in s.forms if form.who != self.who))
            if s.question == question
            else s
            for s in self.steps
        ]
        self.steps = [s for s in left if s.forms or not s.question]

    def no_tries(self) -> None:
        """Leave out every hard try of this person today; the others rest as long as before."""
        self.tell(NO_TRIES)
        self.fewer_tries(0)

    def fewer_tries(self, keep: int) -> None:
        """Leave out the last hard tries of this person beyond `keep`."""
        mine = [s.name for s in self.steps if s.kind is StepKind.TRY and s.turn == self.who]
        out = set(mine[keep:])
        self.tell(NO_MORE_TRIES)
        self.steps = [_rest_instead(s) if s.name in out else s for s in self.steps]

    def sit_out(self, fits: Callable[[Step], bool]) -> None:
        """Leave this person out of every step that fits; where nobody else does it, it goes."""
        self.steps = [
            kept for step in self.steps if (kept := self._without_me(step) if fits(step) else step)
        ]

    def _without_me(self, step: Step) -> Step | None:
        forms, intended = (
            tuple(Form(f.who, "", {}) if f.who == self.who else f for f in those)
            for those in (step.forms, step.intended)
        )
        if not any(form.movement for form in intended):
            return None
        return replace(step, forms=forms, intended=intended)

    def drop(self, name: str) -> None:
        """Leave out one step."""
        self.steps = [step for step in self.steps if step.name != name]

    def insert(self, steps: Iterable[Step], *, before: str = "") -> None:
        """Put steps before a named one, or after the one that runs."""
        at = next((i for i, s in enumerate(self.steps) if s.name == before), None)
        if at is None:
            at = 0 if self.between or not self.steps else 1
        self.steps[at:at] = steps

    def number(self, stem: str) -> str:
        """A new name of the form 'mat.more-2'."""
        names = {step.name for step in self.steps}
        taken = names | {name.rpartition(".")[0] for name in names}
        count = 1 + int(self.now)
        while f"{stem}-{count}" in taken:
            count += 1
        return f"{stem}-{count}"

    def ask_step(self, question: str, kind: BlockKind) -> Step:
        """A question of this person as a step."""
        return Step(
            name=self.number(f"{kind}.{question}"),
            kind=StepKind.ASK,
            block=kind,
            forms=(Form(self.who, "", {}),),
            amount=1,
            seconds=cue_seconds.ASKING,
            question=question,
        )

    def rest_step(self, seconds: float, kind: BlockKind) -> Step:
        """A rest as a step."""
        name = self.number(f"{kind}.rest")
        return Step(name, StepKind.REST, kind, (), round(seconds), float(round(seconds)))

    def check_again(self, question: str) -> None:
        """Ask a gate again after a rest or gentler work, instead of right away."""
        self.unask(question)
        self.wait_for(f"recheck:{question}:{int(self.now + recovery.RECHECK)}")
        spent = 0.0
        place = len(self.steps)
        for index, step in enumerate(self.steps):
            if spent >= recovery.RECHECK:
                place = index
                break
            if step.kind is StepKind.TRY or step.question == gates.GO_AHEAD:
                place = index
                break
            spent += step.lead + step.seconds
        part = gates.GATES[question].about
        if not any(_asks_more(step, self.who, part) for step in self.steps[place:]):
            return
        kind = self.steps[place - 1].block if place else BlockKind.EASY
        again = [self.ask_step(question, kind)]
        if spent < recovery.RECHECK:
            again.insert(0, self.rest_step(recovery.RECHECK - spent, kind))
        self.steps[place:place] = again


def _asks_more(step: Step, who: int, part: Part | None) -> bool:
    """Whether a step is meant to load a part of a person beyond the gentle."""
    return any(
        form.who == who and part is not None and form.load.get(part, 0) > GENTLE
        for form in step.intended
    )


def _rest_instead(step: Step) -> Step:
    seconds = float(round(step.seconds))
    rest = Step(step.name, StepKind.REST, step.block, (), round(seconds), seconds)
    return replace(rest, piece=step.piece)
