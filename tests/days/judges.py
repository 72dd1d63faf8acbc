"""What must hold of any day, judged from what was heard, said and kept, and from the clock alone.

Each judge takes a finished day and lists what is wrong in words; an empty list is what must be.
No judge asks the core how it came to anything.
"""

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from tests import poses
from tests.days import warmed
from tests.days.climbers import Climber, Hurt
from tests.days.complaints import heeded
from tests.days.hall import Hall, Line
from tests.days.truth import true

#: Minutes that a session may take beyond its own, and beyond that where somebody stood still
#: (our choice).
OVER, STANDING = 12.0, 35.0
#: How often one question may be asked with nobody answering between, and one sentence be said.
ASKED, SAID = 2, 3
#: What to do for somebody who is hurt is said once a minute for ten minutes, and before that.
ADVISED = 13
#: Blocks of the wall: they use every part, so nothing for somebody who is hurt.
_LOADING = frozenset({"easy", "middle", "hard"})
#: By these somebody brings a session to a stand.
_STANDS = ("pause", "stop", "hurt", "sign")
#: What the screen says where an answer means nothing.
_NOTHING = frozenset({"not-now", "not-now-standing", "not-now-early", "nothing-asked"})


@dataclass
class LivedDay:
    """A day that was run."""

    hall: Hall
    climbers: list[Climber]
    minutes: float
    stopped: str = ""
    """Why it did not end by itself; '' where it did."""
    session: Any = None
    again: Any = None
    """The session that its events give once more."""

    def lines(self, kind: str) -> list[Line]:
        """The lines of one kind."""
        return [line for line in self.hall.log if line.kind == kind]


def ends(day: LivedDay) -> list[str]:
    """Time goes on, and the session ends within its minutes and a bound."""
    if day.stopped:
        return [day.stopped]
    stood = any(line.text.split(":")[0] in _STANDS for line in day.lines("heard"))
    told = [line.text for line in day.lines("heard") if line.text.startswith("minutes:")]
    minutes = max([day.minutes, *(float(text.split(":")[1]) for text in told)])
    most = minutes + OVER + (STANDING if stood else 0.0)
    took = day.hall.now() / 60.0
    return [f"took {took:.0f} of {minutes:.0f} min"] if took > most else []


def bounded(day: LivedDay) -> list[str]:
    """No question more than twice without an answer, no sentence over and over."""
    found: list[str] = []
    run: list[str] = []
    for line in day.hall.log:
        if line.kind == "heard":
            run = []
        elif line.kind == "said":
            run = [*run, line.text] if not run or run[-1] == line.text else [line.text]
            question = line.what.key.startswith("ask-")
            advice = line.what.key.startswith("advice-")
            if len(run) == (ASKED if question else ADVISED if advice else SAID) + 1:
                found.append(f"{line.at:.0f} s: {len(run)} times {line.text!r}")
    questions = Counter(
        line.text
        for line in day.lines("said")
        if line.what.key.startswith("ask-") and "try" not in line.what.key
    )
    most = max(12, ASKED * len(day.lines("heard")))
    found += [f"asked {n} times: {text!r}" for text, n in questions.items() if n > most]
    return found + _followed(day)


def _followed(day: LivedDay) -> list[str]:
    """What follows a report of the body is asked twice for each that was told, each time twice."""
    told = {
        line.text for line in day.lines("heard") if line.text.startswith(("feel", "tissue", "part"))
    }
    most = 2 * ASKED * max(len(told), 1)
    said = Counter(line.text for line in day.lines("said") if line.what.key in _FOLLOWING)
    return [f"asked {n} times for {len(told)}: {text!r}" for text, n in said.items() if n > most]


#: What is asked because of a report of the body.
_FOLLOWING = frozenset({"ask-sign", "ask-tissue"})


def counted(day: LivedDay) -> list[str]:
    """What the debrief says was climbed is what somebody told."""
    told = _told_boulders(day)
    said = [line for line in day.lines("said") if line.what.key.startswith("debrief")]
    for line in said:
        number = dict(line.what.values).get("boulders")
        if isinstance(number, int | float) and number > told:
            return [f"{line.text!r}, but {told} were told"]
    return []


def _told_boulders(day: LivedDay) -> int:
    """The most that can have been told: each batch by its cue, ended by an answer."""
    told, asked = 0, 0
    for line in day.hall.log:
        if line.kind == "said":
            amount = dict(line.what.values).get("amount")
            asked = int(amount) if isinstance(amount, int | float) else asked
        elif line.kind == "heard":
            if line.text in ("done", "down", "topped"):
                told += asked
            elif line.text.startswith("count:"):
                told += int(line.text.split(":")[1])
    return told


def answered(day: LivedDay) -> list[str]:
    """An answer that the screen shows is never met by 'not now'."""
    found = []
    log = day.hall.log
    for at, line in enumerate(log):
        if line.kind == "heard" and line.shown and line.at not in day.hall.doubled:
            reply = next((one for one in log[at + 1 : at + 3] if one.kind == "told"), None)
            if reply is None or dict(reply.what.values).get("answer", line.text) != line.text:
                continue  # it is the reply to somebody else
            if reply.at == line.at and reply.what.key in _NOTHING:
                found.append(f"{line.at:.0f} s: {line.text} -> {reply.text!r}")
    return found


def spared(day: LivedDay) -> list[str]:
    """After somebody is hurt anywhere: nothing of board or wall, nothing whose poses use it."""
    found = []
    for climber in day.climbers:
        if not isinstance(climber, Hurt) or climber.hurt_at is None or climber.hurt_at < 0:
            continue
        for line in day.lines("kept"):
            fact = line.what
            if line.text != "StepEnded" or fact.who != climber.who or not fact.amount:
                continue
            uses = fact.block in _LOADING or poses.uses(fact.movement, climber.part)
            if fact.at - fact.seconds > climber.hurt_at + 1.0 and uses:
                found.append(f"{fact.at:.0f} s: {fact.movement} with hurt {climber.part}")
    return found


def calm(day: LivedDay) -> list[str]:
    """Two hard tries of one person never stand closer than two minutes, but by a told 'ready'."""
    # published: sets of several joints are rested 2 to 3 min (ACSM 2009, Med Sci Sports Exerc 41)
    found = []
    last: dict[int, float] = {}
    for line in day.lines("kept"):
        fact = line.what
        if line.text == "StepEnded" and fact.kind == "try" and fact.seconds > 0:
            begun = fact.at - fact.seconds
            if fact.who in last and begun - last[fact.who] < 119.0:
                found.append(f"{fact.at:.0f} s: {begun - last[fact.who]:.0f} s between tries")
            last[fact.who] = fact.at
    return found


def replays(day: LivedDay) -> list[str]:
    """The events give the same session again."""
    if day.stopped or day.again is None or day.again == day.session:
        return []
    return ["its events give another session"]


JUDGES: dict[str, Callable[[LivedDay], list[str]]] = {
    "ends": ends,
    "bounded": bounded,
    "counted": counted,
    "answered": answered,
    "kept apart": warmed.kept_apart,
    "warmed": warmed.warmed,
    "believed": warmed.believed,
    "spared": spared,
    "heeded": heeded,
    "rested": calm,
    "replays": replays,
    "true": true,
}
