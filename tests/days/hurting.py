"""Spiteful days on which something hurts: told in any way, at any time, by any of one to three.

People say that they are hurt, name signs and feelings, answer what is asked truly or not at all,
and want to go on. What each of them has told is kept here by what they said; that nothing of their
plan uses it is judged by poses. No word of the core is asked what it means.
"""

from dataclasses import dataclass, field
from datetime import UTC, datetime
from random import Random
from typing import Any

from coach.model.answers import Meaning, parse
from coach.model.body import Feel, Part
from coach.model.person import AgeBand, Person
from coach.model.signs import SIGNS
from coach.model.start import Options
from coach.runtime.runner import NoKeeper, Runner
from coach.session.effects import Effect
from coach.session.events import Event, Started
from coach.session.looking import look
from coach.session.state import Session
from coach.session.step import new_session
from tests import poses
from tests.days.climbers import Climber
from tests.days.hall import Hall, SpinningError, StandingError
from tests.days.living import files_of, routines

#: Words that ask for more, once something hurts.
_MORE = ("resume", "ready", "go", "harder", "again", "back", "longer:10")
#: Events of one day at most, and minutes beyond its own.
MOST_EVENTS, OVER = 30_000, 50.0
#: Seconds in which what was told stops what was planned or about to be said.
ON_ITS_WAY = 0.5
#: How often one sentence may be said with nobody answering; what to do is said for ten minutes.
SAID = 3
_REPEATED = ("advice-", "hurt-", "ask-fall-", "ask-head-")


@dataclass
class Hurting(Climber):
    """Tells of a body at the planned seconds, and answers what is asked of her, if at all."""

    plan: list[tuple[float, str]] = field(default_factory=list)
    silent: float = 0.1
    spares: dict[str, float] = field(default_factory=dict)
    """Part -> since when it was told to hurt, in seconds."""
    _hurts: bool = False
    _set: bool = False

    def look(self, hall: Hall, view: Any) -> None:
        if not self._set:
            self._set = True
            for at, key in self.plan:
                hall.after(at, lambda key=key: self._say(hall, key))  # type: ignore[misc]
        super().look(hall, view)

    def _say(self, hall: Hall, key: str) -> None:
        self._keep(hall.now(), key)
        hall.say(self.who, key)

    def _keep(self, at: float, key: str) -> None:
        told = parse(key)
        parts: tuple[Part | None, ...] = (told.part,)
        if told.meaning is Meaning.SIGN:
            sign = SIGNS.get(told.sign or "")
            grave = sign is not None and sign.after.value != "part"
            parts = tuple(Part) if grave else (told.part or (sign.part if sign else None),)
            self._hurts = True
        elif told.meaning is Meaning.PART and self._hurts:
            pass
        elif told.meaning is Meaning.HURT or told.feel is Feel.HURTING:
            self._hurts = True
        elif told.feel is not None and told.part is None:
            self._hurts = False
            return
        else:
            return
        for part in parts:
            if part is not None:
                self.spares.setdefault(part.value, at)

    def asked(self, hall: Hall, answers: tuple[str, ...], who: int) -> None:
        if self.dice.random() < self.silent:
            return
        if any(key.startswith("person:") for key in answers):
            # the first is known by nothing, each other by a voice or key of their own
            if self.who == 1:
                self.speak(hall, "person:1", 0.6 + self.dice.random())
            return
        super().asked(hall, answers, who)

    def speak(self, hall: Hall, key: str, delay: float) -> None:
        hall.after(delay, lambda: self._heard(hall, key))
        super().speak(hall, key, delay)

    def _heard(self, hall: Hall, key: str) -> None:
        window = hall.window
        late = window is None or key not in (*window.answers, *window.beside)
        if key.startswith(("feel:", "sign:", "hurt")) or (key.startswith("part:") and not late):
            self._keep(hall.now(), key)

    def choose(self, answers: tuple[str, ...]) -> str:
        parts = [key for key in answers if key.startswith("part:")]
        if "resume" in answers:
            return self.dice.choice(("resume", "resume", "resume", "finish"))
        if parts:
            return self.dice.choice(parts)
        return self.dice.choice(answers) if self.dice.random() < 0.4 else super().choose(answers)


def _plan(dice: Random, words: list[str]) -> list[tuple[float, str]]:
    """What somebody says unasked, and when."""
    signs = [word for word in words if word.startswith("sign:")]
    well = (":fine", ":fresh")
    feels = [word for word in words if word.startswith("feel:") and not word.endswith(well)]
    found = []
    for _ in range(dice.choice((1, 1, 2, 2, 3, 4))):
        at = dice.uniform(0.0, dice.choice((20.0, 400.0, 4000.0)))
        found.append((at, dice.choice((*3 * ("hurt",), *3 * (dice.choice(signs),),
                                       *3 * (dice.choice(feels),), "pause", "stop"))))  # fmt: skip
    first = found[0][0]
    found += [(first + dice.uniform(0.0, 60.0), word) for word in dice.choices(_MORE, k=3)]
    return sorted(found)


def live(seed: int) -> list[str]:
    """What is wrong with the day of a seed."""
    dice = Random(seed)
    routine = dice.choice([name for name in routines() if name != "group"])
    library, language = files_of(routine, dice.choice((None, "tarnwick")))
    people = tuple(
        Person(who, age=dice.choice(list(AgeBand)))
        for who in range(1, dice.choice((1, 1, 2, 2, 3)) + 1)
    )
    minutes = float(max(library.routine.least_minutes, dice.choice((20, 45, 60, 90))))
    told = dice.random() < 0.7
    options = Options(people, minutes if told else None, () if told else None, told or None)
    words, climbers = sorted(language.answers), []
    for person in people:
        own = Random(dice.random())
        plan = _plan(own, words) if person.who == 1 or own.random() < 0.5 else []
        silent = own.choice((0.0, 0.0, 0.1, 0.5))
        pace = own.uniform(20.0, 70.0)
        climbers.append(Hurting(own, person.who, pace, plan=plan, silent=silent))
    hall, wrong = Hall(language, [*climbers]), dict[str, None]()

    def seen(now: Session, event: Event, effects: tuple[Effect, ...]) -> None:
        hall.seen(look(now), event, effects)
        for one in _loaded(now, climbers):
            wrong.setdefault(one)

    runner = Runner(
        new_session(library, options), hall, NoKeeper(), lambda: datetime.now(UTC), seen
    )
    try:
        going = runner.take(Started(0.0))
        while going:
            if len(hall.events) > MOST_EVENTS:
                raise SpinningError(f"{MOST_EVENTS} events")
            going = runner.take(runner.next())
    except (SpinningError, StandingError) as error:
        wrong.setdefault(f"{type(error).__name__} {error}")
    had = minutes if told else _minutes_told(hall, float(library.routine.minutes))
    if hall.now() > 60.0 * (had + OVER):
        wrong.setdefault(f"took {hall.now() / 60.0:.0f} of {had:.0f} min")
    return [*wrong, *_said_to_the_hurt(hall, climbers), *_over_and_over(hall)]


def _minutes_told(hall: Hall, usual: float) -> float:
    """The most minutes that anybody told; where nobody did, those that the routine promises."""
    numbers = [parse(line.text).number for line in hall.log if line.text.startswith("minutes:")]
    return max((float(number) for number in numbers if number), default=usual)


def _loaded(now: Session, climbers: list[Hurting]) -> list[str]:
    """What is planned for somebody that uses what they told; not before it is clear whose it is."""
    asking = now.questions.asking
    open_ = [one.question for one in (*now.questions.pending, *([asking] if asking else []))]
    if {"who", "confirm"} & set(open_):
        return []
    return [
        f"{form.movement} for {climber.who} with {part}, told at {since:.0f} s"
        for climber in climbers
        for part, since in climber.spares.items()
        if now.at > since + ON_ITS_WAY
        for step in now.course.steps
        for form in step.forms
        if form.who == climber.who and form.movement and poses.uses(form.movement, part)
    ]


def _said_to_the_hurt(hall: Hall, climbers: list[Hurting]) -> list[str]:
    """'How hard was it' to somebody who hurts, or boulders counted where everybody does.

    What was on its way to the loudspeaker as it was told is nobody's fault.
    """
    found = []
    for line in hall.log:
        if line.kind != "said":
            continue
        known = line.at - ON_ITS_WAY
        hurt = [one.who for one in climbers if one.spares and min(one.spares.values()) < known]
        who = int(dict(line.what.values).get("who") or 0) or climbers[0].who
        effort = line.what.key == "ask-effort" and who in hurt
        if effort or (line.what.key.startswith("debrief") and len(hurt) == len(climbers)):
            found.append(f"{line.at:.0f} s: {line.text!r} to whoever hurts")
    return found


def _over_and_over(hall: Hall) -> list[str]:
    """One sentence again and again with nobody answering."""
    found: list[str] = []
    run: list[str] = []
    for line in hall.log:
        if line.kind == "heard":
            run = []
        elif line.kind == "said" and not line.what.key.startswith(_REPEATED):
            run = [*run, line.text] if run[-1:] == [line.text] else [line.text]
            if len(run) == SAID + 1:
                found.append(f"{line.at:.0f} s: {len(run)} times {line.text!r}")
    return found
